//! A comparison in plain words.

use super::values::{
    CHANGED_BELOW, CONTACT_MISFIT, ChangeCall, ChangeScale, ComparedFace, Comparison,
    FACES_EXCHANGED, MarkerComparison, SameMaterial,
};

/// Doubts of the faces themselves: exchanged, or something on one of them.
const HEADLINE: [&str; 2] = [FACES_EXCHANGED, CONTACT_MISFIT];

/// Says what was compared, what changed, what did not, and what that does not mean.
pub fn of_comparison(result: &Comparison, pairs: &[(ComparedFace, ComparedFace)]) -> String {
    let mut sentences = Vec::new();
    if let SameMaterial::CannotTell { why } = &result.same_material {
        sentences.push(format!("Whether the faces are the same material cannot be told: {why}."));
    }
    for &(face, against) in pairs {
        sentences.push(of_pair(result, face, against));
    }
    // A doubt of what was compared stands beside what it makes doubtful, not on a later page.
    let doubts = result.warnings.iter().filter(|w| HEADLINE.contains(&w.id.as_str()));
    sentences.extend(doubts.map(|doubt| format!("In doubt: {}.", doubt.text)));
    if let Some(route) = result.routes.first() {
        sentences.push(format!("The pattern {}.", route.sentence));
    }
    if let Some(colour) = &result.colour {
        sentences.push(format!("Beside the infrared: {colour}."));
    }
    if result.faces.iter().any(|f| f.face == ComparedFace::Reverse) {
        sentences.push("Both faces saw light.".to_owned());
    }
    let fewest = result.faces.iter().map(|f| f.n).min().unwrap_or(0);
    let spots = match fewest {
        0 | 1 => "One spot describes one place".to_owned(),
        n => format!("{n} spots describe one face"),
    };
    sentences.push(format!(
        "{spots}, not the effect of light; no grade is given, for none is published."
    ));
    sentences.join(" ")
}

fn of_pair(result: &Comparison, face: ComparedFace, against: ComparedFace) -> String {
    let of = |call: ChangeCall| -> Vec<&MarkerComparison> {
        result
            .markers
            .iter()
            .filter(|m| m.primary && m.face == face && m.against == against && m.call == call)
            .collect()
    };
    let start = format!("{} against {} face: ", capital(face.word()), against.word());
    let changed = of(ChangeCall::Changed);
    let mut parts = Vec::new();
    if !changed.is_empty() {
        let list: Vec<String> = changed.iter().map(|m| in_words(m)).collect();
        parts.push(list.join("; "));
    }
    let steady = of(ChangeCall::NoChangeShown);
    if !steady.is_empty() {
        let list: Vec<String> = steady
            .iter()
            .map(|m| match power_in_words(m) {
                Some(power) => format!("{} ({power})", m.id),
                None => m.id.clone(),
            })
            .collect();
        parts.push(format!("no change shown in {}", list.join(", ")));
    }
    let blind: Vec<String> = of(ChangeCall::TooBlind)
        .iter()
        .map(|m| match &m.why {
            Some(why) => format!("{} ({why})", m.id),
            None => m.id.clone(),
        })
        .collect();
    if !blind.is_empty() {
        parts.push(format!("too blind to say: {}", blind.join(", ")));
    }
    let refused = of(ChangeCall::Refused);
    if !refused.is_empty() {
        parts.push(format!("not comparable: {}", ids(&refused)));
    }
    let untested = of(ChangeCall::NotTested);
    if !untested.is_empty() {
        parts.push(format!("too few spots to test {}", ids(&untested)));
    }
    if parts.is_empty() {
        parts.push("no marker named beforehand for this material".to_owned());
    }
    format!("{start}{}.", parts.join("; "))
}

fn in_words(change: &MarkerComparison) -> String {
    let (value, low, high) = (
        change.change.unwrap_or(f64::NAN),
        change.low.unwrap_or(f64::NAN),
        change.high.unwrap_or(f64::NAN),
    );
    let grew = match change.scale {
        ChangeScale::Ratio => value > 1.0,
        ChangeScale::Difference => value > 0.0,
    };
    let word = if grew { "higher" } else { "lower" };
    let below = if change.below_detection { format!(": {CHANGED_BELOW}") } else { String::new() };
    match change.scale {
        ChangeScale::Ratio => format!(
            "{} ({}) {word}, {value:.2} times ({low:.2} to {high:.2}){below}",
            change.shows, change.id
        ),
        ChangeScale::Difference => {
            // Lower by a negative amount would be higher.
            let by = if grew { [value, low, high] } else { [-value, -high, -low] };
            let [value, low, high] = by.map(|amount| format!("{amount:.3}"));
            format!("{} ({}) {word} by {value} ({low} to {high}){below}", change.shows, change.id)
        }
    }
}

fn ids(changes: &[&MarkerComparison]) -> String {
    changes.iter().map(|m| m.id.as_str()).collect::<Vec<_>>().join(", ")
}

fn capital(word: &str) -> String {
    let mut characters = word.chars();
    characters
        .next()
        .map(|first| first.to_uppercase().collect::<String>() + characters.as_str())
        .unwrap_or_default()
}

/// Says which changes the spots were blind to, where that is known.
pub fn power_in_words(change: &MarkerComparison) -> Option<String> {
    let least = change.smallest_detectable.filter(|least| least.is_finite())?;
    Some(match change.scale {
        ChangeScale::Ratio => format!("no change below {least:.1} times could be shown"),
        ChangeScale::Difference => format!("no change below {least:.3} could be shown"),
    })
}
