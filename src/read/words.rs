//! What headings call the abscissa, the ordinate and the way of measuring.
//!
//! The words are common practice in instrument exports and spreadsheets (English, German, French,
//! Spanish, Italian, Portuguese); no source.

use super::found::AbscissaUnit;
use crate::spectrum::{MeasurementMode, Ordinate};

/// What a heading says of an abscissa.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum AbscissaWord {
    /// The unit is named.
    Unit(AbscissaUnit),
    /// It is an abscissa, its unit unnamed.
    Unnamed,
    /// It cannot be read, for this reason.
    Refused(&'static str),
}

/// What a heading says of an ordinate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum OrdinateWord {
    /// It can be read.
    Known(Ordinate),
    /// It cannot become absorbance, for this reason.
    Refused(&'static str),
}

const RECIPROCAL_CM: [&str; 12] = [
    "cm-1",
    "cm^-1",
    "cm⁻¹",
    "cm\u{2212}1",
    "cm\u{2013}1",
    "cm^{-1}",
    "cm**-1",
    "1/cm",
    "cm^(-1)",
    "cm(-1)",
    "wavenumber",
    "wave number",
];

const WAVENUMBER_ABROAD: [&str; 7] = [
    "wellenzahl",
    "nombre d'onde",
    "nombre d’onde",
    "número de onda",
    "numero de onda",
    "numero d'onda",
    "número de ondas",
];

const WAVELENGTH: [&str; 6] = [
    "wavelength",
    "wellenlänge",
    "wellenlaenge",
    "longueur d'onde",
    "longitud de onda",
    "lunghezza d'onda",
];

/// Reads a heading as an abscissa's.
pub(super) fn abscissa(heading: &str) -> Option<AbscissaWord> {
    let heading = heading.to_lowercase();
    let any = |words: &[&str]| words.iter().any(|word| heading.contains(word));
    if heading.contains("raman") {
        return Some(AbscissaWord::Refused("a Raman shift is not an infrared wavenumber"));
    }
    if any(&RECIPROCAL_CM) || any(&WAVENUMBER_ABROAD) {
        return Some(AbscissaWord::Unit(AbscissaUnit::Wavenumber));
    }
    if any(&["micron", "micromet", "mikromet"]) || token(&heading, &["µm", "μm", "um"]) {
        return Some(AbscissaWord::Unit(AbscissaUnit::Micrometres));
    }
    if heading.contains("nanomet") || token(&heading, &["nm"]) {
        return Some(AbscissaWord::Unit(AbscissaUnit::Nanometres));
    }
    if token(&heading, &["thz", "ghz", "ev", "mev", "hz"]) {
        return Some(AbscissaWord::Refused("this unit is not read"));
    }
    if any(&WAVELENGTH) {
        return Some(AbscissaWord::Unnamed);
    }
    None
}

