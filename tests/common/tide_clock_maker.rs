//! The invented demo object's maker, which is an example of its own.

#[path = "../../examples/make_tide_clock/manifest.rs"]
pub mod manifest;
#[path = "../../examples/make_tide_clock/materials.rs"]
pub mod materials;
#[path = "../../examples/make_tide_clock/optics.rs"]
pub mod optics;
#[path = "../../examples/make_tide_clock/world.rs"]
pub mod world;
