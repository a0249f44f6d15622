//! The chlorine finding: what the C–Cl bands show by themselves, and what the named materials imply.

use super::carbon_chlorine::{Pattern, pattern};
use super::input::JudgeInput;
use super::outcome::{Chlorine, ChlorineBands, ChlorineByIdentity};
use super::pvc_room::Room;
use crate::matching::{LocalHeight, local_height};
use crate::tables::{BandSet, CarbonChlorine, Reading, Window};

/// The baseline of the height that is read stands this far inside what must be measured, in cm⁻¹: below, with the
/// lower side measured, and above …
const INSIDE_CM1: f64 = 2.0;
/// … and this far below the stretch where it is not.
const BESIDE_CM1: f64 = 3.0;
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

/// Beside another substance that absorbs there the upper C–Cl band must stand this high beside the first (0.37 to 0.55 in
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
    let stretches = stretches(input);
    let (low, high) = stretches.read.cm1;
    !input.observed.measured().saturated(low, high)
        && local_height(&reading(stretches, one_sided), &input.observed)
            .is_ok_and(|found| vinyl_chloride(input, one_sided, &found).is_some())
}

/// The C–Cl stretches of the table.
const fn stretches<'a>(input: &JudgeInput<'a>) -> &'a CarbonChlorine {
    &input.tables.stretches().carbon_chlorine
}

/// The reading of the first stretch.
const fn reading(of: &CarbonChlorine, one_sided: bool) -> Reading {
    let (from, to) = of.read.cm1;
    let low = if one_sided { from - BESIDE_CM1 } else { of.both_sides.cm1.0 + INSIDE_CM1 };
    Reading { window: Window::new(from, to), baseline: Window::new(low, of.both_sides.cm1.1) }
}

fn vinyl_chloride(input: &JudgeInput<'_>, one_sided: bool, found: &LocalHeight) -> Option<Pattern> {
    // Much plasticiser leaves no maximum to the second derivative: the shape speaks, not the peak.
    let seen = found.height.max(0.0);
    let clear = seen >= LEAST_SHARE * input.observed.strongest()
        && seen >= LEAST_SIGNAL_TO_NOISE * found.noise_sd;
    // Barium sulphate, acetates and polyoxymethylene have nothing near 690.
    let least_upper = if other_owner(input).is_some() { CLEAR_UPPER } else { 0.0 };
    let pattern = if clear { pattern(stretches(input), &input.observed, one_sided) } else { None };
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
fn unnamed_film<'a>(named: &Named<'_>, coats: &'a [BandSet]) -> Option<&'a str> {
    let without_owner = |(low, high): &(f64, f64)| {
        named.unexplained.iter().any(|(position, _)| (*low..=*high).contains(position))
    };
    let coat = coats.iter().find(|coat| coat.bands_cm1.iter().all(without_owner));
    coat.map(|coat| coat.name.as_str())
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
    let stretches = stretches(input);
    let (at, end) = (stretches.read.position_cm1, stretches.both_sides.cm1.0);
    let caution = if one_sided {
        format!(" (baseline on the upper side alone: the spectrum stops short of {end:.0} cm⁻¹)")
    } else {
        String::new()
    };
    if spectrum.saturated(stretches.read.cm1.0, stretches.read.cm1.1) {
        let why = format!("not testable because the stretch near {at:.0} cm⁻¹ is saturated");
        return (CannotTell, why);
    }
    let found = match local_height(&reading(stretches, one_sided), &input.observed) {
        Ok(found) => found,
        Err(why) => return (CannotTell, format!("not testable because {why}")),
    };
    let strongest = input.observed.strongest();
    let noise = found.noise_sd;
    let peak = strongest_in(input, stretches.read.cm1);
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
                "C–Cl stretches as those of vinyl chloride units: {:.0} cm⁻¹, broad, with {:.0} % of its height near {:.0} and {:.0} % near {:.0}{caution}",
                pattern.position_cm1,
                100.0 * pattern.long_sequences,
                stretches.long.position_cm1,
                100.0 * pattern.upper,
                stretches.upper.position_cm1
            ),
        );
    }
    if let (true, Some(other)) = (stands, other)
        && !owned
    {
        return (CannotTell, format!("not testable because {other} absorbs near {at:.0} cm⁻¹ too"));
    }
    if VISIBLE_SHARE * strongest < LEAST_SIGNAL_TO_NOISE * noise {
        return (
            CannotTell,
            format!("not testable because the noise near {at:.0} cm⁻¹ would hide a C–Cl band"),
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
    match by_identity {
        ChlorineByIdentity::No => {}
        ChlorineByIdentity::Yes => {
            let why =
                "the stretches there do not show the shape by which C–Cl is told from other bands";
            return (CannotTell, why.into());
        }
        ChlorineByIdentity::Open => {
            let why = "no C–Cl band stands out, but what was found leaves open whether it carries chlorine";
            return (CannotTell, why.into());
        }
    }
    if named.film {
        return (
            CannotTell,
            "no C–Cl band stands out, but a film lies over the material measured".into(),
        );
    }
    if let Some(film) = unnamed_film(named, &stretches.coats) {
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
            format!("no C–Cl band stands out, but the spectrum stops short of {end:.0} cm⁻¹"),
        );
    }
    let limit = (LEAST_SIGNAL_TO_NOISE * noise / strongest).max(LEAST_SHARE);
    let own = if stands { "; the band there belongs to the material named" } else { "" };
    let seen = format!(
        "not detected above {:.0} % of the strongest band near {at:.0} cm⁻¹{own}",
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
            format!(
                "no C–Cl band stands out, but more absorbs near {at:.0} cm⁻¹ than the material named does"
            ),
        );
    }
    let hidden = room.hidden_share();
    if hidden > MOST_HIDDEN {
        return (
            CannotTell,
            format!(
                "no C–Cl band stands out, but {:.0} % {} could hide under what absorbs there",
                100.0 * hidden,
                stretches.material
            ),
        );
    }
    let would_show = (100.0 * hidden).ceil();
    (
        NotDetected,
        format!("{seen}; {would_show:.0} % {}, by band height, would show", stretches.material),
    )
}

