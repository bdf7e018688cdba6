//! Heaps of colour that run into each other: each is a bell of its own width, and cells are shared between them by
//! probability.
//!
//! The border between a broad heap and a narrow one does not lie half-way, nor at the lowest place between them; a
//! mixture of normal distributions puts it where a pixel is as likely to be of the one as of the other.

use super::cells::Cell;
use crate::linear::{Matrix3, inverse_and_determinant};

/// Rounds of fitting. Our choice: shares of drawn scenes no longer move after it.
const ROUNDS: usize = 12;
/// Least variance along any axis: below it lies the width of a cell.
const LEAST_VARIANCE: f64 = 5e-5;
/// Share of pixels that belong to no heap: blurred edges, stray colours. Our choice.
const STRAY: f64 = 0.02;

type Vector = [f64; 3];

/// A heap as a normal distribution in the grouping space.
#[derive(Debug, Clone)]
pub(in crate::tones) struct Bell {
    /// Its middle.
    pub(in crate::tones) mean: Vector,
    inverse: Matrix3,
    /// Logarithm of share over the root of the determinant.
    log_scale: f64,
}

impl Bell {
    /// From the cells that belong to it, each by its part; `None` when nothing does.
    fn of_cells<'a>(cells: impl Iterator<Item = (&'a Cell, f64)> + Clone) -> Option<Self> {
        let mut share = 0.0;
        let mut sum = [0.0; 3];
        for (cell, part) in cells.clone() {
            let weight = cell.weight * part;
            share += weight;
            for (total, v) in sum.iter_mut().zip(cell.mean) {
                *total += weight * v;
            }
        }
        if share <= 0.0 {
            return None;
        }
        let mean = sum.map(|v| v / share);
        let mut spread = [[0.0; 3]; 3];
        for (cell, part) in cells {
            let off: Vector = std::array::from_fn(|i| cell.mean[i] - mean[i]);
            for (row, u) in spread.iter_mut().zip(off) {
                for (total, v) in row.iter_mut().zip(off) {
                    *total += cell.weight * part / share * u * v;
                }
            }
        }
        for (i, row) in spread.iter_mut().enumerate() {
            row[i] += LEAST_VARIANCE;
        }
        let (inverse, determinant) = inverse_and_determinant(&spread)?;
        Some(Self {
            mean,
            inverse,
            log_scale: share.ln() - 0.5 * determinant.ln(),
        })
    }

    /// Logarithm of how likely a place is, except for a constant that all bells share.
    fn log_density(&self, at: Vector) -> f64 {
        let off: Vector = std::array::from_fn(|i| at[i] - self.mean[i]);
        let squared: f64 = self
            .inverse
            .iter()
            .zip(off)
            .map(|(row, u)| u * row.iter().zip(off).map(|(m, v)| m * v).sum::<f64>())
            .sum();
        self.log_scale - 0.5 * squared
    }
}

/// Fits a bell to each heap, starting from cells sorted into heaps, and gives the bells and for each cell the likeliest.
/// A heap that nothing is left of keeps its cells' own bell from the round before.
///
/// # Source
/// Dempster, Laird and Rubin 1977, *Maximum likelihood from incomplete data via the EM algorithm*.
pub(in crate::tones) fn fitted(
    cells: &[Cell],
    heap_of: &[usize],
    count: usize,
) -> Option<(Vec<Bell>, Vec<usize>)> {
    let start = |heap: usize| {
        let own = cells.iter().zip(heap_of).filter(move |(_, h)| **h == heap);
        Bell::of_cells(own.map(|(cell, _)| (cell, 1.0)))
    };
    let mut bells: Vec<Bell> = (0..count).map(start).collect::<Option<_>>()?;
    // The stray colours lie anywhere among the cells there are.
    let volume: f64 = bounds(cells)
        .iter()
        .map(|(low, high)| high - low + 0.02)
        .product();
    let stray = STRAY / volume * (2.0 * std::f64::consts::PI).powf(1.5);
    let mut parts: Vec<Vec<f64>> = vec![vec![0.0; count]; cells.len()];
    for _ in 0..ROUNDS {
        for (cell, parts) in cells.iter().zip(&mut parts) {
            let mut all = stray;
            for (part, bell) in parts.iter_mut().zip(&bells) {
                *part = bell.log_density(cell.mean).exp();
                all += *part;
            }
            for part in parts {
                *part /= all;
            }
        }
        for (heap, bell) in bells.iter_mut().enumerate() {
            let own = cells
                .iter()
                .zip(&parts)
                .map(|(cell, parts)| (cell, parts[heap]));
            if let Some(next) = Bell::of_cells(own) {
                *bell = next;
            }
        }
    }
    let likeliest = cells
        .iter()
        .map(|cell| {
            let mut best = (f64::NEG_INFINITY, 0);
            for (heap, bell) in bells.iter().enumerate() {
                let density = bell.log_density(cell.mean);
                if density > best.0 {
                    best = (density, heap);
                }
            }
            best.1
        })
        .collect();
    Some((bells, likeliest))
}

fn bounds(cells: &[Cell]) -> [(f64, f64); 3] {
    std::array::from_fn(|i| {
        cells
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), cell| {
                (low.min(cell.mean[i]), high.max(cell.mean[i]))
            })
    })
}
