//! The open table: materials, bands, look-alike groups, rules, markers and care notes.
//!
//! `reference-bands/` is the single copy. It is compiled in, and a folder of the same files takes
//! its place whole; the two are never merged.
//!
//! **In:** nothing ([`Tables::built_in`]), or a folder of the same files ([`Tables::load`]).
//!
//! **Out:** [`Tables`], asked by material, band, group, marker; an [`Error`] lists every [`Fault`] with file and line.
//!
//! ```
//! use bandlore::Tables;
//!
//! let tables = Tables::built_in();
//! let pvc = tables.material("PVC").ok_or("no PVC")?;
//! assert!(pvc.chlorine && !tables.bands_of(&pvc.id).is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bands;
mod by_hand;
pub mod care;
mod check;
mod classes;
mod embedded;
mod fault;
mod find;
mod groups;
mod header;
mod listing;
mod load;
mod loaded;
pub mod look_alikes;
pub mod markers;
mod materials;
mod naming;
mod places;
mod predicates;
mod records;
mod rule_table;
mod rules;
mod shapes;
mod sheet;
mod sourcing;
mod stretches;
mod windows;
pub mod words;

use std::borrow::Cow;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

pub use bands::Band;
pub use bands::RelativeHeight;
pub(crate) use by_hand::{Asked, read_by_hand};
pub(crate) use care::{BendingLimit, CareNote, NeighbourRule, Practice};
pub use classes::Class;
pub use fault::{Error, MOST_FAULTS_LISTED};
pub use fault::{Fault, Faults};
pub(crate) use groups::{Group, in_permission};
pub use listing::{bands_as_csv, bands_as_markdown};
pub(crate) use markers::{Confounder, Marker, Measure, Route};
pub use materials::Material;
pub(crate) use places::{Place, PlaceAsked};
pub(crate) use records::Records;
pub(crate) use rule_table::Rule;
pub use rules::Window;
pub(crate) use rules::{Predicate, Reading, Verdict};
pub(crate) use shapes::{SHAPE_POINTS, shape_wavenumber_cm1};
pub use shapes::{Shape, shapes_as_csv};
pub use sourcing::Sourcing;
pub(crate) use stretches::{BandSet, CarbonChlorine, Stretch, Stretches, Water};
pub use windows::TellingWindow;
pub(crate) use words::{
    BandRole, BandWidth, CareTopic, ConfounderEffect, ConfounderRole, Direction, Effect, Hazard,
    LimitsFrom, MarkerRole, MaterialKind, MaterialRole, MeasureKind, MeasuredBy, NeighbourKind,
    NeighbourRelation, ShapeOrigin, SourceClass, Status, Strength,
};

use embedded::{FILE_COUNT, FILES, TEXTS};
use loaded::{Loaded, Rows};

/// A whole table, read and checked.
#[derive(Debug, Default)]
pub struct Tables {
    version: String,
    rows: Rows,
    /// Where the bands of each material stand among the bands.
    spans: HashMap<String, (usize, usize)>,
    /// The rows of `stretches.csv` by what asks for them.
    stretches: Stretches,
    /// The files it was read from.
    files: [Cow<'static, [u8]>; FILE_COUNT],
    /// Worked out when it is first asked for, or known beforehand.
    sha256: OnceLock<String>,
}

impl Tables {
    /// Returns the table that ships with the program. It is parsed once.
    ///
    /// # Panics
    ///
    /// Only where the program was built with a faulty table, which its tests refuse.
    #[must_use]
    pub fn built_in() -> &'static Self {
        static BUILT_IN: OnceLock<Tables> = OnceLock::new();
        BUILT_IN.get_or_init(|| {
            let files = TEXTS.map(|text| Cow::Borrowed(text.as_bytes()));
            // An empty table would name nothing and say so of every spectrum: better no answer at all.
            let tables = Self::from_files(files).unwrap_or_else(|error| {
                panic!("the table built into this program is faulty: {error}")
            });
            // Empty where the files are not those whose digest is kept (build.rs).
            let kept = env!("BANDLORE_TABLE_SHA256");
            if !kept.is_empty() {
                let _ = tables.sha256.set(kept.to_owned());
            }
            tables
        })
    }

    /// Reads a table from a folder.
    ///
    /// # Errors
    ///
    /// A file cannot be read, or the table is faulty: every fault is listed with file, line and
    /// column.
    pub fn load(folder: &Path) -> Result<Self, Error> {
        let mut files = Vec::with_capacity(FILE_COUNT);
        for file in FILES {
            let bytes = crate::io::open(&folder.join(file))?;
            if files.is_empty() {
                load::refuse_other_formats(&bytes)?;
            }
            files.push(Cow::Owned(bytes));
        }
        let mut files = files.into_iter();
        Self::from_files(std::array::from_fn(|_| files.next().unwrap_or_default()))
    }

