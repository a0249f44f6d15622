//! Which disturbances can be seen in a difference of faces.

use super::fit::JointFit;
use super::part::Part;
use crate::ageing::values::ComparedFace;
use crate::fitness::lines_among_carbonyls;
use crate::spectrum::interpolate;

/// Something is there from this many standard errors on; common practice.
const CLEAR: f64 = 3.0;
/// Ester over chain, and stretch over bend, as shares of what grease and water have; ours.
const TOGETHER: (f64, f64) = (0.25, 5.0);

/// Ids of warnings that say what one face carries end so.
pub const ON_ONE_FACE: &str = "-on-one-face";

/// What disturbs a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Water vapour in the beam.
    Vapour,
    /// A film of water, or water taken up.
    Water,
    /// Fatty ester: skin grease, oil, polish.
    Grease,
    /// A slow drift of the baseline.
    Drift,
}

impl Kind {
    /// One standard deviation of what is taken out, as a share of it, beside that of each line: the two
    /// bands of water differ by 1.5 either way between a film and bulk water, and skin grease has more or
    /// less free acid; ours.
    pub const fn unknown_share(self) -> f64 {
        match self {
            Self::Vapour => 0.15,
            Self::Drift => 0.3,
            Self::Water | Self::Grease => 0.5,
        }
    }

    /// Its name in sentences.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Vapour => "water vapour in the beam",
            Self::Water => "water on one face",
            Self::Grease => "fatty ester on one face",
            Self::Drift => "a drift of the baseline",
        }
    }

    /// Stable id of the warning.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Vapour => "vapour-on-one-face",
            Self::Water => "water-on-one-face",
            Self::Grease => "grease-on-one-face",
            Self::Drift => "drift-on-one-face",
        }
    }
}

/// A disturbance that can be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// What it is.
    pub kind: Kind,
    /// Its height in absorbance, positive where the face under question carries more of it.
    pub height: f64,
}

impl Found {
    /// Says which face carries what, and what to do.
    pub fn in_words(&self, face: ComparedFace, against: ComparedFace) -> String {
        let (more, less) = if self.height > 0.0 { (face, against) } else { (against, face) };
        let (more, less, height) = (more.word(), less.word(), self.height.abs());
        match self.kind {
            Kind::Vapour => format!(
                "the {more} face was measured through more water vapour than the {less} face (lines {height:.4} high): that is no change, and it is taken out of the markers; measure a new background and repeat"
            ),
            Kind::Water => format!(
                "the {more} face carries more water than the {less} face (stretch and bend rise together, {height:.4} high): that is no change, and it is taken out of the markers; let it dry and repeat"
            ),
            Kind::Grease => format!(
                "the {more} face carries fatty ester (2925, 2853 and 1165 together, {height:.4} high) that the {less} face does not, as skin grease, oil or polish leave it: that is no change, and it is taken out of the markers"
            ),
            Kind::Drift => format!("the baseline of the {more} face drifts"),
        }
    }
}

/// Libration over the bend in the thinnest film, as a share of what bulk water has (0.4, the share of
/// their wavenumbers), less what bands of the material may hide; ours.
const LEAST_LIBRATION: f64 = 0.2;

/// Looks for each disturbance in a fit of the whole difference over `axis`, the carbonyls left out: `seen` are its
/// columns, `vapour` is the shape of that column.
pub(super) fn look(
    seen: &[Part],
    fit: &JointFit,
    axis: &[f64],
    difference: &[f64],
    vapour: &[f64],
) -> Vec<Found> {
    let clear = |part: Part| -> Option<f64> {
        let column = seen.iter().position(|p| *p == part)?;
        let size = fit.coefficients[column];
        (size.abs() > CLEAR * fit.standard_error(column)).then_some(size)
    };
    let together = |one: Part, other: Part| -> Option<f64> {
        let (a, b) = (clear(one)?, clear(other)?);
        (TOGETHER.0..=TOGETHER.1).contains(&(b / a)).then_some(a)
    };
    let mut found = Vec::new();
    if let Some(height) = clear(Part::Vapour)
        && lines_among_carbonyls(axis, difference, &|v| {
            height * interpolate(axis, vapour, v).unwrap_or(0.0)
        })
    {
        found.push(Found { kind: Kind::Vapour, height });
    }
    // Hydroxyl beside C=C has stretch and bend too, but no libration.
    let no_libration = |stretch: f64| {
        seen.iter().position(|p| *p == Part::Libration).is_some_and(|column| {
            let most =
                fit.coefficients[column] * stretch.signum() + CLEAR * fit.standard_error(column);
            most < LEAST_LIBRATION * stretch.abs()
        })
    };
    if let Some(size) = together(Part::Bend, Part::Stretch)
        && !no_libration(size)
    {
        /// Absorption index of water at the top of its stretch.
        const TOP: f64 = 0.298;
        let column = seen.iter().position(|p| *p == Part::Stretch);
        let height = column.map_or(size, |c| fit.coefficients[c]) * TOP;
        found.push(Found { kind: Kind::Water, height });
    }
    if let Some(height) = together(Part::Chain, Part::Ester) {
        found.push(Found { kind: Kind::Grease, height });
    }
    found
}
