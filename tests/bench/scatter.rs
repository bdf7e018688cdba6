//! How long the search for a scatter blend takes, as a ratio to trying every blend of up to three kinds and eight parts.
//!
//! `cargo bench --bench scatter`. Seeded lists, seeded zones of four tones. The rival is `tests/bench/blends.rs`, one core;
//! the search itself looks at up to five kinds and sixteen parts, and uses the cores there are.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark prints its figures"
)]

#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "the tests of the search use more of it than this benchmark"
)]
mod blends;

use blends::{Seeded, best_of_all, wanted_of};
use hillwash::scatter::best_blend;
use std::time::Instant;

const ZONES: usize = 10;
const RIVAL_ZONES: usize = 2;

fn milliseconds<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let start = Instant::now();
    let done = work();
    (1e3 * start.elapsed().as_secs_f64(), done)
}

fn main() {
    for count in [12, 20, 30] {
        let mut random = Seeded(count);
        let colours: Vec<_> = (0..count).map(|_| random.shade(2.0, &[])).collect();
        let kinds = random.kinds(&colours);
        let zones: Vec<_> = (0..ZONES)
            .map(|_| {
                let tones: Vec<_> = (0..4).map(|_| random.shade(4.0, &[])).collect();
                wanted_of(&mut random, &tones)
            })
            .collect();
        let (mut own, mut worse) = (0.0, 0);
        let mut rival = (0.0, 0);
        for (number, wanted) in zones.iter().enumerate() {
            let (took, blend) = milliseconds(|| best_blend(&kinds, wanted).unwrap());
            own += took;
            if number < RIVAL_ZONES {
                let (took, (least, looked_at)) = milliseconds(|| best_of_all(&kinds, wanted));
                rival = (rival.0 + took, looked_at);
                worse += u32::from(blend.judged.rank > least + 1e-9);
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "a few zones")]
        let (own, rival_ms) = (own / ZONES as f64, rival.0 / RIVAL_ZONES as f64);
        println!(
            "{count} kinds: {own:.0} ms a zone; every blend of up to 3 kinds and 8 parts {rival_ms:.0} ms for {} blends; ratio {:.3}; worse than the oracle in {worse} of {RIVAL_ZONES}",
            rival.1,
            own / rival_ms
        );
    }
}
