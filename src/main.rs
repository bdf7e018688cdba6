//! The `hillwash` program: parse, run, print problems, choose the exit code.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
