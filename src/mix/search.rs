//! The search for whole parts.
//!
//! Short lists are searched exhaustively. On longer ones the search tries all single paints and pairs, adds each
//! other paint to the best pairs at its best real-valued share (damped Gauss–Newton), and rounds the best of those to
//! whole parts.

use super::approach::{Approach, ROUGH, rough_colour};
use super::doubt::{doubt_within, uncertainty};
use super::lanes::{LaneSums, MOST, PaintLane, colour_of};
use super::narrow::likely;
use super::ratios::{coprime_ratios, greatest_common_divisor, subsets};
use super::{PaintId, Recipe, Shelf};
use crate::colour::{LabD65, SmallDifferences, delta_e00, is_farther};
use crate::paint::MixingFamily;
use crate::work::Meter;
use std::collections::VecDeque;
use std::sync::OnceLock;

/// What recipes are ranked by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rank {
    /// By how near the pot should come to the wanted colour at the bench: its difference on paper together with the
    /// uncertainty of its paints (see `doubt`).
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
    /// From a longer list, the search looks at this many paints for each colour: the likeliest for its mixes.
    pub looked_at: usize,
    /// What watches the work; if it must stop, a search returns what it has found by then.
    pub meter: Option<&'static Meter>,
}

impl Search {
    /// All that an answer hangs on, but for who watches.
    pub(crate) fn question(&self) -> String {
        let Self {
            most_paints,
            most_parts,
            rank,
            answers,
            looked_at,
            meter: _,
        } = self;
        format!("{most_paints} {most_parts} {rank:?} {answers} {looked_at}")
    }

    /// Whether the work must stop.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.meter.is_some_and(Meter::is_over)
    }

    /// Reports what comes next, and in how many steps.
    pub fn begin(&self, what: &'static str, steps: usize) {
        if let Some(meter) = self.meter {
            meter.begin(what, steps);
        }
    }

    /// Reports that this many more steps will come.
    pub fn expect(&self, steps: usize) {
        if let Some(meter) = self.meter {
            meter.expect(steps);
        }
    }

    /// Reports that a step is done.
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
            looked_at: LOOKED_AT,
            meter: None,
        }
    }
}

/// Paints that are looked at for a colour, see [`super::narrow`]. Our choice, on lists of 100 to 1,000 drawn paints.
const LOOKED_AT: usize = 128;
/// Lists up to this many paints are searched exhaustively up to three paints a pot.
const SHORT_LIST: usize = 16;
/// Pairs that get a third paint.
pub(super) const BEST_PAIRS: usize = 150;
/// Pairs that are tried in all ratios, after all pairs were in a few.
pub(super) const LIKELY_PAIRS: usize = 800;
/// It checks after this many pairs whether the work must stop.
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
pub(super) const BEST_TRIPLES: usize = 300;
/// Candidates that are kept for each answer, and at least and at most in all: many are of the same paints.
const KEPT_FOR_EACH: usize = 40;
const KEPT: std::ops::RangeInclusive<usize> = BEST_TRIPLES..=800;

/// Share at which a further paint joins a mix.
const NEW_SHARE: f64 = 0.08;

/// How mixes are widened by one paint.
pub(super) struct Widen {
    /// Steps towards the target for every mix.
    pub(super) first_steps: usize,
    /// How many go on from there.
    pub(super) likely: usize,
    /// Further steps for them.
    pub(super) further_steps: usize,
    /// How many of them are rounded to whole parts.
    pub(super) kept: usize,
    /// How many of those are rounded to all ratios, not only to near ones.
    pub(super) in_all_ratios: usize,
}

/// From two paints to three, from three to four.
pub(super) const WIDEN: [Widen; 2] = [
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
        in_all_ratios: BEST_TRIPLES / 15,
    },
];

/// The weight of one more paint and one more part compared with the difference on paper, if ranks are tied.
const PER_PAINT: f64 = 0.5;
const PER_PART: f64 = 0.05;

/// What the same trouble weighs where mixes are ranked by the difference on paper: next to nothing.
pub(super) const FUSS: f64 = 1e-6;

/// The trouble of this many paints and parts.
pub(super) fn trouble(paints: usize, parts: f64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "at most four paints")]
    let further = paints as f64 - 1.0;
    PER_PAINT * further + PER_PART * parts
}

#[derive(Clone)]
pub(super) struct MixCandidate {
    pub(super) parts: Vec<(usize, u32)>,
    pub(super) rank: f64,
    /// What settles a tie: the difference on paper, and the trouble of its paints and parts.
    pub(super) in_a_tie: f64,
    /// Its place among all that were judged.
    pub(super) order: u64,
}

