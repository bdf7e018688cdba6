//! `--timings`: where the time of a run went.

use super::args::TimeArgs;
use super::terminal::tell;
use hillwash::work::{Clock, Phase, Timings};
use std::time::Duration;

/// Begins to write down where the time goes; it is cheap enough to be done always.
pub(crate) fn begin() -> Timings {
    Timings::begin(processor)
}

impl TimeArgs {
    /// Prints it, if the user asked for it.
    pub(crate) fn tell(self, timings: &Timings) {
        if self.timings {
            tell(&table(&timings.phases()));
        }
    }
}

/// What processors have spent so far.
#[cfg(unix)]
#[expect(
    clippy::unnecessary_wraps,
    reason = "other systems do not tell without unsafe code"
)]
fn processor(of: Clock) -> Option<Duration> {
    use rustix::time::{ClockId, clock_gettime};
    let spent = clock_gettime(match of {
        Clock::Program => ClockId::ProcessCPUTime,
        Clock::Thread => ClockId::ThreadCPUTime,
    });
    let seconds = u64::try_from(spent.tv_sec).unwrap_or(0);
    let nanos = u32::try_from(spent.tv_nsec).unwrap_or(0);
    Some(Duration::new(seconds, nanos))
}

/// This system does not say.
#[cfg(not(unix))]
fn processor(_: Clock) -> Option<Duration> {
    None
}

/// One line a phase, its parts below it, and the sum.
fn table(phases: &[Phase]) -> String {
    let seconds = |time: Duration| format!("{:.3} s", time.as_secs_f64());
    let line = |name: &str, wall: Duration, processor: Option<Duration>| {
        format!(
            "{name:<34}{:>10}{:>12}\n",
            seconds(wall),
            processor.map_or_else(|| "-".to_owned(), seconds)
        )
    };
    let mut text = format!("{:<34}{:>10}{:>12}\n", "time", "clock", "processor");
    let mut parts = String::new();
    for phase in phases {
        if phase.is_part {
            let name = format!("  {}, all threads", phase.name);
            parts.push_str(&line(&name, phase.wall, phase.processor));
        } else {
            text.push_str(&line(phase.name, phase.wall, phase.processor));
            text.push_str(&std::mem::take(&mut parts));
        }
    }
    let whole = || phases.iter().filter(|phase| !phase.is_part);
    let wall = whole().map(|phase| phase.wall).sum();
    let processor = whole().map(|phase| phase.processor).sum();
    text.push_str(line("in all", wall, processor).trim_end());
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_stand_below_their_phase() {
        let phase = |name, ms, is_part| Phase {
            name,
            wall: Duration::from_millis(ms),
            processor: (name != "mixes").then(|| Duration::from_millis(2 * ms)),
            is_part,
        };
        let told = table(&[
            phase("decoding", 30, true),
            phase("photos", 20, false),
            phase("mixes", 5, false),
        ]);
        let lines: Vec<Vec<&str>> = told
            .lines()
            .map(|line| line.split_whitespace().collect())
            .collect();
        assert_eq!(lines[1], ["photos", "0.020", "s", "0.040", "s"]);
        assert_eq!(
            lines[2],
            ["decoding,", "all", "threads", "0.030", "s", "0.060", "s"]
        );
        assert_eq!(lines[3], ["mixes", "0.005", "s", "-"]);
        assert_eq!(lines[4], ["in", "all", "0.025", "s", "-"]);
    }
}
