//! `bandlore completions SHELL`.

use std::io::Write;

use clap::CommandFactory;
use clap_complete::Shell;

use crate::cli::Failure;
use crate::cli::args::Arguments;
use crate::cli::terminal::Terminal;

/// Arguments of `bandlore completions`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The shell to write for.
    #[arg(value_enum)]
    shell: Shell,
}

/// Writes the completion script to standard output.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    // clap_complete panics when its writer fails, so it writes into memory first.
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Arguments::command(), "bandlore", &mut script);
    terminal.out().write_all(&script)?;
    Ok(())
}
