//! The search for whole parts.
//!
//! Short lists are searched exhaustively. On longer ones all single paints and pairs are, the best pairs are given each
//! other paint at its best real-valued share (damped Gauss–Newton), and the best of those are rounded to whole parts.

use super::lanes::{Approach, Lane, MOST, colour_of};
use super::ratios::{coprime_ratios, greatest_common_divisor, subsets};
use super::{Closeness, Recipe, Shelf, uncertainty};
use crate::colour::{LabD65, delta_e00, least_delta_e00};
use crate::paint::MixingFamily;
use crate::work::Meter;
use std::collections::BTreeSet;

/// What recipes are ranked by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rank {
    /// By what will hold at the bench: closeness, but also how far the paints stand from the mix, how many they are,
    /// and what half a part too much does.
    #[default]
    Soundest,
    /// By the predicted difference alone.
    ClosestOnPaper,
}

/// How to search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Search {
    /// Most paints in a pot, 1 to 4.
    pub most_paints: usize,
    /// Most parts in all.
    pub most_parts: u32,
    /// What recipes are ranked by.
    pub rank: Rank,
    /// Most answers.
    pub answers: usize,
    /// What watches the work; told to stop, a search gives what it has found by then.
    pub meter: Option<&'static Meter>,
}

impl Search {
    /// Whether the work is told to stop.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.meter.is_some_and(Meter::is_over)
    }

    /// Tells whoever watches that so many more steps will come.
    pub fn expect(&self, steps: usize) {
        if let Some(meter) = self.meter {
            meter.expect(steps);
        }
    }

    /// Tells whoever watches that a step is done.
    pub fn did_one(&self) {
        if let Some(meter) = self.meter {
            meter.did_one();
        }
    }
}

impl Default for Search {
    fn default() -> Self {
        Self {
            most_paints: 3,
            most_parts: 12,
            rank: Rank::Soundest,
            answers: 5,
            meter: None,
        }
    }
}

/// Lists up to so many paints are searched exhaustively up to three paints a pot.
const SHORT_LIST: usize = 16;
/// Pairs that are given a third paint.
const BEST_PAIRS: usize = 150;
/// Pairs that are tried in all ratios, after all pairs were in a few.
const LIKELY_PAIRS: usize = 800;
/// After so many pairs it is asked whether the work is told to stop.
const LOOK_UP_EVERY: usize = 4096;
const FEW_RATIOS: [[f64; 2]; 9] = [
    [11.0, 1.0],
    [6.0, 1.0],
    [3.0, 1.0],
    [5.0, 3.0],
    [1.0, 1.0],
    [3.0, 5.0],
    [1.0, 3.0],
    [1.0, 6.0],
    [1.0, 11.0],
];
/// Triples that are rounded.
const BEST_TRIPLES: usize = 300;
/// Candidates whose half-part slip is worked out at least, and at most.
const BEST_CANDIDATES: usize = 200;
const MOST_SLIPS: usize = 4 * BEST_CANDIDATES;

/// Share at which a further paint joins a mix.
const NEW_SHARE: f64 = 0.08;

/// How mixes are widened by one paint.
struct Widen {
    /// Steps towards the target that every mix is given.
    first_steps: usize,
    /// So many go on from there.
    likely: usize,
    /// Steps they are given beyond the first.
    further_steps: usize,
    /// So many of them are rounded to whole parts.
    kept: usize,
    /// So many of those in all ratios, not only those near by.
    in_all_ratios: usize,
}

/// From two paints to three, from three to four.
const WIDEN: [Widen; 2] = [
    Widen {
        first_steps: 2,
        likely: 3000,
        further_steps: 4,
        kept: BEST_TRIPLES,
        in_all_ratios: BEST_TRIPLES / 4,
    },
    Widen {
        first_steps: 2,
        likely: 3000,
        further_steps: 2,
        kept: 2 * BEST_TRIPLES,
        in_all_ratios: 0,
    },
];

/// What a further paint and a further part cost in rank.
const PER_PAINT: f64 = 0.5;
const PER_PART: f64 = 0.05;
/// What a difference of 1 by half a part too much or too little costs in rank.
const PER_SLIP: f64 = 0.25;

