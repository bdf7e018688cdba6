//! Mixes that were tried for a wash, and the best of them.

/// Whole parts of up to three paints, by their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WholeParts {
    pub(super) of: [(usize, u32); 3],
    count: usize,
}

impl WholeParts {
    pub(super) fn one(paint: usize) -> Self {
        Self {
            of: [(paint, 1), (0, 0), (0, 0)],
            count: 1,
        }
    }

    pub(super) fn with(mut self, paint: usize, parts: u32) -> Self {
        self.of[self.count] = (paint, parts);
        self.count += 1;
        self
    }

    pub(super) fn pair((a, b): (usize, usize), [pa, pb]: [u32; 2]) -> Self {
        let mut one = Self::one(a);
        one.of[0].1 = pa;
        one.with(b, pb)
    }

    pub(super) fn all(&self) -> &[(usize, u32)] {
        &self.of[..self.count]
    }
}

/// A mix as it was first judged, on few rungs; `at` is its number among all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TriedMix {
    pub(super) at: usize,
    pub(super) parts: WholeParts,
    pub(super) worth: Worth,
}

/// How near the best film of a mix comes, with what stands against the mix, and how it ranks at best; endless where that was
/// no better than had to be beaten.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Worth {
    pub(super) near: f64,
    pub(super) rank: f64,
}

/// Which of the two counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum By {
    Near,
    Rank,
}

impl By {
    pub(super) fn counted(self, worth: Worth) -> f64 {
        match self {
            Self::Near => worth.near,
            Self::Rank => worth.rank,
        }
    }
}

/// The best of many, in room that does not grow with them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BestWashes {
    pub(super) most: usize,
    pub(super) by: By,
    /// The best first.
    pub(super) kept: Vec<TriedMix>,
    /// All that were tried and are worth less than this are among them.
    pub(super) all_below: f64,
}

impl BestWashes {
    pub(super) fn keeping(most: usize, by: By) -> Self {
        Self {
            most,
            by,
            kept: Vec::new(),
            all_below: f64::INFINITY,
        }
    }

    pub(super) fn take(&mut self, more: &[TriedMix]) {
        let by = self.by;
        let (whole, below) = (self.is_whole(), self.all_below);
        let more = more.iter().copied();
        self.kept
            .extend(more.filter(|tried| whole || by.counted(tried.worth) < below));
        self.kept.sort_unstable_by(|a, b| {
            let (one, other) = (by.counted(a.worth), by.counted(b.worth));
            one.total_cmp(&other).then(a.at.cmp(&b.at))
        });
        // What is worth as much as the last may have been passed over.
        if self.kept.len() >= self.most {
            self.kept.truncate(self.most);
            self.all_below = self.all_below.min(self.last());
        }
    }

    /// What the last is worth that there is room for.
    fn last(&self) -> f64 {
        let last = self.kept.get(self.most.saturating_sub(1));
        last.map_or(f64::INFINITY, |last| self.by.counted(last.worth))
    }

    /// What a later mix must stay below to be kept by one of these.
    pub(super) fn to_beat(all: &[&mut Self]) -> Worth {
        let least = |by: By| {
            let lists = all.iter().filter(|best| best.by == by);
            let last = lists.map(|best| best.last().min(best.all_below));
            last.fold(f64::NEG_INFINITY, f64::max)
        };
        Worth {
            near: least(By::Near),
            rank: least(By::Rank),
        }
    }

    /// Whether all that were tried are among them.
    pub(super) fn is_whole(&self) -> bool {
        self.all_below.is_infinite()
    }

    /// The first so many, where these are the best of all that there are; else none.
    pub(super) fn best(&self, most: usize) -> Option<&[TriedMix]> {
        if self.is_whole() {
            return Some(&self.kept[..most.min(self.kept.len())]);
        }
        let last = self.kept.get(most.checked_sub(1)?)?;
        (self.by.counted(last.worth) < self.all_below).then(|| &self.kept[..most])
    }
}
