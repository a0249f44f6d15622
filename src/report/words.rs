//! The words each value has in every report format.

use super::codes::codes;
use crate::ageing::ChangeCall;
use crate::fitness::{Finding, Severity};
use crate::judge::{BandState, Outcome, Plasticiser, Relation};
use crate::matching::NamedResemblance;
use crate::spectrum::{MeasurementMode, Ordinate, Origin};
use crate::tables::{Effect, Verdict};

codes! {
    /// The outcome as a heading.
    outcome(Outcome) {
        Identified = "identified",
        Narrowed = "narrowed",
        Mixed = "mixed",
        Classed = "class of materials",
        NotInTable = "not in the table",
        NotEnoughSignal = "not enough signal",
    }
    /// What is said of the change of a marker.
    change_call(ChangeCall) {
        Changed = "changed",
        NoChangeShown = "no change shown",
        TooBlind = "too blind to say",
        Exploratory = "exploratory, not tested for",
        NotTested = "not tested",
        Refused = "refused",
    }
    /// What happened to a band.
    band_state(BandState) {
        Met = "met",
        Missing = "missing",
        Untestable = "not testable",
    }
    /// How a component stands to the others.
    relation(Relation) {
        Main = "main component",
        Blend = "mixed with the main component",
        CoatingOver = "a coating over it",
        DepositOn = "a deposit on it",
        Within = "within it",
        NotToldApart = "relation not told apart",
    }
    /// A rule's answer.
    verdict(Verdict) {
        Yes = "yes",
        No = "no",
        NotTestable = "not testable",
    }
    /// The ordinate of the file.
    ordinate(Ordinate) {
        Absorbance = "absorbance",
        Transmittance = "transmittance",
        PercentTransmittance = "percent transmittance",
        Reflectance = "reflectance",
        PercentReflectance = "percent reflectance",
        RelativeAbsorbance = "relative absorbance",
    }
    /// How a spectrum was measured.
    mode(MeasurementMode) {
        Atr = "ATR",
        Transmission = "transmission",
        Reflection = "reflection",
    }
    /// Where a property is known from.
    origin(Origin) {
        File = "stated in the file",
        User = "stated by the user",
        Inferred = "inferred from the values",
        Assumed = "assumed",
    }
    /// How far a finding reaches.
    severity(Severity) {
        Note = "note",
        Limits = "limits",
        Unfit = "unfit",
    }
}

/// What the answer of a rule does, where its note is the table's word for that; else the note as it is.
pub(crate) fn effect(note: &str) -> String {
    let known = Effect::ALL.iter().find(|effect| effect.as_str() == note);
    let said = known.map(|effect| match effect {
        Effect::Require => "the name needs a yes",
        Effect::Exclude => "a yes rules the name out",
        Effect::Prefer => "a yes speaks for this name over the other",
        Effect::Narrow => "a yes leaves the names not told apart",
        Effect::DropBand => "a yes takes bands out of the evidence",
        Effect::Component => "a yes proposes a component",
        Effect::Warn => "a yes is said beside the answer",
    });
    said.unwrap_or(note).to_owned()
}

/// The plasticiser finding; `name` gives the words for a table id.
pub(crate) fn plasticiser(found: &Plasticiser, name: impl Fn(&str) -> String) -> String {
    match found {
        Plasticiser::NoneSeen => "none seen at this surface".to_owned(),
        Plasticiser::Class { id } => name(id),
        Plasticiser::UnresolvedEster => "an ester component of unresolved class".to_owned(),
        Plasticiser::UnresolvedCarbonyl => "a carbonyl, of an ester or of oxidation".to_owned(),
        Plasticiser::Several { ids } => {
            let names: Vec<String> = ids.iter().map(|id| name(id)).collect();
            format!("several classes: {}", super::text_tools::list_words(&names, "and"))
        }
        Plasticiser::NotTestable { why } => format!("not testable: {why}"),
    }
}

