//! The search for whole parts, gone on with from an earlier one for the same colour among other paints.
//!
//! Step by step as [`super::search`] does it, on lists that are not searched exhaustively, up to three paints a pot. What the
//! earlier search found of mixes whose paints are all still there is not looked for again.

use super::approach::Approach;
use super::passed::{KnownMix, Pair, PassedCandidate, PassedMix, Triple, Valued, WithSpare};
use super::search::{
    Around, BEST_PAIRS, BEST_TRIPLES, Found, LIKELY_PAIRS, MixBench, MixCandidate, Search, WIDEN,
    named,
};
use super::{Recipe, Shelf};
use crate::work::Remembering;
use std::collections::BTreeMap;

/// So many more of each than are asked for. Our choice: about what one paint leaves of those of a list of some thirty.
const SPARE_PAIRS: usize = 100;
const SPARE_STARTS: usize = 60;
const SPARE_SHORT: usize = 500;
const SPARE_KEPT: usize = 100;
/// Mixes that rank by so much too badly to be named are kept too: the best of now may be gone then. Our choice.
const SPARE_RANK: f64 = 0.25;
/// Room for those.
const MOST_CANDIDATES: usize = 4_000;
/// Where the third lane of a start is known: not looked at; looked at and not kept; else one more than its place.
const NOT_SEEN: u32 = 0;
const NOT_KEPT: u32 = 1;
const KEPT_FROM: u32 = 2;
/// Mixes of whole parts are told apart by what they come of: pairs before triples, each by its place and its own order.
const OF_TRIPLES: u64 = 1 << 60;
const OF_ONE: u64 = 1 << 20;

/// Recipes from the paints about a colour, best first; as those of [`super::search`].
pub(super) fn recipes(
    shelf: &Shelf,
    around: &Around,
    search: &Search,
    remembering: Option<Remembering<'_>>,
) -> Vec<Recipe> {
    let bench = MixBench::new(around, search);
    let found = remembering
        .filter(|_| !cfg!(target_family = "wasm") && bench.is_widened_once())
        .and_then(|remembering| remembered(&bench, remembering))
        .unwrap_or_else(|| bench.all());
    named(shelf, around, search, found)
}

/// The candidates, and keeps what was passed. `None` where it cannot be told which are the best.
fn remembered(bench: &MixBench<'_>, remembering: Remembering<'_>) -> Option<Vec<MixCandidate>> {
    let (of, stocks) = (bench.question(), remembering.marks);
    let marks = bench
        .lanes
        .iter()
        .map(|lane| stocks.get(lane.stock.place()));
    let marks: Vec<u128> = marks.map(Option::<&u128>::copied).collect::<Option<_>>()?;
    let known = remembering.store.recall(&of);
    let known = known.and_then(|words| PassedMix::read(&words, &marks));
    let onward = |known| Onward::after(bench, known).all();
    let (found, passed) = known
        .and_then(|known| onward(Some(known)))
        .or_else(|| onward(None))?;
    if bench.search.is_over() {
        return None;
    }
    remembering.store.keep(of, passed.written(&marks));
    Some(found)
}

/// A search and what is known of it.
struct Onward<'a> {
    bench: &'a MixBench<'a>,
    /// Nothing is, where there was no search before.
    known: KnownMix,
}

/// A triple and its shares.
type RoundedTriple = (Triple, [f64; 3]);

/// What is known of each third lane of a start.
type ByThird = BTreeMap<Pair, Vec<u32>>;

impl<'a> Onward<'a> {
    fn after(bench: &'a MixBench<'a>, known: Option<KnownMix>) -> Self {
        Self {
            bench,
            known: known.unwrap_or_else(|| KnownMix {
                passed: PassedMix {
                    near: WithSpare::keeping(0, f64::INFINITY),
                    pairs: WithSpare::keeping(0, f64::INFINITY),
                    short: WithSpare::keeping(0, f64::INFINITY),
                    kept: WithSpare::keeping(0, f64::INFINITY),
                    candidates: Vec::new(),
                    within: f64::INFINITY,
                },
                known: vec![false; bench.lanes.len()],
            }),
        }
    }

    fn lanes(&self) -> usize {
        self.bench.lanes.len()
    }

    fn all(&self) -> Option<(Vec<MixCandidate>, PassedMix)> {
        let near = self.near();
        let likely = near.first(LIKELY_PAIRS)?;
        let pairs = self.pairs(likely);
        let starts = pairs.first(BEST_PAIRS)?;
        let short = self.short(starts);
        let walked = short.first(WIDEN[0].likely)?;
        let kept = self.kept(starts, walked);
        let rounded = kept.first(WIDEN[0].kept)?;
        let (found, candidates, within) = self.candidates(likely, &pairs, rounded)?;
        let passed = PassedMix {
            near,
            pairs,
            short,
            kept,
            candidates,
            within,
        };
        Some((found, passed))
    }

