//! One file per command: its arguments and what it does.

pub mod ageing;
pub mod bands;
pub mod check;
pub mod compare;
pub mod completions;
pub mod depth;
pub mod identify;
pub mod man;
pub mod object;
#[cfg(feature = "plot")]
pub mod plot;
pub mod read;
pub mod shapes;
