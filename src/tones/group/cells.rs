//! Colours merged into the cells of a lattice.

use super::rounds::WeightedColour;

/// Points merged into cubes, the smallest of a ladder of sizes that leaves at most `most`.
pub(in crate::tones) fn merged(points: &[WeightedColour], most: usize) -> Vec<WeightedColour> {
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
pub(in crate::tones) struct Cell {
    /// Its place on the lattice of cubes.
    pub(in crate::tones) cube: [i32; 3],
    /// Weighted mean of its points.
    pub(in crate::tones) mean: [f64; 3],
    /// Their weight.
    pub(in crate::tones) weight: f64,
}

/// The cube of this side that a place lies in.
pub(in crate::tones) fn cube_of(at: [f64; 3], side: f64) -> [i32; 3] {
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
pub(in crate::tones) fn cells_of(points: &[WeightedColour], side: f64) -> Vec<Cell> {
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
