//! Judges the spots of a face or a part together: agreement is stated, an outlier is named and
//! never averaged away.

use std::collections::BTreeSet;

use super::plain;
use super::result::{Agreement, PartOutcome};
use crate::judge::{ClassAnswer, Component, Identification, Outcome, Plasticiser, Relation};

/// How the agreement of a part begins whose faces differ while the spots of each agree.
pub(super) const FACES_DIFFER: &str = "the faces differ: ";

/// One spot with the name that it goes by.
pub(super) struct Spot<'a> {
    pub label: String,
    /// The face that it lies on, in the conservator's word.
    pub face: &'a str,
    pub identification: &'a Identification,
    /// Whether an earlier spot is the same measurement.
    pub is_copy: bool,
}

/// What the spots say together.
pub(super) struct Joint {
    pub outcome: PartOutcome,
    pub material: Option<String>,
    pub candidates: Vec<String>,
    pub class: Option<ClassAnswer>,
    pub components: Vec<Component>,
    pub plasticiser: Option<Plasticiser>,
    pub agreement: Agreement,
}

/// What one spot says, reduced to what can agree or not.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Said {
    /// One of these: a single id where identified, look-alikes where narrowed.
    OneOf(BTreeSet<String>),
    /// Several components, the main one first where there is one.
    Mixed { main: Option<String>, all: BTreeSet<String> },
    /// A class by its id, and its members.
    Class { id: String, members: BTreeSet<String> },
    /// No material of the table.
    NotInTable,
}

/// Returns the id of the base material of what was measured: the main component, or the only polymer.
pub(super) fn main_component(components: &[Component]) -> Option<&str> {
    let main = components.iter().find(|c| c.relation == Relation::Main);
    let mut polymers = components.iter().filter(|c| c.role == "polymer");
    let only = polymers.next().filter(|_| polymers.next().is_none());
    main.or(only).map(|c| c.id.as_str())
}

pub(super) fn said(identification: &Identification) -> Option<Said> {
    match identification.outcome {
        Outcome::NotEnoughSignal => None,
        Outcome::NotInTable => Some(Said::NotInTable),
        Outcome::Classed => {
            let class = identification.class.as_ref()?;
            let members = class.members.iter().cloned().collect();
            Some(Said::Class { id: class.id.clone(), members })
        }
        Outcome::Identified => Some(Said::OneOf(identification.material.iter().cloned().collect())),
        Outcome::Narrowed => Some(Said::OneOf(identification.candidates.iter().cloned().collect())),
        Outcome::Mixed => Some(Said::Mixed {
            main: main_component(&identification.components).map(str::to_owned),
            all: identification.components.iter().map(|c| c.id.clone()).collect(),
        }),
    }
}

/// Returns what a spot says in a few words.
pub(super) fn says(identification: &Identification) -> String {
    match said(identification) {
        None => "not enough signal".to_owned(),
        Some(Said::NotInTable) => "no material of the table".to_owned(),
        Some(Said::Class { .. }) => {
            let name = identification.class.as_ref().map_or("unnamed", |class| class.name.as_str());
            format!("class: {name}")
        }
        Some(Said::OneOf(ids)) => joined(&ids, " or "),
        Some(Said::Mixed { all, .. }) => format!("mixed: {}", joined(&all, " and ")),
    }
}

fn joined(ids: &BTreeSet<String>, between: &str) -> String {
    ids.iter().map(String::as_str).collect::<Vec<_>>().join(between)
}

