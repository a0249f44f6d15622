//! How two materials of one spectrum stand to each other.
//!
//! Strong bands of a thick sample stand lower in ATR than in transmission, for the index runs through
//! a bend at each of them. A film thinner than the wave's depth shows them where transmission does.
//! So does a minor part of a blend, but its bands are low: strong bands at the places of transmission
//! belong to a film. Strong bands at the places of a thick sample, beside strong bands of another
//! material, belong to two that lie within the same depth: a thick film would hide what is under it.
//!
//! Heights do not tell: the depth changes by less from band to band than expected heights are sure.

use super::components::DetectedComponent;
use super::input::JudgeInput;
use super::outcome::Relation;
use crate::matching::{Answer, Fit, MET_WORTH};
use crate::spectrum::MeasurementMode;

/// A band must stand this much lower in ATR than in transmission to tell, in cm⁻¹.
const LEAST_SHIFT_CM1: f64 = 8.0;

/// Bands weaker than this beside the material's strongest do not shift.
const LEAST_SHARE: f64 = 0.3;

/// So many of them must tell the same.
const LEAST_BANDS: usize = 2;

/// The material's strongest band beside the strongest of the spectrum: from here on it is no minor part.
const MAJOR_SCALE: f64 = 0.4;

/// Where the shifting bands of a material stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Places {
    Thick,
    Thin,
    Unclear,
}

/// Returns how the second material stands to the first.
pub(super) fn relation(first: &Fit, second: &Fit, input: &JudgeInput<'_>) -> Relation {
    match places(second, input) {
        Places::Thin => Relation::CoatingOver,
        Places::Thick if first.scale >= MAJOR_SCALE => Relation::Blend,
        Places::Thick | Places::Unclear => Relation::NotToldApart,
    }
}

/// Puts what lies under the others first.
pub(super) fn order(bases: &mut [DetectedComponent], input: &JudgeInput<'_>) {
    if let [first, second, ..] = bases
        && places(&first.fit, input) == Places::Thin
        && places(&second.fit, input) != Places::Thin
    {
        bases.swap(0, 1);
    }
}

fn places(of: &Fit, input: &JudgeInput<'_>) -> Places {
    let Some(entry) = input.entry(of) else { return Places::Unclear };
    if input.observed.mode() != MeasurementMode::Atr || of.scale < MAJOR_SCALE {
        return Places::Unclear;
    }
    let (mut thick, mut thin) = (0, 0);
    for (band, answer) in entry.expected.iter().zip(&of.answers) {
        let shifts = band.transmission_cm1.1 - band.atr_cm1.1 >= LEAST_SHIFT_CM1;
        let Answer::Met(at, worth) = answer else { continue };
        if !shifts || band.share < LEAST_SHARE || *worth < MET_WORTH {
            continue;
        }
        let Some(peak) = input.observed.peaks().list.get(*at) else { continue };
        if peak.position_cm1 <= band.atr_cm1.1 {
            thick += 1;
        } else {
            thin += 1;
        }
    }
    match (thick, thin) {
        (0, thin) if thin >= LEAST_BANDS => Places::Thin,
        (thick, 0) if thick >= LEAST_BANDS => Places::Thick,
        _ => Places::Unclear,
    }
}