#[derive(Clone)]
struct Candidate {
    parts: Vec<(usize, u32)>,
    rank: f64,
    slip: f64,
    /// Far off on paper.
    far: bool,
}

fn real(parts: &[(usize, u32)]) -> Vec<(usize, f64)> {
    parts
        .iter()
        .map(|(lane, p)| (*lane, f64::from(*p)))
        .collect()
}

/// The best so many of what is put in, and the rank that it takes to be among them.
struct Best<T> {
    all: Vec<(f64, T)>,
    most: usize,
    cutoff: f64,
}

impl<T: Clone> Best<T> {
    fn of(most: usize) -> Self {
        Self {
            all: Vec::new(),
            most,
            cutoff: f64::INFINITY,
        }
    }

    fn put(&mut self, rank: f64, what: T) {
        if rank > self.cutoff {
            return;
        }
        self.all.push((rank, what));
        if self.all.len() >= 2 * self.most {
            self.sort();
            self.cutoff = self.all.last().map_or(f64::INFINITY, |(rank, _)| *rank);
        }
    }

    /// Best first; equals stay in the order they were put in.
    fn sort(&mut self) {
        self.all.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.all.truncate(self.most);
    }

    fn sorted(mut self) -> Vec<T> {
        self.sort();
        self.all.into_iter().map(|(_, what)| what).collect()
    }
}

struct Bench<'a> {
    lanes: &'a [Lane],
    target: LabD65,
    search: &'a Search,
    /// Whole-part ratios of one, two, … paints.
    ratios: [Vec<Vec<u32>>; MOST],
}

