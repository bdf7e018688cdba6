//! The tones of a region or a histogram: counted, grouped or chosen, and described.

use super::choose::sorting::Sorting;
use super::choose::unasked::choose;
use super::count::afar::bins_for;
use super::count::histogram::Bin;
use super::count::points::points_of;
use super::describe::described::{described, thin_told};
use super::follow::sorted_colours::SortedColours;
use super::group::cells::merged;
use super::group::k_means::{Clustering, MOST_CELLS, group_from};
use super::group::rounds::WeightedColour;
use super::tone::{Count, MOST_TONES, Sorted, Tones, TonesError};
use crate::colour::{DeltaE00, LabD65};
use crate::photo::Picture;
use crate::region::Region;

/// The tones of a region of a picture.
///
/// # Errors
/// [`TonesError::NoPixels`] when nothing in the region counts.
pub fn tones_of(picture: &Picture, region: &Region, count: Count) -> Result<Tones, TonesError> {
    tones_of_bins(&bins_for(picture, region, count).bins, count)
}

/// The tones of a histogram.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn tones_of_bins(bins: &[Bin], count: Count) -> Result<Tones, TonesError> {
    sorted(bins, count).map(|sorted| sorted.tones)
}

/// The tones of a histogram, with the tone of each bin.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn sorted(bins: &[Bin], count: Count) -> Result<Sorted, TonesError> {
    sorted_to_hold(bins, count, &[]).map(|(sorted, _)| sorted)
}

/// Sorts as [`sorted`] does, and says how, so that it can be done again with bins that differ little.
///
/// `alike` are colours that the user joined, one group for each tone: every one of them names the tone nearest to it.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn sorted_to_hold(
    bins: &[Bin],
    count: Count,
    alike: &[Vec<LabD65>],
) -> Result<(Sorted, SortedColours), TonesError> {
    let points = points_of(bins)?;
    let mut sorting = match count {
        Count::Exactly(n) => {
            let cells = merged(&points, MOST_CELLS);
            let how = Clustering::into_groups(n.clamp(1, MOST_TONES));
            Sorting::nearest(group_from(&cells, &points, &how).centres)
        }
        Count::Chosen => {
            let near = weighed_by(bins, &points, |bin| bin.unmixed);
            choose(near.as_deref(), &points)
        }
    };
    let of_point: Vec<usize> = points.iter().map(|p| sorting.tone(p.at())).collect();
    let steps = std::mem::take(&mut sorting.steps);
    let seen_near = weighed_by(bins, &points, |bin| bin.near).filter(|_| sorting.from_near);
    let from_near = seen_near.is_some();
    let shares = seen_near.unwrap_or_else(|| points.clone());
    let held = SortedColours::of_sorting(sorting, alike, &points, &of_point);
    let sorted = described(&shares, held.centres(), of_point, (held.accents(), alike));
    let sorted = Sorted {
        steps,
        from_near,
        ..sorted
    };
    let sorted = thin_told(sorted, bins);
    Ok((sorted, held))
}

/// The places with weights as seen from near, which sum to 1; `None` where too little is seen from there.
fn weighed_by(
    bins: &[Bin],
    points: &[WeightedColour],
    weight: impl Fn(&Bin) -> f64,
) -> Option<Vec<WeightedColour>> {
    let (sum, near) = bins
        .iter()
        .fold((0.0, 0.0), |(u, n), bin| (u + weight(bin), n + bin.near));
    if near <= 0.0 || sum <= LEAST_UNMIXED * near {
        return None;
    }
    let points = points.iter().zip(bins);
    let weighed = points.map(|(point, bin)| WeightedColour::new(point.at(), weight(bin) / sum));
    Some(weighed.collect())
}

/// If less than this part is unmixed, the look from near shows nothing.
const LEAST_UNMIXED: f64 = 0.05;

/// Most tones the curve of [`curve`] goes up to.
const CURVE: usize = 10;

/// For each number of tones from 1 on the mean CIEDE2000 of the pixels from their tones, grouped by k-means.
#[must_use]
pub fn curve(bins: &[Bin]) -> Vec<(usize, DeltaE00)> {
    (1..=CURVE)
        .filter_map(|count| {
            let tones = tones_of_bins(bins, Count::Exactly(count)).ok()?;
            (tones.tones.len() == count).then_some((count, tones.mean_spread))
        })
        .collect()
}
