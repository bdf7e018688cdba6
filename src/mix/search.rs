//! The search for whole parts.
//!
//! Short lists are searched exhaustively. On longer ones all single paints and pairs are, the best pairs are given each
//! other paint at its best real-valued share (damped Gauss–Newton), and the best of those are rounded to whole parts.

use super::{Recipe, Shelf, Stock, StrengthFrom, uncertainty};
use crate::colour::{BANDS, LabD65, Xyz, d65_weights, delta_e00};
use crate::linear::{dot, solve};
use crate::paint::{MixingFamily, endless_layer};

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
}

impl Default for Search {
    fn default() -> Self {
        Self {
            most_paints: 3,
            most_parts: 12,
            rank: Rank::Soundest,
            answers: 5,
        }
    }
}

/// Lists up to so many paints are searched exhaustively up to three paints a pot.
const SHORT_LIST: usize = 16;
/// Pairs that are given a third paint.
const BEST_PAIRS: usize = 150;
/// Pairs that are tried in all ratios, after all pairs were in a few.
const LIKELY_PAIRS: usize = 800;
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

/// What a further paint and a further part cost in rank.
const PER_PAINT: f64 = 0.5;
const PER_PART: f64 = 0.05;
/// What a difference of 1 by half a part too much or too little costs in rank.
const PER_SLIP: f64 = 0.25;

/// A paint as the inner loop wants it: s·q and s a band.
struct Lane {
    stock: usize,
    absorption: [f64; BANDS],
    scattering: [f64; BANDS],
    residual: Xyz,
    lab: LabD65,
    sound: bool,
}

impl Lane {
    fn new(at: usize, stock: &Stock) -> Self {
        let (q, s) = (
            stock.prepared.k_over_s.values(),
            stock.prepared.scattering.values(),
        );
        Self {
            stock: at,
            absorption: std::array::from_fn(|i| q[i] * s[i]),
            scattering: *s,
            residual: stock.prepared.residual,
            lab: stock.prepared.lab,
            sound: stock.strength != StrengthFrom::Nothing,
        }
    }
}

/// The colour of a mix; the same sums as [`crate::paint::opaque_mix`], laid out for speed.
fn colour_of(lanes: &[Lane], parts: &[(usize, f64)]) -> LabD65 {
    let mut absorption = [0.0; BANDS];
    let mut scattering = [0.0; BANDS];
    let mut residual = [0.0; 3];
    let mut total = 0.0;
    for (lane, p) in parts {
        let lane = &lanes[*lane];
        for i in 0..BANDS {
            absorption[i] += p * lane.absorption[i];
            scattering[i] += p * lane.scattering[i];
        }
        for (sum, e) in residual.iter_mut().zip(lane.residual.as_array()) {
            *sum += p * e;
        }
        total += p;
    }
    let mut xyz = residual.map(|e| e / total);
    for (i, weights) in d65_weights().iter().enumerate() {
        let r = endless_layer(absorption[i], scattering[i]);
        for (sum, w) in xyz.iter_mut().zip(weights) {
            *sum += r * w;
        }
    }
    Xyz::from_array(xyz).clamped().into()
}

#[derive(Clone)]
struct Candidate {
    parts: Vec<(usize, u32)>,
    difference: f64,
    rank: f64,
    slip: f64,
}

fn real(parts: &[(usize, u32)]) -> Vec<(usize, f64)> {
    parts
        .iter()
        .map(|(lane, p)| (*lane, f64::from(*p)))
        .collect()
}

struct Bench<'a> {
    lanes: &'a [Lane],
    target: LabD65,
    search: &'a Search,
    /// Whole-part ratios of one, two, … paints.
    ratios: [Vec<Vec<u32>>; 4],
}

