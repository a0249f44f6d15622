//! The chlorine finding: what the C–Cl bands show by themselves, and what the named materials imply.

use super::carbon_chlorine::{Pattern, pattern};
use super::input::JudgeInput;
use super::outcome::{Chlorine, ChlorineBands, ChlorineByIdentity};
use super::pvc_room::Room;
use crate::matching::{LocalHeight, local_height};
use crate::tables::{Reading, Window};

/// The C–Cl stretch of vinyl chloride units, in cm⁻¹ (603 to 620 in the table, and its flank).
const STRETCH_CM1: (f64, f64) = (600.0, 622.0);
/// Where the baseline above the band stands.
const ABOVE_CM1: f64 = 660.0;
/// Valid data must reach down to here for a baseline on both sides …
const BOTH_SIDES_CM1: f64 = 580.0;
/// … or to here for one on the upper side alone.
const ONE_SIDE_CM1: f64 = 595.0;
/// A band must stand this many times above the local noise.
const LEAST_SIGNAL_TO_NOISE: f64 = 10.0;
/// A C–Cl band of this share of the strongest band must be visible for its absence to say anything.
const VISIBLE_SHARE: f64 = 0.1;
/// C–Cl counts from this share of the strongest band on.
const LEAST_SHARE: f64 = 0.04;
/// Where more poly(vinyl chloride) than this could hide, its absence is not found: a quarter.
const MOST_HIDDEN: f64 = 0.25;
/// A peak explained this far by a named chlorine-free material is that material's.
const OWNED: f64 = 0.4;

/// Films that may lie over a part unnamed, by bands that must all be there without an owner: name,
/// bands in cm⁻¹. Socrates 2001 (from memory): Si–CH3 deformation and rocking; ester C=O and C–O–C.
const FILMS: &[(&str, &[(f64, f64)])] = &[
    ("a siloxane coat", &[(1255.0, 1267.0), (785.0, 812.0)]),
    ("an acrylic coat", &[(1715.0, 1740.0), (1140.0, 1175.0)]),
];

/// What else absorbs near 613 cm⁻¹ and is known by its partner bands: name, partners.
const OTHERS: &[(&str, &[(f64, f64)])] = &[
    ("barium sulphate, shown by 983 cm⁻¹", &[(979.0, 987.0), (1060.0, 1125.0), (603.0, 613.0)]),
    (
        "an acetate, shown by 1370 and 1230 cm⁻¹",
        &[(1366.0, 1376.0), (1215.0, 1241.0), (1733.0, 1752.0)],
    ),
    (
        "polyoxymethylene, shown by 1091 and 890 cm⁻¹",
        &[(1085.0, 1100.0), (882.0, 905.0), (930.0, 939.0)],
    ),
];

/// Beside one of these the upper C–Cl band must stand this high beside the first (0.37 to 0.55 in
/// measured vinyl chloride, the first alone being raised by the other).
const CLEAR_UPPER: f64 = 0.25;

/// What the answer names, for the purposes of chlorine.
#[derive(Clone, Debug)]
pub(super) struct Named<'a> {
    /// Ids of everything named, narrowed or mixed.
    pub(super) ids: &'a [String],
    /// Whether one of them is a polymer or fibre.
    pub(super) has_base: bool,
    /// Whether only one of them is there and the spectrum does not tell which.
    pub(super) narrowed: bool,
    /// Whether a coating or exudate lies over it.
    pub(super) film: bool,
    /// How far the named materials explain each peak.
    pub(super) explains: &'a [f64],
    /// Strong peaks that nothing named accounts for: position in cm⁻¹ and share.
    pub(super) unexplained: &'a [(f64, f64)],
}

/// Returns whether the C–Cl stretches of vinyl chloride units are seen by their own shape.
pub(super) fn sees_vinyl_chloride(input: &JudgeInput<'_>) -> bool {
    let one_sided = match reach(input) {
        Reach::BothSides => false,
        Reach::OneSide => true,
        Reach::Not(_) => return false,
    };
    !input.observed.measured().saturated(STRETCH_CM1.0, STRETCH_CM1.1)
        && local_height(&stretch(one_sided), &input.observed)
            .is_ok_and(|found| vinyl_chloride(input, one_sided, &found).is_some())
}

