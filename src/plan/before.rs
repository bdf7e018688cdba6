//! Mixes, washes and blends from an earlier plan, kept for the next one.
//!
//! A mix depends on its colour, on the settings of the search, and on the paints; a wash also on its base; a blend on
//! the kinds of scatter. All of that makes up the key under which it is kept. Only what a mix sees of a paint counts:
//! not its price, nor how much is on hand. A paint of another colour may be part of any mix, so then all are looked
//! for again, starting from what the searches among the other paints passed (`passed.rs`).

use super::kept::{AnswerStore, KEEPS};
use super::passed::Passed;
use crate::mix::{Shelf, Stock};
use crate::paint::ScatterList;
use crate::work::PassedStore;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// At most this many answers stay that were not used this time, together with those that were. Our choice: several
/// scenes.
const MOST: usize = 600;

/// Answers from earlier runs with the same paints and scatter, and those of this run.
#[derive(Debug, Clone)]
pub struct Before {
    mixes: KeptAnswers,
    blends: KeptAnswers,
    passed: Passed,
    /// Of each paint of the shelf, a number that stands for all that is mixed of it.
    marks: Arc<[u128]>,
}

/// Answers that are kept together.
#[derive(Clone)]
pub(super) struct KeptAnswers {
    /// What all of them depend on.
    name: String,
    known: Arc<BTreeMap<String, String>>,
    now: Arc<Mutex<Now>>,
}

/// What was used this time, by what it depends on, as JSON.
#[derive(Default)]
struct Now {
    asked: BTreeMap<String, String>,
    /// Whether any of it was not known.
    is_new: bool,
}

impl std::fmt::Debug for KeptAnswers {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Entry")
            .field("name", &self.name)
            .finish_non_exhaustive()
    }
}

impl Before {
    /// The answers kept for these paints and this scatter.
    #[must_use]
    pub fn of_lists(kept: &dyn AnswerStore, shelf: &Shelf, scatter: Option<&ScatterList>) -> Self {
        let mut paints = Sha256::new();
        let mut marks = Vec::new();
        for stock in shelf.stocks() {
            // Whoever adds a field decides here whether anything that is mixed hangs on it.
            let Stock {
                index: _,
                name: _,
                prepared,
                source,
                opacity,
                strength,
                family,
                thin,
            } = stock;
            let paint = Sha256::digest(format!(
                "{prepared:?} {source:?} {opacity:?} {strength:?} {family:?} {thin} "
            ));
            paints.update(paint);
            marks.push(
                paint
                    .iter()
                    .take(16)
                    .fold(0_u128, |mark, byte| mark << 8 | u128::from(*byte)),
            );
        }
        let scatter = scatter.map(ScatterList::items);
        let scatter = Sha256::digest(format!("{scatter:?}"));
        let mixes = KeptAnswers::kept_as(kept, format!("mixes of {:x}", paints.finalize()));
        Self {
            // Where answers from these very paints are known, hardly anything is searched for.
            passed: if mixes.known.is_empty() && KEEPS {
                Passed::kept_by(kept)
            } else {
                Passed::default()
            },
            mixes,
            blends: KeptAnswers::kept_as(kept, format!("blends of {scatter:x}")),
            marks: marks.into(),
        }
    }

    /// Mixes and washes.
    pub(super) fn mixes(&self) -> &KeptAnswers {
        &self.mixes
    }

    /// What searches passed, and the marks of the paints of the shelf; `None` where nothing is kept.
    pub(super) fn passed(&self) -> Option<(&dyn PassedStore, &[u128])> {
        KEEPS.then_some((&self.passed, &self.marks))
    }

    /// Blends of scatter.
    pub(super) fn blends(&self) -> &KeptAnswers {
        &self.blends
    }

    /// Keeps new answers together with the known ones, if there are any.
    pub fn keep(&self, kept: &dyn AnswerStore) {
        self.mixes.keep(kept);
        self.blends.keep(kept);
        if KEEPS {
            self.passed.keep(kept);
        }
    }

    /// How many of the answers were known.
    #[cfg(test)]
    pub(super) fn known(&self) -> usize {
        let entries = [&self.mixes, &self.blends].into_iter();
        let known = entries.map(|entry| {
            let now = entry.now();
            let is_known = |(of, is): &(&String, &String)| entry.known.get(*of) == Some(*is);
            now.asked.iter().filter(is_known).count()
        });
        known.sum()
    }
}

impl KeptAnswers {
    fn kept_as(kept: &dyn AnswerStore, name: String) -> Self {
        let lines = kept
            .get(&name)
            .and_then(|lines| String::from_utf8(lines).ok());
        let known = lines.iter().flat_map(|lines| lines.lines());
        let known = known.filter_map(|line| line.split_once('\t'));
        Self {
            known: Arc::new(
                known
                    .map(|(of, is)| (of.to_owned(), is.to_owned()))
                    .collect(),
            ),
            now: Arc::default(),
            name,
        }
    }

    fn now(&self) -> MutexGuard<'_, Now> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The answer that was kept, if `holds` finds it sound.
    pub(super) fn get<T: DeserializeOwned>(
        &self,
        of: &str,
        holds: impl FnOnce(&T) -> bool,
    ) -> Option<T> {
        if !KEEPS {
            return None;
        }
        let known = self.known.get(of)?;
        let answer = serde_json::from_str(known).ok().filter(holds)?;
        self.now().asked.insert(of.to_owned(), known.clone());
        Some(answer)
    }

    pub(super) fn put<T: Serialize>(&self, of: String, answer: &T) {
        if !KEEPS {
            return;
        }
        if let Ok(answer) = serde_json::to_string(answer) {
            let mut now = self.now();
            now.asked.insert(of, answer);
            now.is_new = true;
        }
    }

    fn keep(&self, kept: &dyn AnswerStore) {
        let now = self.now();
        if !now.is_new {
            return;
        }
        let room = MOST.saturating_sub(now.asked.len());
        let others = self.known.iter();
        let others = others.filter(|(of, _)| !now.asked.contains_key(*of));
        let mut lines = String::new();
        for (of, is) in now.asked.iter().chain(others.take(room)) {
            lines.extend([of, "\t", is, "\n"]);
        }
        kept.put(&self.name, lines.as_bytes());
    }
}
