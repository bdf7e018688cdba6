//! For each colour the sets of paints that bring it within the closeness.

use super::super::approach::{ROUGH, rough_colour};
use super::super::lanes::{PaintLane, colour_of};
use super::super::ratios::{coprime_ratios, subsets};
use super::super::search::covers;
use super::super::{PaintId, Rank, Search, Shelf};
use super::{EXACT_UP_TO, FilmWay};
use crate::colour::{LabD65, delta_e00, is_farther};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A set of paints, one bit each.
pub(super) type PaintBits = u128;
/// Most paints that a [`PaintBits`] can hold.
const MOST_PAINTS: usize = 128;
/// Sets a colour that the search is asked for on longer lists.
const ANSWERS: usize = 120;

/// One way to bring a colour within the closeness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    /// The paints.
    pub(super) paints: PaintBits,
    /// The best difference that their mixes reach.
    pub(super) difference: f64,
}

/// All ways, by colour.
#[derive(Debug, Clone)]
pub(super) struct Options {
    /// Place in the shelf of each bit.
    pub(super) stocks: Vec<PaintId>,
    /// The ways of each colour: none holds another.
    pub(super) of_target: Vec<Vec<Way>>,
    /// True when every mix of up to three paints was looked at.
    pub(super) every_mix: bool,
}

impl Options {
    pub(super) fn for_targets(
        shelf: &Shelf,
        targets: &[LabD65],
        within: &[f64],
        search: &Search,
    ) -> Self {
        if shelf.stocks().len() <= EXACT_UP_TO && search.most_paints <= 3 {
            Self::of_every_mix(shelf, targets, within, search)
        } else {
            Self::of_found_mixes(shelf, targets, within, search)
        }
    }

    fn of_every_mix(shelf: &Shelf, targets: &[LabD65], within: &[f64], search: &Search) -> Self {
        let mut of_target: Vec<Vec<Way>> = vec![Vec::new(); targets.len()];
        search.begin("looking at every mix", 0);
        for (_, members) in shelf.families() {
            let lanes = PaintLane::of_paints(shelf, members.iter().copied());
            for count in 1..=search.most_paints.min(3) {
                let ratios = coprime_ratios(count, search.most_parts);
                let sets = subsets(lanes.len(), count);
                search.expect(sets.len());
                let found: Vec<Vec<(usize, Way)>> = sets
                    .par_iter()
                    .map(|picked| {
                        let paints = picked
                            .iter()
                            .fold(0, |set, lane| set | 1 << members[*lane].place());
                        let open: Vec<usize> = (0..targets.len())
                            .filter(|t| of_target[*t].iter().all(|w| w.paints & !paints != 0))
                            .collect();
                        let open = OpenColours {
                            places: &open,
                            targets,
                            within,
                        };
                        let ways = ways(&lanes, picked, &ratios, open);
                        search.did_one();
                        ways.into_iter()
                            .map(|(t, difference)| (t, Way { paints, difference }))
                            .collect()
                    })
                    .collect();
                for (target, way) in found.into_iter().flatten() {
                    of_target[target].push(way);
                }
            }
        }
        Self {
            stocks: shelf.paints().collect(),
            of_target,
            every_mix: true,
        }
    }

