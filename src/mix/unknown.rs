//! The uncertainty of a paint: how strongly it tints, and how far its listed colour may be off.

use super::{Stock, StrengthFrom};
use crate::colour::{BANDS, LabD65, Xyz, d65_weights, delta_e00};
use crate::paint::{ColourSource, endless_layer, endless_layer_slopes};

/// How far, in natural logarithms, a typical paint's strength is from what its listed colour lets one take: about the
/// middle of what measured paints show, .35 to .7. Our choice.
const STRENGTH_UNKNOWN: f64 = 0.5;
/// The same, if the list gives the strength or a let-down shows it. Our choice.
const STRENGTH_KNOWN: f64 = 0.15;
/// The step, as a share of its light, by which to move a listed colour and see the effect.
const STEP: f64 = 0.02;

/// Spread of the natural logarithm of a paint's strength about its assumed value.
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

/// How a paint's absorption changes a band when its listed colour is off by what it may be off. We assume that it is
/// too light or too dark, like all paints of a list whose light was judged wrongly: of dark paints that changes K/S
/// most, and it does not average out among the paints of a mix.
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
