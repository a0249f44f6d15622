//! Fresnel reflection and penetration depth in attenuated total reflection.

mod contact;
mod correct;
mod crystals;
mod depth;
mod fresnel;

pub use contact::reflectance_with_gap;
pub use correct::{Correction, correct_for_transmission};
pub use crystals::{CRYSTAL_MATERIALS, CrystalMaterial, Depths};
pub use depth::{critical_angle_deg, critical_index, penetration_depth_um};
pub use fresnel::Reflectance;
pub use fresnel::{Element, Error, attenuated_reflectance};
