//! The open table: materials, bands, rules, markers and care notes.

mod rules;

pub use rules::{Predicate, Reading, Verdict, Window};
