//! A rain of grains: domes of a kind's size thrown at random into a height field, pass by pass, and what shows of them.
//!
//! Shared by `tests/hillsides/` and `tests/bench/rain.rs`. It knows of grams, covers and sizes, and nothing of how the
//! program reckons what shows.

use super::blends::Seeded;
use hillwash::paint::Grain;
use hillwash::scatter::{Blend, Layer, ScatterKind};

/// Side of the plot, millimetres, and points a millimetre.
const SIDE: f64 = 120.0;
const POINTS: f64 = 5.0;
const ACROSS: usize = 600;
/// The ground's place among what shows; kinds come before it.
pub(crate) const MOST: usize = 5;

/// Diameters, millimetres: our reading of the words.
fn diameter(grain: Grain) -> f64 {
    match grain {
        Grain::Coarse => 3.0,
        Grain::Medium => 1.6,
        Grain::Fine | Grain::Fibre => 0.8,
    }
}

/// How a grain comes to lie on what is there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Lies {
    /// As a soft grain: it follows what is below it in its own thickness; nothing sinks into another.
    Draped,
    /// As one that finds a hollow: upright on the middle height below it, and what stands higher sticks out of it.
    Settled,
}

/// A plot after all passes.
pub(crate) struct Rain {
    height: Vec<f64>,
    shows: Vec<u8>,
}

impl Rain {
    /// Lays a blend pass by pass. How high a grain stands over its radius is the kind's.
    pub(crate) fn of(
        blend: &Blend,
        kinds: &[ScatterKind],
        layers: &[Layer],
        lies: Lies,
        random: &mut Seeded,
    ) -> Self {
        let mut plot = Self {
            height: vec![0.0; ACROSS * ACROSS],
            shows: vec![MOST as u8; ACROSS * ACROSS],
        };
        for layer in layers {
            let mut grains: Vec<(u8, f64, f64)> = Vec::new();
            for laid in &layer.kinds {
                let kind = &kinds[blend.parts[laid.at].0];
                let across = diameter(kind.grain);
                // Mass over the mass that covers once is area of grains over area of plot.
                let covers = laid.grams_per_dm2 / kind.cover;
                let count = covers * SIDE * SIDE / (std::f64::consts::FRAC_PI_4 * across * across);
                grains.extend(
                    (0..count.round() as usize).map(|_| (laid.at as u8, across, kind.stands)),
                );
            }
            for i in (1..grains.len()).rev() {
                grains.swap(i, (random.share() * (i + 1) as f64) as usize);
            }
            for (which, across, stands) in grains {
                plot.drop(which, 0.5 * across * POINTS, (stands, lies), random);
            }
        }
        plot
    }

    /// One grain; one that is flat hides all that is below it.
    fn drop(&mut self, which: u8, radius: f64, (stands, lies): (f64, Lies), random: &mut Seeded) {
        let size = ACROSS as f64;
        let (x, y) = (random.share() * size, random.share() * size);
        let reach = radius.ceil() as i64 + 1;
        let mut under: Vec<(usize, f64)> = Vec::new();
        for i in -reach..=reach {
            for j in -reach..=reach {
                let (px, py) = (x.floor() + i as f64 + 0.5, y.floor() + j as f64 + 0.5);
                let off = (px - x).powi(2) + (py - y).powi(2);
                if off < radius * radius {
                    let column = px.rem_euclid(size) as usize % ACROSS;
                    let row = py.rem_euclid(size) as usize % ACROSS;
                    under.push((row * ACROSS + column, (radius * radius - off).sqrt()));
                }
            }
        }
        let mut heights: Vec<f64> = under.iter().map(|(at, _)| self.height[*at]).collect();
        heights.sort_by(f64::total_cmp);
        let middle = heights.get(heights.len() / 2).copied().unwrap_or(0.0);
        for (at, cap) in under {
            let below = match lies {
                Lies::Draped => self.height[at],
                Lies::Settled if stands <= 0.0 => self.height[at],
                Lies::Settled => middle,
            };
            let top = below + stands * cap / POINTS;
            if top >= self.height[at] {
                self.height[at] = top;
                self.shows[at] = which;
            }
        }
    }

    /// Shares seen from above, the ground's last.
    pub(crate) fn above(&self) -> [f64; MOST + 1] {
        let mut seen = [0.0; MOST + 1];
        for which in &self.shows {
            seen[*which as usize] += 1.0 / self.shows.len() as f64;
        }
        seen
    }

    /// Shares seen from so high above the horizon: of each column as much as rises over all before it.
    pub(crate) fn low(&self, degrees: f64) -> [f64; MOST + 1] {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        let mut seen = [0.0; MOST + 1];
        for row in 0..ACROSS {
            let mut hides = f64::NEG_INFINITY;
            // Twice round, so that the second time something stands before every column.
            for step in 0..2 * ACROSS {
                let at = row * ACROSS + step % ACROSS;
                let rises = self.height[at] * cosine + step as f64 / POINTS * sine;
                if rises > hides {
                    if step >= ACROSS {
                        seen[self.shows[at] as usize] += rises - hides;
                    }
                    hides = rises;
                }
            }
        }
        let total: f64 = seen.iter().sum();
        seen.map(|share| share / total)
    }
}
