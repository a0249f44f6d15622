//! What is checked before a spectrum may be judged.

use super::shape::Shape;
use super::signal::Signal;
use super::vapour_lines::Comb;
use super::{
    Finding, Fringes, NoiseProfile, Severity, chlorine_region, fringes, ordinate, sampling, tops,
    vapour,
};
use crate::spectrum::Spectrum;

/// What is left of fringes is worst far below the stretches that they are fitted in, where C–Cl stands.
const LEFT_READ_AT_CM1: f64 = 613.0;

/// Whether a spectrum is fit to be judged, and what must be kept in mind where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitness {
    findings: Vec<Finding>,
    noise: NoiseProfile,
    signal: Signal,
    ripple: f64,
    vapour: Vec<Comb>,
    ceiling: Option<f64>,
}

impl Fitness {
    /// Returns what was found, the gravest first.
    #[must_use]
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Returns the finding with an id.
    #[must_use]
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|finding| finding.id == id)
    }

    /// Returns the finding for which the spectrum must not be judged, if there is one.
    #[must_use]
    pub fn unfit(&self) -> Option<&Finding> {
        self.findings.iter().find(|finding| finding.severity == Severity::Unfit)
    }

    /// Returns one standard deviation of the noise at a wavenumber in cm⁻¹.
    #[must_use]
    pub fn noise_sd_at(&self, wavenumber_cm1: f64) -> f64 {
        self.noise.at(wavenumber_cm1)
    }

    /// Returns the noise along the axis.
    #[must_use]
    pub fn noise(&self) -> &NoiseProfile {
        &self.noise
    }

    /// Returns the height of the strongest band above the lower hull, and where it stands in cm⁻¹.
    #[must_use]
    pub fn strongest(&self) -> (f64, f64) {
        (self.signal.strongest, self.signal.strongest_cm1)
    }

    /// Returns the interference fringes that stand out in the spectrum that was examined.
    #[must_use]
    pub fn fringes_in(&self, spectrum: &Spectrum) -> Option<Fringes> {
        Fringes::standing_out(spectrum, &self.noise, self.signal.strongest)
    }

    /// Says that fringes were taken out before this examination, and how much of them may be left.
    #[must_use]
    pub fn with_fringes_removed(mut self, fringes: Fringes, corrected: &Spectrum) -> Self {
        self.ripple = fringes.left_at(corrected, LEFT_READ_AT_CM1);
        self.findings.retain(|finding| finding.id != "fringes");
        self.findings.push(fringes.removed(self.signal.strongest, self.ripple));
        self.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        self
    }

    /// Returns the absorbance from which on heights are lower bounds, where tops are flat or cut off.
    #[must_use]
    pub fn ceiling(&self) -> Option<f64> {
        self.ceiling
    }

    /// Returns what may be left of fringes that were taken out, as absorbance (one standard deviation, at
    /// the end of the spectrum where most is left); zero where none were.
    #[must_use]
    pub fn ripple(&self) -> f64 {
        self.ripple
    }

    /// Returns whether lines of water vapour were found, up or down.
    pub(crate) fn shows_vapour(&self) -> bool {
        !self.vapour.is_empty()
    }

    /// Returns how high the lines of water vapour stand at a wavenumber in cm⁻¹, as absorbance; zero where no vapour was
    /// found, or where its lines point down.
    #[must_use]
    pub fn vapour_at(&self, wavenumber_cm1: f64) -> f64 {
        let height = |lines: &Comb| lines.height.max(0.0) * lines.pattern.at(wavenumber_cm1);
        self.vapour.iter().map(height).fold(0.0, f64::max)
    }

    /// Returns how far the lines of water vapour reach at a wavenumber in cm⁻¹, up or down, as absorbance.
    pub(crate) fn vapour_reach(&self, wavenumber_cm1: f64) -> f64 {
        let reach = |lines: &Comb| lines.height.abs() * lines.pattern.at(wavenumber_cm1);
        self.vapour.iter().map(reach).fold(0.0, f64::max)
    }

    /// Returns whether the whole window, in cm⁻¹, was measured in range and is not drowned in noise.
    #[must_use]
    pub fn usable(&self, low_cm1: f64, high_cm1: f64) -> bool {
        low_cm1 <= high_cm1
            && self.signal.runs.iter().any(|(low, high)| *low <= low_cm1 && high_cm1 <= *high)
    }

    /// Returns the stretches that can be read, in cm⁻¹, ascending.
    #[must_use]
    pub fn usable_cm1(&self) -> &[(f64, f64)] {
        &self.signal.runs
    }
}

