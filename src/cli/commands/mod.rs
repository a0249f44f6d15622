//! One file per command: its arguments and what it does.

pub mod ageing;
pub mod bands;
pub mod compare;
pub mod completions;
pub mod identify;
pub mod man;
pub mod object;
#[cfg(feature = "plot")]
pub mod plot;
pub mod read;