enum Reach {
    BothSides,
    OneSide,
    Not(String),
}

fn reach(input: &JudgeInput<'_>) -> Reach {
    let stretches = stretches(input);
    let covers = |(low, high): (f64, f64)| input.observed.measured().covers(low, high + INSIDE_CM1);
    if covers(stretches.both_sides.cm1) {
        Reach::BothSides
    } else if covers(stretches.one_side.cm1) {
        Reach::OneSide
    } else {
        let (low, _) = input.observed.measured().range_cm1();
        let (at, needed) = (stretches.read.position_cm1, stretches.one_side.cm1.0);
        let why = if low > stretches.one_side.cm1.0 {
            format!(
                "not testable because the spectrum stops at {low:.0} cm⁻¹, and C–Cl near {at:.0} cm⁻¹ is read from {needed:.0} cm⁻¹ on"
            )
        } else {
            format!(
                "not testable because the stretch near {at:.0} cm⁻¹ is masked or was not measured"
            )
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

/// Returns what else is known to absorb where C–Cl is read and shows all its partner bands.
fn other_owner<'a>(input: &JudgeInput<'a>) -> Option<&'a str> {
    let has =
        |(low, high): &(f64, f64)| input.observed.peaks().within(*low, *high).next().is_some();
    let other = stretches(input).others.iter().find(|other| other.bands_cm1.iter().all(has));
    other.map(|other| other.name.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::JudgeSettings;
    use crate::judge::made::{Made, rows};

    #[test]
    fn c_cl_stretches_are_seen_where_they_stand_out_from_the_spectrum() {
        let pattern = [(613.0, 1.0, 14.0), (636.0, 0.75, 12.0), (690.0, 0.45, 18.0)];
        let seen = |height: f64| {
            let made = Made::of(&[(1255.0, 0.6), (1430.0, 1.0)], |x| {
                let band =
                    |(at, of, half): (f64, f64, f64)| of * (-((x - at) / half).powi(2)).exp();
                height * pattern.map(band).iter().sum::<f64>()
            });
            sees_vinyl_chloride(&made.input())
        };
        assert!(seen(0.3) && seen(0.06));
        // Three hundredths of the strongest band are anybody's, however little noise there is.
        assert!(!seen(0.03));
    }

    #[test]
    fn the_share_that_would_have_been_seen_is_told_in_per_cent() {
        let found = Made::of_bands(&rows("PP", 1.0)).identified(&JudgeSettings::default());
        assert_eq!(found.chlorine.bands, ChlorineBands::NotDetected, "{}", found.chlorine.why);
        let why = found.chlorine.why;
        let share: f64 = why
            .split_once("; ")
            .and_then(|(_, share)| {
                share.strip_suffix(" % PVC, by band height, would show")?.parse().ok()
            })
            .expect(&why);
        // Of a clean spectrum a few per cent; above a quarter nothing is denied.
        assert!((1.0..=25.0).contains(&share), "{why}");
    }
}
