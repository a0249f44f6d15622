//! The table made ready for matching: what each material should show, and what each band is worth.

use super::shapes::ShapeLibrary;
use crate::peaks::STRETCHES_ABOVE_CM1;
use crate::spectrum::{MeasurementMode, zones};
use crate::tables::{Band, BandRole, BandWidth, Material, MaterialKind, Strength, Tables};

/// How high a band of each word stands beside the strongest of its own material in ATR, where no
/// measured height is known (own reading of 40 measured materials; good to a factor of about two).
const SHARE_VERY_STRONG: f64 = 1.0;
const SHARE_STRONG: f64 = 0.5;
const SHARE_MEDIUM: f64 = 0.2;
const SHARE_WEAK: f64 = 0.05;

/// Least expected share, so that a measured height of nearly nothing divides nothing by nothing.
const LEAST_SHARE: f64 = 0.004;

/// How many other families may share a window before a band counts half.
const HALVING_FAMILIES: f64 = 5.0;

/// Bands weaker than this do not make another family a rival for a window.
const RIVAL_SHARE: f64 = 0.1;

/// How much more a diagnostic band counts than a supporting one.
const DIAGNOSTIC_FACTOR: f64 = 1.3;

/// Fewer measured samples than this do not show that a band without an assignment belongs to the
/// material rather than to the one specimen: it explains, and is not missed.
const LEAST_SAMPLES: usize = 3;

/// How the table marks a band that nobody assigned.
const NOT_ASSIGNED: &str = "not assigned";

/// How far outside its window a band may still be found, in cm⁻¹, with falling worth.
const SLACK_CM1: f64 = 3.0;
/// The same for broad bands.
const SLACK_BROAD_CM1: f64 = 6.0;
/// Windows above [`STRETCHES_ABOVE_CM1`] are looser by this factor.
const STRETCHES_LOOSER: f64 = 1.6;

/// Broad stretches of O–H and N–H stand above this wavenumber in cm⁻¹.
pub const HYDROGEN_STRETCH_ABOVE_CM1: f64 = 3100.0;

/// How far a spectrum must reach past a window for the band to be testable, in cm⁻¹.
const MARGIN_CM1: f64 = 8.0;
/// The same for broad bands.
const MARGIN_BROAD_CM1: f64 = 12.0;

/// Wavenumbers are compared with this much room for rounding, in cm⁻¹.
const ROUNDING_CM1: f64 = 1.0e-6;

/// One expected band.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Expected {
    /// Index of the band among the table's bands.
    pub band: usize,
    /// Window in ATR.
    pub atr_cm1: (f64, f64),
    /// Window in transmission.
    pub transmission_cm1: (f64, f64),
    /// Position in cm⁻¹.
    pub position_cm1: f64,
    /// Expected height as a share of the material's strongest band.
    pub share: f64,
    /// Whether the height was measured rather than put in a word.
    pub measured: bool,
    /// What it is worth.
    pub weight: f64,
    /// What its height counts where the scale of the material is told.
    pub scale_weight: f64,
    /// How far outside the window it may be found.
    pub slack_cm1: f64,
    /// How far the spectrum must reach past the window.
    pub margin_cm1: f64,
    /// Explains a peak, and is not missed where it is absent.
    pub optional: bool,
    /// The material cannot be named without it.
    pub required: bool,
    /// It tells the material from many others.
    pub diagnostic: bool,
    /// Roughly above 30 cm⁻¹ at half height.
    pub broad: bool,
}

impl Expected {
    /// Returns the window for a kind of measurement.
    #[must_use]
    pub const fn window_cm1(&self, mode: MeasurementMode) -> (f64, f64) {
        match mode {
            MeasurementMode::Atr => self.atr_cm1,
            MeasurementMode::Transmission | MeasurementMode::Reflection => self.transmission_cm1,
        }
    }
}

/// One material with its expected bands.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Entry {
    /// Index of the material among the table's materials.
    pub material: usize,
    /// What it is.
    pub kind: MaterialKind,
    /// Whether it may be an answer.
    pub nameable: bool,
    /// Its bands.
    pub expected: Vec<Expected>,
}

/// The table, made ready once.
#[derive(Clone, Debug)]
pub struct Matcher {
    entries: Vec<Entry>,
    shapes: ShapeLibrary,
}