    /// Reads a table from the bytes of its files.
    fn from_files(files: [Cow<'static, [u8]>; FILE_COUNT]) -> Result<Self, Error> {
        let (version, loaded) = load::load(&files.each_ref().map(AsRef::as_ref))?;
        let mut tables = Self::from_loaded(version, loaded);
        tables.files = files;
        Ok(tables)
    }

    /// Writes the table's files and its guide into a folder, and returns the paths written.
    ///
    /// # Errors
    ///
    /// A file is already there (nothing is written then), or cannot be written.
    pub fn export(&self, folder: &Path) -> Result<Vec<PathBuf>, Error> {
        let guide = ("README.md", embedded::README.as_bytes());
        let files = FILES.into_iter().zip(self.files.iter().map(AsRef::as_ref));
        let names = FILES.iter().chain([&guide.0]);
        if let Some(path) =
            names.map(|name| folder.join(name)).find(|path| crate::io::is_there(path))
        {
            return Err(Error::Occupied { path });
        }
        crate::io::create_folder(folder)?;
        let mut written = Vec::new();
        for (name, bytes) in files.chain([guide]) {
            let path = folder.join(name);
            crate::io::write_whole(&path, bytes)?;
            written.push(path);
        }
        Ok(written)
    }

    /// Sorts what was read into place.
    fn from_loaded(version: String, loaded: Loaded) -> Self {
        let rows = loaded.into_rows();
        let mut spans: HashMap<String, (usize, usize)> = HashMap::new();
        for (index, band) in rows.bands.iter().enumerate() {
            spans.entry(band.material.clone()).or_insert((index, index)).1 = index + 1;
        }
        let stretches = stretches::by_role(&rows.stretches);
        Self { version, rows, spans, stretches, ..Self::default() }
    }

    /// Returns the version of the contents.
    #[must_use]
    pub fn version(&self) -> &str {
        &self.version
    }

    /// Returns the SHA-256 of the contents in lower-case hexadecimal.
    ///
    /// It does not depend on separators, decimal marks, line ends or the order of rows.
    #[must_use]
    pub fn sha256(&self) -> &str {
        self.sha256
            .get_or_init(|| load::digest(&self.version, &self.files.each_ref().map(AsRef::as_ref)))
    }

    /// Returns all materials, by id.
    #[must_use]
    pub fn materials(&self) -> &[Material] {
        &self.rows.materials
    }

    /// Returns a material.
    #[must_use]
    pub fn material(&self, id: &str) -> Option<&Material> {
        let index = self.rows.materials.binary_search_by(|x| x.id.as_str().cmp(id)).ok()?;
        self.rows.materials.get(index)
    }

    /// Returns all bands, by material and falling position.
    #[must_use]
    pub fn bands(&self) -> &[Band] {
        &self.rows.bands
    }

    /// Returns a band.
    #[must_use]
    pub fn band(&self, id: &str) -> Option<&Band> {
        self.rows.bands.iter().find(|band| band.id == id)
    }

    /// Returns the bands of a material by falling position; none where it has none.
    #[must_use]
    pub fn bands_of(&self, material: &str) -> &[Band] {
        self.rows.bands.get(self.span_of(material)).unwrap_or_default()
    }

    /// Returns where the bands of a material stand in [`Tables::bands`].
    pub(crate) fn span_of(&self, material: &str) -> std::ops::Range<usize> {
        self.spans.get(material).map_or(0..0, |&(from, to)| from..to)
    }

    /// Returns the bands whose ATR or transmission window holds a wavenumber, nearest first.
    #[must_use]
    pub fn bands_near(&self, wavenumber_cm1: f64) -> Vec<&Band> {
        let mut near: Vec<&Band> = self
            .rows
            .bands
            .iter()
            .filter(|x| x.atr.contains(wavenumber_cm1) || x.transmission.contains(wavenumber_cm1))
            .collect();
        near.sort_by(|a, b| {
            let away = |band: &Band| (band.position_cm1 - wavenumber_cm1).abs();
            away(a).total_cmp(&away(b)).then_with(|| a.id.cmp(&b.id))
        });
        near
    }

    /// Returns the look-alike groups.
    #[must_use]
    pub fn groups(&self) -> &[Group] {
        &self.rows.groups
    }

    /// Returns the smallest look-alike group that holds all the given materials.
    #[must_use]
    pub fn group_of<S: AsRef<str>>(&self, materials: &[S]) -> Option<&Group> {
        self.rows.groups.iter().filter(|x| x.covers(materials)).min_by_key(|x| x.members.len())
    }

    /// Returns a look-alike group.
    #[must_use]
    pub fn group(&self, id: &str) -> Option<&Group> {
        self.rows.groups.iter().find(|group| group.id == id)
    }

    /// Returns the windows in which a reference may settle a claim, by id.
    #[must_use]
    pub fn windows(&self) -> &[TellingWindow] {
        &self.rows.windows
    }

    /// Returns the windows of a look-alike group; none where the table states none.
    pub fn windows_of<'a, 'g>(
        &'a self,
        group: &'g str,
    ) -> impl Iterator<Item = &'a TellingWindow> + use<'a, 'g> {
        self.rows.windows.iter().filter(move |window| window.group == group)
    }

