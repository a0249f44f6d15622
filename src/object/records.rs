//! What records say of a part, and what a sheet is offered as, against what was found.

use super::plain;
use super::record::{recorded, says_something};
use super::result::{CandidateFindings, ChlorineSaid, ClaimOutcome, PartFindings, PartOutcome};
use crate::tables::Tables;

/// Returns a line for each part that was recorded as something else than was found or in words that the table does
/// not know, and for each sheet that is not what it would replace.
pub(super) fn lines(
    parts: &[PartFindings],
    candidates: &[CandidateFindings],
    tables: &Tables,
) -> Vec<String> {
    let mut lines = Vec::new();
    for part in parts.iter().filter(|part| part.claim.is_none()) {
        let recorded = part.record.said_to_be.trim();
        if !says_something(recorded) {
            continue;
        }
        let Some(found) = found(part, tables) else { continue };
        let words = recorded_words(recorded, tables);
        if words.known.is_empty() {
            lines.push(format!(
                "{}: recorded as {recorded}; not compared: the table does not know the word.",
                part.title()
            ));
        } else if !words.hold_of(&found.ids) {
            let ids: Vec<String> = words.known.iter().map(|id| (*id).to_owned()).collect();
            let ids = ids.join(if words.alternatives { " or " } else { " and " });
            let meaning = if recorded.to_lowercase().contains(&ids.to_lowercase()) {
                String::new()
            } else {
                format!(" ({ids})")
            };
            lines.push(format!(
                "{}: recorded as {recorded}{meaning}, found {}.",
                part.title(),
                found.words
            ));
        }
    }
    // Sheets that are the same, and the parts that are, share a line.
    let mut offers: Vec<(String, Vec<&str>, String, Vec<&str>)> = Vec::new();
    for candidate in candidates {
        let id = candidate.record.id.as_str();
        let of =
            |id: &str| parts.iter().find(|part| part.id == id).and_then(|part| found(part, tables));
        let Some(sheet) = of(id) else { continue };
        let mut of_sheet: Vec<(String, Vec<&str>)> = Vec::new();
        for replaced in &candidate.record.replaces {
            let Some(original) = of(replaced) else { continue };
            if original.ids.iter().any(|id| sheet.ids.contains(id)) {
                continue;
            }
            match of_sheet.iter_mut().find(|(words, _)| *words == original.symbols) {
                Some((_, ids)) => ids.push(replaced),
                None => of_sheet.push((original.symbols, vec![replaced.as_str()])),
            }
        }
        for (words, replaced) in of_sheet {
            let same = offers
                .iter_mut()
                .find(|(w, r, s, _)| *w == words && *r == replaced && *s == sheet.symbols);
            match same {
                Some((.., sheets)) => sheets.push(id),
                None => offers.push((words, replaced, sheet.symbols.clone(), vec![id])),
            }
        }
    }
    for (original, replaced, sheet, sheets) in offers {
        let list = |ids: &[&str]| {
            plain::list(&ids.iter().map(|id| (*id).to_owned()).collect::<Vec<String>>())
        };
        lines.push(format!(
            "Original {original} ({}), offered sheet {sheet} ({}).",
            list(&replaced),
            list(&sheets)
        ));
    }
    let mut said: Vec<(Vec<String>, String)> = Vec::new();
    for candidate in candidates {
        let Some(sheet) = parts.iter().find(|part| part.id == candidate.record.id) else {
            continue;
        };
        let Some(words) = offer(candidate, sheet) else { continue };
        match said.iter_mut().find(|(_, known)| *known == words) {
            Some((ids, _)) => ids.push(sheet.id.clone()),
            None => said.push((vec![sheet.id.clone()], words)),
        }
    }
    lines.extend(said.into_iter().map(|(ids, words)| format!("{}, {words}", plain::list(&ids))));
    // Whether a test was passed stands in the examiner's own words: they are shown, never taken for a pass.
    for candidate in candidates {
        let record = &candidate.record;
        let tests = [
            ("Oddy test", &record.oddy_test),
            ("photographic activity test", &record.photographic_activity_test),
        ];
        let done = tests.iter().filter(|(_, result)| says_something(result));
        let done: Vec<String> = done.map(|(test, result)| format!("{test}: {result}")).collect();
        if !done.is_empty() {
            lines.push(format!("{}: on record, {}.", record.id, done.join("; ")));
        }
    }
    lines
}

