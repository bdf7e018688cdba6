//! What a search for a mix has passed, so that the next one for the same colour need only look at mixes of new paints.
//!
//! How near a mix comes hangs on its own paints alone. Each step of the search keeps the best of many: here a few more are kept,
//! and the value below which none is missing. When paints come or go, mixes of those that are gone are left out and those of new
//! ones put in; while there are as many as are asked for, all below that value, they are the best of all.

use crate::work::{PassedWords, put_head};

/// The first word of what is kept: another way to write it has another.
const WRITTEN_SO: u64 = 1;

/// Two lanes, the first before the second.
pub(super) type Pair = [usize; 2];
/// The two lanes of a pair, and a third one that it is given.
pub(super) type Triple = [usize; 3];

/// One of the best.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Valued<T> {
    pub(super) value: f64,
    /// What settles a tie; of what was kept, its place then.
    pub(super) order: u64,
    pub(super) what: T,
}

/// The best of many, more than are asked for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct WithSpare<T> {
    pub(super) all: Vec<Valued<T>>,
    most: usize,
    /// None of less than this is missing.
    pub(super) all_below: f64,
}

impl<T> WithSpare<T> {
    pub(super) fn keeping(most: usize, all_below: f64) -> Self {
        Self {
            all: Vec::new(),
            most,
            all_below,
        }
    }

    pub(super) fn put(&mut self, value: f64, order: u64, what: T) {
        // So written, what is no number is passed over too.
        if value < self.all_below {
            self.all.push(Valued { value, order, what });
            if self.all.len() > self.most + self.most / 8 {
                self.sort();
            }
        }
    }

    /// Best first.
    pub(super) fn sort(&mut self) {
        (self.all).sort_unstable_by(|a, b| a.value.total_cmp(&b.value).then(a.order.cmp(&b.order)));
        if self.all.len() > self.most {
            self.all.truncate(self.most);
            let last = self.all.last();
            self.all_below = last.map_or(self.all_below, |last| last.value);
            let below = self.all_below;
            self.all.retain(|one| one.value < below);
        }
    }

    /// The first so many once they are sorted, if these are sure to be the best of all.
    pub(super) fn first(&self, most: usize) -> Option<&[Valued<T>]> {
        if self.all_below.is_infinite() {
            return Some(&self.all[..most.min(self.all.len())]);
        }
        self.all.get(..most)
    }
}

/// A mix that might be named.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PassedCandidate {
    /// Its lanes as they were tried: a pair, or a triple.
    pub(super) parts: Vec<(usize, u32)>,
    pub(super) rank: f64,
    pub(super) in_a_tie: f64,
    /// Which it was of those that were tried of the same lanes.
    pub(super) order: u64,
}

/// All that is kept of one search.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PassedMix {
    /// Pairs by their difference at a few ratios.
    pub(super) near: WithSpare<Pair>,
    /// The first of these by the rank of their best ratio.
    pub(super) pairs: WithSpare<(Pair, [u32; 2])>,
    /// The first of these with each third lane, by their rank after a short way.
    pub(super) short: WithSpare<Triple>,
    /// The first of these by their rank after the whole way, and their shares.
    pub(super) kept: WithSpare<(Triple, [f64; 3])>,
    /// Of the first of these, and of the pairs, every mix of whole parts that ranks no worse than `within`.
    pub(super) candidates: Vec<PassedCandidate>,
    pub(super) within: f64,
}

/// What was kept, by the places that its lanes have now.
pub(super) struct KnownMix {
    pub(super) passed: PassedMix,
    /// Which of the lanes of now were there.
    pub(super) known: Vec<bool>,
}

fn packed(lanes: &[usize]) -> u64 {
    let lanes = lanes.iter();
    lanes.fold(0, |all, lane| all << 16 | (*lane as u64 & 0xffff))
}

fn put_list<T>(words: &mut Vec<u64>, list: &WithSpare<T>, put: impl Fn(&mut Vec<u64>, &T)) {
    words.extend([list.all_below.to_bits(), list.all.len() as u64]);
    for one in &list.all {
        words.push(one.value.to_bits());
        put(words, &one.what);
    }
}

/// What comes of lanes; none where one of them is gone.
type Still<T> = Option<T>;

/// Reads words, and lanes by where they are now.
struct PassedReader<'a> {
    words: PassedWords<'a>,
    now: Vec<Option<usize>>,
}

