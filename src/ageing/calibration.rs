//! From an index to a content, by standards of known content.

use super::regression::Curve;
use super::statistics::mean_and_variance;
use super::values::Content;

/// Fewer standards than this settle no calibration; ours.
pub const LEAST_STANDARDS: usize = 4;
/// Fewer standards than this are fitted by a line even where they seem to bend; ours.
const LEAST_STANDARDS_FOR_A_CURVE: usize = 7;
/// The standards bend when the quadratic term's p value is below this; common practice.
const BEND_P: f64 = 0.05;

/// One standard: a sample, its known content, and the index read on one spectrum of it.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Standard {
    /// Name of the sample; repeats of one sample carry the same name.
    pub sample: String,
    /// Known content, in the unit of [`Calibration::quantity`].
    pub content: f64,
    /// The index of the marker on this spectrum.
    pub index: f64,
}

impl Standard {
    /// Creates a standard; the content is in the unit of [`Calibration::quantity`].
    #[must_use]
    pub fn new(sample: impl Into<String>, content: f64, index: f64) -> Self {
        Self { sample: sample.into(), content, index }
    }
}

/// Why standards make no calibration.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CalibrationError {
    /// Too few samples.
    #[error(
        "{found} different standards, at least {LEAST_STANDARDS} are needed; repeats of one sample count once"
    )]
    TooFew {
        /// Number of different samples.
        found: usize,
    },
    /// One sample is given two contents.
    #[error("sample \"{sample}\" is given two contents, {first} and {second}; correct one of them")]
    TwoContents {
        /// The sample.
        sample: String,
        /// The first content.
        first: f64,
        /// The other one.
        second: f64,
    },
    /// The standards do not settle a curve.
    #[error("the standards' indices do not differ enough to settle a line")]
    Degenerate,
    /// A calibration that turns back cannot be inverted.
    #[error(
        "content first rises and then falls with the index over these standards; narrow their range"
    )]
    NotMonotonic,
}

/// A line, or a parabola where the standards bend, from index to content.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    quantity: String,
    curve: Curve,
    /// Variance of single readings within a sample.
    repeat_variance: f64,
    bent: bool,
}

impl Calibration {
    /// Fits a calibration to the mean index of each sample.
    ///
    /// Repeats of one sample are no new standards: they are averaged, and their spread enters the
    /// interval of a single reading.
    ///
    /// # Errors
    ///
    /// Fewer than four samples, a sample with two contents, indices that do not differ, and a
    /// curve that turns back within the standards are refused.
    pub fn fit(quantity: &str, standards: &[Standard]) -> Result<Self, CalibrationError> {
        let mut samples: Vec<(&str, f64, Vec<f64>)> = Vec::new();
        for standard in standards {
            match samples.iter_mut().find(|(name, _, _)| *name == standard.sample) {
                None => {
                    samples.push((&standard.sample, standard.content, vec![standard.index]));
                }
                Some((_, content, _)) if (*content - standard.content).abs() > 1e-9 => {
                    return Err(CalibrationError::TwoContents {
                        sample: standard.sample.clone(),
                        first: *content,
                        second: standard.content,
                    });
                }
                Some((_, _, indices)) => indices.push(standard.index),
            }
        }
        if samples.len() < LEAST_STANDARDS {
            return Err(CalibrationError::TooFew { found: samples.len() });
        }
        let x: Vec<f64> =
            samples.iter().map(|(_, _, v)| v.iter().sum::<f64>() / v.len() as f64).collect();
        let y: Vec<f64> = samples.iter().map(|(_, content, _)| *content).collect();
        let line = Curve::fit(&x, &y, 1).ok_or(CalibrationError::Degenerate)?;
        let parabola = (samples.len() >= LEAST_STANDARDS_FOR_A_CURVE)
            .then(|| Curve::fit(&x, &y, 2))
            .flatten()
            .filter(|curve| curve.highest_term_p().is_some_and(|p| p < BEND_P));
        let bent = parabola.is_some();
        let curve = parabola.unwrap_or(line);
        let (least, most) = curve.range();
        if curve.derivative(least) * curve.derivative(most) <= 0.0 {
            return Err(CalibrationError::NotMonotonic);
        }
        Ok(Self {
            quantity: quantity.to_owned(),
            curve,
            repeat_variance: pooled_variance(&samples),
            bent,
        })
    }

    /// Returns name and unit of the content.
    #[must_use]
    pub fn quantity(&self) -> &str {
        &self.quantity
    }