/// Strong peaks that nothing accounts for: each as its position and share, in one list; of more than `most` the
/// highest, and how many more there are.
pub(crate) fn unexplained(peaks: &[(f64, f64)], most: usize) -> String {
    let mut shown: Vec<&(f64, f64)> = peaks.iter().collect();
    if shown.len() > most {
        shown.sort_by(|a, b| b.1.total_cmp(&a.1));
        shown.truncate(most);
        shown.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    // Once is enough to say what the shares are of.
    let mut of = " of the strongest";
    let mut said: Vec<String> = shown
        .iter()
        .map(|(position, share)| {
            format!("{position:.0} cm⁻¹ ({share:.2}{})", std::mem::take(&mut of))
        })
        .collect();
    if peaks.len() > shown.len() {
        said.push(format!("{} more", peaks.len() - shown.len()));
    }
    super::text_tools::list_words(&said, "and")
}

/// How a spectrum was measured, what its ordinate is, and over which range in cm⁻¹.
pub(crate) fn measured(
    (mode, mode_from): (MeasurementMode, Origin),
    (of, of_from): (Ordinate, Origin),
    (low, high): (f64, f64),
) -> String {
    format!(
        "{} ({}), {} ({}), {high:.0}–{low:.0} cm⁻¹",
        self::mode(mode),
        origin(mode_from),
        ordinate(of),
        origin(of_from),
    )
}

/// The name of a finding as a person says it: of a fault the fault, else what was looked at.
pub(crate) fn finding_name(finding: &Finding) -> String {
    let id = finding.id.as_str();
    if let Some(place) = id.strip_prefix("c-cl-") {
        return format!("C–Cl near {place} cm⁻¹");
    }
    match id {
        _ if finding.severity == Severity::Note => id.replace('-', " "),
        "inverted" => "upside down".to_owned(),
        "normalised" => "heights scaled".to_owned(),
        "range" => "short range".to_owned(),
        "reflection-shape" => "shaped by reflection".to_owned(),
        "signal-to-noise" => "too noisy".to_owned(),
        "spacing" => "points far apart".to_owned(),
        "resolution" => "coarse resolution".to_owned(),
        _ => id.replace('-', " "),
    }
}

/// A finding in words: what it means, and what to do; its figures stand in the whole evidence.
pub(crate) fn finding_words(finding: &Finding) -> String {
    let name = finding_name(finding);
    let said = [finding.consequence.as_str(), &finding.remedy];
    let said: Vec<&str> = said.into_iter().filter(|text| !text.is_empty()).collect();
    let said = said.join("; ");
    if said.is_empty() || said.starts_with(&name) {
        return if said.is_empty() { name } else { said };
    }
    format!("{name}: {said}")
}

/// One reference of the user's own: similarity, material, file, and what is known of it.
pub(crate) fn resemblance(r: &NamedResemblance) -> String {
    let known: Vec<String> = [("maker", &r.maker), ("grade", &r.grade), ("batch", &r.batch)]
        .into_iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(heading, text)| format!("{heading} {text}"))
        .collect();
    let mut text = format!("{:.3} {}, {}", r.similarity, r.material, r.file);
    if !known.is_empty() {
        text.push_str(&format!(" ({})", known.join(", ")));
    }
    if !r.vouched_by.is_empty() {
        text.push_str(&format!("; vouched for by {}", r.vouched_by));
    }
    text
}

/// The scale difference against the best reference.
pub(crate) fn scale_difference(ppm: f64) -> String {
    let sign = if ppm < 0.0 { "\u{2212}" } else { "+" };
    format!(
        "wavenumbers differ from the best reference's by {sign}{:.0} ppm ({sign}{:.2} cm⁻¹ at 1700), by \
         cross-correlation",
        ppm.abs(),
        ppm.abs() * 1700.0e-6
    )
}

/// A number without needless decimals: at most four significant places behind the point.
pub(crate) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "not a number".to_owned();
    }
    let decimals = match value.abs() {
        v if v >= 1000.0 => 0,
        v if v >= 100.0 => 1,
        v if v >= 10.0 => 2,
        v if v >= 1.0 || v == 0.0 => 3,
        _ => 4,
    };
    let fixed = format!("{value:.decimals$}");
    let short =
        if decimals > 0 { fixed.trim_end_matches('0').trim_end_matches('.') } else { &fixed };
    if short == "-0" { "0".to_owned() } else { short.replace('-', "−") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_guide_says_by_which_names_findings_are_printed() {
        let guide = include_str!("../../docs/check.md").split_whitespace().collect::<Vec<_>>();
        let guide = guide.join(" ");
        let mut own_names = 0;
        for id in
            guide.split('`').filter(|id| id.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
        {
            let finding = Finding {
                id: id.to_owned(),
                value: None,
                limit: None,
                unit: String::new(),
                severity: Severity::Limits,
                consequence: String::new(),
                remedy: String::new(),
            };
            let name = finding_name(&finding);
            if name != id.replace('-', " ") {
                own_names += 1;
                assert!(guide.contains(&format!("{name} (`{id}`)")), "{id}, printed as {name}");
            }
        }
        assert!(own_names >= 7, "{own_names}");
    }

    #[test]
    fn numbers_are_short_and_never_minus_nought() {
        for (value, text) in
            [(0.0, "0"), (0.12345, "0.1235"), (612.44, "612.4"), (1730.4, "1730"), (-2.5, "−2.5")]
        {
            assert_eq!(number(value), text);
        }
        assert_eq!(number(-0.000_001), "0");
        assert_eq!(number(f64::NAN), "not a number");
    }
}
