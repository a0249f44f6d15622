//! Minerals that stand beside a polymer: told by their narrow bands, and taken out of a curve before it is
//! compared with shapes.

use super::fit::{Answer, Fit, MET_WORTH};
use super::matcher::Entry;
use crate::tables::{MaterialKind, shape_wavenumber_cm1};

/// A mineral that its narrow bands show may be met less well: the polymer's own bands lie in its broad ones.
const LEAST_SHOWN_MET: f64 = 0.45;

/// A mineral is shown where so many of its narrow diagnostic bands are: 872 and 712 cm⁻¹ of chalk, say.
const LEAST_NARROW: usize = 2;

/// A mineral is loud from this height on: its strongest band as a share of the spectrum's strongest.
const LOUD: f64 = 0.2;

/// How far from its position a band of a mineral is taken out of the curve, in cm⁻¹: the ν3 of chalk reaches
/// from 1300 to 1560 (own reading of measured spectra).
const HIDDEN_BROAD_CM1: f64 = 120.0;
/// The same for narrow bands.
const HIDDEN_NARROW_CM1: f64 = 14.0;

/// Returns whether a mineral is there by its narrow bands, whatever its broad ones are lost in.
#[must_use]
pub fn is_shown(fit: &Fit, entry: &Entry) -> bool {
    let bands = || entry.expected.iter().zip(&fit.answers);
    let met = |answer: &Answer| matches!(answer, Answer::Met(_, worth) if *worth >= MET_WORTH);
    entry.kind == MaterialKind::Mineral
        && fit.met >= LEAST_SHOWN_MET
        && bands().filter(|(b, a)| b.diagnostic && !b.broad && met(a)).count() >= LEAST_NARROW
        && is_whole(fit, entry)
}

/// Returns whether each band was found that something cannot be without.
pub fn is_whole(fit: &Fit, entry: &Entry) -> bool {
    let met = |answer: &Answer| matches!(answer, Answer::Met(_, worth) if *worth >= MET_WORTH);
    entry.expected.iter().zip(&fit.answers).all(|(band, a)| !band.required || met(a))
}

/// Takes the bands of loud minerals out of a curve on the grid of shapes: a filler, dust or pigment stands on
/// any polymer, and what lies beside its bands still shows which.
pub fn hide_minerals(curve: &mut [f64], fits: &[Fit], entries: &[Entry]) {
    for fit in fits.iter().filter(|fit| fit.scale >= LOUD) {
        let Some(entry) = entries.get(fit.entry) else { continue };
        if !is_shown(fit, entry) {
            continue;
        }
        for band in &entry.expected {
            let reach = if band.broad { HIDDEN_BROAD_CM1 } else { HIDDEN_NARROW_CM1 };
            for (point, value) in curve.iter_mut().enumerate() {
                if (shape_wavenumber_cm1(point) - band.position_cm1).abs() <= reach {
                    *value = f64::NAN;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::Matcher;
    use crate::tables::{SHAPE_POINTS, Tables};

    /// The points of a level curve that are taken out where a material meets all its bands at this scale.
    fn hidden(id: &str, scale: f64) -> Vec<f64> {
        let tables = Tables::built_in();
        let matcher = Matcher::new(tables);
        let is_it = |entry: &Entry| tables.materials()[entry.material].id == id;
        let entry = matcher.entries().iter().position(is_it).expect("an entry");
        let answers = vec![Answer::Met(0, 1.0); matcher.entries()[entry].expected.len()];
        let tested = answers.len();
        let fit = Fit { entry, met: 1.0, scale, explains: Vec::new(), answers, tested };
        let mut curve = vec![0.1; SHAPE_POINTS];
        hide_minerals(&mut curve, &[fit], matcher.entries());
        let points = (0..SHAPE_POINTS).filter(|point| curve[*point].is_nan());
        points.map(shape_wavenumber_cm1).collect()
    }

    /// The fit of a material whose every band is met, the required ones worth this.
    fn with_required(id: &str, worth: f64) -> (Fit, Matcher) {
        let tables = Tables::built_in();
        let matcher = Matcher::new(tables);
        let is_it = |entry: &Entry| tables.materials()[entry.material].id == id;
        let entry = matcher.entries().iter().position(is_it).expect("an entry");
        let of = |required: bool| Answer::Met(0, if required { worth } else { 1.0 });
        let expected = &matcher.entries()[entry].expected;
        let answers: Vec<Answer> = expected.iter().map(|band| of(band.required)).collect();
        let tested = answers.len();
        (Fit { entry, met: 1.0, scale: 0.3, explains: Vec::new(), answers, tested }, matcher)
    }

    #[test]
    fn a_peak_at_the_edge_of_a_required_band_is_not_that_band() {
        // The CH2 band of polystyrene at 1446 lies at the edge of the broad carbonate band of chalk.
        for (worth, whole) in [(1.0, true), (MET_WORTH - 0.01, false)] {
            let (fit, matcher) = with_required("calcite", worth);
            let entry = &matcher.entries()[fit.entry];
            assert_eq!((is_whole(&fit, entry), is_shown(&fit, entry)), (whole, whole), "{worth}");
        }
    }

    #[test]
    fn a_loud_mineral_is_taken_out_of_the_curve_where_its_bands_are() {
        let chalk = hidden("calcite", 0.3);
        let is_hidden = |cm1: f64| chalk.contains(&cm1);
        assert!(is_hidden(872.0) && is_hidden(712.0) && is_hidden(1320.0) && is_hidden(1500.0));
        assert!(!is_hidden(900.0) && !is_hidden(1000.0) && !is_hidden(1240.0));
        // A trace does not disturb the curve, and a polymer is what is compared.
        assert_eq!(hidden("calcite", 0.1), [0.0; 0]);
        assert_eq!(hidden("PMMA", 1.0), [0.0; 0]);
    }
}
