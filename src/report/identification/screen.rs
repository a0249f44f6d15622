//! One spectrum on one screen: of the page's section the answer, what carries it, what speaks against it.

use super::pages::{self, Pair};
use super::{IdentificationEntry, Stamp, WriteOptions, answer};
use crate::judge::{BandEvidence, BandState, Identification, Outcome};
use crate::report::document::{Document, Kind, Table, Tone};
use crate::report::text_tools::{cut, visible, wrap};
use crate::report::words;
use crate::spectrum::Warning;

/// Lines of the plainest terminal: no screen is longer, at 80 columns.
const MOST_LINES: usize = 24;

/// Peaks named in one line before they are only counted.
const MOST_PEAKS: usize = 3;

/// Room that the longest label takes with the blanks behind it.
const LABEL: usize = 16;

/// How much of each part is said.
#[derive(Clone, Copy)]
struct Room {
    bands: usize,
    cautions: usize,
    caution_lines: usize,
    /// Lines of anything else; chlorine has one more.
    lines: usize,
}

/// From the fullest screen to the barest: bands give way before words do.
const ROOMS: [Room; 8] = [
    Room { bands: 6, cautions: 4, caution_lines: 3, lines: 2 },
    Room { bands: 5, cautions: 4, caution_lines: 3, lines: 2 },
    Room { bands: 4, cautions: 4, caution_lines: 3, lines: 2 },
    Room { bands: 4, cautions: 3, caution_lines: 2, lines: 2 },
    Room { bands: 3, cautions: 2, caution_lines: 2, lines: 2 },
    Room { bands: 2, cautions: 2, caution_lines: 1, lines: 2 },
    Room { bands: 2, cautions: 1, caution_lines: 1, lines: 1 },
    Room { bands: 1, cautions: 1, caution_lines: 1, lines: 1 },
];

/// Writes the screen of one entry; nothing where it could not be judged.
pub(super) fn screen(
    stamp: &Stamp,
    entry: &IdentificationEntry,
    options: &WriteOptions,
) -> Option<String> {
    let found = entry.identification.as_ref()?;
    let mut text = String::new();
    for room in ROOMS {
        let page = composed(stamp, entry, found, options, room);
        text = page.text_in(options.width, options.style);
        if text.lines().count() <= MOST_LINES {
            break;
        }
    }
    Some(text)
}

fn composed(
    stamp: &Stamp,
    entry: &IdentificationEntry,
    found: &Identification,
    options: &WriteOptions,
    room: Room,
) -> Document {
    let mut page = Document { ids: entry.ids(), ..Document::default() };
    let within = |text: &str, most| within(text, options.width - LABEL, most);
    // A word that does not fit leaves its line short: of several lines not all is filled.
    let title = room.lines * options.width - if room.lines > 1 { LABEL } else { 0 };
    page.heading(2, &cut(&pages::title(entry, &entry.file), title), "");
    let symbols = answer::symbols(found);
    match answer::named(found, stamp).as_slice() {
        [(id, name)] if id != name => page.text(format!("{symbols}: {name}"), Tone::Lead),
        named => {
            page.text(symbols, Tone::Lead);
            let names = named.iter().filter(|(id, name)| id != name);
            let names: Vec<String> = names.map(|(id, name)| format!("{id}: {name}")).collect();
            page.text(names.join("; "), Tone::Note);
        }
    }
    page.text(answer::kind(found), Tone::Note);

    // Of two materials side by side the sentence says it already.
    let unsaid = |(label, _): &Pair| match *label {
        "Component" => found.outcome != Outcome::Mixed,
        label => label != "Unsettled",
    };
    let facts = pages::facts(stamp, entry, found, MOST_PEAKS).into_iter().filter(unsaid);
    let leads = |(label, _): &Pair| matches!(*label, "Chlorine" | "Plasticiser" | "Component");
    let (first, rest): (Vec<Pair>, Vec<Pair>) = facts.partition(leads);
    let shown = |(label, text): Pair| {
        let more = usize::from(matches!(label, "Chlorine" | "Second opinion"));
        (label, within(&text, room.lines + more))
    };
    page.pairs(first.into_iter().map(shown));
    bands(&mut page, stamp, entry, room);
    let against = pages::comparisons(found, options.top, 1);
    let mut pairs: Vec<_> = rest.into_iter().chain(against).map(shown).collect();
    let room_of_one = (options.width - LABEL, room.caution_lines);
    let of_one = |text| ("Caution", whole_or_named(text, room_of_one));
    pairs.extend(cautions(entry, room).into_iter().map(of_one));
    page.pairs(pairs);
    page.text(
        "Of the surface at this spot. More: --evidence, --explain, --format json",
        Tone::Note,
    );
    page
}

