//! The search for recipes against every mix there is.
//!
//! Random shelves of 12 to 36 acrylics, random dull colours, up to three paints and twelve parts. The oracle is
//! `tests/bench/exhaustive.rs`. `HILLWASH_ORACLE_TARGETS=200 cargo test --release --test recipes_oracle -- --nocapture`
//! runs more than the usual number.
#![expect(
    clippy::unwrap_used,
    reason = "a random shelf that does not parse is a fault of the test"
)]

#[path = "bench/exhaustive.rs"]
mod exhaustive;

use exhaustive::{Exhaustive, Judged, Seeded, TIE, search};
use hillwash::mix::{PaintId, Rank, Recipe, Search, Shelf, TrimWish};
use rayon::prelude::*;

const USUAL_TARGETS: usize = 40;
/// Four paints are tried on fewer and on shorter lists unless more is asked for: there are thirty times as many mixes.
const USUAL_TARGETS_OF_FOUR: usize = 8;
const USUAL_LONGEST_OF_FOUR: usize = 15;
/// How far, in rank, the answer of up to four paints may stand from the one that the oracle names.
const NEAR_ENOUGH: f64 = 0.1;
/// How far a long list's best may stand from that of looking at all its paints: a tie, as no expectation is known more finely.
const ON_A_LONG_LIST: f64 = TIE;
/// Share of targets in which the search must name what the oracle names, also among ties.
const AGREEMENT: f64 = 0.99;
/// Share of targets in which its rank must be as good as the best there is, a tie counting as equal.
const EQUAL_BY_RANK: f64 = 0.995;
/// Two ranks worked out in another way, slopes here and small steps there, are equal within this.
const SAME: f64 = 0.02;

/// The rule among ties, as documented: nearer on paper, a further paint counted as half a unit and a part as a twentieth,
/// then list order.
fn of_ties(tied: &[Judged]) -> &Judged {
    tied.iter()
        .min_by(|a, b| {
            (a.in_a_tie().total_cmp(&b.in_a_tie())).then_with(|| a.paints().cmp(&b.paints()))
        })
        .unwrap()
}

/// What settles a tie, of the search's answer.
fn in_a_tie(recipe: &Recipe) -> f64 {
    let paints = u32::try_from(recipe.parts.len()).unwrap();
    recipe.difference.0 + 0.5 * (f64::from(paints) - 1.0) + 0.05 * f64::from(recipe.total_parts())
}

/// How many targets the caller wants.
fn asked_for() -> Option<usize> {
    std::env::var("HILLWASH_ORACLE_TARGETS").ok()?.parse().ok()
}

/// Colours on long lists, searched in a few of their paints and in all.
const ON_LONG_LISTS: usize = 12;

#[test]
fn of_a_long_list_a_few_paints_are_looked_at_and_nothing_is_lost() {
    let mut random = Seeded(4_711);
    let shelf = random.shelf(220);
    let least = |all: &[Recipe]| all.iter().map(|r| r.rank).fold(f64::INFINITY, f64::min);
    let targets: Vec<_> = (0..ON_LONG_LISTS).map(|_| random.target()).collect();
    targets.par_iter().for_each(|target| {
        for rank in [Rank::Soundest, Rank::ClosestOnPaper] {
            let few = Search { rank, ..search(3) };
            let all = Search {
                looked_at: usize::MAX,
                ..few
            };
            let [few, all] = [few, all].map(|how| least(&shelf.recipes_near(*target, &how)));
            assert!(
                few <= all + ON_A_LONG_LIST,
                "{target:?}, {rank:?}: {few}, of all {all}"
            );
        }
    });
}

#[test]
fn the_search_finds_the_soundest_of_all_mixes() {
    let targets = asked_for().unwrap_or(USUAL_TARGETS);
    let mut random = Seeded(20_261);
    let (mut agreed, mut equal, mut worst, mut misses) = (0_u32, 0_u32, 0.0_f64, Vec::new());
    for number in 0..targets {
        let shelf = random.shelf(12 + number % 25);
        let target = random.target();
        let tied = Exhaustive::new(&shelf, target, 12).best(3);
        let wanted = of_ties(&tied);
        let found = shelf.recipes_near(target, &search(3));
        let first = &found[0];
        assert!(
            first.rank >= tied[0].rank - SAME,
            "target {number}: the search claims {}, less than the least there is, {}",
            first.rank,
            tied[0].rank
        );
        let by_rank = first.rank <= tied[0].rank + TIE + SAME;
        equal += u32::from(by_rank);
        if by_rank && in_a_tie(first) <= wanted.in_a_tie() + SAME {
            agreed += 1;
        } else {
            let miss = first.rank - wanted.rank;
            worst = if miss.abs() > worst.abs() {
                miss
            } else {
                worst
            };
            misses.push(format!(
                "target {number}, {} paints: found {:?} at {:.4}, wanted {:?} at {:.4}, least {:.4}, {} tied",
                shelf.stocks().len(),
                first.parts,
                first.rank,
                wanted.parts,
                wanted.rank,
                tied[0].rank,
                tied.len()
            ));
        }
    }
    let of_all = |count: u32| f64::from(count) / f64::from(u32::try_from(targets).unwrap());
    let share = of_all(agreed);
    println!(
        "the search agrees with the oracle in {agreed} of {targets}, by rank in {equal}; worst miss {worst:.4} in rank"
    );
    assert!(
        of_all(equal) >= EQUAL_BY_RANK,
        "by rank {equal} of {targets}\n{}",
        misses.join("\n")
    );
    assert!(
        share >= AGREEMENT,
        "agreement {share:.3}, wanted {AGREEMENT}; worst miss {worst:.4}\n{}",
        misses.join("\n")
    );
}

