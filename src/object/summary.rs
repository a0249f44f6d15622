//! The first page: plain sentences under the questions that a report answers.
//!
//! Written for a reader who is no chemist: parts by id and name, materials by name, figures of two
//! digits, no ids of markers or rules.

use super::copies::Copied;
use super::record::{Manifest, NeighbourRecord, recorded, says_something};
use super::result::{
    AgeingState, Bending, CandidateFindings, ChlorineLists, ChlorineSaid, ClaimOutcome, ListedPart,
    NeighbourRisk, PartFindings, PartOutcome, SummaryLine, Topic, UnsettledPart,
};
use super::{acid, neighbours, part_ageing, plain, records};
use crate::tables::{Hazard, MaterialRole, NeighbourRelation, Tables};

/// Ids named in one sentence before the rest is only counted.
const NAMED_IDS: usize = 24;

/// What the summary is drawn from.
pub(super) struct Drawn<'a> {
    pub manifest: &'a Manifest,
    pub parts: &'a [PartFindings],
    pub chlorine: &'a ChlorineLists,
    pub neighbours: &'a [NeighbourRisk],
    pub candidates: &'a [CandidateFindings],
    pub unsettled: &'a [UnsettledPart],
    pub copies: &'a [Copied<'a>],
    pub tables: &'a Tables,
}

/// Returns the summary, question by question.
pub(super) fn lines(from: &Drawn<'_>) -> Vec<SummaryLine> {
    let mut lines = Vec::new();
    let mut say = |topic: Topic, text: String| lines.push(SummaryLine { topic, text });
    for text in chlorine(from) {
        say(Topic::Chlorine, text);
    }
    for text in records::lines(from.parts, from.candidates, from.tables) {
        say(Topic::Records, text);
    }
    for copy in from.copies.iter().filter(|copy| copy.of_two_parts()) {
        say(Topic::Records, plain::first_large(&format!("{}.", copy.words())));
    }
    for text in ageing(from.parts) {
        say(Topic::Ageing, text);
    }
    for text in replacement(from.manifest, from.candidates) {
        say(Topic::Replacement, text);
    }
    for text in action(from) {
        say(Topic::Action, text);
    }
    for text in super::limits::PLAIN {
        say(Topic::Limits, (*text).to_owned());
    }
    lines
}

/// The ids in words, each once: "V01, V02 and V03".
fn ids<'a>(ids: impl Iterator<Item = &'a str>) -> String {
    let mut seen: Vec<String> = Vec::new();
    for id in ids {
        if !seen.iter().any(|known| known == id) {
            seen.push(id.to_owned());
        }
    }
    let more = seen.len().saturating_sub(NAMED_IDS);
    if more > 0 {
        seen.truncate(NAMED_IDS);
        seen.push(format!("{more} more"));
    }
    plain::list(&seen)
}

fn listed(list: &[ListedPart]) -> String {
    ids(list.iter().map(|entry| entry.id.as_str()))
}