/// Reads a heading as an ordinate's.
pub(super) fn ordinate(heading: &str) -> Option<OrdinateWord> {
    use Ordinate as O;
    use OrdinateWord::{Known, Refused};
    let heading = heading.to_lowercase();
    let any = |words: &[&str]| words.iter().any(|word| heading.contains(word));
    if any(&["single beam", "single-beam", "interferogram", "background beam"]) {
        return Some(Refused("a single beam is not divided by its background"));
    }
    if any(&["log(1/r)", "log 1/r", "log10(1/r)", "-log r", "-log(r)"]) {
        return Some(Known(O::Absorbance));
    }
    if any(&["kubelka"]) {
        return Some(Refused("a Kubelka–Munk value is no multiple of absorbance"));
    }
    if any(&["absorptivity", "absorption coefficient", "epsilon", "extinction coeff"]) {
        return Some(Known(O::RelativeAbsorbance));
    }
    let percent = any(&["%", "percent", "prozent", "pourcent"]);
    if any(&["transmit", "transmis", "trasmit", "transmiss"]) {
        return Some(Known(if percent { O::PercentTransmittance } else { O::Transmittance }));
    }
    if any(&["absorptance"]) || (percent && any(&["absorption", "absorp"])) {
        return Some(Refused("the share of light absorbed is not absorbance"));
    }
    if any(&["absorb", "absorp", "assorb", "extinktion", "extinction", "optical density"])
        || token(&heading, &["abs"])
    {
        let scaled = any(&["normali", "normiert", "scaled", "relative"]);
        return Some(Known(if scaled { O::RelativeAbsorbance } else { O::Absorbance }));
    }
    if any(&["reflectance", "reflexion", "reflectivity", "reflet", "riflett", "reflektion"]) {
        return Some(Known(if percent { O::PercentReflectance } else { O::Reflectance }));
    }
    let bare: String =
        heading.chars().filter(|letter| letter.is_alphanumeric() || *letter == '%').collect();
    match bare.as_str() {
        "%t" | "t%" | "tin%" | "t%t" => Some(Known(O::PercentTransmittance)),
        "t" => Some(Known(O::Transmittance)),
        "a" | "od" => Some(Known(O::Absorbance)),
        "%r" | "r%" | "rin%" => Some(Known(O::PercentReflectance)),
        "r" => Some(Known(O::Reflectance)),
        _ => None,
    }
}

/// Reads running text of a header as an ordinate's name: only words that name nothing else count.
pub(super) fn ordinate_in_text(text: &str) -> Option<Ordinate> {
    let lower = text.to_lowercase();
    let clear = ["absorbance", "transmittance", "%t", "reflectance", "extinktion"];
    if !clear.iter().any(|word| lower.contains(word)) || lower.contains("total reflectance") {
        return None;
    }
    match ordinate(&lower) {
        Some(OrdinateWord::Known(found)) => Some(found),
        _ if lower.contains("%t") => Some(Ordinate::PercentTransmittance),
        _ => None,
    }
}

/// Reads running text of a header as a way of measuring.
pub(super) fn mode_in_text(text: &str) -> Option<MeasurementMode> {
    let lower = text.to_lowercase();
    let any = |words: &[&str]| words.iter().any(|word| lower.contains(word));
    if token(&lower, &["atr"]) || any(&["attenuated total"]) {
        return Some(MeasurementMode::Atr);
    }
    if token(&lower, &["drift", "drifts"]) || any(&["diffuse reflec", "specular"]) {
        return Some(MeasurementMode::Reflection);
    }
    if token(&lower, &["kbr", "pellet"])
        || any(&[
            "transmission mode",
            "transmission cell",
            "mode: transmission",
            "mode=transmission",
        ])
    {
        return Some(MeasurementMode::Transmission);
    }
    None
}

/// Returns whether one of `words` stands alone in the lower-case `text`.
fn token(text: &str, words: &[&str]) -> bool {
    text.split(|letter: char| !letter.is_alphanumeric()).any(|part| words.contains(&part))
}

/// Words of columns that stand beside a spectrum or were made of it.
const BESIDE: [&str; 16] = [
    "standard",
    "deviation",
    "std",
    "sd",
    "stdev",
    "error",
    "noise",
    "baseline",
    "background",
    "count",
    "weight",
    "mean",
    "smoothed",
    "corrected",
    "raw",
    "average",
];

/// Returns whether a heading names an ordinate that can be read, and nothing beside it.
pub(super) fn is_plain_ordinate(heading: &str) -> bool {
    matches!(ordinate(heading), Some(OrdinateWord::Known(_)))
        && abscissa(heading).is_none()
        && !token(&heading.to_lowercase(), &BESIDE)
}