#[test]
fn with_four_paints_the_search_comes_near_the_soundest_of_all_mixes() {
    let targets = asked_for().unwrap_or(USUAL_TARGETS_OF_FOUR);
    let longest = if asked_for().is_some() {
        36
    } else {
        USUAL_LONGEST_OF_FOUR
    };
    let mut random = Seeded(4_444);
    let drawn: Vec<_> = (0..targets)
        .map(|number| (random.shelf(12 + number % (longest - 11)), random.target()))
        .collect();
    let judged: Vec<(f64, String)> = drawn
        .par_iter()
        .enumerate()
        .map(|(number, (shelf, target))| {
            let tied = Exhaustive::new(shelf, *target, 12).best(4);
            let wanted = of_ties(&tied);
            let found = &shelf.recipes_near(*target, &search(4))[0];
            let told = format!(
                "target {number}, {} paints: found {:?} at {:.4}, wanted {:?} at {:.4}",
                shelf.stocks().len(),
                found.parts,
                found.rank,
                wanted.parts,
                wanted.rank
            );
            (found.rank - wanted.rank, told)
        })
        .collect();
    let count = |is: fn(f64) -> bool| judged.iter().filter(|(miss, _)| is(*miss)).count();
    let near = count(|miss| miss <= NEAR_ENOUGH);
    let worst = judged
        .iter()
        .fold(0.0_f64, |worst, (miss, _)| worst.max(*miss));
    println!(
        "up to four paints: within {NEAR_ENOUGH} of the oracle in {near} of {targets}, equal in {}; worst miss {worst:.4} in rank",
        count(|miss| miss.abs() < SAME)
    );
    let share =
        f64::from(u32::try_from(near).unwrap()) / f64::from(u32::try_from(targets).unwrap());
    let misses: Vec<&str> = judged
        .iter()
        .filter(|(miss, _)| *miss > NEAR_ENOUGH)
        .map(|(_, told)| told.as_str())
        .collect();
    assert!(
        share >= AGREEMENT,
        "within {NEAR_ENOUGH} in {share:.3}, wanted {AGREEMENT}\n{}",
        misses.join("\n")
    );
}

#[test]
fn no_smaller_set_of_paints_covers_what_a_trimmed_one_covers() {
    const SHELVES: usize = 4;
    const PAINTS: usize = 7;
    const COLOURS: usize = 5;
    const WITHIN: f64 = 5.0;
    let mut random = Seeded(910);
    let closest = Search {
        rank: Rank::ClosestOnPaper,
        answers: 1,
        ..search(3)
    };
    for number in 0..SHELVES {
        let shelf = random.shelf(PAINTS);
        let targets: Vec<_> = (0..COLOURS).map(|_| random.target()).collect();
        let wish = TrimWish {
            colours: &targets,
            within: WITHIN,
            owned: &[],
        };
        let trim = shelf.trimming(wish, &search(3)).with_films(&[]);
        assert!(trim.exact, "shelf {number}: a short list is settled");
        let best = |shelf: &Shelf, target| {
            let found = shelf.recipes_near(target, &closest);
            found.first().map_or(f64::INFINITY, |r| r.difference.0)
        };
        // What the whole list does not bring so near may come out half a unit worse, or a tenth.
        let limits: Vec<f64> = targets
            .iter()
            .map(|target| match best(&shelf, *target) {
                near if near <= WITHIN => WITHIN,
                far => far + (0.1 * far).max(0.5),
            })
            .collect();
        let covers = |paints: &[PaintId]| {
            let shelf = shelf.only(paints);
            (targets.iter().zip(&limits)).all(|(target, limit)| best(&shelf, *target) <= *limit)
        };
        assert!(covers(&trim.paints), "shelf {number}: {trim:?}");
        for set in 0..1_usize << PAINTS {
            let of_set = shelf.paints().filter(|at| set >> at.place() & 1 == 1);
            let paints: Vec<PaintId> = of_set.collect();
            assert!(
                paints.len() >= trim.paints.len() || !covers(&paints),
                "shelf {number}: {paints:?} does what {:?} does",
                trim.paints
            );
        }
    }
}
