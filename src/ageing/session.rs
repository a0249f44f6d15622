//! Whether two examinations, years apart, may be compared by numbers.

use crate::spectrum::{Spectrum, interpolate};

/// Angles of incidence may differ by this much in degrees; ours.
const ANGLE_LIMIT_DEG: f64 = 1.0;
/// Nominal resolutions may differ by this much in cm⁻¹; ours.
const RESOLUTION_LIMIT_CM1: f64 = 0.1;
/// The stable check sample, scaled, may miss itself by this share of its strongest band; ours.
const CHECK_LIMIT: f64 = 0.03;
/// The check samples must share at least this stretch in cm⁻¹; ours.
const LEAST_SHARED_CM1: f64 = 800.0;

/// How an examination was measured.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Session {
    /// The crystal's material.
    pub crystal: Option<String>,
    /// Angle of incidence in degrees.
    pub angle_deg: Option<f64>,
    /// Nominal resolution in cm⁻¹.
    pub resolution_cm1: Option<f64>,
    /// A stable check sample measured in the same session.
    pub check: Option<Spectrum>,
}

impl Session {
    /// Sets the crystal's material.
    #[must_use]
    pub fn with_crystal(self, crystal: impl Into<Option<String>>) -> Self {
        Self { crystal: crystal.into(), ..self }
    }

    /// Sets the angle of incidence in degrees.
    #[must_use]
    pub fn with_angle_deg(self, angle_deg: impl Into<Option<f64>>) -> Self {
        Self { angle_deg: angle_deg.into(), ..self }
    }

    /// Sets the nominal resolution in cm⁻¹.
    #[must_use]
    pub fn with_resolution_cm1(self, resolution_cm1: impl Into<Option<f64>>) -> Self {
        Self { resolution_cm1: resolution_cm1.into(), ..self }
    }

    /// Sets the stable check sample measured in the same session.
    #[must_use]
    pub fn with_check(self, check: impl Into<Option<Spectrum>>) -> Self {
        Self { check: check.into(), ..self }
    }
}

/// Says whether two sessions agree within the stated limits.
///
/// # Errors
///
/// The first thing that differs or is not recorded.
pub fn sessions_agree(earlier: &Session, later: &Session) -> Result<(), String> {
    match (&earlier.crystal, &later.crystal) {
        (Some(a), Some(b)) if a.eq_ignore_ascii_case(b) => {}
        (Some(a), Some(b)) => return Err(format!("the crystals differ ({a}, {b})")),
        _ => return Err("the crystal of both examinations is not recorded".to_owned()),
    }
    alike("angle of incidence", earlier.angle_deg, later.angle_deg, ANGLE_LIMIT_DEG, "°")?;
    alike(
        "resolution",
        earlier.resolution_cm1,
        later.resolution_cm1,
        RESOLUTION_LIMIT_CM1,
        " cm⁻¹",
    )?;
    let (Some(a), Some(b)) = (&earlier.check, &later.check) else {
        return Err("no stable check sample was measured in both examinations".to_owned());
    };
    if a.is_measurement_of(b) {
        return Err(format!(
            "the check samples of both examinations are one measurement, which shows no stability: measure the check \
             sample in each session{}",
            a.or_else_than(b)
        ));
    }
    let miss = check_miss(a, b).ok_or("the check samples share too little range")?;
    if miss > CHECK_LIMIT {
        return Err(format!(
            "the check sample differs by {:.1} % of its strongest band, more than {:.0} %",
            100.0 * miss,
            100.0 * CHECK_LIMIT
        ));
    }
    Ok(())
}

fn alike(
    what: &str,
    earlier: Option<f64>,
    later: Option<f64>,
    limit: f64,
    unit: &str,
) -> Result<(), String> {
    match (earlier, later) {
        (Some(a), Some(b)) if (a - b).abs() <= limit => Ok(()),
        (Some(a), Some(b)) => Err(format!("the {what} differs ({a}{unit}, {b}{unit})")),
        _ => Err(format!("the {what} of both examinations is not recorded")),
    }
}

/// Greatest difference of two check spectra over their strongest band, without any rescaling: a
/// check sample that has become weaker is a check that failed. A constant offset is forgiven.
fn check_miss(earlier: &Spectrum, later: &Spectrum) -> Option<f64> {
    let (low_a, high_a) = earlier.range_cm1();
    let (low_b, high_b) = later.range_cm1();
    let (low, high) = (low_a.max(low_b), high_a.min(high_b));
    if high - low < LEAST_SHARED_CM1 {
        return None;
    }
    let pairs: Vec<(f64, f64)> = earlier
        .wavenumbers_cm1()
        .iter()
        .zip(earlier.absorbances())
        .filter(|(v, _)| (low..=high).contains(*v) && later.covers(**v, **v))
        .filter_map(|(v, a)| {
            Some((*a, interpolate(later.wavenumbers_cm1(), later.absorbances(), *v)?))
        })
        .collect();
    let strongest = pairs.iter().map(|p| p.0).fold(f64::NEG_INFINITY, f64::max)
        - pairs.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
    if pairs.is_empty() || strongest <= 0.0 {
        return None;
    }
    let offset = pairs.iter().map(|(a, b)| b - a).sum::<f64>() / pairs.len() as f64;
    let squares = pairs.iter().map(|(a, b)| (b - a - offset).powi(2)).sum::<f64>();
    // Twice the root mean square stands for the greatest difference, noise spikes left aside.
    Some(2.0 * (squares / pairs.len() as f64).sqrt() / strongest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    fn check(height: f64) -> Option<Spectrum> {
        let axis: Vec<f64> = (0..800).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let values =
            axis.iter().map(|v| height * (-((v - 1450.0) / 200.0).powi(2)).exp()).collect();
        Spectrum::new(SpectrumParts::new(axis, values)).ok()
    }

    fn session(height: f64) -> Session {
        Session {
            crystal: Some("diamond".to_owned()),
            angle_deg: Some(45.0),
            resolution_cm1: Some(4.0),
            check: check(height),
        }
    }

    #[test]
    fn agrees_with_itself() {
        assert_eq!(sessions_agree(&session(0.5), &session(0.505)), Ok(()));
    }

    #[test]
    fn names_what_differs() {
        let say = |later: Session| sessions_agree(&session(0.5), &later).expect_err("differs");
        assert!(say(session(0.6)).contains("check sample differs"));
        assert!(say(Session { angle_deg: Some(60.0), ..session(0.5) }).contains("angle"));
        assert!(say(Session { resolution_cm1: None, ..session(0.5) }).contains("not recorded"));
        assert!(
            say(Session { crystal: Some("Ge".to_owned()), ..session(0.5) }).contains("crystals")
        );
        assert!(say(Session { check: None, ..session(0.5) }).contains("no stable check"));
        assert!(say(session(0.5)).contains("are one measurement, which shows no stability"));
    }
}
