//! Progress of long work: how much is done, how long the rest will take, whether it is over its time; and where the
//! time went.
//!
//! In: steps expected and done, by whoever works. Out: figures to show, and a signal to stop. It does not know what
//! the work is.

mod passed;
mod timings;

#[cfg(test)]
pub(crate) use passed::Drawer;
pub use passed::{PassedStore, PassedWords, Remembering, put_head};
pub use timings::{Clock, Phase, Timings};

use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

/// This many steps must be done before the rest is estimated from them.
const ENOUGH_TO_RECKON: usize = 8;
/// This much of the allowed time must be over, too.
const SHARE_TO_RECKON: u32 = 10;

/// The time since some moment, by a clock that does not go back.
#[cfg(not(target_family = "wasm"))]
fn now() -> Duration {
    use std::sync::OnceLock;
    use std::time::Instant;
    static BEGUN: OnceLock<Instant> = OnceLock::new();
    BEGUN.get_or_init(Instant::now).elapsed()
}

#[cfg(target_family = "wasm")]
static CLOCK: std::sync::OnceLock<fn() -> Duration> = std::sync::OnceLock::new();

/// A browser's core has no clock of its own: whoever runs it gives one. Without one, no work is ever over its time.
#[cfg(target_family = "wasm")]
pub fn set_clock(clock: fn() -> Duration) {
    let _ = CLOCK.set(clock);
}

#[cfg(target_family = "wasm")]
fn now() -> Duration {
    CLOCK.get().map_or(Duration::ZERO, |clock| clock())
}

/// Work that is watched. It is given out for as long as the program runs, so that settings that carry it stay plain values.
#[derive(Debug)]
pub struct Meter {
    begun: Duration,
    most: Option<Duration>,
    stretch: Mutex<WorkStretch>,
    expected: AtomicUsize,
    done: AtomicUsize,
    over: AtomicBool,
    reckoned: Mutex<Option<Duration>>,
}

/// A stretch of the work, whose steps are of one kind.
#[derive(Debug, Clone, Copy)]
struct WorkStretch {
    what: &'static str,
    begun: Duration,
}

/// How far the work is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What is being done.
    pub what: &'static str,
    /// Steps of it that are done.
    pub done: usize,
    /// Steps of it known of so far; `None` where nobody knows how many will come.
    pub expected: Option<usize>,
    /// Time since the beginning of all.
    pub elapsed: Duration,
    /// What the rest of these steps should take, once enough is done to say so.
    pub left: Option<Duration>,
}

impl PartialEq for Meter {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other)
    }
}

impl Eq for Meter {}

impl Meter {
    /// Begins to watch; work that would take longer than `most` must stop.
    #[must_use]
    pub fn new(most: Option<Duration>) -> Self {
        let begun = now();
        Self {
            begun,
            most,
            stretch: Mutex::new(WorkStretch {
                what: "mixing",
                begun,
            }),
            expected: AtomicUsize::new(0),
            done: AtomicUsize::new(0),
            over: AtomicBool::new(false),
            reckoned: Mutex::default(),
        }
    }

    /// From now on this is done, in so many steps as far as is known: what came before is over, and the rest is computed
    /// again.
    pub fn begin(&self, what: &'static str, steps: usize) {
        let mut stretch = self.stretch();
        *stretch = WorkStretch { what, begun: now() };
        self.done.store(0, Ordering::Relaxed);
        self.expected.store(steps, Ordering::Relaxed);
    }

    fn stretch(&self) -> std::sync::MutexGuard<'_, WorkStretch> {
        self.stretch.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// This many more steps will come.
    pub fn expect(&self, steps: usize) {
        self.expected.fetch_add(steps, Ordering::Relaxed);
    }

    /// One step is done.
    pub fn did_one(&self) {
        self.done.fetch_add(1, Ordering::Relaxed);
        self.is_over();
    }

    /// Whether it is enough: the time allowed is over, or will be by what was done so far.
    pub fn is_over(&self) -> bool {
        let Some(most) = self.most else { return false };
        if self.over.load(Ordering::Relaxed) {
            return true;
        }
        let now = self.progress();
        let whole = now.left.map(|left| now.elapsed + left);
        let reckons = now.elapsed > most / SHARE_TO_RECKON;
        let too_long =
            now.elapsed > most || (reckons && whole.is_some_and(|whole| whole > 2 * most));
        if too_long {
            let mut reckoned = self.reckoned.lock().unwrap_or_else(PoisonError::into_inner);
            *reckoned = Some(whole.unwrap_or(now.elapsed).max(now.elapsed));
            self.over.store(true, Ordering::Relaxed);
        }
        too_long
    }

    /// How long it would have taken, by estimate, when it was stopped.
    pub fn stopped(&self) -> Option<Duration> {
        *self.reckoned.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How far the work is.
    pub fn progress(&self) -> Progress {
        let stretch = *self.stretch();
        let done = self.done.load(Ordering::Relaxed);
        let expected = Some(self.expected.load(Ordering::Relaxed)).filter(|steps| *steps > 0);
        let expected = expected.map(|steps| steps.max(done));
        let now = now();
        let elapsed = now.saturating_sub(self.begun);
        let left = expected.filter(|_| done >= ENOUGH_TO_RECKON).map(|steps| {
            #[expect(clippy::cast_precision_loss, reason = "a count of searches")]
            let share = (steps - done) as f64 / done as f64;
            now.saturating_sub(stretch.begun).mul_f64(share)
        });
        Progress {
            what: stretch.what,
            done,
            expected,
            elapsed,
            left,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_will_take_too_long_is_stopped_before_it_has() {
        let meter = Meter::new(Some(Duration::from_millis(500)));
        meter.expect(10_000);
        for _ in 0..20 {
            meter.did_one();
        }
        assert!(!meter.is_over(), "nothing is reckoned in the first moments");
        std::thread::sleep(Duration::from_millis(60));
        meter.did_one();
        assert!(meter.is_over());
        assert!(meter.stopped().unwrap() > Duration::from_secs(1));
    }

    #[test]
    fn unwatched_time_never_ends() {
        let meter = Meter::new(None);
        meter.expect(10);
        meter.did_one();
        assert!(!meter.is_over());
        assert_eq!(meter.stopped(), None);
        assert_eq!(meter.progress().left, None, "one step says little");
    }

    #[test]
    fn each_stretch_is_reckoned_by_its_own_steps() {
        let meter = Meter::new(None);
        meter.begin("slow", 20);
        for _ in 0..10 {
            meter.did_one();
        }
        std::thread::sleep(Duration::from_millis(40));
        assert!(meter.progress().left.unwrap() >= Duration::from_millis(40));
        meter.begin("quick", 1_000_000);
        for _ in 0..999_990 {
            meter.did_one();
        }
        let quick = meter.progress();
        assert_eq!((quick.what, quick.done), ("quick", 999_990));
        let spent_on_it = quick.elapsed.saturating_sub(Duration::from_millis(40));
        assert!(quick.left.unwrap() < spent_on_it, "what was slow is over");
        meter.begin("nobody knows", 0);
        for _ in 0..10 {
            meter.did_one();
        }
        assert_eq!(meter.progress().left, None);
    }
}