fn real(parts: &[(usize, u32)]) -> Vec<(usize, f64)> {
    parts
        .iter()
        .map(|(lane, p)| (*lane, f64::from(*p)))
        .collect()
}

/// The best are cut back to their number whenever they are one part in this many too long, so that the rank it takes to be among
/// them is soon known.
const ROOM_OF_THE_BEST: usize = 8;

/// The best few of what is put in, and the rank that it takes to be among them.
pub(super) struct BestFew<T> {
    all: Vec<(f64, T)>,
    most: usize,
    cutoff: f64,
}

impl<T: Clone> BestFew<T> {
    fn keeping(most: usize) -> Self {
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
        if self.all.len() > self.most + self.most / ROOM_OF_THE_BEST {
            self.sort();
            self.cutoff = self.all.last().map_or(f64::INFINITY, |(rank, _)| *rank);
        }
    }

    /// Best first; equals stay in the order they were put in.
    fn sort(&mut self) {
        self.all.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.all.truncate(self.most);
    }

    /// All that are left, in no order.
    pub(super) fn into_all(self) -> Vec<T> {
        self.all.into_iter().map(|(_, what)| what).collect()
    }

    fn sorted(mut self) -> Vec<T> {
        self.sort();
        self.all.into_iter().map(|(_, what)| what).collect()
    }
}

/// The lanes of a mix, in no order.
type LanesKey = u128;

/// So that mixes of the same lanes have the same; lanes are counted in 32 bits, of at most [`MOST`].
fn key(lanes: impl Iterator<Item = usize>) -> LanesKey {
    let mut all = [0; MOST];
    for (own, lane) in all.iter_mut().zip(lanes) {
        *own = lane as u128 + 1;
    }
    all.sort_unstable();
    all.iter().fold(0, |key, lane| key << 32 | lane)
}

/// Candidates, and what a further one must not exceed to count.
pub(super) struct Found {
    pub(super) best: BestFew<MixCandidate>,
    /// How many are named in the end, no two of the same lanes, and how near ranks are that count as equal.
    named: (usize, f64),
    /// The best rank of each of the best sets of lanes, up to a number.
    sets: Vec<(LanesKey, f64)>,
    /// Nothing beyond this is ever named.
    pub(super) beyond: f64,
    /// So much farther all are kept.
    spare: f64,
    /// How many were judged, from wherever it was set.
    pub(super) order: u64,
}

impl Found {
    /// This many of them are kept; none that is among them is passed over.
    fn keeping(most: usize) -> Self {
        Self {
            best: BestFew::keeping(most),
            named: (0, 0.0),
            sets: Vec::new(),
            beyond: f64::INFINITY,
            spare: 0.0,
            order: 0,
        }
    }

    /// The best alone, where it is no worse than this.
    pub(super) fn below(most: f64) -> Self {
        let mut found = Self::keeping(1);
        found.best.cutoff = most;
        found
    }

    /// As [`Found::named`], and all that rank by no more than `spare` beyond what can be named.
    pub(super) fn with_spare(most: usize, search: &Search, spare: f64) -> Self {
        Self {
            spare,
            ..Self::named(most, search)
        }
    }

    /// The same where only this many are named: whichever is named next, of the sets that stand lowest one is left, and it lies no
    /// more than a tie above that.
    fn named(most: usize, search: &Search) -> Self {
        Self {
            named: (search.answers, ROOM * tie(search.rank)),
            ..Self::keeping(most)
        }
    }

    /// An empty one to be put into this one in the end.
    fn for_more(&self) -> Self {
        Self {
            best: BestFew {
                all: Vec::new(),
                ..self.best
            },
            sets: self.sets.clone(),
            ..*self
        }
    }

    /// What is better than this is not missing.
    pub(super) fn cutoff(&self) -> f64 {
        self.best.cutoff.min(self.beyond + self.spare)
    }

    pub(super) fn put(&mut self, candidate: MixCandidate) {
        let rank = candidate.rank;
        if rank > self.cutoff() {
            return;
        }
        let (named, tie) = self.named;
        if named > 0 {
            let own = key(candidate.parts.iter().map(|(lane, _)| *lane));
            match self.sets.iter_mut().find(|(key, _)| *key == own) {
                Some((_, least)) => *least = least.min(rank),
                None => self.sets.push((own, rank)),
            }
            self.sets.sort_by(|a, b| a.1.total_cmp(&b.1));
            self.sets.truncate(named);
            if let Some((_, last)) = self.sets.get(named - 1) {
                self.beyond = last + tie;
            }
        }
        self.best.put(rank, candidate);
    }
}