    /// Returns the classes that may be an answer where no member may, by id.
    #[must_use]
    pub fn classes(&self) -> &[Class] {
        &self.rows.classes
    }

    /// Returns a class.
    #[must_use]
    pub fn class(&self, id: &str) -> Option<&Class> {
        self.rows.classes.iter().find(|class| class.id == id)
    }

    /// Returns the classes that a material belongs to, by id.
    pub fn classes_of<'a, 'm>(
        &'a self,
        material: &'m str,
    ) -> impl Iterator<Item = &'a Class> + use<'a, 'm> {
        self.rows.classes.iter().filter(move |class| class.holds(material))
    }

    /// Returns the rules.
    #[must_use]
    pub fn rules(&self) -> &[Rule] {
        &self.rows.rules
    }

    /// Returns the rules about a material.
    pub fn rules_of<'a, 'm>(
        &'a self,
        material: &'m str,
    ) -> impl Iterator<Item = &'a Rule> + use<'a, 'm> {
        self.rows.rules.iter().filter(move |rule| rule.subjects.iter().any(|id| id == material))
    }

    /// Returns the ageing and composition markers.
    #[must_use]
    pub fn markers(&self) -> &[Marker] {
        &self.rows.markers
    }

    /// Returns the markers that hold for a material.
    pub fn markers_of<'a>(&'a self, material: &'a str) -> impl Iterator<Item = &'a Marker> {
        self.rows.markers.iter().filter(move |marker| names(&marker.materials, material))
    }

    /// Returns the confounders.
    #[must_use]
    pub fn confounders(&self) -> &[Confounder] {
        &self.rows.confounders
    }

    /// Returns the confounders of a marker.
    pub fn confounders_of<'a>(&'a self, marker: &'a str) -> impl Iterator<Item = &'a Confounder> {
        self.rows.confounders.iter().filter(move |x| x.markers.iter().any(|id| id == marker))
    }

    /// Returns the routes of ageing.
    #[must_use]
    pub fn routes(&self) -> &[Route] {
        &self.rows.routes
    }

    /// Returns all care notes.
    #[must_use]
    pub fn care(&self) -> &[CareNote] {
        &self.rows.care
    }

    /// Returns the care notes for a material, general ones included.
    pub fn care_of<'a>(&'a self, material: &'a str) -> impl Iterator<Item = &'a CareNote> {
        self.rows.care.iter().filter(move |note| names(&note.materials, material))
    }

    /// Returns the pair rules for neighbours at risk.
    #[must_use]
    pub fn neighbours(&self) -> &[NeighbourRule] {
        &self.rows.neighbours
    }

    /// Returns the rules of good measuring and reporting.
    #[must_use]
    pub fn practice(&self) -> &[Practice] {
        &self.rows.practice
    }

    /// Returns the measured shapes, in the table's order.
    #[must_use]
    pub fn shapes(&self) -> &[Shape] {
        &self.rows.shapes
    }

    /// Returns the stretches of the axis that judgements ask for by what they are.
    pub(crate) const fn stretches(&self) -> &Stretches {
        &self.stretches
    }

    /// Returns the places where C–Cl is told, by id.
    pub(crate) fn places(&self) -> &[Place] {
        &self.rows.places
    }

    /// Returns whether a material has a role.
    pub(crate) fn has_role(&self, id: &str, role: MaterialRole) -> bool {
        self.material(id).is_some_and(|material| material.has_role(role))
    }

    /// Returns the figures for the smallest radius of a held sheet.
    #[must_use]
    pub fn bending(&self) -> &[BendingLimit] {
        &self.rows.bending
    }
}

/// Returns whether a list of ids, empty for any, names an id.
fn names(list: &[String], id: &str) -> bool {
    list.is_empty() || list.iter().any(|entry| entry == id)
}