impl Bench<'_> {
    /// J without the half-part slip, and the difference.
    fn judge(&self, parts: &[(usize, u32)]) -> Candidate {
        let parts_real = real(parts);
        let (difference, rank) = self.rank(&parts_real);
        let total: f64 = parts_real.iter().map(|(_, p)| p).sum();
        let fuss = PER_PART * total;
        Candidate {
            parts: parts.to_vec(),
            difference,
            rank: rank
                + match self.search.rank {
                    Rank::ClosestOnPaper => 1e-6 * fuss,
                    Rank::Soundest => fuss,
                },
            slip: 0.0,
        }
    }

    /// The difference of a mix, and J without what counts only whole parts.
    fn rank(&self, parts: &[(usize, f64)]) -> (f64, f64) {
        let mix = colour_of(self.lanes, parts);
        let difference = delta_e00(self.target, mix).0;
        #[expect(clippy::cast_precision_loss, reason = "at most four paints")]
        let fuss = PER_PAINT * (parts.len() as f64 - 1.0);
        let rank = match self.search.rank {
            Rank::ClosestOnPaper => difference + 1e-6 * fuss,
            Rank::Soundest => {
                let total: f64 = parts.iter().map(|(_, p)| p).sum();
                let apart = parts
                    .iter()
                    .map(|(lane, p)| p * delta_e00(self.lanes[*lane].lab, mix).0)
                    .sum::<f64>()
                    / total;
                let h = if parts.iter().all(|(lane, _)| self.lanes[*lane].sound) {
                    0.15
                } else {
                    0.35
                };
                difference.hypot(h * apart) + fuss
            }
        };
        (difference, rank)
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

    /// Best real-valued shares of these lanes, from given starts, and what remains in Lab (squared).
    fn best_shares(&self, lanes: &[usize], start: &[f64], rounds: usize) -> (Vec<f64>, f64) {
        let residual = |logs: &[f64]| {
            let parts: Vec<(usize, f64)> = lanes
                .iter()
                .zip(logs)
                .map(|(lane, l)| (*lane, l.exp()))
                .collect();
            let mix = colour_of(self.lanes, &parts);
            [
                mix.l - self.target.l,
                mix.a - self.target.a,
                mix.b - self.target.b,
            ]
        };
        let square = |r: &[f64; 3]| r.iter().map(|v| v * v).sum::<f64>();
        let mut logs: Vec<f64> = start.iter().map(|p| p.max(1e-3).ln()).collect();
        let mut now = residual(&logs);
        let mut damping = 1.0;
        let step = 1.02_f64.ln();
        for _ in 0..rounds {
            // One share is held: only ratios count.
            let slopes: Vec<[f64; 3]> = (1..logs.len())
                .map(|i| {
                    let mut nudged = logs.clone();
                    nudged[i] += step;
                    let there = residual(&nudged);
                    std::array::from_fn(|c| (there[c] - now[c]) / step)
                })
                .collect();
            let Some(change) = least_squares(&slopes, &now, damping) else {
                break;
            };
            let mut next = logs.clone();
            for (log, delta) in next[1..].iter_mut().zip(&change) {
                *log = (*log - delta.clamp(-2.0, 2.0)).clamp(logs[0] - 5.0, logs[0] + 5.0);
            }
            let there = residual(&next);
            if square(&there) < square(&now) {
                let gained = square(&now) - square(&there);
                logs = next;
                now = there;
                damping *= 0.3;
                if gained < 1e-4 {
                    break;
                }
            } else {
                damping *= 8.0;
            }
        }
        let total: f64 = logs.iter().map(|l| l.exp()).sum();
        (logs.iter().map(|l| l.exp() / total).collect(), square(&now))
    }

    /// All whole-part ratios of these lanes, each judged.
    fn all_ratios(&self, lanes: &[usize], found: &mut Vec<Candidate>) {
        for ratio in &self.ratios[lanes.len() - 1] {
            let parts: Vec<(usize, u32)> =
                lanes.iter().copied().zip(ratio.iter().copied()).collect();
            found.push(self.judge(&parts));
        }
    }

    /// Ratios near given shares: for every total, each share rounded down, one less and one more.
    fn near_ratios(&self, lanes: &[usize], shares: &[f64], found: &mut Vec<Candidate>) {
        let count = lanes.len();
        let mut tried: Vec<Vec<u32>> = Vec::new();
        for total in u32::try_from(count).unwrap_or(1)..=self.search.most_parts {
            for choice in 0..3_usize.pow(u32::try_from(count - 1).unwrap_or(0)) {
                let mut digits = choice;
                let mut ratio = Vec::with_capacity(count);
                let mut left = i64::from(total);
                for share in &shares[1..] {
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
                    let parts: Vec<(usize, u32)> =
                        lanes.iter().copied().zip(ratio.iter().copied()).collect();
                    found.push(self.judge(&parts));
                    tried.push(ratio);
                }
            }
        }
    }

    /// Every mix of up to `most` of all lanes: the oracle.
    fn exhaustive(&self, most: usize) -> Vec<Candidate> {
        let mut found = Vec::new();
        for count in 1..=most {
            for lanes in subsets(self.lanes.len(), count) {
                self.all_ratios(&lanes, &mut found);
            }
            keep_best(&mut found, 4 * BEST_CANDIDATES);
        }
        found
    }

    /// The pairs that look best at a few ratios, best first.
    fn likely_pairs(&self) -> Vec<Vec<usize>> {
        let mut pairs: Vec<(f64, Vec<usize>)> = subsets(self.lanes.len(), 2)
            .into_iter()
            .map(|lanes| {
                let best = FEW_RATIOS
                    .iter()
                    .map(|[a, b]| self.rank(&[(lanes[0], *a), (lanes[1], *b)]).1)
                    .fold(f64::INFINITY, f64::min);
                (best, lanes)
            })
            .collect();
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        pairs.truncate(LIKELY_PAIRS);
        pairs.into_iter().map(|(_, lanes)| lanes).collect()
    }

    fn widened(&self) -> Vec<Candidate> {
        let mut found = self.exhaustive(1);
        let mut starts: Vec<Vec<(usize, u32)>> = Vec::new();
        for pair in self.likely_pairs() {
            let before = found.len();
            self.all_ratios(&pair, &mut found);
            let best = found[before..]
                .iter()
                .min_by(|a, b| a.rank.total_cmp(&b.rank));
            starts.extend(best.map(|best| best.parts.clone()));
        }
        starts.truncate(BEST_PAIRS);
        keep_best(&mut found, 4 * BEST_CANDIDATES);
        for count in 3..=self.search.most_paints.min(4) {
            let (rounds, keep) = if count == 3 {
                (6, BEST_TRIPLES)
            } else {
                (3, 2 * BEST_TRIPLES)
            };
            let mut tried: Vec<(Vec<usize>, Vec<f64>, f64)> = Vec::new();
            let mut seen = std::collections::BTreeSet::new();
            for start in &starts {
                for lane in 0..self.lanes.len() {
                    if start.iter().any(|(l, _)| *l == lane) {
                        continue;
                    }
                    let mut lanes: Vec<usize> = start.iter().map(|(l, _)| *l).collect();
                    lanes.push(lane);
                    let mut key = lanes.clone();
                    key.sort_unstable();
                    if !seen.insert(key) {
                        continue;
                    }
                    let total: f64 = start.iter().map(|(_, p)| f64::from(*p)).sum();
                    let mut shares: Vec<f64> = start
                        .iter()
                        .map(|(_, p)| 0.92 * f64::from(*p) / total)
                        .collect();
                    shares.push(0.08);
                    let (shares, _) = self.best_shares(&lanes, &shares, rounds);
                    let parts: Vec<(usize, f64)> =
                        lanes.iter().copied().zip(shares.iter().copied()).collect();
                    let rank = self.rank(&parts).1;
                    tried.push((lanes, shares, rank));
                }
            }
            tried.sort_by(|a, b| a.2.total_cmp(&b.2).then_with(|| a.0.cmp(&b.0)));
            tried.truncate(keep);
            let quarter = tried.len() / 4;
            let mut widened = Vec::new();
            for (i, (lanes, shares, _)) in tried.iter().enumerate() {
                if i < quarter && count == 3 {
                    self.all_ratios(lanes, &mut widened);
                } else {
                    self.near_ratios(lanes, shares, &mut widened);
                }
            }
            keep_best(&mut widened, 4 * BEST_CANDIDATES);
            starts = widened
                .iter()
                .take(BEST_TRIPLES)
                .map(|c| c.parts.clone())
                .collect();
            found.extend(widened);
        }
        found
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
    keep_best(&mut found, MOST_SLIPS);
    if search.rank == Rank::Soundest {
        // Slip only adds: once a candidate is out of a tie without it, so are all that follow.
        let mut least = f64::INFINITY;
        let mut within = 0;
        for candidate in &mut found {
            if candidate.rank > least + TIE && within >= BEST_CANDIDATES {
                break;
            }
            candidate.slip = bench.slip(&candidate.parts);
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

/// Ranks within so much of each other count as equal: then fewer paints, fewer parts, a smaller slip, list order.
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
                a.parts
                    .len()
                    .cmp(&b.parts.len())
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

fn keep_best(found: &mut Vec<Candidate>, most: usize) {
    found.sort_by(|a, b| {
        a.rank
            .total_cmp(&b.rank)
            .then(a.difference.total_cmp(&b.difference))
            .then_with(|| a.parts.cmp(&b.parts))
    });
    found.truncate(most);
}

/// All ways to pick `count` of `n`, in order.
fn subsets(n: usize, count: usize) -> Vec<Vec<usize>> {
    fn grow(from: usize, n: usize, count: usize, now: &mut Vec<usize>, all: &mut Vec<Vec<usize>>) {
        if now.len() == count {
            all.push(now.clone());
            return;
        }
        for i in from..n {
            now.push(i);
            grow(i + 1, n, count, now, all);
            now.pop();
        }
    }
    let mut all = Vec::new();
    grow(0, n, count, &mut Vec::new(), &mut all);
    all
}

/// All coprime ratios of `count` whole numbers of at least 1 whose sum is at most `most`.
fn coprime_ratios(count: usize, most: u32) -> Vec<Vec<u32>> {
    fn grow(count: usize, left: u32, now: &mut Vec<u32>, all: &mut Vec<Vec<u32>>) {
        if now.len() == count {
            if greatest_common_divisor(now) == 1 {
                all.push(now.clone());
            }
            return;
        }
        let still = u32::try_from(count - now.len() - 1).unwrap_or(0);
        for part in 1..=left.saturating_sub(still) {
            now.push(part);
            grow(count, left - part, now, all);
            now.pop();
        }
    }
    if count == 1 {
        return vec![vec![1]];
    }
    let mut all = Vec::new();
    grow(count, most, &mut Vec::new(), &mut all);
    all
}

fn greatest_common_divisor(parts: &[u32]) -> u32 {
    parts.iter().fold(0, |mut a, b| {
        let mut b = *b;
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    })
}

/// Damped least squares of at most three unknowns in three equations: `(JᵀJ + λ I) x = Jᵀr`.
fn least_squares(slopes: &[[f64; 3]], residual: &[f64; 3], damping: f64) -> Option<Vec<f64>> {
    let slope = |i: usize| slopes.get(i).copied().unwrap_or([0.0; 3]);
    let mut normal: [[f64; 3]; 3] = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            dot(&slope(i), &slope(j)) + if i == j { damping + 1e-9 } else { 0.0 }
        })
    });
    let right = std::array::from_fn(|i| [dot(&slope(i), residual)]);
    let solved = solve(&mut normal, right)?;
    Some(solved.iter().take(slopes.len()).map(|[v]| *v).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratio_sets_have_their_known_sizes() {
        // Counts of coprime ratio sets for sums up to 12.
        assert_eq!(coprime_ratios(2, 12).len(), 45);
        assert_eq!(coprime_ratios(3, 12).len(), 196);
        assert_eq!(coprime_ratios(4, 12).len(), 479);
    }
}