/// The bands that carry the answer, in the order of the spectrum.
fn bands(page: &mut Document, stamp: &Stamp, entry: &IdentificationEntry, room: Room) {
    let evidence = entry.evidence(0);
    let alike = entry.look_alikes(&evidence);
    if alike > 1 {
        page.table(pages::look_alikes(&evidence[..alike], room.bands));
        return;
    }
    // Of several components each shows its own highest bands.
    let share = (room.bands / evidence.len().max(1)).max(1);
    for (id, bands) in &evidence {
        let mut met: Vec<&BandEvidence> =
            bands.iter().filter(|band| band.state == BandState::Met).collect();
        // A band that says what vibrates tells more than a higher one that does not.
        let told = |band: &BandEvidence| band.assignment != "not assigned";
        let height = |band: &BandEvidence| band.share.unwrap_or(0.0);
        met.sort_by(|a, b| told(b).cmp(&told(a)).then(height(b).total_cmp(&height(a))));
        // Two bands of the table may be met by one peak.
        let mut seen = Vec::new();
        met.retain(|band| {
            let fresh = !seen.contains(&band.found_cm1);
            seen.push(band.found_cm1);
            fresh
        });
        met.truncate(share);
        met.sort_by(|a, b| b.expected_cm1.total_cmp(&a.expected_cm1));
        let mut caption = answer::bands_found(bands);
        if evidence.len() > 1 {
            caption = format!("{}: {caption}", stamp.name(id));
        }
        let columns = [
            ("cm⁻¹", Kind::Number, 9),
            ("Share", Kind::Number, 9),
            ("Assignment", Kind::Words, 40),
        ];
        let mut table = Table::new(&caption, &columns);
        table.rows.extend(met.into_iter().map(|band| {
            let place = format!("{:.1}", band.found_cm1.unwrap_or(band.expected_cm1));
            let share = band.share.map_or_else(|| "–".to_owned(), |share| format!("{share:.2}"));
            let assignment = within(&band.assignment, 60, room.lines);
            [place, share, assignment].map(Into::into).to_vec()
        }));
        page.table(table);
    }
}

/// Findings that limit the answer, then the warnings of reading; of many the last says how many more there are.
fn cautions(entry: &IdentificationEntry, room: Room) -> Vec<String> {
    let findings = answer::cautions(entry).map(words::finding_words);
    let warnings = entry.warnings_unsaid().filter(|w| w.id != answer::MODE_ASSUMED);
    let (of_unit, others): (Vec<_>, Vec<_>) =
        warnings.partition(|warning| answer::OF_UNIT.contains(&warning.id.as_str()));
    let text = |warning: &Warning| warning.text.clone();
    // In a wrong unit every other caution misleads.
    let mut all: Vec<String> = of_unit.into_iter().map(text).collect();
    all.extend(findings.chain(others.into_iter().map(text)));
    if all.len() > room.cautions {
        // The gravest is told on the barest screen too.
        let told = (room.cautions - 1).max(1);
        let more = all.len() - told;
        all.truncate(told);
        all.push(format!("{more} more: --evidence"));
    }
    all
}

/// A caution that takes so many lines of a width at most, else what it is of: half of one may say the opposite.
fn whole_or_named(text: String, (width, most): (usize, usize)) -> String {
    if wrap(&visible(&text), width).len() <= most {
        return text;
    }
    let named = text.split([':', ';']).next().unwrap_or_default();
    within(&format!("{named}; what it means: --evidence"), width, most)
}

/// Text that takes so many lines of a width at most; it ends with an ellipsis where more was to say.
fn within(text: &str, width: usize, most: usize) -> String {
    let mut lines = wrap(&visible(text), width);
    if lines.len() <= most {
        return text.to_owned();
    }
    lines.truncate(most);
    if let Some(last) = lines.last_mut() {
        *last = cut(&format!("{last} …"), width);
    }
    lines.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_caution_is_told_whole_or_named() {
        let text = "carbon dioxide: carbon dioxide is strong: a spike at 667 cm⁻¹, beside C–Cl, is not the sample's";
        assert_eq!(whole_or_named(text.to_owned(), (60, 2)), text);
        assert_eq!(
            whole_or_named(text.to_owned(), (60, 1)),
            "carbon dioxide; what it means: --evidence"
        );
    }
}