/// Examines what every judgement needs to know: signal, noise, range and the shape of the bands.
///
/// ```
/// use bandlore::{Spectrum, fitness::examine, spectrum::SpectrumParts};
///
/// let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
/// let upside_down = |x: f64| -0.3 / (1.0 + ((x - 1730.0) / 9.0).powi(2));
/// let absorbances = axis.iter().map(|x| upside_down(*x)).collect();
/// let fitness = examine(&Spectrum::new(SpectrumParts::new(axis, absorbances))?);
/// assert_eq!(fitness.unfit().map(|f| f.id.as_str()), Some("inverted"));
/// # Ok::<(), bandlore::spectrum::Error>(())
/// ```
#[must_use]
pub fn examine(spectrum: &Spectrum) -> Fitness {
    examined(spectrum, false)
}

/// Examines everything a spectrum can say of its own measurement.
///
/// Adds to [`examine`] what costs more and changes no identification by itself: resolution and
/// interference fringes, both by Fourier transform.
#[must_use]
pub fn examine_fully(spectrum: &Spectrum) -> Fitness {
    examined(spectrum, true)
}

fn examined(spectrum: &Spectrum, full: bool) -> Fitness {
    let noise = NoiseProfile::of(spectrum);
    let noise_sd = noise.at_points(spectrum);
    let spacing_cm1 = spectrum.spacing_cm1();
    let signal = Signal::of(spectrum, &noise_sd);
    let mut findings = signal.findings(spectrum);
    if let Some(shape) = Shape::of(spectrum, spacing_cm1, &noise_sd, signal.strongest) {
        findings.push(shape.finding());
    }
    findings.extend(ordinate::findings(spectrum, &signal));
    findings.extend(sampling::findings(spectrum, spacing_cm1, &noise, full));
    let (air, vapour) = vapour::findings(spectrum, spacing_cm1, &signal, &noise);
    findings.extend(air);
    if full {
        findings.extend(fringes::finding(spectrum, &noise, signal.strongest));
    }
    findings.extend(chlorine_region::findings(spectrum, &noise, signal.strongest));
    let raised = |id| findings.iter().any(|finding: &Finding| finding.id == id);
    let bounded = raised("flattened") || raised("clipped");
    let ceiling = if bounded { tops::ceiling(spectrum, &signal) } else { None };
    // Stable: within a severity the order above stays.
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    Fitness { findings, noise, signal, ripple: 0.0, vapour, ceiling }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    /// Time that examining 1,800 points may take, so that 2,000 spectra a second stay within reach.
    const MOST_MICROSECONDS: f64 = 250.0;

    #[test]
    fn examining_leaves_time_for_the_rest() {
        let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
        let mut state = 1_u64;
        let values = axis
            .iter()
            .map(|x| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_041);
                let noise = 2.0e-4 * ((state >> 40) as f64 / 2f64.powi(24) - 0.5);
                let bands: f64 = [700.0, 1030.0, 1240.0, 1455.0, 1730.0, 2930.0]
                    .iter()
                    .map(|c| 0.3 / (1.0 + ((x - c) / 8.0).powi(2)))
                    .sum();
                bands + noise
            })
            .collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        assert!(examine(&spectrum).unfit().is_none());
        let rounds = if cfg!(debug_assertions) { 5 } else { 500 };
        let least = (0..5)
            .map(|_| {
                let started = std::time::Instant::now();
                for _ in 0..rounds {
                    std::hint::black_box(examine(std::hint::black_box(&spectrum)));
                }
                started.elapsed().as_secs_f64() * 1.0e6 / f64::from(rounds)
            })
            .fold(f64::INFINITY, f64::min);
        println!("examine: {least:.0} µs for 1,800 points");
        assert!(cfg!(debug_assertions) || least < MOST_MICROSECONDS, "{least:.0} µs");
    }
}
