//! The fewest paints that still mix a set of colours, each within a closeness.
//!
//! In: a shelf, colours, films, a closeness. Out: a [`Trim`]. For short lists it looks at every mix and finds the set
//! by branch and bound. For longer ones it takes the mixes that the search finds, and reports the proven bound.

mod choose;
mod further;
mod options;

use super::{PaintId, Recipe, Search, Shelf};
use crate::colour::{DeltaE00, LabD65};
use choose::Choice;
use further::{Near, mean};
use options::Options;
use rayon::prelude::*;

/// Lists up to this many mixable paints are settled exactly.
pub const EXACT_UP_TO: usize = 30;
/// Further paints that are tried as the one more, at most.
const MOST_FURTHER: usize = 60;

/// What is out of reach may come out worse by this much, or by that share, than with all paints at hand. Our choice: so
/// that no paint is kept for what no eye sees.
const SLACK: f64 = 0.5;
const SLACK_SHARE: f64 = 0.1;

/// What a set of paints is to do.
#[derive(Debug, Clone, Copy)]
pub struct TrimWish<'a> {
    /// Colours to be mixed opaque.
    pub colours: &'a [LabD65],
    /// How near each is to come, by predicted CIEDE2000.
    pub within: f64,
    /// Places in [`Shelf::stocks`] of paints that need not be added.
    pub owned: &'a [PaintId],
}

/// A film, which a shelf cannot solve by itself: sets of paints that were tried for it.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmWish {
    /// What was tried.
    pub ways: Vec<FilmWay>,
    /// How far off it is as planned.
    pub planned: DeltaE00,
}

/// A set of paints and how far off the film is that they make.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmWay {
    /// Places in [`Shelf::stocks`].
    pub stocks: Vec<PaintId>,
    /// How far off, CIEDE2000.
    pub off: DeltaE00,
}

/// The smallest set that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    /// Places in [`Shelf::stocks`] of the paints to keep or buy, in list order. Owned paints that nothing uses are not
    /// among them.
    pub paints: Vec<PaintId>,
    /// The ones of these that the builder does not have yet.
    pub added: Vec<PaintId>,
    /// No set with fewer added paints than this does it: for opaque colours among the mixes looked at. Films may ask for
    /// more.
    pub at_least: usize,
    /// True when every mix was looked at and no smaller set exists.
    pub exact: bool,
    /// For each wanted colour, its best mix from these paints; `None` when nothing mixes.
    pub recipes: Vec<Option<Recipe>>,
    /// For each wanted film, its paints; `None` when nothing was found for it.
    pub films: Vec<Option<FilmWay>>,
    /// Colours that not even the whole list brings within the closeness, by place. They come out about as well as all
    /// paints at hand can do.
    pub beyond: Vec<usize>,
    /// Films that not even the whole list brings within the closeness, by place.
    pub films_beyond: Vec<usize>,
    /// What one more paint of the list would gain.
    pub one_more: Option<OneMore>,
}

/// What one more paint would gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneMore {
    /// Place in [`Shelf::stocks`].
    pub stock: PaintId,
    /// Mean difference of all opaque colours without it.
    pub before: DeltaE00,
    /// Mean difference with it.
    pub after: DeltaE00,
}

impl Trim {
    /// What a paint is for: the colours whose mix it is in, by place.
    #[must_use]
    pub fn used_for(&self, stock: PaintId) -> Vec<usize> {
        let holds = |recipe: &Option<Recipe>| {
            let recipe = recipe.as_ref();
            recipe.is_some_and(|recipe| recipe.parts.iter().any(|(s, _)| *s == stock))
        };
        let used = self.recipes.iter().enumerate();
        used.filter(|(_, r)| holds(r)).map(|(at, _)| at).collect()
    }

    /// The films that are laid with it, by place.
    #[must_use]
    pub fn films_of(&self, stock: PaintId) -> Vec<usize> {
        let holds = |way: &Option<FilmWay>| {
            let way = way.as_ref();
            way.is_some_and(|way| way.stocks.contains(&stock))
        };
        let used = self.films.iter().enumerate();
        used.filter(|(_, way)| holds(way))
            .map(|(at, _)| at)
            .collect()
    }

    /// True when everything comes within the closeness.
    #[must_use]
    pub fn reaches_all(&self) -> bool {
        self.beyond.is_empty() && self.films_beyond.is_empty()
    }
}