impl Matcher {
    /// Makes a table ready: weighs each band by how few other families absorb in its window.
    ///
    /// The rows of a conformer go to its polymer as optional bands; artefacts are left out, for they
    /// never compete.
    #[must_use]
    pub fn new(tables: &Tables) -> Self {
        let materials = tables.materials();
        let rivals = Rivals::of(tables);
        let mut entries: Vec<Entry> = materials
            .iter()
            .enumerate()
            .filter(|(_, material)| competes(material.kind))
            .map(|(index, material)| Entry {
                material: index,
                kind: material.kind,
                nameable: material.nameable,
                expected: expected(tables, material, &rivals),
            })
            .collect();
        entries.retain(|entry| !entry.expected.is_empty());
        Self { entries, shapes: ShapeLibrary::new(tables.shapes()) }
    }

    /// Returns the measured shapes.
    #[must_use]
    pub fn shapes(&self) -> &ShapeLibrary {
        &self.shapes
    }

    /// Returns the entries in the table's order.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }
}

const fn competes(kind: MaterialKind) -> bool {
    matches!(
        kind,
        MaterialKind::Polymer
            | MaterialKind::Fibre
            | MaterialKind::Additive
            | MaterialKind::Mineral
            | MaterialKind::Residue
    )
}

/// Returns the expected height of a band as a share of its material's strongest.
#[must_use]
pub fn share(band: &Band) -> f64 {
    let word = match band.strength {
        Strength::VeryStrong => SHARE_VERY_STRONG,
        Strength::Strong => SHARE_STRONG,
        Strength::Medium => SHARE_MEDIUM,
        Strength::Weak => SHARE_WEAK,
    };
    band.height.as_ref().map_or(word, |height| height.median.max(LEAST_SHARE))
}

fn expected(tables: &Tables, material: &Material, rivals: &Rivals<'_>) -> Vec<Expected> {
    // A conformer is named after its polymer: PET-trans belongs to PET.
    let is_conformer = |other: &&Material| {
        other.kind == MaterialKind::Conformer
            && other.id.strip_prefix(&material.id).is_some_and(|rest| rest.starts_with('-'))
    };
    let conformers = tables.materials().iter().filter(is_conformer);
    let spans = conformers.map(|conformer| tables.span_of(&conformer.id));
    let mut indices: Vec<usize> = tables.span_of(&material.id).chain(spans.flatten()).collect();
    indices.sort_unstable();
    indices
        .into_iter()
        .filter_map(|index| Some((index, tables.bands().get(index)?)))
        .map(|(index, band)| {
            let atr_cm1 = (band.atr.low_cm1, band.atr.high_cm1);
            let others = rivals.other_families(&material.family, atr_cm1);
            let share = share(band);
            let broad = band.width == BandWidth::Broad;
            let diagnostic = matches!(band.role, BandRole::Diagnostic | BandRole::Required);
            let looser =
                if band.position_cm1 > STRETCHES_ABOVE_CM1 { STRETCHES_LOOSER } else { 1.0 };
            // A supporting band that a tenth of the measured samples do not show is not missed.
            let sometimes = !diagnostic && band.height.as_ref().is_some_and(|h| h.low <= 0.0);
            // Exclusions are made of such bands alone, and must be held to them; an additive is a
            // pure compound, of which one specimen tells all.
            let one_specimen = material.nameable
                && material.kind != MaterialKind::Additive
                && band.assignment == NOT_ASSIGNED
                && band.height.as_ref().is_some_and(|h| h.n < LEAST_SAMPLES);
            let weight = share.powf(0.4) * if diagnostic { DIAGNOSTIC_FACTOR } else { 1.0 }
                / (1.0 + others / HALVING_FAMILIES);
            Expected {
                band: index,
                atr_cm1,
                transmission_cm1: (band.transmission.low_cm1, band.transmission.high_cm1),
                position_cm1: band.position_cm1,
                share,
                measured: band.height.is_some(),
                weight,
                scale_weight: share.powf(0.1) * weight,
                slack_cm1: looser * if broad { SLACK_BROAD_CM1 } else { SLACK_CM1 },
                margin_cm1: if broad { MARGIN_BROAD_CM1 } else { MARGIN_CM1 },
                optional: sometimes || one_specimen || band.material != material.id,
                // Height alone shows an O–H or N–H stretch, and height alone bars no name.
                required: band.role == BandRole::Required
                    && !(broad && band.position_cm1 > HYDROGEN_STRETCH_ABOVE_CM1),
                diagnostic,
                broad,
            }
        })
        .filter(|e| !zones::is_in(zones::TWO_PHONONS_CM1, e.position_cm1))
        .collect()
}

