//! What an acid indicator was recorded to show, and what follows from it.

use super::plain;
use super::record::PartRecord;

/// Words of an entry that say no acid was shown. Colours are left out: which of them stands for acid differs
/// from strip to strip. A bare "none", "no" or "0" is left out too: it may as well mean that none was placed.
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

/// Words that turn the word behind them round.
const NOT: &[&str] =
    &["not", "no", "non", "never", "without", "nor", "neither", "hardly", "barely"];

/// How many words before a word can still turn it round: "not quite negative", "no longer neutral".
const NOT_REACHES: usize = 3;

/// Below this pH a surface or a droplet counts as acid (own choice: a unit below rain in equilibrium with
/// carbon dioxide, pH 5.6, would be strict, half a unit leaves room for a strip's step).
const ACID_BELOW_PH: f64 = 5.0;

/// From this pH up it counts as not acid; between the two it stays open (own choice).
const NO_ACID_FROM_PH: f64 = 6.0;

/// What the examiner's entries on acid say, each with the clause that quotes them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Reading {
    /// Nothing was written down.
    NotRecorded,
    /// Acid was shown.
    Acid(String),
    /// The indicator showed no acid.
    NoAcid(String),
    /// An entry that can be read either way.
    Unclear(String),
    /// A pH alone, which showed no acid: it speaks for a surface or a droplet, not for what is given off.
    OnlyPh(String),
}

/// Reads the entries on the acid indicator and on pH; either of them that shows acid counts.
pub(super) fn reading(record: &PartRecord) -> Reading {
    let (indicator, ph) = (record.acid_indicator.trim(), record.ph.trim());
    let recorded = match (indicator, ph) {
        ("", "") => return Reading::NotRecorded,
        (_, "") => format!("the acid indicator is recorded as \u{201c}{indicator}\u{201d}"),
        ("", _) => format!("the pH is recorded as \u{201c}{ph}\u{201d}"),
        _ => format!(
            "the acid indicator is recorded as \u{201c}{indicator}\u{201d} and the pH as \u{201c}{ph}\u{201d}"
        ),
    };
    let of_indicator = (!indicator.is_empty()).then(|| of_words(indicator));
    let of_ph = (!ph.is_empty()).then(|| of_ph(ph));
    match (of_indicator, of_ph) {
        (Some(Some(true)), _) | (_, Some(Some(true))) => Reading::Acid(recorded),
        (None, _) => Reading::OnlyPh(recorded),
        (Some(Some(false)), None | Some(Some(false))) => Reading::NoAcid(recorded),
        _ => Reading::Unclear(recorded),
    }
}

/// Words beside which an entry still says no more than that no acid was shown: when, where and by what.
const BESIDE: &[&str] = &[
    "a",
    "after",
    "an",
    "at",
    "by",
    "day",
    "days",
    "for",
    "h",
    "hour",
    "hours",
    "hrs",
    "in",
    "indicator",
    "min",
    "month",
    "months",
    "of",
    "on",
    "one",
    "over",
    "paper",
    "read",
    "strip",
    "strips",
    "the",
    "two",
    "week",
    "weeks",
    "within",
];

/// Returns whether an entry says that acid was shown, `None` where it can be read either way: where it says both,
/// where a word of either list is turned round, and where beside "no acid" stands more than when and where.
fn of_words(text: &str) -> Option<bool> {
    let mut rest = text.to_lowercase();
    // What says nothing of the strip: a tissue's or a box's grade, and the nose.
    for (word, left) in [("acid-free", "?"), ("acid free", "?"), ("no smell", ";")] {
        rest = rest.replace(word, left);
    }
    let mut no_acid = false;
    for word in NO_ACID {
        while let Some(at) = rest.find(word) {
            if turned_round(&rest, at) {
                return None;
            }
            no_acid = true;
            // What this word covers says nothing more: "not turned" holds "turned".
            rest.replace_range(at..at + word.len(), ";");
        }
    }
    let mut acid = false;
    for word in ACID {
        for (at, _) in rest.match_indices(word) {
            if turned_round(&rest, at) {
                return None;
            }
            acid = true;
        }
    }
    match (no_acid, acid) {
        (true, false) => says_when_and_where(&rest).then_some(false),
        (false, true) => Some(true),
        _ => None,
    }
}

/// Returns whether nothing stands in a text but times, dates and [`BESIDE`]: a further level, a colour or a word that
/// is not known may turn the entry round.
fn says_when_and_where(text: &str) -> bool {
    let tokens: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')'))
        .map(|token| token.trim_end_matches('.'))
        .filter(|token| !token.is_empty())
        .collect();
    let is_unit = |word: &str| BESIDE.contains(&word);
    tokens.iter().enumerate().all(|(place, token)| {
        let after = token.trim_start_matches(|c: char| c.is_ascii_digit());
        let is_date =
            token.len() >= 8 && token.chars().all(|c| c.is_ascii_digit() || "-/.".contains(c));
        match after {
            // A number alone: of hours or days, or a level.
            "" => tokens.get(place + 1).is_some_and(|next| is_unit(next)),
            _ => is_date || is_unit(after),
        }
    })
}