/// What is lost by rounding is made up for.
const ROOM: f64 = 1.001;

/// Paints of one family that a colour may be mixed from: what the searches for it by other ranks share.
pub(super) struct Around {
    family: MixingFamily,
    lanes: Vec<PaintLane>,
    target: LabD65,
    /// CIEDE2000 about the target.
    near: SmallDifferences,
    /// The pairs that come nearest on paper, once needed.
    pairs: OnceLock<Vec<[usize; 2]>>,
}

impl Around {
    /// The paints of a family that are likely for a mix near `target`.
    pub(super) fn likely_for(
        shelf: &Shelf,
        (family, members): &(MixingFamily, Vec<PaintId>),
        target: LabD65,
        search: &Search,
    ) -> Self {
        let lanes = PaintLane::of_paints(shelf, members.iter().copied());
        let lanes = if lanes.len() > search.looked_at {
            let wanted = likely(&lanes, target, search.looked_at);
            let kept = lanes.into_iter().zip(wanted);
            kept.filter_map(|(lane, wanted)| wanted.then_some(lane))
                .collect()
        } else {
            lanes
        };
        Self {
            family: *family,
            lanes,
            target,
            near: SmallDifferences::about(target),
            pairs: OnceLock::new(),
        }
    }
}

pub(super) struct MixBench<'a> {
    around: &'a Around,
    pub(super) lanes: &'a [PaintLane],
    target: LabD65,
    near: &'a SmallDifferences,
    pub(super) search: &'a Search,
    /// Whole-part ratios of one, two, … paints.
    ratios: [Vec<Vec<u32>>; MOST],
}

impl<'a> MixBench<'a> {
    pub(super) fn new(around: &'a Around, search: &'a Search) -> Self {
        let most = search.most_paints.clamp(1, MOST);
        Self {
            around,
            lanes: &around.lanes,
            target: around.target,
            near: &around.near,
            search,
            ratios: std::array::from_fn(|i| {
                if i < most {
                    coprime_ratios(i + 1, search.most_parts)
                } else {
                    Vec::new()
                }
            }),
        }
    }

    /// Whether all mixes of the list are tried.
    fn is_short(&self) -> bool {
        self.search.most_paints <= 3 && self.lanes.len() <= SHORT_LIST
    }

    /// Whether pairs are given a third paint, and no more.
    pub(super) fn is_widened_once(&self) -> bool {
        self.search.most_paints == 3 && !self.is_short()
    }

    /// All that a search hangs on, but for the paints.
    pub(super) fn question(&self) -> String {
        let (family, target) = (self.around.family, self.target);
        format!("mixes {family:?} {target:?} {}", self.search.question())
    }

    /// The candidates.
    pub(super) fn all(&self) -> Vec<MixCandidate> {
        if self.is_short() {
            self.exhaustive(self.search.most_paints.max(1))
        } else {
            self.widened()
        }
    }

    /// How many candidates are kept.
    pub(super) fn kept(&self) -> usize {
        (KEPT_FOR_EACH * self.search.answers).clamp(*KEPT.start(), *KEPT.end())
    }

    fn covers(&self, parts: &[(usize, u32)]) -> bool {
        covers(parts.iter().map(|(lane, p)| (&self.lanes[*lane], *p)))
    }

    /// Puts a mix of whole parts among the best, if it is an opaque coat; gives its rank where that is good enough.
    fn judge(&self, parts: &[(usize, u32)], found: &mut Found) -> Option<f64> {
        found.order += 1;
        if !self.covers(parts) {
            return None;
        }
        let mut parts_real = [(0, 0.0); MOST];
        for (real, (lane, p)) in parts_real.iter_mut().zip(parts) {
            *real = (*lane, f64::from(*p));
        }
        let parts_real = &parts_real[..parts.len()];
        let total: f64 = parts_real.iter().map(|(_, p)| p).sum();
        let trouble = trouble(parts.len(), total);
        let fuss = match self.search.rank {
            Rank::ClosestOnPaper => FUSS * trouble,
            Rank::Soundest => 0.0,
        };
        let (rank, difference) = self.rank_of(parts_real, found.cutoff() - fuss)?;
        let rank = rank + fuss;
        let candidate = MixCandidate {
            parts: parts.to_vec(),
            rank,
            in_a_tie: difference + trouble,
            order: found.order,
        };
        found.put(candidate);
        Some(rank)
    }

