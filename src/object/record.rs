//! What a person wrote down about the object: the manifest as values.
//!
//! A field that was left blank is an empty string or `None`; [`recorded`] prints it as
//! "not recorded". Nothing here is computed.
//!
//! **In:** the text of a manifest.
//!
//! **Out:** its [`Manifest`], every record with the line that it stands on; nothing is judged yet.
//!
//! ```
//! use bandlore::object::record::{Manifest, recorded};
//!
//! let text = "[object]\ntitle = \"An invented clock\"\n[[part]]\nid = \"S1\"\n";
//! let manifest = Manifest::from_toml(text, "object.toml")?;
//! assert_eq!(manifest.parts[0].id, "S1");
//! assert_eq!(recorded(&manifest.object.maker), "not recorded");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::spectrum::{MeasurementMode, Ordinate};
use crate::tables::{NeighbourKind, NeighbourRelation};

/// What a blank field reads as.
pub const NOT_RECORDED: &str = "not recorded";

/// Returns the text, or "not recorded" where it is blank.
///
/// ```
/// assert_eq!(bandlore::object::record::recorded("diamond"), "diamond");
/// assert_eq!(bandlore::object::record::recorded("  "), "not recorded");
/// ```
#[must_use]
pub fn recorded(text: &str) -> &str {
    if text.trim().is_empty() { NOT_RECORDED } else { text }
}

/// The whole manifest: an object, its parts and what was measured on them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Manifest {
    /// The object as a whole.
    pub object: ObjectRecord,
    /// Its parts, in the order written.
    pub parts: Vec<PartRecord>,
    /// Every spectrum, in the order written.
    pub spectra: Vec<SpectrumRecord>,
    /// What stands beside the parts.
    pub neighbours: Vec<NeighbourRecord>,
    /// Sheets that might replace a part.
    pub candidates: Vec<CandidateRecord>,
    /// Colour readings.
    pub colours: Vec<ColourReading>,
    /// The conservator's plan, never computed.
    pub next_examination: NextExamination,
}

/// The object as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ObjectRecord {
    /// Title or name.
    pub title: String,
    /// Inventory number or other id.
    pub id: String,
    /// Date of making, as written.
    pub date_made: String,
    /// Maker or artist.
    pub maker: String,
    /// Owner or custodian.
    pub owner: String,
    /// Where it stands.
    pub place: String,
    /// Size, as written.
    pub dimensions: String,
    /// What it is.
    pub description: String,
    /// Light, climate and events it has seen.
    pub history: String,
    /// Who allowed the measurement, and when.
    pub permission: String,
    /// Who examined it.
    pub examiner: String,
    /// When it was examined, as written.
    pub examined: String,
    /// Smallest radius in mm on which a replacement sheet would be held, to the concave face.
    pub smallest_radius_mm: Option<f64>,
    /// Whether that surface curves in two directions.
    pub double_curvature: Option<bool>,
    /// Where an earlier report is kept.
    pub previous_report: String,
    /// Polystyrene film measured on the day, a path relative to the manifest.
    pub film: String,
    /// Anything else, such as "invented demo data".
    pub note: String,
}

/// One part of the object.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct PartRecord {
    /// Short id, unique among parts and candidates.
    pub id: String,
    /// Name in plain words.
    pub name: String,
    /// A larger part that it belongs to, such as "vanes".
    pub group: String,
    /// What an earlier record says it is made of.
    pub said_to_be: String,
    /// What the eye sees.
    pub seen: Seen,
    /// Result of an acid indicator, as written (strip, value, how long exposed).
    pub acid_indicator: String,
    /// pH of a surface or of a droplet, as written.
    pub ph: String,
    /// X-ray fluorescence on chlorine: what was found.
    pub xrf_chlorine: XrfChlorine,
    /// UV-visible transmittance file, a path relative to the manifest.
    pub uv_visible: String,
    /// Anything else.
    pub note: String,
    /// Line of the manifest.
    pub line: usize,
}

