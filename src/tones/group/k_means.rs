//! Grouping of weighted colours by k-means, with `kmeans_colors` as the engine.
//!
//! The engine ranks its runs by how far centres last moved, returns indices of 8 bits, may return fewer centres than
//! asked, and gives an empty group a random colour. So: this module ranks runs by the true within-group squares,
//! improves the best by moving a centre from where it is missed least to where one more helps most (`move_across.rs`),
//! polishes it on all points, and drops empty groups.

use super::cells::merged;
use super::move_across::bettered;
use super::rounds::{
    WeightedColour, largest_move, lloyd, move_to_means, nearest_centre, squared_distance,
};
use kmeans_colors::{Calculate, get_kmeans};
use rand::Rng;

/// How to group.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clustering {
    /// Number of groups, 1 to 255.
    pub count: usize,
    /// Runs from different starts; the best is kept.
    pub restarts: u64,
    /// Seed of the first run; run n has seed + n.
    pub seed: u64,
    /// Moves of one centre across to where it helps more, tried on the best run; at most.
    pub moves: usize,
}

impl Clustering {
    /// This many groups, with the usual restarts, seed and moves.
    #[must_use]
    pub fn into_groups(count: usize) -> Self {
        Self {
            count,
            restarts: 6,
            seed: 20_261_125,
            moves: 24,
        }
    }
}

/// The outcome of a grouping.
#[derive(Debug, Clone, PartialEq)]
pub struct Grouped {
    /// Centres in the grouping space; each has at least one point.
    pub centres: Vec<[f64; 3]>,
    /// For each point the index of its centre.
    pub nearest: Vec<usize>,
    /// Weighted sum of squared distances of points from their centres.
    pub inertia: f64,
}

/// Points are merged to at most this many cells for the restarts.
pub(in crate::tones) const MOST_CELLS: usize = 3000;
const MOST_ROUNDS: usize = 100;
/// Squared move below which the engine's centres rest; the best run is polished afterwards.
const CONVERGED: f32 = 1e-7;
/// Squared move below which the polished centres rest: far below a code of 8 bits.
const POLISHED: f64 = 1e-9;

#[expect(
    clippy::cast_possible_truncation,
    reason = "the engine works in single precision and with at most 255 groups"
)]
impl Calculate for WeightedColour {
    fn get_closest_centroid(buffer: &[Self], centroids: &[Self], indices: &mut Vec<u8>) {
        indices.extend(
            buffer
                .iter()
                .map(|point| nearest_centre(point.at, centroids) as u8),
        );
    }

    fn recalculate_centroids(
        _: &mut impl Rng,
        buf: &[Self],
        centroids: &mut [Self],
        indices: &[u8],
    ) {
        move_to_means(buf, centroids, indices.iter().map(|i| usize::from(*i)));
    }

    fn check_loop(centroids: &[Self], old_centroids: &[Self]) -> f32 {
        largest_move(centroids, old_centroids) as f32
    }

    fn create_random(rng: &mut impl Rng) -> Self {
        Self::new([rng.random(), rng.random(), rng.random()], 0.0)
    }

    /// Used by the engine for seeding alone, point first: weighted there, so that common colours are likelier starts.
    fn difference(point: &Self, centroid: &Self) -> f32 {
        (point.weight * squared_distance(point.at, centroid.at)) as f32
    }
}

/// Groups points. With no points of weight above 0 the outcome is empty.
///
/// # Source
/// Lloyd 1982, *Least squares quantization in PCM*; Arthur and Vassilvitskii 2007, *k-means++*.
#[must_use]
pub fn group(points: &[WeightedColour], how: &Clustering) -> Grouped {
    group_from(&merged(points, MOST_CELLS), points, how)
}

/// Groups points, with the restarts on cells that represent them.
pub(in crate::tones) fn group_from(
    cells: &[WeightedColour],
    points: &[WeightedColour],
    how: &Clustering,
) -> Grouped {
    let count = how.count.clamp(1, 255).min(cells.len());
    let best = (0..how.restarts.max(1))
        .filter(|_| count > 0)
        .map(|run| {
            let found = get_kmeans(
                count,
                MOST_ROUNDS,
                CONVERGED,
                false,
                cells,
                how.seed.wrapping_add(run),
            );
            let centres: Vec<WeightedColour> = found
                .centroids
                .into_iter()
                .filter(|c| c.weight > 0.0)
                .collect();
            let squares: f64 = cells
                .iter()
                .map(|cell| {
                    cell.weight
                        * squared_distance(cell.at, centres[nearest_centre(cell.at, &centres)].at)
                })
                .sum();
            (squares, centres)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or_else(Vec::new, |(_, centres)| centres);
    polished(points, bettered(cells, best, how.moves))
}

/// Lloyd rounds on all points from given centres.
fn polished(points: &[WeightedColour], mut centres: Vec<WeightedColour>) -> Grouped {
    let mut nearest: Vec<usize> = Vec::new();
    if !centres.is_empty() {
        lloyd(points, &mut centres, POLISHED);
        centres.retain(|centre| centre.weight > 0.0);
        nearest = points
            .iter()
            .map(|p| nearest_centre(p.at, &centres))
            .collect();
    }
    let inertia = points
        .iter()
        .zip(&nearest)
        .map(|(p, i)| p.weight * squared_distance(p.at, centres[*i].at))
        .sum();
    Grouped {
        centres: centres.into_iter().map(|c| c.at).collect(),
        nearest,
        inertia,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_heaps_give_two_means() {
        let points = [
            WeightedColour::new([0.1, 0.0, 0.0], 3.0),
            WeightedColour::new([0.2, 0.0, 0.0], 1.0),
            WeightedColour::new([0.9, 0.1, 0.0], 1.0),
        ];
        let grouped = group(&points, &Clustering::into_groups(2));
        assert_eq!(grouped.centres.len(), 2);
        assert_eq!(grouped.nearest[0], grouped.nearest[1]);
        let dark = grouped.centres[grouped.nearest[0]];
        assert!((dark[0] - 0.125).abs() < 1e-12, "weighted mean");
    }

    #[test]
    fn more_groups_than_colours_gives_the_colours() {
        let points = [WeightedColour::new([0.5, 0.0, 0.0], 1.0)];
        assert_eq!(group(&points, &Clustering::into_groups(8)).centres.len(), 1);
        assert!(group(&[], &Clustering::into_groups(3)).centres.is_empty());
    }
}