/// Returns whether a heading is an ordinate's word and nothing that names a sample.
pub(super) fn is_bare_ordinate(heading: &str) -> bool {
    let lower = heading.to_lowercase();
    let mut words = lower
        .split(|letter: char| !letter.is_alphabetic() && letter != '%')
        .filter(|word| !word.is_empty());
    ordinate(heading).is_some()
        && words.all(|word| {
            word.chars().count() < 2
                || ordinate(word).is_some()
                || BESIDE.contains(&word)
                || matches!(word, "units" | "unit" | "atr" | "au" | "in")
        })
        || lower.split(|letter: char| !letter.is_alphanumeric()).any(|word| BESIDE.contains(&word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_abscissa_headings() {
        use AbscissaUnit::{Micrometres, Nanometres, Wavenumber};
        for (heading, unit) in [
            ("cm-1", Wavenumber),
            ("Wavenumber (cm⁻¹)", Wavenumber),
            ("Wellenzahl [1/cm]", Wavenumber),
            ("Wavelength (µm)", Micrometres),
            ("wavelength / um", Micrometres),
            ("Microns", Micrometres),
            ("nm", Nanometres),
        ] {
            assert_eq!(abscissa(heading), Some(AbscissaWord::Unit(unit)), "{heading}");
        }
        assert_eq!(abscissa("Wavelength"), Some(AbscissaWord::Unnamed));
        assert!(matches!(abscissa("Raman shift (cm-1)"), Some(AbscissaWord::Refused(_))));
        assert_eq!(abscissa("number of scans"), None);
        assert_eq!(abscissa("drum"), None);
    }

    #[test]
    fn reads_ordinate_headings() {
        use Ordinate as O;
        for (heading, expected) in [
            ("%T", O::PercentTransmittance),
            ("T (%)", O::PercentTransmittance),
            ("Transmission [%]", O::PercentTransmittance),
            ("Transmittance", O::Transmittance),
            ("T", O::Transmittance),
            ("Absorbance", O::Absorbance),
            ("Abs.", O::Absorbance),
            ("A", O::Absorbance),
            ("Extinktion", O::Absorbance),
            ("Absorption", O::Absorbance),
            ("Absorbancia", O::Absorbance),
            ("normalised absorbance", O::RelativeAbsorbance),
            ("log(1/R)", O::Absorbance),
            ("%R", O::PercentReflectance),
            ("Reflectance", O::Reflectance),
        ] {
            assert_eq!(ordinate(heading), Some(OrdinateWord::Known(expected)), "{heading}");
        }
        assert!(matches!(ordinate("Single beam"), Some(OrdinateWord::Refused(_))));
        assert!(matches!(ordinate("% absorption"), Some(OrdinateWord::Refused(_))));
        assert!(matches!(ordinate("Kubelka-Munk"), Some(OrdinateWord::Refused(_))));
        for heading in ["intensity", "value", "a.u.", "sample 4", "Dyed (red colour)"] {
            assert!(
                !matches!(ordinate(heading), Some(OrdinateWord::Known(O::Transmittance))),
                "{heading}"
            );
        }
        assert_eq!(ordinate("intensity"), None);
    }

    #[test]
    fn takes_only_clear_words_from_running_text() {
        assert_eq!(ordinate_in_text("Y units: Absorbance"), Some(Ordinate::Absorbance));
        assert_eq!(ordinate_in_text("y: %T"), Some(Ordinate::PercentTransmittance));
        assert_eq!(ordinate_in_text("transmission sample 4"), None);
        assert_eq!(ordinate_in_text("attenuated total reflectance"), None);
    }

    #[test]
    fn reads_the_way_of_measuring() {
        assert_eq!(mode_in_text("Accessory: diamond ATR"), Some(MeasurementMode::Atr));
        assert_eq!(mode_in_text("KBr pellet, 2 mg"), Some(MeasurementMode::Transmission));
        assert_eq!(mode_in_text("DRIFTS cup"), Some(MeasurementMode::Reflection));
        assert_eq!(mode_in_text("patron"), None);
    }

    #[test]
    fn tells_an_ordinate_word_from_a_sample_name() {
        for heading in ["Absorbance", "Absorbance 2", "%T", "std dev", "baseline"] {
            assert!(is_bare_ordinate(heading), "{heading}");
        }
        for heading in ["V01 front", "PVC absorbance", "sample 3"] {
            assert!(!is_bare_ordinate(heading), "{heading}");
        }
    }
}