    /// The rank of a mix, and its difference on paper; `None` when the rank exceeds `cutoff`. What is cheap to know comes
    /// first: its rough colour, then the exact one, the difference, and only then what may go wrong.
    fn rank_of(&self, parts: &[(usize, f64)], cutoff: f64) -> Option<(f64, f64)> {
        if cutoff.is_finite()
            && is_farther(self.target, rough_colour(self.lanes, parts), ROUGH, cutoff)
        {
            return None;
        }
        let sums = LaneSums::of_parts(self.lanes, parts);
        let seen = sums.seen();
        let difference = delta_e00(self.target, seen.into()).0;
        if difference > cutoff {
            return None;
        }
        let rank = match self.search.rank {
            Rank::ClosestOnPaper => difference,
            Rank::Soundest => {
                let rank = |doubt: f64| (difference * difference + doubt).sqrt();
                let within = |doubt: f64| rank(doubt) <= cutoff;
                rank(doubt_within(
                    self.lanes,
                    parts,
                    (&sums, seen),
                    self.near,
                    within,
                )?)
            }
        };
        Some((rank, difference))
    }

    /// All whole-part ratios of these lanes, each judged; gives the best of them where it is good enough.
    pub(super) fn all_ratios(
        &self,
        lanes: &[usize],
        found: &mut Found,
    ) -> Option<(f64, Vec<(usize, u32)>)> {
        let mut best: Option<(f64, Vec<(usize, u32)>)> = None;
        let mut parts: Vec<(usize, u32)> = lanes.iter().map(|lane| (*lane, 0)).collect();
        for ratio in &self.ratios[lanes.len() - 1] {
            for ((_, part), p) in parts.iter_mut().zip(ratio) {
                *part = *p;
            }
            if let Some(rank) = self.judge(&parts, found)
                && best.as_ref().is_none_or(|(least, _)| rank < *least)
            {
                best = Some((rank, parts.clone()));
            }
        }
        best
    }

