//! What was counted, as points in the grouping space.

use super::histogram::Bin;
use crate::colour::OklabPoint;
use crate::tones::group::rounds::WeightedColour;
use crate::tones::tone::TonesError;

/// Bins as places in the grouping space; their weights sum to 1.
pub(in crate::tones) fn points_of(bins: &[Bin]) -> Result<Vec<WeightedColour>, TonesError> {
    let total: f64 = bins.iter().map(|bin| bin.pixels).sum();
    if total <= 0.0 {
        return Err(TonesError::NoPixels);
    }
    let point =
        |bin: &Bin| WeightedColour::new(OklabPoint::from(bin.light).grouping(), bin.pixels / total);
    Ok(bins.iter().map(point).collect())
}
