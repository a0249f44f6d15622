//! One measured spot of a face.

use super::make_up::MakeUp;
use super::reading::Specimen;
use super::values::ComparedFace;

/// One measured spot of a face.
#[derive(Clone)]
pub struct Spot<'a> {
    /// The face it lies on.
    pub face: ComparedFace,
    /// The spectrum with what is known of it.
    pub specimen: Specimen<'a>,
    /// What the identification found there.
    pub make_up: MakeUp,
}
