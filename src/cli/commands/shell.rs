//! `shell`: completions and man pages, made from the arguments themselves.

use crate::cli::args::{Args, ShellCommand};
use crate::cli::terminal::{Talk, plain, say};
use crate::cli::{Problems, boxed};
use clap::{Command, CommandFactory};
use hillwash::files::write_new;

/// Man pages that could not be made.
#[derive(Debug, thiserror::Error)]
#[error("a man page could not be made: {0}")]
struct NoManPage(std::io::Error);

impl hillwash::problem::Explain for NoManPage {}

pub(crate) fn run(command: &ShellCommand, talk: Talk) -> Result<(), Problems> {
    match command {
        ShellCommand::Completions { shell } => {
            let mut text = Vec::new();
            clap_complete::generate(*shell, &mut Args::command(), "hillwash", &mut text);
            say(String::from_utf8_lossy(&text).trim_end())
        }
        ShellCommand::Man { out } => {
            let mut root = Args::command();
            root.build();
            let mut pages = Vec::new();
            gather(&root, "hillwash", &mut pages).map_err(|e| boxed([NoManPage(e)]))?;
            let files: Vec<(&str, &[u8])> = pages
                .iter()
                .map(|(name, page)| (name.as_str(), page.as_slice()))
                .collect();
            for path in write_new(out, &files).map_err(|e| boxed([e]))? {
                say(&plain(&path.display().to_string()))?;
            }
            talk.tell("read one by: man -l FILE");
            Ok(())
        }
    }
}

/// The page of a command and those of its own commands, under names such as "hillwash-paints-check.1".
fn gather(
    command: &Command,
    name: &str,
    pages: &mut Vec<(String, Vec<u8>)>,
) -> std::io::Result<()> {
    let mut page = Vec::new();
    clap_mangen::Man::new(command.clone())
        .title(name)
        .render(&mut page)?;
    pages.push((format!("{name}.1"), page));
    for own in command.get_subcommands().filter(|c| c.get_name() != "help") {
        gather(own, &format!("{name}-{}", own.get_name()), pages)?;
    }
    Ok(())
}
