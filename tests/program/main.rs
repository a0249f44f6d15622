//! The built program: its commands, what they print and write, and what the documents say they do.
//!
//! The tests share one process, so none may change its working directory, its environment or its panic
//! hook; a command that needs another folder is started there.

#[path = "../common/accuracy.rs"]
mod accuracy;
#[path = "../common/document.rs"]
mod document;
#[path = "../common/program.rs"]
mod program;

mod ageing;
mod bands;
mod check;
mod commands;
mod compare;
mod depth;
#[cfg(unix)]
mod inputs_kept;
mod object;
mod outputs;
#[cfg(feature = "parquet")]
mod parquet;
mod plot;
#[cfg(target_arch = "x86_64")]
mod processors;
mod readme;
mod references;
mod shapes;
mod spreadsheet;
mod tutorial;
