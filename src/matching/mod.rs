//! Pairs the table's bands with what a spectrum shows, and answers the rules' questions.

mod explain;
mod features;
mod fit;
mod matcher;
mod observed;
mod predicate;

pub use explain::{Account, accounts, explained_share, join};
pub use features::{Feature, Features};
pub use fit::{Answer, Fit, MET_WORTH, Scene, fit};
pub use matcher::{Entry, Expected, Matcher};
pub use observed::Observed;
pub use predicate::{Answered, LocalHeight, evaluate, local_height};
