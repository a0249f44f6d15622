//! JCAMP-DX: the standard's forms, round trips, public test files, and what damage says.

mod broken;
#[path = "../common/jcamp_encoder.rs"]
mod encoder;
mod headers;
mod made;
mod round_trip;
mod shared;
