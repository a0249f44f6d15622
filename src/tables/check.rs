//! Holds the files of a table against each other.

use std::collections::{HashMap, HashSet};

use super::fault::{Fault, quote};
use super::loaded::Loaded;
use super::markers::Measure;
use super::naming;
use super::places::{self, PlaceAsked};
use super::predicates::falls_short;
use super::rule_table::{Question, Questions};
use super::sheet::Located;
use super::sourcing::Sourcing;
use super::stretches;
use super::windows::TellingWindow;
use super::words::{
    BandRole, Effect, MarkerRole, MaterialKind, MeasureKind, Part, ShapeOrigin, SourceClass,
};

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
    let mut check = Check { faults };
    check.repeated("materials.csv", &loaded.materials, |x| &x.id);
    check.repeated("bands.csv", &loaded.bands, |x| &x.id);
    check.repeated("groups.csv", &loaded.groups, |x| &x.id);
    check.repeated("windows.csv", &loaded.windows, |x| &x.id);
    check.repeated("classes.csv", &loaded.classes, |x| &x.id);
    check.repeated("rules.csv", &loaded.rules, |x| &x.id);
    check.repeated("markers.csv", &loaded.markers, |x| &x.id);
    check.repeated("confounders.csv", &loaded.confounders, |x| &x.id);
    check.repeated("routes.csv", &loaded.routes, |x| &x.id);
    check.repeated("care.csv", &loaded.care, |x| &x.id);
    check.repeated("neighbours.csv", &loaded.neighbours, |x| &x.id);
    check.repeated("practice.csv", &loaded.practice, |x| &x.id);
    check.repeated("bending.csv", &loaded.bending, |x| &x.id);
    check.repeated(stretches::FILE, &loaded.stretches, |x| &x.id);
    check.repeated(places::FILE, &loaded.places, |x| &x.id);
    check.repeated("shape-sources.csv", &loaded.shapes, |x| &x.id);
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
    fn fault(&mut self, file: &str, line: u64, id: &str, column: &str, what: String) {
        self.faults.push(Fault {
            file: file.to_owned(),
            line: Some(line),
            id: id.to_owned(),
            column: column.to_owned(),
            what,
        });
    }

    fn repeated<T>(&mut self, file: &str, rows: &[Located<T>], id: impl Fn(&T) -> &String) {
        let mut seen: HashMap<&String, u64> = HashMap::new();
        for row in rows {
            let id = id(&row.value);
            if let Some(first) = seen.get(id) {
                self.fault(file, row.line, id, "id", format!("stands already in line {first}"));
            } else {
                seen.insert(id, row.line);
            }
        }
    }

    /// Faults every id of a cell that the named file does not hold.
    fn known(
        &mut self,
        at: (&str, u64, &str, &str),
        ids: &[String],
        known: &HashSet<&str>,
        where_: &str,
    ) {
        for id in ids {
            if !known.contains(id.as_str()) {
                let what = format!("{} is not in {where_}", quote(id));
                self.fault(at.0, at.1, at.2, at.3, what);
            }
        }
    }

    fn stretches(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials, |x| &x.id);
        for Located { line, value } in &loaded.stretches {
            let at = |column| (stretches::FILE, *line, value.id.as_str(), column);
            self.known(at("materials"), &value.materials, &materials, "materials.csv");
            self.no_secondary_copy(stretches::FILE, *line, &value.id, &value.sourcing);
        }
        stretches::check_counts(&loaded.stretches, self.faults);
        stretches::check_reach(&loaded.stretches, self.faults);
    }

    fn places(&mut self, loaded: &Loaded) {
        for Located { line, value } in &loaded.places {
            self.no_secondary_copy(places::FILE, *line, &value.id, &value.sourcing);
        }
        if loaded.places.iter().all(|place| place.value.asked != PlaceAsked::First) {
            self.faults.push(Fault {
                file: places::FILE.to_owned(),
                line: None,
                id: String::new(),
                column: "asked".to_owned(),
                what: format!("at least one place must be asked {}", PlaceAsked::First),
            });
        }
    }

    fn no_secondary_copy(&mut self, file: &str, line: u64, id: &str, sourcing: &Sourcing) {
        if sourcing.class == SourceClass::SecondaryCopy {
            let what = "a secondary copy cannot carry a judgement alone".into();
            self.fault(file, line, id, "source_class", what);
        }
    }

    fn shapes(&mut self, loaded: &Loaded) {
        const FILE: &str = "shape-sources.csv";
        let materials = ids(&loaded.materials, |x| &x.id);
        for Located { line, value } in &loaded.shapes {
            let at = (FILE, *line, value.id.as_str(), "materials");
            self.known(at, &value.materials, &materials, "materials.csv");
            let shareable = value.made_from == ShapeOrigin::OpticalConstants;
            if value.spectra < LEAST_SPECTRA && !shareable {
                let what = format!(
                    "{} spectra; a shape averages at least {LEAST_SPECTRA}, for single spectra are their \
                     makers' own",
                    value.spectra
                );
                self.fault(FILE, *line, &value.id, "spectra", what);
            }
            let highest = value.absorbances.iter().copied().fold(0.0, f64::max);
            if (highest - 1.0).abs() > LEAST_STRONGEST {
                let what = format!("its strongest point is {highest}, expected 1");
                self.fault(FILE, *line, &value.id, "", what);
            }
        }
    }

    fn materials(&mut self, loaded: &Loaded) {
        const FILE: &str = "materials.csv";
        let materials = ids(&loaded.materials, |x| &x.id);
        let with_bands: HashSet<&String> = loaded.bands.iter().map(|x| &x.value.material).collect();
        // What a material is found by leads to it alone.
        let mut called: HashMap<String, &String> = HashMap::new();
        for Located { line, value } in &loaded.materials {
            for key in naming::keys(value) {
                let known = *called.entry(key.clone()).or_insert(&value.id);
                if *known != value.id {
                    let what = format!("{} leads to {} already", quote(&key), quote(known));
                    self.fault(FILE, *line, &value.id, "also_called", what);
                }
            }
        }
        for Located { line, value } in &loaded.materials {
            if let Some(group) = &value.group {
                match loaded.groups.iter().find(|x| x.value.id == *group) {
                    None => {
                        let what = format!("{} is not in groups.csv", quote(group));
                        self.fault(FILE, *line, &value.id, "group", what);
                    }
                    Some(found) if !found.value.members.contains(&value.id) => {
                        let what = format!("{} does not list it as a member", quote(group));
                        self.fault(FILE, *line, &value.id, "group", what);
                    }
                    Some(_) => {}
                }
            }
            self.known(
                (FILE, *line, &value.id, "not_excluded"),
                &value.not_excluded,
                &materials,
                FILE,
            );
            let competes = value.nameable && value.kind != MaterialKind::Artefact;
            if competes && !with_bands.contains(&value.id) {
                self.fault(FILE, *line, &value.id, "nameable", "has no row in bands.csv".into());
            }
            let never = matches!(value.kind, MaterialKind::Artefact | MaterialKind::Conformer);
            if never && value.nameable {
                let what = format!("a material of kind {} cannot be an answer", value.kind);
                self.fault(FILE, *line, &value.id, "nameable", what);
            }
        }
    }

    fn bands(&mut self, loaded: &Loaded) {
        const FILE: &str = "bands.csv";
        let materials = ids(&loaded.materials, |x| &x.id);
        for Located { line, value } in &loaded.bands {
            let of = std::slice::from_ref(&value.material);
            self.known((FILE, *line, &value.id, "material"), of, &materials, "materials.csv");
            let starts = value.id.strip_prefix(&value.material).is_some_and(|x| x.starts_with('-'));
            if !starts {
                let what =
                    format!("must begin with its material and a hyphen, \"{}-\"", value.material);
                self.fault(FILE, *line, &value.id, "id", what);
            }
            let secondary = value.sourcing.class == SourceClass::SecondaryCopy;
            if value.role == BandRole::Required && secondary {
                let what = "a secondary copy alone cannot make a band required".into();
                self.fault(FILE, *line, &value.id, "role", what);
            }
        }
    }

    fn groups(&mut self, loaded: &Loaded) {
        const FILE: &str = "groups.csv";
        let nameable: HashSet<&str> = loaded
            .materials
            .iter()
            .filter(|x| x.value.nameable)
            .map(|x| x.value.id.as_str())
            .collect();
        for Located { line, value } in &loaded.groups {
            let at = (FILE, *line, value.id.as_str(), "members");
            self.known(at, &value.members, &nameable, "the nameable rows of materials.csv");
        }
    }

    fn windows(&mut self, loaded: &Loaded) {
        const FILE: &str = "windows.csv";
        let groups = ids(&loaded.groups, |x| &x.id);
        for Located { line, value } in &loaded.windows {
            let of = std::slice::from_ref(&value.group);
            self.known((FILE, *line, &value.id, "group"), of, &groups, "groups.csv");
            if value.window.high_cm1 - value.window.low_cm1 < LEAST_WINDOW_CM1 {
                let what = format!(
                    "{} cm⁻¹ wide; two curves are not compared over less than {LEAST_WINDOW_CM1}",
                    value.window.high_cm1 - value.window.low_cm1
                );
                self.fault(FILE, *line, &value.id, "high_cm1", what);
            }
            let overlaps = |other: &&Located<TellingWindow>| {
                other.line < *line
                    && other.value.group == value.group
                    && other.value.window.low_cm1 < value.window.high_cm1
                    && value.window.low_cm1 < other.value.window.high_cm1
            };
            if let Some(other) = loaded.windows.iter().find(overlaps) {
                let what = format!("overlaps {}; a band would count twice", quote(&other.value.id));
                self.fault(FILE, *line, &value.id, "low_cm1", what);
            }
            if value.sourcing.class == SourceClass::SecondaryCopy {
                let what = "a secondary copy cannot carry a window alone".into();
                self.fault(FILE, *line, &value.id, "source_class", what);
            }
        }
    }

    fn classes(&mut self, loaded: &Loaded) {
        const FILE: &str = "classes.csv";
        let materials = ids(&loaded.materials, |x| &x.id);
        let rules = ids(&loaded.rules, |x| &x.id);
        let confounders = ids(&loaded.confounders, |x| &x.id);
        for Located { line, value } in &loaded.classes {
            let at = (FILE, *line, value.id.as_str(), "members");
            self.known(at, &value.members, &materials, "materials.csv");
            let mut seen = HashSet::new();
            for member in value.members.iter().filter(|x| !seen.insert(x.as_str())) {
                let what = format!("{} stands twice", quote(member));
                self.fault(FILE, *line, &value.id, "members", what);
            }
            // The questions of predicates.csv belong to an id, whichever file it stands in.
            let others = [("rules.csv", &rules), ("confounders.csv", &confounders)];
            for (file, _) in others.iter().filter(|(_, ids)| ids.contains(value.id.as_str())) {
                let what = format!("{} stands in {file} too", quote(&value.id));
                self.fault(FILE, *line, &value.id, "id", what);
            }
            if value.sourcing.class == SourceClass::SecondaryCopy {
                let what = "a secondary copy cannot carry a class alone".into();
                self.fault(FILE, *line, &value.id, "source_class", what);
            }
            self.least_some((FILE, *line, &value.id), &value.questions);
            if value.questions.questions.is_empty() {
                self.fault(FILE, *line, &value.id, "", "has no question in predicates.csv".into());
            }
        }
    }

    /// Gives each rule, confounder and class its questions in the order of their steps.
    fn hand_out_questions(&mut self, loaded: &mut Loaded) {
        const FILE: &str = "predicates.csv";
        let mut owners: HashMap<&str, Vec<(usize, u64, Question)>> = HashMap::new();
        let rules = loaded.rules.iter().map(|x| x.value.id.as_str());
        let confounders = loaded.confounders.iter().map(|x| x.value.id.as_str());
        let classes = loaded.classes.iter().map(|x| x.value.id.as_str());
        let known: HashSet<&str> = rules.chain(confounders).chain(classes).collect();
        for Located { line, value } in &loaded.predicates {
            if !known.contains(value.owner.as_str()) {
                let owner = quote(&value.owner);
                let what = format!("{owner} is in none of rules.csv, confounders.csv, classes.csv");
                self.fault(FILE, *line, &value.owner, "owner", what);
                continue;
            }
            let list = owners.entry(&value.owner).or_default();
            if let Some((_, first, _)) = list.iter().find(|(step, ..)| *step == value.step) {
                let what = format!("{} stands already in line {first}", value.step);
                self.fault(FILE, *line, &value.owner, "step", what);
            }
            list.push((value.step, *line, value.question.clone()));
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
        const FILE: &str = "rules.csv";
        let materials = ids(&loaded.materials, |x| &x.id);
        let bands = ids(&loaded.bands, |x| &x.id);
        for Located { line, value } in &loaded.rules {
            let at = |column| (FILE, *line, value.id.as_str(), column);
            self.known(at("subjects"), &value.subjects, &materials, "materials.csv");
            self.known(at("against"), &value.against, &materials, "materials.csv");
            match value.effect {
                Effect::DropBand => {
                    self.known(at("targets"), &value.targets, &bands, "bands.csv");
                }
                Effect::Component => {
                    self.known(at("targets"), &value.targets, &materials, "materials.csv");
                }
                _ => {}
            }
            let wants = matches!(value.effect, Effect::DropBand | Effect::Component);
            if wants == value.targets.is_empty() {
                let what = if wants { "empty" } else { "must be empty" };
                let what = format!("{what} for the effect {}", value.effect);
                self.fault(FILE, *line, &value.id, "targets", what);
            }
            let needs_against = matches!(value.effect, Effect::Prefer | Effect::Narrow);
            if needs_against && value.against.is_empty() {
                let what = format!("empty for the effect {}", value.effect);
                self.fault(FILE, *line, &value.id, "against", what);
            }
            if value.sourcing.class == SourceClass::SecondaryCopy {
                let what = "a secondary copy cannot carry a rule alone".into();
                self.fault(FILE, *line, &value.id, "source_class", what);
            }
            self.least_some((FILE, *line, &value.id), &value.questions);
            if value.questions.questions.is_empty() {
                self.fault(FILE, *line, &value.id, "", "has no question in predicates.csv".into());
            }
        }
    }

    fn least_some(&mut self, at: (&str, u64, &str), questions: &Questions) {
        let some = questions.questions.iter().filter(|x| x.part == Part::Some).count();
        let least = questions.least_some;
        if least > some || (some > 0 && least == 0) {
            let what = format!("{least} does not fit {some} questions of part some");
            self.fault(at.0, at.1, at.2, "least_some", what);
        }
    }

    fn markers(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials, |x| &x.id);
        let markers = ids(&loaded.markers, |x| &x.id);
        for Located { line, value } in &loaded.markers {
            let at = ("markers.csv", *line, value.id.as_str(), "materials");
            self.known(at, &value.materials, &materials, "materials.csv");
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
                    self.fault("markers.csv", *line, &value.id, column, what);
                }
            }
        }
        self.primary_markers(loaded);
        for Located { line, value } in &loaded.confounders {
            let at = |column| ("confounders.csv", *line, value.id.as_str(), column);
            self.known(at("markers"), &value.markers, &markers, "markers.csv");
            self.known(at("components"), &value.components, &materials, "materials.csv");
            self.least_some(("confounders.csv", *line, &value.id), &value.questions);
            if value.components.is_empty() && value.questions.questions.is_empty() {
                let what = "has neither a component nor a question in predicates.csv".into();
                self.fault("confounders.csv", *line, &value.id, "", what);
            }
        }
        for Located { line, value } in &loaded.routes {
            let at = |column| ("routes.csv", *line, value.id.as_str(), column);
            self.known(at("materials"), &value.materials, &materials, "materials.csv");
            self.known(at("up"), &value.up, &markers, "markers.csv");
            self.known(at("down"), &value.down, &markers, "markers.csv");
            self.known(at("steady"), &value.steady, &markers, "markers.csv");
            if value.up.is_empty() && value.down.is_empty() {
                let what = "a route needs a marker that moves".into();
                self.fault("routes.csv", *line, &value.id, "up", what);
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
        for Located { line, value } in &loaded.markers {
            if let Some(other) = &value.instead_of
                && (value.role != MarkerRole::Primary || !primary(other))
            {
                let what =
                    format!("{} does not take the place of a primary marker", quote(&value.id));
                self.fault("markers.csv", *line, &value.id, "instead_of", what);
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
                self.fault("markers.csv", third.line, &third.value.id, "role", what);
            }
        }
    }

    fn care(&mut self, loaded: &Loaded) {
        let materials = ids(&loaded.materials, |x| &x.id);
        let notes = ids(&loaded.care, |x| &x.id);
        for Located { line, value } in &loaded.care {
            let at = |column| ("care.csv", *line, value.id.as_str(), column);
            self.known(at("materials"), &value.materials, &materials, "materials.csv");
            self.known(at("conflicts_with"), &value.conflicts_with, &notes, "care.csv");
            for other in &value.conflicts_with {
                let back = loaded.care.iter().filter(|x| x.value.id == *other);
                if back.clone().count() > 0
                    && !back.clone().any(|x| x.value.conflicts_with.contains(&value.id))
                {
                    let what = format!("{} does not name it in return", quote(other));
                    self.fault("care.csv", *line, &value.id, "conflicts_with", what);
                }
            }
        }
        for Located { line, value } in &loaded.neighbours {
            let at = |column| ("neighbours.csv", *line, value.id.as_str(), column);
            self.known(at("from"), &value.from, &materials, "materials.csv");
            let at_risk = &value.neighbour_materials;
            self.known(at("neighbour_materials"), at_risk, &materials, "materials.csv");
        }
        for Located { line, value } in &loaded.bending {
            let at = ("bending.csv", *line, value.id.as_str(), "material");
            self.known(at, std::slice::from_ref(&value.material), &materials, "materials.csv");
        }
    }
}

fn ids<T>(rows: &[Located<T>], id: impl Fn(&T) -> &String) -> HashSet<&str> {
    rows.iter().map(|row| id(&row.value).as_str()).collect()
}
