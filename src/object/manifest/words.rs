//! Words that a manifest may write.

use crate::object::record::Nearness;

/// How near a neighbour stands.
pub(super) const NEARNESS: [(Nearness, &str); 3] = [
    (Nearness::Touching, "touching"),
    (Nearness::SameEnclosure, "same enclosure"),
    (Nearness::SameRoom, "same room"),
];