    /// Ratios near given shares: for every total, each share rounded down, one less and one more.
    pub(super) fn near_ratios(&self, shares: &[(usize, f64)], found: &mut Found) {
        let count = shares.len();
        let mut parts = [(0, 0); MOST];
        for (part, (lane, _)) in parts.iter_mut().zip(shares) {
            part.0 = *lane;
        }
        let parts = &mut parts[..count];
        for total in u32::try_from(count).unwrap_or(1)..=self.search.most_parts {
            for choice in 0..3_usize.pow(u32::try_from(count - 1).unwrap_or(0)) {
                let mut digits = choice;
                let mut ratio = [0; MOST];
                let mut left = i64::from(total);
                for (own, (_, share)) in ratio[1..].iter_mut().zip(&shares[1..]) {
                    #[expect(
                        clippy::cast_possible_truncation,
                        reason = "a share of at most a few dozen parts"
                    )]
                    let floor = (share * f64::from(total)).floor() as i64;
                    *own = floor + i64::try_from(digits % 3).unwrap_or(0) - 1;
                    digits /= 3;
                    left -= *own;
                }
                ratio[0] = left;
                let ratio = ratio.map(|p| u32::try_from(p).unwrap_or(0));
                let ratio = &ratio[..count];
                // No ratio comes twice: its sum is the total, and each choice has another part.
                if ratio.iter().all(|p| *p >= 1) && greatest_common_divisor(ratio) == 1 {
                    for ((_, part), p) in parts.iter_mut().zip(ratio) {
                        *part = *p;
                    }
                    self.judge(parts, found);
                }
            }
        }
    }

    /// Every mix of up to `most` of all lanes.
    fn exhaustive(&self, most: usize) -> Vec<MixCandidate> {
        let mut found = self.none_found_yet();
        for count in 1..=most {
            for lanes in subsets(self.lanes.len(), count) {
                self.all_ratios(&lanes, &mut found);
            }
        }
        found.best.sorted()
    }

    /// The pairs that come nearest on paper at a few ratios, nearest first.
    fn likely_pairs(&self) -> Vec<[usize; 2]> {
        let count = self.lanes.len();
        let mut pairs = BestFew::keeping(LIKELY_PAIRS);
        let all = (0..count).flat_map(|one| (one + 1..count).map(move |other| [one, other]));
        for (at, [one, other]) in all.enumerate() {
            if at % LOOK_UP_EVERY == 0 && self.search.is_over() {
                break;
            }
            let best = self.rough_distance([one, other], pairs.cutoff);
            if best.is_finite() {
                pairs.put(best, [one, other]);
            }
        }
        pairs.sorted()
    }

    /// How near a pair comes on paper at a few ratios, where that may be below `cutoff`; endless else.
    pub(super) fn rough_distance(&self, [one, other]: [usize; 2], cutoff: f64) -> f64 {
        let mut best = f64::INFINITY;
        if self.lanes[one].thin && self.lanes[other].thin {
            return best;
        }
        for [a, b] in FEW_RATIOS {
            let mix = rough_colour(self.lanes, &[(one, a), (other, b)]);
            if !is_farther(self.target, mix, 0.0, best.min(cutoff)) {
                best = best.min(delta_e00(self.target, mix).0);
            }
        }
        best
    }

    /// The rank of real-valued parts on their way, roughly: an error of the paints' colours is left aside.
    pub(super) fn roughly(&self, approach: &Approach, cutoff: f64) -> Option<f64> {
        if is_farther(self.target, approach.mix, 0.0, cutoff) {
            return None;
        }
        let difference = delta_e00(self.target, approach.mix).0;
        let rank = match self.search.rank {
            Rank::ClosestOnPaper => difference,
            Rank::Soundest => {
                let doubt = approach.doubt_squared(self.lanes, self.near);
                (difference * difference + doubt).sqrt()
            }
        };
        (rank <= cutoff).then_some(rank)
    }

    /// Each start with each further lane at its best real-valued share: first a short way for all, then the rest of it
    /// for those that look best by then.
    fn one_more(&self, starts: &[Vec<(usize, u32)>], how: &Widen) -> Vec<Vec<(usize, f64)>> {
        let mut short = BestFew::keeping(how.likely);
        for (at, start) in starts.iter().enumerate() {
            if self.search.is_over() {
                break;
            }
            let Some(further) = self.not_yet_added(start, &starts[..at]) else {
                continue;
            };
            for lane in further {
                let mut approach = self.with_one_more(start, lane);
                self.walk(&mut approach, how.first_steps);
                if let Some(rank) = self.roughly(&approach, short.cutoff) {
                    short.put(rank, approach);
                }
            }
        }
        let mut kept = BestFew::keeping(how.kept);
        for mut approach in short.sorted() {
            self.walk(&mut approach, how.further_steps);
            if let Some(rank) = self.roughly(&approach, kept.cutoff) {
                kept.put(rank, approach.shares());
            }
        }
        kept.sorted()
    }

    /// A start with a little of a further lane.
    pub(super) fn with_one_more(&self, start: &[(usize, u32)], lane: usize) -> Approach {
        let total: f64 = start.iter().map(|(_, p)| f64::from(*p)).sum();
        let mut parts = [(lane, NEW_SHARE); MOST];
        for (part, (lane, p)) in parts.iter_mut().zip(start) {
            *part = (*lane, (1.0 - NEW_SHARE) * f64::from(*p) / total);
        }
        Approach::from(self.lanes, &parts[..=start.len()])
    }

    /// The lanes that this start has still to be given. Every earlier start was given every lane, so a set of paints that one
    /// of them leads to was tried then. `None` where an earlier start has the same lanes.
    pub(super) fn not_yet_added(
        &self,
        start: &[(usize, u32)],
        earlier: &[Vec<(usize, u32)>],
    ) -> Option<impl Iterator<Item = usize> + use<>> {
        let mut tried = vec![false; self.lanes.len()];
        for (own, _) in start {
            tried[*own] = true;
        }
        let is_own = tried.clone();
        for other in earlier.iter().filter(|other| other.len() == start.len()) {
            let mut others = other.iter().filter(|(lane, _)| !is_own[*lane]);
            match (others.next(), others.next()) {
                (None, _) => return None,
                (Some((lane, _)), None) => tried[*lane] = true,
                _ => {}
            }
        }
        let tried = tried.into_iter().enumerate();
        Some(tried.filter_map(|(lane, tried)| (!tried).then_some(lane)))
    }

    pub(super) fn walk(&self, approach: &mut Approach, steps: usize) {
        for _ in 0..steps {
            if approach.arrived {
                break;
            }
            approach.step(self.lanes, self.target);
        }
    }

    /// Those from which the answers are named.
    fn none_found_yet(&self) -> Found {
        Found::named(self.kept(), self.search)
    }

    fn widened(&self) -> Vec<MixCandidate> {
        let mut found = self.none_found_yet();
        for lane in 0..self.lanes.len() {
            self.all_ratios(&[lane], &mut found);
        }
        if self.search.most_paints < 2 {
            return found.best.sorted();
        }
        let mut best_pairs = BestFew::keeping(BEST_PAIRS);
        for pair in self.around.pairs.get_or_init(|| self.likely_pairs()) {
            let mut of_pair = Found::keeping(1);
            of_pair.best.cutoff = best_pairs.cutoff.max(found.cutoff());
            let Some((rank, parts)) = self.all_ratios(pair, &mut of_pair) else {
                continue;
            };
            if rank <= found.cutoff() {
                self.all_ratios(pair, &mut found);
            }
            best_pairs.put(rank, parts);
        }
        let mut starts: Vec<Vec<(usize, u32)>> = best_pairs.sorted();
        let steps = self.search.most_paints.saturating_sub(2).min(WIDEN.len());
        for (step, how) in WIDEN.iter().take(steps).enumerate() {
            // What is not widened further only has to be good enough to be named.
            let mut widened = if step + 1 < steps {
                Found::keeping(self.kept())
            } else {
                found.for_more()
            };
            for (i, shares) in self.one_more(&starts, how).into_iter().enumerate() {
                if i < how.in_all_ratios {
                    let lanes: Vec<usize> = shares.iter().map(|(lane, _)| *lane).collect();
                    self.all_ratios(&lanes, &mut widened);
                } else {
                    self.near_ratios(&shares, &mut widened);
                }
            }
            let widened = widened.best.sorted();
            starts = widened
                .iter()
                .take(BEST_TRIPLES)
                .map(|c| c.parts.clone())
                .collect();
            for candidate in widened {
                found.put(candidate);
            }
        }
        found.best.sorted()
    }
}