fn chlorine(from: &Drawn<'_>) -> Vec<String> {
    let mut text = Vec::new();
    let object = || from.parts.iter().filter(|part| part.claim.is_none());
    let said = |wanted: ChlorineSaid| {
        ids(object().filter(|part| part.chlorine.said() == wanted).map(|part| part.id.as_str()))
    };
    let contain: Vec<String> = [
        (ChlorineSaid::ByBands, "by bands"),
        (ChlorineSaid::ByFluorescence, "by X-ray fluorescence"),
        (
            ChlorineSaid::ByName,
            "by the name of the material, its own bands not tested or not shown",
        ),
    ]
    .into_iter()
    .filter_map(|(wanted, how)| {
        let parts = said(wanted);
        (!parts.is_empty()).then(|| format!("{parts}, {how}"))
    })
    .collect();
    if contain.is_empty() {
        text.push("Chlorine was shown in no part.".to_owned());
    } else {
        text.push(format!("These parts contain chlorine: {}.", contain.join("; ")));
    }
    let open = ids(object()
        .filter(|part| {
            matches!(part.chlorine.said(), ChlorineSaid::NotExcluded | ChlorineSaid::NotTested)
        })
        .map(|part| part.id.as_str()));
    if !open.is_empty() {
        text.push(format!(
            "In these parts chlorine is not excluded; treat them as chlorinated until tested: {open}."
        ));
    }
    let untested = said(ChlorineSaid::NotTested);
    if !untested.is_empty() {
        text.push(format!(
            "Of these, not implied by the material, but the bands cannot tell: {untested}."
        ));
    }
    if !from.chlorine.none_detected.is_empty() {
        text.push(format!(
            "None was detected at the surface of these parts: {}.",
            listed(&from.chlorine.none_detected)
        ));
    }
    for neighbour in &from.manifest.neighbours {
        for (contains, what) in
            [(true, "Containing chlorine and"), (false, "With chlorine not excluded, and")]
        {
            let mut beside: Vec<(String, Vec<&str>)> = Vec::new();
            for part in object().filter(|part| {
                let said = part.chlorine.said();
                said.contains() == contains && said != ChlorineSaid::NoneDetected
            }) {
                let Some(name) = stands_beside(neighbour, &part.id, from.parts) else { continue };
                match beside.iter_mut().find(|(known, _)| *known == name) {
                    Some((_, parts)) => parts.push(&part.id),
                    None => beside.push((name, vec![part.id.as_str()])),
                }
            }
            for (name, parts) in beside {
                let near = near(neighbour.nearness);
                text.push(format!("{what} {near} {name}: {}.", ids(parts.into_iter())));
            }
        }
    }
    text.extend(chlorine_of_sheets(from));
    text
}

/// What is said of the chlorine of candidate sheets, which are no parts of the object, and what each would stand
/// beside.
fn chlorine_of_sheets(from: &Drawn<'_>) -> Vec<String> {
    let (unmeasured, sheets): (Vec<&PartFindings>, Vec<&PartFindings>) = from
        .parts
        .iter()
        .filter(|part| part.claim.is_some())
        .partition(|sheet| sheet.outcome == PartOutcome::NotMeasured);
    let of = |wanted: &dyn Fn(ChlorineSaid) -> bool| {
        let those = sheets.iter().filter(|sheet| wanted(sheet.chlorine.said()));
        ids(those.map(|sheet| sheet.id.as_str()))
    };
    let open =
        |said: ChlorineSaid| matches!(said, ChlorineSaid::NotExcluded | ChlorineSaid::NotTested);
    let mut text = Vec::new();
    for (what, sheets) in [
        ("Of the sheets offered, these contain chlorine", of(&ChlorineSaid::contains)),
        ("Of the sheets offered, chlorine is not excluded in", of(&open)),
        (
            "Of the sheets offered, none was detected at the surface of",
            of(&|said| said == ChlorineSaid::NoneDetected),
        ),
        (
            "Of the sheets offered, not measured, so that chlorine is not excluded",
            ids(unmeasured.iter().map(|sheet| sheet.id.as_str())),
        ),
    ] {
        if !sheets.is_empty() {
            text.push(format!("{what}: {sheets}."));
        }
    }
    let title = |id: &String| {
        from.parts.iter().find(|p| p.id == *id).map_or_else(|| id.clone(), PartFindings::title)
    };
    for sheet in sheets {
        let what = match sheet.chlorine.said() {
            ChlorineSaid::NoneDetected => continue,
            said if said.contains() => "which contains chlorine",
            _ => "in which chlorine is not excluded",
        };
        let replaces = neighbours::replaced_by(sheet, from.manifest);
        let mut beside: Vec<String> = Vec::new();
        for neighbour in &from.manifest.neighbours {
            let names = match &neighbour.is_part {
                Some(_) => {
                    neighbours::parts_beside(neighbour, replaces).into_iter().map(title).collect()
                }
                None if neighbours::would_stand_beside(neighbour, replaces) => {
                    vec![name(neighbour)]
                }
                None => Vec::new(),
            };
            let near = near(neighbour.nearness);
            beside.extend(names.into_iter().map(|name| format!("{near} {name}")));
        }
        if !beside.is_empty() {
            let beside = plain::list(&beside);
            text.push(format!("If used, {}, {what}, would stand {beside}.", sheet.title()));
        }
    }
    text
}

