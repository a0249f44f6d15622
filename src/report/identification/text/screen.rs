//! One spectrum on one screen: the answer, what carries it, what speaks against it.

use super::page::{Page, heading};
use crate::judge::{BandEvidence, BandState, Identification, Outcome};
use crate::report::identification::entry::DISAGREES;
use crate::report::identification::{IdentificationEntry, Stamp, answer, shared};
use crate::report::style::Weight;
use crate::report::text_tools::{list_words, visible};
use crate::report::words;

/// Lines of the plainest terminal: no screen is longer, at 80 columns.
const MOST_LINES: usize = 24;

/// Bands shown, where there is room and where there is not.
const BANDS: (usize, usize) = (6, 4);

/// Peaks named in one line before they are only counted.
const MOST_PEAKS: usize = 6;

/// How much of each part is said.
#[derive(Clone, Copy)]
struct Room {
    bands: usize,
    chlorine_lines: usize,
    cautions: usize,
    caution_lines: usize,
    /// Lines of anything else.
    lines: usize,
}

/// From the fullest screen to the barest.
const ROOMS: [Room; 4] = [
    Room { bands: BANDS.0, chlorine_lines: 3, cautions: 4, caution_lines: 3, lines: 2 },
    Room { bands: BANDS.0, chlorine_lines: 3, cautions: 3, caution_lines: 2, lines: 2 },
    Room { bands: BANDS.1, chlorine_lines: 3, cautions: 3, caution_lines: 2, lines: 2 },
    Room { bands: BANDS.1, chlorine_lines: 3, cautions: 2, caution_lines: 1, lines: 1 },
];

/// Writes the screen of one entry; nothing where it could not be judged.
pub(super) fn write(page: &mut Page<'_>, stamp: &Stamp, entry: &IdentificationEntry) {
    let Some(found) = &entry.identification else { return };
    for room in ROOMS {
        let mut tried = Page::new(page.options);
        whole(&mut tried, stamp, entry, found, room);
        *page = tried;
        if page.text().lines().count() <= MOST_LINES {
            return;
        }
    }
}

fn whole(
    page: &mut Page<'_>,
    stamp: &Stamp,
    entry: &IdentificationEntry,
    found: &Identification,
    room: Room,
) {
    page.heading(&heading(entry));
    head(page, stamp, found);
    page.blank();
    page.labelled_within(
        "Chlorine",
        &visible(&answer::chlorine_line(entry, found)),
        room.chlorine_lines,
    );
    if let Some(plasticiser) = &found.plasticiser {
        let words = words::plasticiser(plasticiser, |id| stamp.name(id).to_owned());
        page.labelled_within("Plasticiser", &visible(&words), room.lines);
    }
    let beside: Vec<String> = match found.outcome {
        Outcome::Mixed => Vec::new(),
        _ => answer::beside(found)
            .map(|c| format!("{} ({})", stamp.name(&c.id), words::relation(c.relation)))
            .collect(),
    };
    if !beside.is_empty() {
        page.labelled_within("Beside it", &visible(&beside.join("; ")), room.lines);
    }
    bands(page, entry, &entry.evidence(0), room);
    if let Some(curve) = answer::curve(found) {
        page.labelled_within("Curve", &visible(&curve), 1);
    }
    if !found.unexplained.is_empty() {
        page.labelled_within("Unexplained", &peaks(&found.unexplained), room.lines);
    }
    if let Some(unsettled) = &found.unsettled {
        page.labelled_within("Settled by", &visible(&unsettled.settled_by), room.lines);
    }
    if let Some(opinion) = &entry.second_opinion {
        page.labelled_within("References", &visible(&opinion.words), room.lines + 1);
    }
    if let Some(measured) = answer::measured(entry) {
        page.labelled_within("Measured", &measured, 1);
    }
    cautions(page, entry, room);
    if let Some(rival) = answer::rivals(found, page.options.top).first() {
        page.labelled_within("Next best", &visible(&answer::rival(rival)), 1);
    }
    page.blank();
    page.line(
        Some(Weight::Faint),
        "  Of the surface at this spot. More: --evidence, --explain, --format json",
    );
}

/// The answer: symbols, names, and what kind of answer it is.
fn head(page: &mut Page<'_>, stamp: &Stamp, found: &Identification) {
    let named = answer::named(found, stamp);
    let symbols = visible(&answer::symbols(found));
    match named.as_slice() {
        [(id, name)] if id != name => {
            let name = visible(name);
            page.push(2, 4, Weight::Strong, &format!("{symbols}: {name}"));
        }
        _ => page.push(2, 4, Weight::Strong, &symbols),
    }
    if named.len() > 1 {
        let names: Vec<String> = named
            .iter()
            .filter(|(id, name)| id != name)
            .map(|(id, name)| visible(&format!("{id}: {name}")))
            .collect();
        if !names.is_empty() {
            page.push(2, 4, Weight::Faint, &names.join("; "));
        }
    }
    page.push(2, 4, Weight::Faint, &visible(&answer::kind(found)));
}

