//! What a search has passed on its way, kept so that the next one like it need not go the whole way again.

/// Where that is kept. Whoever keeps it may lose any of it.
pub trait PassedStore: Sync {
    /// What was kept for this question.
    fn recall(&self, of: &str) -> Option<Vec<u64>>;
    /// Keeps it.
    fn keep(&self, of: String, passed: Vec<u64>);
}

/// With what a search goes on from an earlier one.
#[derive(Clone, Copy)]
pub struct Remembering<'a> {
    /// Where it is kept.
    pub store: &'a dyn PassedStore,
    /// Of each thing that is searched among a number that stands for all of it: equal things have the same.
    pub marks: &'a [u128],
}

impl std::fmt::Debug for Remembering<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Remembering").finish_non_exhaustive()
    }
}

/// Which things of now were there then, in the same order: of each of then its place now. Things before the first change and
/// behind the last are found, and between these each that comes in the same order.
fn places_now(then: &[u128], now: &[u128]) -> Vec<Option<usize>> {
    let same = then.iter().zip(now).take_while(|(a, b)| a == b).count();
    let (rest, left) = (&then[same..], &now[same..]);
    let behind = rest.iter().rev().zip(left.iter().rev());
    let behind = behind.take_while(|(a, b)| a == b).count();
    let mut from = same;
    let until = now.len() - behind;
    let mut places: Vec<Option<usize>> = (0..same).map(Some).collect();
    for mark in &rest[..rest.len() - behind] {
        let found = (from..until).find(|at| now[*at] == *mark);
        from = found.map_or(from, |at| at + 1);
        places.push(found);
    }
    places.extend((until..now.len()).map(Some));
    places
}

/// Takes marks and numbers back out of what was kept, in the order they were put in.
#[derive(Debug)]
pub struct PassedWords<'a>(std::slice::Iter<'a, u64>);

impl<'a> PassedWords<'a> {
    /// From the first on.
    #[must_use]
    pub fn in_order(all: &'a [u64]) -> Self {
        Self(all.iter())
    }

    /// The next one.
    pub fn next_word(&mut self) -> Option<u64> {
        self.0.next().copied()
    }

    /// The next one, a number.
    pub fn number(&mut self) -> Option<f64> {
        self.next_word().map(f64::from_bits)
    }

    /// The next one, a count of things of so many words each that follow.
    pub fn count(&mut self, words_each: usize) -> Option<usize> {
        let count = usize::try_from(self.next_word()?).ok()?;
        (count <= self.0.len() / words_each.max(1)).then_some(count)
    }

    /// The head that was put in by [`put_head`], if it was written so: where each of then stands among those of now, and of
    /// each of now whether it was there then.
    pub fn head(
        &mut self,
        written_so: u64,
        now: &[u128],
    ) -> Option<(Vec<Option<usize>>, Vec<bool>)> {
        if self.next_word()? != written_so {
            return None;
        }
        let places = places_now(&self.marks()?, now);
        let mut known = vec![false; now.len()];
        for at in places.iter().flatten() {
            known[*at] = true;
        }
        Some((places, known))
    }

    /// Marks and how many they are.
    fn marks(&mut self) -> Option<Vec<u128>> {
        let count = self.count(2)?;
        let mut mark = || Some(u128::from(self.next_word()?) << 64 | u128::from(self.next_word()?));
        (0..count).map(|_| mark()).collect()
    }
}

/// What stands before all else: the form it is written in, and the marks of what is searched among.
#[must_use]
pub fn put_head(written_so: u64, marks: &[u128]) -> Vec<u64> {
    let mut words = vec![written_so];
    put_marks(&mut words, marks);
    words
}

/// Puts in marks, and how many they are.
fn put_marks(words: &mut Vec<u64>, marks: &[u128]) {
    words.push(marks.len() as u64);
    for mark in marks {
        let [high, low] = [mark >> 64, mark & u128::from(u64::MAX)];
        words.extend([high, low].map(|half| u64::try_from(half).unwrap_or_default()));
    }
}

/// Keeps what was passed in memory, for tests of searches.
#[cfg(test)]
#[derive(Default)]
pub(crate) struct Drawer(pub(crate) std::sync::Mutex<std::collections::BTreeMap<String, Vec<u64>>>);

#[cfg(test)]
impl PassedStore for Drawer {
    fn recall(&self, of: &str) -> Option<Vec<u64>> {
        self.0.lock().unwrap().get(of).cloned()
    }
    fn keep(&self, of: String, passed: Vec<u64>) {
        self.0.lock().unwrap().insert(of, passed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stayed_is_found_in_its_order() {
        let then = [10, 20, 30, 40, 50];
        let places = |now: &[u128]| places_now(&then, now);
        assert_eq!(places(&then), [0, 1, 2, 3, 4].map(Some));
        let changed = [Some(0), Some(1), None, Some(3), Some(4)];
        assert_eq!(places(&[10, 20, 31, 40, 50]), changed);
        let gone = [Some(0), None, Some(1), Some(2), Some(3)];
        assert_eq!(places(&[10, 30, 40, 50]), gone);
        assert_eq!(places(&[5, 10, 20, 30, 40, 50]), [1, 2, 3, 4, 5].map(Some));
        assert_eq!(places(&[]), [None; 5]);
        let two = [Some(0), None, Some(2), None, Some(4)];
        assert_eq!(places(&[10, 21, 30, 41, 50]), two);
        for now in [&[50, 40, 30, 20, 10][..], &[10, 10, 20, 20, 50, 50]] {
            let found: Vec<(usize, usize)> = places(now)
                .iter()
                .enumerate()
                .filter_map(|(then, at)| Some((then, (*at)?)))
                .collect();
            assert!(found.iter().all(|(of, at)| then[*of] == now[*at]));
            assert!(found.windows(2).all(|two| two[0].1 < two[1].1), "{found:?}");
        }
    }

    #[test]
    fn marks_come_back_whole_or_not_at_all() {
        let marks = [1, u128::MAX, 7 << 90];
        let mut words = Vec::new();
        put_marks(&mut words, &marks);
        assert_eq!(PassedWords::in_order(&words).marks().unwrap(), marks);
        assert_eq!(PassedWords::in_order(&words[..6]).marks(), None);
        words[0] = u64::MAX;
        assert_eq!(PassedWords::in_order(&words).marks(), None);
    }
}
