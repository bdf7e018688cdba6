//! Connections: how many to keep, and which to close first if there are too many.
//!
//! A connection that has not shown the cookie yet is a stranger's. Only a few strangers are kept, and the oldest go
//! first, so that a crowd of them cannot keep the page itself waiting.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::Notify;

/// Most connections of strangers. A browser opens six at a time.
const MOST_STRANGERS: usize = 32;
/// Most connections in all.
const MOST_GUESTS: usize = 128;

/// One connection.
#[derive(Debug, Default)]
pub(super) struct Guest {
    known: AtomicBool,
    away: Notify,
}

impl Guest {
    /// Says that this one has shown the cookie.
    pub(super) fn is_known_now(&self) {
        self.known.store(true, Ordering::Relaxed);
    }

    fn is_known(&self) -> bool {
        self.known.load(Ordering::Relaxed)
    }

    /// Waits until this one is sent away.
    pub(super) async fn sent_away(&self) {
        self.away.notified().await;
    }
}

/// All connections, the oldest first.
#[derive(Debug, Default)]
pub(super) struct Guests(Mutex<VecDeque<Arc<Guest>>>);

impl Guests {
    /// Lets one more in; where that is one too many, the oldest stranger goes, or the oldest of all.
    pub(super) fn enter(&self) -> Arc<Guest> {
        let guest = Arc::new(Guest::default());
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let strangers = all.iter().filter(|guest| !guest.is_known()).count();
        let first = if strangers >= MOST_STRANGERS {
            all.iter().position(|guest| !guest.is_known())
        } else {
            (all.len() >= MOST_GUESTS).then_some(0)
        };
        if let Some(gone) = first.and_then(|at| all.remove(at)) {
            gone.away.notify_one();
        }
        all.push_back(Arc::clone(&guest));
        guest
    }

    /// Says that one has gone.
    pub(super) fn leave(&self, guest: &Arc<Guest>) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|other| !Arc::ptr_eq(other, guest));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strangers_go_first_and_the_oldest_before_the_newest() {
        let guests = Guests::default();
        let own = guests.enter();
        own.is_known_now();
        let first = guests.enter();
        for _ in 0..10 * MOST_STRANGERS {
            guests.enter();
        }
        let all = guests.0.lock().unwrap();
        assert_eq!(all.len(), MOST_STRANGERS + 1);
        assert!(all.iter().any(|guest| Arc::ptr_eq(guest, &own)));
        assert!(!all.iter().any(|guest| Arc::ptr_eq(guest, &first)));
    }
}