/// What is good enough where `best` is the best at hand.
fn with_slack(best: f64) -> f64 {
    best + SLACK.max(SLACK_SHARE * best)
}

impl Shelf {
    /// The same shelf with these paints alone; places in [`Shelf::stocks`] stay.
    #[must_use]
    pub fn only(&self, stocks: &[PaintId]) -> Self {
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

    /// Looks which paints do for each colour, and chooses the fewest, beyond those owned, that do for all of them. What
    /// nothing brings within the closeness is to come out about as well as all paints at hand can do. Among sets of the
    /// same size the one that comes nearest is taken.
    #[must_use]
    pub fn trimming<'a>(&'a self, wish: TrimWish<'a>, search: &Search) -> Trimming<'a> {
        search.begin("mixing", 0);
        let mut limits = self.limits(&wish, search);
        let mut options = Options::for_targets(self, wish.colours, &limits, search);
        let mut beyond = Vec::new();
        for (at, (limit, ways)) in limits.iter_mut().zip(&mut options.of_target).enumerate() {
            if ways.iter().any(|way| way.difference <= wish.within) {
                // What is looked at here may reach what the search for limits did not.
                *limit = wish.within;
                ways.retain(|way| way.difference <= wish.within);
            } else {
                beyond.push(at);
            }
        }
        let for_colours = choose::fewest(&options, wish.owned, search);
        Trimming {
            shelf: self,
            wish,
            search: Search {
                answers: 1,
                ..*search
            },
            options,
            limits,
            beyond,
            for_colours,
        }
    }

    /// How near each colour is to come: within what is asked or, where the whole list does not bring it so near, about as
    /// near as the paints at hand do: those owned, or the whole list where none is.
    fn limits(&self, wish: &TrimWish<'_>, search: &Search) -> Vec<f64> {
        let closest = Search {
            rank: super::Rank::ClosestOnPaper,
            answers: 1,
            ..*search
        };
        let best = |shelf: &Self| -> Vec<Option<f64>> {
            shelf
                .recipes_for_all(wish.colours, &closest)
                .iter()
                .map(|recipes| recipes.first().map(|recipe| recipe.difference.0))
                .collect()
        };
        let of_list = best(self);
        let reached = |best: &Option<f64>| best.is_some_and(|best| best <= wish.within);
        let at_hand = if wish.owned.is_empty() || of_list.iter().all(reached) {
            of_list.clone()
        } else {
            best(&self.only(wish.owned))
        };
        of_list
            .iter()
            .zip(at_hand)
            .map(|(best, at_hand)| match at_hand {
                Some(at_hand) if !reached(best) => with_slack(at_hand).max(wish.within),
                _ => wish.within,
            })
            .collect()
    }

    /// The soundest mix of each colour that is within the closeness, or the nearest where none is.
    fn mixes_within(
        &self,
        stocks: &[PaintId],
        targets: &[LabD65],
        within: &[f64],
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
            .zip(within)
            .map(|((sound, close), within)| {
                sound
                    .into_iter()
                    .find(|recipe| recipe.difference.0 <= *within)
                    .or_else(|| close.into_iter().next())
            })
            .collect()
    }

    fn one_more(
        &self,
        kept: &[PaintId],
        targets: &[LabD65],
        recipes: &[Option<Recipe>],
        search: &Search,
    ) -> Option<OneMore> {
        let closest = Search {
            rank: super::Rank::ClosestOnPaper,
            answers: 1,
            ..*search
        };
        if recipes.iter().all(Option::is_none) {
            return None;
        }
        let of_kept = self.only(kept);
        let best: Vec<Option<Near>> = of_kept
            .recipes_for_all(targets, &closest)
            .iter()
            .map(|recipes| recipes.first().map(Near::of_recipe))
            .collect();
        let before = mean(&best);
        let further: Vec<PaintId> = self
            .paints()
            .filter(|at| !kept.contains(at))
            .take(MOST_FURTHER)
            .collect();
        let so_far = further::BestSoFar {
            targets,
            best: &best,
        };
        search.begin("one paint more", further.len());
        let unwatched = Search {
            meter: None,
            ..closest
        };
        further
            .into_par_iter()
            .map(|at| {
                let after = if search.most_paints <= 3 {
                    further::with_one_more(self, kept, at, so_far, search)
                } else {
                    let with = [kept, &[at]].concat();
                    let recipes = self.only(&with).recipes_for_all(targets, &unwatched);
                    let recipes = recipes.iter();
                    recipes.map(|r| r.first().map(Near::of_recipe)).collect()
                };
                search.did_one();
                (at, mean(&after))
            })
            .collect::<Vec<_>>()
            .into_iter()
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, after)| *after < before)
            .map(|(stock, after)| OneMore {
                stock,
                before: DeltaE00(before),
                after: DeltaE00(after),
            })
    }
}