/// Whether a word shortly before, in the same clause, turns round what stands at `at`.
fn turned_round(text: &str, at: usize) -> bool {
    let before = text.get(..at).unwrap_or_default();
    let clause = before.rsplit([';', ',', '.', ':', '(']).next().unwrap_or_default();
    clause
        .split(|c: char| !c.is_alphanumeric() && c != '\'' && c != '\u{2019}')
        .filter(|word| !word.is_empty())
        .rev()
        .take(NOT_REACHES)
        .any(|word| NOT.contains(&word) || word.ends_with("n't") || word.ends_with("n\u{2019}t"))
}

/// Returns whether a pH says that acid was shown; `None` between the limits, and where a number behind the first
/// could be another pH.
fn of_ph(text: &str) -> Option<bool> {
    let mut numbers = text
        .split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
        .map(|number| number.trim_matches(['.', ',']).replace(',', "."))
        .filter(|number| !number.is_empty());
    let Some(first) = numbers.next() else { return of_words(text) };
    let ph: f64 = first.parse().ok()?;
    let only = numbers.next().is_none();
    if !(0.0..=14.0).contains(&ph) {
        None
    } else if ph < ACID_BELOW_PH {
        Some(true)
    } else if ph >= NO_ACID_FROM_PH && only {
        Some(false)
    } else {
        None
    }
}

/// What to do first beside a neighbour that acid would harm: `usual` where no reading is recorded.
pub(super) fn advice(reading: &Reading, usual: &str) -> String {
    match reading {
        Reading::NotRecorded => usual.to_owned(),
        Reading::Acid(recorded) => format!(
            "Part the two now and let air pass, for {recorded}; look at the neighbour for corrosion or stain."
        ),
        Reading::NoAcid(recorded) => format!(
            "Nothing to part for acid today, for {recorded}; look at the neighbour, and read an indicator again \
             at the next examination."
        ),
        Reading::Unclear(recorded) => format!(
            "{}: if that stands for acid, part the two now; if not, read an indicator again at the next \
             examination. Look at the neighbour either way.",
            plain::first_large(recorded)
        ),
        Reading::OnlyPh(recorded) => format!(
            "{}, which does not show whether acid is given off. {usual}",
            plain::first_large(recorded)
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
        let kind = |reading: &Reading| match reading {
            Reading::NotRecorded => "not recorded",
            Reading::Acid(_) => "acid",
            Reading::NoAcid(_) => "no acid",
            Reading::Unclear(_) => "unclear",
            Reading::OnlyPh(_) => "pH only",
        };
        for (indicator, ph, wanted) in [
            ("", "", "not recorded"),
            ("turned after 24 h", "", "acid"),
            ("strip not turned after 24 h", "", "no acid"),
            ("no change after 24 h", "", "no acid"),
            ("no change, no smell", "", "no acid"),
            ("green", "", "unclear"),
            // Both: what came later is not told by where it stands.
            ("no change after 24 h; turned after 7 days", "", "unclear"),
            ("turned after a day, neutral again after a week", "", "unclear"),
            // Turned round.
            ("not negative", "", "unclear"),
            ("not quite neutral", "", "unclear"),
            ("isn't negative", "", "unclear"),
            ("never turned", "", "unclear"),
            ("not positive", "", "unclear"),
            ("no longer unchanged", "", "unclear"),
            // No strip, or no acid: it may be either.
            ("none", "", "unclear"),
            ("no", "", "unclear"),
            ("0", "", "unclear"),
            ("level 0", "", "no acid"),
            ("level 0 after 24 h", "", "no acid"),
            ("level 0-1", "", "unclear"),
            ("level 0 to 1", "", "unclear"),
            ("level 0.5", "", "unclear"),
            ("level 0, then 1.5", "", "unclear"),
            ("level 0 \u{2192} 2", "", "unclear"),
            // A colour, or what nobody reads here, may be what came of it.
            ("no change after 24 h, yellow after 7 days", "", "unclear"),
            ("acid-free tissue only, no strip", "", "unclear"),
            ("no change on 2026-03-10", "", "no acid"),
            ("no change after 24h and 7 days", "", "unclear"),
            ("strip at V02: no change within 2 weeks", "", "unclear"),
            ("", "pH 3,5", "acid"),
            ("", "7", "pH only"),
            ("", "5.5", "pH only"),
            ("", "neutral", "pH only"),
            ("no change", "neutral", "no acid"),
            ("no change", "4", "acid"),
            ("no change", "5.5", "unclear"),
            ("no change", "7", "no acid"),
            ("no change", "7, later 4", "unclear"),
        ] {
            assert_eq!(kind(&reading(&record(indicator, ph))), wanted, "{indicator:?} {ph:?}");
        }
    }

    #[test]
    fn a_ph_alone_never_says_that_there_is_nothing_to_part_and_is_called_no_indicator() {
        let said = |indicator: &str, ph: &str| advice(&reading(&record(indicator, ph)), "Usual.");
        let alone = said("", "7");
        assert_eq!(
            alone,
            "The pH is recorded as \u{201c}7\u{201d}, which does not show whether acid is given off. Usual."
        );
        let acid = said("", "3.5");
        assert!(acid.contains("for the pH is recorded as \u{201c}3.5\u{201d}"), "{acid}");
        assert!(!acid.contains("indicator"), "{acid}");
        assert!(said("no change", "").starts_with("Nothing to part for acid today"));
    }
}