    /// As [`MixBench::likely_pairs`].
    fn near(&self) -> WithSpare<Pair> {
        let (count, known) = (self.lanes(), &self.known);
        let mut near = WithSpare::keeping(LIKELY_PAIRS + SPARE_PAIRS, known.passed.near.all_below);
        let order = |[one, other]: Pair| (one * count + other) as u64;
        for pair in &known.passed.near.all {
            near.put(pair.value, order(pair.what), pair.what);
        }
        for one in 0..count {
            for other in one + 1..count {
                let is_known = known.known[one] && known.known[other];
                if !is_known && !self.bench.search.is_over() {
                    let value = self.bench.rough_distance([one, other], near.all_below);
                    near.put(value, order([one, other]), [one, other]);
                }
            }
        }
        near.sort();
        near
    }

    /// Of each two lanes the place of their pair in a list; nothing where it is not among them.
    fn places<T>(
        &self,
        all: &[Valued<T>],
        pair: impl Fn(&Valued<T>) -> Pair,
    ) -> Vec<Option<usize>> {
        let mut places = vec![None; self.lanes() * self.lanes()];
        for (at, one) in all.iter().enumerate() {
            let [one, other] = pair(one);
            places[one * self.lanes() + other] = Some(at);
        }
        places
    }

    /// Those that were among the first so many then.
    fn first_then<T: Clone>(list: &WithSpare<T>, most: usize) -> Vec<Valued<T>> {
        let first = list.all.iter();
        first
            .filter(|one| one.order < most as u64)
            .cloned()
            .collect()
    }

    /// Whether each of the pairs, by its two lanes, was tried in all ratios then.
    fn tried_then(&self) -> Vec<Option<usize>> {
        let then = Self::first_then(&self.known.passed.near, LIKELY_PAIRS);
        self.places(&then, |pair| pair.what)
    }

    /// The likely pairs by the rank of their best ratio.
    fn pairs(&self, likely: &[Valued<Pair>]) -> WithSpare<(Pair, [u32; 2])> {
        let known = &self.known.passed.pairs;
        let (now, then) = (self.places(likely, |pair| pair.what), self.tried_then());
        let mut pairs = WithSpare::keeping(BEST_PAIRS + SPARE_STARTS, known.all_below);
        for pair in &known.all {
            let [one, other] = pair.what.0;
            if let Some(at) = now[one * self.lanes() + other] {
                pairs.put(pair.value, at as u64, pair.what);
            }
        }
        for (at, pair) in likely.iter().enumerate() {
            let [one, other] = pair.what;
            if then[one * self.lanes() + other].is_some() {
                continue;
            }
            let mut of_pair = Found::below(pairs.all_below);
            if let Some((rank, parts)) = self.bench.all_ratios(&pair.what, &mut of_pair) {
                pairs.put(rank, at as u64, (pair.what, [parts[0].1, parts[1].1]));
            }
        }
        pairs.sort();
        pairs
    }

    /// Starts as the search has them.
    fn as_starts(starts: &[Valued<(Pair, [u32; 2])>]) -> Vec<Vec<(usize, u32)>> {
        let starts = starts.iter().map(|start| start.what);
        let parts = starts.map(|([one, other], [p, q])| vec![(one, p), (other, q)]);
        parts.collect()
    }

    /// Of the starts of then, which third lanes were looked at, and where those that are still known stand in a list.
    fn by_third<T>(&self, list: &WithSpare<T>, three: impl Fn(&T) -> Triple) -> ByThird {
        let starts = Self::first_then(&self.known.passed.pairs, BEST_PAIRS);
        let starts = Self::as_starts(&starts);
        let mut all = ByThird::new();
        for (at, start) in starts.iter().enumerate() {
            let mut own = vec![NOT_SEEN; self.lanes()];
            let further = self.bench.not_yet_added(start, &starts[..at]);
            for lane in further.into_iter().flatten() {
                if self.known.known[lane] {
                    own[lane] = NOT_KEPT;
                }
            }
            all.insert([start[0].0, start[1].0], own);
        }
        for (at, one) in list.all.iter().enumerate() {
            let [first, second, third] = three(&one.what);
            if let Some(own) = all.get_mut(&[first, second]) {
                own[third] = KEPT_FROM + u32::try_from(at).unwrap_or_default();
            }
        }
        all
    }

