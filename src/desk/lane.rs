//! Questions of one kind from one page: which is the newest.

use super::follow::Follow;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Kinds of questions; of each only the newest is worth an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum QuestionKind {
    /// Tones while something moves.
    Moving,
    /// Tones of what lies still.
    Settled,
    /// Mixes.
    Recipes,
    /// The colour at a point.
    Colour,
    /// The outline of what is rubbed.
    Rub,
    /// The schedule.
    Schedule,
    /// A surface before and after its wash.
    Washed,
}

impl QuestionKind {
    /// How many kinds there are.
    pub const COUNT: usize = 7;
}

/// Questions of one kind from one page: one is worked on at a time, and those that a newer one has overtaken are dropped.
#[derive(Debug, Default)]
pub struct QuestionLane {
    newest: AtomicU64,
    turn: Mutex<()>,
    /// What the page's last answers have left for the next.
    pub(super) follow: Arc<Follow>,
}

impl QuestionLane {
    /// The lanes of one page, one a [`QuestionKind`].
    #[must_use]
    pub fn of_page() -> [Arc<Self>; QuestionKind::COUNT] {
        let follow = Arc::default();
        std::array::from_fn(|_| {
            Arc::new(Self {
                follow: Arc::clone(&follow),
                ..Self::default()
            })
        })
    }

    /// Says that a question has come in.
    pub fn arrived(&self, number: u64) {
        self.newest.fetch_max(number, Ordering::Relaxed);
    }

    /// Whether a newer one has come in since.
    pub(super) fn is_stale(&self, number: u64) -> bool {
        self.newest.load(Ordering::Relaxed) > number
    }

    /// Waits for the turn of a question; `None` when it has become stale meanwhile.
    pub(super) fn turn_of(&self, number: u64) -> Option<MutexGuard<'_, ()>> {
        let turn = self.turn.lock().unwrap_or_else(PoisonError::into_inner);
        (!self.is_stale(number)).then_some(turn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overtaken_questions_are_dropped() {
        let lane = QuestionLane::default();
        lane.arrived(2);
        lane.arrived(1);
        assert!(lane.turn_of(1).is_none());
        assert!(lane.turn_of(2).is_some());
    }
}