/// The bands that make a window common, and the families they belong to.
struct Rivals<'t> {
    families: Vec<&'t str>,
    /// The window, and the place of the family in the list; by the window's lower end.
    bands: Vec<((f64, f64), usize)>,
    /// The widest window.
    widest_cm1: f64,
}

impl<'t> Rivals<'t> {
    fn of(tables: &'t Tables) -> Self {
        let mut rivals = Self { families: Vec::new(), bands: Vec::new(), widest_cm1: 0.0 };
        for band in tables.bands().iter().filter(|band| share(band) >= RIVAL_SHARE) {
            let Some(material) = tables.material(&band.material) else { continue };
            if !competes(material.kind) {
                continue;
            }
            let family = material.family.as_str();
            let place = rivals.families.iter().position(|name| *name == family);
            let place = place.unwrap_or_else(|| {
                rivals.families.push(family);
                rivals.families.len() - 1
            });
            rivals.bands.push(((band.atr.low_cm1, band.atr.high_cm1), place));
            rivals.widest_cm1 = rivals.widest_cm1.max(band.atr.high_cm1 - band.atr.low_cm1);
        }
        rivals.bands.sort_by(|((a, _), _), ((b, _), _)| a.total_cmp(b));
        rivals
    }

    /// Counts the other families with a band in a window.
    fn other_families(&self, family: &str, window_cm1: (f64, f64)) -> f64 {
        // No window that begins lower reaches so far; what is a little lower is looked at all the same.
        let least = window_cm1.0 - self.widest_cm1 - ROUNDING_CM1;
        let from = self.bands.partition_point(|((low, _), _)| *low < least);
        let mut met = vec![false; self.families.len()];
        let near = self.bands.iter().skip(from).take_while(|((low, _), _)| *low <= window_cm1.1);
        for (_, place) in near.filter(|((_, high), _)| *high >= window_cm1.0) {
            met[*place] = true;
        }
        let others = self.families.iter().zip(met).filter(|(name, met)| *met && **name != family);
        others.count() as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_supporting_band_that_some_samples_lack_is_not_missed_and_a_telling_one_is() {
        let matcher = Matcher::new(Tables::built_in());
        let optional = |id: &str| {
            let is_it = |expected: &&Expected| Tables::built_in().bands()[expected.band].id == id;
            let mut all = matcher.entries().iter().flat_map(|entry| &entry.expected);
            all.find(is_it).expect("a row").optional
        };
        // All five were absent from some of the spectra that their heights come from; the first two only support.
        assert!(optional("PVC-1356") && optional("PVC-2850"));
        assert!(!optional("PA66-935") && !optional("PAN-1071") && !optional("CA-1224"));
        // This one stood in all of them.
        assert!(!optional("PVC-1254"));
    }

    #[test]
    fn families_that_absorb_in_a_window_make_its_bands_common() {
        let tables = Tables::built_in();
        let rivals = Rivals::of(tables);
        // CH2 stretches are nearly everybody's, a nitrile's stretch is not.
        let (chains, nitrile) = ((2915.0, 2925.0), (2238.0, 2246.0));
        let all = |window| rivals.other_families("none of them", window);
        assert!(all(chains) >= 10.0 && all(nitrile) <= 5.0, "{} {}", all(chains), all(nitrile));
        assert!(all(nitrile) >= 1.0);
        // Its own family is no rival.
        let family = &tables.material("PE-HD").expect("polyethylene").family;
        assert_eq!(rivals.other_families(family, chains), all(chains) - 1.0);
        let weight = |id: &str, at: f64| {
            let matcher = Matcher::new(tables);
            let is_it = |entry: &&Entry| tables.materials()[entry.material].id == id;
            let entry = matcher.entries().iter().find(is_it).expect("an entry");
            let band = entry.expected.iter().find(|band| (band.position_cm1 - at).abs() < 6.0);
            let band = band.expect("a band");
            band.weight / band.share.powf(0.4)
        };
        assert!(weight("PAN", 2243.0) > 1.5 * weight("PE-HD", 2916.0));
    }
}
