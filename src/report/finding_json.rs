//! A finding on fitness in every JSON format of version 1.

use serde::Serialize;

use super::rounding::finite;
use super::words;
use crate::fitness;

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Finding<'a> {
    /// A stable id.
    id: &'a str,
    /// The figure.
    value: Option<f64>,
    /// The limit it is held against.
    limit: Option<f64>,
    /// Unit of both.
    unit: &'a str,
    /// `note`, `limits` or `unfit`.
    severity: &'static str,
    /// What it means for the judgement.
    consequence: &'a str,
    /// What to do about it.
    remedy: &'a str,
}

impl<'a> Finding<'a> {
    /// Builds the serialised form, with figures to so many decimals.
    pub(super) fn new(finding: &'a fitness::Finding, decimals: i32) -> Self {
        Self {
            id: &finding.id,
            value: finding.value.and_then(|v| finite(v, decimals)),
            limit: finding.limit.and_then(|v| finite(v, decimals)),
            unit: &finding.unit,
            severity: words::severity(finding.severity),
            consequence: &finding.consequence,
            remedy: &finding.remedy,
        }
    }
}
