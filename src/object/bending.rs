//! The strain in a flat sheet that is held on a curve.

use super::plain;
use super::record::{CandidateRecord, ObjectRecord};
use super::result::{Bending, RadiusMultiple};
use crate::tables::Tables;

/// Returns the strain at the outer surface of a sheet held on a single curve.
///
/// `radius_mm` is measured to the concave face, so that the middle of the sheet lies half a
/// thickness further out: strain = (t/2) / (R + t/2) = t / (2R + t). Plate bending without
/// relaxation; a share, 0.005 being 0.5 %.
///
/// ```
/// let strain = bandlore::object::sheets::held_strain(900.0, 3.0);
/// assert!((strain - 3.0 / 1803.0).abs() < 1e-15);
/// ```
#[must_use]
pub fn held_strain(radius_mm: f64, thickness_mm: f64) -> f64 {
    thickness_mm / (2.0 * radius_mm + thickness_mm)
}

/// Judges holding a candidate sheet cold on the object's smallest curve.
///
/// `materials` are the materials that the sheet may be: published figures are printed for these and
/// for no other, and none is made up where the table has none.
pub(super) fn judge(
    object: &ObjectRecord,
    candidate: &CandidateRecord,
    materials: &[String],
    tables: &Tables,
) -> Bending {
    let refused = |why: &str| Bending::Refused { why: why.to_owned() };
    if object.double_curvature == Some(true) {
        return refused(
            "the surface curves in two directions: a flat sheet cannot be held on it without \
             stretching, and no strain is given; form it, or make it in segments",
        );
    }
    let Some(radius_mm) = object.smallest_radius_mm else {
        return refused("the object's smallest radius is not recorded");
    };
    let Some(thickness_mm) = candidate.thickness_mm else {
        return refused("the sheet's thickness is not recorded");
    };
    let strain = held_strain(radius_mm, thickness_mm);
    let thickest = thickness_mm + candidate.thickness_tolerance_mm.unwrap_or(0.0);
    let strain_thickest = held_strain(radius_mm, thickest);
    let multiple = radius_mm / thickness_mm;
    let published: Vec<RadiusMultiple> = tables
        .bending()
        .iter()
        .filter(|limit| materials.contains(&limit.material))
        .map(|limit| RadiusMultiple {
            multiple: limit.radius_multiple,
            words: format!("{}, {}", limit.material, limit.grade),
            source: limit.sourcing.printed().to_owned(),
            status: limit.sourcing.status.as_str().to_owned(),
        })
        .collect();
    let words = words(object, candidate, radius_mm / thickest, strain, strain_thickest, &published);
    Bending::Strain { radius_mm, thickness_mm, strain, strain_thickest, multiple, published, words }
}

fn words(
    object: &ObjectRecord,
    candidate: &CandidateRecord,
    multiple: f64,
    strain: f64,
    strain_thickest: f64,
    published: &[RadiusMultiple],
) -> String {
    let mut text =
        format!("held cold, the outer surface is stretched by {}", plain::percent(strain));
    if plain::percent(strain_thickest) != plain::percent(strain) {
        text.push_str(&format!(" ({} at the thickest allowed)", plain::percent(strain_thickest)));
    } else if strain_thickest > strain {
        text.push_str(" (at the thickest allowed, too)");
    } else if candidate.thickness_tolerance_mm.is_none() {
        text.push_str(" (thickness tolerance not recorded)");
    }
    if object.double_curvature.is_none() {
        text.push_str("; whether the surface curves in two directions is not recorded: the figure holds for one only");
    }
    let low = published.iter().map(|p| p.multiple).reduce(f64::min);
    let high = published.iter().map(|p| p.multiple).reduce(f64::max);
    text.push_str(&match (low, high) {
        (Some(low), Some(high)) if multiple < low => format!(
            "; the radius is {multiple:.0} times the thickness, below every published minimum ({low:.0} to {high:.0})"
        ),
        (Some(low), Some(high)) if multiple < high => format!(
            "; the radius is {multiple:.0} times the thickness, within the spread of published minima ({low:.0} to {high:.0}): sources disagree, ask the maker"
        ),
        (Some(low), Some(high)) => format!(
            "; the radius is {multiple:.0} times the thickness, above every published minimum ({low:.0} to {high:.0}) for a dry sheet"
        ),
        _ => "; no published minimum radius was found for this material: ask the maker".to_owned(),
    });
    text.push_str(
        "; solvent, cleaner, adhesive or a migrating plasticiser can crack a held sheet below its dry limit",
    );
    text
}
