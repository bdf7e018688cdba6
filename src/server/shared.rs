//! State that all answers share.

use super::gate::Gate;
use super::pages::Pages;
use crate::desk::Desk;
use axum::extract::State;
use std::sync::Arc;
use std::sync::{Mutex, MutexGuard, PoisonError};
use tokio::sync::Notify;

/// Tells the user something.
pub(super) type Tell = Box<dyn Fn(&str) + Send + Sync>;

/// State that all answers share.
pub(super) struct Shared {
    pub(super) desk: Desk,
    pub(super) pages: Mutex<Pages>,
    pub(super) gate: Gate,
    /// Says that the page is done with.
    pub(super) done: Notify,
    pub(super) tell: Tell,
}

impl Shared {
    /// The pages that are open.
    pub(super) fn pages(&self) -> MutexGuard<'_, Pages> {
        self.pages.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Where an answer finds what all share.
pub(super) type Here = State<Arc<Shared>>;