/// What the manifest puts beside a part, by name: never the part itself. A neighbour without a list
/// stands beside all.
fn stands_beside(neighbour: &NeighbourRecord, id: &str, parts: &[PartFindings]) -> Option<String> {
    let title = |id: &String| {
        parts.iter().find(|p| p.id == *id).map_or_else(|| id.clone(), PartFindings::title)
    };
    let named = neighbour.beside.is_empty() || neighbour.beside.iter().any(|b| b == id);
    match &neighbour.is_part {
        // "T1 leans on F1" holds for both of them.
        Some(itself) if itself == id => {
            let others: Vec<String> =
                neighbour.beside.iter().filter(|other| *other != id).map(title).collect();
            (!others.is_empty()).then(|| plain::list(&others))
        }
        Some(other) => named.then(|| title(other)),
        None => named.then(|| name(neighbour)),
    }
}

fn near(nearness: NeighbourRelation) -> &'static str {
    match nearness {
        NeighbourRelation::Touching => "touching",
        NeighbourRelation::SameEnclosure => "in the same enclosure as",
        NeighbourRelation::SameRoom => "in the same room as",
    }
}

/// A neighbour that is no part, by name and what it is made of.
fn name(neighbour: &NeighbourRecord) -> String {
    match neighbour.material {
        Some(kind) => {
            let kind = kind.as_str().replace('-', " ");
            if neighbour.name == kind { kind } else { format!("{} ({kind})", neighbour.name) }
        }
        None => neighbour.name.clone(),
    }
}

fn ageing(parts: &[PartFindings]) -> Vec<String> {
    let mut text = Vec::new();
    let object = || parts.iter().filter(|part| part.claim.is_none());
    for part in object().filter(|part| part.ageing.state == AgeingState::Changed) {
        let what = part.ageing.sentence.strip_prefix("changed: ").unwrap_or(&part.ageing.sentence);
        text.push(format!("{} has changed: {what}.", part.title()));
    }
    if !text.is_empty() {
        text.push(
            "The figures set a band against a steady band of the same spectrum; the interval is meant \
             to hold the true value in 95 of 100 such measurements. They compare these faces and \
             are no grade."
                .to_owned(),
        );
    }
    let of = |state: AgeingState| {
        ids(object().filter(|part| part.ageing.state == state).map(|part| part.id.as_str()))
    };
    let unchanged = of(AgeingState::NoChangeDetected);
    if !unchanged.is_empty() {
        text.push(format!("No change to be seen between the faces of {unchanged}."));
    }
    for part in object() {
        let open = part.ageing.refused().filter(|_| part.ageing.state != AgeingState::Changed);
        text.extend(open.map(|marker| format!("{}: {}.", part.title(), marker.words)));
    }
    for part in object().filter(|part| part.ageing.state == AgeingState::TooBlind) {
        text.push(format!("{}: {}.", part.title(), part.ageing.sentence));
    }
    for part in object() {
        let carried = part.ageing.carried();
        text.extend(carried.map(|what| format!("{}: {what}; that is no change.", part.title())));
    }
    let untested = || object().filter(|part| part.ageing.state == AgeingState::NotTested);
    let refused = |part: &&PartFindings| part.ageing.refused().next().is_some();
    let few = ids(untested().filter(|part| !refused(part)).map(|part| part.id.as_str()));
    if !few.is_empty() {
        text.push(format!("Compared without a test, as there were too few spots: {few}."));
    }
    for part in untested().filter(refused) {
        let why: Vec<&str> = part.ageing.refused().map(|marker| marker.words.as_str()).collect();
        text.push(format!("{}: nothing was tested: {}.", part.title(), why.join("; ")));
    }
    for part in object().filter(|part| {
        part.ageing.state != AgeingState::Changed
            && part.ageing.notes.iter().any(|note| note.contains(part_ageing::NOT_EXPLAINED))
    }) {
        // Where nothing was tested, nothing was looked at that could explain it.
        let what = match part.ageing.state {
            AgeingState::NotTested | AgeingState::NotCompared => {
                "visible change, of which infrared tested nothing"
            }
            _ => "visible change not explained by this method",
        };
        text.push(format!("{}: {what}.", part.title()));
    }
    for part in object().filter(|part| part.ageing.faces_refused) {
        text.push(format!("{}: {}.", part.title(), part.ageing.sentence));
    }
    let (alone, others): (Vec<&PartFindings>, Vec<&PartFindings>) = object()
        .filter(|part| part.ageing.state == AgeingState::NotCompared && !part.ageing.faces_refused)
        .partition(|part| part.ageing.sentence.ends_with(part_ageing::NOTHING_BESIDE));
    if !alone.is_empty() {
        let alone = ids(alone.into_iter().map(|part| part.id.as_str()));
        text.push(format!("Not compared, for only one face was measured: {alone}."));
    }
    let mut told: Vec<(&str, Vec<&PartFindings>)> = Vec::new();
    for part in others {
        let why = part.ageing.sentence.trim_start_matches("Not compared: ").trim_end_matches('.');
        match told.iter_mut().find(|(known, _)| *known == why) {
            Some((_, parts)) => parts.push(part),
            None => told.push((why, vec![part])),
        }
    }
    for (why, parts) in told {
        let those = match parts.as_slice() {
            [one] => one.title(),
            several => ids(several.iter().map(|part| part.id.as_str())),
        };
        text.push(format!("{those}: not compared, {why}."));
    }
    text
}

