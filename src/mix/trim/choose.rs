//! The fewest paints with a way to every colour: branch and bound, one step deeper each time.

use super::options::{Options, PaintBits, Way};
use crate::mix::{PaintId, Search};
use std::collections::HashSet;

/// Sets looked at before the search gives up and keeps what it has.
const MOST_LOOKED_AT: usize = 300_000;
/// Sets of the least size that are compared by how near they come.
const MOST_COMPARED: usize = 400;

/// The paints that were chosen.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choice {
    /// Places in the shelf, in list order.
    pub(super) paints: Vec<PaintId>,
    /// No fewer added paints will do.
    pub(super) at_least: usize,
    /// True when that is as many as were added.
    pub(super) settled: bool,
}

/// The fewest paints beyond those owned.
pub(super) fn fewest(options: &Options, owned: &[PaintId], watched: &Search) -> Choice {
    watched.begin("choosing paints, sets tried", 0);
    let have = options
        .stocks
        .iter()
        .enumerate()
        .filter(|(_, stock)| owned.contains(stock))
        .fold(0, |set, (bit, _)| set | 1 << bit);
    let wanted: Vec<&[Way]> = options
        .of_target
        .iter()
        .filter(|ways| !ways.is_empty())
        .map(Vec::as_slice)
        .collect();
    let fallback = greedy(&wanted, have);
    let most = (fallback & !have).count_ones();
    let mut search = Deepening {
        wanted: &wanted,
        have,
        watched,
        seen: HashSet::new(),
        looked_at: 0,
        found: Vec::new(),
    };
    for budget in 0..=most {
        search.seen.clear();
        search.extend(have, budget);
        if let Some(best) = search.nearest() {
            return Choice {
                paints: places(options, best),
                at_least: usize::try_from(budget).unwrap_or(usize::MAX),
                settled: true,
            };
        }
        if search.looked_at > MOST_LOOKED_AT {
            return Choice {
                paints: places(options, fallback),
                at_least: usize::try_from(budget).unwrap_or(usize::MAX),
                settled: budget == most,
            };
        }
    }
    Choice {
        paints: places(options, fallback),
        at_least: usize::try_from(most).unwrap_or(usize::MAX),
        settled: true,
    }
}

fn places(options: &Options, set: PaintBits) -> Vec<PaintId> {
    let mut places: Vec<PaintId> = (0..options.stocks.len())
        .filter(|bit| set >> bit & 1 == 1)
        .map(|bit| options.stocks[bit])
        .collect();
    places.sort_unstable();
    places
}

struct Deepening<'a> {
    wanted: &'a [&'a [Way]],
    have: PaintBits,
    watched: &'a Search,
    seen: HashSet<PaintBits>,
    looked_at: usize,
    found: Vec<PaintBits>,
}

impl Deepening<'_> {
    /// Looks for sets that hold `set`, at most `budget` paints more, and a way for every colour.
    fn extend(&mut self, set: PaintBits, budget: u32) {
        if self.found.len() >= MOST_COMPARED
            || self.looked_at > MOST_LOOKED_AT
            || !self.seen.insert(set)
        {
            return;
        }
        self.looked_at += 1;
        self.watched.did_one();
        let mut narrowest: Option<Vec<PaintBits>> = None;
        for ways in self.wanted {
            if ways.iter().any(|way| way.paints & !set == 0) {
                continue;
            }
            let mut missing: Vec<PaintBits> = ways
                .iter()
                .map(|way| way.paints & !set)
                .filter(|missing| missing.count_ones() <= budget)
                .collect();
            if missing.is_empty() {
                return;
            }
            missing.sort_by_key(|missing| (missing.count_ones(), *missing));
            missing.dedup();
            if narrowest.as_ref().is_none_or(|n| missing.len() < n.len()) {
                narrowest = Some(missing);
            }
        }
        let Some(narrowest) = narrowest else {
            self.found.push(set);
            return;
        };
        for missing in narrowest {
            self.extend(set | missing, budget - missing.count_ones());
        }
    }

    /// The set, among those found, whose mixes come nearest in all.
    fn nearest(&self) -> Option<PaintBits> {
        let sum = |set: PaintBits| {
            self.wanted
                .iter()
                .map(|ways| {
                    ways.iter()
                        .filter(|way| way.paints & !set == 0)
                        .map(|way| way.difference)
                        .fold(f64::INFINITY, f64::min)
                })
                .sum::<f64>()
        };
        self.found.iter().copied().min_by(|a, b| {
            let added = |set: &PaintBits| (set & !self.have).count_ones();
            added(a)
                .cmp(&added(b))
                .then(sum(*a).total_cmp(&sum(*b)))
                .then(a.cmp(b))
        })
    }
}

