//! What the difference of two faces may be made up of.

/// A column of a fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Part {
    Slow(usize),
    Polymer(usize),
    /// What the material's own bands gain where another resolution broadens them.
    Curvature,
    /// C–O of oxidation, broad, beside the narrow one of an ester of fat.
    SingleBonds(usize),
    /// What carbonyls that are left out of the fit reach beyond it.
    CarbonylFoot,
    Vapour,
    Libration,
    Bend,
    Stretch,
    /// Chain and ester of grease, held together.
    Grease,
    /// Each on its own, to see whether both are there.
    Chain,
    Ester,
}
