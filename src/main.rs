//! The command-line program: typed arguments in, an answer out, an exit code by contract.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match cli::parse() {
        Ok(arguments) => arguments,
        Err(code) => return code,
    };
    match cli::run(arguments) {
        Ok(exit) => exit.into(),
        Err(failure) if failure.is_closed_pipe() => ExitCode::SUCCESS,
        Err(failure) => {
            cli::complain(&failure);
            cli::Exit::CouldNotWork.into()
        }
    }
}
