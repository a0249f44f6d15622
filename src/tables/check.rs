//! Holds the files of a table against each other.

use std::collections::{HashMap, HashSet};

use super::fault::Fault;
use super::loaded::Loaded;
use super::markers::Measure;
use super::naming;
use super::places::{Place, PlaceAsked};
use super::predicates::falls_short;
use super::rule_table::{Question, Questions};
use super::sheet::{Located, Record};
use super::sourcing::Sourcing;
use super::stretches;
use super::windows::TellingWindow;
use super::words::{
    BandRole, Effect, MarkerRole, MaterialKind, MeasureKind, Part, ShapeOrigin, SourceClass,
};
use crate::quote::in_marks;

/// Markers named beforehand for testing, a material at most: more would each be tested less sharply.
const MOST_PRIMARY_MARKERS: usize = 2;

/// Fewer spectra than this are not averaged into a shape: it would be one specimen's.
const LEAST_SPECTRA: usize = 3;

/// A window narrower than this in cm⁻¹ holds a dozen points at most at the usual 2 cm⁻¹: too few to tell
/// the shape of one band.
const LEAST_WINDOW_CM1: f64 = 24.0;

/// How far the strongest point of a shape may lie from 1, by rounding.
const LEAST_STRONGEST: f64 = 0.01;

/// Adds a fault for every reference into nothing and every rule of the table that is broken, and
/// hands each rule, confounder and class its questions.
pub(super) fn cross_check(loaded: &mut Loaded, faults: &mut Vec<Fault>) {
    loaded.repeated_ids(faults);
    let mut check = Check { faults };
    check.materials(loaded);
    check.bands(loaded);
    check.groups(loaded);
    check.windows(loaded);
    check.hand_out_questions(loaded);
    check.classes(loaded);
    check.rules(loaded);
    check.markers(loaded);
    check.care(loaded);
    check.stretches(loaded);
    check.places(loaded);
    check.shapes(loaded);
}

struct Check<'a> {
    faults: &'a mut Vec<Fault>,
}

