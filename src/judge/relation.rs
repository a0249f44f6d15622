//! How two materials of one spectrum stand to each other.
//!
//! Strong bands of a thick sample stand lower in ATR than in transmission, for the index runs through
//! a bend at each of them. A film thinner than the wave's depth shows them where transmission does.
//! So does a minor part of a blend, but its bands are low: strong bands at the places of transmission
//! belong to a film. Strong bands at the places of a thick sample, beside strong bands of another
//! material, belong to two that lie within the same depth: a thick film would hide what is under it.
//!
//! Heights do not tell: the depth changes by less from band to band than expected heights are sure.

use super::components::DetectedComponent;
use super::input::JudgeInput;
use super::outcome::Relation;
use crate::matching::{Answer, Fit, MET_WORTH};
use crate::spectrum::MeasurementMode;

/// A band must stand this much lower in ATR than in transmission to tell, in cm⁻¹.
const LEAST_SHIFT_CM1: f64 = 8.0;

/// Bands weaker than this beside the material's strongest do not shift.
const LEAST_SHARE: f64 = 0.3;

/// So many of them must tell the same.
const LEAST_BANDS: usize = 2;

/// The material's strongest band beside the strongest of the spectrum: from here on it is no minor part.
const MAJOR_SCALE: f64 = 0.4;

/// Where the shifting bands of a material stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Places {
    Thick,
    Thin,
    Unclear,
}

/// Returns how the second material stands to the first.
pub(super) fn relation(first: &Fit, second: &Fit, input: &JudgeInput<'_>) -> Relation {
    match places(second, input) {
        Places::Thin => Relation::CoatingOver,
        Places::Thick if first.scale >= MAJOR_SCALE => Relation::Blend,
        Places::Thick | Places::Unclear => Relation::NotToldApart,
    }
}

/// Puts what lies under the others first.
pub(super) fn order(bases: &mut [DetectedComponent], input: &JudgeInput<'_>) {
    if let [first, second, ..] = bases
        && places(&first.fit, input) == Places::Thin
        && places(&second.fit, input) != Places::Thin
    {
        bases.swap(0, 1);
    }
}

