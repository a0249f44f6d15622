//! The built program: its commands, what they print and write, and what the documents say they do.
//!
//! The tests share one process, so none may change its working directory, its environment or its panic
//! hook; a command that needs another folder is started there.

#[cfg(unix)]
#[path = "../common/accuracy.rs"]
mod accuracy;
#[cfg(unix)]
#[path = "../common/document.rs"]
mod document;
#[path = "../common/program.rs"]
mod program;
#[path = "../common/to_validate.rs"]
mod to_validate;

mod ageing;
mod bands;
mod check;
mod commands;
mod compare;
mod depth;
#[cfg(unix)]
mod inputs_kept;
mod object;
// Devices, links and rights, and documents that show commands of a shell, are those of Unix.
#[cfg(unix)]
mod outputs;
#[cfg(feature = "parquet")]
mod parquet;
mod plot;
#[cfg(target_arch = "x86_64")]
mod processors;
#[cfg(unix)]
mod readme;
mod references;
mod report;
mod shapes;
mod spreadsheet;
mod systems;
#[cfg(unix)]
mod tutorial;