impl Check<'_> {
    fn fault<T>(&mut self, row: &Located<T>, column: &str, what: String) {
        self.faults.push(row.fault(column, what));
    }

    /// Faults every id of a cell that the named file does not hold.
    fn known<T>(&mut self, (row, column): (&Located<T>, &str), ids: &[String], known: &Ids<'_>) {
        for id in ids.iter().filter(|id| !known.hold(id)) {
            self.fault(row, column, format!("{} is not in {}", in_marks(id), known.place));
        }
    }

    fn no_secondary_copy<T>(&mut self, row: &Located<T>, sourcing: &Sourcing, carried: &str) {
        if sourcing.class == SourceClass::SecondaryCopy {
            let what = format!("a secondary copy cannot carry a {carried} alone");
            self.fault(row, "source_class", what);
        }
    }

    fn stretches(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        for row @ Located { value, .. } in &loaded.stretches {
            self.known((row, "materials"), &value.materials, &materials);
            self.no_secondary_copy(row, &value.sourcing, "judgement");
        }
        stretches::check_counts(&loaded.stretches, self.faults);
        stretches::check_reach(&loaded.stretches, self.faults);
    }

    fn places(&mut self, loaded: &Loaded) {
        for row @ Located { value, .. } in &loaded.places {
            self.no_secondary_copy(row, &value.sourcing, "judgement");
        }
        if loaded.places.iter().all(|place| place.value.asked != PlaceAsked::First) {
            self.faults.push(Fault::new(
                Place::FILE,
                None,
                ("", "asked"),
                format!("at least one place must be asked {}", PlaceAsked::First),
            ));
        }
    }

    fn shapes(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        for row @ Located { value, .. } in &loaded.shapes {
            self.known((row, "materials"), &value.materials, &materials);
            let shareable = value.made_from == ShapeOrigin::OpticalConstants;
            if value.spectra < LEAST_SPECTRA && !shareable {
                let what = format!(
                    "{} spectra; a shape averages at least {LEAST_SPECTRA}, for single spectra are their \
                     makers' own",
                    value.spectra
                );
                self.fault(row, "spectra", what);
            }
            let highest = value.absorbances.iter().copied().fold(0.0, f64::max);
            if (highest - 1.0).abs() > LEAST_STRONGEST {
                let what = format!("its strongest point is {highest}, expected 1");
                self.fault(row, "", what);
            }
        }
    }

    fn materials(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        let with_bands: HashSet<&String> = loaded.bands.iter().map(|x| &x.value.material).collect();
        // What a material is found by leads to it alone.
        let mut called: HashMap<String, &String> = HashMap::new();
        for row @ Located { value, .. } in &loaded.materials {
            for key in naming::keys(value) {
                let known = *called.entry(key.clone()).or_insert(&value.id);
                if *known != value.id {
                    let what = format!("{} leads to {} already", in_marks(&key), in_marks(known));
                    self.fault(row, "also_called", what);
                }
            }
        }
        for row @ Located { value, .. } in &loaded.materials {
            if let Some(group) = &value.group {
                match loaded.groups.iter().find(|x| x.value.id == *group) {
                    None => {
                        let what = format!("{} is not in groups.csv", in_marks(group));
                        self.fault(row, "group", what);
                    }
                    Some(found) if !found.value.members.contains(&value.id) => {
                        let what = format!("{} does not list it as a member", in_marks(group));
                        self.fault(row, "group", what);
                    }
                    Some(_) => {}
                }
            }
            self.known((row, "not_excluded"), &value.not_excluded, &materials);
            let competes = value.nameable && value.kind != MaterialKind::Artefact;
            if competes && !with_bands.contains(&value.id) {
                self.fault(row, "nameable", "has no row in bands.csv".into());
            }
            let never = matches!(value.kind, MaterialKind::Artefact | MaterialKind::Conformer);
            if never && value.nameable {
                let what = format!("a material of kind {} cannot be an answer", value.kind);
                self.fault(row, "nameable", what);
            }
        }
    }

    fn bands(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        for row @ Located { value, .. } in &loaded.bands {
            let of = std::slice::from_ref(&value.material);
            self.known((row, "material"), of, &materials);
            let starts = value.id.strip_prefix(&value.material).is_some_and(|x| x.starts_with('-'));
            if !starts {
                let what =
                    format!("must begin with its material and a hyphen, \"{}-\"", value.material);
                self.fault(row, "id", what);
            }
            let secondary = value.sourcing.class == SourceClass::SecondaryCopy;
            if value.role == BandRole::Required && secondary {
                let what = "a secondary copy alone cannot make a band required".into();
                self.fault(row, "role", what);
            }
        }
    }

    fn groups(&mut self, loaded: &Loaded) {
        let nameable = loaded.materials.iter().filter(|x| x.value.nameable);
        let nameable = Ids {
            ids: nameable.map(|x| x.value.id.as_str()).collect(),
            place: "the nameable rows of materials.csv",
        };
        for row @ Located { value, .. } in &loaded.groups {
            self.known((row, "members"), &value.members, &nameable);
        }
    }

    fn windows(&mut self, loaded: &Loaded) {
        let groups = ids(&loaded.groups);
        for row @ Located { value, .. } in &loaded.windows {
            let of = std::slice::from_ref(&value.group);
            self.known((row, "group"), of, &groups);
            if value.window.high_cm1 - value.window.low_cm1 < LEAST_WINDOW_CM1 {
                let what = format!(
                    "{} cm⁻¹ wide; two curves are not compared over less than {LEAST_WINDOW_CM1}",
                    value.window.high_cm1 - value.window.low_cm1
                );
                self.fault(row, "high_cm1", what);
            }
            let overlaps = |other: &&Located<TellingWindow>| {
                other.line < row.line
                    && other.value.group == value.group
                    && other.value.window.low_cm1 < value.window.high_cm1
                    && value.window.low_cm1 < other.value.window.high_cm1
            };
            if let Some(other) = loaded.windows.iter().find(overlaps) {
                let what =
                    format!("overlaps {}; a band would count twice", in_marks(&other.value.id));
                self.fault(row, "low_cm1", what);
            }
            self.no_secondary_copy(row, &value.sourcing, "window");
        }
    }

    fn classes(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        let rules = ids(&loaded.rules);
        let confounders = ids(&loaded.confounders);
        for row @ Located { value, .. } in &loaded.classes {
            self.known((row, "members"), &value.members, &materials);
            let mut seen = HashSet::new();
            for member in value.members.iter().filter(|x| !seen.insert(x.as_str())) {
                let what = format!("{} stands twice", in_marks(member));
                self.fault(row, "members", what);
            }
            // The questions of predicates.csv belong to an id, whichever file it stands in.
            for others in [&rules, &confounders].into_iter().filter(|ids| ids.hold(&value.id)) {
                let what = format!("{} stands in {} too", in_marks(&value.id), others.place);
                self.fault(row, "id", what);
            }
            self.no_secondary_copy(row, &value.sourcing, "class");
            self.least_some(row, &value.questions);
            if value.questions.questions.is_empty() {
                self.fault(row, "", "has no question in predicates.csv".into());
            }
        }
    }

    /// Gives each rule, confounder and class its questions in the order of their steps.
    fn hand_out_questions(&mut self, loaded: &mut Loaded) {
        let mut owners: HashMap<&str, Vec<(usize, u64, Question)>> = HashMap::new();
        let rules = loaded.rules.iter().map(|x| x.value.id.as_str());
        let confounders = loaded.confounders.iter().map(|x| x.value.id.as_str());
        let classes = loaded.classes.iter().map(|x| x.value.id.as_str());
        let known: HashSet<&str> = rules.chain(confounders).chain(classes).collect();
        for row @ Located { value, .. } in &loaded.predicates {
            if !known.contains(value.owner.as_str()) {
                let owner = in_marks(&value.owner);
                let what = format!("{owner} is in none of rules.csv, confounders.csv, classes.csv");
                self.fault(row, "owner", what);
                continue;
            }
            let list = owners.entry(&value.owner).or_default();
            if let Some((_, first, _)) = list.iter().find(|(step, ..)| *step == value.step) {
                let what = format!("{} stands already in line {first}", value.step);
                self.fault(row, "step", what);
            }
            list.push((value.step, row.line, value.question.clone()));
        }
        for list in owners.values_mut() {
            list.sort_by_key(|(step, ..)| *step);
        }
        let mut take = |id: &str| -> Vec<Question> {
            owners.remove(id).unwrap_or_default().into_iter().map(|(_, _, x)| x).collect()
        };
        for rule in &mut loaded.rules {
            rule.value.questions.questions = take(&rule.value.id);
        }
        for confounder in &mut loaded.confounders {
            confounder.value.questions.questions = take(&confounder.value.id);
        }
        for class in &mut loaded.classes {
            class.value.questions.questions = take(&class.value.id);
        }
    }

    fn rules(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        let bands = ids(&loaded.bands);
        for row @ Located { value, .. } in &loaded.rules {
            self.known((row, "subjects"), &value.subjects, &materials);
            self.known((row, "against"), &value.against, &materials);
            match value.effect {
                Effect::DropBand => {
                    self.known((row, "targets"), &value.targets, &bands);
                }
                Effect::Component => {
                    self.known((row, "targets"), &value.targets, &materials);
                }
                _ => {}
            }
            let wants = matches!(value.effect, Effect::DropBand | Effect::Component);
            if wants == value.targets.is_empty() {
                let what = if wants { "empty" } else { "must be empty" };
                let what = format!("{what} for the effect {}", value.effect);
                self.fault(row, "targets", what);
            }
            let needs_against = matches!(value.effect, Effect::Prefer | Effect::Narrow);
            if needs_against && value.against.is_empty() {
                let what = format!("empty for the effect {}", value.effect);
                self.fault(row, "against", what);
            }
            self.no_secondary_copy(row, &value.sourcing, "rule");
            self.least_some(row, &value.questions);
            if value.questions.questions.is_empty() {
                self.fault(row, "", "has no question in predicates.csv".into());
            }
        }
    }

    fn least_some<T>(&mut self, row: &Located<T>, questions: &Questions) {
        let some = questions.questions.iter().filter(|x| x.part == Part::Some).count();
        let least = questions.least_some;
        if least > some || (some > 0 && least == 0) {
            let what = format!("{least} does not fit {some} questions of part some");
            self.fault(row, "least_some", what);
        }
    }

    fn markers(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        let markers = ids(&loaded.markers);
        for row @ Located { value, .. } in &loaded.markers {
            self.known((row, "materials"), &value.materials, &materials);
            let measures = [
                (Some(value.measure), "baseline_low_cm1"),
                (value.reference, "reference_baseline_low_cm1"),
                (value.fallback, "fallback_baseline_low_cm1"),
            ];
            for (measure, column) in measures {
                let baseline_counts = |x: &Measure| x.kind != MeasureKind::SecondDerivative;
                if measure
                    .is_some_and(|x| baseline_counts(&x) && falls_short(&x.baseline, &x.limits))
                {
                    let what = "the baseline does not reach around the limits".into();
                    self.fault(row, column, what);
                }
            }
        }
        self.primary_markers(loaded);
        for row @ Located { value, .. } in &loaded.confounders {
            self.known((row, "markers"), &value.markers, &markers);
            self.known((row, "components"), &value.components, &materials);
            self.least_some(row, &value.questions);
            if value.components.is_empty() && value.questions.questions.is_empty() {
                let what = "has neither a component nor a question in predicates.csv".into();
                self.fault(row, "", what);
            }
        }
        for row @ Located { value, .. } in &loaded.routes {
            self.known((row, "materials"), &value.materials, &materials);
            self.known((row, "up"), &value.up, &markers);
            self.known((row, "down"), &value.down, &markers);
            self.known((row, "steady"), &value.steady, &markers);
            if value.up.is_empty() && value.down.is_empty() {
                let what = "a route needs a marker that moves".into();
                self.fault(row, "up", what);
            }
        }
    }

    /// One or two markers are named beforehand for each material; one that stands in for another
    /// takes its place and adds none.
    fn primary_markers(&mut self, loaded: &Loaded) {
        let primary = |id: &str| {
            let row = loaded.markers.iter().find(|x| x.value.id == id);
            row.is_some_and(|x| x.value.role == MarkerRole::Primary)
        };
        for row @ Located { value, .. } in &loaded.markers {
            if let Some(other) = &value.instead_of
                && (value.role != MarkerRole::Primary || !primary(other))
            {
                let what =
                    format!("{} does not take the place of a primary marker", in_marks(&value.id));
                self.fault(row, "instead_of", what);
            }
        }
        for material in &loaded.materials {
            let named: Vec<&Located<super::markers::Marker>> = loaded
                .markers
                .iter()
                .filter(|x| x.value.role == MarkerRole::Primary && x.value.instead_of.is_none())
                .filter(|x| x.value.materials.contains(&material.value.id))
                .collect();
            if let Some(third) = named.get(MOST_PRIMARY_MARKERS) {
                let what = format!(
                    "more than {MOST_PRIMARY_MARKERS} primary markers for {}",
                    material.value.id
                );
                self.fault(third, "role", what);
            }
        }
    }

    fn care(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials);
        let notes = ids(&loaded.care);
        for row @ Located { value, .. } in &loaded.care {
            self.known((row, "materials"), &value.materials, &materials);
            self.known((row, "conflicts_with"), &value.conflicts_with, &notes);
            for other in &value.conflicts_with {
                let back = loaded.care.iter().filter(|x| x.value.id == *other);
                if back.clone().count() > 0
                    && !back.clone().any(|x| x.value.conflicts_with.contains(&value.id))
                {
                    let what = format!("{} does not name it in return", in_marks(other));
                    self.fault(row, "conflicts_with", what);
                }
            }
        }
        for row @ Located { value, .. } in &loaded.neighbours {
            self.known((row, "from"), &value.from, &materials);
            let at_risk = &value.neighbour_materials;
            self.known((row, "neighbour_materials"), at_risk, &materials);
        }
        for row @ Located { value, .. } in &loaded.bending {
            let of = std::slice::from_ref(&value.material);
            self.known((row, "material"), of, &materials);
        }
    }
}

/// The ids that a cell may name, and where they stand.
struct Ids<'a> {
    ids: HashSet<&'a str>,
    place: &'static str,
}

impl Ids<'_> {
    fn hold(&self, id: &str) -> bool {
        self.ids.contains(id)
    }
}

fn ids<T: Record>(rows: &[Located<T>]) -> Ids<'_> {
    Ids { ids: rows.iter().map(|row| row.id.as_str()).collect(), place: T::FILE }
}
