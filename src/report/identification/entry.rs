//! The value that every identification writer writes from.

use std::collections::BTreeMap;

use crate::fitness::{Finding, Severity};
use crate::judge::{BandEvidence, Identification, Outcome};
use crate::matching::ReferenceOpinion;
use crate::spectrum::{MeasurementMode, Ordinate, Origin, Spectrum, Step, Warning};
use crate::tables::Tables;

/// What is the same for every spectrum of a run: the tool and the table that judged.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Stamp {
    /// Name and version of the tool: `bandlore 0.1.0`.
    pub tool: String,
    /// The table's version.
    pub table_version: String,
    /// SHA-256 of the table's files in lower-case hexadecimal.
    pub table_sha256: String,
    /// The name of each material id, for the reader. An id that is not here stands for itself.
    pub material_names: BTreeMap<String, String>,
}

impl Stamp {
    /// Creates a stamp with this library's own name and version.
    #[must_use]
    pub fn new(table_version: &str, table_sha256: &str) -> Self {
        Self {
            tool: concat!("bandlore ", env!("CARGO_PKG_VERSION")).to_owned(),
            table_version: table_version.to_owned(),
            table_sha256: table_sha256.to_owned(),
            material_names: BTreeMap::new(),
        }
    }

    /// Returns the table's version; of another than the built-in one the start of its SHA-256 too, for its
    /// version may be that of the table it was made from.
    #[must_use]
    pub fn table(&self) -> String {
        if self.table_sha256.is_empty() || self.table_sha256 == Tables::built_in().sha256() {
            return self.table_version.clone();
        }
        let start = self.table_sha256.get(..12).unwrap_or(&self.table_sha256);
        format!("{}, own table {start}", self.table_version)
    }

    /// Returns a material's name, or its id where the table gives none.
    #[must_use]
    pub fn name<'a>(&'a self, id: &'a str) -> &'a str {
        self.material_names.get(id).map_or(id, String::as_str)
    }

    /// The id with the name behind it, or the id alone where the table gives no other name.
    pub(crate) fn full_name(&self, id: &str) -> String {
        match self.name(id) {
            name if name == id => id.to_owned(),
            name => format!("{id}, {name}"),
        }
    }
}

/// One spectrum's place in the report: what was read, what was found, or why neither was possible.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct IdentificationEntry {
    /// The path as the user gave it.
    pub file: String,
    /// The spectrum's place in the file, from 1; 1 where the file could not be read.
    pub block: usize,
    /// Its title, where the file has one.
    pub title: Option<String>,
    /// SHA-256 of the file's bytes; empty where it could not be read.
    pub sha256: String,
    /// The file's ordinate and where that is known from.
    pub ordinate: Option<(Ordinate, Origin)>,
    /// How it was measured and where that is known from.
    pub mode: Option<(MeasurementMode, Origin)>,
    /// Lowest and highest measured wavenumber in cm⁻¹.
    pub range_cm1: Option<(f64, f64)>,
    /// Median spacing of the points in cm⁻¹.
    pub spacing_cm1: Option<f64>,
    /// What the checks of the spectrum found.
    pub findings: Vec<Finding>,
    /// What was found, or nothing where the spectrum could not be read.
    pub identification: Option<Identification>,
    /// What the user's own references say; beside the band finding, never part of it.
    pub second_opinion: Option<ReferenceOpinion>,
    /// Every doubt met on the way.
    pub warnings: Vec<Warning>,
    /// Every step applied, in order.
    pub steps: Vec<Step>,
    /// Why the file could not be read or judged.
    pub error: Option<String>,
}