impl Bench<'_> {
    /// Puts a mix of whole parts among the best, by J without the half-part slip.
    fn judge(&self, parts: &[(usize, u32)], found: &mut Best<Candidate>) {
        let parts_real = real(parts);
        let total: f64 = parts_real.iter().map(|(_, p)| p).sum();
        let fuss = match self.search.rank {
            Rank::ClosestOnPaper => 1e-6 * PER_PART * total,
            Rank::Soundest => PER_PART * total,
        };
        let Some(rank) = self.rank(&parts_real, found.cutoff - fuss) else {
            return;
        };
        let rank = rank + fuss;
        let candidate = Candidate {
            parts: parts.to_vec(),
            rank,
            slip: 0.0,
            far: false,
        };
        found.put(rank, candidate);
    }

    /// J of a mix without what counts only whole parts; `None` when that exceeds `cutoff`.
    fn rank(&self, parts: &[(usize, f64)], cutoff: f64) -> Option<f64> {
        self.rank_of(parts, colour_of(self.lanes, parts), cutoff)
    }

    /// The same for a mix whose colour is known. What is cheap to know comes first: lightness, then the difference, and
    /// only then how far each paint stands from the mix.
    fn rank_of(&self, parts: &[(usize, f64)], mix: LabD65, cutoff: f64) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "at most four paints")]
        let fuss = PER_PAINT * (parts.len() as f64 - 1.0);
        if self.search.rank == Rank::ClosestOnPaper {
            let rank = delta_e00(self.target, mix).0 + 1e-6 * fuss;
            return (rank <= cutoff).then_some(rank);
        }
        let h = if parts.iter().all(|(lane, _)| self.lanes[*lane].sound) {
            0.15
        } else {
            0.35
        };
        let total: f64 = parts.iter().map(|(_, p)| p).sum();
        let apart = |measure: fn(LabD65, LabD65) -> f64| {
            parts
                .iter()
                .map(|(lane, p)| p * measure(self.lanes[*lane].lab, mix))
                .sum::<f64>()
                / total
        };
        let least_apart = h * apart(least_delta_e00);
        if least_delta_e00(self.target, mix).hypot(least_apart) + fuss > cutoff {
            return None;
        }
        let difference = delta_e00(self.target, mix).0;
        if difference.hypot(least_apart) + fuss > cutoff {
            return None;
        }
        let rank = difference.hypot(h * apart(|one, other| delta_e00(one, other).0)) + fuss;
        (rank <= cutoff).then_some(rank)
    }

    /// Mean difference of the mix from itself with each part in turn half a part more and less.
    fn slip(&self, parts: &[(usize, u32)]) -> f64 {
        if parts.len() < 2 {
            return 0.0;
        }
        let exact = real(parts);
        let mix = colour_of(self.lanes, &exact);
        let mut sum = 0.0;
        let mut count = 0.0;
        for i in 0..exact.len() {
            for step in [-0.5, 0.5] {
                let mut slipped = exact.clone();
                slipped[i].1 += step;
                sum += delta_e00(mix, colour_of(self.lanes, &slipped)).0;
                count += 1.0;
            }
        }
        sum / count
    }

    fn is_far(&self, parts: &[(usize, u32)]) -> bool {
        let mix = colour_of(self.lanes, &real(parts));
        Closeness::of(delta_e00(self.target, mix)) == Closeness::Far
    }

    /// All whole-part ratios of these lanes, each judged.
    fn all_ratios(&self, lanes: &[usize], found: &mut Best<Candidate>) {
        for ratio in &self.ratios[lanes.len() - 1] {
            let parts: Vec<(usize, u32)> =
                lanes.iter().copied().zip(ratio.iter().copied()).collect();
            self.judge(&parts, found);
        }
    }

    /// Ratios near given shares: for every total, each share rounded down, one less and one more.
    fn near_ratios(&self, shares: &[(usize, f64)], found: &mut Best<Candidate>) {
        let count = shares.len();
        let mut tried: Vec<Vec<u32>> = Vec::new();
        for total in u32::try_from(count).unwrap_or(1)..=self.search.most_parts {
            for choice in 0..3_usize.pow(u32::try_from(count - 1).unwrap_or(0)) {
                let mut digits = choice;
                let mut ratio = Vec::with_capacity(count);
                let mut left = i64::from(total);
                for (_, share) in &shares[1..] {
                    #[expect(
                        clippy::cast_possible_truncation,
                        reason = "a share of at most a few dozen parts"
                    )]
                    let floor = (share * f64::from(total)).floor() as i64;
                    let part = floor + i64::try_from(digits % 3).unwrap_or(0) - 1;
                    digits /= 3;
                    ratio.push(part);
                    left -= part;
                }
                ratio.insert(0, left);
                if ratio.iter().any(|p| *p < 1) {
                    continue;
                }
                let ratio: Vec<u32> = ratio
                    .into_iter()
                    .filter_map(|p| u32::try_from(p).ok())
                    .collect();
                if greatest_common_divisor(&ratio) == 1 && !tried.contains(&ratio) {
                    let parts: Vec<(usize, u32)> = shares
                        .iter()
                        .map(|(lane, _)| *lane)
                        .zip(ratio.iter().copied())
                        .collect();
                    self.judge(&parts, found);
                    tried.push(ratio);
                }
            }
        }
    }

    /// Every mix of up to `most` of all lanes.
    fn exhaustive(&self, most: usize) -> Vec<Candidate> {
        let mut found = Best::of(MOST_SLIPS);
        for count in 1..=most {
            for lanes in subsets(self.lanes.len(), count) {
                self.all_ratios(&lanes, &mut found);
            }
        }
        found.sorted()
    }

    /// The pairs that look best at a few ratios, best first.
    fn likely_pairs(&self) -> Vec<Vec<usize>> {
        let mut pairs = Best::of(LIKELY_PAIRS);
        for (at, lanes) in subsets(self.lanes.len(), 2).into_iter().enumerate() {
            if at % LOOK_UP_EVERY == 0 && self.search.is_over() {
                break;
            }
            let mut best = f64::INFINITY;
            for [a, b] in FEW_RATIOS {
                let cutoff = best.min(pairs.cutoff);
                if let Some(rank) = self.rank(&[(lanes[0], a), (lanes[1], b)], cutoff) {
                    best = rank;
                }
            }
            if best.is_finite() {
                pairs.put(best, lanes);
            }
        }
        pairs.sorted()
    }

    /// Each start with each further lane at its best real-valued share: first a short way for all, then the rest of it
    /// for those that look best by then.
    fn one_more(&self, starts: &[Vec<(usize, u32)>], how: &Widen) -> Vec<Vec<(usize, f64)>> {
        let mut seen = BTreeSet::new();
        let mut short = Best::of(how.likely);
        for start in starts {
            if self.search.is_over() {
                break;
            }
            let total: f64 = start.iter().map(|(_, p)| f64::from(*p)).sum();
            for lane in 0..self.lanes.len() {
                if start.iter().any(|(l, _)| *l == lane) {
                    continue;
                }
                let mut key: Vec<usize> = start.iter().map(|(l, _)| *l).collect();
                key.push(lane);
                key.sort_unstable();
                if !seen.insert(key) {
                    continue;
                }
                let mut parts: Vec<(usize, f64)> = start
                    .iter()
                    .map(|(l, p)| (*l, (1.0 - NEW_SHARE) * f64::from(*p) / total))
                    .collect();
                parts.push((lane, NEW_SHARE));
                let mut approach = Approach::from(self.lanes, parts);
                self.walk(&mut approach, how.first_steps);
                if let Some(rank) = self.rank_of(&approach.parts, approach.mix, short.cutoff) {
                    short.put(rank, approach);
                }
            }
        }
        let mut kept = Best::of(how.kept);
        for mut approach in short.sorted() {
            self.walk(&mut approach, how.further_steps);
            if let Some(rank) = self.rank_of(&approach.parts, approach.mix, kept.cutoff) {
                kept.put(rank, approach.shares());
            }
        }
        kept.sorted()
    }

    fn walk(&self, approach: &mut Approach, steps: usize) {
        for _ in 0..steps {
            if approach.arrived {
                break;
            }
            approach.step(self.lanes, self.target);
        }
    }

    fn widened(&self) -> Vec<Candidate> {
        let mut found = Best::of(MOST_SLIPS);
        for lane in 0..self.lanes.len() {
            self.all_ratios(&[lane], &mut found);
        }
        let mut starts: Vec<Vec<(usize, u32)>> = Vec::new();
        for (i, pair) in self.likely_pairs().iter().enumerate() {
            if i < BEST_PAIRS {
                let mut of_pair = Best::of(1);
                self.all_ratios(pair, &mut of_pair);
                starts.extend(of_pair.sorted().into_iter().map(|best| best.parts));
            }
            self.all_ratios(pair, &mut found);
        }
        for how in WIDEN.iter().take(self.search.most_paints.saturating_sub(2)) {
            let mut widened = Best::of(MOST_SLIPS);
            for (i, shares) in self.one_more(&starts, how).into_iter().enumerate() {
                if i < how.in_all_ratios {
                    let lanes: Vec<usize> = shares.iter().map(|(lane, _)| *lane).collect();
                    self.all_ratios(&lanes, &mut widened);
                } else {
                    self.near_ratios(&shares, &mut widened);
                }
            }
            let widened = widened.sorted();
            starts = widened
                .iter()
                .take(BEST_TRIPLES)
                .map(|c| c.parts.clone())
                .collect();
            for candidate in widened {
                found.put(candidate.rank, candidate);
            }
        }
        found.sorted()
    }
}