/// The fewest paints for some colours, before films are thought of.
#[derive(Debug)]
pub struct Trimming<'a> {
    shelf: &'a Shelf,
    wish: TrimWish<'a>,
    search: Search,
    options: Options,
    limits: Vec<f64>,
    beyond: Vec<usize>,
    for_colours: Choice,
}

impl Trimming<'_> {
    /// The paints that the colours alone ask for, beyond those owned.
    #[must_use]
    pub fn for_colours(&self) -> &[PaintId] {
        &self.for_colours.paints
    }

    /// The fewest paints for the colours and these films together.
    #[must_use]
    pub fn with_films(mut self, films: &[FilmWish]) -> Trim {
        let TrimWish { within, owned, .. } = self.wish;
        let (limits, films_beyond) = limits_of(films, within);
        for (film, limit) in films.iter().zip(&limits) {
            let good_enough = film.ways.iter().filter(|way| way.off.0 <= *limit);
            self.options.add_film(good_enough);
        }
        let bound = self.for_colours.clone();
        let chosen = if films.is_empty() {
            bound.clone()
        } else {
            choose::fewest(&self.options, owned, &self.search)
        };
        let mut kept = chosen.paints;
        kept.extend(owned.iter().filter(|at| self.shelf.get(**at).is_some()));
        kept.sort_unstable();
        kept.dedup();
        let colours = self.wish.colours;
        self.search.begin("mixing", 0);
        let recipes = self
            .shelf
            .mixes_within(&kept, colours, &self.limits, &self.search);
        let mut used: Vec<PaintId> = recipes
            .iter()
            .flatten()
            .flat_map(|recipe| recipe.parts.iter().map(|(at, _)| *at))
            .collect();
        let laid: Vec<Option<FilmWay>> = films
            .iter()
            .zip(limits)
            .map(|(film, limit)| {
                let way = film.best_of(&kept, limit, &used).cloned();
                used.extend(way.iter().flat_map(|way| way.stocks.iter().copied()));
                way
            })
            .collect();
        used.sort_unstable();
        used.dedup();
        let added: Vec<PaintId> = (used.iter().copied())
            .filter(|at| !owned.contains(at))
            .collect();
        // What colours alone ask for is proven. Not every set of paints was tried for films: more than that is not proven.
        let proven = films.is_empty() || added.len() == bound.at_least;
        let one_more = self.shelf.one_more(&used, colours, &recipes, &self.search);
        Trim {
            paints: used,
            added,
            at_least: bound.at_least,
            exact: bound.settled && proven && self.options.every_mix,
            recipes,
            films: laid,
            beyond: self.beyond,
            films_beyond,
            one_more,
        }
    }
}

/// How far each film may be off, and the places of those that no way brings within the limit.
fn limits_of(films: &[FilmWish], within: f64) -> (Vec<f64>, Vec<usize>) {
    let mut beyond = Vec::new();
    let limits = films.iter().enumerate().map(|(at, film)| {
        if film.ways.iter().any(|way| way.off.0 <= within) {
            within
        } else {
            beyond.push(at);
            with_slack(film.planned.0)
        }
    });
    (limits.collect(), beyond)
}

impl FilmWish {
    /// The way with the fewest paints not yet used, among those that are near enough and need kept paints alone.
    fn best_of(&self, kept: &[PaintId], limit: f64, used: &[PaintId]) -> Option<&FilmWay> {
        let further = |way: &FilmWay| way.stocks.iter().filter(|at| !used.contains(at)).count();
        self.ways
            .iter()
            .filter(|way| way.off.0 <= limit && way.stocks.iter().all(|at| kept.contains(at)))
            .min_by(|a, b| {
                further(a)
                    .cmp(&further(b))
                    .then(a.off.0.total_cmp(&b.off.0))
            })
    }
}
