//! `bandlore man`.

use std::io::Write;

use clap::CommandFactory;
use clap_mangen::Man;

use crate::cli::Failure;
use crate::cli::args::Arguments;
use crate::cli::terminal::Terminal;

/// Arguments of `bandlore man`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The command to describe; the whole program where it is left out.
    command: Option<String>,
}

/// Writes the manual page to standard output.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let mut program = Arguments::command();
    program.build();
    let page = match &args.command {
        None => Man::new(program),
        Some(name) => {
            let found = program.find_subcommand(name).cloned();
            Man::new(found.ok_or_else(|| {
                Failure::usage(format!("no command \"{name}\"; see bandlore --help"))
            })?)
        }
    };
    let mut text = Vec::new();
    page.render(&mut text)?;
    terminal.out().write_all(&text)?;
    Ok(())
}