impl PassedReader<'_> {
    /// Lanes, the last of them in the last 16 bits; `Some(None)` where one is gone.
    fn lanes<const N: usize>(&mut self) -> Option<Still<[usize; N]>> {
        let mut word = self.words.next_word()?;
        let mut lanes = [Some(0); N];
        for lane in lanes.iter_mut().rev() {
            *lane = *self.now.get(usize::try_from(word & 0xffff).ok()?)?;
            word >>= 16;
        }
        let there = lanes.iter().all(Option::is_some);
        Some(there.then(|| lanes.map(Option::unwrap_or_default)))
    }

    fn values<T>(
        &mut self,
        words_each: usize,
        mut one: impl FnMut(&mut Self) -> Option<Still<T>>,
    ) -> Option<WithSpare<T>> {
        let mut list = WithSpare::keeping(usize::MAX / 2, self.words.number()?);
        for order in 0..self.words.count(words_each)? {
            let value = self.words.number()?;
            if let Some(what) = one(self)? {
                let order = order as u64;
                list.all.push(Valued { value, order, what });
            }
        }
        Some(list)
    }

    fn part(&mut self) -> Option<u32> {
        u32::try_from(self.words.next_word()?).ok()
    }

    fn candidates(&mut self) -> Option<Vec<PassedCandidate>> {
        let mut all = Vec::new();
        for _ in 0..self.words.count(5)? {
            let is_pair = self.words.next_word()? == 2;
            let lanes: Option<Vec<usize>> = if is_pair {
                self.lanes::<2>()?.map(Vec::from)
            } else {
                self.lanes::<3>()?.map(Vec::from)
            };
            let mut parts = Vec::new();
            for at in 0..if is_pair { 2 } else { 3 } {
                let part = self.part()?;
                parts.extend(lanes.as_ref().map(|lanes| (lanes[at], part)));
            }
            let [rank, in_a_tie] = [self.words.number()?, self.words.number()?];
            let order = self.words.next_word()?;
            all.extend(lanes.map(|_| PassedCandidate {
                parts,
                rank,
                in_a_tie,
                order,
            }));
        }
        Some(all)
    }
}

impl PassedMix {
    /// As words, for lanes of these marks.
    pub(super) fn written(&self, marks: &[u128]) -> Vec<u64> {
        let mut words = put_head(WRITTEN_SO, marks);
        put_list(&mut words, &self.near, |words, pair| {
            words.push(packed(pair));
        });
        put_list(&mut words, &self.pairs, |words, (pair, parts)| {
            words.push(packed(pair));
            words.extend(parts.map(u64::from));
        });
        put_list(&mut words, &self.short, |words, three| {
            words.push(packed(three));
        });
        put_list(&mut words, &self.kept, |words, (three, shares)| {
            words.push(packed(three));
            words.extend(shares.map(f64::to_bits));
        });
        words.extend([self.within.to_bits(), self.candidates.len() as u64]);
        for one in &self.candidates {
            words.push(one.parts.len() as u64);
            let lanes: Vec<usize> = one.parts.iter().map(|(lane, _)| *lane).collect();
            words.push(packed(&lanes));
            words.extend(one.parts.iter().map(|(_, part)| u64::from(*part)));
            words.extend([one.rank, one.in_a_tie].map(f64::to_bits));
            words.push(one.order);
        }
        words
    }

    /// The other way round, of the lanes that are there now.
    pub(super) fn read(words: &[u64], marks: &[u128]) -> Option<KnownMix> {
        let mut words = PassedWords::in_order(words);
        let (now, known) = words.head(WRITTEN_SO, marks)?;
        let mut read = PassedReader { words, now };
        let near = read.values(2, PassedReader::lanes)?;
        let pairs = read.values(4, |read| {
            let (pair, parts) = (read.lanes()?, [read.part()?, read.part()?]);
            Some(pair.map(|pair| (pair, parts)))
        })?;
        let short = read.values(2, PassedReader::lanes)?;
        let kept = read.values(5, |read| {
            let three = read.lanes()?;
            let words = &mut read.words;
            let shares = [words.number()?, words.number()?, words.number()?];
            Some(three.map(|three| (three, shares)))
        })?;
        let within = read.words.number()?;
        let passed = PassedMix {
            near,
            pairs,
            short,
            kept,
            candidates: read.candidates()?,
            within,
        };
        Some(KnownMix { passed, known })
    }
}