/// The reading of the stretch near 613 cm⁻¹.
const fn stretch(one_sided: bool) -> Reading {
    let low = if one_sided { STRETCH_CM1.0 - 3.0 } else { BOTH_SIDES_CM1 + 2.0 };
    Reading {
        window: Window::new(STRETCH_CM1.0, STRETCH_CM1.1),
        baseline: Window::new(low, ABOVE_CM1),
    }
}

fn vinyl_chloride(input: &JudgeInput<'_>, one_sided: bool, found: &LocalHeight) -> Option<Pattern> {
    // Much plasticiser leaves no maximum to the second derivative: the shape speaks, not the peak.
    let seen = found.height.max(0.0);
    let clear = seen >= LEAST_SHARE * input.observed.strongest()
        && seen >= LEAST_SIGNAL_TO_NOISE * found.noise_sd;
    // Barium sulphate, acetates and polyoxymethylene have nothing near 690.
    let least_upper = if other_owner(input).is_some() { CLEAR_UPPER } else { 0.0 };
    let pattern = if clear { pattern(&input.observed, one_sided) } else { None };
    pattern.filter(|pattern| pattern.upper >= least_upper)
}

/// Returns the chlorine finding.
pub(super) fn chlorine(input: &JudgeInput<'_>, named: &Named<'_>) -> Chlorine {
    let by_identity = by_identity(input, named);
    let (bands, why) = bands(input, named, by_identity);
    if bands == ChlorineBands::Present && by_identity == ChlorineByIdentity::No {
        // The names do not account for what is seen, so that nothing follows from them.
        let why = format!("{why}; nothing named carries chlorine, so that something is not named");
        return Chlorine { bands, by_identity: ChlorineByIdentity::Open, why };
    }
    Chlorine { bands, by_identity, why }
}

fn by_identity(input: &JudgeInput<'_>, named: &Named<'_>) -> ChlorineByIdentity {
    let carries = |id: &String| input.tables.material(id).is_some_and(|m| m.chlorine);
    let with = named.ids.iter().filter(|id| carries(id)).count();
    match with {
        0 if named.has_base => ChlorineByIdentity::No,
        0 => ChlorineByIdentity::Open,
        n if n == named.ids.len() || !named.narrowed => ChlorineByIdentity::Yes,
        _ => ChlorineByIdentity::Open,
    }
}

