//! The phrases of an answer. Each has one meaning, and every answer is built from them.
//!
//! - "characteristic of X": the bands required of X are there, strong bands are accounted for, and
//!   no other material of the table fits nearly as well.
//! - "consistent with X": X fits, but another material of the table is not excluded, or a band required of X
//!   could not be tested.
//! - "not distinguished from": the table's rules cannot tell the two on this spectrum.
//! - "not detected above …": looked for under stated conditions; the figure is what would have shown.
//! - "not testable because …": the spectrum cannot answer; the reason follows.

/// Every answer is about this, never about the part.
pub(super) const AT_THIS_SPOT: &str = "at this surface, at this spot";

/// Of a band of which not all was measured.
pub(super) const NOT_MEASURED: &str = "outside the measured range, or masked";

/// A band whose place another component's band fills.
pub(super) const HIDDEN_BY_ANOTHER: &str = "another component named has a band there";

/// One material.
pub(super) fn characteristic_of(name: &str) -> String {
    format!("Bands characteristic of {name} {AT_THIS_SPOT}.")
}

/// One material whose required bands, told by place and assignment, could not all be tested.
pub(super) fn consistent_without(name: &str, untested: &[String]) -> String {
    format!(
        "Consistent with {name} {AT_THIS_SPOT}; required of it and not testable here: {}.",
        join(untested, "and")
    )
}

/// Several materials of one look-alike group.
pub(super) fn consistent_with(names: &[String]) -> String {
    format!(
        "Consistent with {} {AT_THIS_SPOT}; not distinguished from one another.",
        join(names, "or")
    )
}

/// Several components.
pub(super) fn bands_of(names: &[String]) -> String {
    format!("Bands of {} {AT_THIS_SPOT}.", join(names, "and"))
}

/// One component with others that the spectrum does not tell it from.
pub(super) fn not_distinguished(name: &str, others: &[String]) -> String {
    format!("{name} (not distinguished from {})", join(others, "or"))
}

/// Additives or minerals without a polymer.
pub(super) fn no_polymer(names: &[String]) -> String {
    format!(
        "Bands of {} {AT_THIS_SPOT}; no polymer of the table shows beside them.",
        join(names, "and")
    )
}

/// Minerals or additives beside which the curve is a polymer's, though its bands do not name it.
pub(super) fn polymer_by_curve(names: &[String], polymer: &str) -> String {
    format!(
        "Bands of {} {AT_THIS_SPOT}; the whole curve beside them is like that of {polymer}, whose own bands do not \
         suffice to name it.",
        join(names, "and")
    )
}

/// Bands of a material, where those that tell it from others were not measured.
pub(super) fn short_of(name: &str) -> String {
    format!(
        "Not testable because the spectrum ends above 1250 cm⁻¹: nearest is {name}, and what tells it from others was \
         not measured."
    )
}

/// Why nothing is named where too little light came through.
pub(super) const CUT_OFF: &str =
    "bands are cut off or flattened at their tops, and nothing of the table fits the rest";

/// Bands of a material beside bands that are cut off.
pub(super) fn cut_off_of(name: &str) -> String {
    format!(
        "Not testable because bands are cut off or flattened at their tops: the rest would fit {name}, and does not \
         suffice to name it."
    )
}

/// What lies in or on the material.
pub(super) fn beside(names: &[String]) -> String {
    format!("Also bands of {}.", join(names, "and"))
}

/// C–Cl bands that nothing named has.
pub(super) const UNNAMED_CHLORINE: &str =
    " Also C–Cl bands, which nothing named has: something with chlorine is there.";

/// A strong band that nothing named has, in cm⁻¹.
pub(super) fn something_more(position_cm1: f64) -> String {
    format!(
        " Something more is there: nothing named accounts for the strong band at {position_cm1:.0} cm⁻¹."
    )
}

/// A class.
pub(super) fn of_a_class(name: &str) -> String {
    format!("Bands of {} {AT_THIS_SPOT}; which one, this table cannot tell.", with_article(name))
}

/// A name with the article before it.
pub(super) fn with_article(name: &str) -> String {
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {name}")
}

/// Two lines of evidence that name different materials.
pub(super) fn lines_differ(by_bands: &str, by_shape: &str) -> String {
    format!(
        "The bands {AT_THIS_SPOT} are those of {by_bands}, the whole curve is that of {by_shape}; neither is \
         named alone."
    )
}

/// Bands of a material whose curve is another.
pub(super) fn curve_is_not(name: &str) -> String {
    format!(
        "The bands {AT_THIS_SPOT} would fit {name}, but the whole curve is not like its own; no material of \
         the table is named."
    )
}

/// Bands of a material of which the table holds no curve, beside a curve that is like none it holds.
pub(super) fn no_curve_of(name: &str) -> String {
    format!(
        "The bands {AT_THIS_SPOT} would fit {name}, of which the table holds no measured curve, and too little \
         beside them speaks for it; no material of the table is named."
    )
}

/// Nothing of the table.
pub(super) fn not_in_table() -> String {
    format!("Bands are there {AT_THIS_SPOT}, but no material of the table accounts for them.")
}

/// A curve like that of a material whose own bands are not there.
pub(super) fn like_by_curve(name: &str) -> String {
    format!(
        "The whole curve {AT_THIS_SPOT} is like that of {name}, but its own bands do not suffice to name it, and no \
         other material of the table accounts for them."
    )
}

/// A material that is listed only so that nothing else is named in its place.
pub(super) fn resembles_exclusion(name: &str) -> String {
    format!(
        "The bands {AT_THIS_SPOT} resemble {name}, which the table lists only as an exclusion; no material of the table is named."
    )
}

/// Nothing can be said.
pub(super) fn not_enough_signal(why: &str) -> String {
    format!("Not testable because {why}.")
}

/// Joins names as a sentence does.
pub(super) fn join(names: &[String], last: &str) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sentence_names_what_it_speaks_of_and_speaks_of_this_spot() {
        let (one, two) = ("nylon".to_owned(), "acrylic".to_owned());
        let both = [one.clone(), two.clone()];
        let of_one = [
            characteristic_of(&one),
            of_a_class(&one),
            curve_is_not(&one),
            resembles_exclusion(&one),
        ];
        let of_both =
            [consistent_with(&both), bands_of(&both), no_polymer(&both), lines_differ(&one, &two)];
        for said in of_one.iter().chain(&of_both).chain(&[not_in_table()]) {
            assert!(said.contains(AT_THIS_SPOT) && said.ends_with('.'), "{said}");
        }
        assert!(of_one.iter().all(|said| said.contains("nylon")), "{of_one:?}");
        for said in of_both.iter().chain(&[beside(&both)]) {
            assert!(said.contains("nylon") && said.contains("acrylic"), "{said}");
        }
        assert!(of_a_class("acrylic ester").contains("an acrylic ester"));
        assert!(of_a_class("polyamide").contains("a polyamide"));
        let three = [one, two, "wool".to_owned()];
        assert_eq!(join(&three, "or"), "nylon, acrylic or wool");
        assert_eq!(join(&three[..1], "or"), "nylon");
    }
}
