//! How long recipes from a long list take, as a ratio to trying every mix of up to three paints.
//!
//! `cargo bench --bench mix`. A seeded list of 120 acrylics, seeded dull colours, one core. The rival is
//! `tests/bench/exhaustive.rs` on the same list, timed on fewer colours: it looks at all 55 million mixes of each.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark prints its figures"
)]

#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "the test of the search uses more of it than this benchmark"
)]
mod exhaustive;

use exhaustive::{Exhaustive, Seeded, search};
use hillwash::mix::{Rank, Recipe, Search, Shelf};
use std::time::Instant;

const PAINTS: usize = 120;
const TARGETS: usize = 20;
const RIVAL_TARGETS: usize = 2;
/// Targets of the design in milliseconds, by most paints in a pot.
const MOST_MS: [(usize, f64); 2] = [(3, 100.0), (4, 300.0)];

fn milliseconds(work: impl FnOnce() -> usize) -> f64 {
    let start = Instant::now();
    assert!(work() > 0);
    1e3 * start.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Tones of a large scene.
const TONES: usize = 40;

/// The recipes of a scene, as `plan` works them out: on one core and on two.
fn scene_of_tones(shelf: &Shelf, random: &mut Seeded) {
    let tones: Vec<_> = (0..TONES).map(|_| random.target()).collect();
    let on = |cores: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(cores)
            .build()
            .unwrap();
        milliseconds(|| pool.install(|| shelf.recipes_for_all(&tones, &search(3)).len()))
    };
    let (one, two) = (on(1), on(2));
    println!(
        "{TONES} tones from {PAINTS} paints: one core {one:.0} ms, two cores {two:.0} ms, {:.2} of it",
        two / one
    );
}

/// Lists that are searched both ways, and colours on each.
const LONG: [(usize, usize); 3] = [(200, 40), (300, 40), (1000, 10)];

/// What is lost by looking at a few paints of a long list, and what is gained.
fn of_long_lists(random: &mut Seeded) {
    println!(
        "| paints | ranked | as good | worst miss | time of looking at all |\n|---|---|---|---|---|"
    );
    for (paints, colours) in LONG {
        let shelf = random.shelf(paints);
        let targets: Vec<_> = (0..colours).map(|_| random.target()).collect();
        for rank in [Rank::Soundest, Rank::ClosestOnPaper] {
            let few = Search { rank, ..search(3) };
            let all = Search {
                looked_at: usize::MAX,
                ..few
            };
            let (mut as_good, mut worst) = (0, 0.0_f64);
            let mut time = [0.0; 2];
            for target in &targets {
                let mut first = |how: &Search, at: usize| {
                    let start = Instant::now();
                    let found = shelf.recipes_near(*target, how);
                    time[at] += 1e3 * start.elapsed().as_secs_f64();
                    found
                };
                let (a, b) = (first(&few, 0), first(&all, 1));
                let least =
                    |all: &[Recipe]| all.iter().map(|r| r.rank).fold(f64::INFINITY, f64::min);
                let miss = least(&a) - least(&b);
                as_good += usize::from(miss < 0.02);
                worst = worst.max(miss);
            }
            #[expect(clippy::cast_precision_loss, reason = "a few dozen colours")]
            let of = colours as f64;
            println!(
                "| {paints} | {rank:?} | {as_good} of {colours} | {worst:.3} | {:.1} of {:.1} ms, {:.3} |",
                time[0] / of,
                time[1] / of,
                time[0] / time[1]
            );
        }
    }
}

fn main() {
    if std::env::args().any(|a| a == "long") {
        return of_long_lists(&mut Seeded(77));
    }
    let mut random = Seeded(120);
    let shelf = random.shelf(PAINTS);
    let targets: Vec<_> = (0..TARGETS).map(|_| random.target()).collect();
    let mut rival = Vec::new();
    let mut looked_at = 0;
    for target in &targets[..RIVAL_TARGETS] {
        let mut every = Exhaustive::new(&shelf, *target, 12);
        rival.push(milliseconds(|| every.within(3, 0.0).len()));
        looked_at = every.looked_at;
    }
    let rival = median(rival);
    println!("every mix of up to 3 of {PAINTS} paints: {rival:.0} ms for {looked_at} mixes");
    for (most_paints, target_ms) in MOST_MS {
        let times: Vec<f64> = targets
            .iter()
            .map(|target| milliseconds(|| shelf.recipes_near(*target, &search(most_paints)).len()))
            .collect();
        let slowest = times.iter().copied().fold(0.0, f64::max);
        let usual = median(times);
        println!(
            "recipes of up to {most_paints} of {PAINTS} paints: {usual:.0} ms, at most {slowest:.0} ms (target {target_ms} ms); {:.4} of the time of every mix",
            usual / rival
        );
    }
    scene_of_tones(&shelf, &mut random);
}