/// Returns the film that the bands without an owner may belong to, if there is one.
fn unnamed_film(named: &Named<'_>) -> Option<&'static str> {
    let without_owner = |(low, high): &(f64, f64)| {
        named.unexplained.iter().any(|(position, _)| (*low..=*high).contains(position))
    };
    FILMS.iter().find(|(_, bands)| bands.iter().all(without_owner)).map(|(name, _)| *name)
}

fn bands(
    input: &JudgeInput<'_>,
    named: &Named<'_>,
    by_identity: ChlorineByIdentity,
) -> (ChlorineBands, String) {
    use ChlorineBands::{CannotTell, NotDetected, Present};
    let spectrum = input.observed.measured();
    let one_sided = match reach(input) {
        Reach::BothSides => false,
        Reach::OneSide => true,
        Reach::Not(why) => return (CannotTell, why),
    };
    let caution = if one_sided {
        " (baseline on the upper side alone: the spectrum stops short of 580 cm⁻¹)"
    } else {
        ""
    };
    if spectrum.saturated(STRETCH_CM1.0, STRETCH_CM1.1) {
        return (CannotTell, "not testable because the stretch near 613 cm⁻¹ is saturated".into());
    }
    let found = match local_height(&stretch(one_sided), &input.observed) {
        Ok(found) => found,
        Err(why) => return (CannotTell, format!("not testable because {why}")),
    };
    let strongest = input.observed.strongest();
    let noise = found.noise_sd;
    let peak = strongest_in(input, STRETCH_CM1);
    let height = if peak.is_some() { found.height } else { 0.0 };
    let stands = height >= LEAST_SHARE * strongest && height >= LEAST_SIGNAL_TO_NOISE * noise;
    let room = Room::of(input, named.ids, named.narrowed);
    // What is named accounts for a band there by a row of its own, or by its measured curve.
    let owned = peak.is_some_and(|(at, _)| named.explains.get(at).is_some_and(|e| *e >= OWNED))
        || room.as_ref().is_some_and(|room| !room.is_exceeded());
    let other = other_owner(input);
    if let Some(pattern) = vinyl_chloride(input, one_sided, &found) {
        return (
            Present,
            format!(
                "C–Cl stretches as those of vinyl chloride units: {:.0} cm⁻¹, broad, with {:.0} % of its height near 635 and {:.0} % near 690{caution}",
                pattern.position_cm1,
                100.0 * pattern.long_sequences,
                100.0 * pattern.upper
            ),
        );
    }
    if let (true, Some(other)) = (stands, other)
        && !owned
    {
        return (CannotTell, format!("not testable because {other} absorbs near 613 cm⁻¹ too"));
    }
    if VISIBLE_SHARE * strongest < LEAST_SIGNAL_TO_NOISE * noise {
        return (
            CannotTell,
            "not testable because the noise near 613 cm⁻¹ would hide a C–Cl band".into(),
        );
    }
    if stands && !owned {
        return (
            CannotTell,
            format!(
                "a band at {:.0} cm⁻¹ is not accounted for, and too little else speaks for C–Cl",
                found.position_cm1
            ),
        );
    }
    if by_identity != ChlorineByIdentity::No {
        return (
            CannotTell,
            "no C–Cl band stands out, but no chlorine-free material was named".into(),
        );
    }
    if named.film {
        return (
            CannotTell,
            "no C–Cl band stands out, but a film lies over the material measured".into(),
        );
    }
    if let Some(film) = unnamed_film(named) {
        return (
            CannotTell,
            format!(
                "no C–Cl band stands out, but {film} over the material is not excluded: its bands are there and nothing named accounts for them"
            ),
        );
    }
    if one_sided {
        return (
            CannotTell,
            "no C–Cl band stands out, but the spectrum stops short of 580 cm⁻¹".into(),
        );
    }
    let limit = (LEAST_SIGNAL_TO_NOISE * noise / strongest).max(LEAST_SHARE);
    let own = if stands { "; the band there belongs to the material named" } else { "" };
    let seen = format!(
        "not detected above {:.0} % of the strongest band near 613 cm⁻¹{own}",
        100.0 * limit
    );
    let Some(room) = room else {
        return (
            CannotTell,
            "no C–Cl band stands out, but what is named absorbs there too, and how much is not known"
                .into(),
        );
    };
    if room.is_exceeded() {
        return (
            CannotTell,
            "no C–Cl band stands out, but more absorbs near 613 cm⁻¹ than the material named does"
                .into(),
        );
    }
    let hidden = room.hidden_share();
    if hidden > MOST_HIDDEN {
        return (
            CannotTell,
            format!(
                "no C–Cl band stands out, but {:.0} % PVC could hide under what absorbs there",
                100.0 * hidden
            ),
        );
    }
    (NotDetected, format!("{seen}; {:.0} % PVC in it would show", (100.0 * hidden).ceil()))
}

enum Reach {
    BothSides,
    OneSide,
    Not(String),
}

fn reach(input: &JudgeInput<'_>) -> Reach {
    let covers = |low: f64| input.observed.measured().covers(low, ABOVE_CM1 + 2.0);
    if covers(BOTH_SIDES_CM1) {
        Reach::BothSides
    } else if covers(ONE_SIDE_CM1) {
        Reach::OneSide
    } else {
        let (low, _) = input.observed.measured().range_cm1();
        let why = if low > ONE_SIDE_CM1 {
            format!(
                "not testable because the spectrum stops at {low:.0} cm⁻¹ and C–Cl stands near 613 cm⁻¹"
            )
        } else {
            "not testable because the stretch near 613 cm⁻¹ is masked or was not measured"
                .to_owned()
        };
        Reach::Not(why)
    }
}

/// Returns the index and share of the highest peak of a stretch.
fn strongest_in(input: &JudgeInput<'_>, (low, high): (f64, f64)) -> Option<(usize, f64)> {
    input
        .observed
        .peaks()
        .within(low, high)
        .map(|(index, peak)| (index, peak.share))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Returns what else is known to absorb near 613 cm⁻¹ and shows all its partner bands.
fn other_owner(input: &JudgeInput<'_>) -> Option<&'static str> {
    let has =
        |(low, high): &(f64, f64)| input.observed.peaks().within(*low, *high).next().is_some();
    OTHERS.iter().find(|(_, partners)| partners.iter().all(has)).map(|(name, _)| *name)
}
