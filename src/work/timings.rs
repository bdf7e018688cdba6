//! Where the time of a run goes, phase by phase.

use super::now;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Whose processor time to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// That of the whole program, all its threads together.
    Program,
    /// That of the thread that asks.
    Thread,
}

/// Time that was spent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phase {
    /// On what.
    pub name: &'static str,
    /// By the clock on the wall; of a part, of all threads together.
    pub wall: Duration,
    /// Of processors; `None` if the system does not say.
    pub processor: Option<Duration>,
    /// True of a part of the phase that comes after it in the list.
    pub is_part: bool,
}

impl Phase {
    /// A phase from one moment to another, each by the clock on the wall and by processors.
    fn between(
        name: &'static str,
        begun: (Duration, Option<Duration>),
        end: (Duration, Option<Duration>),
    ) -> Self {
        Self {
            name,
            wall: end.0.saturating_sub(begun.0),
            processor: (end.1.zip(begun.1)).map(|(end, begun)| end.saturating_sub(begun)),
            is_part: false,
        }
    }
}

/// Writes down where the time of a run goes: phases follow each other, and parts of them may be worked on side by side.
#[derive(Debug)]
pub struct Timings {
    processor: fn(Clock) -> Option<Duration>,
    kept: Mutex<PhaseTimes>,
}

#[derive(Debug)]
struct PhaseTimes {
    /// Wall and processor when the phase that is going on began.
    begun: (Duration, Option<Duration>),
    phases: Vec<Phase>,
}

impl Default for Timings {
    /// By the clock on the wall alone.
    fn default() -> Self {
        Self::begin(|_| None)
    }
}

impl Timings {
    /// Begins with the first phase; `processor` gives the processor time spent so far.
    #[must_use]
    pub fn begin(processor: fn(Clock) -> Option<Duration>) -> Self {
        Self {
            processor,
            kept: Mutex::new(PhaseTimes {
                begun: (now(), processor(Clock::Program)),
                phases: Vec::new(),
            }),
        }
    }

    fn kept(&self) -> std::sync::MutexGuard<'_, PhaseTimes> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The phase that is going on was this one, and ends; the next begins. One that came before gets longer.
    pub fn ended(&self, name: &'static str) {
        let end = (now(), (self.processor)(Clock::Program));
        let mut kept = self.kept();
        let begun = std::mem::replace(&mut kept.begun, end);
        kept.add(Phase::between(name, begun, end));
    }

    /// Does a part of the phase that is going on, on the thread that calls. What is done in it must not hand work to other
    /// threads: theirs would not be counted.
    pub fn part<T>(&self, name: &'static str, work: impl FnOnce() -> T) -> T {
        let moment = || (now(), (self.processor)(Clock::Thread));
        let begun = moment();
        let done = work();
        let end = moment();
        self.kept().add(Phase {
            is_part: true,
            ..Phase::between(name, begun, end)
        });
        done
    }

    /// The phases in their order, each behind its parts.
    #[must_use]
    pub fn phases(&self) -> Vec<Phase> {
        self.kept().phases.clone()
    }
}

impl PhaseTimes {
    /// Adds to a phase or part that was there before, or begins its line.
    fn add(&mut self, spent: Phase) {
        let same = |phase: &&mut Phase| (phase.name, phase.is_part) == (spent.name, spent.is_part);
        if let Some(phase) = self.phases.iter_mut().find(same) {
            phase.wall += spent.wall;
            let both = phase.processor.zip(spent.processor);
            phase.processor = both.map(|(a, b)| a + b);
        } else {
            self.phases.push(spent);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phases_follow_each_other_and_parts_add_up() {
        let timings = Timings::begin(|clock| match clock {
            Clock::Program => None,
            Clock::Thread => Some(Duration::ZERO),
        });
        let sleep = || std::thread::sleep(Duration::from_millis(5));
        std::thread::scope(|scope| {
            for _ in 0..3 {
                scope.spawn(|| timings.part("decoding", sleep));
            }
        });
        timings.ended("photos");
        sleep();
        timings.ended("mixes");
        let phases = timings.phases();
        let names: Vec<_> = phases.iter().map(|p| (p.name, p.is_part)).collect();
        assert_eq!(
            names,
            [("decoding", true), ("photos", false), ("mixes", false)]
        );
        assert!(phases[0].wall >= Duration::from_millis(15));
        assert_eq!(phases[0].processor, Some(Duration::ZERO));
        assert!(phases[1].wall >= Duration::from_millis(5));
        assert_eq!(phases[1].processor, None);
        assert!(phases[2].wall >= Duration::from_millis(5));
    }
}
