//! Which paints of a long list to try for a mix near a colour.
//!
//! A mix lies between its paints, and the nearer they are, the less their unknown strengths matter. So the paints
//! around the wanted colour come first, the nearest in each direction; then those of all others that make the best
//! pairs with one of them.

use super::approach::Approach;
use super::lanes::PaintLane;
use crate::colour::{LabD65, SmallDifferences, delta_e00};
use rayon::prelude::*;

/// Directions seen from the wanted colour: spread evenly over a sphere.
const DIRECTIONS: usize = 24;
/// Steps towards the colour before a pair is judged.
const STEPS: usize = 2;

/// A direction in CIELAB.
type Direction = [f64; 3];

/// Points spread evenly over a sphere.
///
/// # Source
/// The golden spiral: equal steps of height, turned by the golden angle each (Vogel 1979, *A better way to construct the
/// sunflower head*, carried over to the sphere).
fn directions() -> [Direction; DIRECTIONS] {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    std::array::from_fn(|i| {
        #[expect(clippy::cast_precision_loss, reason = "a few dozen directions")]
        let (i, of) = (i as f64, DIRECTIONS as f64);
        let height = 1.0 - (2.0 * i + 1.0) / of;
        let (sin, cos) = (golden * i).sin_cos();
        let wide = (1.0 - height * height).sqrt();
        [height, wide * cos, wide * sin]
    })
}

/// Lanes in the order of their distance, and so that the nearest of each direction come first of all.
fn about(lanes: &[PaintLane], target: LabD65) -> Vec<usize> {
    let directions = directions();
    let mut seen: Vec<(f64, usize, usize)> = lanes
        .iter()
        .enumerate()
        .map(|(at, lane)| {
            let away = [
                lane.lab.l - target.l,
                lane.lab.a - target.a,
                lane.lab.b - target.b,
            ];
            let along = |d: &Direction| d.iter().zip(away).map(|(d, a)| d * a).sum::<f64>();
            let facing = (0..DIRECTIONS)
                .max_by(|a, b| along(&directions[*a]).total_cmp(&along(&directions[*b])))
                .unwrap_or(0);
            (away.iter().map(|a| a * a).sum::<f64>(), facing, at)
        })
        .collect();
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut taken = [false; DIRECTIONS];
    let (first, rest): (Vec<_>, Vec<_>) = seen
        .into_iter()
        .partition(|(_, facing, _)| !std::mem::replace(&mut taken[*facing], true));
    first.into_iter().chain(rest).map(|(_, _, at)| at).collect()
}

/// Which lanes a mix near `target` is likely to be made from, at most this many; for lists longer than that.
pub(super) fn likely(lanes: &[PaintLane], target: LabD65, most: usize) -> Vec<bool> {
    let near = SmallDifferences::about(target);
    let in_order = about(lanes, target);
    let (first, others) = in_order.split_at(most / 2);
    let mut scored: Vec<(f64, f64, usize)> = others
        .par_iter()
        .map(|other| {
            let (sound, close) = best_pair(lanes, first, *other, (target, &near));
            (sound, close, *other)
        })
        .collect();
    let mut chosen = vec![false; lanes.len()];
    for at in first {
        chosen[*at] = true;
    }
    let mut choose = |scored: &mut Vec<(f64, f64, usize)>, count: usize| {
        for (_, _, at) in scored.drain(..count.min(scored.len())) {
            chosen[at] = true;
        }
    };
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    choose(&mut scored, most / 4);
    scored.sort_by(|a, b| a.1.total_cmp(&b.1));
    choose(&mut scored, most - most / 2 - most / 4);
    chosen
}

/// How good the best pair of `other` and one of `first` is: the square of its rank, roughly, and its difference on paper.
fn best_pair(
    lanes: &[PaintLane],
    first: &[usize],
    other: usize,
    (target, near): (LabD65, &SmallDifferences),
) -> (f64, f64) {
    let (mut sound, mut close) = (f64::INFINITY, f64::INFINITY);
    for one in first {
        let mut pair = Approach::from(lanes, &[(*one, 0.7), (other, 0.3)]);
        for _ in 0..STEPS {
            pair.step(lanes, target);
        }
        let difference = delta_e00(target, pair.mix).0;
        close = close.min(difference);
        sound = sound.min(difference * difference + pair.doubt_squared(lanes, near));
    }
    (sound, close)
}
