//! What a check of a spectrum found.

use serde::{Deserialize, Serialize};

/// How far a finding reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Severity {
    /// Measured and in order, or worth knowing.
    Note,
    /// Limits what may be said.
    Limits,
    /// The spectrum must not be judged.
    Unfit,
}

/// One finding, with its figure, its consequence and its remedy.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Finding {
    /// A stable id in kebab case, such as `water-vapour`.
    pub id: String,
    /// The figure, where there is one.
    pub value: Option<f64>,
    /// The limit it is compared with, where there is one.
    pub limit: Option<f64>,
    /// Unit of both; empty where they have none.
    pub unit: String,
    /// How far it reaches.
    pub severity: Severity,
    /// What it means for the judgement: "carbonyl markers unsafe".
    pub consequence: String,
    /// What to do about it.
    pub remedy: String,
}

impl Finding {
    /// Creates a finding without figures that is in order.
    pub(super) fn note(id: &str, consequence: impl Into<String>) -> Self {
        Self {
            id: id.to_owned(),
            value: None,
            limit: None,
            unit: String::new(),
            severity: Severity::Note,
            consequence: consequence.into(),
            remedy: String::new(),
        }
    }

    /// Adds the figure, the limit it is compared with, and the unit of both.
    pub(super) fn figure(mut self, value: f64, limit: f64, unit: &str) -> Self {
        self.value = Some(value);
        self.limit = limit.is_finite().then_some(limit);
        unit.clone_into(&mut self.unit);
        self
    }

    /// Raises the severity and says what it means and what to do.
    pub(super) fn raised(
        mut self,
        severity: Severity,
        consequence: impl Into<String>,
        remedy: &str,
    ) -> Self {
        self.severity = severity;
        self.consequence = consequence.into();
        remedy.clone_into(&mut self.remedy);
        self
    }
}
