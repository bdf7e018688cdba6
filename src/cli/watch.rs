//! Long work on the terminal: shows from the first second on how far it is and what is left, and limits what a
//! stranger's file may cost.

use super::args::SearchArgs;
use super::terminal::Talk;
use super::{Problems, boxed};
use hillwash::mix::Search;
use hillwash::problem::{Explain, Place};
use hillwash::work::{Meter, Progress};
use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

/// What a schedule from elsewhere may take before it is refused. Our choice.
pub(crate) const STRANGERS_MAY_TAKE: Duration = Duration::from_secs(20);
/// Nothing is shown of what takes less.
const FROM: Duration = Duration::from_secs(1);
/// How often the figures are updated.
const EVERY: Duration = Duration::from_millis(500);

/// A received file that asks for more work than it may.
#[derive(Debug, thiserror::Error)]
#[error("found work for about {} s in the schedule, expected at most {} s", .reckoned.as_secs().max(1), STRANGERS_MAY_TAKE.as_secs())]
struct TooMuchWork {
    file: String,
    reckoned: Duration,
}

impl Explain for TooMuchWork {
    fn place(&self) -> Place {
        Place::file(self.file.clone())
    }

    fn hint(&self) -> Option<String> {
        Some(
            "give a shorter list with --paints, or run it again with --patient if you trust whoever sent it"
                .to_owned(),
        )
    }
}

/// Shows how far the work is until it goes.
pub(crate) struct Watch {
    meter: &'static Meter,
    shown: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Watch {
    /// Begins; what would take longer than `most` is stopped.
    pub(crate) fn begin(most: Option<Duration>, talk: Talk) -> Self {
        // One a run, which ends with the program.
        let meter: &'static Meter = Box::leak(Box::new(Meter::new(most)));
        let shown = (talk == Talk::Usual && std::io::stderr().is_terminal()).then(|| {
            let (stop, stopped) = channel();
            let thread = std::thread::spawn(move || {
                let mut wait = FROM;
                while stopped.recv_timeout(wait) == Err(RecvTimeoutError::Timeout) {
                    wait = EVERY;
                    line(&words(&meter.progress()));
                }
                line("");
            });
            (stop, thread)
        });
        Self { meter, shown }
    }

    /// Receives how far the work is.
    pub(crate) fn meter(&self) -> &'static Meter {
        self.meter
    }

    /// How to search, watched.
    pub(crate) fn search(&self, args: &SearchArgs) -> Search {
        Search {
            meter: Some(self.meter),
            ..args.search()
        }
    }

    /// The work is done.
    ///
    /// # Errors
    /// When it was stopped because it would have taken too long; `file` is the file that needs it.
    pub(crate) fn end(self, file: &str) -> Result<(), Problems> {
        match self.meter.stopped() {
            Some(reckoned) => Err(boxed([TooMuchWork {
                file: file.to_owned(),
                reckoned,
            }])),
            None => Ok(()),
        }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        if let Some((stop, thread)) = self.shown.take() {
            drop(stop);
            let _ = thread.join();
        }
    }
}

/// "mixing: 37 of 120, about 12 s left; Ctrl-C stops it".
fn words(progress: &Progress) -> String {
    let Progress {
        what,
        done,
        expected,
        ..
    } = progress;
    let left = progress.left.map_or_else(
        || format!("{} s so far", progress.elapsed.as_secs()),
        |left| format!("about {} s left", left.as_secs() + 1),
    );
    let far = match expected {
        Some(expected) => format!("{done} of {expected}, "),
        None if *done == 0 => String::new(),
        None => format!("{done}, "),
    };
    format!("{what}: {far}{left}; Ctrl-C stops it")
}

/// Puts a line in the place of the one before.
fn line(text: &str) {
    let mut err = std::io::stderr().lock();
    let _ = write!(err, "\r{text:<70}\r").and_then(|()| err.flush());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_is_told_once_it_can_be() {
        let mut progress = Progress {
            what: "mixing",
            done: 3,
            expected: Some(120),
            elapsed: Duration::from_secs(2),
            left: None,
        };
        assert_eq!(
            words(&progress),
            "mixing: 3 of 120, 2 s so far; Ctrl-C stops it"
        );
        progress.left = Some(Duration::from_secs(12));
        assert!(words(&progress).contains("about 13 s left"));
        let unknown = Progress {
            what: "choosing paints",
            done: 5000,
            expected: None,
            elapsed: Duration::from_secs(4),
            left: None,
        };
        assert_eq!(
            words(&unknown),
            "choosing paints: 5000, 4 s so far; Ctrl-C stops it"
        );
    }
}
