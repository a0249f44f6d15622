//! What an acid indicator was recorded to show, and what follows from it.

use super::record::PartRecord;

/// Words of an entry that say no acid was shown; asked before [`ACID`], for "not turned" holds "turned".
/// Colours are left out: which of them stands for acid differs from strip to strip.
const NO_ACID: &[&str] = &[
    "no change",
    "no acid",
    "not acid",
    "not turned",
    "did not turn",
    "unchanged",
    "negative",
    "neutral",
    "level 0",
];

/// Words of an entry that say acid was shown.
const ACID: &[&str] = &["turned", "positive", "acid", "level 1", "level 2", "level 3"];

/// Below this pH a surface or a droplet counts as acid (own choice: a unit below rain in equilibrium with
/// carbon dioxide, pH 5.6, would be strict, half a unit leaves room for a strip's step).
const ACID_BELOW_PH: f64 = 5.0;

/// From this pH up it counts as not acid; between the two it stays open (own choice).
const NO_ACID_FROM_PH: f64 = 6.0;

/// What the examiner's entries on acid say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Reading {
    /// Nothing was written down.
    NotRecorded,
    /// Acid was shown; the entry.
    Acid(String),
    /// No acid was shown; the entry.
    NoAcid(String),
    /// An entry that can be read either way.
    Unclear(String),
}

/// Reads the entries on the acid indicator and on pH; either of them that shows acid counts.
pub(super) fn reading(record: &PartRecord) -> Reading {
    let (indicator, ph) = (record.acid_indicator.trim(), record.ph.trim());
    let entries = [(indicator, of_words(indicator)), (ph, of_ph(ph))];
    let written: Vec<String> = [("", indicator), ("pH ", ph)]
        .into_iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(what, text)| format!("{}{text}", if text.starts_with("pH") { "" } else { what }))
        .collect();
    let written = written.join("; ");
    let said =
        |wanted: bool| entries.iter().any(|(text, acid)| !text.is_empty() && *acid == Some(wanted));
    if written.is_empty() {
        Reading::NotRecorded
    } else if said(true) {
        Reading::Acid(written)
    } else if entries.iter().any(|(text, acid)| !text.is_empty() && acid.is_none()) {
        Reading::Unclear(written)
    } else {
        Reading::NoAcid(written)
    }
}

fn of_words(text: &str) -> Option<bool> {
    let text = text.to_lowercase();
    if matches!(text.as_str(), "none" | "no" | "0") || NO_ACID.iter().any(|w| text.contains(w)) {
        Some(false)
    } else if ACID.iter().any(|w| text.contains(w)) {
        Some(true)
    } else {
        None
    }
}

fn of_ph(text: &str) -> Option<bool> {
    let start = text.find(|c: char| c.is_ascii_digit())?;
    let number: String = text[start..]
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .collect();
    let ph: f64 = number.trim_end_matches(['.', ',']).replace(',', ".").parse().ok()?;
    if !(0.0..=14.0).contains(&ph) {
        None
    } else if ph < ACID_BELOW_PH {
        Some(true)
    } else if ph >= NO_ACID_FROM_PH {
        Some(false)
    } else {
        None
    }
}

/// What to do first beside a neighbour that acid would harm: `usual` where no reading is recorded.
pub(super) fn advice(reading: &Reading, usual: &str) -> String {
    match reading {
        Reading::NotRecorded => usual.to_owned(),
        Reading::Acid(entry) => format!(
            "Part the two now and let air pass, for the acid indicator is recorded as \u{201c}{entry}\u{201d}; \
             look at the neighbour for corrosion or stain."
        ),
        Reading::NoAcid(entry) => format!(
            "Nothing to part for acid today, for the acid indicator is recorded as \u{201c}{entry}\u{201d}; \
             look at the neighbour, and read an indicator again at the next examination."
        ),
        Reading::Unclear(entry) => format!(
            "The acid indicator is recorded as \u{201c}{entry}\u{201d}: if that stands for acid, part the two \
             now; if not, read it again at the next examination. Look at the neighbour either way."
        ),
    }
}

/// What was written of a smell of vinegar, among what the eye saw and the note.
pub(super) fn smell_of_vinegar(record: &PartRecord) -> Option<&str> {
    let denies =
        |text: &str| ["no smell", "no vinegar", "not of vinegar"].iter().any(|n| text.contains(n));
    record
        .seen
        .entries()
        .into_iter()
        .map(|(_, text)| text)
        .chain([record.note.as_str()])
        .map(str::trim)
        .find(|text| {
            let low = text.to_lowercase();
            (low.contains("vinegar") || low.contains("acetic")) && !denies(&low)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(indicator: &str, ph: &str) -> PartRecord {
        PartRecord {
            acid_indicator: indicator.to_owned(),
            ph: ph.to_owned(),
            ..PartRecord::default()
        }
    }

    #[test]
    fn an_entry_is_read_as_acid_as_none_or_left_unclear() {
        use Reading::{Acid, NoAcid, NotRecorded, Unclear};
        for (indicator, ph, wanted) in [
            ("", "", NotRecorded),
            ("turned after 24 h", "", Acid("turned after 24 h".into())),
            ("strip not turned after 24 h", "", NoAcid("strip not turned after 24 h".into())),
            ("green", "", Unclear("green".into())),
            ("", "pH 3,5", Acid("pH 3,5".into())),
            ("", "7", NoAcid("pH 7".into())),
            ("", "5.5", Unclear("pH 5.5".into())),
            ("no change", "4", Acid("no change; pH 4".into())),
        ] {
            assert_eq!(reading(&record(indicator, ph)), wanted, "{indicator} {ph}");
        }
    }
}
