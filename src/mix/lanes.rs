//! Paints laid out for the inner loop of the search: the colour of a mix, how it moves with each part, and the
//! real-valued parts that bring it nearest to a colour.

use super::Stock;
use super::unknown::{listed_error, strength_spread, swatch_slopes};
use crate::colour::{BANDS, D65_WHITE, LabD65, LabSlope, SmallDifferences, Xyz, d65_weights};
use crate::linear::{dot, solve};
use crate::paint::{endless_layer, endless_layer_slopes};

/// A paint as the inner loop wants it: s·q and s a band.
pub(super) struct Lane {
    pub(super) stock: usize,
    pub(super) absorption: [f64; BANDS],
    pub(super) scattering: [f64; BANDS],
    mirror: f64,
    residual: Xyz,
    /// Spread of the natural logarithm of its strength.
    pub(super) strength: f64,
    /// What an error of its listed colour does to its absorption.
    pub(super) swatch: [f64; BANDS],
    /// Sold thin: it tints a coat and is none by itself.
    pub(super) thin: bool,
}

impl Lane {
    pub(super) fn new(at: usize, stock: &Stock) -> Self {
        let (q, s) = (
            stock.prepared.k_over_s.values(),
            stock.prepared.scattering.values(),
        );
        let absorption = std::array::from_fn(|i| q[i] * s[i]);
        Self {
            stock: at,
            absorption,
            scattering: *s,
            mirror: stock.prepared.mirror,
            residual: stock.prepared.residual,
            strength: strength_spread(stock),
            swatch: swatch_slopes(&absorption, s, stock.prepared.mirror, listed_error(stock)),
            thin: stock.thin,
        }
    }
}

/// What the paints of a mix come to together.
pub(super) struct Sums {
    pub(super) absorption: [f64; BANDS],
    pub(super) scattering: [f64; BANDS],
    /// The mean by parts of what the surfaces mirror.
    pub(super) mirror: f64,
    /// The mean by parts of what the paints' own colours lie beside the model.
    residual: [f64; 3],
    /// All parts together.
    total: f64,
}

impl Sums {
    pub(super) fn of(lanes: &[Lane], parts: &[(usize, f64)]) -> Self {
        let mut absorption = [0.0; BANDS];
        let mut scattering = [0.0; BANDS];
        let mut residual = [0.0; 3];
        let (mut mirror, mut total) = (0.0, 0.0);
        for (lane, p) in parts {
            let lane = &lanes[*lane];
            for i in 0..BANDS {
                absorption[i] += p * lane.absorption[i];
                scattering[i] += p * lane.scattering[i];
            }
            for (sum, e) in residual.iter_mut().zip(lane.residual.as_array()) {
                *sum += p * e;
            }
            mirror += p * lane.mirror;
            total += p;
        }
        Self {
            absorption,
            scattering,
            mirror: mirror / total,
            residual: residual.map(|e| e / total),
            total,
        }
    }
}

/// A colour from inside the paint, as seen: dimmed by what the surface mirrors, and that added, white as the light is.
pub(super) fn under_surface(inside: [f64; 3], sums: &Sums) -> Xyz {
    let white = D65_WHITE.as_array();
    Xyz::from_array(std::array::from_fn(|i| {
        (1.0 - sums.mirror) * inside[i] + sums.mirror * white[i] + sums.residual[i]
    }))
    .clamped()
}

/// The colour of a mix; the same sums as [`crate::paint::opaque_mix`], laid out for speed.
pub(super) fn colour_of(lanes: &[Lane], parts: &[(usize, f64)]) -> LabD65 {
    let sums = Sums::of(lanes, parts);
    let mut inside = [0.0; 3];
    for (i, weights) in d65_weights().iter().enumerate() {
        let r = endless_layer(sums.absorption[i], sums.scattering[i]);
        for (sum, w) in inside.iter_mut().zip(weights) {
            *sum += r * w;
        }
    }
    under_surface(inside, &sums).into()
}

/// Most paints in a pot.
pub(super) const MOST: usize = 4;

