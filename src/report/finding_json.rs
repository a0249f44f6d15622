//! A finding on fitness in every JSON format of version 1.

use super::forms::forms;
use super::rounding::finite;
use super::words;
use crate::fitness;

forms! {
    pub(super) struct Finding<'a>(found: &'a fitness::Finding, decimals: i32) {
        /// A stable id.
        id: &'a str = &found.id,
        /// The figure.
        value: Option<f64> = found.value.and_then(|v| finite(v, decimals)),
        /// The limit it is compared with.
        limit: Option<f64> = found.limit.and_then(|v| finite(v, decimals)),
        /// Unit of both.
        unit: &'a str = &found.unit,
        /// `note`, `limits` or `unfit`.
        severity: &'static str = words::severity(found.severity),
        /// What it means for the judgement.
        consequence: &'a str = &found.consequence,
        /// What to do about it.
        remedy: &'a str = &found.remedy,
    }
}
