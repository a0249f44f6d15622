//! The words of a header: technique, units, and how the sample was measured.

use crate::read::found::AbscissaUnit;
use crate::spectrum::{MeasurementMode, Ordinate};

/// What a header's ordinate unit means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum OrdinateWords {
    /// A unit that needs no comment.
    Plain(Ordinate),
    /// Absorbance per concentration and path: its factor to absorbance is unknown.
    PerConcentration,
    /// No unit is stated.
    Silent,
    /// A unit that does not lead to absorbance.
    Unknown,
}

/// Capitals, with single blanks.
fn capitals(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_uppercase()
}

/// Whether `word` stands in `text` on its own.
fn has_word(text: &str, word: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric()).any(|w| w == word)
}

/// Returns whether a data type names an infrared spectrum.
pub(super) fn is_infrared(data_type: &str) -> bool {
    let text = capitals(data_type);
    let named = text.contains("INFRARED")
        || text.contains("INFRA-RED")
        || ["IR", "FTIR", "MIR"].iter().any(|word| has_word(&text, word));
    // An interferogram is infrared, but not yet a spectrum.
    named && !text.contains("RAMAN") && !text.contains("INTERFEROGRAM") && !text.contains("PEAK")
}

/// Returns the unit of an abscissa, or nothing where the words name none of the infrared ones.
pub(super) fn abscissa_unit(words: &str) -> Option<AbscissaUnit> {
    let text = capitals(words);
    let close: String = text.chars().filter(|c| !matches!(c, ' ' | '^' | '{' | '}')).collect();
    if ["1/CM", "CM-1", "CM⁻¹", "CM−1", "WAVENUMBER", "RECIPROCALCENT"]
        .iter()
        .any(|w| close.contains(w))
    {
        return Some(AbscissaUnit::Wavenumber);
    }
    if text.contains("NANOMET") || has_word(&text, "NM") {
        return Some(AbscissaUnit::Nanometres);
    }
    // Both micro signs become a Greek capital M.
    if ["MICROMET", "MICRON"].iter().any(|w| text.contains(w))
        || has_word(&text, "UM")
        || has_word(&text, "\u{39c}M")
    {
        return Some(AbscissaUnit::Micrometres);
    }
    None
}

/// Returns what the words for an ordinate mean.
pub(super) fn ordinate(words: &str) -> OrdinateWords {
    let text = capitals(words);
    let percent = text.contains('%') || has_word(&text, "PERCENT") || has_word(&text, "PCT");
    let plain =
        |fraction, in_percent| OrdinateWords::Plain(if percent { in_percent } else { fraction });
    if text.is_empty() {
        return OrdinateWords::Silent;
    }
    if text.contains("KUBELKA") || text.contains("ARBITRARY") {
        return OrdinateWords::Unknown;
    }
    let close: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    if text.contains("ABSORPTIVITY")
        || text.contains("ABSORPTION COEF")
        || text.contains("EXTINCTION COEF")
        || text.contains("MOLAR ABS")
        || (text.contains("MOL") && (text.contains("-1") || text.contains('/')))
    {
        return OrdinateWords::PerConcentration;
    }
    if close.contains("LOG(1/R)") || close.contains("-LOGR") || close.contains("-LOG(R)") {
        return OrdinateWords::Plain(Ordinate::Absorbance);
    }
    if text.contains("TRANSMIT") || text.contains("TRANSMISSION") {
        return plain(Ordinate::Transmittance, Ordinate::PercentTransmittance);
    }
    if text.contains("REFLECT") {
        return plain(Ordinate::Reflectance, Ordinate::PercentReflectance);
    }
    match close.as_str() {
        "A" | "ABS" | "ABS." | "AU" | "O.D." | "OD" => OrdinateWords::Plain(Ordinate::Absorbance),
        "%T" | "T%" | "T(%)" => OrdinateWords::Plain(Ordinate::PercentTransmittance),
        "%R" | "R%" | "R(%)" => OrdinateWords::Plain(Ordinate::PercentReflectance),
        "T" => OrdinateWords::Plain(Ordinate::Transmittance),
        "R" => OrdinateWords::Plain(Ordinate::Reflectance),
        _ if text.contains("ABSORBANCE") || text.contains("OPTICAL DENSITY") => {
            OrdinateWords::Plain(Ordinate::Absorbance)
        }
        _ => OrdinateWords::Unknown,
    }
}

