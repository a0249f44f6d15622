//! Which part of a spectrum a figure shows, in which unit and how large.

use crate::spectrum::{PointFlag, Spectrum};

/// Pixels of a millimetre: SVG counts 96 to an inch.
const PIXELS_A_MM: f64 = 96.0 / 25.4;

/// The smallest and the largest figure in millimetres a side.
const SIDES_MM: (f64, f64) = (50.0, 1000.0);

/// The range shown where nobody asks for another and whatever was measured, so that what was not
/// measured is seen.
const WHOLE_CM1: (f64, f64) = (4000.0, 400.0);

/// Ranges by the name of what stands there, high end first, in cm⁻¹ (common practice, no source).
const NAMED_CM1: [(&str, f64, f64); 6] = [
    ("hydroxyl", 3750.0, 3000.0),
    ("C-H", 3150.0, 2700.0),
    ("carbonyl", 1850.0, 1550.0),
    ("fingerprint", 1850.0, 600.0),
    ("C-O", 1350.0, 950.0),
    ("C-Cl", 760.0, 540.0),
];

/// What a figure shows of a spectrum.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct View {
    /// Highest and lowest wavenumber in cm⁻¹; the whole mid infrared where left out.
    pub range_cm1: Option<(f64, f64)>,
    /// Whether transmittance in percent is drawn in place of absorbance.
    pub percent_transmittance: bool,
    /// Width and height in millimetres; fit for a column of A4 where left out.
    pub size_mm: Option<(f64, f64)>,
}

impl View {
    /// Sets highest and lowest wavenumber in cm⁻¹.
    #[must_use]
    pub fn with_range_cm1(self, range_cm1: impl Into<Option<(f64, f64)>>) -> Self {
        Self { range_cm1: range_cm1.into(), ..self }
    }

    /// Sets whether transmittance in percent takes the place of absorbance.
    #[must_use]
    pub fn with_percent_transmittance(self, percent_transmittance: bool) -> Self {
        Self { percent_transmittance, ..self }
    }

    /// Sets width and height in millimetres.
    #[must_use]
    pub fn with_size_mm(self, size_mm: impl Into<Option<(f64, f64)>>) -> Self {
        Self { size_mm: size_mm.into(), ..self }
    }
}

impl View {
    /// Reads a range: two wavenumbers with a hyphen between, either first, or a name such as
    /// `carbonyl`, `C-Cl` or `fingerprint`.
    ///
    /// # Errors
    ///
    /// Says what can be read, where this cannot.
    pub fn read_range(text: &str) -> Result<(f64, f64), String> {
        let plain = |text: &str| text.trim().replace('–', "-").to_lowercase();
        let wanted = plain(text);
        if let Some((_, high, low)) = NAMED_CM1.iter().find(|(name, ..)| plain(name) == wanted) {
            return Ok((*high, *low));
        }
        let ends = wanted.split_once('-');
        let number = |end: &str| end.trim().parse::<f64>().ok().filter(|x| x.is_finite());
        let ends = ends.and_then(|(a, b)| Some((number(a)?, number(b)?)));
        let names: Vec<&str> = NAMED_CM1.iter().map(|(name, ..)| *name).collect();
        match ends {
            Some((a, b)) if (a - b).abs() >= 20.0 && a.min(b) > 0.0 => Ok((a.max(b), a.min(b))),
            Some(_) => Err("the ends must be 20 cm-1 apart or more".to_owned()),
            None => Err(format!(
                "expected two wavenumbers in cm-1, such as 1850-1550, or one of {}",
                names.join(", ")
            )),
        }
    }

    /// Reads a size in millimetres: `160x100`.
    ///
    /// # Errors
    ///
    /// Says what can be read, where this cannot.
    pub fn read_size(text: &str) -> Result<(f64, f64), String> {
        let sides = text.trim().trim_end_matches("mm").trim_end().split_once(['x', '×']);
        let number = |side: &str| side.trim().parse::<f64>().ok();
        let sides = sides.and_then(|(a, b)| Some((number(a)?, number(b)?)));
        let fits = |side: f64| (SIDES_MM.0..=SIDES_MM.1).contains(&side);
        sides.filter(|(width, height)| fits(*width) && fits(*height)).ok_or_else(|| {
            format!(
                "expected width x height in millimetres, {} to {} each, such as 160x100",
                SIDES_MM.0, SIDES_MM.1
            )
        })
    }