/// Recipes from paints that may be stirred together, best first.
pub(super) fn recipes(
    shelf: &Shelf,
    family: MixingFamily,
    members: &[usize],
    target: LabD65,
    search: &Search,
) -> Vec<Recipe> {
    let lanes: Vec<Lane> = members
        .iter()
        .map(|at| Lane::new(*at, &shelf.stocks()[*at]))
        .collect();
    let bench = Bench {
        lanes: &lanes,
        target,
        search,
        ratios: std::array::from_fn(|i| coprime_ratios(i + 1, search.most_parts)),
    };
    let most = search.most_paints.clamp(1, 4);
    let mut found = if most <= 2 || (lanes.len() <= SHORT_LIST && most == 3) {
        bench.exhaustive(most)
    } else {
        bench.widened()
    };
    if search.rank == Rank::Soundest {
        // Slip only adds: once a candidate is out of a tie without it, so are all that follow.
        let mut least = f64::INFINITY;
        let mut within = 0;
        for candidate in &mut found {
            if candidate.rank > least + TIE && within >= BEST_CANDIDATES {
                break;
            }
            candidate.slip = bench.slip(&candidate.parts);
            candidate.far = bench.is_far(&candidate.parts);
            candidate.rank += PER_SLIP * candidate.slip;
            least = least.min(candidate.rank);
            within += 1;
        }
        found.truncate(within);
    }
    let found = distinct(found, search.rank, search.answers);
    found
        .into_iter()
        .map(|candidate| {
            let mut parts: Vec<(usize, u32)> = candidate
                .parts
                .iter()
                .map(|(lane, p)| (lanes[*lane].stock, *p))
                .collect();
            parts.sort_by_key(|(stock, p)| (std::cmp::Reverse(*p), *stock));
            let exact = real(&parts);
            let colour = colour_of(&lanes, &real(&candidate.parts));
            Recipe {
                uncertainty: uncertainty(shelf, &exact, colour),
                parts,
                colour,
                difference: delta_e00(target, colour),
                family,
                rank: candidate.rank,
            }
        })
        .collect()
}

