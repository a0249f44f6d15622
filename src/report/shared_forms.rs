//! What several JSON formats of version 1 hold: the table, a finding on fitness, a warning.

use super::forms::forms;
use super::identification::Stamp;
use super::rounding::finite;
use super::words;
use crate::fitness;
use crate::spectrum;

forms! {
    pub(super) struct Table<'a>(stamp: &'a Stamp) {
        /// The table's version.
        version: &'a str = &stamp.table_version,
        /// SHA-256 of its files.
        sha256: &'a str = &stamp.table_sha256,
    }

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

    pub(super) struct Warning<'a>(found: &'a spectrum::Warning) {
        /// A stable id.
        id: &'a str = &found.id,
        /// What was met, and what was done about it.
        text: &'a str = &found.text,
    }
}