/// The colour of a mix, and its change with the natural logarithm of each part.
fn colour_and_slopes(lanes: &[Lane], parts: &[(usize, f64)]) -> (LabD65, [[f64; 3]; MOST]) {
    let sums = Sums::of(lanes, parts);
    let mut by_absorption = [0.0; BANDS];
    let mut by_scattering = [0.0; BANDS];
    let mut inside = [0.0; 3];
    for (i, weights) in d65_weights().iter().enumerate() {
        let (absorption, scattering) = (sums.absorption[i], sums.scattering[i]);
        let r = endless_layer(absorption, scattering);
        (by_absorption[i], by_scattering[i]) = endless_layer_slopes(absorption, scattering);
        for (sum, w) in inside.iter_mut().zip(weights) {
            *sum += r * w;
        }
    }
    let seen = under_surface(inside, &sums);
    let to_lab = LabSlope::at(seen);
    let white = D65_WHITE.as_array();
    let mut slopes = [[0.0; 3]; MOST];
    for (slope, (lane, p)) in slopes.iter_mut().zip(parts) {
        let lane = &lanes[*lane];
        let mut change = [0.0; 3];
        for (i, weights) in d65_weights().iter().enumerate() {
            let r = by_absorption[i] * lane.absorption[i] + by_scattering[i] * lane.scattering[i];
            for (sum, w) in change.iter_mut().zip(weights) {
                *sum += r * w;
            }
        }
        let own = lane.residual.as_array();
        for i in 0..3 {
            let mirrored = (lane.mirror - sums.mirror) * (white[i] - inside[i]);
            let missed = own[i] - sums.residual[i];
            change[i] = p * ((1.0 - sums.mirror) * change[i] + (mirrored + missed) / sums.total);
        }
        *slope = to_lab.of(change);
    }
    (seen.into(), slopes)
}

/// Real-valued parts on their way to a colour: damped Gauss–Newton in the logarithms of the parts, the first held,
/// since only ratios count.
#[derive(Debug, Clone)]
pub(super) struct Approach {
    /// Paints and their parts.
    pub(super) parts: Vec<(usize, f64)>,
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
    pub(super) fn from(lanes: &[Lane], parts: Vec<(usize, f64)>) -> Self {
        let (mix, slopes) = colour_and_slopes(lanes, &parts);
        Self {
            parts,
            mix,
            slopes,
            damping: 1.0,
            arrived: false,
        }
    }

    /// One step towards `target`; a step that leads away is taken back and the next is shorter.
    pub(super) fn step(&mut self, lanes: &[Lane], target: LabD65) {
        let residual = |mix: LabD65| [mix.l - target.l, mix.a - target.a, mix.b - target.b];
        let now = residual(self.mix);
        let count = self.parts.len();
        let Some(change) = least_squares(&self.slopes[1..count], &now, self.damping) else {
            self.arrived = true;
            return;
        };
        let first = self.parts[0].1.ln();
        let mut next = self.parts.clone();
        for ((_, p), delta) in next[1..].iter_mut().zip(&change) {
            let log = p.ln() - delta.clamp(-2.0, 2.0);
            *p = log.clamp(first - FARTHEST, first + FARTHEST).exp();
        }
        let (mix, slopes) = colour_and_slopes(lanes, &next);
        let there = residual(mix);
        let gained = dot(&now, &now) - dot(&there, &there);
        if gained > 0.0 {
            (self.parts, self.mix, self.slopes) = (next, mix, slopes);
            self.damping *= 0.3;
            self.arrived = gained < WORTH_ANOTHER;
        } else {
            self.damping *= 8.0;
        }
    }

    /// The square of how far strengths that are not known may lead off: what is cheap to know of the doubt in a mix.
    pub(super) fn doubt_squared(&self, lanes: &[Lane], near: &SmallDifferences) -> f64 {
        (self.parts.iter().zip(&self.slopes))
            .map(|((lane, _), slope)| lanes[*lane].strength.powi(2) * near.square_of(*slope))
            .sum()
    }

    /// The parts as shares of 1.
    pub(super) fn shares(&self) -> Vec<(usize, f64)> {
        let total: f64 = self.parts.iter().map(|(_, p)| p).sum();
        self.parts
            .iter()
            .map(|(lane, p)| (*lane, p / total))
            .collect()
    }
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
    use crate::mix::Shelf;
    use crate::paint::PaintList;

    #[test]
    fn slopes_are_what_small_steps_show() {
        let text = "name,hex,opacity\nred,#a03028,opaque\nwhite,#f4f4f0,opaque\nblue,#24406a,transparent\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let lanes: Vec<Lane> = shelf
            .stocks()
            .iter()
            .enumerate()
            .map(|(at, stock)| Lane::new(at, stock))
            .collect();
        let parts = vec![(0, 3.0), (1, 2.0), (2, 0.7)];
        let (mix, slopes) = colour_and_slopes(&lanes, &parts);
        assert_eq!(mix, colour_of(&lanes, &parts));
        for i in 0..3 {
            let mut nudged = parts.clone();
            nudged[i].1 *= 1.0 + 1e-6;
            let there = colour_of(&lanes, &nudged);
            let seen = [there.l - mix.l, there.a - mix.a, there.b - mix.b];
            for (slope, seen) in slopes[i].iter().zip(seen) {
                assert!((slope - seen / 1e-6).abs() < 1e-3, "{slope} {seen}");
            }
        }
    }
}
