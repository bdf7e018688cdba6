//! Approaches a mix: real-valued parts of given paints that bring it nearest to a colour, in single precision. The
//! whole parts found this way are then judged in full precision.

use super::lanes::{MOST, MixMeans, PaintLane};
use crate::colour::{BANDS, D65_WHITE, LabD65, LabSlope, SmallDifferences, d65_weights};
use crate::linear::{dot, solve};
use crate::paint::endless_layers;
use std::sync::LazyLock;

/// The weights of X, Y and Z, a row each.
static WEIGHTS: LazyLock<[[f32; BANDS]; 3]> = LazyLock::new(|| {
    #[expect(clippy::cast_possible_truncation, reason = "single precision is meant")]
    std::array::from_fn(|c| std::array::from_fn(|i| d65_weights()[i][c] as f32))
});

/// A sum of products, four side by side.
fn sum_of(values: &[f32; BANDS], weights: &[f32; BANDS]) -> f64 {
    let mut sums = [0.0_f32; 4];
    for (v, w) in values.chunks_exact(4).zip(weights.chunks_exact(4)) {
        for i in 0..4 {
            sums[i] += v[i] * w[i];
        }
    }
    f64::from(sums[0] + sums[1] + sums[2] + sums[3])
}

/// The paints of a mix together.
struct MixSums {
    absorption: [f32; BANDS],
    scattering: [f32; BANDS],
    means: MixMeans,
}

impl MixSums {
    fn of_parts(lanes: &[PaintLane], parts: &[(usize, f64)]) -> Self {
        let (mut absorption, mut scattering) = ([0.0; BANDS], [0.0; BANDS]);
        for (lane, p) in parts {
            let lane = &lanes[*lane];
            #[expect(clippy::cast_possible_truncation, reason = "single precision is meant")]
            let part = *p as f32;
            for i in 0..BANDS {
                absorption[i] += part * lane.single[0][i];
                scattering[i] += part * lane.single[1][i];
            }
        }
        Self {
            absorption,
            scattering,
            means: MixMeans::of_parts(lanes, parts),
        }
    }
}

/// The colour of a mix to about a thousandth, within [`ROUGH`]; see [`super::lanes::colour_of`] for the exact one.
pub(super) fn rough_colour(lanes: &[PaintLane], parts: &[(usize, f64)]) -> LabD65 {
    let sums = MixSums::of_parts(lanes, parts);
    let (r, _) = endless_layers(&sums.absorption, &sums.scattering);
    sums.means
        .seen(std::array::from_fn(|c| sum_of(&r, &WEIGHTS[c])))
        .into()
}

/// No rough colour is off by more in L\*, a\* or b\*. On the way to X, Y and Z each number is rounded at most 31 times by 2⁻²⁴ of
/// itself, all are positive, and none is above 1.09: they are off by at most 2.1e-6, and CIELAB by 500 times 7.8 times that
/// from X and as much from Y.
pub(super) const ROUGH: f64 = 0.02;

/// The colour of a mix, and its change with the natural logarithm of each part.
fn colour_and_slopes(lanes: &[PaintLane], parts: &[(usize, f64)]) -> (LabD65, [[f64; 3]; MOST]) {
    let sums = MixSums::of_parts(lanes, parts);
    let (r, moves) = endless_layers(&sums.absorption, &sums.scattering);
    let inside: [f64; 3] = std::array::from_fn(|c| sum_of(&r, &WEIGHTS[c]));
    let seen = sums.means.seen(inside);
    let (to_lab, colour) = LabSlope::and_colour(seen);
    let white = D65_WHITE.as_array();
    let means = &sums.means;
    let mut slopes = [[0.0; 3]; MOST];
    for (slope, (lane, p)) in slopes.iter_mut().zip(parts) {
        let lane = &lanes[*lane];
        let [k, s] = &lane.single;
        let change: [f32; BANDS] = std::array::from_fn(|i| {
            moves[i] * (sums.absorption[i] * s[i] - sums.scattering[i] * k[i])
        });
        let own = lane.residual.as_array();
        let change = std::array::from_fn(|c| {
            let mirrored = (lane.mirror - means.mirror) * (white[c] - inside[c]);
            let missed = own[c] - means.residual[c];
            let inner = sum_of(&change, &WEIGHTS[c]);
            p * ((1.0 - means.mirror) * inner + (mirrored + missed) / means.total)
        });
        *slope = to_lab.change_with(change);
    }
    (colour, slopes)
}

/// Real-valued parts on their way to a colour: damped Gauss–Newton in the logarithms of the parts, the first held,
/// since only ratios count.
#[derive(Debug, Clone, Copy)]
pub(super) struct Approach {
    /// Paints and their parts, and how many there are.
    all: [(usize, f64); MOST],
    count: usize,
    /// The mix as it is now.
    pub(super) mix: LabD65,
    slopes: [[f64; 3]; MOST],
    damping: f64,
    /// True when a further step gains next to nothing.
    pub(super) arrived: bool,
}

