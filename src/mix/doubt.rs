//! How far a mix may be from what is foretold of it: what is not known of each paint, carried through the mix.
//!
//! One principle for recipes, pots and additions. Of each paint three things are not quite known: how strongly it tints,
//! what colour it has, and how much of it was counted out. Strengths and counts move the mix each by their own slope, and the
//! squares add up; colours are too light or too dark together, so that their slopes add up first. The root of the mean square is also, within a tenth, the figure that two in three stay below.

use super::lanes::{Lane, MOST, Sums, under_surface};
use super::{Shelf, Stock, StrengthFrom};
use crate::colour::{
    BANDS, DeltaE00, LabD65, LabSlope, SmallDifferences, Xyz, d65_weights, delta_e00,
};
use crate::paint::{ColourSource, endless_layer, endless_layer_slopes};

/// How far, in natural logarithms, a typical paint's strength is from what its listed colour lets one take: about the
/// middle of what measured paints show, .35 to .7. Our choice.
const STRENGTH_UNKNOWN: f64 = 0.5;
/// The same where the list states the strength or a let-down tells it. Our choice.
const STRENGTH_KNOWN: f64 = 0.15;
/// A part counted out is off evenly by up to half a part: the standard deviation of that.
const OF_A_PART: f64 = 0.288_675;
/// The step, as a share of its light, by which a listed colour is moved to see what that does.
const STEP: f64 = 0.02;

/// Spread of the natural logarithm of a paint's strength about what it is taken to be.
pub(super) fn strength_spread(stock: &Stock) -> f64 {
    match stock.strength {
        StrengthFrom::Nothing => STRENGTH_UNKNOWN,
        StrengthFrom::List | StrengthFrom::LetDown => STRENGTH_KNOWN,
    }
}

/// How far a listed colour may be off, CIEDE2000: screen colour 4, measured Lab 1, measured spectrum 0.7. Our choice.
pub(super) fn listed_error(stock: &Stock) -> f64 {
    match stock.source {
        ColourSource::Hex => 4.0,
        ColourSource::Lab => 1.0,
        ColourSource::Spectrum => 0.7,
    }
}

/// How a paint's absorption changes a band when its listed colour is off by what it may be off. It is taken to be too
/// light or too dark, as all of a list are whose light was judged wrongly: of dark paints that changes K/S most, and it
/// does not average out among the paints of a mix.
pub(super) fn swatch_slopes(
    absorption: &[f64; BANDS],
    scattering: &[f64; BANDS],
    mirror: f64,
    error: f64,
) -> [f64; BANDS] {
    let alone: [f64; BANDS] = std::array::from_fn(|i| {
        mirror + (1.0 - mirror) * endless_layer(absorption[i], scattering[i])
    });
    let mut xyz = [0.0; 3];
    for (r, weights) in alone.iter().zip(d65_weights()) {
        for (sum, w) in xyz.iter_mut().zip(weights) {
            *sum += r * w;
        }
    }
    let scaled = |by: f64| LabD65::from(Xyz::from_array(xyz.map(|v| v * by)));
    let by_share = delta_e00(scaled(1.0 - 0.5 * STEP), scaled(1.0 + 0.5 * STEP)).0 / STEP;
    let share = error / by_share.max(1e-6);
    std::array::from_fn(|i| {
        let (by_absorption, _) = endless_layer_slopes(absorption[i], scattering[i]);
        let change = share * alone[i] / ((1.0 - mirror) * by_absorption);
        // Where nearly no light comes back the slope says nothing any more: at most as much again.
        change.clamp(-absorption[i], absorption[i])
    })
}

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
