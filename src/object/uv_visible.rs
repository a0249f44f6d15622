//! Figures of a UV-visible transmittance file.

use super::manifest::unlike;
use super::result::UvVisible;
use crate::quote::in_marks;
use crate::tables::Fault;

/// The near ultraviolet that window glass lets through, in nm: 315 is where UV-A begins (CIE).
const NEAR_ULTRAVIOLET_NM: (f64, f64) = (315.0, 400.0);

/// The visible range, in nm.
const VISIBLE_NM: (f64, f64) = (400.0, 780.0);

/// Values above this are percent: a transmittance of 1.2 is past any error of an instrument.
const HIGHEST_SHARE: f64 = 1.2;

/// Points apart by more than this leave a hole that is not bridged, in nm.
const WIDEST_STEP_NM: f64 = 10.0;

impl UvVisible {
    /// Reads a two-column file of wavelength in nm and transmittance, as a share or in percent.
    ///
    /// A percent sign in the heading, or values above 1.2, mean percent. Means are taken by the
    /// trapezoid rule; a range that the file does not cover gives `None`.
    ///
    /// # Errors
    ///
    /// A heading that speaks of absorbance or reflectance, a line that is not two numbers, and
    /// values below 0 or wavelengths that repeat are refused with their line.
    pub fn from_text(text: &str, file: &str) -> Result<Self, Fault> {
        let fault = |line: usize, found: &str, expected: &str| {
            Fault::at(file, line, unlike("UV-visible", &in_marks(found), expected))
        };
        let mut percent = false;
        let mut points: Vec<(f64, f64)> = Vec::new();
        for (i, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
            let line = line.trim();
            let Some((nm, t)) = two_numbers(line) else {
                if !points.is_empty() && !line.is_empty() {
                    let expected = "a wavelength in nm and a transmittance";
                    return Err(fault(i + 1, line, expected));
                }
                let heading = line.to_lowercase();
                if heading.contains("absorb") || heading.contains("reflect") {
                    return Err(fault(i + 1, line, "transmittance"));
                }
                percent |= heading.contains('%') || heading.contains("percent");
                continue;
            };
            if !(0.0..=f64::MAX).contains(&t) || !(100.0..=5000.0).contains(&nm) {
                return Err(fault(i + 1, line, "100 to 5000 nm and no value below 0"));
            }
            points.push((nm, t));
        }
        if points.len() < 2 {
            return Err(fault(1, file, "at least two points"));
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        if points.windows(2).any(|pair| matches!(pair, [a, b] if a.0 >= b.0)) {
            return Err(fault(1, file, "each wavelength once"));
        }
        if percent || points.iter().any(|p| p.1 > HIGHEST_SHARE) {
            for point in &mut points {
                point.1 /= 100.0;
            }
        }
        Ok(Self {
            file: file.to_owned(),
            mean_315_400: mean(&points, NEAR_ULTRAVIOLET_NM),
            mean_400_780: mean(&points, VISIBLE_NM),
            at_380: at(&points, 380.0),
            at_400: at(&points, 400.0),
        })
    }
}

/// Splits a line into two numbers: commas, semicolons, tabs or blanks between, decimal commas read.
fn two_numbers(line: &str) -> Option<(f64, f64)> {
    let separators: &[char] = if line.contains([';', '\t']) { &[';', '\t'] } else { &[',', ' '] };
    let mut cells = line.split(separators).map(str::trim).filter(|cell| !cell.is_empty());
    let mut number = || cells.next()?.replace(',', ".").parse::<f64>().ok();
    let pair = (number()?, number()?);
    (pair.0.is_finite() && pair.1.is_finite()).then_some(pair)
}

fn at(points: &[(f64, f64)], nm: f64) -> Option<f64> {
    let after = points.partition_point(|p| p.0 < nm);
    let upper = points.get(after)?;
    if upper.0 <= nm {
        return Some(upper.1);
    }
    let lower = points.get(after.checked_sub(1)?)?;
    (upper.0 - lower.0 <= WIDEST_STEP_NM)
        .then(|| lower.1 + (nm - lower.0) / (upper.0 - lower.0) * (upper.1 - lower.1))
}

fn mean(points: &[(f64, f64)], (low, high): (f64, f64)) -> Option<f64> {
    let mut inside = vec![(low, at(points, low)?)];
    inside.extend(points.iter().filter(|p| p.0 > low && p.0 < high));
    inside.push((high, at(points, high)?));
    let mut area = 0.0;
    for pair in inside.windows(2) {
        let [a, b] = pair else { continue };
        if b.0 - a.0 > WIDEST_STEP_NM {
            return None;
        }
        area += (b.0 - a.0) * f64::midpoint(a.1, b.1);
    }
    Some(area / (high - low))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_means_and_values_of_a_straight_line() {
        // T rises from 0 at 300 nm to 1 at 800 nm, so that every figure is arithmetic by hand.
        let text: String = std::iter::once("nm,T\n".to_owned())
            .chain(
                (300..=800).step_by(5).map(|nm| format!("{nm},{}\n", (nm as f64 - 300.0) / 500.0)),
            )
            .collect();
        let figures = UvVisible::from_text(&text, "line.csv").expect("valid");
        let close = |value: Option<f64>, wanted: f64| {
            assert!((value.expect("covered") - wanted).abs() < 1e-12, "{value:?} {wanted}");
        };
        close(figures.at_380, 0.16);
        close(figures.at_400, 0.20);
        close(figures.mean_315_400, 0.115);
        close(figures.mean_400_780, 0.58);
    }

    #[test]
    fn reads_percent_semicolons_and_decimal_commas() {
        let text = "Wellenlänge;T %\n380;50,5\n385;60,5\n400;70,0\n";
        let figures = UvVisible::from_text(text, "a.csv").expect("valid");
        assert_eq!(figures.at_380, Some(0.505));
        assert_eq!(figures.mean_315_400, None);
        assert_eq!(figures.at_400, Some(0.7));
    }

    #[test]
    fn refuses_absorbance_text_and_repeats() {
        for (text, line) in [
            ("nm,absorbance\n380,1\n390,2\n", 1),
            ("nm,T\n380,0.1\nn.d.\n", 3),
            ("nm,T\n380,-0.1\n390,0\n", 2),
            ("nm,T\n380,0.1\n380,0.2\n", 1),
            ("", 1),
        ] {
            let fault = UvVisible::from_text(text, "a.csv").expect_err(text);
            assert_eq!(fault.line, Some(line), "{text}");
        }
    }
}
