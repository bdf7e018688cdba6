//! The fewest paints that still mix a set of colours, each within a closeness.
//!
//! In: a shelf, colours, a closeness. Out: a [`Trim`]. Short lists are settled by looking at every mix and by branch and
//! bound; on longer ones the mixes are those that the search finds, and the bound that is proven is told.

mod choose;
mod options;

use super::{Recipe, Search, Shelf};
use crate::colour::{DeltaE00, LabD65};
use options::Options;

/// Lists up to so many mixable paints are settled exactly.
pub const EXACT_UP_TO: usize = 30;
/// Further paints that are tried as the one more, at most.
const MOST_FURTHER: usize = 60;

/// The smallest set that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    /// Places in [`Shelf::stocks`] of the paints to keep or buy, in list order. Owned paints that no mix uses are not among them.
    pub paints: Vec<usize>,
    /// Of those, the ones that had to be added to what is owned.
    pub added: Vec<usize>,
    /// No set with fewer added paints than this does it, among the mixes looked at.
    pub at_least: usize,
    /// True when every mix was looked at and no smaller set exists.
    pub exact: bool,
    /// For each colour asked, its best mix from these paints; `None` when nothing mixes.
    pub recipes: Vec<Option<Recipe>>,
    /// Colours that not even the whole list brings within the closeness, by place.
    pub beyond: Vec<usize>,
    /// What one more paint of the list would gain.
    pub one_more: Option<OneMore>,
}

/// What one more paint would gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneMore {
    /// Place in [`Shelf::stocks`].
    pub stock: usize,
    /// Mean difference of all colours without it.
    pub before: DeltaE00,
    /// Mean difference with it.
    pub after: DeltaE00,
}

impl Trim {
    /// What a paint is for: the colours whose mix it is in, by place.
    #[must_use]
    pub fn used_for(&self, stock: usize) -> Vec<usize> {
        (0..self.recipes.len())
            .filter(|at| {
                self.recipes[*at]
                    .as_ref()
                    .is_some_and(|recipe| recipe.parts.iter().any(|(s, _)| *s == stock))
            })
            .collect()
    }
}

impl Shelf {
    /// The same shelf with these paints alone; places in [`Shelf::stocks`] stay.
    #[must_use]
    pub fn only(&self, stocks: &[usize]) -> Self {
        let mut shelf = self.clone();
        for (_, members) in &mut shelf.families {
            members.retain(|at| stocks.contains(at));
        }
        shelf.families.retain(|(_, members)| !members.is_empty());
        shelf
            .families
            .sort_by_key(|(family, members)| (std::cmp::Reverse(members.len()), *family));
        shelf
    }

    /// The fewest paints, beyond those `owned`, that bring each colour within `within` of it, by predicted CIEDE2000.
    /// Among sets of the same size the one that comes nearest is taken.
    #[must_use]
    pub fn trimmed(
        &self,
        targets: &[LabD65],
        within: f64,
        search: &Search,
        owned: &[usize],
    ) -> Trim {
        let options = Options::of(self, targets, within, search);
        let beyond: Vec<usize> = (0..targets.len())
            .filter(|at| options.of_target[*at].is_empty())
            .collect();
        let chosen = choose::fewest(&options, owned);
        // What lies beyond is mixed from the set as well as that goes; it asks for no paints of its own.
        let mut kept = chosen.paints;
        kept.extend(owned.iter().copied().filter(|at| *at < self.stocks.len()));
        kept.sort_unstable();
        kept.dedup();
        let answers = Search {
            answers: 1,
            ..*search
        };
        let recipes: Vec<Option<Recipe>> = self.mixes_within(&kept, targets, within, &answers);
        let used: Vec<usize> = kept
            .iter()
            .copied()
            .filter(|stock| {
                recipes
                    .iter()
                    .flatten()
                    .any(|recipe| recipe.parts.iter().any(|(at, _)| at == stock))
            })
            .collect();
        let added = used
            .iter()
            .copied()
            .filter(|at| !owned.contains(at))
            .collect();
        let one_more = self.one_more(&used, targets, &recipes, &answers);
        Trim {
            paints: used,
            added,
            at_least: chosen.at_least,
            exact: chosen.settled && options.every_mix,
            recipes,
            beyond,
            one_more,
        }
    }

    /// The soundest mix of each colour that is within the closeness, or the nearest where none is.
    fn mixes_within(
        &self,
        stocks: &[usize],
        targets: &[LabD65],
        within: f64,
        search: &Search,
    ) -> Vec<Option<Recipe>> {
        let shelf = self.only(stocks);
        let closest = Search {
            rank: super::Rank::ClosestOnPaper,
            ..*search
        };
        let soundest = Search {
            answers: 20,
            ..*search
        };
        shelf
            .recipes_for_all(targets, &soundest)
            .into_iter()
            .zip(shelf.recipes_for_all(targets, &closest))
            .map(|(sound, close)| {
                sound
                    .into_iter()
                    .find(|recipe| recipe.difference.0 <= within)
                    .or_else(|| close.into_iter().next())
            })
            .collect()
    }

    fn one_more(
        &self,
        kept: &[usize],
        targets: &[LabD65],
        recipes: &[Option<Recipe>],
        search: &Search,
    ) -> Option<OneMore> {
        let closest = Search {
            rank: super::Rank::ClosestOnPaper,
            answers: 1,
            ..*search
        };
        let mean = |recipes: &[Vec<Recipe>]| {
            let found: Vec<f64> = recipes
                .iter()
                .filter_map(|r| r.first())
                .map(|r| r.difference.0)
                .collect();
            #[expect(clippy::cast_precision_loss, reason = "a few dozen colours")]
            let count = found.len().max(1) as f64;
            found.iter().sum::<f64>() / count
        };
        if recipes.iter().all(Option::is_none) {
            return None;
        }
        let before = mean(&self.only(kept).recipes_for_all(targets, &closest));
        (0..self.stocks.len())
            .filter(|at| !kept.contains(at))
            .take(MOST_FURTHER)
            .map(|at| {
                let mut with = kept.to_vec();
                with.push(at);
                let after = mean(&self.only(&with).recipes_for_all(targets, &closest));
                (at, after)
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, after)| *after < before)
            .map(|(stock, after)| OneMore {
                stock,
                before: DeltaE00(before),
                after: DeltaE00(after),
            })
    }
}