    fn of_found_mixes(shelf: &Shelf, targets: &[LabD65], within: &[f64], search: &Search) -> Self {
        let with = |rank| Search {
            rank,
            answers: ANSWERS,
            ..*search
        };
        let fewer = |most_paints| Search {
            most_paints,
            ..with(Rank::ClosestOnPaper)
        };
        search.begin("mixing in many ways", 0);
        let mut found: Vec<BTreeMap<Vec<PaintId>, f64>> = vec![BTreeMap::new(); targets.len()];
        let how = [
            with(Rank::Soundest),
            with(Rank::ClosestOnPaper),
            fewer(2),
            fewer(1),
        ];
        for search in how {
            for ((ways, recipes), within) in found
                .iter_mut()
                .zip(shelf.recipes_for_all(targets, &search))
                .zip(within)
            {
                for recipe in recipes.iter().filter(|r| r.difference.0 <= *within) {
                    let mut paints: Vec<PaintId> = recipe.parts.iter().map(|(at, _)| *at).collect();
                    paints.sort_unstable();
                    let best = ways.entry(paints).or_insert(recipe.difference.0);
                    *best = best.min(recipe.difference.0);
                }
            }
        }
        let mut uses: BTreeMap<PaintId, usize> = BTreeMap::new();
        for stock in found.iter().flat_map(|ways| ways.keys().flatten()) {
            *uses.entry(*stock).or_default() += 1;
        }
        let mut stocks: Vec<PaintId> = uses.keys().copied().collect();
        stocks.sort_by_key(|at| (std::cmp::Reverse(uses[at]), *at));
        stocks.truncate(MOST_PAINTS);
        stocks.sort_unstable();
        let bit = |stock: &PaintId| stocks.binary_search(stock).ok().map(|i| 1_u128 << i);
        let of_target = found
            .into_iter()
            .map(|ways| {
                let all = ways.into_iter().filter_map(|(paints, difference)| {
                    let bits: Option<Vec<PaintBits>> = paints.iter().map(bit).collect();
                    let paints = bits?.into_iter().fold(0, |set, bit| set | bit);
                    Some(Way { paints, difference })
                });
                least(all.collect())
            })
            .collect();
        Self {
            stocks,
            of_target,
            every_mix: false,
        }
    }

    /// Adds a film as one more colour; ways with paints that have no bit any more are left out.
    pub(super) fn add_film<'a>(&mut self, ways: impl Iterator<Item = &'a FilmWay>) {
        let mut all = Vec::new();
        for way in ways {
            let mut paints = Some(0);
            for stock in &way.stocks {
                let bit = self.bit(*stock);
                paints = paints.zip(bit).map(|(set, bit)| set | bit);
            }
            all.extend(paints.map(|paints| Way {
                paints,
                difference: way.off.0,
            }));
        }
        self.of_target.push(least(all));
    }

    /// The bit of a paint, which gets one if it has none and there is room.
    fn bit(&mut self, stock: PaintId) -> Option<PaintBits> {
        let at = self.stocks.iter().position(|has| *has == stock);
        let at = at.or_else(|| {
            (self.stocks.len() < MOST_PAINTS).then(|| {
                self.stocks.push(stock);
                self.stocks.len() - 1
            })
        })?;
        Some(1 << at)
    }
}

/// Ways none of which holds another.
fn least(mut all: Vec<Way>) -> Vec<Way> {
    all.sort_by(|a, b| {
        (a.paints.count_ones(), a.paints)
            .cmp(&(b.paints.count_ones(), b.paints))
            .then(a.difference.total_cmp(&b.difference))
    });
    let mut least: Vec<Way> = Vec::new();
    for way in all {
        if least.iter().all(|w| w.paints & !way.paints != 0) {
            least.push(way);
        }
    }
    least
}

/// Colours that no fewer paints bring within their closeness yet.
#[derive(Clone, Copy)]
struct OpenColours<'a> {
    /// Their places among all that are wanted.
    places: &'a [usize],
    targets: &'a [LabD65],
    within: &'a [f64],
}

/// Which of the open colours these paints bring within the closeness, and how near.
fn ways(
    lanes: &[PaintLane],
    picked: &[usize],
    ratios: &[Vec<u32>],
    open: OpenColours<'_>,
) -> Vec<(usize, f64)> {
    let OpenColours {
        places: open,
        targets,
        within,
    } = open;
    if open.is_empty() {
        return Vec::new();
    }
    let mut best = vec![f64::INFINITY; open.len()];
    for ratio in ratios {
        let of_lanes = picked.iter().map(|lane| &lanes[*lane]);
        if !covers(of_lanes.zip(ratio.iter().copied())) {
            continue;
        }
        let parts: Vec<(usize, f64)> = picked
            .iter()
            .copied()
            .zip(ratio.iter().map(|p| f64::from(*p)))
            .collect();
        let rough = rough_colour(lanes, &parts);
        let mut exact = None;
        for (best, at) in best.iter_mut().zip(open) {
            let most = within[*at].min(*best);
            if !is_farther(targets[*at], rough, ROUGH, most) {
                let mix = *exact.get_or_insert_with(|| colour_of(lanes, &parts));
                let difference = delta_e00(targets[*at], mix).0;
                if difference <= most {
                    *best = difference;
                }
            }
        }
    }
    open.iter()
        .copied()
        .zip(best)
        .filter(|(_, difference)| difference.is_finite())
        .collect()
}
