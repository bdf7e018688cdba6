//! Ticks of schedules, kept beside the scene: a page that is served anew has another address, and its browser would not
//! know them.

use super::desk::Desk;
use super::keeper::FileKind;
use super::refused::Refused;
use crate::problem::Place;
use serde_json::{Map, Value};
use std::sync::PoisonError;

/// Ticks: what each ticked step says, by the schedule it is in.
type Ticks = Map<String, Value>;

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
        match serde_json::from_slice(&bytes) {
            Ok(Value::Object(ticks)) => ticks,
            _ => Ticks::new(),
        }
    }

    /// Keeps the ticks of a schedule, a list in JSON; those of other schedules stay.
    ///
    /// # Errors
    /// [`Refused`] where they cannot be kept.
    pub fn keep_ticks(&self, schedule: String, done: &[u8]) -> Result<Value, Refused> {
        let done = serde_json::from_slice(done)
            .map_err(|e| Refused::words(format!("found no ticks: {e}")))?;
        if !self.settings.print_only {
            let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
            let before = self.ticks_bytes();
            let mut ticks = self.ticks();
            ticks.insert(schedule, done);
            let text = Value::from(ticks).to_string();
            self.keeper
                .write(&self.ticks_name(), before.as_deref(), text.as_bytes())?;
        }
        Ok(Value::Null)
    }
}
