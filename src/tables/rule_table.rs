//! Rules: what a list of answered questions does to a material.

use serde::{Deserialize, Serialize};

use super::rules::{Predicate, Verdict};
use super::sheet::{Record, Row};
use super::sourcing::Sourcing;
use super::words::{Effect, MeasuredBy, Part};

/// One question of a rule or confounder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Question {
    /// Must be yes, or counts towards `least_some`.
    pub part: Part,
    /// The question.
    pub predicate: Predicate,
    /// What is looked at: "C–Cl stretch near 613".
    pub what: String,
}

/// A list of questions with a rule for adding their answers up.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Questions {
    /// The questions in the table's order.
    pub questions: Vec<Question>,
    /// How many of the `some` questions must be yes.
    pub least_some: usize,
}

impl Questions {
    /// Reads how many of them must be yes, 0 where the cell is empty; they stand in a sheet of their own.
    pub(super) fn from_row(row: &mut Row<'_>) -> Self {
        let filled = !row.is_empty("least_some");
        let least_some = if filled { row.count("least_some") } else { 0 };
        Self { questions: Vec::new(), least_some }
    }

    /// Adds the answers up, one a question and in the same order.
    ///
    /// Yes where every `all` question is yes and enough `some` questions are; no where that can no
    /// longer be reached; otherwise not testable. A missing answer counts as not testable.
    #[must_use]
    pub fn decide(&self, answers: &[Verdict]) -> Verdict {
        let (mut yes, mut open, mut untested) = (0, 0, false);
        for (index, question) in self.questions.iter().enumerate() {
            let answer = answers.get(index).copied().unwrap_or(Verdict::NotTestable);
            match (question.part, answer) {
                (Part::All, Verdict::No) => return Verdict::No,
                (Part::All, Verdict::NotTestable) => untested = true,
                (Part::Some, Verdict::Yes) => yes += 1,
                (Part::Some, Verdict::NotTestable) => open += 1,
                (Part::All, Verdict::Yes) | (Part::Some, Verdict::No) => {}
            }
        }
        if yes + open < self.least_some {
            Verdict::No
        } else if untested || yes < self.least_some {
            Verdict::NotTestable
        } else {
            Verdict::Yes
        }
    }
}

/// One rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Rule {
    /// Id.
    pub id: String,
    /// Ids of the materials it is about.
    pub subjects: Vec<String>,
    /// Ids of the materials it tells them from; may be empty.
    pub against: Vec<String>,
    /// What the answer does.
    pub effect: Effect,
    /// Band ids (drop-band) or material ids (component).
    pub targets: Vec<String>,
    /// Which measurements it holds for.
    pub measured_by: MeasuredBy,
    /// What a yes means, in one plain sentence.
    pub meaning: String,
    /// The questions; filled from `predicates.csv`.
    pub questions: Questions,
    /// Where the rule comes from.
    pub sourcing: Sourcing,
    /// What a reader should know.
    pub note: String,
}

impl Record for Rule {
    const FILE: &'static str = "rules.csv";

    const HEADER: &'static str = "id,subjects,against,effect,targets,least_some,measured_by,meaning,source,source_class,\
         status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            subjects: row.required_list("subjects"),
            against: row.list("against"),
            effect: row.word("effect"),
            targets: row.list("targets"),
            questions: Questions::from_row(row),
            measured_by: row.word("measured_by"),
            meaning: row.required("meaning"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        }
    }
}
