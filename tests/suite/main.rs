//! The library's stages, one file each, in one binary that is built and linked once.
//!
//! The tests share one process, so none may change its working directory, its environment or its panic
//! hook; cargo starts it at the package's root.

#[path = "../common/disturbances.rs"]
mod disturbances;
#[path = "../common/fresnel.rs"]
mod fresnel;
#[path = "../common/invented.rs"]
mod invented;
#[path = "../common/made.rs"]
mod made;
#[path = "../common/synthetic_faces.rs"]
mod synthetic_faces;
#[path = "../common/tide_clock_maker.rs"]
mod tide_clock_maker;
#[path = "../common/to_validate.rs"]
mod to_validate;

mod ageing_faces;
mod ageing_limits;
mod ageing_measured;
mod ageing_numbers;
mod ageing_safeguards;
mod ageing_traps;
mod bad_points;
mod bands_table;
mod ceiling;
mod chemistry;
mod chlorine_covered;
mod circles;
mod claims;
mod compare;
mod disturbed_faces;
mod elements;
mod evidence;
mod examples;
mod figures;
mod film;
mod fitness;
mod fitness_ids;
mod fitness_limits;
mod fitness_real;
mod fringes;
mod gaps;
mod invariance;
mod judging;
mod layers;
mod left_out;
mod matching;
mod measured;
mod measured_nulls;
mod object;
mod offers;
mod optical_constants;
mod optics;
mod package;
mod peaks;
mod prepare;
mod public_api;
mod pvc_mixtures;
mod reading;
mod reading_samples;
mod report;
mod report_object;
mod results_lock;
mod sheets_chlorine;
mod source_tree;
mod stated;
mod table_effects;
mod tide_clock;
mod zones;
