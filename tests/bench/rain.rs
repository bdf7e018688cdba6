//! What a blend laid by the plan's grams shows, seen from above and from 30°, in a drawn rain of grains: flat discs, and
//! domes half as high as wide. Against what the plan promises, and against the same parts laid as if side by side.
//!
//! `cargo bench --profile dev --bench rain`. Seeded lists and zones of three tones; 100 zones.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a benchmark prints its figures; sizes are small"
)]

#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "the tests of the search use more of it"
)]
mod blends;
mod drawn_rain;

use blends::{Seeded, wanted_of};
use drawn_rain::{MOST, Rain};
use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::scatter::{Blend, Kind, LayOrder, Wanted, best_blend, laying_order, seen_from};

const ZONES: usize = 100;

/// How far what is seen lies from what was promised: the worst share, and the mean colour.
fn off(
    seen: &[f64],
    promised: &[f64],
    colour: LabD65,
    blend: &Blend,
    kinds: &[Kind],
    wanted: &Wanted,
) -> (f64, f64) {
    let ground = seen[MOST];
    let mut mean = Xyz::default().blend(1.0, wanted.ground.into(), ground);
    let mut worst: f64 = 0.0;
    for (at, (kind, _)) in blend.parts.iter().enumerate() {
        mean = mean.blend(1.0, kinds[*kind].xyz, seen[at]);
        worst = worst.max((seen[at] - promised[at]).abs());
    }
    (worst, delta_e00(mean.into(), colour).0)
}

fn told(what: &str, mut offs: Vec<(f64, f64)>) {
    let inside = offs
        .iter()
        .filter(|(share, mean)| *share <= 0.04 && *mean <= 1.0)
        .count();
    let count = offs.len();
    offs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let share = offs[95 * count / 100].0;
    offs.sort_by(|a, b| a.1.total_cmp(&b.1));
    println!(
        "{what}: inside 4 points and ΔE00 1.0 in {inside} of {count}; 95th: {:.1} points, ΔE00 {:.2}",
        100.0 * share,
        offs[95 * count / 100].1
    );
}

fn main() {
    for (what, dome) in [
        ("flat discs", 0.0),
        ("domes, half as high as wide", 1.0),
        ("low domes", 0.5),
    ] {
        let mut random = Seeded(100);
        let (mut above, mut low) = (Vec::new(), Vec::new());
        for _ in 0..ZONES {
            let colours: Vec<_> = (0..12).map(|_| random.shade(6.0, &[])).collect();
            let kinds = random.kinds(&colours);
            let tones: Vec<_> = (0..3).map(|_| random.shade(8.0, &[])).collect();
            let wanted = wanted_of(&mut random, &tones);
            let blend = best_blend(&kinds, &wanted).unwrap();
            let layers = laying_order(&blend, &kinds, wanted.ground, LayOrder::CoarseFirst, None);
            let rain = Rain::of(&blend, &kinds, &layers, dome, &mut random);
            let promised: Vec<f64> = blend
                .areas
                .iter()
                .map(|a| (1.0 - blend.ground_share) * a)
                .collect();
            let seen = rain.above();
            above.push(off(
                &seen,
                &promised,
                blend.judged.colour,
                &blend,
                &kinds,
                &wanted,
            ));
            let (colour, promised, _) = seen_from(&blend, &kinds, wanted.ground, 30.0);
            let seen = rain.low(30.0);
            low.push(off(&seen, &promised, colour, &blend, &kinds, &wanted));
        }
        told(&format!("{what}, from above"), above);
        told(&format!("{what}, from 30°"), low);
    }
}