/// What the eye sees on a part; each is free text, blank for "not recorded".
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Seen {
    /// Yellowing, fading or staining.
    pub discolouration: String,
    /// Change in opacity.
    pub opacity: String,
    /// Fine surface cracks.
    pub crazes: String,
    /// Cracks and splits.
    pub cracks: String,
    /// Tackiness, roughness, crumbling.
    pub texture: String,
    /// Warping, shrinkage, sagging.
    pub distortion: String,
    /// Bloom, exudate or deposit.
    pub bloom: String,
}

impl Seen {
    /// Returns each heading with its text, in a fixed order.
    #[must_use]
    pub fn entries(&self) -> [(&'static str, &str); 7] {
        [
            ("discolouration", &self.discolouration),
            ("change in opacity", &self.opacity),
            ("crazes", &self.crazes),
            ("cracks", &self.cracks),
            ("surface texture", &self.texture),
            ("distortion", &self.distortion),
            ("bloom or exudate", &self.bloom),
        ]
    }

    /// Returns whether anything but "none" was written anywhere.
    #[must_use]
    pub fn any_change(&self) -> bool {
        self.entries().iter().any(|(_, text)| says_something(text))
    }
}

/// Returns whether an entry tells of something seen: "none" and "no change" do not.
pub(super) fn says_something(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    !text.is_empty() && text != "none" && text != "no" && !text.starts_with("no change")
}

/// What X-ray fluorescence says of chlorine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum XrfChlorine {
    /// Not measured, or not written down.
    #[default]
    NotRecorded,
    /// Chlorine found.
    Detected,
    /// Chlorine looked for and not found.
    NotDetected,
}

/// Which face of a part a spectrum speaks of.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Face {
    /// The face that saw the light.
    Exposed,
    /// The far face of the same part; a transparent part let light through to it.
    Reverse,
    /// A place under a bracket, clamp, gasket, label or overlap.
    Covered,
    /// A freshly cut edge.
    Edge,
    /// Not recorded.
    #[default]
    Unknown,
}

impl fmt::Display for Face {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Exposed => "exposed",
            Self::Reverse => "reverse",
            Self::Covered => "covered",
            Self::Edge => "cut edge",
            Self::Unknown => "face not recorded",
        })
    }
}

/// One spectrum: where and how it was taken.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct SpectrumRecord {
    /// Path relative to the manifest's folder.
    pub file: String,
    /// Block within the file (from 1) where it holds several spectra.
    pub block: Option<usize>,
    /// What the ordinate of this file is, where the file does not say.
    pub ordinate: Option<Ordinate>,
    /// How this file was measured, where it does not say.
    pub mode: Option<MeasurementMode>,
    /// Id of the part or candidate.
    pub part: String,
    /// Name of the spot within the face.
    pub spot: String,
    /// Which face.
    pub face: Face,
    /// The word written for the face, such as "bore".
    pub face_words: String,
    /// File name of a photograph that shows the spot.
    pub photo: String,
    /// Where the spot is: coordinates or words.
    pub coordinates: String,
    /// in situ, detached fragment, micro-sample.
    pub sampling: String,
    /// State of the surface: as found, dusted, wiped.
    pub surface: String,
    /// Mark that the measurement left.
    pub mark_left: String,
    /// Pressure or clamp setting.
    pub pressure: String,
    /// Instrument.
    pub instrument: String,
    /// ATR crystal.
    pub crystal: String,
    /// Angle of incidence in degrees, as written.
    pub angle: String,
    /// Detector.
    pub detector: String,
    /// Resolution in cm⁻¹, as written.
    pub resolution: String,
    /// Scans added up.
    pub scans: String,
    /// Age of the background.
    pub background_age: String,
    /// Room temperature.
    pub temperature: String,
    /// Relative humidity.
    pub humidity: String,
    /// Who measured.
    pub operator: String,
    /// When, as written.
    pub date: String,
    /// Where the fragment or sample is kept.
    pub sample_kept: String,
    /// Line of the manifest.
    pub line: usize,
}

