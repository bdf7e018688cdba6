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
