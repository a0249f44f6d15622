//! Everything that prints, reads arguments or picks an exit code.

mod args;
mod batch;
mod commands;
mod exit;
mod inputs;
mod kept;
mod report;
mod signals;
mod terminal;

use std::error::Error;
use std::process::ExitCode;

use clap::Parser;

pub use exit::{Exit, Failure};

use args::{Arguments, Command};
use terminal::Terminal;

/// Parses the command line; help, version and usage errors end the program here.
pub fn parse() -> Result<Arguments, ExitCode> {
    Arguments::try_parse().map_err(|error| {
        let code = if error.use_stderr() { Exit::CouldNotWork } else { Exit::Answered };
        // A closed pipe under `bandlore --help | head` is no fault.
        let _ = error.print();
        code.into()
    })
}

/// Runs the chosen command.
pub fn run(arguments: Arguments) -> Result<Exit, Failure> {
    signals::hear();
    let mut terminal = Terminal::new(arguments.quiet);
    match arguments.command {
        Command::Ageing(chosen) => commands::ageing::run(&chosen, &mut terminal),
        Command::Bands(chosen) => commands::bands::run(&chosen, &mut terminal),
        Command::Check(chosen) => commands::check::run(&chosen, &mut terminal),
        Command::Compare(chosen) => commands::compare::run(&chosen, &mut terminal),
        Command::Completions(chosen) => commands::completions::run(&chosen, &mut terminal),
        Command::Depth(chosen) => commands::depth::run(&chosen, &mut terminal),
        Command::Identify(chosen) => {
            commands::identify::run(&chosen, arguments.quiet, &mut terminal)
        }
        Command::Man(chosen) => commands::man::run(&chosen, &mut terminal),
        #[cfg(feature = "plot")]
        Command::Plot(chosen) => commands::plot::run(&chosen, &mut terminal),
        Command::Object(chosen) => commands::object::run(&chosen, &mut terminal),
        Command::Read(chosen) => commands::read::run(&chosen, &mut terminal),
        Command::Shapes(chosen) => commands::shapes::run(&chosen, &mut terminal),
    }?;
    terminal.finish()?;
    Ok(terminal.exit())
}

/// Prints a failure and its causes to standard error, on one line.
pub fn complain(failure: &Failure) {
    let mut line = format!("error: {failure}");
    let mut cause = failure.source();
    while let Some(error) = cause {
        // The library's own errors say in plain words what the system reported.
        if error.is::<std::io::Error>() {
            break;
        }
        let text = error.to_string();
        if !line.ends_with(&text) {
            line.push_str(": ");
            line.push_str(&text);
        }
        cause = error.source();
    }
    eprintln!("{line}");
}
