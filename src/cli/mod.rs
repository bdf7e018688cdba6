//! The command line: the only place that knows of arguments, the terminal and exit codes.

mod args;
mod bare;
mod cache;
mod colours;
mod commands;
mod problem_text;
mod request;
mod scene_path;
mod terminal;
mod timings;
mod watch;

use args::{Args, Command};
use bare::Terminal;
use clap::Parser;
use hillwash::problem::{Problems, boxed};
use std::process::ExitCode;
use terminal::{Talk, tell};

/// Exit code for finished work that falls short of a limit the user asked for.
const FELL_SHORT: u8 = 1;
/// At most this many problems are listed one by one.
const MOST_TOLD: usize = 200;
/// Exit code for bad input.
const BAD_INPUT: u8 = 2;

/// Prints faults of the arguments, or the help; it puts what a parser of numbers says into plain words.
fn told_plainly(error: &clap::Error) -> ExitCode {
    let plain = [
        (
            "invalid float literal",
            "expected a number such as 3.5, with a point and without a unit",
        ),
        (
            "cannot parse float from empty string",
            "expected a number such as 3.5",
        ),
        (
            "invalid digit found in string",
            "expected a whole number such as 8",
        ),
        (
            "cannot parse integer from empty string",
            "expected a whole number such as 8",
        ),
        (
            "number too large to fit in target type",
            "expected a smaller number",
        ),
    ];
    let is_value = error.kind() == clap::error::ErrorKind::ValueValidation;
    let told = error.render().ansi().to_string();
    let told = if is_value {
        let told = plain
            .iter()
            .fold(told, |told, (from, to)| told.replace(from, to));
        match told.split_once(" is not in ") {
            Some((before, range)) => format!("{before}: expected from {}", range.replacen("..=", " to ", 1)),
            None if told.contains("as year") || told.contains("datetime") || told.contains("date") && told.contains("parse") => {
                told.lines().next().map_or_else(String::new, |first| {
                    let value = first.rsplit_once("': ").map_or(first, |(value, _)| value);
                    format!("{value}': expected a date such as 2026-11-25\n\nFor more information, try '--help'.\n")
                })
            }
            None => told,
        }
    } else {
        told
    };
    if error.use_stderr() {
        anstream::eprint!("{told}");
    } else {
        anstream::print!("{told}");
    }
    ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(BAD_INPUT))
}

/// Runs the program: 0 done, 1 done but short of a limit that was asked for, 2 bad input.
pub(crate) fn run() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(error) => return told_plainly(&error),
    };
    args.colour_choice().write_global();
    outlive_a_limit_of_file_sizes();
    let talk = if args.quiet { Talk::Quiet } else { Talk::Usual };
    // A decoder that panics on a damaged photo is caught and told as a damaged photo; anything else is our own fault.
    std::panic::set_hook(Box::new(|fault| {
        let place = fault
            .location()
            .map_or_else(String::new, |l| format!(" ({}:{})", l.file(), l.line()));
        tell(&format!(
            "a fault inside the program{place}; please report it"
        ));
    }));
    let command = bare::meant(args.command, Terminal::of_this_run(), bare::usual_layout);
    let Some(command) = &command else {
        return ended(terminal::say(GUIDE.trim_end()));
    };
    let outcome = match command {
        Command::Plan(plan) => commands::plan::run(plan, talk),
        Command::Look(look) => commands::look::run(look, talk),
        Command::Mix(mix) => commands::mix::run(mix, talk),
        Command::Patch(patch) => return reached(commands::patch::run(patch, talk)),
        Command::Trim(trim) => return reached(commands::trim::run(trim, talk)),
        Command::Paints(paints) => commands::paints::run(paints, talk),
        Command::New(new) => commands::new::run(new, talk),
        Command::Open(open) => commands::open::run(open, talk),
        Command::Site(site) => commands::site::run(site, talk),
        Command::Guide(guide) => commands::guide::run(guide, talk),
        Command::Shell(shell) => commands::shell::run(shell, talk),
        Command::Materials(materials) => commands::materials::run(materials, talk),
        Command::Schema(schema) => commands::schema::run(schema),
    };
    ended(outcome)
}

/// Lets a write beyond the system's limit of file sizes fail as on a full disk, where it would end the program: it
/// then takes back the half line and still prints the answer.
#[cfg(unix)]
fn outlive_a_limit_of_file_sizes() {
    let seen = std::sync::Arc::default();
    // Where the signal cannot be taken, all stays as the system has it.
    let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, seen);
}

/// Other systems have no such limit.
#[cfg(not(unix))]
fn outlive_a_limit_of_file_sizes() {}

/// What a first-time user is led by.
const GUIDE: &str = include_str!("guide.txt");

/// The exit code of a command, by whether it reached what the user asked.
fn reached(outcome: Result<bool, Problems>) -> ExitCode {
    match outcome {
        Ok(false) => ExitCode::from(FELL_SHORT),
        done => ended(done.map(|_| ())),
    }
}

/// Tells the problems, if any, and gives the exit code.
fn ended(outcome: Result<(), Problems>) -> ExitCode {
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(problems) => {
            for text in problem_text::texts(&problems).into_iter().take(MOST_TOLD) {
                tell(&text);
            }
            if problems.len() > MOST_TOLD {
                tell(&format!("… and {} more", problems.len() - MOST_TOLD));
            }
            if problems.len() > 1 {
                tell(&format!("{} problems in all", problems.len()));
            }
            ExitCode::from(BAD_INPUT)
        }
    }
}
