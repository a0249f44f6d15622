//! Chooses the answer: which base material, with what in or on it, or none of the table.

use super::chlorine::sees_vinyl_chloride;
use super::components::{
    DetectedComponent, Wanted, beside, holds_beside, still_shows, vinyl_chloride_beside,
};
use super::evidence::{FLANK_CM1, is_owned, unexplained, without_shoulders};
use super::input::JudgeInput;
use super::likeness::Support;
use super::members::{is_undecided, may_be_named, standing};
use super::outcome::{ClassAnswer, STRONG};
use super::phrases::with_article;
use super::rule_log::RuleLog;
use crate::matching::{
    Answer, CandidateScore, Fit, explained_share, is_more_than_recalled, is_shown, is_whole, join,
};
use crate::spectrum::zones::FINGERPRINT_BELOW_CM1;
use crate::tables::{Class, Effect, Material, MaterialKind, MaterialRole, Rule, Verdict};

/// What the bands must show of a material before it is named.
#[derive(Clone, Copy, Debug)]
struct Demand {
    /// The candidate's score.
    score: f64,
    /// Share of the testable evidence that is met.
    met: f64,
    /// Share of what the spectrum shows that it explains with its additives.
    explained: f64,
    /// The same by itself: less is an additive's spectrum with a name put over it.
    by_base: f64,
}

/// Where the shape is the material's own, the bands need only not gainsay it.
const BESIDE_ITS_SHAPE: Demand = Demand { score: 0.25, met: 0.45, explained: 0.3, by_base: 0.12 };

/// Where no shape accounts for the spectrum. Materials that were measured but stood in no table scored at
/// most 0.3 against the rest of it (18 acrylic and 3 other kinds of fibre, their own rows left out).
const BY_BANDS: Demand = Demand { score: 0.42, met: 0.6, explained: 0.5, by_base: 0.12 };

/// Where the table holds no shape of it, so that the bands speak alone.
const BY_BANDS_ALONE: Demand = Demand { score: 0.5, met: 0.7, explained: 0.6, by_base: 0.2 };

/// And then so many bands whose heights were measured must have been tested: recalled rows are few, and few
/// rows are easily met.
const LEAST_MEASURED_ROWS: usize = 8;

/// A base material explaining this much more than an additive alone is there, though the additive is louder.
const BASE_GAIN: f64 = 0.1;

/// Two lines of evidence name different materials where the other one's score comes within this share.
const RIVAL_SCORE: f64 = 0.85;

/// Past this share explained no second base material is looked for.
const WELL_EXPLAINED: f64 = 0.75;

/// A base material that cannot stand alone must meet this share of its evidence to be the first of several.
const FIRST_MET: f64 = 0.78;

/// All components together must explain this share.
const TOGETHER_EXPLAINED: f64 = 0.55;

/// A plasticiser is made to be in something: where a band of this share of the strongest stands that it
/// does not explain, a polymer is there that could not be read, and the plasticiser is not the answer.
/// Half is our choice: soft PVC at 8 cm⁻¹ leaves its CH2 at 1425 with 0.5 and more.
const HOST_LEFT: f64 = 0.5;

/// A mineral alone must show so many of its bands: one broad peak is no evidence.
const LEAST_MET_ALONE: usize = 2;

/// A pure compound without a known shape must meet this share of its bands …
const PURE_MET: f64 = 0.85;
/// … and explain this share of the spectrum: polymers made of it show the same groups.
const PURE_EXPLAINED: f64 = 0.85;

/// How many base materials that cannot stand alone are tried as the first of several.
const MOST_FIRSTS: usize = 4;

/// What was chosen.
#[derive(Clone, Debug)]
pub(super) enum Choice {
    /// A base material, its group's standing members (best first), and what is in or on it.
    Base { members: Vec<String>, fit: Fit, additives: Vec<Fit> },
    /// Two or three base materials, the one that explains most first, and what is in or on them.
    Several { bases: Vec<DetectedComponent>, additives: Vec<Fit> },
    /// Additives or minerals without a polymer.
    Alone { fits: Vec<Fit> },
    /// A class, where no member of it can be named.
    Class { class: ClassAnswer },
    /// Nothing of the table.
    None { why: Unnamed },
}

