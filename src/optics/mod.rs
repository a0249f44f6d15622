//! Fresnel reflection and penetration depth in attenuated total reflection.
//!
//! **In:** an [`Element`] (index of the crystal, angle of incidence) and the index of the sample.
//!
//! **Out:** depth of penetration in µm, reflectance with and without a gap of air, and a spectrum corrected for either.
//!
//! ```
//! use bandlore::optics::{Element, penetration_depth_um};
//!
//! let element = Element::DIAMOND_45;
//! let depth_um = penetration_depth_um(element.crystal_index, element.angle_deg, 1.5, 1000.0)?;
//! assert!((depth_um - 2.0).abs() < 0.1);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod contact;
mod correct;
mod crystals;
mod depth;
mod element;
mod fresnel;

pub use contact::reflectance_with_gap;
pub use correct::{Correction, correct_for_transmission};
pub use crystals::Depths;
pub use depth::{critical_angle_deg, critical_index, penetration_depth_um};
pub use element::{Element, Error};
pub use fresnel::{Reflectance, attenuated_reflectance};
