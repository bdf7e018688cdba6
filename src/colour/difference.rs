//! How far apart two colours look.

use super::lab::LabD65;
use palette::Lab;
use palette::color_difference::Ciede2000;
use palette::white_point::D65;
use serde::{Deserialize, Serialize};

/// A CIEDE2000 difference, never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct DeltaE00(pub f64);

/// CIEDE2000 between two colours, with all weights 1.
///
/// # Source
/// Sharma, Wu and Dalal 2005, *The CIEDE2000 color-difference formula*, by the `palette` crate.
#[must_use]
pub fn delta_e00(one: LabD65, other: LabD65) -> DeltaE00 {
    let one = Lab::<D65, f64>::new(one.l, one.a, one.b);
    let other = Lab::<D65, f64>::new(other.l, other.a, other.b);
    DeltaE00(one.difference(other))
}

/// A difference that [`delta_e00`] never falls below, quick to work out: its share of lightness alone, `|ΔL| / S_L`. What
/// chroma and hue add is never negative, since `|R_T|` is at most 2.
///
/// # Source
/// Sharma, Wu and Dalal 2005, equations 15 and 22.
#[must_use]
pub fn least_delta_e00(one: LabD65, other: LabD65) -> f64 {
    let off = f64::midpoint(one.l, other.l) - 50.0;
    let off = off * off;
    (one.l - other.l).abs() / (1.0 + 0.015 * off / (20.0 + off).sqrt())
}