/// What is said, behind its id, of a sheet that is not what it is offered as, or whose chlorine a buyer must know of.
fn offer(candidate: &CandidateFindings, sheet: &PartFindings) -> Option<String> {
    let said = sheet.chlorine.said();
    let measured = sheet.outcome != PartOutcome::NotMeasured;
    let of_chlorine = measured && said != ChlorineSaid::NoneDetected;
    let open = match candidate.claim.outcome {
        ClaimOutcome::NotAsClaimed => true,
        // What was not read, or not told, is for the buyer to compare.
        ClaimOutcome::CannotTell => measured && says_something(&candidate.record.claimed),
        _ => false,
    };
    if !open && !of_chlorine {
        return None;
    }
    // What the rules read stands in the table of sheets.
    let why = candidate.claim.why.split("; against ").next().unwrap_or_default();
    let words = &candidate.claim.words;
    let claimed = recorded(&candidate.record.claimed);
    let mut line = format!("claimed {claimed}: {words}: {why}.");
    let told =
        [words.as_str(), why].iter().any(|text| text.contains("hlorine") || text.contains("C–Cl"));
    if of_chlorine && !told {
        line.push_str(if said.contains() {
            " It contains chlorine."
        } else {
            " Chlorine is not excluded in it."
        });
    }
    Some(line)
}

/// What a record calls a part, word by word.
struct RecordedWords<'a> {
    /// Ids of the words that the table knows, each once.
    known: Vec<&'a str>,
    /// Whether the words are alternatives, as in "PET or PETG", and not what stands together.
    alternatives: bool,
}

impl RecordedWords<'_> {
    /// Whether what was found is what the record says, as far as the table knows its words.
    fn hold_of(&self, found: &[&str]) -> bool {
        if self.alternatives {
            self.known.iter().any(|id| found.contains(id))
        } else {
            self.known.iter().all(|id| found.contains(id))
        }
    }
}

/// Reads an entry as one word of the table or, where it is none, as several: "PET or PETG", "polycarbonate with hard
/// coat". What the table does not know beside a word that it knows, such as a kind of coat, is not compared.
fn recorded_words<'a>(recorded: &str, tables: &'a Tables) -> RecordedWords<'a> {
    let id = |word: &str| tables.find_material(word.trim()).map(|known| known.id.as_str());
    if let Some(one) = id(recorded) {
        return RecordedWords { known: vec![one], alternatives: false };
    }
    let mut text = recorded.to_lowercase();
    // "PC/ABS" is a blend, not a choice.
    let alternatives = text.contains(" or ");
    for between in [" or ", " with ", " and ", " over ", " on ", "/", "+", ",", ";", "(", ")"] {
        text = text.replace(between, "\n");
    }
    let mut known = Vec::new();
    for id in text.lines().filter(|word| !word.trim().is_empty()).filter_map(id) {
        if !known.contains(&id) {
            known.push(id);
        }
    }
    RecordedWords { known, alternatives }
}

/// What was found of a part.
struct Found<'a> {
    ids: Vec<&'a str>,
    /// By name, with the symbol behind it.
    words: String,
    /// By symbol alone.
    symbols: String,
}

/// What was found, by id; nothing where nothing can be said.
fn found<'a>(part: &'a PartFindings, tables: &Tables) -> Option<Found<'a>> {
    if let (PartOutcome::Classed, Some(class)) = (part.outcome, &part.class) {
        let ids = class.members.iter().map(String::as_str).collect();
        let words = format!("{} (which one cannot be told)", class.name);
        return Some(Found { ids, words, symbols: class.name.clone() });
    }
    let (ids, joint): (Vec<&str>, &str) = match part.outcome {
        PartOutcome::Identified => (part.material.iter().map(String::as_str).collect(), " or "),
        PartOutcome::Narrowed => (part.candidates.iter().map(String::as_str).collect(), " or "),
        PartOutcome::Mixed => (part.components.iter().map(|c| c.id.as_str()).collect(), " with "),
        _ => return None,
    };
    let named = |id: &&str| match tables.material(id) {
        Some(known) => format!("{} ({id})", known.name),
        None => (*id).to_owned(),
    };
    let words: Vec<String> = ids.iter().map(named).collect();
    let (words, symbols) = (words.join(joint), ids.join(joint));
    (!ids.is_empty()).then_some(Found { ids, words, symbols })
}
