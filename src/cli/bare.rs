//! A start without a command: the short guide at a terminal; without one, as by a double click, the page.

use super::args::{Args, Command};
use clap::Parser;
use hillwash::desk::SCENE;
use hillwash::files::write_new;
use std::ffi::OsStr;
use std::io::{IsTerminal, stderr, stdin, stdout};
use std::path::{Path, PathBuf};

/// Whether somebody sits at a terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Terminal {
    There,
    Missing,
}

impl Terminal {
    /// One end at a terminal is enough: a pipe or a file takes up the others.
    pub(super) fn of_this_run() -> Self {
        let ends = [
            stdin().is_terminal(),
            stdout().is_terminal(),
            stderr().is_terminal(),
        ];
        if ends.contains(&true) {
            Self::There
        } else {
            Self::Missing
        }
    }
}

/// The command that is meant; none means the short guide.
pub(super) fn meant(
    command: Option<Command>,
    terminal: Terminal,
    layout: impl FnOnce() -> PathBuf,
) -> Option<Command> {
    if command.is_some() || terminal == Terminal::There {
        return command;
    }
    let layout = layout();
    let typed = [
        OsStr::new("hillwash"),
        OsStr::new("open"),
        layout.as_os_str(),
    ];
    Args::try_parse_from(typed).ok()?.command
}

/// The layout of a start by a double click: the folder one is in, if it holds a scene; else one in the home folder,
/// which is made where it is missing.
pub(super) fn usual_layout() -> PathBuf {
    let home = std::env::home_dir();
    let layout = usual_layout_of(Path::new("."), home.as_deref());
    // A folder that is there stays as it is; if none can be made, opening it says why.
    if layout != Path::new(".") {
        let _ = write_new(&layout, &[]);
    }
    layout
}

fn usual_layout_of(here: &Path, home: Option<&Path>) -> PathBuf {
    match home {
        Some(home) if !here.join(SCENE).exists() => home.join("hillwash-layout"),
        _ => here.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::GUIDE;
    use super::*;

    fn command(typed: &[&str], terminal: Terminal) -> Option<Command> {
        let args = Args::try_parse_from(typed).unwrap();
        meant(args.command, terminal, || PathBuf::from("my yard"))
    }

    #[test]
    fn without_a_terminal_a_double_click_opens_the_page() {
        let Some(Command::Open(open)) = command(&["hillwash"], Terminal::Missing) else {
            panic!("it does not open the page");
        };
        assert_eq!(open.layout, Path::new("my yard"));
        assert!(!open.no_browser && !open.print_only);
    }

    #[test]
    fn at_a_terminal_it_says_how_to_go_on_and_a_command_that_is_typed_is_done() {
        assert!(command(&["hillwash"], Terminal::There).is_none());
        for way in ["hillwash new my-layout", "schedule.html"] {
            assert!(GUIDE.contains(way), "{way}");
        }
        for terminal in [Terminal::There, Terminal::Missing] {
            let typed = command(&["hillwash", "materials"], terminal);
            assert!(matches!(typed, Some(Command::Materials(_))), "{typed:?}");
        }
    }

    #[test]
    fn a_folder_with_a_scene_is_opened_itself() {
        let yard = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard");
        let home = Some(Path::new("home"));
        assert_eq!(usual_layout_of(&yard, home), yard);
        let elsewhere = usual_layout_of(yard.parent().unwrap(), home);
        assert_eq!(elsewhere, Path::new("home/hillwash-layout"));
    }
}