/// Returns how a sample was measured, where the words say so and do not contradict themselves.
///
/// `words` are the values of the records that describe the sample's preparation and the accessory.
pub(super) fn mode(words: &str) -> Option<MeasurementMode> {
    let text = capitals(words);
    let atr = has_word(&text, "ATR") || text.contains("ATTENUATED TOTAL");
    let transmission =
        ["TRANSMISSION", "PELLET", "KBR DISC", "KBR DISK", "GAS CELL", "LIQUID CELL"]
            .iter()
            .any(|w| text.contains(w));
    let reflection = ["DIFFUSE REFLECT", "SPECULAR", "TRANSFLECT"].iter().any(|w| text.contains(w))
        || has_word(&text, "DRIFTS");
    match (atr, transmission, reflection) {
        (true, false, false) => Some(MeasurementMode::Atr),
        (false, true, false) => Some(MeasurementMode::Transmission),
        (false, false, true) => Some(MeasurementMode::Reflection),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tells_infrared_from_other_techniques() {
        for infrared in ["INFRARED SPECTRUM", "ftir", "FT-IR spectrum", "Infrared  Spectrum", "IR"]
        {
            assert!(is_infrared(infrared), "{infrared}");
        }
        for other in [
            "RAMAN SPECTRUM",
            "NMR SPECTRUM",
            "FT-NMR",
            "MASS SPECTRUM",
            "UV/VIS SPECTRUM",
            "ION MOBILITY SPECTRUM",
            "INFRARED INTERFEROGRAM",
            "INFRARED PEAK TABLE",
            "INELASTIC NEUTRON SCATTERING",
            "",
        ] {
            assert!(!is_infrared(other), "{other}");
        }
    }

    #[test]
    fn reads_the_words_for_an_abscissa() {
        for wavenumber in ["1/CM", "cm-1", "cm^-1", "Wavenumber (cm⁻¹)", "1/cm ", "WAVENUMBERS"]
        {
            assert_eq!(abscissa_unit(wavenumber), Some(AbscissaUnit::Wavenumber), "{wavenumber}");
        }
        for micrometres in ["MICROMETERS", "microns", "µm", "μm", "um", "Wavelength (um)"] {
            assert_eq!(
                abscissa_unit(micrometres),
                Some(AbscissaUnit::Micrometres),
                "{micrometres}"
            );
        }
        for nanometres in ["NANOMETERS", "nm", "Wavelength (nm)"] {
            assert_eq!(abscissa_unit(nanometres), Some(AbscissaUnit::Nanometres), "{nanometres}");
        }
        for other in ["HZ", "PPM", "M/Z", "SECONDS", "ARBITRARY", "MILLISECONDS", ""] {
            assert_eq!(abscissa_unit(other), None, "{other}");
        }
    }

    #[test]
    fn reads_the_words_for_an_ordinate() {
        use Ordinate as O;
        use OrdinateWords::{PerConcentration, Plain, Silent, Unknown};
        for (words, expected) in [
            ("ABSORBANCE", Plain(O::Absorbance)),
            ("Absorbance units", Plain(O::Absorbance)),
            ("A", Plain(O::Absorbance)),
            ("LOG(1/R)", Plain(O::Absorbance)),
            ("TRANSMITTANCE ", Plain(O::Transmittance)),
            ("PERCENT TRANSMITTANCE", Plain(O::PercentTransmittance)),
            ("% Transmission", Plain(O::PercentTransmittance)),
            ("%T", Plain(O::PercentTransmittance)),
            ("REFLECTANCE", Plain(O::Reflectance)),
            ("Percent Reflectance", Plain(O::PercentReflectance)),
            ("(micromol/mol)-1m-1 (base 10)", PerConcentration),
            ("L/MOL CM", PerConcentration),
            ("MOLAR ABSORPTIVITY", PerConcentration),
            ("ARBITRARY UNITS", Unknown),
            ("KUBELKA-MUNK", Unknown),
            ("COUNTS", Unknown),
            ("", Silent),
        ] {
            assert_eq!(ordinate(words), expected, "{words}");
        }
    }

    #[test]
    fn reads_how_a_sample_was_measured_only_where_one_way_is_named() {
        assert_eq!(mode("Single-bounce ATR, diamond"), Some(MeasurementMode::Atr));
        assert_eq!(mode("TRANSMISSION"), Some(MeasurementMode::Transmission));
        assert_eq!(mode("KBr pellet"), Some(MeasurementMode::Transmission));
        assert_eq!(mode("KBr Beam splitter; MCT Detector"), None);
        assert_eq!(mode("Specular reflectance"), Some(MeasurementMode::Reflection));
        assert_eq!(mode("ATR, converted to transmission"), None);
        assert_eq!(mode("matrix"), None);
    }
}