    /// Each start with each further lane, by its rank after a short way.
    fn short(&self, starts: &[Valued<(Pair, [u32; 2])>]) -> WithSpare<Triple> {
        let (known, how) = (&self.known.passed.short, &WIDEN[0]);
        let then = self.by_third(known, |three| *three);
        let mut short = WithSpare::keeping(how.likely + SPARE_SHORT, known.all_below);
        let starts = Self::as_starts(starts);
        for (at, start) in starts.iter().enumerate() {
            let pair = [start[0].0, start[1].0];
            let own = then.get(&pair);
            let further = self.bench.not_yet_added(start, &starts[..at]);
            for lane in further.into_iter().flatten() {
                let (three, order) = ([pair[0], pair[1], lane], (at * self.lanes() + lane) as u64);
                match own.map_or(NOT_SEEN, |own| own[lane]) {
                    NOT_SEEN => {
                        let approach = self.walked(start, lane, how.first_steps);
                        if let Some(rank) = self.bench.roughly(&approach, short.all_below) {
                            short.put(rank, order, three);
                        }
                    }
                    NOT_KEPT => {}
                    place => {
                        let value = known.all[(place - KEPT_FROM) as usize].value;
                        short.put(value, order, three);
                    }
                }
            }
            if self.bench.search.is_over() {
                break;
            }
        }
        short.sort();
        short
    }

    fn walked(&self, start: &[(usize, u32)], lane: usize, steps: usize) -> Approach {
        let mut approach = self.bench.with_one_more(start, lane);
        self.bench.walk(&mut approach, steps);
        approach
    }

    /// The first of those, by their rank after the whole way, with their shares.
    fn kept(
        &self,
        starts: &[Valued<(Pair, [u32; 2])>],
        walked: &[Valued<Triple>],
    ) -> WithSpare<RoundedTriple> {
        let (known, how) = (&self.known.passed.kept, &WIDEN[0]);
        let then = self.walked_then();
        let places = self.places(starts, |start| start.what.0);
        let starts = Self::as_starts(starts);
        let mut kept = WithSpare::keeping(how.kept + SPARE_KEPT, known.all_below);
        for (at, one) in walked.iter().enumerate() {
            let (at, [first, second, lane]) = (at as u64, one.what);
            match then.get(&[first, second]).map_or(NOT_SEEN, |own| own[lane]) {
                NOT_SEEN => {
                    let Some(start) = places[first * self.lanes() + second] else {
                        continue;
                    };
                    let mut approach = self.walked(&starts[start], lane, how.first_steps);
                    self.bench.walk(&mut approach, how.further_steps);
                    if let Some(rank) = self.bench.roughly(&approach, kept.all_below) {
                        let shares = approach.shares();
                        let shares = std::array::from_fn(|part| shares[part].1);
                        kept.put(rank, at, (one.what, shares));
                    }
                }
                NOT_KEPT => {}
                place => {
                    let one = &known.all[(place - KEPT_FROM) as usize];
                    kept.put(one.value, at, one.what);
                }
            }
        }
        kept.sort();
        kept
    }

    /// Which were given the whole way then, and where they stand among those that were kept.
    fn walked_then(&self) -> ByThird {
        let mut all = ByThird::new();
        let mut put = |[first, second, third]: Triple, what: u32| {
            let own = all.entry([first, second]);
            own.or_insert_with(|| vec![NOT_SEEN; self.lanes()])[third] = what;
        };
        for one in Self::first_then(&self.known.passed.short, WIDEN[0].likely) {
            put(one.what, NOT_KEPT);
        }
        for (at, one) in self.known.passed.kept.all.iter().enumerate() {
            put(
                one.what.0,
                KEPT_FROM + u32::try_from(at).unwrap_or_default(),
            );
        }
        all
    }