/// The bands that carry the answer, highest first chosen, then in the order of the spectrum.
fn bands(
    page: &mut Page<'_>,
    entry: &IdentificationEntry,
    evidence: &[(&str, &[BandEvidence])],
    room: Room,
) {
    if evidence.is_empty() {
        return;
    }
    let alike = entry.look_alikes(evidence);
    if alike > 1 {
        look_alikes(page, &evidence[..alike], room.bands);
        return;
    }
    // Of several components each shows its own highest bands.
    let share = (room.bands / evidence.len()).max(2);
    let mut label = "Bands";
    for (id, bands) in evidence {
        let mut met: Vec<&BandEvidence> =
            bands.iter().filter(|band| band.state == BandState::Met).collect();
        // A band that says what vibrates tells more than a higher one that does not.
        let told = |band: &BandEvidence| !assigned(&band.assignment).is_empty();
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
        let of =
            if evidence.len() > 1 { format!("{}: ", answer::short(id)) } else { String::new() };
        for band in met {
            let text = format!(
                "{of}{:>4.0} cm⁻¹  {}",
                band.found_cm1.unwrap_or(band.expected_cm1),
                assigned(&band.assignment)
            );
            page.row(label, &visible(&text));
            label = "";
        }
        let count = |state| answer::count(bands, state);
        let (met, absent) = (count(BandState::Met), count(BandState::Missing));
        let mut text = format!("{of}{met} of {} bands found", met + absent);
        if absent > 0 {
            text.push_str(&format!("; absent {}", answer::places(bands, BandState::Missing)));
        }
        if count(BandState::Untestable) > 0 {
            let places = answer::places(bands, BandState::Untestable);
            text.push_str(&format!("; not testable {places}"));
        }
        page.labelled_within(label, &visible(&text), room.lines);
        label = "";
    }
}

/// Look-alikes in one table: what tells them apart first, then their highest common bands.
fn look_alikes(page: &mut Page<'_>, evidence: &[(&str, &[BandEvidence])], most: usize) {
    let columns: Vec<&str> = evidence.iter().map(|(id, _)| *id).collect();
    let mut rows = shared::shared(evidence);
    let differs = |row: &shared::SharedRow<'_>| row.states.windows(2).any(|w| w[0] != w[1]);
    rows.sort_by(|a, b| {
        let by_share = || b.share.unwrap_or(0.0).total_cmp(&a.share.unwrap_or(0.0));
        differs(b).cmp(&differs(a)).then_with(by_share)
    });
    let hidden = rows.len().saturating_sub(most);
    rows.truncate(most);
    rows.sort_by(|a, b| b.place_cm1.total_cmp(&a.place_cm1));
    let width = columns.iter().map(|id| id.chars().count()).max().unwrap_or(0).max(8);
    let line = |first: &str, cells: &[&str], last: &str| {
        let mut text = format!("{first:>9}");
        for cell in cells {
            text.push_str(&format!("  {cell:<width$}"));
        }
        format!("{text}  {last}")
    };
    page.row("Bands", &visible(&line("cm⁻¹", &columns, "")));
    for row in &rows {
        let cells: Vec<&str> = row.states.iter().map(|state| shared::cell(*state)).collect();
        let text = line(&format!("{:.0}", row.place_cm1), &cells, assigned(row.assignment));
        page.row("", &visible(&text));
    }
    if hidden > 0 {
        page.labelled_within("", &format!("{hidden} more bands: --evidence"), 1);
    }
}

/// Findings that limit the answer, then the warnings of reading.
fn cautions(page: &mut Page<'_>, entry: &IdentificationEntry, room: Room) {
    let findings = answer::cautions(entry).map(words::finding_words);
    let said = [answer::MODE_ASSUMED, DISAGREES];
    let warnings = entry.warnings.iter().filter(|w| !said.contains(&w.id.as_str()));
    let all: Vec<String> = findings.chain(warnings.map(|warning| warning.text.clone())).collect();
    let shown = if all.len() > room.cautions { room.cautions - 1 } else { all.len() };
    let mut label = "Caution";
    for text in all.iter().take(shown) {
        page.labelled_within(label, &visible(text), room.caution_lines);
        label = "";
    }
    if all.len() > shown {
        page.labelled_within(label, &format!("{} more: --evidence", all.len() - shown), 1);
    }
}

/// Peaks that nothing accounts for: "538, 916 and 1022 cm⁻¹ (up to 0.19 of the strongest band)".
fn peaks(unexplained: &[(f64, f64)]) -> String {
    let mut places: Vec<String> =
        unexplained.iter().take(MOST_PEAKS).map(|(at, _)| format!("{at:.0}")).collect();
    let more = unexplained.len().saturating_sub(MOST_PEAKS);
    if more > 0 {
        places.push(format!("{more} more"));
    }
    let highest = unexplained.iter().map(|(_, share)| *share).fold(0.0, f64::max);
    let up_to = if unexplained.len() > 1 { "up to " } else { "" };
    format!("{} cm⁻¹ ({up_to}{highest:.2} of the strongest band)", list_words(&places, "and"))
}

/// An assignment as far as the table has one.
fn assigned(text: &str) -> &str {
    if text == "not assigned" { "" } else { text }
}
