//! Everything said of a candidate sheet beside its spectra.

use super::bending;
use super::care::{self, Speaks};
use super::neighbours::plasticised;
use super::plain;
use super::record::{CandidateRecord, Manifest, recorded};
use super::result::{
    Bending, CandidateFindings, ChlorineList, Claim, Original, PartFindings, PartOutcome, UvVisible,
};
use crate::judge::Plasticiser;
use crate::tables::{CareTopic, Tables};

/// Brings together what is known of a candidate sheet.
pub(super) fn findings(
    manifest: &Manifest,
    record: &CandidateRecord,
    part: &PartFindings,
    originals: &[(&PartFindings, Option<&UvVisible>)],
    claim: Claim,
    uv_visible: Option<UvVisible>,
    tables: &Tables,
) -> CandidateFindings {
    let mut materials = part.possible_materials();
    if materials.is_empty() && !record.claimed.is_empty() {
        materials.push(record.claimed.clone());
    }
    let bending = bending::judge(&manifest.object, record, &materials, tables);
    let side_by_side =
        side_by_side(record, part, &claim, uv_visible.as_ref(), &bending, &materials, tables);
    CandidateFindings {
        record: record.clone(),
        claim,
        uv_visible,
        side_by_side,
        original: original(originals, tables),
        test_first: test_first(record),
        alternatives: alternatives(&bending),
        bending,
    }
}

fn side_by_side(
    record: &CandidateRecord,
    part: &PartFindings,
    claim: &Claim,
    uv_visible: Option<&UvVisible>,
    bending: &Bending,
    materials: &[String],
    tables: &Tables,
) -> Vec<(String, String)> {
    let mut rows: Vec<(String, String)> = Vec::new();
    let mut row = |heading: &str, text: String| rows.push((heading.to_owned(), text));
    row("claim", recorded(&record.claimed).to_owned());
    row("finding", claim.words.clone());
    row("chlorine", part.chlorine.words.clone());
    row("plasticiser", plasticiser(part, tables));
    row("known of its kind", light(part, true, materials, tables));
    row(
        "held strain",
        match bending {
            Bending::Strain { strain, strain_thickest, multiple, .. } => format!(
                "{} ({} at the thickest), radius {multiple:.0} times the thickness",
                plain::percent(*strain),
                plain::percent(*strain_thickest)
            ),
            Bending::Refused { why } => format!("not answered: {why}"),
        },
    );
    row("UV-visible transmittance", transmittance(uv_visible));
    for (heading, text) in [
        ("maker", &record.maker),
        ("grade", &record.grade),
        ("batch", &record.batch),
        ("process", &record.process),
        ("side with UV protection", &record.uv_side),
        ("masking film", &record.masking_film),
        ("date of data sheet", &record.data_sheet_date),
        ("Oddy test", &record.oddy_test),
        ("photographic activity test", &record.photographic_activity_test),
        ("off-cut kept", &record.off_cut),
        ("fixing", &record.fixing),
        ("adhesive and cleaner", &record.adhesive_and_cleaner),
        ("reversibility", &record.reversibility),
    ] {
        row(heading, recorded(text).to_owned());
    }
    rows
}

/// The parts that the sheet would replace, under the same headings.
fn original(
    originals: &[(&PartFindings, Option<&UvVisible>)],
    tables: &Tables,
) -> Option<Original> {
    if originals.is_empty() {
        return None;
    }
    let mut facts = Vec::new();
    // Parts that say the same are named together.
    let mut row = |heading: &str, of: &dyn Fn(&PartFindings, Option<&UvVisible>) -> String| {
        let mut said: Vec<(String, Vec<String>)> = Vec::new();
        for (part, uv) in originals {
            let text = of(part, *uv);
            match said.iter_mut().find(|(known, _)| *known == text) {
                Some((_, ids)) => ids.push(part.id.clone()),
                None => said.push((text, vec![part.id.clone()])),
            }
        }
        let text = match said.as_slice() {
            [(text, _)] => text.clone(),
            many => many
                .iter()
                .map(|(text, ids)| format!("{}: {text}", plain::list(ids)))
                .collect::<Vec<_>>()
                .join("; "),
        };
        facts.push((heading.to_owned(), text));
    };
    row("finding", &|part, _| match (&part.material, part.candidates.as_slice()) {
        (Some(id), _) => id.clone(),
        (None, []) => part.outcome.as_str().replace('-', " "),
        (None, several) => several.join(" or "),
    });
    row("chlorine", &|part, _| match part.chlorine.list {
        ChlorineList::ImpliedOrNotExcluded if part.outcome == PartOutcome::NotMeasured => {
            NOT_MEASURED.to_owned()
        }
        ChlorineList::Shown => "contains chlorine".to_owned(),
        ChlorineList::ImpliedOrNotExcluded => "implied or not excluded".to_owned(),
        ChlorineList::NoneDetected => "none detected at this surface".to_owned(),
    });
    row("plasticiser", &|part, _| plasticiser(part, tables));
    row("known of its kind", &|part, _| light(part, false, &part.possible_materials(), tables));
    row("UV-visible transmittance", &|_, uv| transmittance(uv));
    let parts = originals.iter().map(|(part, _)| part.id.clone()).collect();
    Some(Original { parts, facts })
}