    /// Every mix of whole parts that might be named, best first; those that are kept, and to which rank none of them is missing.
    fn candidates(
        &self,
        likely: &[Valued<Pair>],
        pairs: &WithSpare<(Pair, [u32; 2])>,
        rounded: &[Valued<RoundedTriple>],
    ) -> Option<(Vec<MixCandidate>, Vec<PassedCandidate>, f64)> {
        let mut found = Found::with_spare(MOST_CANDIDATES, self.bench.search, SPARE_RANK);
        for lane in 0..self.lanes() {
            self.bench.all_ratios(&[lane], &mut found);
        }
        let (tried, triples) = (self.tried_then(), self.rounded_then());
        self.put_known(likely, (rounded, &triples), &mut found);
        // Pairs that are not among these rank too badly.
        for pair in &pairs.all {
            let [one, other] = pair.what.0;
            let is_new = tried[one * self.lanes() + other].is_none();
            if is_new && pair.value <= found.cutoff() {
                found.order = (pair.order + 1) * OF_ONE;
                self.bench.all_ratios(&pair.what.0, &mut found);
            }
        }
        for (at, one) in rounded.iter().enumerate() {
            let ([a, b, c], shares) = one.what;
            let in_all = at < WIDEN[0].in_all_ratios;
            if triples.get(&[a, b, c]) == Some(&in_all) {
                continue;
            }
            found.order = OF_TRIPLES + at as u64 * OF_ONE;
            if in_all {
                self.bench.all_ratios(&[a, b, c], &mut found);
            } else {
                let shares = [(a, shares[0]), (b, shares[1]), (c, shares[2])];
                self.bench.near_ratios(&shares, &mut found);
            }
        }
        let ranks = [found.cutoff(), pairs.all_below.next_down()];
        let within = ranks.into_iter().fold(self.known.passed.within, f64::min);
        if found.beyond > within {
            return None;
        }
        let mut all = found.best.into_all();
        all.retain(|one| one.rank <= within);
        all.sort_by(|a, b| a.rank.total_cmp(&b.rank).then(a.order.cmp(&b.order)));
        let kept = all.iter().filter(|one| one.parts.len() > 1);
        let kept = kept.map(|one| PassedCandidate {
            parts: one.parts.clone(),
            rank: one.rank,
            in_a_tie: one.in_a_tie,
            order: one.order % OF_ONE,
        });
        let kept = kept.collect();
        all.truncate(self.bench.kept());
        Some((all, kept, within))
    }

    /// Which triples were rounded then, and whether in all ratios.
    fn rounded_then(&self) -> BTreeMap<Triple, bool> {
        let all = Self::first_then(&self.known.passed.kept, BEST_TRIPLES);
        let all = all.iter();
        all.map(|one| (one.what.0, one.order < WIDEN[0].in_all_ratios as u64))
            .collect()
    }