    /// Returns whether a parabola was fitted, because the standards bend.
    #[must_use]
    pub fn is_bent(&self) -> bool {
        self.bent
    }

    /// Returns the content an index stands for, with its 95 % prediction interval.
    ///
    /// An index outside the standards is carried with a doubt: nothing is known there.
    #[must_use]
    pub fn content(&self, index: f64) -> Option<Content> {
        let value = self.curve.value(index);
        let extra = self.curve.derivative(index).powi(2) * self.repeat_variance;
        let reach = self.curve.prediction_half_width(index, extra)?;
        let (least, most) = self.curve.range();
        let doubt = (index < least || index > most).then(|| {
            format!("the index lies outside the standards ({least:.4} to {most:.4}); do not use the content")
        });
        Some(Content {
            value,
            low: value - reach,
            high: value + reach,
            quantity: self.quantity.clone(),
            doubt,
        })
    }
}

fn pooled_variance(samples: &[(&str, f64, Vec<f64>)]) -> f64 {
    let (mut squares, mut degrees_of_freedom) = (0.0, 0.0);
    for (_, _, indices) in samples {
        if let Some((_, variance)) = mean_and_variance(indices) {
            let n = indices.len() as f64 - 1.0;
            squares += variance * n;
            degrees_of_freedom += n;
        }
    }
    if degrees_of_freedom > 0.0 { squares / degrees_of_freedom } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn standard(sample: &str, content: f64, index: f64) -> Standard {
        Standard { sample: sample.to_owned(), content, index }
    }

    #[test]
    fn refuses_three_samples_however_often_they_were_repeated() {
        let standards: Vec<Standard> = (0..9)
            .map(|i| standard(&format!("s{}", i % 3), f64::from(i % 3), f64::from(i % 3)))
            .collect();
        assert_eq!(Calibration::fit("DS", &standards), Err(CalibrationError::TooFew { found: 3 }));
    }

    #[test]
    fn refuses_a_sample_with_two_contents_and_indices_that_do_not_differ() {
        let twice = [standard("a", 1.0, 0.1), standard("a", 2.0, 0.2)];
        assert!(matches!(
            Calibration::fit("DS", &twice),
            Err(CalibrationError::TwoContents { .. })
        ));
        let flat: Vec<Standard> =
            (0..5).map(|i| standard(&format!("s{i}"), f64::from(i), 0.5)).collect();
        assert_eq!(Calibration::fit("DS", &flat), Err(CalibrationError::Degenerate));
    }

    #[test]
    fn doubts_an_index_outside_the_standards() {
        let standards: Vec<Standard> = (0..6)
            .map(|i| {
                let bend = if i % 2 == 0 { 0.01 } else { -0.01 };
                standard(&format!("s{i}"), 1.0 + 0.4 * f64::from(i) + bend, 0.1 * f64::from(i))
            })
            .collect();
        let calibration = Calibration::fit("DS", &standards).expect("a line");
        assert!(!calibration.is_bent());
        let inside = calibration.content(0.25).expect("inside");
        assert!(inside.doubt.is_none() && (inside.value - 2.0).abs() < 0.02);
        assert!(calibration.content(0.8).expect("outside").doubt.is_some());
    }

    #[test]
    fn the_scatter_of_repeats_widens_a_content_by_what_it_makes_of_it() {
        // Four contents a unit of index apart, with and without repeats that scatter by 0.01 about the same mean.
        let fitted = |scatter: f64| {
            let repeats = [-1.0, 1.0].map(|side| side * scatter);
            let bend = [0.02, -0.02, -0.02, 0.02];
            let standards: Vec<Standard> = (0..4)
                .flat_map(|i| {
                    let (content, index) = (4.0 * i as f64 + bend[i], i as f64);
                    repeats.map(|off| standard(&format!("s{i}"), content, index + off))
                })
                .collect();
            let content = Calibration::fit("DS", &standards).expect("a line").content(1.5);
            let content = content.expect("inside");
            (content.high - content.low) / 2.0
        };
        // Of two values 0.02 apart the variance is 2e-4; t for 2 degrees of freedom is 4.3027.
        let added = fitted(0.01).powi(2) - fitted(0.0).powi(2);
        let expected = 4.302_652_73_f64.powi(2) * 4.0_f64.powi(2) * 2.0e-4;
        assert!((added / expected - 1.0).abs() < 1.0e-6, "{added} {expected}");
    }
}