/// Whether a mix lays an opaque coat: no more than a quarter of it is sold thin. Our choice.
pub(super) fn covers<'a>(parts: impl Iterator<Item = (&'a PaintLane, u32)>) -> bool {
    let (mut thin, mut all) = (0, 0);
    for (lane, part) in parts {
        all += part;
        thin += if lane.thin { part } else { 0 };
    }
    4 * thin <= all
}

/// The recipes that are named of these candidates, best first.
pub(super) fn named(
    shelf: &Shelf,
    around: &Around,
    search: &Search,
    found: Vec<MixCandidate>,
) -> Vec<Recipe> {
    let Around {
        family,
        lanes,
        target,
        ..
    } = around;
    let found = distinct(found, search.rank, search.answers);
    found
        .into_iter()
        .map(|candidate| {
            let mut parts: Vec<(PaintId, u32)> = candidate
                .parts
                .iter()
                .map(|(lane, p)| (lanes[*lane].stock, *p))
                .collect();
            parts.sort_by_key(|(stock, p)| (std::cmp::Reverse(*p), *stock));
            let exact: Vec<(PaintId, f64)> =
                parts.iter().map(|(at, p)| (*at, f64::from(*p))).collect();
            let colour = colour_of(lanes, &real(&candidate.parts));
            Recipe {
                uncertainty: uncertainty(shelf, &exact, colour),
                parts,
                colour,
                difference: delta_e00(*target, colour),
                family: *family,
                rank: candidate.rank,
            }
        })
        .collect()
}

/// Ranks within this much of each other count as equal: no expectation is known more finely. Then the one nearer on
/// paper goes first; one more paint counts as half a unit, one more part as a twentieth: a difference that is
/// predicted is sure, what may go wrong a patch can mend.
const TIE: f64 = 0.5;

/// Picks up to `answers` candidates that differ in at least one paint.
fn distinct(mut found: Vec<MixCandidate>, rank: Rank, answers: usize) -> Vec<MixCandidate> {
    let mut picked: Vec<MixCandidate> = Vec::new();
    let paints = |c: &MixCandidate| {
        let mut lanes: Vec<usize> = c.parts.iter().map(|(lane, _)| *lane).collect();
        lanes.sort_unstable();
        lanes
    };
    // List order settles what a tie does not.
    found.sort_by_cached_key(paints);
    while picked.len() < answers
        && let Some(choice) = next_of(&found, |c| (c.rank, c.in_a_tie), tie(rank))
    {
        let chosen = found.remove(choice);
        let its_paints = paints(&chosen);
        found.retain(|c| paints(c) != its_paints);
        picked.push(chosen);
    }
    picked
}

/// What another medium than most of the list costs in rank: another thinner, another drying time, and for solvents more
/// care; worth a difference that is just seen. Our choice.
const OTHER_MEDIUM: f64 = 1.0;