    /// Puts in what is known of the pairs and triples of now.
    fn put_known(
        &self,
        likely: &[Valued<Pair>],
        (rounded, then): (&[Valued<RoundedTriple>], &BTreeMap<Triple, bool>),
        found: &mut Found,
    ) {
        let pairs = self.places(likely, |pair| pair.what);
        let triples = rounded.iter().enumerate();
        let triples = triples.map(|(at, one)| (one.what.0, at));
        let triples: BTreeMap<Triple, usize> = triples.collect();
        for one in &self.known.passed.candidates {
            let lane = |at: usize| one.parts[at].0;
            let order = if one.parts.len() == 2 {
                let place = pairs[lane(0) * self.lanes() + lane(1)];
                place.map(|at| (at as u64 + 1) * OF_ONE)
            } else {
                let three = [lane(0), lane(1), lane(2)];
                let place = triples.get(&three).copied();
                let same = |at: &usize| then.get(&three) == Some(&(*at < WIDEN[0].in_all_ratios));
                place.filter(same).map(|at| OF_TRIPLES + at as u64 * OF_ONE)
            };
            if let Some(order) = order {
                found.put(MixCandidate {
                    parts: one.parts.clone(),
                    rank: one.rank,
                    in_a_tie: one.in_a_tie,
                    order: order + one.order,
                });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::LabD65;
    use crate::mix::Rank;
    use crate::paint::PaintList;
    use crate::work::{Drawer, PassedStore};
    use std::fmt::Write;

    const COLOURS: [LabD65; 3] = [
        LabD65::new(35.0, 7.0, 12.0),
        LabD65::new(62.0, -2.0, 14.0),
        LabD65::new(48.0, 18.0, 20.0),
    ];

    /// Numbers by a fixed rule.
    struct Drawn(usize);

    impl Drawn {
        fn below(&mut self, most: usize) -> usize {
            self.0 = (self.0 * 1_103_515_245 + 12_345) % 0x8000_0000;
            (self.0 >> 8) % most
        }

        /// A line of a list; some are thin, some of another medium, some hide badly.
        fn paint(&mut self) -> String {
            let mut code = || 20 + self.below(220);
            let hex = format!("#{:02x}{:02x}{:02x}", code(), code(), code());
            let medium = ["acrylic", "acrylic", "acrylic", "acrylic", "ink"][self.below(5)];
            let opacity = ["", "opaque", "transparent"][self.below(3)];
            format!("{hex},{medium},{opacity}")
        }

        /// One paint comes, goes, changes, moves, or is there twice.
        fn change(&mut self, list: &mut Vec<String>, step: usize) {
            let at = self.below(list.len());
            match step % 6 {
                0 | 1 => list[at] = self.paint(),
                2 => list.insert(at, self.paint()),
                3 => drop(list.remove(at)),
                4 => list.insert(self.below(at + 1), list[at].clone()),
                _ => {
                    let moved = list.remove(at);
                    list.insert(self.below(list.len()), moved);
                }
            }
        }
    }

    fn shelf_of(list: &[String]) -> (Shelf, Vec<u128>) {
        let mut text = "name,hex,medium,opacity\n".to_owned();
        for (at, paint) in list.iter().enumerate() {
            let _ = writeln!(text, "paint {at},{paint}");
        }
        let paints = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&paints);
        let mark = |line: &String| {
            line.bytes().fold(7, |mark: u128, byte| {
                mark.wrapping_mul(257) + u128::from(byte)
            })
        };
        let marks = shelf.stocks().iter().map(|stock| mark(&list[stock.index]));
        let marks = marks.collect();
        (shelf, marks)
    }

    /// Lists that change by a paint at a time: whether each answer is that of the whole search, and how many could be told from
    /// what was passed before.
    fn told(paints: usize, steps: usize, search: &Search) -> [usize; 2] {
        let (mut drawn, drawer) = (Drawn(paints), Drawer::default());
        let mut list: Vec<String> = (0..paints).map(|_| drawn.paint()).collect();
        let (mut told, mut asked) = (0, 0);
        for step in 0..=steps {
            let (shelf, marks) = shelf_of(&list);
            let remembering = Remembering {
                store: &drawer,
                marks: &marks,
            };
            for target in COLOURS {
                let around = Around::likely_for(&shelf, &shelf.families()[0], target, search);
                let bench = MixBench::new(&around, search);
                let own = |lane: &crate::mix::lanes::PaintLane| marks[lane.stock.place()];
                let lanes: Vec<u128> = bench.lanes.iter().map(own).collect();
                if let Some(words) = drawer.recall(&bench.question()) {
                    let known = PassedMix::read(&words, &lanes);
                    asked += 1;
                    told += usize::from(Onward::after(&bench, known).all().is_some());
                }
                let plain = named(&shelf, &around, search, bench.all());
                let from = recipes(&shelf, &around, search, Some(remembering));
                assert_eq!(from, plain, "{paints} paints, change {step}");
                assert!(drawer.recall(&bench.question()).is_some());
            }
            drawn.change(&mut list, step);
        }
        [told, asked]
    }

    #[test]
    fn a_search_that_goes_on_from_an_earlier_one_answers_as_the_whole_search() {
        let search = Search::default();
        for (paints, steps, search) in [
            (34, 12, search),
            (
                70,
                6,
                Search {
                    looked_at: 44,
                    rank: Rank::ClosestOnPaper,
                    ..search
                },
            ),
            (
                60,
                6,
                Search {
                    answers: 1,
                    most_parts: 8,
                    ..search
                },
            ),
        ] {
            let [told, asked] = told(paints, steps, &search);
            assert_eq!(asked, 3 * steps);
            assert!(told * 3 >= asked * 2, "{paints}: {told} of {asked}");
        }
    }

    #[test]
    fn what_was_passed_comes_back_as_it_was_and_nothing_else_is_believed() {
        let mut drawn = Drawn(5);
        let list: Vec<String> = (0..30).map(|_| drawn.paint()).collect();
        let (shelf, marks) = shelf_of(&list);
        let (search, drawer) = (Search::default(), Drawer::default());
        let remembering = Remembering {
            store: &drawer,
            marks: &marks,
        };
        let plain = shelf.recipes_near(COLOURS[0], &search);
        let from = || shelf.recipes_near_from(COLOURS[0], &search, Some(remembering));
        assert_eq!(from(), plain);
        let kept = drawer.0.lock().unwrap().clone();
        assert_eq!(kept.len(), 1);
        assert_eq!(from(), plain);
        assert_eq!(
            *drawer.0.lock().unwrap(),
            kept,
            "nothing is lost on the way"
        );
        for cut in [0, 1, 40, 100, 2_000, 6_000] {
            for words in drawer.0.lock().unwrap().values_mut() {
                words.truncate(cut);
            }
            assert_eq!(from(), plain, "{cut}");
            assert_eq!(*drawer.0.lock().unwrap(), kept);
        }
    }
}