    /// The size in pixels, or the one that a kind of figure has by itself.
    pub(super) fn size(&self, usual: (f64, f64)) -> (f64, f64) {
        self.size_mm.map_or(usual, |(width, height)| (width * PIXELS_A_MM, height * PIXELS_A_MM))
    }

    /// Highest and lowest wavenumber drawn for these spectra.
    pub(super) fn range<'a>(&self, spectra: impl Iterator<Item = &'a Spectrum>) -> (f64, f64) {
        self.range_cm1.unwrap_or_else(|| {
            spectra.fold(WHOLE_CM1, |(high, low), spectrum| {
                let (first, last) = spectrum.range_cm1();
                (high.max(last), low.min(first))
            })
        })
    }

    /// An absorbance as it is drawn.
    pub(super) fn value(&self, absorbance: f64) -> f64 {
        if self.percent_transmittance { 100.0 * 10f64.powf(-absorbance) } else { absorbance }
    }

    /// The measured points inside a range, in unbroken runs, as they are drawn.
    pub(super) fn runs(&self, spectrum: &Spectrum, range: (f64, f64)) -> Vec<Vec<(f64, f64)>> {
        let inside = |wavenumber: f64| (range.1..=range.0).contains(&wavenumber);
        spectrum
            .segments()
            .iter()
            .map(|run| {
                spectrum.wavenumbers_cm1()[run.clone()]
                    .iter()
                    .zip(&spectrum.absorbances()[run.clone()])
                    .zip(&spectrum.flags()[run.clone()])
                    .filter(|((wavenumber, _), flag)| {
                        inside(**wavenumber) && **flag != PointFlag::Padded
                    })
                    .map(|((wavenumber, absorbance), _)| (*wavenumber, self.value(*absorbance)))
                    .collect::<Vec<_>>()
            })
            .filter(|run| run.len() > 1)
            .collect()
    }

    /// What the upward axis is called.
    pub(super) fn ordinate_title(&self, relative: bool) -> &'static str {
        match (self.percent_transmittance, relative) {
            (true, _) => "Transmittance / %",
            (false, true) => "Relative absorbance",
            (false, false) => "Absorbance",
        }
    }
}

/// Lowest and highest of what is drawn, with a margin; absorbance shows its zero where that is near.
pub(super) fn limits(values: impl Iterator<Item = f64>, with_zero: bool) -> Option<(f64, f64)> {
    let (mut low, mut high) = values
        .filter(|value| value.is_finite())
        .fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)));
    if low > high {
        return None;
    }
    if with_zero && low > 0.0 && low < 0.5 * high {
        low = 0.0;
    }
    let span = (high - low).max(1e-6);
    low -= 0.04 * span;
    high += 0.05 * span;
    Some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_read_by_number_and_by_name() {
        assert_eq!(View::read_range("1550-1850"), Ok((1850.0, 1550.0)));
        assert_eq!(View::read_range("Carbonyl"), Ok((1850.0, 1550.0)));
        assert_eq!(View::read_range("c–cl"), Ok((760.0, 540.0)));
        for wrong in ["", "1700", "carbonyls", "1700-1701", "a-b"] {
            assert!(View::read_range(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn sizes_are_read_in_millimetres() {
        assert_eq!(View::read_size("160x100"), Ok((160.0, 100.0)));
        assert_eq!(View::read_size("85 × 60 mm"), Ok((85.0, 60.0)));
        for wrong in ["160", "0x10", "160x5000", "axb"] {
            assert!(View::read_size(wrong).is_err(), "{wrong}");
        }
        let view = View { size_mm: Some((254.0, 127.0)), ..View::default() };
        let (width, height) = view.size((1.0, 1.0));
        assert!((width - 960.0).abs() < 1e-9 && (height - 480.0).abs() < 1e-9);
    }
}
