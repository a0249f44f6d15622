//! What a polystyrene film says of the wavenumber scale, in words.

use std::fmt::Write as _;

use crate::fitness::{FilmCheck, FilmInterval, FilmPlaces, ScaleFault};

/// Where the published places and their tolerance come from.
const SOURCE: &str = "Published places: European Pharmacopoeia 5.0, chapter 2.2.24, each ±1.0 \
     cm⁻¹, as a public instrument note gives them.";

/// What stands for it where the film was compared with itself.
const BEFORE: &str = "Places: the same film measured before; what changed since is shown, not whether the scale was right then.";

/// Returns where the places come from, and which band took no part.
pub(super) fn source(check: &FilmCheck) -> String {
    let mut text = match check.places {
        FilmPlaces::Published => SOURCE.to_owned(),
        FilmPlaces::Before => BEFORE.to_owned(),
    };
    if let Some(band) = check.set_aside {
        let _ = write!(
            text,
            " Left out: {:.1} cm⁻¹, found at {:.2}: it contradicts what the other bands agree on.",
            band.nominal, band.centroid
        );
    }
    text
}

/// Returns what the deviations are compared with, short enough for the head of a column.
pub(super) const fn places_head(check: &FilmCheck) -> &'static str {
    match check.places {
        FilmPlaces::Published => "published",
        FilmPlaces::Before => "before",
    }
}

/// What the column of recalled values is worth.
pub(super) const CERTIFICATE_NOTE: &str = "Centroids on the certificate of a reference film, recalled from memory and not checked against \
     it: shown for comparison, never judged by.";

/// The pharmacopoeia's tolerance in cm⁻¹.
pub(super) const TOLERANCE_CM1: f64 = 1.0;

/// Centroids in cm⁻¹ on the certificate of a matte polystyrene film (SRM 1921), all from memory.
const CERTIFICATE_CM1: [f64; 13] = [
    545.48, 842.01, 906.82, 1028.35, 1069.20, 1154.64, 1583.13, 1601.35, 2850.13, 3001.40, 3026.42,
    3060.03, 3082.19,
];

/// A recalled value belongs to a published place this near, in cm⁻¹.
const SAME_BAND_CM1: f64 = 1.5;

/// The recalled certificate value of a band.
pub(super) fn certificate_cm1(nominal: f64) -> Option<f64> {
    CERTIFICATE_CM1.into_iter().find(|value| (value - nominal).abs() <= SAME_BAND_CM1)
}

/// A deviation with its sign: `+0.12`, `−0.05`.
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{value:+.decimals$}").replace('-', "−");
    let is_zero = text.chars().all(|c| !c.is_ascii_digit() || c == '0');
    if is_zero { text.replace(['+', '−'], "±") } else { text }
}

/// An interval with its ends: `+12 ppm (−80 to +104)`.
pub(super) fn interval(found: FilmInterval, decimals: usize, unit: &str) -> String {
    format!(
        "{} {unit} (95 %: {} to {})",
        signed(found.value, decimals),
        signed(found.low, decimals),
        signed(found.high, decimals)
    )
}

/// The factor k with the ends of its interval.
pub(super) fn factor(check: &FilmCheck) -> String {
    let k = |ppm: f64| 1.0 / (1.0 + ppm * 1.0e-6);
    format!(
        "{:.6} (95 %: {:.6} to {:.6})",
        check.k,
        k(check.scale_ppm.high),
        k(check.scale_ppm.low)
    )
}

/// Deviations at the stated wavenumbers: `+0.01 at 600, +0.02 at 1700 and +0.04 cm⁻¹ at 3000 cm⁻¹`.
pub(super) fn deviations(check: &FilmCheck) -> String {
    let list: Vec<String> = check
        .deviations
        .iter()
        .map(|(at, deviation)| format!("{} at {at:.0}", signed(*deviation, 2)))
        .collect();
    format!("{} (all in cm⁻¹)", list.join(", "))
}

/// Says which kind of fault the film shows, and what to do about it.
#[must_use]
pub fn film_verdict(check: &FilmCheck) -> String {
    let outside = check
        .bands
        .iter()
        .filter(|band| (band.centroid - band.nominal).abs() > TOLERANCE_CM1)
        .count();
    let kind = match check.fault {
        ScaleFault::None => {
            "neither a scale error nor an offset stands clear of the spread".to_owned()
        }
        ScaleFault::Scale => format!(
            "a scale error stands clear of the spread; true = k × measured, with k = {:.6}",
            check.k
        ),
        ScaleFault::Shift => {
            "an offset stands clear of the spread, which no interferometer makes: \
                              look at the file and its axis"
                .to_owned()
        }
        ScaleFault::Both => format!(
            "a scale error (k = {:.6}) and an offset both stand clear of the spread; look at the file \
             and its axis first",
            check.k
        ),
    };
    let tolerance = match outside {
        0 => format!(
            "all {} bands lie within ±1.0 cm⁻¹ of {}",
            check.bands.len(),
            match check.places {
                FilmPlaces::Published => "their published places",
                FilmPlaces::Before => "where they stood before",
            }
        ),
        1 => format!("one of {} bands lies outside ±1.0 cm⁻¹", check.bands.len()),
        n => format!("{n} of {} bands lie outside ±1.0 cm⁻¹", check.bands.len()),
    };
    format!("{tolerance}; {kind}")
}

/// Says in one paragraph what the film of a day shows: factor, interval, deviations and verdict.
#[must_use]
pub fn film_sentence(check: &FilmCheck) -> String {
    format!(
        "k = {}; scale error {}, offset {}, measured minus {}; deviation {}. Verdict: {}. \
         {} bands used. {}",
        factor(check),
        interval(check.scale_ppm, 0, "ppm"),
        interval(check.shift, 2, "cm⁻¹"),
        places_head(check),
        deviations(check),
        film_verdict(check),
        check.bands.len(),
        source(check),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_typeset_and_nought_has_both() {
        assert_eq!(signed(0.124, 2), "+0.12");
        assert_eq!(signed(-0.5, 1), "−0.5");
        assert_eq!(signed(-0.001, 2), "±0.00");
    }

    #[test]
    fn recalled_values_are_found_beside_their_published_place() {
        assert_eq!(certificate_cm1(1583.0), Some(1583.13));
        assert_eq!(certificate_cm1(1942.9), None);
    }
}