/// Ranks within so much of each other count as equal: then one that is not far off, fewer paints, fewer parts, a smaller
/// slip, list order. A single paint that is far off is no better for being simple.
const TIE: f64 = 0.5;

/// Picks up to `answers` candidates that differ in at least one paint.
fn distinct(mut found: Vec<Candidate>, rank: Rank, answers: usize) -> Vec<Candidate> {
    let mut picked: Vec<Candidate> = Vec::new();
    let paints = |c: &Candidate| {
        let mut lanes: Vec<usize> = c.parts.iter().map(|(lane, _)| *lane).collect();
        lanes.sort_unstable();
        lanes
    };
    let tie = if rank == Rank::Soundest { TIE } else { 1e-9 };
    while picked.len() < answers {
        let Some(best) = found.iter().map(|c| c.rank).min_by(f64::total_cmp) else {
            break;
        };
        let Some(choice) = found
            .iter()
            .enumerate()
            .filter(|(_, c)| c.rank <= best + tie)
            .min_by(|(_, a), (_, b)| {
                let parts = |c: &Candidate| c.parts.iter().map(|(_, p)| p).sum::<u32>();
                a.far
                    .cmp(&b.far)
                    .then(a.parts.len().cmp(&b.parts.len()))
                    .then(parts(a).cmp(&parts(b)))
                    .then(a.slip.total_cmp(&b.slip))
                    .then_with(|| paints(a).cmp(&paints(b)))
            })
            .map(|(i, _)| i)
        else {
            break;
        };
        let chosen = found.swap_remove(choice);
        let its_paints = paints(&chosen);
        found.retain(|c| paints(c) != its_paints);
        picked.push(chosen);
    }
    picked
}

/// What another medium than most of the list costs in rank: another thinner, another drying time, and for solvents more
/// care. Our choice.
const OTHER_MEDIUM: f64 = 1.5;

/// Merges the recipes of several families, the largest family first, each family's own order kept: that order already
/// prefers fewer paints within a tie.
pub(super) fn merged(by_family: Vec<Vec<Recipe>>, rank: Rank) -> Vec<Recipe> {
    let mut keyed: Vec<(f64, Recipe)> = Vec::new();
    for (i, recipes) in by_family.into_iter().enumerate() {
        let cost = if i > 0 && rank == Rank::Soundest {
            OTHER_MEDIUM
        } else {
            0.0
        };
        let mut key = f64::NEG_INFINITY;
        for recipe in recipes {
            key = key.max(recipe.rank + cost);
            keyed.push((key, recipe));
        }
    }
    keyed.sort_by(|a, b| a.0.total_cmp(&b.0));
    keyed.into_iter().map(|(_, recipe)| recipe).collect()
}