fn replacement(manifest: &Manifest, candidates: &[CandidateFindings]) -> Vec<String> {
    if candidates.is_empty() {
        return vec!["No candidate sheet was given.".to_owned()];
    }
    let mut text = Vec::new();
    let mut held = false;
    let mut told: Vec<&[String]> = Vec::new();
    for found in candidates.iter().filter(|found| !found.record.replaces.is_empty()) {
        let parts = found.record.replaces.as_slice();
        if told.contains(&parts) {
            continue;
        }
        told.push(parts);
        let sheets = candidates.iter().filter(|c| c.record.replaces == parts);
        text.push(format!(
            "Offered for {}: {}.",
            ids(parts.iter().map(String::as_str)),
            ids(sheets.map(|c| c.record.id.as_str()))
        ));
    }
    // What would settle a claim is said of the first sheet that it is said of.
    let mut ways: Vec<(&str, &str)> = Vec::new();
    for found in candidates {
        let record = &found.record;
        // What the rules read stands in the table of sheets.
        let why = found.claim.why.split("; against ").next().unwrap_or_default();
        let mut line = format!(
            "{}, claimed {}: {}: {why}.",
            record.id,
            recorded(&record.claimed),
            found.claim.words,
        );
        let way = found.claim.settled_by.first().map(|way| {
            match ways.iter().find(|(known, _)| known == way) {
                Some((_, id)) => format!("as for {id}"),
                None => {
                    ways.push((way, &record.id));
                    way.clone()
                }
            }
        });
        match (found.claim.outcome, way) {
            (ClaimOutcome::NotAsClaimed, Some(way)) => {
                line.push_str(&format!(" What would confirm it: {way}."));
            }
            (ClaimOutcome::AsClaimed, _) | (_, None) => {}
            (_, Some(way)) => line.push_str(&format!(" What would settle it: {way}.")),
        }
        match &found.bending {
            Bending::Strain { radius_mm, thickness_mm, words, .. } => {
                held = true;
                // The caution that all sheets share is said once, below.
                let words = words.split("; solvent, ").next().unwrap_or(words);
                line.push_str(&format!(
                    " On a curve of {} m radius, {thickness_mm} mm thick: {words}.",
                    radius_mm / 1000.0
                ));
            }
            Bending::Refused { why } => {
                line.push_str(&format!(" Held on the object's curve: not answered, {why}."));
            }
        }
        text.push(line);
    }
    text.extend(tests_first(candidates));
    if held {
        text.push(
            "A held sheet can crack below its dry limit where solvent, cleaner, adhesive or a \
             migrating plasticiser reaches it."
                .to_owned(),
        );
    }
    if manifest.object.smallest_radius_mm.is_some() {
        text.push(
            "Forming the sheet with heat, or making the curve in flat segments, leaves no held \
             strain."
                .to_owned(),
        );
    }
    text
}

