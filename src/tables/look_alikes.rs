//! Groups of materials that look alike, and the rules that tell them apart.

pub use super::groups::Group;
pub use super::rule_table::{Question, Questions, Rule};
pub use super::rules::{Predicate, Reading, Verdict};