fn places(of: &Fit, input: &JudgeInput<'_>) -> Places {
    let Some(entry) = input.entry(of) else { return Places::Unclear };
    if input.observed.mode() != MeasurementMode::Atr || of.scale < MAJOR_SCALE {
        return Places::Unclear;
    }
    let (mut thick, mut thin) = (0, 0);
    for (band, answer) in entry.expected.iter().zip(&of.answers) {
        let shifts = band.transmission_cm1.1 - band.atr_cm1.1 >= LEAST_SHIFT_CM1;
        let Answer::Met(at, worth) = answer else { continue };
        if !shifts || band.share < LEAST_SHARE || *worth < MET_WORTH {
            continue;
        }
        let Some(peak) = input.observed.peaks().list.get(*at) else { continue };
        if peak.position_cm1 <= band.atr_cm1.1 {
            thick += 1;
        } else {
            thin += 1;
        }
    }
    match (thick, thin) {
        (0, thin) if thin >= LEAST_BANDS => Places::Thin,
        (thick, 0) if thick >= LEAST_BANDS => Places::Thick,
        _ => Places::Unclear,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::made::{Made, fit_of, rows};

    /// Where a polycarbonate's five shifting bands stand, each this share of the way from a thick sample's place to
    /// that of a film, at this scale; `change` is given the fit and the places of those bands in it.
    fn of_polycarbonate(way: [f64; 5], scale: f64, change: impl Fn(&mut Fit, &[usize])) -> Places {
        let thick = [1770.0, 1219.0, 1187.0, 1159.0, 828.0];
        let bands: Vec<(f64, f64)> =
            std::iter::zip(thick, way).map(|(at, way)| (at + 12.0 * way, 1.0)).collect();
        let made = Made::of_bands(&bands);
        let input = made.input();
        let mut fit = fit_of("PC", &input);
        let expected = &input.entry(&fit).expect("its").expected;
        let peaks = &input.observed.peaks().list;
        let mut told = Vec::new();
        fit.answers.fill(Answer::NotMeasured);
        for (at, way) in std::iter::zip(thick, way) {
            let band = expected.iter().position(|band| (band.position_cm1 - at).abs() < 2.0);
            let band = band.expect("a band of the table");
            let near = |peak: &crate::peaks::Peak| (peak.position_cm1 - at - 12.0 * way).abs();
            let peak =
                (0..peaks.len()).min_by(|a, b| near(&peaks[*a]).total_cmp(&near(&peaks[*b])));
            fit.answers[band] = Answer::Met(peak.expect("a peak"), 1.0);
            told.push(band);
        }
        fit.scale = scale;
        change(&mut fit, &told);
        places(&fit, &input)
    }

    #[test]
    fn strong_bands_where_transmission_has_them_are_those_of_a_film() {
        let unchanged = |_: &mut Fit, _: &[usize]| ();
        assert_eq!(of_polycarbonate([0.0; 5], 1.0, unchanged), Places::Thick);
        assert_eq!(of_polycarbonate([1.0; 5], 1.0, unchanged), Places::Thin);
        // They contradict one another.
        assert_eq!(of_polycarbonate([0.0, 0.0, 1.0, 1.0, 1.0], 1.0, unchanged), Places::Unclear);
        // A minor part of a blend stands where a film does.
        assert_eq!(of_polycarbonate([1.0; 5], 0.3, unchanged), Places::Unclear);
    }

    #[test]
    fn one_band_tells_nothing_and_one_that_is_hardly_met_does_not_gainsay_the_others() {
        let only = |kept: usize| {
            move |fit: &mut Fit, told: &[usize]| {
                for band in &told[kept..] {
                    fit.answers[*band] = Answer::NotMeasured;
                }
            }
        };
        assert_eq!(of_polycarbonate([1.0; 5], 1.0, only(1)), Places::Unclear);
        assert_eq!(of_polycarbonate([1.0; 5], 1.0, only(2)), Places::Thin);
        assert_eq!(of_polycarbonate([0.0; 5], 1.0, only(1)), Places::Unclear);
        assert_eq!(of_polycarbonate([0.0; 5], 1.0, only(2)), Places::Thick);
        let off = |fit: &mut Fit, told: &[usize]| {
            if let Answer::Met(_, worth) = &mut fit.answers[told[0]] {
                *worth = 0.2;
            }
        };
        assert_eq!(of_polycarbonate([0.0, 1.0, 1.0, 1.0, 1.0], 1.0, off), Places::Thin);
    }

    #[test]
    fn two_that_lie_within_one_depth_are_a_blend_where_the_first_is_no_minor_part() {
        let made = Made::of_bands(&[rows("PC", 1.0), rows("PDMS", 0.9)].concat());
        let input = made.input();
        let (mut first, second) = (fit_of("PDMS", &input), fit_of("PC", &input));
        assert_eq!(relation(&first, &second, &input), Relation::Blend);
        first.scale = 0.3;
        assert_eq!(relation(&first, &second, &input), Relation::NotToldApart);
    }

    #[test]
    fn what_lies_under_a_film_is_named_first() {
        // Two carbonates, one a film: the places of a thick sample and those of transmission.
        let (thick, thin) = ([1770.0, 828.0], [1782.0, 840.0]);
        let made =
            Made::of_bands(&[thick, thin].concat().iter().map(|at| (*at, 1.0)).collect::<Vec<_>>());
        let input = made.input();
        let at = |places: [f64; 2]| {
            let mut fit = fit_of("PC", &input);
            let expected = &input.entry(&fit).expect("its").expected;
            fit.answers.fill(Answer::NotMeasured);
            for (row, place) in std::iter::zip(thick, places) {
                let band = expected.iter().position(|band| (band.position_cm1 - row).abs() < 2.0);
                let mut peaks = input.observed.peaks().within(place - 4.0, place + 4.0);
                let (peak, _) = peaks.next().expect("a peak");
                fit.answers[band.expect("a band of the table")] = Answer::Met(peak, 1.0);
            }
            fit.scale = 1.0;
            fit
        };
        let ordered = |places: [[f64; 2]; 2]| {
            let named = |(name, fit)| DetectedComponent { fit, members: vec![name], is_base: true };
            let mut both: Vec<DetectedComponent> =
                std::iter::zip(["one", "two"].map(str::to_owned), places.map(at))
                    .map(named)
                    .collect();
            order(&mut both, &input);
            both.into_iter().map(|component| component.members[0].clone()).collect::<Vec<_>>()
        };
        assert_eq!(ordered([thin, thick]), ["two", "one"]);
        assert_eq!(ordered([thick, thin]), ["one", "two"]);
        // Of two films neither lies under the other.
        assert_eq!(ordered([thin, thin]), ["one", "two"]);
    }
}
