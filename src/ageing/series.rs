//! What a marker does over a series of known doses, inside those doses alone.

use serde::{Deserialize, Serialize};

use super::regression::Curve;
use super::values::MarkerState;
use crate::tables::{Asked, Faults, read_by_hand};

/// Fewer points than this give no slope with an interval.
const LEAST_POINTS: usize = 4;
/// Fewer different doses than this give no slope.
const LEAST_DOSES: usize = 3;

/// The unit a dose is given in. Units are never turned into one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[non_exhaustive]
pub enum DoseUnit {
    /// Illuminance times time, in lux hours.
    #[serde(rename = "lux h")]
    LuxHours,
    /// Radiant exposure in watt hours per square metre, over a stated band of wavelengths.
    #[serde(rename = "W h/m²")]
    WattHoursPerSquareMetre,
    /// Hours at a stated temperature and relative humidity.
    #[serde(rename = "h")]
    Hours,
    /// Days in the open, where nothing was metered.
    #[serde(rename = "d")]
    Days,
}

impl DoseUnit {
    fn from_text(text: &str) -> Option<Self> {
        match text.to_lowercase().replace([' ', '·', '*', '.'], "").as_str() {
            "luxh" | "lxh" | "luxhours" => Some(Self::LuxHours),
            "wh/m2" | "wh/m²" | "whm-2" => Some(Self::WattHoursPerSquareMetre),
            "h" | "hours" => Some(Self::Hours),
            "d" | "days" => Some(Self::Days),
            _ => None,
        }
    }

    /// Returns the unit as it is printed.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::LuxHours => "lux h",
            Self::WattHoursPerSquareMetre => "W h/m²",
            Self::Hours => "h",
            Self::Days => "d",
        }
    }
}

/// One row of a series: a spectrum's dose with all that must be known of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Dose {
    /// The spectrum's file, as the sheet names it.
    pub file: String,
    /// The dose.
    pub dose: f64,
    /// Its unit.
    pub unit: DoseUnit,
    /// Band of wavelengths, or temperature and humidity: what the unit alone leaves open.
    pub conditions: String,
    /// The lamp, the sun, the oven.
    pub source: String,
    /// The filter or glass in between; "none" where there was none.
    pub filter: String,
}

/// Reads a series: columns `file`, `dose`, `unit`, `source`, `filter`, and by unit `band`
/// (W h/m²) or `temperature_c` and `relative_humidity` (h).
///
/// # Errors
///
/// Missing columns, negative doses, unknown units, and a unit without what it leaves open.
pub fn read_doses(file: &str, bytes: &[u8]) -> Result<Vec<Dose>, Faults> {
    const ASKED: Asked = Asked {
        columns: &["file", "dose", "unit", "source", "filter"],
        optional: &["band", "temperature_c", "relative_humidity"],
        loose: true,
    };
    read_by_hand(bytes, file, ASKED, |row| {
        let dose = row.number("dose");
        if dose < 0.0 {
            row.refuse("dose", "a dose of 0 or more");
        }
        let unit = DoseUnit::from_text(&row.text("unit")).unwrap_or_else(|| {
            row.refuse("unit", "\"lux h\", \"W h/m2\", \"h\" or \"d\"");
            DoseUnit::Days
        });
        let conditions = match unit {
            DoseUnit::WattHoursPerSquareMetre => row.optional("band").unwrap_or_else(|| {
                row.refuse("band", "the band of wavelengths, such as 295-385 nm");
                String::new()
            }),
            DoseUnit::Hours => format!(
                "{} °C, {} % RH",
                row.number("temperature_c"),
                row.number("relative_humidity")
            ),
            DoseUnit::LuxHours | DoseUnit::Days => row.text("band"),
        };
        Dose {
            file: row.required("file"),
            dose,
            unit,
            conditions,
            source: row.required("source"),
            filter: row.required("filter"),
        }
    })
}