/// A part reaches at most e^5 times the first, or as small a fraction of it.
const FARTHEST: f64 = 5.0;
/// What a step gains at least, in Lab squared, to be worth another.
const WORTH_ANOTHER: f64 = 1e-4;

impl Approach {
    /// Begins with these parts.
    pub(super) fn from(lanes: &[PaintLane], parts: &[(usize, f64)]) -> Self {
        let (mix, slopes) = colour_and_slopes(lanes, parts);
        let mut all = [(0, 0.0); MOST];
        let count = parts.len().min(MOST);
        all[..count].copy_from_slice(&parts[..count]);
        Self {
            all,
            count,
            mix,
            slopes,
            damping: 1.0,
            arrived: false,
        }
    }

    /// Paints and their parts.
    pub(super) fn parts(&self) -> &[(usize, f64)] {
        &self.all[..self.count]
    }

    /// One step towards `target`; a step that leads away is taken back and the next is shorter.
    pub(super) fn step(&mut self, lanes: &[PaintLane], target: LabD65) {
        let residual = |mix: LabD65| [mix.l - target.l, mix.a - target.a, mix.b - target.b];
        let now = residual(self.mix);
        let count = self.count;
        let Some(change) = least_squares(&self.slopes[1..count], &now, self.damping) else {
            self.arrived = true;
            return;
        };
        let first = self.all[0].1.ln();
        let mut next = self.all;
        for ((_, p), delta) in next[1..count].iter_mut().zip(&change) {
            let log = p.ln() - delta.clamp(-2.0, 2.0);
            *p = log.clamp(first - FARTHEST, first + FARTHEST).exp();
        }
        let (mix, slopes) = colour_and_slopes(lanes, &next[..count]);
        let there = residual(mix);
        let gained = dot(&now, &now) - dot(&there, &there);
        if gained > 0.0 {
            (self.all, self.mix, self.slopes) = (next, mix, slopes);
            self.damping *= 0.3;
            self.arrived = gained < WORTH_ANOTHER;
        } else {
            self.damping *= 8.0;
        }
    }

    /// The square of how far strengths that are not known may lead off: the part of a mix's uncertainty that is cheap
    /// to compute.
    pub(super) fn doubt_squared(&self, lanes: &[PaintLane], near: &SmallDifferences) -> f64 {
        (self.parts().iter().zip(&self.slopes))
            .map(|((lane, _), slope)| lanes[*lane].strength.powi(2) * near.square_of(*slope))
            .sum()
    }

    /// The parts as shares of 1.
    pub(super) fn shares(&self) -> Vec<(usize, f64)> {
        let total: f64 = self.parts().iter().map(|(_, p)| p).sum();
        self.parts()
            .iter()
            .map(|(lane, p)| (*lane, p / total))
            .collect()
    }
}

/// Damped least squares of at most three unknowns in three equations: `(JᵀJ + λ I) x = Jᵀr`.
fn least_squares(slopes: &[[f64; 3]], residual: &[f64; 3], damping: f64) -> Option<[f64; 3]> {
    let slope = |i: usize| slopes.get(i).copied().unwrap_or([0.0; 3]);
    let mut normal: [[f64; 3]; 3] = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            dot(&slope(i), &slope(j)) + if i == j { damping + 1e-9 } else { 0.0 }
        })
    });
    let right = std::array::from_fn(|i| [dot(&slope(i), residual)]);
    let solved = solve(&mut normal, right)?;
    Some(solved.map(|[v]| v))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mix::Shelf;
    use crate::mix::lanes::colour_of;
    use crate::paint::PaintList;

    #[test]
    fn slopes_are_what_small_steps_show() {
        let text = "name,hex,opacity\nred,#a03028,opaque\nwhite,#f4f4f0,opaque\nblue,#24406a,transparent\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let lanes = PaintLane::of_paints(&shelf, shelf.paints());
        let parts = vec![(0, 3.0), (1, 2.0), (2, 0.7)];
        let (mix, slopes) = colour_and_slopes(&lanes, &parts);
        let exact = colour_of(&lanes, &parts);
        assert!(
            (mix.l - exact.l)
                .hypot(mix.a - exact.a)
                .hypot(mix.b - exact.b)
                < 1e-3
        );
        assert_eq!(rough_colour(&lanes, &parts), mix);
        for i in 0..3 {
            let mut nudged = parts.clone();
            nudged[i].1 *= 1.0 + 1e-3;
            let there = colour_of(&lanes, &nudged);
            let seen = [there.l - mix.l, there.a - mix.a, there.b - mix.b];
            for (slope, seen) in slopes[i].iter().zip(seen) {
                assert!((slope - seen / 1e-3).abs() < 0.05, "{slope} {seen}");
            }
        }
    }
}
