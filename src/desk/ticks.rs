//! Ticks of schedules, kept beside the scene: a page that is served anew has another address, and its browser would not
//! know them.

use super::desk::Desk;
use super::keeper::FileKind;
use super::refused::Refused;
use crate::problem::Place;
use serde::Deserialize;
use serde_json::{Map, Value};
use std::sync::PoisonError;

/// Ticks: what each ticked step says, by the schedule it is in.
type Ticks = Map<String, Value>;

/// Ticks of schedules that were looked at.
#[derive(Debug, Deserialize)]
pub struct AskTicks {
    ticks: Ticks,
}

impl Desk {
    fn ticks_name(&self) -> String {
        format!("{}.ticks.json", self.settings.file)
    }

    fn ticks_bytes(&self) -> Option<Vec<u8>> {
        let name = self.ticks_name();
        let there = self.keeper.has(&name);
        let read = || self.keeper.read(&name, &Place::default(), FileKind::Ticks);
        there.then(read)?.ok()
    }

    /// The ticks that are kept; none where there are none, or nothing that can be read.
    pub(super) fn ticks(&self) -> Ticks {
        let bytes = self.ticks_bytes().unwrap_or_default();
        serde_json::from_slice(&bytes).unwrap_or_default()
    }

    /// Keeps ticks; those of other schedules stay.
    ///
    /// # Errors
    /// [`Refused`] where they cannot be kept.
    pub fn keep_ticks(&self, ask: AskTicks) -> Result<Value, Refused> {
        if !self.settings.print_only {
            let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
            let before = self.ticks_bytes();
            let mut ticks = self.ticks();
            ticks.extend(ask.ticks);
            let text = Value::from(ticks).to_string();
            self.keeper
                .write(&self.ticks_name(), before.as_deref(), text.as_bytes())?;
        }
        Ok(Value::Null)
    }
}