/// Merges the recipes of several families: by rank, another medium than the largest family's paying for itself, and ties
/// settled as within a family. Those of one family stay in their order: of its ties each is settled already.
pub(super) fn merged(by_family: Vec<Vec<Recipe>>, rank: Rank) -> Vec<Recipe> {
    let mut waiting: Vec<VecDeque<Ranked>> = Vec::new();
    for (i, recipes) in by_family.into_iter().enumerate() {
        let other_medium = if i > 0 && rank == Rank::Soundest {
            OTHER_MEDIUM
        } else {
            0.0
        };
        let ranked = recipes.into_iter().map(|recipe| Ranked {
            rank: recipe.rank + other_medium,
            in_a_tie: recipe.difference.0
                + trouble(recipe.parts.len(), f64::from(recipe.total_parts())),
            recipe,
        });
        waiting.push(ranked.collect());
    }
    let mut merged = Vec::new();
    loop {
        waiting.retain(|family| !family.is_empty());
        let first = |family: &VecDeque<Ranked>| {
            let none = (f64::INFINITY, f64::INFINITY);
            family.front().map_or(none, |r| (r.rank, r.in_a_tie))
        };
        let Some(next) = next_of(&waiting, first, tie(rank)) else {
            return merged;
        };
        merged.extend(waiting[next].pop_front().map(|ranked| ranked.recipe));
    }
}

/// A recipe among those of other media.
struct Ranked {
    rank: f64,
    in_a_tie: f64,
    recipe: Recipe,
}

/// How near ranks must be to count as equal.
fn tie(rank: Rank) -> f64 {
    match rank {
        Rank::Soundest => TIE,
        Rank::ClosestOnPaper => 1e-9,
    }
}

