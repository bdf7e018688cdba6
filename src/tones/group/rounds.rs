//! Colours with their weight, and Lloyd's rounds: each colour goes to the nearest centre, each centre to the mean of its
//! colours.

/// Rounds on all points: a cloud without gaps settles slowly.
const MOST_POLISHING: usize = 250;

/// A place in the grouping space (L, 2a, 2b of Oklab) and how much it weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightedColour {
    pub(in crate::tones) at: [f64; 3],
    pub(in crate::tones) weight: f64,
}

impl WeightedColour {
    /// A place and its weight; neither may be infinite or not a number.
    #[must_use]
    pub fn new(at: [f64; 3], weight: f64) -> Self {
        Self { at, weight }
    }

    /// The place.
    #[must_use]
    pub fn at(&self) -> [f64; 3] {
        self.at
    }

    /// The weight.
    #[must_use]
    pub fn weight(&self) -> f64 {
        self.weight
    }
}

/// The squared distance of two places.
pub(in crate::tones) fn squared_distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    let [x, y, z] = [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    x * x + y * y + z * z
}

/// The index of the nearest of some places.
fn nearest(at: [f64; 3], places: impl Iterator<Item = [f64; 3]>) -> usize {
    let mut best = (f64::INFINITY, 0);
    for (i, place) in places.enumerate() {
        let distance = squared_distance(at, place);
        if distance < best.0 {
            best = (distance, i);
        }
    }
    best.1
}

/// The index of the centre nearest to a place.
pub(in crate::tones) fn nearest_centre(at: [f64; 3], centres: &[WeightedColour]) -> usize {
    nearest(at, centres.iter().map(|centre| centre.at))
}

/// The index of the nearest centre.
pub(in crate::tones) fn nearest_of(at: [f64; 3], centres: &[[f64; 3]]) -> usize {
    nearest(at, centres.iter().copied())
}

/// Moves each centre to the mean of its points; a centre without points stays where it is, with weight 0.
pub(in crate::tones) fn move_to_means(
    points: &[WeightedColour],
    centres: &mut [WeightedColour],
    nearest: impl Iterator<Item = usize>,
) {
    let mut sums = vec![([0.0; 3], 0.0); centres.len()];
    for (point, group) in points.iter().zip(nearest) {
        let (sum, weight) = &mut sums[group];
        for (total, v) in sum.iter_mut().zip(point.at) {
            *total += point.weight * v;
        }
        *weight += point.weight;
    }
    for (centre, (sum, weight)) in centres.iter_mut().zip(sums) {
        centre.weight = weight;
        if weight > 0.0 {
            centre.at = sum.map(|v| v / weight);
        }
    }
}

/// The largest squared move of a centre.
pub(in crate::tones) fn largest_move(centres: &[WeightedColour], before: &[WeightedColour]) -> f64 {
    centres
        .iter()
        .zip(before)
        .map(|(now, then)| squared_distance(now.at, then.at))
        .fold(0.0, f64::max)
}

/// Lloyd rounds on points from given centres, until these rest.
pub(in crate::tones) fn lloyd(
    points: &[WeightedColour],
    centres: &mut [WeightedColour],
    rests: f64,
) {
    for _ in 0..MOST_POLISHING {
        let before = centres.to_vec();
        let nearest = points.iter().map(|p| nearest_centre(p.at, &before));
        move_to_means(points, centres, nearest);
        if largest_move(centres, &before) < rests {
            break;
        }
    }
}