/// What to test first on each batch; sheets with the same tests share a line.
fn tests_first(candidates: &[CandidateFindings]) -> Vec<String> {
    let mut tests: Vec<(&[String], Vec<&str>)> = Vec::new();
    for candidate in candidates.iter().filter(|c| !c.test_first.is_empty()) {
        let (todo, id) = (candidate.test_first.as_slice(), candidate.record.id.as_str());
        match tests.iter_mut().find(|(known, _)| *known == todo) {
            Some((_, sheets)) => sheets.push(id),
            None => tests.push((todo, vec![id])),
        }
    }
    tests
        .into_iter()
        .map(|(todo, sheets)| {
            let sheets = ids(sheets.into_iter());
            format!("To test first on {sheets}, each batch: {}.", todo.join("; "))
        })
        .collect()
}

fn action(from: &Drawn<'_>) -> Vec<String> {
    let mut text = beside_neighbours(from);
    text.extend(chlorine_without_a_neighbour(from));
    text.extend(acid_without_a_neighbour(from));
    for part in from.parts.iter().filter(|part| part.claim.is_none()) {
        let cracks =
            [&part.record.seen.cracks, &part.record.seen.crazes, &part.record.seen.texture];
        let seen: Vec<String> = cracks.into_iter().filter(|t| says_something(t)).cloned().collect();
        if !seen.is_empty() {
            text.push(format!("Clamp nothing on {} ({}).", part.title(), plain::list(&seen)));
        }
    }
    let chlorinated: Vec<&str> = from
        .parts
        .iter()
        .filter(|part| part.claim.is_some() && part.chlorine.said().contains())
        .map(|part| part.id.as_str())
        .collect();
    if !chlorinated.is_empty() {
        let sheets = ids(chlorinated.iter().copied());
        text.push(format!(
            "Of the sheets offered, choose none that contains chlorine ({sheets}): with it the risk to what lies beside \
             stays."
        ));
    }
    let tested = ids(from
        .candidates
        .iter()
        .filter(|c| !c.test_first.is_empty())
        .map(|c| c.record.id.as_str())
        .filter(|id| !chlorinated.contains(id)));
    if !tested.is_empty() {
        text.push(format!(
            "Test each batch of {tested} before use; the tests stand with the question of remaking."
        ));
    }
    let disagree = ids(from
        .parts
        .iter()
        .filter(|part| part.outcome == PartOutcome::SpotsDisagree)
        .map(|part| part.id.as_str()));
    if !disagree.is_empty() {
        text.push(format!("Spots that contradict each other, measure again: {disagree}."));
    }
    if text.is_empty() && !from.unsettled.is_empty() {
        text.push("Settle what stays open, below.".to_owned());
    }
    text
}

/// A line for each neighbour, rule and advice, with the parts that share it.
fn beside_neighbours(from: &Drawn<'_>) -> Vec<String> {
    let mut text = Vec::new();
    let mut told: Vec<(&str, &str, &str)> = Vec::new();
    // An acid that the material is known for asks for the same already.
    let is_said = |risk: &NeighbourRisk| {
        risk.advice.strip_prefix(neighbours::NOT_EXCLUDED).is_some_and(|advice| {
            from.neighbours.iter().any(|other| {
                (&other.part, &other.neighbour) == (&risk.part, &risk.neighbour)
                    && plain::first_small(&other.advice) == advice
            })
        })
    };
    let risks: Vec<&NeighbourRisk> = from.neighbours.iter().filter(|risk| !is_said(risk)).collect();
    for risk in &risks {
        let key = (risk.neighbour.as_str(), risk.rule.as_str(), risk.advice.as_str());
        if told.contains(&key) {
            continue;
        }
        told.push(key);
        let parts = ids(risks
            .iter()
            .filter(|r| (r.neighbour.as_str(), r.rule.as_str(), r.advice.as_str()) == key)
            .map(|r| r.part.as_str()));
        let advice = plain::first_small(&risk.advice);
        // The advice says what to do: "keep apart" before it contradicts "nothing to part".
        text.push(format!("{parts} beside {}: {advice}", risk.neighbour));
    }
    text
}

