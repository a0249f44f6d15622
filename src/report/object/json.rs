//! JSON, version 1: what other programs may rely on. `schema/v1/object.json` is made from these
//! types; a test keeps it current.

use std::io::{self, Write};

use serde::Serialize;

use super::{ObjectReport, ObjectWriter};
use crate::judge::ClassAnswer;
use crate::object::{CandidateFindings, FaceFindings, MarkerChange, PartFindings};
use crate::report::codes;
use crate::report::identification::Class;
use crate::report::rounding::rounded;
use crate::report::words;

/// The value of `schema`.
const SCHEMA: &str = "bandlore/object/v1";

/// Writes one JSON object.
#[derive(Clone, Copy, Debug, Default)]
pub struct ObjectJsonWriter;

impl ObjectWriter for ObjectJsonWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        serde_json::to_writer_pretty(&mut *out, &Object::new(report))?;
        out.write_all(b"\n")
    }
}

/// The object.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Object<'a> {
    /// Always `bandlore/object/v1`.
    schema: &'static str,
    /// Name and version of the tool.
    tool: &'a str,
    /// The table that judged.
    table: Table<'a>,
    /// Title of the object.
    title: &'a str,
    /// Its inventory number.
    id: &'a str,
    /// The parts, then the candidate sheets, in the manifest's order.
    parts: Vec<Part<'a>>,
    /// Pairs of part and neighbour that a rule speaks of.
    neighbours: Vec<Neighbour<'a>>,
    /// The candidate sheets, whose spectra stand in `parts` under the same id.
    candidates: Vec<Candidate<'a>>,
    /// Parts left open, with remedies in the order to try them.
    unsettled: Vec<Open<'a>>,
    /// The first page: plain sentences, each under one of five questions.
    summary: Vec<Line<'a>>,
    /// What this method cannot tell.
    limits: &'a [String],
    /// Every file read, with its SHA-256.
    files: Vec<File<'a>>,
    /// Doubts met on the way.
    warnings: Vec<Warning<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Table<'a> {
    version: &'a str,
    sha256: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Part<'a> {
    /// The part's id.
    id: &'a str,
    /// The material's id, where every judged spot agrees on it.
    material: Option<&'a str>,
    /// `identified`, `narrowed`, `mixed`, `classed`, `not-in-table`, `not-enough-signal`,
    /// `spots-disagree` or `not-measured`.
    outcome: &'static str,
    /// Ids where narrowed.
    candidates: &'a [String],
    /// The class where classed.
    class: Option<Class<'a>>,
    /// What was found, main component first.
    components: Vec<Component<'a>>,
    /// The plasticiser in words, for PVC.
    plasticiser: Option<String>,
    /// The answer in plain words.
    sentence: &'a str,
    /// The chlorine finding.
    chlorine: Chlorine<'a>,
    /// Whether its faces differ in age.
    ageing: Ageing<'a>,
    /// The finding against a claim; null for a part of the object.
    claim: Option<Claim<'a>>,
    /// How far the spots agree.
    agreement: Agreement<'a>,
    /// The faces.
    faces: Vec<Face<'a>>,
    /// What else must be said.
    notes: &'a [String],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Component<'a> {
    id: &'a str,
    role: &'a str,
    /// `main`, `blend`, `coating-over`, `deposit-on`, `within` or `not-told-apart`.
    relation: &'static str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Chlorine<'a> {
    /// `shown`, `implied-or-not-excluded` or `none-detected`.
    list: &'static str,
    /// From C–Cl alone: `present`, `not-detected` or `cannot-tell`.
    bands: &'static str,
    /// From the materials named: `yes`, `no` or `open`.
    by_identity: &'static str,
    /// The reasons.
    why: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Ageing<'a> {
    /// `changed`, `no-change-detected`, `too-blind`, `not-tested` or `not-compared`.
    state: &'static str,
    /// What was held against what.
    compared: &'a str,
    /// The answer in plain words.
    sentence: &'a str,
    /// Each marker on each pair of faces.
    markers: Vec<Marker<'a>>,
    /// What the reader must know beside it.
    notes: &'a [String],
    /// A route that the pattern suggests.
    route: Option<&'a str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Marker<'a> {
    id: &'a str,
    shows: &'a str,
    primary: bool,
    face: String,
    against: String,
    value: Option<f64>,
    against_value: Option<f64>,
    /// `ratio` (1 is no change) or `difference` (0 is no change).
    scale: &'static str,
    /// The change, with the ends of its 95 % interval.
    change: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    p: Option<f64>,
    changed: bool,
    words: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Claim<'a> {
    /// Material id claimed.
    claimed: &'a str,
    /// `as-claimed`, `this-face-agrees`, `consistent-not-excluded`, `not-as-claimed` or
    /// `cannot-tell`.
    outcome: &'static str,
    /// Look-alikes that are not excluded.
    not_excluded: &'a [String],
    /// In words: "consistent with claim, PET not excluded".
    words: &'a str,
    /// Why.
    why: &'a str,
    /// What would settle it, in the order to try.
    settled_by: &'a [String],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Agreement<'a> {
    measured: usize,
    judged: usize,
    agreeing: usize,
    outliers: &'a [String],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Face<'a> {
    /// exposed, reverse, covered, cut edge, …
    face: String,
    outcome: &'static str,
    material: Option<&'a str>,
    candidates: &'a [String],
    class: Option<Class<'a>>,
    components: Vec<Component<'a>>,
    agreement: Agreement<'a>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Neighbour<'a> {
    part: &'a str,
    neighbour: &'a str,
    material: &'a str,
    nearness: String,
    rule: &'a str,
    words: &'a str,
    advice: &'a str,
    source: &'a str,
    status: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Candidate<'a> {
    id: &'a str,
    /// Ids of the parts that it would replace.
    replaces: &'a [String],
    /// Held cold on the object's smallest curve.
    bending: Bending<'a>,
    /// Null where no file was given.
    uv_visible: Option<UvVisible<'a>>,
    /// What to test first, for each batch.
    test_first: &'a [String],
    /// Other ways than holding it cold.
    alternatives: &'a [String],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Bending<'a> {
    /// Radius in mm to the concave face; null where not answered, as are the other figures.
    radius_mm: Option<f64>,
    /// Nominal thickness in mm.
    thickness_mm: Option<f64>,
    /// Strain of the outer surface, t/(2R + t): 0.001 is 0.1 %.
    strain: Option<f64>,
    /// The same at the thickest that the tolerance allows.
    strain_thickest: Option<f64>,
    /// Radius over thickness.
    multiple: Option<f64>,
    /// Published smallest multiples; empty where none was found.
    published: Vec<Multiple<'a>>,
    /// The answer in words, or why there is none.
    words: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Multiple<'a> {
    multiple: f64,
    grade: &'a str,
    source: &'a str,
    status: &'a str,
}

/// Shares between 0 and 1; null where the file does not cover them.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct UvVisible<'a> {
    file: &'a str,
    mean_315_400_nm: Option<f64>,
    mean_400_780_nm: Option<f64>,
    at_380_nm: Option<f64>,
    at_400_nm: Option<f64>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Line<'a> {
    /// `chlorine`, `ageing`, `replacement`, `action` or `limits`.
    topic: &'static str,
    text: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Open<'a> {
    part: &'a str,
    open: &'a str,
    remedies: &'a [String],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct File<'a> {
    file: &'a str,
    sha256: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Warning<'a> {
    id: &'a str,
    text: &'a str,
}

impl<'a> Object<'a> {
    fn new(report: &ObjectReport<'a>) -> Self {
        let findings = report.findings;
        Self {
            schema: SCHEMA,
            tool: &report.stamp.tool,
            table: Table {
                version: &report.stamp.table_version,
                sha256: &report.stamp.table_sha256,
            },
            title: &findings.manifest.object.title,
            id: &findings.manifest.object.id,
            parts: findings.parts.iter().map(|part| Part::new(report, part)).collect(),
            neighbours: findings
                .neighbours
                .iter()
                .map(|risk| Neighbour {
                    part: &risk.part,
                    neighbour: &risk.neighbour,
                    material: &risk.neighbour_material,
                    nearness: risk.nearness.to_string(),
                    rule: &risk.rule,
                    words: &risk.words,
                    advice: &risk.advice,
                    source: &risk.source,
                    status: &risk.status,
                })
                .collect(),
            candidates: findings.candidates.iter().map(candidate).collect(),
            summary: findings
                .summary
                .iter()
                .map(|line| Line { topic: codes::topic(line.topic), text: &line.text })
                .collect(),
            limits: &findings.limits,
            unsettled: findings
                .unsettled
                .iter()
                .map(|open| Open { part: &open.id, open: &open.open, remedies: &open.remedies })
                .collect(),
            files: findings
                .method
                .files
                .iter()
                .map(|(file, sha256)| File { file, sha256 })
                .collect(),
            warnings: findings
                .warnings
                .iter()
                .map(|w| Warning { id: &w.id, text: &w.text })
                .collect(),
        }
    }
}

impl<'a> Part<'a> {
    fn new(report: &ObjectReport<'a>, part: &'a PartFindings) -> Self {
        let finding = &part.chlorine.finding;
        Self {
            id: &part.id,
            material: part.material.as_deref(),
            outcome: part.outcome.as_str(),
            candidates: &part.candidates,
            class: part.class.as_ref().map(class),
            components: components(&part.components),
            plasticiser: part
                .plasticiser
                .as_ref()
                .map(|p| words::plasticiser(p, |id| report.stamp.name(id).to_owned())),
            sentence: &part.sentence,
            chlorine: Chlorine {
                list: codes::chlorine_list(part.chlorine.list),
                bands: codes::chlorine_bands(finding.bands),
                by_identity: codes::chlorine_by_identity(finding.by_identity),
                why: &part.chlorine.words,
            },
            ageing: Ageing {
                state: part.ageing.state.as_str(),
                compared: &part.ageing.compared,
                sentence: &part.ageing.sentence,
                markers: part.ageing.markers.iter().map(marker).collect(),
                notes: &part.ageing.notes,
                route: part.ageing.route.as_deref(),
            },
            claim: part.claim.as_ref().map(|claim| Claim {
                claimed: &claim.claimed,
                outcome: codes::claim(claim.outcome),
                not_excluded: &claim.not_excluded,
                words: &claim.words,
                why: &claim.why,
                settled_by: &claim.settled_by,
            }),
            agreement: agreement(&part.agreement),
            faces: part.faces.iter().map(face).collect(),
            notes: &part.notes,
        }
    }
}

fn number(value: f64) -> Option<f64> {
    value.is_finite().then(|| rounded(value, 6))
}

fn candidate(found: &CandidateFindings) -> Candidate<'_> {
    let empty = |words| Bending {
        radius_mm: None,
        thickness_mm: None,
        strain: None,
        strain_thickest: None,
        multiple: None,
        published: Vec::new(),
        words,
    };
    Candidate {
        id: &found.record.id,
        replaces: &found.record.replaces,
        bending: match &found.bending {
            crate::object::Bending::Refused { why } => empty(why),
            crate::object::Bending::Strain {
                radius_mm,
                thickness_mm,
                strain,
                strain_thickest,
                multiple,
                published,
                words,
            } => Bending {
                radius_mm: number(*radius_mm),
                thickness_mm: number(*thickness_mm),
                strain: number(*strain),
                strain_thickest: number(*strain_thickest),
                multiple: number(*multiple),
                published: published
                    .iter()
                    .map(|p| Multiple {
                        multiple: p.multiple,
                        grade: &p.words,
                        source: &p.source,
                        status: &p.status,
                    })
                    .collect(),
                words,
            },
        },
        uv_visible: found.uv_visible.as_ref().map(|uv| UvVisible {
            file: &uv.file,
            mean_315_400_nm: uv.mean_315_400.and_then(number),
            mean_400_780_nm: uv.mean_400_780.and_then(number),
            at_380_nm: uv.at_380.and_then(number),
            at_400_nm: uv.at_400.and_then(number),
        }),
        test_first: &found.test_first,
        alternatives: &found.alternatives,
    }
}

fn components(components: &[crate::judge::Component]) -> Vec<Component<'_>> {
    components
        .iter()
        .map(|c| Component { id: &c.id, role: &c.role, relation: codes::relation(c.relation) })
        .collect()
}

fn marker(marker: &MarkerChange) -> Marker<'_> {
    let number = |value: Option<f64>| value.filter(|v| v.is_finite()).map(|v| rounded(v, 6));
    Marker {
        id: &marker.marker,
        shows: &marker.shows,
        primary: marker.primary,
        face: marker.face.to_string(),
        against: marker.against.to_string(),
        value: number(marker.value),
        against_value: number(marker.against_value),
        scale: codes::change_scale(marker.scale),
        change: number(marker.change.map(|c| c.0)),
        low: number(marker.change.map(|c| c.1)),
        high: number(marker.change.map(|c| c.2)),
        p: number(marker.p_value),
        changed: marker.changed,
        words: &marker.words,
    }
}

fn agreement(agreement: &crate::object::Agreement) -> Agreement<'_> {
    Agreement {
        measured: agreement.measured,
        judged: agreement.judged,
        agreeing: agreement.agreeing,
        outliers: &agreement.outliers,
    }
}

fn class(class: &ClassAnswer) -> Class<'_> {
    Class { id: &class.id, name: &class.name, members: &class.members }
}

fn face(face: &FaceFindings) -> Face<'_> {
    Face {
        face: face.face.to_string(),
        outcome: face.outcome.as_str(),
        material: face.material.as_deref(),
        candidates: &face.candidates,
        class: face.class.as_ref().map(class),
        components: components(&face.components),
        agreement: agreement(&face.agreement),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_is_current() {
        assert_committed::<Object<'static>>("object.json", "A condition report, version 1");
    }
}