/// A marker's course over the doses of one kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct DoseSlope {
    /// The marker's id.
    pub marker: String,
    /// Unit of the dose.
    pub unit: DoseUnit,
    /// What the unit leaves open: band, or temperature and humidity.
    pub conditions: String,
    /// The lamp, the sun, the oven.
    pub source: String,
    /// The filter.
    pub filter: String,
    /// Number of spectra.
    pub n: usize,
    /// Lowest measured dose.
    pub lowest_dose: f64,
    /// Highest measured dose.
    pub highest_dose: f64,
    /// Change of the index per unit of dose, inside the measured doses.
    pub slope: Option<f64>,
    /// Lower end of its 95 % interval.
    pub low: Option<f64>,
    /// Upper end of its 95 % interval.
    pub high: Option<f64>,
    /// Why there is no slope, or what it does not say.
    pub note: String,
}

/// Said beside every slope.
pub const SLOPE_LIMITS: &str = "holds inside the measured doses alone: no lifetime, no extrapolation, and the same dose given faster or slower may act otherwise";

/// Fits one line a marker and a kind of dose.
///
/// `readings` holds dose, marker id, index as read and what may be said of it. Where a marker is found at any dose, those
/// below detection are fitted with the rest, so that the slope is not biased; where it is found at none, there is
/// nothing to fit. Doses that differ in unit, band, climate, source or filter are never pooled.
#[must_use]
pub fn dose_slopes(readings: &[(&Dose, &str, f64, MarkerState)]) -> Vec<DoseSlope> {
    let mut slopes: Vec<(DoseSlope, Readings)> = Vec::new();
    for (dose, marker, index, state) in readings {
        let is_found = *state == MarkerState::Measured;
        let found = slopes.iter_mut().find(|(s, _)| {
            s.marker == *marker
                && s.unit == dose.unit
                && s.conditions == dose.conditions
                && s.source == dose.source
                && s.filter == dose.filter
        });
        if let Some((slope, read)) = found {
            slope.n += 1;
            slope.lowest_dose = slope.lowest_dose.min(dose.dose);
            slope.highest_dose = slope.highest_dose.max(dose.dose);
            read.doses.push(dose.dose);
            read.indices.push(*index);
            read.any_found |= is_found;
        } else {
            let slope = DoseSlope {
                marker: (*marker).to_owned(),
                unit: dose.unit,
                conditions: dose.conditions.clone(),
                source: dose.source.clone(),
                filter: dose.filter.clone(),
                n: 1,
                lowest_dose: dose.dose,
                highest_dose: dose.dose,
                slope: None,
                low: None,
                high: None,
                note: String::new(),
            };
            let read =
                Readings { doses: vec![dose.dose], indices: vec![*index], any_found: is_found };
            slopes.push((slope, read));
        }
    }
    slopes.into_iter().map(|(slope, read)| fit_slope(slope, &read)).collect()
}

/// A marker's readings over the doses of one kind.
struct Readings {
    doses: Vec<f64>,
    indices: Vec<f64>,
    any_found: bool,
}

