//! How far a mix may be from what is foretold of it: what is not known of each paint, carried through the mix.
//!
//! One principle for recipes, pots and additions. Of each paint three things are not quite known: how strongly it tints,
//! what colour it has, and how much of it was counted out. Strengths and counts move the mix each by their own slope, and the
//! squares add up; colours are too light or too dark together, so that their slopes add up first. The root of the mean square is also, within a tenth, the figure that two in three stay below.

use super::lanes::{Lane, MOST, Sums, under_surface};
use super::{Shelf, Stock};
use crate::colour::{BANDS, DeltaE00, LabD65, LabSlope, SmallDifferences, d65_weights};
use crate::paint::{endless_layer, endless_layer_slopes};

/// A part counted out is off evenly by up to half a part: the standard deviation of that.
const OF_A_PART: f64 = 0.288_675;

/// The square of how far a mix may be off, CIEDE2000, near the colour that `near` is about.
pub(super) fn doubt_squared(
    lanes: &[Lane],
    parts: &[(usize, f64)],
    near: &SmallDifferences,
) -> f64 {
    let sums = Sums::of(lanes, parts);
    let mut inside = [0.0; 3];
    let mut by_absorption = [[0.0; 3]; BANDS];
    let mut by_scattering = [[0.0; 3]; BANDS];
    for (i, weights) in d65_weights().iter().enumerate() {
        let (k, s) = (sums.absorption[i], sums.scattering[i]);
        let r = endless_layer(k, s);
        let (by_k, by_s) = endless_layer_slopes(k, s);
        for c in 0..3 {
            inside[c] += r * weights[c];
            by_absorption[i][c] = (1.0 - sums.mirror) * by_k * weights[c];
            by_scattering[i][c] = (1.0 - sums.mirror) * by_s * weights[c];
        }
    }
    let to_lab = LabSlope::at(under_surface(inside, &sums));
    let least = parts.iter().map(|(_, p)| *p).fold(1.0, f64::min).max(1e-9);
    let mut square = 0.0;
    let mut lighter = [0.0; BANDS];
    for (lane, p) in parts.iter().take(MOST) {
        let lane = &lanes[*lane];
        let mut by_strength = [0.0; 3];
        for i in 0..BANDS {
            lighter[i] += p * lane.swatch[i];
            for c in 0..3 {
                by_strength[c] += by_absorption[i][c] * lane.absorption[i]
                    + by_scattering[i][c] * lane.scattering[i];
            }
        }
        let counted = OF_A_PART * least / p;
        let spread = lane.strength * lane.strength + counted * counted;
        square += spread * near.square_of(to_lab.of(by_strength.map(|v| v * p)));
    }
    let mut by_swatches = [0.0; 3];
    for i in 0..BANDS {
        for c in 0..3 {
            by_swatches[c] += by_absorption[i][c] * lighter[i];
        }
    }
    square + near.square_of(to_lab.of(by_swatches))
}

/// The figure to quote beside a mix, "two in three": see the head of this file. One paint alone has its list's error only.
#[must_use]
pub fn uncertainty(shelf: &Shelf, parts: &[(usize, f64)], mix: LabD65) -> DeltaE00 {
    let used: Vec<(&Stock, f64)> = parts
        .iter()
        .filter(|(_, p)| *p > 0.0)
        .filter_map(|(at, p)| Some((shelf.stocks().get(*at)?, *p)))
        .collect();
    let lanes: Vec<Lane> = used.iter().map(|(stock, _)| Lane::new(0, stock)).collect();
    let parts: Vec<(usize, f64)> = used
        .iter()
        .enumerate()
        .map(|(lane, (_, p))| (lane, *p))
        .collect();
    if parts.is_empty() {
        return DeltaE00(0.0);
    }
    DeltaE00(doubt_squared(&lanes, &parts, &SmallDifferences::about(mix)).sqrt())
}
