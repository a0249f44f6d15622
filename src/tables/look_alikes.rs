//! Groups of materials that look alike, and the rules that tell them apart.
//!
//! **In:** `groups.csv`, `rules.csv` and `predicates.csv` of the table.
//!
//! **Out:** their rows: a [`Group`] of look-alikes, each [`Rule`] with its [`Questions`], and what answers decide.
//!
//! ```
//! use bandlore::Tables;
//! use bandlore::tables::look_alikes::{Questions, Verdict};
//!
//! let tables = Tables::built_in();
//! assert!(tables.groups().iter().all(|group| group.members.len() > 1));
//! // Where nothing is asked, nothing is missed.
//! assert_eq!(Questions::default().decide(&[]), Verdict::Yes);
//! ```

pub use super::groups::Group;
pub use super::rule_table::{Question, Questions, Rule};
pub use super::rules::{Predicate, Reading, Verdict};
