//! JSON, version 1: what other programs may rely on. `schema/v1/object.json` is made from these
//! types; a test keeps it current.

use std::io::{self, Write};

use super::{ObjectReport, ObjectWriter};
use crate::judge;
use crate::object::findings::{
    FaceFindings, MarkerChange, NeighbourRisk, PartAgeing, PartChlorine, PartFindings, SummaryLine,
    UnsettledPart,
};
use crate::object::{self, CandidateFindings};
use crate::report::codes;
use crate::report::forms::forms;
use crate::report::identification::Class;
use crate::report::rounding::finite;
use crate::report::shared_forms::{Table, Warning};
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

forms! {
    /// The object.
    struct Object<'a>(report: &ObjectReport<'a>) {
        /// Always `bandlore/object/v1`.
        schema: &'static str = SCHEMA,
        /// Name and version of the tool.
        tool: &'a str = &report.stamp.tool,
        /// The table that judged.
        table: Table<'a> = Table::new(report.stamp),
        /// Title of the object.
        title: &'a str = &report.findings.manifest.object.title,
        /// Its inventory number.
        id: &'a str = &report.findings.manifest.object.id,
        /// The parts, then the candidate sheets, in the manifest's order.
        parts: Vec<Part<'a>> = report.findings.parts.iter().map(|part| Part::new(report, part)).collect(),
        /// Pairs of part and neighbour that a rule speaks of.
        neighbours: Vec<Neighbour<'a>> = report.findings.neighbours.iter().map(Neighbour::new).collect(),
        /// The candidate sheets, whose spectra stand in `parts` under the same id.
        candidates: Vec<Candidate<'a>> = report.findings.candidates.iter().map(Candidate::new).collect(),
        /// Parts left open, with remedies in the order to try them.
        unsettled: Vec<Open<'a>> = report.findings.unsettled.iter().map(Open::new).collect(),
        /// The first page: plain sentences, each under one of five questions.
        summary: Vec<Line<'a>> = report.findings.summary.iter().map(Line::new).collect(),
        /// What this method cannot tell.
        limits: &'a [String] = &report.findings.limits,
        /// Every file read, with its SHA-256.
        files: Vec<File<'a>> = report.findings.method.files.iter().map(File::new).collect(),
        /// Doubts met on the way.
        warnings: Vec<Warning<'a>> = report.findings.warnings.iter().map(Warning::new).collect(),
    }

    struct Part<'a>(report: &ObjectReport<'a>, part: &'a PartFindings) {
        /// The part's id.
        id: &'a str = &part.id,
        /// The material's id, where every judged spot agrees on it.
        material: Option<&'a str> = part.material.as_deref(),
        /// `identified`, `narrowed`, `mixed`, `classed`, `not-in-table`, `not-enough-signal`,
        /// `spots-disagree` or `not-measured`.
        outcome: &'static str = part.outcome.as_str(),
        /// Ids where narrowed.
        candidates: &'a [String] = &part.candidates,
        /// The class where classed.
        class: Option<Class<'a>> = part.class.as_ref().map(Class::new),
        /// What was found, main component first.
        components: Vec<Component<'a>> = part.components.iter().map(Component::new).collect(),
        /// The plasticiser in words, for PVC.
        plasticiser: Option<String> =
            part.plasticiser.as_ref().map(|p| words::plasticiser(p, |id| report.stamp.name(id).to_owned())),
        /// The answer in plain words.
        sentence: &'a str = &part.sentence,
        /// The chlorine finding.
        chlorine: Chlorine<'a> = Chlorine::new(&part.chlorine),
        /// Whether its faces differ in age.
        ageing: Ageing<'a> = Ageing::new(&part.ageing),
        /// The finding against a claim; null for a part of the object.
        claim: Option<Claim<'a>> = part.claim.as_ref().map(Claim::new),
        /// How far the spots agree.
        agreement: Agreement<'a> = Agreement::new(&part.agreement),
        /// The faces.
        faces: Vec<Face<'a>> = part.faces.iter().map(Face::new).collect(),
        /// What else must be said.
        notes: &'a [String] = &part.notes,
    }

    struct Component<'a>(found: &'a judge::Component) {
        id: &'a str = &found.id,
        role: &'a str = &found.role,
        /// `main`, `blend`, `coating-over`, `deposit-on`, `within` or `not-told-apart`.
        relation: &'static str = codes::relation(found.relation),
    }

    struct Chlorine<'a>(found: &'a PartChlorine) {
        /// `shown`, `implied-or-not-excluded` or `none-detected`.
        list: &'static str = codes::chlorine_list(found.list),
        /// From C–Cl alone: `present`, `not-detected` or `cannot-tell`.
        bands: &'static str = codes::chlorine_bands(found.finding.bands),
        /// From the materials named: `yes`, `no` or `open`.
        by_identity: &'static str = codes::chlorine_by_identity(found.finding.by_identity),
        /// The reasons.
        why: &'a str = &found.words,
    }

    struct Ageing<'a>(found: &'a PartAgeing) {
        /// `changed`, `no-change-detected`, `too-blind`, `not-tested` or `not-compared`.
        state: &'static str = found.state.as_str(),
        /// What was compared with what.
        compared: &'a str = &found.compared,
        /// The answer in plain words.
        sentence: &'a str = &found.sentence,
        /// Each marker on each pair of faces.
        markers: Vec<Marker<'a>> = found.markers.iter().map(Marker::new).collect(),
        /// What the reader must know beside it.
        notes: &'a [String] = &found.notes,
        /// A route that the pattern suggests.
        route: Option<&'a str> = found.route.as_deref(),
    }

    struct Marker<'a>(found: &'a MarkerChange) {
        id: &'a str = &found.marker,
        shows: &'a str = &found.shows,
        primary: bool = found.primary,
        face: String = found.face.to_string(),
        against: String = found.against.to_string(),
        value: Option<f64> = found.value.and_then(number),
        against_value: Option<f64> = found.against_value.and_then(number),
        /// `ratio` (1 is no change) or `difference` (0 is no change).
        scale: &'static str = codes::change_scale(found.scale),
        /// The change, with the ends of its 95 % interval.
        change: Option<f64> = found.change.and_then(|change| number(change.0)),
        low: Option<f64> = found.change.and_then(|change| number(change.1)),
        high: Option<f64> = found.change.and_then(|change| number(change.2)),
        p: Option<f64> = found.p_value.and_then(number),
        changed: bool = found.changed,
        words: &'a str = &found.words,
    }

    struct Claim<'a>(found: &'a object::sheets::Claim) {
        /// Material id claimed.
        claimed: &'a str = &found.claimed,
        /// `as-claimed`, `this-face-agrees`, `consistent-not-excluded`, `not-as-claimed` or
        /// `cannot-tell`.
        outcome: &'static str = codes::claim(found.outcome),
        /// Look-alikes that are not excluded.
        not_excluded: &'a [String] = &found.not_excluded,
        /// In words: "consistent with claim, PET not excluded".
        words: &'a str = &found.words,
        /// Why.
        why: &'a str = &found.why,
        /// What would settle it, in the order to try.
        settled_by: &'a [String] = &found.settled_by,
    }

    struct Agreement<'a>(found: &'a object::Agreement) {
        measured: usize = found.measured,
        judged: usize = found.judged,
        agreeing: usize = found.agreeing,
        outliers: &'a [String] = &found.outliers,
        /// In words: "PC at 6 of 6 spots; PDMS over it at 3 of 6 (exposed)".
        words: &'a str = &found.words,
    }

    struct Face<'a>(found: &'a FaceFindings) {
        /// exposed, reverse, covered, cut edge, …
        face: String = found.face.to_string(),
        outcome: &'static str = found.outcome.as_str(),
        material: Option<&'a str> = found.material.as_deref(),
        candidates: &'a [String] = &found.candidates,
        class: Option<Class<'a>> = found.class.as_ref().map(Class::new),
        components: Vec<Component<'a>> = found.components.iter().map(Component::new).collect(),
        agreement: Agreement<'a> = Agreement::new(&found.agreement),
    }

    struct Neighbour<'a>(found: &'a NeighbourRisk) {
        part: &'a str = &found.part,
        neighbour: &'a str = &found.neighbour,
        material: &'a str = &found.neighbour_material,
        nearness: String = found.nearness.to_string(),
        rule: &'a str = &found.rule,
        words: &'a str = &found.words,
        advice: &'a str = &found.advice,
        source: &'a str = &found.source,
        status: &'a str = &found.status,
    }

    struct Candidate<'a>(found: &'a CandidateFindings) {
        id: &'a str = &found.record.id,
        /// Ids of the parts that it would replace.
        replaces: &'a [String] = &found.record.replaces,
        /// Held cold on the object's smallest curve.
        bending: Bending<'a> = bending(&found.bending),
        /// Null where no file was given.
        uv_visible: Option<UvVisible<'a>> = found.uv_visible.as_ref().map(UvVisible::new),
        /// What to test first, for each batch.
        test_first: &'a [String] = &found.test_first,
        /// Other ways than holding it cold.
        alternatives: &'a [String] = &found.alternatives,
    }

    struct Bending<'a>(figures: [Option<f64>; 5], published: &'a [object::sheets::RadiusMultiple], words: &'a str) {
        /// Radius in mm to the concave face; null where not answered, as are the other figures.
        radius_mm: Option<f64> = figures[0],
        /// Nominal thickness in mm.
        thickness_mm: Option<f64> = figures[1],
        /// Strain of the outer surface, t/(2R + t): 0.001 is 0.1 %.
        strain: Option<f64> = figures[2],
        /// The same at the thickest that the tolerance allows.
        strain_thickest: Option<f64> = figures[3],
        /// Radius over thickness.
        multiple: Option<f64> = figures[4],
        /// Published smallest multiples; empty where none was found.
        published: Vec<Multiple<'a>> = published.iter().map(Multiple::new).collect(),
        /// The answer in words, or why there is none.
        words: &'a str = words,
    }

    struct Multiple<'a>(found: &'a object::sheets::RadiusMultiple) {
        multiple: f64 = found.multiple,
        grade: &'a str = &found.words,
        source: &'a str = &found.source,
        status: &'a str = &found.status,
    }

    /// Shares between 0 and 1; null where the file does not cover them.
    struct UvVisible<'a>(found: &'a object::UvVisible) {
        file: &'a str = &found.file,
        mean_315_400_nm: Option<f64> = found.mean_315_400.and_then(number),
        mean_400_780_nm: Option<f64> = found.mean_400_780.and_then(number),
        at_380_nm: Option<f64> = found.at_380.and_then(number),
        at_400_nm: Option<f64> = found.at_400.and_then(number),
    }

    struct Line<'a>(found: &'a SummaryLine) {
        /// `chlorine`, `ageing`, `replacement`, `action` or `limits`.
        topic: &'static str = codes::topic(found.topic),
        text: &'a str = &found.text,
    }

    struct Open<'a>(found: &'a UnsettledPart) {
        part: &'a str = &found.id,
        open: &'a str = &found.open,
        remedies: &'a [String] = &found.remedies,
    }

    struct File<'a>(found: &'a (String, String)) {
        file: &'a str = &found.0,
        sha256: &'a str = &found.1,
    }
}

/// A sheet held cold on the curve, or why that has no answer.
fn bending(found: &object::Bending) -> Bending<'_> {
    match found {
        object::Bending::Refused { why } => Bending::new([None; 5], &[], why),
        object::Bending::Strain {
            radius_mm,
            thickness_mm,
            strain,
            strain_thickest,
            multiple,
            published,
            words,
        } => {
            let figures = [radius_mm, thickness_mm, strain, strain_thickest, multiple];
            Bending::new(figures.map(|figure| number(*figure)), published, words)
        }
    }
}

fn number(value: f64) -> Option<f64> {
    finite(value, 6)
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
