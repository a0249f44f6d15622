//! Bands: where a material absorbs, how strongly, and who says so.

use std::cmp::Ordering;

use serde::{Deserialize, Serialize};

use super::rules::Window;
use super::sheet::{Located, Record, Row};
use super::sourcing::Sourcing;
use super::words::{BandRole, BandWidth, Strength, TransmissionBasis};
use crate::spectrum::MeasurementMode;

/// How high a band stands, measured: its height over a local baseline as a share of the strongest
/// band of the same spectrum.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct RelativeHeight {
    /// Median over the spectra.
    pub median: f64,
    /// 10th percentile.
    pub low: f64,
    /// 90th percentile.
    pub high: f64,
    /// Number of spectra.
    pub n: usize,
    /// The open data set or optical constants measured.
    pub source: String,
}

/// One band of one material.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Band {
    /// Id: the material, a hyphen, the position it was first entered under. It stays when the
    /// position is mended, so that rules keep their hold.
    pub id: String,
    /// Id of the material.
    pub material: String,
    /// Position in ATR in cm⁻¹.
    pub position_cm1: f64,
    /// Where the band may stand in ATR.
    pub atr: Window,
    /// Where the band may stand in transmission. Strong bands stand higher there.
    pub transmission: Window,
    /// Where the transmission window comes from.
    pub transmission_basis: TransmissionBasis,
    /// How strong.
    pub strength: Strength,
    /// How wide.
    pub width: BandWidth,
    /// The vibration: "symmetric stretch", "rock", …; empty where not known.
    pub mode: String,
    /// What vibrates: "C–Cl", "carbonate C=O", …
    pub assignment: String,
    /// What it is worth as evidence.
    pub role: BandRole,
    /// Measured relative height, where an open set holds the material.
    pub height: Option<RelativeHeight>,
    /// Where the row comes from.
    pub sourcing: Sourcing,
    /// What a reader should know; names disagreement between sources.
    pub note: String,
}

impl Band {
    /// Returns the window that holds for a kind of measurement. Reflection has none of its own: its
    /// bands are distorted, and the transmission window is the nearer one.
    #[must_use]
    pub const fn window(&self, mode: MeasurementMode) -> Window {
        match mode {
            MeasurementMode::Atr => self.atr,
            MeasurementMode::Transmission | MeasurementMode::Reflection => self.transmission,
        }
    }
}

impl Record for Band {
    const FILE: &'static str = "bands.csv";

    const HEADER: &'static str = "id,material,position_cm1,atr_low_cm1,atr_high_cm1,transmission_low_cm1,\
         transmission_high_cm1,transmission_basis,strength,width,mode,assignment,role,\
         height_median,height_low,height_high,height_n,height_source,source,source_class,status,\
         note";

    fn from_row(row: &mut Row<'_>) -> Self {
        let band = Self {
            id: row.required("id"),
            material: row.required("material"),
            position_cm1: row.wavenumber("position_cm1"),
            atr: row.window("atr_low_cm1", "atr_high_cm1"),
            transmission: row.window("transmission_low_cm1", "transmission_high_cm1"),
            transmission_basis: row.word("transmission_basis"),
            strength: row.word("strength"),
            width: row.word("width"),
            mode: row.text("mode"),
            assignment: row.required("assignment"),
            role: row.word("role"),
            height: height(row),
            sourcing: row.sourcing(),
            note: row.text("note"),
        };
        if band.atr.is_beside(band.position_cm1) {
            let (position, low, high) = (band.position_cm1, band.atr.low_cm1, band.atr.high_cm1);
            row.fault(
                "position_cm1",
                format!("{position} lies outside its ATR window {low} to {high}"),
            );
        }
        band
    }

    /// By material and falling position.
    fn order(a: &Located<Self>, b: &Located<Self>) -> Ordering {
        let (a, b) = (&a.value, &b.value);
        a.material.cmp(&b.material).then(b.position_cm1.total_cmp(&a.position_cm1))
    }
}

/// Writes a band back into its row.
pub(super) fn to_row(band: &Band) -> Vec<String> {
    let height =
        |read: fn(&RelativeHeight) -> String| band.height.as_ref().map_or_else(String::new, read);
    vec![
        band.id.clone(),
        band.material.clone(),
        band.position_cm1.to_string(),
        band.atr.low_cm1.to_string(),
        band.atr.high_cm1.to_string(),
        band.transmission.low_cm1.to_string(),
        band.transmission.high_cm1.to_string(),
        band.transmission_basis.to_string(),
        band.strength.to_string(),
        band.width.to_string(),
        band.mode.clone(),
        band.assignment.clone(),
        band.role.to_string(),
        height(|x| x.median.to_string()),
        height(|x| x.low.to_string()),
        height(|x| x.high.to_string()),
        height(|x| x.n.to_string()),
        height(|x| x.source.clone()),
        band.sourcing.source.clone(),
        band.sourcing.class.to_string(),
        band.sourcing.status.to_string(),
        band.note.clone(),
    ]
}

/// Reads the five columns of a measured height: all filled or all empty.
fn height(row: &mut Row<'_>) -> Option<RelativeHeight> {
    const NAMES: [&str; 5] =
        ["height_median", "height_low", "height_high", "height_n", "height_source"];
    if !row.all_or_none(
        &NAMES,
        "a measured height needs median, low, high, n and source; fill all five or none",
    ) {
        return None;
    }
    let height = RelativeHeight {
        median: row.number("height_median"),
        low: row.number("height_low"),
        high: row.number("height_high"),
        n: row.count("height_n"),
        source: row.text("height_source"),
    };
    let RelativeHeight { median, low, high, .. } = height;
    if low > median || median > high || low < 0.0 {
        row.fault("height_median", format!("{median} does not lie between {low} and {high}"));
    }
    Some(height)
}