/// Where the next to be named stands: of those whose rank is equal to the least, the one that `key` settles the tie for, the
/// first of several. `None` when nothing is left.
fn next_of<T>(waiting: &[T], key: impl Fn(&T) -> (f64, f64), tie: f64) -> Option<usize> {
    let best = waiting
        .iter()
        .map(|one| key(one).0)
        .min_by(f64::total_cmp)?;
    (0..waiting.len())
        .filter(|at| key(&waiting[*at]).0 <= best + tie)
        .min_by(|a, b| key(&waiting[*a]).1.total_cmp(&key(&waiting[*b]).1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;
    use std::fmt::Write;

    /// As [`Bench::widened`], everything good enough to be kept judged and kept, whether it can be named or not; and so short
    /// lists are searched.
    fn plainly(bench: &MixBench<'_>) -> Vec<MixCandidate> {
        let is_short = bench.is_short();
        let mut found = Found::keeping(bench.kept());
        let most = bench.search.most_paints;
        for count in 1..=if is_short { most } else { 1 } {
            for lanes in subsets(bench.lanes.len(), count) {
                bench.all_ratios(&lanes, &mut found);
            }
        }
        if is_short || most < 2 {
            return found.best.sorted();
        }
        let mut best_pairs = BestFew::keeping(BEST_PAIRS);
        for pair in bench.likely_pairs() {
            let mut of_pair = Found::keeping(usize::MAX / 2);
            if let Some((rank, parts)) = bench.all_ratios(&pair, &mut of_pair) {
                best_pairs.put(rank, parts);
            }
            bench.all_ratios(&pair, &mut found);
        }
        let mut starts = best_pairs.sorted();
        for how in WIDEN.iter().take(most - 2) {
            let mut widened = Found::keeping(bench.kept());
            for (i, shares) in bench.one_more(&starts, how).into_iter().enumerate() {
                if i < how.in_all_ratios {
                    let lanes: Vec<usize> = shares.iter().map(|(lane, _)| *lane).collect();
                    bench.all_ratios(&lanes, &mut widened);
                } else {
                    bench.near_ratios(&shares, &mut widened);
                }
            }
            let widened = widened.best.sorted();
            let best = widened.iter().take(BEST_TRIPLES);
            starts = best.map(|candidate| candidate.parts.clone()).collect();
            for candidate in widened {
                found.put(candidate);
            }
        }
        found.best.sorted()
    }

    /// Parts and ranks of what is named, to the last bit.
    fn names(found: Vec<MixCandidate>, search: &Search) -> Vec<(Vec<(usize, u32)>, u64)> {
        let all = distinct(found, search.rank, search.answers).into_iter();
        all.map(|one| (one.parts, one.rank.to_bits())).collect()
    }

    fn drawn(paints: usize) -> Shelf {
        let mut seed = 26_u32;
        let mut code = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            20 + (seed >> 24) * 7 / 8
        };
        let mut list = "name,hex,medium\n".to_owned();
        for paint in 0..paints {
            let hex = format!("#{:02x}{:02x}{:02x}", code(), code(), code());
            let medium = if paint % 9 == 4 { "ink" } else { "acrylic" };
            let _ = writeln!(list, "paint {paint},{hex},{medium}");
        }
        let list = PaintList::parse("p.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        Shelf::new(&list)
    }

    const COLOURS: [LabD65; 5] = [
        LabD65::new(35.0, 7.0, 12.0),
        LabD65::new(71.0, -2.0, 14.0),
        LabD65::new(22.0, 1.0, -3.0),
        LabD65::new(55.0, 60.0, 45.0),
        LabD65::new(90.0, 0.0, 4.0),
    ];

    /// Numbers below `most`, by a fixed rule.
    fn drawn_numbers(most: usize, seed: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(seed), |last| {
            Some((last * 1_103_515_245 + 12_345) % 0x8000_0000)
        })
        .skip(1)
        .map(move |drawn| (drawn >> 8) % most)
    }

    #[test]
    fn every_set_of_paints_is_tried_once_and_from_its_first_start() {
        let shelf = drawn(38);
        let search = Search::default();
        let around = Around::likely_for(&shelf, &shelf.families()[0], COLOURS[0], &search);
        let bench = MixBench::new(&around, &search);
        let lanes = bench.lanes.len();
        for (size, seed) in [(2, 1), (2, 7), (3, 3), (3, 11)] {
            let mut numbers = drawn_numbers(lanes, seed);
            let mut starts: Vec<Vec<(usize, u32)>> = Vec::new();
            while starts.len() < 300 {
                let lanes: Vec<usize> = numbers.by_ref().take(size).collect();
                let others = |at: usize| &lanes[at + 1..];
                if (0..size).all(|at| !others(at).contains(&lanes[at])) {
                    starts.push(lanes.into_iter().map(|lane| (lane, 1)).collect());
                }
            }
            let (mut tried, mut doubles) = (std::collections::BTreeSet::new(), 0);
            for (at, start) in starts.iter().enumerate() {
                let own = |lane: &usize| start.iter().any(|(own, _)| own == lane);
                let set = |lane: usize| key(start.iter().map(|(own, _)| *own).chain([lane]));
                let plain = (0..lanes).filter(|lane| !own(lane));
                let plain: Vec<usize> = plain.filter(|lane| tried.insert(set(*lane))).collect();
                doubles += lanes - size - plain.len();
                let further = bench.not_yet_added(start, &starts[..at]);
                let further: Vec<usize> = further.into_iter().flatten().collect();
                assert_eq!(further, plain, "{start:?}");
            }
            assert!(doubles > 100, "{doubles}");
        }
    }

    #[test]
    fn the_best_few_are_those_of_all_sorted() {
        for (most, seed) in [(1, 5), (2, 6), (7, 7), (8, 8), (150, 9), (800, 10)] {
            // Few ranks, so that many are equal.
            let all: Vec<(f64, usize)> = drawn_numbers(400, seed)
                .take(1_500)
                .enumerate()
                .map(|(at, rank)| (f64::from(u32::try_from(rank).unwrap()), at))
                .collect();
            let mut best = BestFew::keeping(most);
            for (rank, at) in &all {
                best.put(*rank, *at);
            }
            let mut plain = all;
            plain.sort_by(|a, b| a.0.total_cmp(&b.0));
            let plain: Vec<usize> = plain.into_iter().take(most).map(|(_, at)| at).collect();
            assert_eq!(best.sorted(), plain, "{most}");
        }
    }

    #[test]
    fn what_is_passed_over_unjudged_would_never_have_been_named() {
        let ways = [(3, 5), (3, 1), (2, 5), (4, 5), (3, 24)];
        let mut named_in_all = 0;
        for (paints, ways) in [(12, &ways[..3]), (38, &ways[..])] {
            let shelf = drawn(paints);
            for (target, (most_paints, answers)) in COLOURS.iter().zip(ways.iter().cycle()) {
                for rank in [Rank::Soundest, Rank::ClosestOnPaper] {
                    let search = Search {
                        most_paints: *most_paints,
                        most_parts: 9,
                        rank,
                        answers: *answers,
                        ..Search::default()
                    };
                    for family in shelf.families() {
                        let around = Around::likely_for(&shelf, family, *target, &search);
                        let bench = MixBench::new(&around, &search);
                        let plain = names(plainly(&bench), &search);
                        assert_eq!(names(bench.all(), &search), plain, "{paints} {search:?}");
                        named_in_all += plain.len();
                    }
                }
            }
        }
        assert!(named_in_all > 60, "{named_in_all}");
    }
}