/// What to keep away from the parts with chlorine beside which no neighbour of theirs is spoken of: what is not recorded
/// may stand there all the same.
fn chlorine_without_a_neighbour(from: &Drawn<'_>) -> Option<String> {
    let is_acid = |risk: &NeighbourRisk| {
        let mut rules = from.tables.neighbours().iter();
        rules.any(|rule| rule.id == risk.rule && rule.hazard == Hazard::Acid)
    };
    let of = |contains: bool| {
        ids(from
            .parts
            .iter()
            .filter(|part| part.claim.is_none())
            .filter(|part| {
                let said = part.chlorine.said();
                said != ChlorineSaid::NoneDetected && said.contains() == contains
            })
            .filter(|part| {
                !from.neighbours.iter().any(|risk| risk.part == part.id && is_acid(risk))
            })
            .map(|part| part.id.as_str()))
    };
    let those = match (of(true), of(false)) {
        (contain, open) if open.is_empty() => format!("{contain}, for the chlorine"),
        (contain, open) if contain.is_empty() => format!("{open}, until tested for chlorine"),
        (contain, open) => format!("{contain}, for the chlorine, and {open} until tested"),
    };
    let none = those.starts_with(',');
    (!none).then(|| {
        format!(
            "Keep apart from metals, stone, shell, paper, textile, leather and other plastics, with an acid indicator \
             beside: {those}. No neighbour that its acid reaches is recorded there."
        )
    })
}

/// What acid shown on a part, or a smell of vinegar, asks for where no neighbour is recorded.
fn acid_without_a_neighbour(from: &Drawn<'_>) -> Vec<String> {
    let acid_rules = || from.tables.neighbours().iter().filter(|rule| rule.hazard == Hazard::Acid);
    let mut text = Vec::new();
    for part in from.parts.iter().filter(|part| part.claim.is_none()) {
        let possible = part.possible_materials();
        let gives_acid = acid_rules().any(|rule| neighbours::speaks_of(rule, part, from.tables));
        let vinegar = acid::smell_of_vinegar(&part.record).filter(|_| {
            possible.iter().any(|id| from.tables.has_role(id, MaterialRole::SmellsOfVinegar))
        });
        let reading = acid::reading(&part.record);
        let title = part.title();
        let keep =
            "let air pass, keep it cool and apart from metals, stone, shell, paper and textile";
        match (vinegar, reading) {
            (_, acid::Reading::Acid(recorded)) if gives_acid => text.push(format!(
                "Treat {title} as giving off acid, for {recorded}: {keep}, and look at it first."
            )),
            (Some(smell), acid::Reading::NotRecorded) => text.push(format!(
                "{title} smells of vinegar (\u{201c}{smell}\u{201d}), as a cellulose acetate does that loses acetic \
                 acid: place an acid indicator beside it, {keep}."
            )),
            (Some(smell), acid::Reading::OnlyPh(recorded)) => text.push(format!(
                "{title} smells of vinegar (\u{201c}{smell}\u{201d}), and {recorded}, which does not show whether \
                 acid is given off: place an acid indicator beside it, {keep}."
            )),
            (Some(smell), acid::Reading::NoAcid(recorded)) => text.push(format!(
                "{title} smells of vinegar (\u{201c}{smell}\u{201d}), yet {recorded}: read another one for longer, \
                 and until then {keep}."
            )),
            (Some(smell), acid::Reading::Unclear(recorded) | acid::Reading::Acid(recorded)) => {
                text.push(format!(
                    "{title} smells of vinegar (\u{201c}{smell}\u{201d}), and {recorded}: {keep}, and read an \
                     indicator again."
                ));
            }
            (None, _) => {}
        }
    }
    text
}
