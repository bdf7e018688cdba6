//! What a blend laid by the plan's grams shows, seen from above and from 30°, in a drawn rain of grains: flat discs, domes
//! half as high as wide, low domes, and lists of all of them. Against what the plan promises.
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
use drawn_rain::{Lies, MOST, Rain};
use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::scatter::{
    Blend, LayOrder, ScatterKind, WantedZone, best_blend, laying_order, seen_from,
};

const ZONES: usize = 100;

/// How far what is seen lies from what was promised: the worst share, and the mean colour.
fn off(
    [seen, promised]: [&[f64]; 2],
    colour: LabD65,
    blend: &Blend,
    kinds: &[ScatterKind],
    wanted: &WantedZone,
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
    use Lies::{Draped, Settled};
    let mut random = Seeded(100);
    let zones: Vec<(WantedZone, Vec<ScatterKind>, Blend)> = (0..ZONES)
        .map(|_| {
            let colours: Vec<_> = (0..12).map(|_| random.shade(6.0, &[])).collect();
            let kinds = random.kinds(&colours);
            let tones: Vec<_> = (0..3).map(|_| random.shade(8.0, &[])).collect();
            let wanted = wanted_of(&mut random, &tones);
            let blend = best_blend(&kinds, &wanted).unwrap();
            (wanted, kinds, blend)
        })
        .collect();
    for (what, stands, lies) in [
        ("flat discs", &[0.0][..], Draped),
        ("domes half as high as wide, draped", &[1.0], Draped),
        ("low domes, draped", &[0.5], Draped),
        ("flat, low and high ones, draped", &[0.0, 0.5, 1.0], Draped),
        ("domes half as high as wide, settled", &[1.0], Settled),
        ("low domes, settled", &[0.5], Settled),
    ] {
        let (mut above, mut low) = (Vec::new(), Vec::new());
        for (wanted, kinds, blend) in &zones {
            let mut kinds = kinds.clone();
            for (kind, stands) in kinds.iter_mut().zip(stands.iter().cycle()) {
                kind.stands = *stands;
            }
            let layers = laying_order(blend, &kinds, wanted.ground, LayOrder::CoarseFirst, None);
            let rain = Rain::of(blend, &kinds, &layers, lies, &mut random);
            let promised: Vec<f64> = blend
                .areas
                .iter()
                .map(|a| (1.0 - blend.ground_share) * a)
                .collect();
            let told_of = |seen: &[f64], promised: &[f64], colour| {
                off([seen, promised], colour, blend, &kinds, wanted)
            };
            above.push(told_of(&rain.above(), &promised, blend.judged.colour));
            let (colour, promised, _) = seen_from(blend, &kinds, &layers, wanted.ground, 30.0);
            low.push(told_of(&rain.low(30.0), &promised, colour));
        }
        told(&format!("{what}, from above"), above);
        told(&format!("{what}, from 30°"), low);
    }
}
