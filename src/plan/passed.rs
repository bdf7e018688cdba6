//! What searches passed on their way, kept from one plan to the next, whatever the paints: a search for the same colours among
//! other paints goes on from there.

use super::kept::AnswerStore;
use crate::work::PassedStore;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Under this name it is kept.
const NAME: &str = "passed by searches for mixes and washes";
/// Most bytes of it all. Our choice: some three hundred colours.
const MOST: usize = 16 << 20;
const WORD: usize = size_of::<u64>();

/// What was passed, by the question; empty where the answers are known.
#[derive(Clone, Default)]
pub(super) struct Passed {
    known: Arc<BTreeMap<String, Vec<u64>>>,
    now: Arc<Mutex<BTreeMap<String, Vec<u64>>>>,
}

impl std::fmt::Debug for Passed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Passed").finish_non_exhaustive()
    }
}

impl Passed {
    /// What was kept.
    pub(super) fn kept_by(kept: &dyn AnswerStore) -> Self {
        Self {
            known: Arc::new(read(kept)),
            now: Arc::default(),
        }
    }

    fn now(&self) -> MutexGuard<'_, BTreeMap<String, Vec<u64>>> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps what was passed now and, while there is room, what was kept before.
    pub(super) fn keep(&self, kept: &dyn AnswerStore) {
        let now = self.now();
        if now.is_empty() {
            return;
        }
        let again = if self.known.is_empty() {
            read(kept)
        } else {
            BTreeMap::new()
        };
        let before = self.known.iter().chain(&again);
        let before = before.filter(|(of, _)| !now.contains_key(*of));
        let mut all = Vec::new();
        for (of, words) in now.iter().chain(before) {
            if all.len() + of.len() + WORD * (words.len() + 2) > MOST {
                break;
            }
            all.extend((of.len() as u64).to_le_bytes());
            all.extend(of.as_bytes());
            all.extend((words.len() as u64).to_le_bytes());
            for word in words {
                all.extend(word.to_le_bytes());
            }
        }
        kept.put(NAME, &all);
    }
}

impl PassedStore for Passed {
    fn recall(&self, of: &str) -> Option<Vec<u64>> {
        self.known.get(of).cloned()
    }

    fn keep(&self, of: String, passed: Vec<u64>) {
        self.now().insert(of, passed);
    }
}

fn read(kept: &dyn AnswerStore) -> BTreeMap<String, Vec<u64>> {
    let bytes = kept.get(NAME).unwrap_or_default();
    let (mut rest, mut all) = (&bytes[..], BTreeMap::new());
    while let Some((of, words)) = next_of(&mut rest) {
        all.insert(of, words);
    }
    all
}

fn next_of(rest: &mut &[u8]) -> Option<(String, Vec<u64>)> {
    let letters = count(rest)?;
    let of = rest.split_off(..letters)?.to_vec();
    let words = count(rest)?.checked_mul(WORD)?;
    let (words, _) = rest.split_off(..words)?.as_chunks::<WORD>();
    let words = words.iter().map(|word| u64::from_le_bytes(*word));
    Some((String::from_utf8(of).ok()?, words.collect()))
}

fn count(rest: &mut &[u8]) -> Option<usize> {
    let word = *rest.split_off(..WORD)?.first_chunk::<WORD>()?;
    usize::try_from(u64::from_le_bytes(word)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Default)]
    struct Drawer(Mutex<Vec<u8>>);

    impl AnswerStore for Drawer {
        fn get(&self, of: &str) -> Option<Vec<u8>> {
            assert_eq!(of, NAME);
            Some(self.0.lock().unwrap().clone())
        }
        fn put(&self, _: &str, answer: &[u8]) {
            *self.0.lock().unwrap() = answer.to_vec();
        }
    }

    fn passed(drawer: &Drawer, all: &[(&str, Vec<u64>)]) {
        let now = Passed::kept_by(drawer);
        for (of, words) in all {
            PassedStore::keep(&now, (*of).to_owned(), words.clone());
        }
        now.keep(drawer);
    }

    #[test]
    fn what_was_passed_is_found_by_later_plans_and_cut_short_only_in_whole_entries() {
        let drawer = Drawer::default();
        let (wall, roof) = (("wall", vec![1, u64::MAX]), ("roof, grün", vec![7; 9]));
        passed(&drawer, std::slice::from_ref(&wall));
        passed(&drawer, &[roof.clone(), ("empty", Vec::new())]);
        let found = |of: &str| Passed::kept_by(&drawer).recall(of);
        assert_eq!(found(wall.0), Some(wall.1.clone()));
        assert_eq!(found(roof.0), Some(roof.1.clone()));
        assert_eq!(found("empty"), Some(Vec::new()));
        assert_eq!(found("floor"), None);
        let whole = drawer.0.lock().unwrap().clone();
        for until in 0..whole.len() {
            *drawer.0.lock().unwrap() = whole[..until].to_vec();
            for (of, words) in [&wall, &roof] {
                assert!(found(of).is_none_or(|found| found == *words), "{until}");
            }
        }
    }

    #[test]
    fn it_is_bounded_and_what_is_new_stays() {
        let drawer = Drawer::default();
        let half = MOST / WORD / 2;
        passed(&drawer, &[("a first", vec![1; half])]);
        passed(&drawer, &[("later", vec![2; half])]);
        assert!(drawer.0.lock().unwrap().len() <= MOST);
        let now = Passed::kept_by(&drawer);
        assert_eq!(now.recall("later").map(|words| words.len()), Some(half));
        assert_eq!(now.recall("a first"), None);
    }
}
