//! The `hillwash` program: parse, run, tell the problem, choose the exit code.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