fn plasticiser(part: &PartFindings, tables: &Tables) -> String {
    match &part.plasticiser {
        Some(Plasticiser::NoneSeen) => "none seen at this surface".to_owned(),
        Some(Plasticiser::Class { id }) => id.clone(),
        Some(Plasticiser::Several { ids }) => ids.join(", "),
        Some(Plasticiser::UnresolvedEster) => "an ester, class not resolved".to_owned(),
        Some(Plasticiser::UnresolvedCarbonyl) => {
            "a carbonyl, of an ester or of oxidation".to_owned()
        }
        Some(Plasticiser::NotTestable { why }) => format!("not testable: {why}"),
        None if plasticised(part, tables) => "found beside the material".to_owned(),
        None => match part.outcome {
            PartOutcome::Identified | PartOutcome::Narrowed | PartOutcome::Mixed => {
                "none seen at this surface".to_owned()
            }
            PartOutcome::NotMeasured => NOT_MEASURED.to_owned(),
            PartOutcome::NotEnoughSignal => "cannot tell: no spot could be judged".to_owned(),
            PartOutcome::Classed | PartOutcome::NotInTable | PartOutcome::SpotsDisagree => {
                "cannot tell: the material is not settled".to_owned()
            }
        },
    }
}

/// What is said of a part or sheet without a spectrum.
const NOT_MEASURED: &str = "not measured";

/// What is published of its ageing in light: the routes of the table, and the notes on replacing.
fn light(part: &PartFindings, is_sheet: bool, materials: &[String], tables: &Tables) -> String {
    let measured = part.outcome != PartOutcome::NotMeasured;
    if materials.is_empty() && !measured {
        return NOT_MEASURED.to_owned();
    }
    // A note on replacing speaks of what replaces.
    let speaks = |id: &String| {
        if is_sheet { care::speaks_for(id, part, tables) } else { Speaks::For }
    };
    let routes = tables
        .routes()
        .iter()
        .filter(|route| !route.light.is_empty())
        .filter(|route| route.materials.iter().any(|id| materials.contains(id)))
        .map(|route| {
            format!(
                "{} ({}) [{}; {}].",
                route.route.as_str().replace('-', " "),
                route.light,
                route.sourcing.printed(),
                route.sourcing.status
            )
        });
    let notes = tables
        .care()
        .iter()
        .filter(|note| note.topic == CareTopic::Replacement && note.sourcing.carries_advice())
        .filter_map(|note| {
            let of = note.materials.iter().filter(|id| materials.contains(id));
            let open = match of.map(speaks).min()? {
                Speaks::For => String::new(),
                Speaks::Open => format!("{} ", care::open_chlorine("this sheet")),
                Speaks::Not => return None,
            };
            let source = (note.sourcing.printed(), note.sourcing.status);
            Some(format!("{open}{} [{}; {}]", note.advice, source.0, source.1))
        });
    let all: Vec<String> = routes.chain(notes).collect();
    if all.is_empty() { "nothing in the table".to_owned() } else { all.join(" ") }
}

fn transmittance(uv_visible: Option<&UvVisible>) -> String {
    let percent = |value: Option<f64>| {
        value.map_or_else(|| "not covered".to_owned(), |v| format!("{:.1} %", 100.0 * v))
    };
    uv_visible.map_or_else(
        || "no file given".to_owned(),
        |uv| {
            format!(
                "mean 315–400 nm {}, mean 400–780 nm {}, at 380 nm {}, at 400 nm {}",
                percent(uv.mean_315_400),
                percent(uv.mean_400_780),
                percent(uv.at_380),
                percent(uv.at_400)
            )
        },
    )
}

/// What to test first, for each batch.
fn test_first(record: &CandidateRecord) -> Vec<String> {
    let mut tests = Vec::new();
    if record.batch.is_empty() {
        tests.push("write down the batch: every result holds for one batch only".to_owned());
    }
    if record.oddy_test.is_empty() {
        tests.push(
            "an accelerated corrosion test (Oddy) of this batch beside silver, copper and lead"
                .to_owned(),
        );
    }
    if record.photographic_activity_test.is_empty() {
        tests.push(
            "a photographic activity test, where photographs or dyed textiles stand near"
                .to_owned(),
        );
    }
    if record.adhesive_and_cleaner.is_empty() {
        tests.push("adhesive and cleaner on an off-cut held at the same strain".to_owned());
    } else {
        tests
            .push(format!("{} on an off-cut held at the same strain", record.adhesive_and_cleaner));
    }
    if record.uv_visible.is_empty() {
        tests.push(
            "UV-visible transmittance: infrared does not see an absorber at its usual share"
                .to_owned(),
        );
    }
    if record.off_cut.is_empty() {
        tests.push("keep an off-cut, labelled and dark".to_owned());
    }
    tests
}

fn alternatives(bending: &Bending) -> Vec<String> {
    let mut ways = vec![
        "form the sheet with heat to the curve: no held strain, but test what forming does to the batch".to_owned(),
        "make the curve in flat segments: no strain, but more joints".to_owned(),
    ];
    if matches!(bending, Bending::Strain { .. }) {
        ways.push("a thinner sheet: the strain falls with the thickness".to_owned());
    }
    ways
}