impl IdentificationEntry {
    /// Creates the entry of a judged spectrum. `spectrum` is the prepared one, so that its history
    /// holds every step.
    #[must_use]
    pub fn judged(
        spectrum: &Spectrum,
        findings: Vec<Finding>,
        identification: Identification,
    ) -> Self {
        let provenance = spectrum.provenance();
        let remarks =
            identification.remarks.iter().map(|said| Warning::new("table", said.as_str()));
        let warnings = spectrum.warnings().iter().cloned().chain(remarks).collect();
        Self {
            file: provenance.file.clone(),
            block: provenance.block,
            title: provenance.title.clone(),
            sha256: provenance.sha256.clone(),
            ordinate: Some((spectrum.ordinate(), spectrum.ordinate_origin())),
            mode: Some((spectrum.mode(), spectrum.mode_origin())),
            range_cm1: Some(spectrum.range_cm1()),
            spacing_cm1: Some(spectrum.spacing_cm1()),
            findings,
            identification: Some(identification),
            warnings,
            steps: spectrum.history().to_vec(),
            ..Self::default()
        }
    }

    /// Creates the entry of a file or block that could not be read or judged.
    #[must_use]
    pub fn failed(file: &str, block: usize, error: impl Into<String>) -> Self {
        Self { file: file.to_owned(), block, error: Some(error.into()), ..Self::default() }
    }

    /// Adds the opinion of the user's own references; a disagreement becomes a warning too.
    #[must_use]
    pub fn with_second_opinion(mut self, opinion: ReferenceOpinion) -> Self {
        if opinion.agrees == Some(false) {
            self.warnings.push(Warning::new(
                DISAGREES,
                format!("your references and the bands disagree: {}", opinion.words),
            ));
        }
        self.second_opinion = Some(opinion);
        self
    }

    /// Returns the findings that limit what may be said.
    pub(crate) fn limits(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| finding.severity != Severity::Note)
    }

    /// Returns the warnings but the one that the second opinion says already.
    pub(crate) fn warnings_unsaid(&self) -> impl Iterator<Item = &Warning> {
        self.warnings.iter().filter(|warning| warning.id != DISAGREES)
    }

    /// What keeps its letters where it begins a sentence: the file, and the materials named.
    pub(crate) fn ids(&self) -> Vec<String> {
        let found = self.identification.iter();
        let named = found.flat_map(|f| f.material.iter().chain(&f.candidates));
        named.chain([&self.file]).cloned().collect()
    }

    /// The file as it is to be called, and the spectrum's number in it from the second on.
    pub(crate) fn place(&self, file: &str) -> String {
        match self.block {
            0 | 1 => file.to_owned(),
            block => format!("{file}, spectrum {block}"),
        }
    }

    /// Returns how many of the first materials of the evidence are look-alikes that were not told apart.
    pub(crate) fn look_alikes(&self, evidence: &[(&str, &[BandEvidence])]) -> usize {
        let Some(found) = &self.identification else { return 0 };
        let candidate = |id: &str| found.candidates.iter().any(|c| c == id);
        evidence.iter().take_while(|(id, _)| candidate(id)).count()
    }

    /// Returns the evidence behind the answer: for each material it names, its id and its bands.
    ///
    /// `others` adds that many of the ranked rivals.
    pub(crate) fn evidence(&self, others: usize) -> Vec<(&str, &[BandEvidence])> {
        let Some(found) = &self.identification else { return Vec::new() };
        let ranked = |id: &str| {
            found.ranking.iter().find(|r| r.material == id).map(|r| r.evidence.as_slice())
        };
        let mut shown: Vec<(&str, &[BandEvidence])> = Vec::new();
        let named: Vec<&str> = match found.outcome {
            Outcome::Identified => found.material.iter().map(String::as_str).collect(),
            Outcome::Narrowed => found.candidates.iter().map(String::as_str).collect(),
            _ => Vec::new(),
        };
        for id in named {
            if let Some(bands) = ranked(id) {
                shown.push((id, bands));
            }
        }
        for component in &found.components {
            if !component.evidence.is_empty() && shown.iter().all(|(id, _)| *id != component.id) {
                shown.push((&component.id, &component.evidence));
            }
        }
        for rival in found.ranking.iter().take(others) {
            if !rival.evidence.is_empty() && shown.iter().all(|(id, _)| *id != rival.material) {
                shown.push((&rival.material, &rival.evidence));
            }
        }
        shown
    }
}

/// The warning that the line on the references says already.
const DISAGREES: &str = "second-opinion-disagrees";