impl Said {
    /// Whether two spots can both be right about one and the same thing.
    pub(super) fn agrees_with(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::NotInTable, Self::NotInTable) => true,
            (Self::OneOf(a), Self::OneOf(b)) => !a.is_disjoint(b),
            (Self::Class { id: a, .. }, Self::Class { id: b, .. }) => a == b,
            (Self::OneOf(a), Self::Class { members: b, .. })
            | (Self::Class { members: b, .. }, Self::OneOf(a)) => !a.is_disjoint(b),
            (Self::Mixed { main: Some(a), .. }, Self::Mixed { main: Some(b), .. }) => a == b,
            (Self::Mixed { all: a, .. }, Self::Mixed { all: b, .. }) => a == b,
            (Self::OneOf(a), Self::Mixed { main: Some(b), .. })
            | (Self::Mixed { main: Some(b), .. }, Self::OneOf(a)) => a.contains(b),
            _ => false,
        }
    }
}

/// Judges spots together; a copy is no spot.
pub(super) fn judge(spots: &[Spot<'_>]) -> Joint {
    let (copies, spots): (Vec<_>, Vec<_>) = spots.iter().partition(|spot| spot.is_copy);
    let judged: Vec<(&Spot<'_>, Said)> =
        spots.iter().filter_map(|spot| Some((*spot, said(spot.identification)?))).collect();
    // The largest set of spots that agree with one of them; of equal sets the first measured.
    let mut group: Vec<usize> = Vec::new();
    for (_, a) in &judged {
        let with_a: Vec<usize> = (0..judged.len())
            .filter(|&i| judged.get(i).is_some_and(|(_, b)| a.agrees_with(b)))
            .collect();
        if with_a.len() > group.len() {
            group = with_a;
        }
    }
    let agreeing: Vec<&(&Spot<'_>, Said)> = group.iter().filter_map(|&i| judged.get(i)).collect();
    let outliers: Vec<String> = judged
        .iter()
        .enumerate()
        .filter(|(i, _)| !group.contains(i))
        .map(|(_, (spot, _))| format!("{}: {}", spot.label, says(spot.identification)))
        .collect();
    let mut joint = answer(&agreeing);
    if !outliers.is_empty() {
        // One material only where the spots agree; what each says stands in the agreement.
        joint.outcome = PartOutcome::SpotsDisagree;
        joint.material = None;
        joint.candidates = Vec::new();
        joint.class = None;
    }
    if spots.is_empty() {
        joint.outcome = PartOutcome::NotMeasured;
    }
    joint.plasticiser = plasticiser(judged.iter().map(|(spot, _)| spot.identification));
    let most = agreeing.first().map_or_else(String::new, |(spot, _)| says(spot.identification));
    let behind = agreeing.iter().filter(|spot| is_behind(spot, &joint)).count();
    let counted = counted(&joint, &agreeing, judged.len());
    let agree = if outliers.is_empty() { behind } else { agreeing.len() };
    let mut words = words(spots.len(), judged.len(), agreeing.len(), &most, counted, &outliers);
    if outliers.is_empty() {
        words.push_str(&laid_on(&joint, &agreeing, judged.len()));
    }
    match copies.len() {
        0 => {}
        1 => words.push_str("; one copy is not counted"),
        many => words.push_str(&format!("; {many} copies are not counted")),
    }
    joint.agreement =
        Agreement { measured: spots.len(), judged: judged.len(), agreeing: agree, outliers, words };
    joint
}

/// Whether a spot says all that the answer of the part says or, where that leaves several open, one of them.
fn is_behind((spot, said): &(&Spot<'_>, Said), joint: &Joint) -> bool {
    match joint.outcome {
        PartOutcome::Identified => {
            matches!(said, Said::OneOf(ids) if ids.iter().eq(joint.material.iter()))
        }
        PartOutcome::Mixed => joint.components.iter().all(|component| shows(spot, &component.id)),
        _ => true,
    }
}

fn shows(spot: &Spot<'_>, id: &str) -> bool {
    spot.identification.components.iter().any(|component| component.id == id)
}

/// What each part of the answer rests on, where spots that do not contradict each other do not all say it: "PC at
/// 6 of 6 spots; PDMS over it at 3 of 6 (exposed)".
fn counted(joint: &Joint, agreeing: &[&(&Spot<'_>, Said)], judged: usize) -> Option<String> {
    // Each thing said, with the faces of the spots that say it.
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    if joint.outcome == PartOutcome::Mixed {
        if agreeing.iter().all(|spot| is_behind(spot, joint)) {
            return None;
        }
        for component in &joint.components {
            let on = agreeing.iter().filter(|(spot, _)| shows(spot, &component.id));
            let name = match component.relation {
                Relation::CoatingOver => format!("{} over it", component.id),
                Relation::DepositOn => format!("{} on it", component.id),
                Relation::Within => format!("{} in it", component.id),
                Relation::Main | Relation::Blend | Relation::NotToldApart => component.id.clone(),
            };
            told.push((name, on.map(|(spot, _)| spot.face).collect()));
        }
    } else {
        for (spot, _) in agreeing {
            let says = says(spot.identification);
            match told.iter_mut().find(|(known, _)| *known == says) {
                Some((_, faces)) => faces.push(spot.face),
                None => told.push((says, vec![spot.face])),
            }
        }
        if told.len() < 2 {
            return None;
        }
    }
    let told = told.iter().enumerate().map(|(i, (name, on))| {
        let spots = if i == 0 { if judged == 1 { " spot" } else { " spots" } } else { "" };
        format!("{name} at {} of {judged}{spots}{}", on.len(), place(on, agreeing))
    });
    Some(told.collect::<Vec<_>>().join("; "))
}

/// The faces that some spots lie on, in brackets; nothing where they are all that were measured.
fn place(on: &[&str], agreeing: &[&(&Spot<'_>, Said)]) -> String {
    let faces = |of: &[&str]| -> Vec<String> {
        let mut each: Vec<String> = Vec::new();
        for face in of {
            if !each.iter().any(|known| known == face) {
                each.push((*face).to_owned());
            }
        }
        each
    };
    let measured = faces(&agreeing.iter().map(|(spot, _)| spot.face).collect::<Vec<_>>());
    let here = faces(on);
    if here.len() < measured.len() { format!(" ({})", plain::list(&here)) } else { String::new() }
}

/// What lies on a material that the spots agree on, with its count and faces: "; PDMS on it at 3 of 9 (face a)". A part
/// that is mixed tells it beside its other components.
fn laid_on(joint: &Joint, agreeing: &[&(&Spot<'_>, Said)], judged: usize) -> String {
    let mut text = String::new();
    if joint.outcome == PartOutcome::Mixed {
        return text;
    }
    for component in &joint.components {
        let how = match component.relation {
            Relation::CoatingOver => "over it",
            Relation::DepositOn => "on it",
            _ => continue,
        };
        let id = &component.id;
        let on: Vec<&str> = agreeing
            .iter()
            .filter(|(spot, _)| shows(spot, id))
            .map(|(spot, _)| spot.face)
            .collect();
        let place = place(&on, agreeing);
        text.push_str(&format!("; {id} {how} at {} of {judged}{place}", on.len()));
    }
    text
}

/// The answer of spots that agree.
fn answer(agreeing: &[&(&Spot<'_>, Said)]) -> Joint {
    let mut joint = Joint {
        outcome: PartOutcome::NotEnoughSignal,
        material: None,
        candidates: Vec::new(),
        class: None,
        components: Vec::new(),
        plasticiser: None,
        agreement: Agreement::default(),
    };
    let Some((first, _)) = agreeing.first() else { return joint };
    // Every component that any agreeing spot showed, in the order met.
    for (spot, _) in agreeing {
        for component in &spot.identification.components {
            if !joint.components.iter().any(|c| c.id == component.id) {
                joint.components.push(component.clone());
            }
        }
    }
    if agreeing.iter().any(|(_, said)| matches!(said, Said::Mixed { .. })) {
        joint.outcome = PartOutcome::Mixed;
        // The mixed spots know how the components stand to each other, the plain ones do not.
        if let Some((mixed, _)) = agreeing.iter().find(|(_, s)| matches!(s, Said::Mixed { .. })) {
            for component in &mut joint.components {
                let known = mixed.identification.components.iter().find(|c| c.id == component.id);
                if let Some(known) = known {
                    component.relation = known.relation;
                }
            }
        }
        return joint;
    }
    let sets: Vec<&BTreeSet<String>> = agreeing
        .iter()
        .filter_map(|(_, said)| if let Said::OneOf(ids) = said { Some(ids) } else { None })
        .collect();
    if sets.is_empty() {
        joint.class.clone_from(&first.identification.class);
        joint.outcome = PartOutcome::from_spot(first.identification.outcome);
        return joint;
    }
    let singles: BTreeSet<&String> =
        sets.iter().filter(|set| set.len() == 1).flat_map(|set| set.iter()).collect();
    let naming = sets.iter().filter(|set| set.len() == 1).count();
    let classed = agreeing.iter().find(|(_, said)| matches!(said, Said::Class { .. }));
    if let Some((spot, _)) = classed
        && 2 * naming < agreeing.len()
    {
        joint.outcome = PartOutcome::Classed;
        joint.class.clone_from(&spot.identification.class);
        return joint;
    }
    // One spot that names and four that narrow are not five that agree on a name.
    if let (1, Some(id)) = (singles.len(), singles.first())
        && 2 * naming >= sets.len()
    {
        joint.outcome = PartOutcome::Identified;
        joint.material = Some((*id).clone());
    } else {
        joint.outcome = PartOutcome::Narrowed;
        let union: BTreeSet<&String> = sets.iter().flat_map(|set| set.iter()).collect();
        joint.candidates = union.into_iter().cloned().collect();
    }
    joint
}

fn words(
    measured: usize,
    judged: usize,
    agreeing: usize,
    most: &str,
    counted: Option<String>,
    outliers: &[String],
) -> String {
    let spots = |n: usize| if n == 1 { "spot" } else { "spots" };
    let unjudged = measured - judged;
    let mut text = match (measured, judged) {
        (0, _) => return "no spot measured".to_owned(),
        (_, 0) => return format!("none of {measured} {} could be judged", spots(measured)),
        (_, 1) => "one spot only: no agreement can be stated".to_owned(),
        _ if outliers.is_empty() => {
            counted.unwrap_or_else(|| format!("{judged} of {judged} spots agree"))
        }
        _ => format!(
            "{agreeing} of {judged} spots say {most}; different: {}; measure again beside it",
            outliers.join("; ")
        ),
    };
    if unjudged > 0 {
        text.push_str(&format!("; {unjudged} more {} could not be judged", spots(unjudged)));
    }
    text
}

/// What the spots say of the plasticiser together.
fn plasticiser<'a>(spots: impl Iterator<Item = &'a Identification>) -> Option<Plasticiser> {
    let said: Vec<&Plasticiser> = spots.filter_map(|id| id.plasticiser.as_ref()).collect();
    let first = *said.first()?;
    let mut classes: BTreeSet<String> = BTreeSet::new();
    let mut unresolved: Option<&Plasticiser> = None;
    let mut none = false;
    for one in &said {
        match one {
            Plasticiser::Class { id } => drop(classes.insert(id.clone())),
            Plasticiser::Several { ids } => classes.extend(ids.iter().cloned()),
            Plasticiser::UnresolvedEster => unresolved = Some(one),
            Plasticiser::UnresolvedCarbonyl => unresolved = unresolved.or(Some(one)),
            Plasticiser::NoneSeen => none = true,
            Plasticiser::NotTestable { .. } => {}
        }
    }
    Some(match (classes.len(), unresolved, none) {
        (0, Some(one), _) => one.clone(),
        (0, None, true) => Plasticiser::NoneSeen,
        (0, None, false) => first.clone(),
        (1, ..) => Plasticiser::Class { id: classes.into_iter().next().unwrap_or_default() },
        _ => Plasticiser::Several { ids: classes.into_iter().collect() },
    })
}