/// The way that settles most colours for each paint it adds, again and again; then unneeded paints are dropped.
fn greedy(wanted: &[&[Way]], have: PaintBits) -> PaintBits {
    let held = |set: PaintBits, ways: &[Way]| ways.iter().any(|way| way.paints & !set == 0);
    let settled = |set: PaintBits| wanted.iter().filter(|ways| held(set, ways)).count();
    let mut set = have;
    while settled(set) < wanted.len() {
        let now = settled(set);
        let best = wanted
            .iter()
            .filter(|ways| !held(set, ways))
            .flat_map(|ways| ways.iter())
            .map(|way| {
                let gained = settled(set | way.paints) - now;
                #[expect(clippy::cast_precision_loss, reason = "a few dozen colours")]
                let worth = gained as f64 / f64::from((way.paints & !set).count_ones());
                (worth, way.paints)
            })
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let Some((_, paints)) = best else { break };
        set |= paints;
    }
    for bit in 0..PaintBits::BITS {
        let without = set & !(1 << bit);
        if without != set && have >> bit & 1 == 0 && settled(without) == settled(set) {
            set = without;
        }
    }
    set
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that look random (Knuth's multiplier) and are the same in every run.
    fn draw(state: &mut u64, most: u64) -> u64 {
        *state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (*state >> 33) % most
    }

    fn drawn(seed: u64, paints: u64, colours: usize) -> Options {
        let mut state = seed;
        let of_target = (0..colours)
            .map(|_| {
                (0..=draw(&mut state, 6))
                    .map(|_| {
                        let count = 1 + draw(&mut state, 3);
                        let paints =
                            (0..count).fold(0, |set, _| set | 1 << draw(&mut state, paints));
                        Way {
                            paints,
                            difference: 1.0,
                        }
                    })
                    .collect()
            })
            .collect();
        Options {
            stocks: (0..usize::try_from(paints).unwrap())
                .map(PaintId::at)
                .collect(),
            of_target,
            every_mix: true,
        }
    }

    #[test]
    fn no_smaller_set_does_it_and_greed_does_no_better() {
        for seed in 0..200 {
            let options = drawn(seed, 11, 7);
            let owned: &[PaintId] = if seed % 3 == 0 {
                &[PaintId::at(0), PaintId::at(4)]
            } else {
                &[]
            };
            let have = owned
                .iter()
                .fold(0, |set: PaintBits, bit| set | 1 << bit.place());
            let wanted: Vec<&[Way]> = options.of_target.iter().map(Vec::as_slice).collect();
            let does = |set: PaintBits| {
                wanted
                    .iter()
                    .all(|ways| ways.iter().any(|way| way.paints & !set == 0))
            };
            // Every set there is.
            let least = (0..1_u128 << 11)
                .map(|set| set | have)
                .filter(|set| does(*set))
                .map(|set| (set & !have).count_ones())
                .min()
                .unwrap();
            let choice = fewest(&options, owned, &Search::default());
            let chosen = choice
                .paints
                .iter()
                .fold(0, |set: PaintBits, bit| set | 1 << bit.place());
            assert!(choice.settled && does(chosen | have), "seed {seed}");
            assert_eq!((chosen & !have).count_ones(), least, "seed {seed}");
            assert!(least <= (greedy(&wanted, have) & !have).count_ones());
        }
    }
}