impl SpectrumRecord {
    /// Returns each heading of how the spectrum was taken, with its text or "not recorded".
    #[must_use]
    pub fn entries(&self) -> [(&'static str, &str); 18] {
        [
            ("photo", recorded(&self.photo)),
            ("where", recorded(&self.coordinates)),
            ("sampling", recorded(&self.sampling)),
            ("surface", recorded(&self.surface)),
            ("mark left", recorded(&self.mark_left)),
            ("pressure", recorded(&self.pressure)),
            ("instrument", recorded(&self.instrument)),
            ("crystal", recorded(&self.crystal)),
            ("angle of incidence", recorded(&self.angle)),
            ("detector", recorded(&self.detector)),
            ("resolution", recorded(&self.resolution)),
            ("scans", recorded(&self.scans)),
            ("background age", recorded(&self.background_age)),
            ("temperature", recorded(&self.temperature)),
            ("relative humidity", recorded(&self.humidity)),
            ("operator", recorded(&self.operator)),
            ("date", recorded(&self.date)),
            ("sample kept at", recorded(&self.sample_kept)),
        ]
    }
}

/// What stands beside one or more parts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct NeighbourRecord {
    /// Name in plain words, such as "brass pinions".
    pub name: String,
    /// Id of a part, where the neighbour is itself a part of the object.
    pub is_part: Option<String>,
    /// What it is made of, where it is not a measured part.
    pub material: Option<NeighbourKind>,
    /// Ids of the parts that it stands beside; empty for every part.
    pub beside: Vec<String>,
    /// How near.
    pub nearness: NeighbourRelation,
    /// What was seen on it, such as "tarnish".
    pub seen: String,
    /// Line of the manifest.
    pub line: usize,
}

/// A sheet that might replace a part.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct CandidateRecord {
    /// Short id, unique among parts and candidates.
    pub id: String,
    /// Name in plain words.
    pub name: String,
    /// Material id that the seller claims.
    pub claimed: String,
    /// Ids of the parts that it would replace.
    pub replaces: Vec<String>,
    /// Maker.
    pub maker: String,
    /// Grade.
    pub grade: String,
    /// Batch.
    pub batch: String,
    /// cast, extruded, coextruded.
    pub process: String,
    /// Thickness in mm.
    pub thickness_mm: Option<f64>,
    /// Thickness tolerance in mm, to either side.
    pub thickness_tolerance_mm: Option<f64>,
    /// How the UV-protected side is marked.
    pub uv_side: String,
    /// Masking film.
    pub masking_film: String,
    /// Date of the data sheet.
    pub data_sheet_date: String,
    /// Result of an Oddy test.
    pub oddy_test: String,
    /// Result of a photographic activity test.
    pub photographic_activity_test: String,
    /// Where an off-cut is kept.
    pub off_cut: String,
    /// How it would be fixed.
    pub fixing: String,
    /// Adhesive and cleaner.
    pub adhesive_and_cleaner: String,
    /// How it could be undone.
    pub reversibility: String,
    /// A second, independent result, such as "DSC: no melting peak".
    pub other_result: String,
    /// X-ray fluorescence on chlorine: what was found.
    pub xrf_chlorine: XrfChlorine,
    /// UV-visible transmittance file, a path relative to the manifest.
    pub uv_visible: String,
    /// Spectrum of a reference that the examiner vouches for, a path relative to the manifest.
    pub reference: String,
    /// Material id of that reference.
    pub reference_material: String,
    /// Who vouches for it: maker, grade, batch.
    pub reference_vouched_by: String,
    /// Line of the manifest.
    pub line: usize,
}

/// One colour reading.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ColourReading {
    /// Id of the part.
    pub part: String,
    /// Which face.
    pub face: Face,
    /// L*.
    pub lightness: Option<f64>,
    /// a*.
    pub a_star: Option<f64>,
    /// b*.
    pub b_star: Option<f64>,
    /// Yellowness index, where that is what was read.
    pub yellowness_index: Option<f64>,
    /// Instrument, illuminant and observer.
    pub instrument: String,
    /// What lay behind the part.
    pub backing: String,
    /// When, as written.
    pub date: String,
    /// Line of the manifest.
    pub line: usize,
}

/// The next examination: filled by the conservator, never computed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct NextExamination {
    /// When.
    pub date: String,
    /// Who.
    pub who: String,
    /// Which spots.
    pub spots: String,
    /// With which settings.
    pub settings: String,
    /// What would bring it forward.
    pub brought_forward_by: String,
}