fn fit_slope(mut slope: DoseSlope, read: &Readings) -> DoseSlope {
    let (x, y) = (read.doses.as_slice(), read.indices.as_slice());
    if !read.any_found {
        "no slope: below detection throughout".clone_into(&mut slope.note);
        return slope;
    }
    let mut doses = x.to_vec();
    doses.sort_by(f64::total_cmp);
    doses.dedup();
    if x.len() < LEAST_POINTS || doses.len() < LEAST_DOSES {
        slope.note = format!(
            "no slope: {} spectra at {} different doses, at least {LEAST_POINTS} at {LEAST_DOSES} are needed",
            x.len(),
            doses.len()
        );
        return slope;
    }
    let fitted = Curve::fit(x, y, 1).and_then(|line| line.slope());
    if let Some((value, reach, _)) = fitted.filter(|(_, reach, _)| *reach > 0.0) {
        slope.slope = Some(value);
        slope.low = Some(value - reach);
        slope.high = Some(value + reach);
        SLOPE_LIMITS.clone_into(&mut slope.note);
    } else {
        "no slope: the readings leave the fit without an interval".clone_into(&mut slope.note);
    }
    slope
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "file,dose,unit,source,filter,band,temperature_c,relative_humidity\n";

    fn found(dose: &Dose) -> (&Dose, &str, f64, MarkerState) {
        (dose, "M", dose.dose, MarkerState::Measured)
    }

    fn doses(rows: &str) -> Result<Vec<Dose>, Faults> {
        read_doses("s.csv", format!("{HEAD}{rows}").as_bytes())
    }

    #[test]
    fn asks_for_what_a_unit_leaves_open() {
        assert!(doses("a,1,W h/m2,xenon,window glass,295-385 nm,,\n").is_ok());
        assert!(doses("a,1,W h/m2,xenon,window glass,,,\n").is_err());
        assert!(doses("a,1,h,oven,none,,70,50\n").is_ok());
        assert!(doses("a,1,h,oven,none,,70,\n").is_err());
        assert!(doses("a,1,klx,lamp,none,,,\n").is_err());
        assert!(doses("a,-1,lux h,lamp,none,,,\n").is_err());
    }

    #[test]
    fn never_pools_two_kinds_of_dose() {
        let list =
            doses("a,0,lux h,lamp,glass,,,\nb,1,lux h,lamp,glass,,,\nc,0,lux h,lamp,none,,,\n")
                .expect("readable");
        let readings: Vec<(&Dose, &str, f64, MarkerState)> = list.iter().map(found).collect();
        let slopes = dose_slopes(&readings);
        assert_eq!(slopes.len(), 2);
        assert!(slopes.iter().all(|s| s.slope.is_none() && s.note.starts_with("no slope")));
    }

    #[test]
    fn finds_a_slope_with_its_interval_and_says_what_it_does_not_mean() {
        let list = doses(
            "a,0,lux h,lamp,glass,,,\nb,1,lux h,lamp,glass,,,\nc,2,lux h,lamp,glass,,,\nd,3,lux h,lamp,glass,,,\n",
        )
        .expect("readable");
        let values = [1.9, 3.1, 3.9, 5.1];
        let of = |state| -> Vec<(&Dose, &str, f64, MarkerState)> {
            list.iter().zip(values).map(|(d, v)| (d, "M", v, state)).collect()
        };
        let readings = of(MarkerState::Measured);
        let slope = dose_slopes(&readings).remove(0);
        // Hand sum: slope 1.04, error 0.0565685, t(0.975, 2) = 4.302653 from tables.
        let reach = 4.302_653 * 0.056_568_5;
        assert!((slope.slope.expect("slope") - 1.04).abs() < 1e-12);
        assert!((slope.low.expect("low") - (1.04 - reach)).abs() < 1e-5);
        assert_eq!((slope.lowest_dose, slope.highest_dose), (0.0, 3.0));
        assert!(slope.note.contains("no extrapolation"));
        // The same figures below detection are no figures; one reading above it lets all of them count.
        let mut below = of(MarkerState::BelowDetection);
        let nothing = dose_slopes(&below).remove(0);
        assert_eq!((nothing.slope, nothing.low, nothing.high), (None, None, None));
        assert_eq!(nothing.note, "no slope: below detection throughout");
        below[3].3 = MarkerState::Measured;
        assert_eq!(dose_slopes(&below).remove(0), slope);
    }

    #[test]
    fn readings_without_any_spread_give_no_slope_of_nothing() {
        let rows = ["0", "1", "2", "3"].map(|dose| format!("a,{dose},lux h,lamp,glass,,,\n"));
        let list = doses(&rows.concat()).expect("readable");
        let level: Vec<_> = list.iter().map(|d| (d, "M", 0.25, MarkerState::Measured)).collect();
        let slope = dose_slopes(&level).remove(0);
        assert_eq!((slope.slope, slope.low), (None, None));
        assert!(slope.note.starts_with("no slope: "), "{}", slope.note);
    }
}