/// Why nothing is named.
#[derive(Clone, Debug)]
pub(super) enum Unnamed {
    /// No material accounts for what is there.
    Unknown,
    /// It is one that the table lists only so that nothing else is named in its place.
    Exclusion(String),
    /// The bands are those of one material or class, the whole curve is that of another.
    LinesDiffer {
        /// What the bands would name, by its id or in words.
        by_bands: String,
        /// What the curve would name, by its id.
        by_shape: String,
    },
    /// The bands would name this material, but the whole curve is not its own.
    CurveIsNot(String),
    /// The bands would name this material, but what tells it from others was not measured.
    Short(String),
}

/// Chooses, brings in the vinyl chloride polymer whose C–Cl stretches stand there unnamed, and says the class
/// where no material can be named.
pub(super) fn choose(input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> Choice {
    let choice = unless_short(by_score(input, rule_log), input);
    match choice {
        Choice::None { why: Unnamed::Exclusion(_) } => choice,
        Choice::None { .. } => class(input, rule_log).map_or(choice, |class| {
            match input.likeness.alike_but_not(&class.members) {
                Some(other) => Choice::None {
                    why: Unnamed::LinesDiffer {
                        by_bands: with_article(&class.name),
                        by_shape: other.to_owned(),
                    },
                },
                None => Choice::Class { class },
            }
        }),
        _ if sees_vinyl_chloride(input) => with_vinyl_chloride(choice, input, rule_log),
        _ => choice,
    }
}

/// Takes a name back where the spectrum ends above the bands that tell materials apart: one is named there only
/// by itself, with each band that it cannot be without or enough of its bands tested, and no strong band left over.
fn unless_short(choice: Choice, input: &JudgeInput<'_>) -> Choice {
    let axis = input.observed.axis_cm1();
    if axis.first().is_some_and(|lowest| *lowest < FINGERPRINT_BELOW_CM1) {
        return choice;
    }
    let taken_back = |fit: &Fit| {
        let id = input.material(fit).map(|material| material.id.clone()).unwrap_or_default();
        Choice::None { why: Unnamed::Short(id) }
    };
    match &choice {
        Choice::Base { fit, additives, .. } if !is_clear_though_short(fit, additives, input) => {
            taken_back(fit)
        }
        Choice::Several { bases, .. } => {
            bases.first().map_or(choice.clone(), |b| taken_back(&b.fit))
        }
        Choice::Alone { fits } => match fits.first() {
            Some(first) if !input.entry(first).is_some_and(|entry| is_shown(first, entry)) => {
                taken_back(first)
            }
            _ => choice,
        },
        _ => choice,
    }
}

fn is_clear_though_short(fit: &Fit, additives: &[Fit], input: &JudgeInput<'_>) -> bool {
    let (Some(entry), Some(material)) = (input.entry(fit), input.material(fit)) else {
        return false;
    };
    let explains =
        additives.iter().fold(fit.explains.clone(), |all, one| join(&all, &one.explains));
    let left = without_shoulders(unexplained(input, &explains), &explains, input);
    let counted = entry.expected.iter().filter(|band| !band.optional).count();
    let has_required = entry.expected.iter().any(|band| band.required) && is_whole(fit, entry);
    // A name that implies chlorine needs more: of vinyl chloride CH2 is left, which oils and bitumen have.
    let parts = if material.chlorine { 3 } else { 4 };
    (has_required || parts * fit.tested >= counted) && left.iter().all(|(_, share)| *share < STRONG)
}

/// Returns the class whose evidence is there; none where the evidence of several is, for then something is
/// mixed or unknown.
fn class(input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> Option<ClassAnswer> {
    let mut shown =
        input.tables.classes().iter().filter(|class| rule_log.class(class, input) == Verdict::Yes);
    let only = shown.next().filter(|_| shown.next().is_none())?;
    // Of vinyl chloride the shape of C–Cl is asked as well: acetates have a broad band there.
    let of_chlorides = &input.tables.stretches().carbon_chlorine.material;
    let is_unlike = only.members.contains(of_chlorides) && !sees_vinyl_chloride(input);
    if is_unlike || !has_the_strongest(&only.members, input) {
        return None;
    }
    Some(ClassAnswer {
        id: only.id.clone(),
        name: only.name.clone(),
        members: only.members.clone(),
    })
}

/// Returns whether the strongest band is one that some member has, or a mineral that is shown: else the class is that
/// of a part at most.
fn has_the_strongest(members: &[String], input: &JudgeInput<'_>) -> bool {
    let is_wanted = |fit: &&Fit| {
        input.material(fit).is_some_and(|material| members.contains(&material.id))
            || input.entry(fit).is_some_and(|entry| is_shown(fit, entry))
    };
    let peaks = &input.observed.peaks().list;
    let strongest = (0..peaks.len()).max_by(|a, b| peaks[*a].share.total_cmp(&peaks[*b].share));
    let explained = |fit: &Fit| strongest.is_some_and(|at| is_owned(fit.explains[at]));
    input.fits.iter().filter(is_wanted).any(explained)
}

fn by_score(input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> Choice {
    let alone = input.others().find(|(candidate, fit, material)| {
        material.nameable && meets(BY_BANDS, candidate, fit, input)
    });
    let mut exclusion = None;
    // The first that the bands would name by themselves, though the shape is not its own.
    let mut by_bands: Option<(&str, f64)> = None;
    for (candidate, fit, material) in input.bases() {
        if candidate.score < BESIDE_ITS_SHAPE.score {
            break;
        }
        let support = support(candidate, fit, input, rule_log);
        if let Some((other, _, _)) = alone
            && support != Support::Affirmed
            && other.score > candidate.score
            && candidate.explained < other.explained + BASE_GAIN
        {
            break;
        }
        if !support.is_enough(candidate, fit, input) {
            if by_bands.is_none() && meets(BY_BANDS, candidate, fit, input) {
                by_bands = Some((&material.id, candidate.score));
            }
            continue;
        }
        if !material.nameable {
            exclusion = Some(material.id.clone());
            break;
        }
        if let Some((other, score)) = by_bands
            && RIVAL_SCORE * score > candidate.score
            && input.tables.group_of(&[other, &material.id]).is_none()
        {
            let (by_bands, by_shape) = (other.to_owned(), material.id.clone());
            return Choice::None { why: Unnamed::LinesDiffer { by_bands, by_shape } };
        }
        let mut members = standing(&material.id, input, rule_log);
        if !members.contains(&material.id) {
            // It fell to a rule; who is left must stand by its own evidence.
            members.retain(|id| stands_itself(id, input, rule_log));
        }
        let Some(first) = members.first() else { continue };
        if (candidate.explained < WELL_EXPLAINED || input.likeness.parts() > 1)
            && let Some(several) = several(fit, &members, true, input, rule_log)
        {
            return several;
        }
        let chosen = input.score_of(first).unwrap_or(candidate);
        let fit = input.fits.get(chosen.base).unwrap_or(fit).clone();
        // They count in the score of what they are in, whether or not enough is there to name them.
        let additives = chosen.additives.iter().filter_map(|at| input.fits.get(*at)).cloned();
        let additives = additives
            .filter(|additive| is_more_than_recalled(additive, &fit.explains, input.matcher))
            .filter(|additive| is_whole_mineral(additive, input));
        let additives = additives.collect();
        return Choice::Base { fit, additives, members };
    }
    if exclusion.is_none()
        && let Some((_, fit, material)) = alone
        && stands_alone(fit, material, input)
    {
        let (others, _) = beside(fit, Wanted::NoBases, input, rule_log);
        let mut fits = vec![fit.clone()];
        fits.extend(others.into_iter().map(|component| component.fit));
        if !leaves_a_host(&fits, input) {
            return Choice::Alone { fits };
        }
    }
    if exclusion.is_none() {
        for (_, fit, material) in input.bases().take(MOST_FIRSTS) {
            let part = input.likeness.of_a_part(&material.id);
            let promising = input.shows_required(fit)
                && match part {
                    Support::Affirmed | Support::Unknown => fit.met >= FIRST_MET,
                    Support::Vouched | Support::Nearest | Support::Against => false,
                };
            if promising
                && material.nameable
                && may_be_named(&material.id, input, rule_log)
                && let Some(several) =
                    several(fit, &standing(&material.id, input, rule_log), false, input, rule_log)
            {
                return several;
            }
        }
    }
    let why = match (exclusion, by_bands) {
        (Some(id), _) => Unnamed::Exclusion(id),
        (None, Some((id, _))) => Unnamed::CurveIsNot(id.to_owned()),
        (None, None) => Unnamed::Unknown,
    };
    Choice::None { why }
}

/// Returns whether an additive, mineral or residue may be the whole answer: one broad peak is anybody's, and
/// a pure compound whose rows are recalled alone resembles too many others, unless its shape is known.
fn stands_alone(fit: &Fit, material: &Material, input: &JudgeInput<'_>) -> bool {
    let by_shape = input.likeness.support(&[&material.id], &[]);
    let explained = explained_share(input.observed.peaks(), &fit.explains);
    let met = fit.answers.iter().filter(|answer| matches!(answer, Answer::Met(..))).count();
    let is_mineral = material.kind == MaterialKind::Mineral
        && met >= LEAST_MET_ALONE
        && (explained >= PURE_EXPLAINED
            || input.entry(fit).is_some_and(|entry| is_shown(fit, entry)));
    is_mineral
        || by_shape == Support::Affirmed
        || (by_shape == Support::Unknown
            && !input.likeness.is_alike()
            && measured_rows(fit, input) >= LEAST_MEASURED_ROWS
            && fit.met >= PURE_MET
            && explained >= PURE_EXPLAINED)
}

/// Returns whether a mineral shows each band that it cannot be without; of others nothing is asked here. Its other bands
/// are broad and few, and lie where polymers have theirs.
fn is_whole_mineral(fit: &Fit, input: &JudgeInput<'_>) -> bool {
    input
        .entry(fit)
        .is_some_and(|entry| entry.kind != MaterialKind::Mineral || is_whole(fit, entry))
}

/// Returns whether plasticisers alone would leave a strong band, and so a polymer, without a name.
fn leaves_a_host(fits: &[Fit], input: &JudgeInput<'_>) -> bool {
    let first = fits.first().and_then(|fit| input.material(fit));
    let explains = fits.iter().map(|fit| fit.explains.clone()).reduce(|all, one| join(&all, &one));
    let Some(explains) = explains else { return false };
    let left = unexplained(input, &explains);
    let flank = |(position, share): (f64, f64)| {
        input.observed.peaks().list.iter().any(|peak| {
            peak.share >= 0.5 * share
                && (peak.position_cm1 - position).abs() <= FLANK_CM1
                && !left.iter().any(|(other, _)| *other == peak.position_cm1)
        })
    };
    first.is_some_and(|material| material.has_role(MaterialRole::Plasticiser))
        && left.iter().any(|band| band.1 >= HOST_LEFT && !flank(*band))
}

fn meets(demand: Demand, candidate: &CandidateScore, fit: &Fit, input: &JudgeInput<'_>) -> bool {
    candidate.score >= demand.score
        && fit.met >= demand.met
        && candidate.explained >= demand.explained
        && candidate.explained_by_base >= demand.by_base
        && input.shows_required(fit)
}

impl Support {
    /// Returns whether bands and shape together are enough to name a base material.
    fn is_enough(self, candidate: &CandidateScore, fit: &Fit, input: &JudgeInput<'_>) -> bool {
        match self {
            Self::Affirmed => meets(BESIDE_ITS_SHAPE, candidate, fit, input),
            Self::Nearest | Self::Vouched => meets(BY_BANDS, candidate, fit, input),
            Self::Unknown => {
                meets(BY_BANDS_ALONE, candidate, fit, input)
                    && !input.likeness.is_alike()
                    && measured_rows(fit, input) >= LEAST_MEASURED_ROWS
            }
            Self::Against => false,
        }
    }
}

/// Returns whether bands and shape are enough to name this material by itself.
fn stands_itself(id: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    let Some(candidate) = input.score_of(id) else { return false };
    let Some(fit) = input.fits.get(candidate.base) else { return false };
    support(candidate, fit, input, rule_log).is_enough(candidate, fit, input)
}

/// Returns what the shapes say of a base material, with what the bands find in or on it: the curve of a filled
/// or softened polymer is a sum.
fn support(
    candidate: &CandidateScore,
    fit: &Fit,
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Support {
    let Some(material) = input.material(fit) else { return Support::Against };
    let additives: Vec<&str> = candidate
        .additives
        .iter()
        .filter_map(|at| Some(input.material(input.fits.get(*at)?)?.id.as_str()))
        .collect();
    let own = [material.id.as_str()];
    match input.likeness.support(&own, &additives) {
        // The additives found account for the curve, so that it says nothing of what they are in.
        Support::Against if input.likeness.is_all(&additives) => Support::Nearest,
        // C–Cl stretches are seen by their own shape, below where curves are compared.
        Support::Against
            if material.chlorine
                && sees_vinyl_chloride(input)
                && has_own_rule(&material.id, input, rule_log) =>
        {
            // Its class's evidence beside them is as good as a curve: fillers and plasticisers change that.
            if is_of_its_class(&material.id, input, rule_log) {
                Support::Affirmed
            } else {
                Support::Nearest
            }
        }
        // Part of a sum, or nearest by little: its own rule must say yes, or it is no answer by itself.
        Support::Against
            if (input.likeness.is_seen(&own) || input.likeness.leads(&own, &additives))
                && has_own_rule(&material.id, input, rule_log) =>
        {
            Support::Nearest
        }
        // Nearest, and not near: without a rule of its own it resembles a relative of what it is.
        Support::Nearest if !has_own_rule(&material.id, input, rule_log) => Support::Against,
        Support::Against if input.is_another_curve() => Support::Unknown,
        Support::Unknown => of_look_alikes(&material.id, &additives, input, rule_log),
        support => support,
    }
}

/// Returns whether the table has a rule that this material requires, and every such rule says yes.
fn has_own_rule(id: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    let required = rule_log.of_subject(id, Effect::Require, input);
    !required.is_empty() && required.iter().all(|(_, verdict)| *verdict == Verdict::Yes)
}

/// Returns what the shapes of a material's look-alikes say of it, where it has none: their shape is as good
/// as its own where a rule of the table prefers it to them, and is against it elsewhere.
fn of_look_alikes(
    id: &str,
    additives: &[&str],
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Support {
    let preferred: Vec<&Rule> = rule_log
        .of_subject(id, Effect::Prefer, input)
        .into_iter()
        .filter(|(_, verdict)| *verdict == Verdict::Yes)
        .map(|(rule, _)| rule)
        .collect();
    let alike = preferred.iter().flat_map(|rule| rule.against.iter()).map(String::as_str);
    let alike: Vec<&str> = alike.collect();
    if input.likeness.support(&alike, additives) == Support::Affirmed {
        return Support::Affirmed;
    }
    // What has no shape never beats a relative whose shape is nearer than any other, unless a rule tells the
    // two apart or forbids the relative's name.
    let relatives: Vec<&str> = input
        .tables
        .groups()
        .iter()
        .filter(|group| group.members.iter().any(|member| member == id))
        .flat_map(|group| group.members.iter().map(String::as_str))
        .filter(|relative| !alike.contains(relative) && may_be_named(relative, input, rule_log))
        .collect();
    match input.likeness.support(&relatives, additives) {
        Support::Affirmed | Support::Nearest => Support::Against,
        Support::Against | Support::Unknown if is_vouched(id, input, rule_log) => Support::Vouched,
        _ => Support::Unknown,
    }
}

/// Returns whether the evidence of a class that holds this material is there.
fn is_of_its_class(id: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    input
        .tables
        .classes()
        .iter()
        .filter(|class| class.members.iter().any(|member| member == id))
        .any(|class| rule_log.class(class, input) == Verdict::Yes)
}

/// Returns whether the evidence of its class is there and rules tell it from every other member: a second line
/// of evidence where no curve was measured, for neither looks at the score.
fn is_vouched(id: &str, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> bool {
    let preferred: Vec<&str> = rule_log
        .of_subject(id, Effect::Prefer, input)
        .into_iter()
        .filter(|(_, verdict)| *verdict == Verdict::Yes)
        .flat_map(|(rule, _)| rule.against.iter().map(String::as_str))
        .collect();
    let mut is_told = |other: &str| {
        let nameable = input.tables.material(other).is_some_and(|material| material.nameable);
        !nameable
            || preferred.contains(&other)
            || is_undecided(id, other, input, rule_log)
            || !may_be_named(other, input, rule_log)
    };
    let its_own = input.tables.classes().iter().filter(|c| c.members.iter().any(|m| m == id));
    let told: Vec<&Class> = its_own
        .filter(|class| class.members.iter().all(|other| other == id || is_told(other)))
        .collect();
    may_be_named(id, input, rule_log)
        && told.iter().any(|class| rule_log.class(class, input) == Verdict::Yes)
}

/// Counts the testable bands of a fit whose heights were measured.
fn measured_rows(fit: &Fit, input: &JudgeInput<'_>) -> usize {
    let expected = input.entry(fit).map(|entry| entry.expected.iter()).into_iter().flatten();
    expected
        .zip(&fit.answers)
        .filter(|(band, answer)| {
            band.measured && matches!(answer, Answer::Met(..) | Answer::Missing { .. })
        })
        .count()
}

/// Looks for further base materials beside a first that leaves much unexplained. A first that could not be
/// named alone must hold beside what is found.
fn several(
    first: &Fit,
    members: &[String],
    stands_alone: bool,
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Option<Choice> {
    let peaks = input.observed.peaks();
    let (detected, explains) = beside(first, Wanted::Anything, input, rule_log);
    let enough = explained_share(peaks, &explains) >= TOGETHER_EXPLAINED;
    if !enough || !(stands_alone || holds_beside(first, &detected, input)) {
        return None;
    }
    let id = input.material(first)?.id.clone();
    let mut first_members = vec![id.clone()];
    first_members.extend(members.iter().filter(|other| **other != id).cloned());
    let first = DetectedComponent { fit: first.clone(), members: first_members, is_base: true };
    let (bases, others): (Vec<DetectedComponent>, Vec<DetectedComponent>) =
        std::iter::once(first).chain(detected).partition(|component| component.is_base);
    if bases.len() < 2 {
        return None;
    }
    let additives = others.into_iter().map(|component| component.fit).collect();
    Some(in_order(bases, additives, input))
}

/// Puts the base material first that explains most.
fn in_order(bases: Vec<DetectedComponent>, additives: Vec<Fit>, input: &JudgeInput<'_>) -> Choice {
    let peaks = input.observed.peaks();
    let mut bases: Vec<(f64, DetectedComponent)> = bases
        .into_iter()
        .map(|component| (explained_share(peaks, &component.fit.explains), component))
        .collect();
    bases.sort_by(|a, b| b.0.total_cmp(&a.0));
    Choice::Several {
        bases: bases.into_iter().map(|(_, component)| component).collect(),
        additives,
    }
}

/// Adds a polymer of vinyl chloride to base materials that carry no chlorine, where its rule says yes. Its
/// bands are broad and under those of most others, so that it seldom stands out as a further base material
/// does; minerals that were taken for its C–Cl stretches go.
fn with_vinyl_chloride(choice: Choice, input: &JudgeInput<'_>, rule_log: &mut RuleLog) -> Choice {
    let (mut bases, additives) = match &choice {
        Choice::Base { members, fit, additives } => {
            let component =
                DetectedComponent { fit: fit.clone(), members: members.clone(), is_base: true };
            (vec![component], additives.clone())
        }
        Choice::Several { bases, additives } => (bases.clone(), additives.clone()),
        // A filler is louder than the polymer that it is in.
        Choice::Alone { fits } => {
            return match vinyl_chloride_beside(&[], input, rule_log) {
                Some(DetectedComponent { fit, members, .. }) => {
                    Choice::Base { members, fit, additives: fits.clone() }
                }
                None => choice,
            };
        }
        Choice::Class { .. } | Choice::None { .. } => return choice,
    };
    let carries = |id: &String| input.tables.material(id).is_some_and(|m| m.chlorine);
    if bases.iter().any(|component| component.members.iter().any(carries)) {
        return choice;
    }
    let Some(chlorinated) = vinyl_chloride_beside(&bases, input, rule_log) else { return choice };
    bases.push(chlorinated);
    let nothing = vec![0.0; input.observed.peaks().list.len()];
    let explains = bases.iter().fold(nothing, |all, component| join(&all, &component.fit.explains));
    let additives =
        additives.into_iter().filter(|fit| still_shows(fit, &explains, input)).collect();
    in_order(bases, additives, input)
}

/// Returns whether a material lies on a surface rather than in a polymer.
pub(super) fn lies_on(material: &Material) -> bool {
    matches!(material.kind, MaterialKind::Residue) || material.has_role(MaterialRole::LiesOn)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::likeness::Likeness;
    use crate::judge::made::{Made, fit_of, rows, shape_of};
    use crate::judge::outcome::Outcome;
    use crate::judge::settings::JudgeSettings;
    use crate::matching::{Resembles, Summand};

    /// Bands where no polymer of the table has a set of them.
    fn alien(height: f64) -> Vec<(f64, f64)> {
        [560.0, 676.0, 1040.0, 1330.0, 1530.0, 1630.0, 2230.0].map(|at| (at, height)).to_vec()
    }

    fn ids_of(choice: &Option<Choice>) -> Vec<&str> {
        match choice {
            Some(Choice::Several { bases, .. }) => {
                bases.iter().map(|b| b.members[0].as_str()).collect()
            }
            Some(other) => panic!("{other:?}"),
            None => Vec::new(),
        }
    }

    #[test]
    fn a_class_has_the_strongest_band_of_all() {
        let members = ["PS".to_owned()];
        let has =
            |bands: &[(f64, f64)]| has_the_strongest(&members, &Made::of_bands(bands).input());
        assert!(has(&rows("PS", 1.0)));
        assert!(!has(&[rows("PS", 1.0), vec![(1290.0, 3.0)]].concat()));
        // A loud filler is no stranger.
        assert!(has(&[rows("PS", 0.5), rows("calcite", 1.5)].concat()));
    }

    #[test]
    fn above_the_fingerprint_nothing_is_named_by_what_oils_have_too() {
        let above = |id: &str| {
            let bands = rows(id, 1.0);
            let axis: Vec<f64> = (0..1250).map(|i| 1500.0 + 2.0 * f64::from(i)).collect();
            let height = |x: f64| -> f64 {
                bands.iter().map(|(at, height)| height / (1.0 + ((x - at) / 6.0).powi(2))).sum()
            };
            let values = axis.iter().map(|x| 0.01 + 0.4 * height(*x)).collect();
            Made::of_values(values, axis).identified(&JudgeSettings::default())
        };
        let pvc = above("PVC");
        assert_ne!(pvc.outcome, Outcome::Identified, "{}", pvc.sentence);
        assert!(!pvc.components.iter().any(|c| c.id == "PVC"), "{}", pvc.sentence);
    }

    #[test]
    fn two_polymers_are_named_only_where_they_leave_little_without_a_name() {
        let two = [rows("PMMA", 1.0), rows("PP", 0.8)].concat();
        let several_of = |bands: &[(f64, f64)]| {
            let made = Made::of_bands(bands);
            let input = made.input();
            let (pmma, mut log) = (fit_of("PMMA", &input), RuleLog::default());
            let choice = several(&pmma, &["PMMA".to_owned()], true, &input, &mut log);
            ids_of(&choice).into_iter().map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(several_of(&two), ["PMMA", "PP"]);
        // The same two under louder bands of something else: the mixture is not told from what else it may be.
        assert_eq!(several_of(&[two, alien(1.5)].concat()), [""; 0]);
    }

    #[test]
    fn the_first_of_several_keeps_bands_that_the_others_do_not_account_for() {
        // All that looks like a phenolic resin belongs to polycarbonate and polystyrene.
        let made = Made::of_bands(&[rows("PC", 1.0), rows("PS", 0.8)].concat());
        let input = made.input();
        let mut log = RuleLog::default();
        let mut first = |id: &str, stands_alone: bool| {
            let fit = fit_of(id, &input);
            let choice = several(&fit, &[id.to_owned()], stands_alone, &input, &mut log);
            ids_of(&choice).into_iter().map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(first("PF", false), [""; 0]);
        let both = first("PC", false);
        assert!(both.len() == 2 && both[0] == "PC" && both[1].starts_with("PS"), "{both:?}");
        // What could be named by itself needs no such proof.
        assert!(first("PF", true).contains(&"PF".to_owned()));
    }

    #[test]
    fn a_mixed_answer_names_three_at_most() {
        // What looks like a phenolic resin is the first; each of the three others shows beside the other two.
        let three = [rows("PP", 1.0), rows("PET", 1.0), rows("PDMS", 1.0)];
        let made = Made::of_bands(&three.concat());
        let input = made.input();
        let (first, mut log) = (fit_of("PF", &input), RuleLog::default());
        let choice = several(&first, &["PF".to_owned()], true, &input, &mut log);
        assert_eq!(ids_of(&choice).len(), 3, "{choice:?}");
    }

    #[test]
    fn plasticisers_alone_are_no_answer_where_a_strong_band_of_what_they_soften_is_left() {
        let id = "plasticiser-adipate";
        let leaves = |id: &str, more: &[(f64, f64)]| {
            let made = Made::of_bands(&[&rows(id, 1.0), more].concat());
            let input = made.input();
            let fit = fit_of(id, &input);
            leaves_a_host(&[fit], &input)
        };
        assert!(!leaves(id, &[]));
        assert!(leaves(id, &[(2230.0, 0.7)]));
        assert!(!leaves(id, &[(2230.0, 0.3)]));
        // A mineral is not made to be in something.
        assert!(!leaves("gypsum", &[(2230.0, 0.7)]));
    }

    #[test]
    fn without_a_measured_curve_a_name_needs_eight_tested_bands_whose_heights_were_measured() {
        let made = Made::of_bands(&rows("PMMA", 1.0));
        let mut input = made.input();
        input.likeness = Likeness::new(Resembles::default(), &[]);
        let candidate = input.score_of("PMMA").expect("a candidate");
        let fit = fit_of("PMMA", &input);
        let expected = &input.entry(&fit).expect("its").expected;
        let is_enough = |tested: usize| {
            let mut fit = fit.clone();
            let rows = fit.answers.iter_mut().zip(expected).filter(|(_, band)| band.measured);
            rows.skip(tested).for_each(|(answer, _)| *answer = Answer::NotMeasured);
            Support::Unknown.is_enough(candidate, &fit, &input)
        };
        assert!(is_enough(8) && !is_enough(7));
    }

    #[test]
    fn a_filler_whose_curve_covers_all_else_says_nothing_against_the_polymer_it_is_in() {
        let made = Made::of_bands(&[rows("PP", 1.0), rows("talc", 1.0)].concat());
        let mut input = made.input();
        let shapes = ["PP", "talc"].map(shape_of);
        let resembles = Resembles {
            similarity: vec![Some(0.3), Some(0.9)],
            sum: vec![Summand { shape: 1, weight: 0.95 }],
            explained: 0.9,
        };
        input.likeness = Likeness::new(resembles, &shapes);
        let is_talc = |fit: &Fit| input.material(fit).is_some_and(|m| m.id == "talc");
        let talc = input.fits.iter().position(is_talc).expect("its fit");
        let said = |additives: Vec<usize>| {
            let of = input.score_of("PP").expect("a candidate");
            let candidate = CandidateScore { additives, ..of.clone() };
            support(&candidate, &input.fits[of.base], &input, &mut RuleLog::default())
        };
        assert_eq!(said(vec![talc]), Support::Nearest);
        assert_eq!(said(Vec::new()), Support::Against);
    }
}
