//! Grouping of weighted colours by k-means, with `kmeans_colors` as the engine.
//!
//! The engine ranks its runs by how far centres last moved, returns indices of 8 bits, may return fewer centres than
//! asked, and gives an empty group a random colour. So: this module ranks runs by the true within-group squares,
//! improves the best by moving a centre from where it is missed least to where one more helps most (`swap.rs`),
//! polishes it on all points, and drops empty groups.

use super::swap::bettered;
use kmeans_colors::{Calculate, get_kmeans};
use rand::Rng;

/// A place in the grouping space (L, 2a, 2b of Oklab) and how much it weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightedColour {
    pub(super) at: [f64; 3],
    pub(super) weight: f64,
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
pub(super) const MOST_CELLS: usize = 3000;
const MOST_ROUNDS: usize = 100;
/// Rounds on all points: a cloud without gaps settles slowly.
const MOST_POLISHING: usize = 250;
/// Squared move below which the engine's centres rest; the best run is polished afterwards.
const CONVERGED: f32 = 1e-7;
/// Squared move below which the polished centres rest: far below a code of 8 bits.
const POLISHED: f64 = 1e-9;

pub(super) fn squared_distance(a: [f64; 3], b: [f64; 3]) -> f64 {
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

fn nearest_centre(at: [f64; 3], centres: &[WeightedColour]) -> usize {
    nearest(at, centres.iter().map(|centre| centre.at))
}

/// The index of the nearest centre.
pub(super) fn nearest_of(at: [f64; 3], centres: &[[f64; 3]]) -> usize {
    nearest(at, centres.iter().copied())
}

/// Moves each centre to the mean of its points; a centre without points stays where it is, with weight 0.
fn move_to_means(
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

fn largest_move(centres: &[WeightedColour], before: &[WeightedColour]) -> f64 {
    centres
        .iter()
        .zip(before)
        .map(|(now, then)| squared_distance(now.at, then.at))
        .fold(0.0, f64::max)
}

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

/// The same, with the restarts on cells that represent the points.
pub(super) fn group_from(
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

/// Lloyd rounds on points from given centres, until these rest.
pub(super) fn lloyd(points: &[WeightedColour], centres: &mut [WeightedColour], rests: f64) {
    for _ in 0..MOST_POLISHING {
        let before = centres.to_vec();
        let nearest = points.iter().map(|p| nearest_centre(p.at, &before));
        move_to_means(points, centres, nearest);
        if largest_move(centres, &before) < rests {
            break;
        }
    }
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

/// Points merged into cubes, the smallest of a ladder of sizes that leaves at most `most`.
pub(super) fn merged(points: &[WeightedColour], most: usize) -> Vec<WeightedColour> {
    let mut side = 0.004;
    let mut now: Vec<WeightedColour> = points.to_vec();
    loop {
        // Cubes of cubes: each step has fewer points to go through than the one before.
        now = cells_of(&now, side)
            .iter()
            .map(|cell| WeightedColour::new(cell.mean, cell.weight))
            .collect();
        if now.len() <= most {
            return now;
        }
        side *= 1.25;
    }
}

/// A cube of the grouping space with what lies in it.
#[derive(Debug)]
pub(super) struct Cell {
    /// Its place on the lattice of cubes.
    pub(super) cube: [i32; 3],
    /// Weighted mean of its points.
    pub(super) mean: [f64; 3],
    /// Their weight.
    pub(super) weight: f64,
}

/// The cube of this side that a place lies in.
pub(super) fn cube_of(at: [f64; 3], side: f64) -> [i32; 3] {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "Oklab over a cell side stays within hundreds"
    )]
    let cube = at.map(|v| (v / side).floor().clamp(-LATTICE, LATTICE - 1.0) as i32);
    cube
}

/// Half the places along each axis of the lattice: far more than colours need, and few enough for 21 bits.
const LATTICE: f64 = 1_048_576.0;

/// A cube's place as one number, in the same order.
fn packed(cube: [i32; 3]) -> u64 {
    cube.iter().fold(0, |key, v| {
        (key << 21) | (u64::from(v.cast_unsigned().wrapping_add(1 << 20)) & 0x1f_ffff)
    })
}

/// The cubes of this side that hold points, in the order of their places. Points that are no numbers count for nothing.
pub(super) fn cells_of(points: &[WeightedColour], side: f64) -> Vec<Cell> {
    let mut placed: Vec<(u64, u32)> = points
        .iter()
        .zip(0..)
        .filter(|(p, _)| p.weight > 0.0 && p.at.iter().all(|v| v.is_finite()))
        .map(|(point, i)| (packed(cube_of(point.at, side)), i))
        .collect();
    placed.sort_unstable();
    placed
        .chunk_by(|a, b| a.0 == b.0)
        .map(|together| {
            let mut sum = [0.0; 3];
            let mut weight = 0.0;
            for (_, i) in together {
                let point = &points[*i as usize];
                for (total, v) in sum.iter_mut().zip(point.at) {
                    *total += point.weight * v;
                }
                weight += point.weight;
            }
            Cell {
                cube: cube_of(points[together[0].1 as usize].at, side),
                mean: sum.map(|v| v / weight),
                weight,
            }
        })
        .collect()
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
