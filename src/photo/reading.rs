//! Reading the light of a picture: on a coarse grid, and within a region.

use super::picture::Picture;
use super::sample::sampled;
use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::region::Region;

/// Mean light of the cells of a grid laid over a picture, row by row; corrected as the picture is.
#[derive(Debug, Clone)]
pub struct LightGrid {
    /// Cells across.
    pub width: usize,
    /// Cells down.
    pub height: usize,
    /// One a cell.
    pub cells: Vec<LinearSrgb>,
}

/// What a region of a picture shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Mean colour, taken in linear light, glare left out.
    pub colour: LabD65,
    /// Mean difference of its pixels from that.
    pub spread: DeltaE00,
    /// Share of its pixels with a channel blown out.
    pub clipped: f64,
    /// Share of its pixels that are much lighter than its middle: glare, or something that does not belong there.
    pub glare: f64,
}

/// Pixels that a cell of a grid is read by, along each side.
const A_SIDE: usize = 5;
/// Lighter than the middle by more than this, in L*, a pixel counts as glare. Our choice.
const GLARE: f64 = 12.0;
/// From this encoded value on a channel counts as blown out.
const CLIPPED: f64 = 0.992;

impl Picture {
    /// The light of a grid of cells, `long_side` along the longer side of the picture or as many as it has pixels.
    #[must_use]
    pub fn light_grid(&self, long_side: usize) -> LightGrid {
        let longest = self.width.max(self.height);
        let along = |side: usize| (side * long_side.min(longest) / longest).max(1);
        let (width, height) = (along(self.width), along(self.height));
        let mut cells = Vec::with_capacity(width * height);
        for row in 0..height {
            let mut encoded = Vec::with_capacity(width * A_SIDE * A_SIDE);
            let mut counts = Vec::with_capacity(width);
            for column in 0..width {
                let before = encoded.len();
                for dy in 0..A_SIDE {
                    let y = (row * A_SIDE + dy) * self.height / (height * A_SIDE);
                    for dx in 0..A_SIDE {
                        let x = (column * A_SIDE + dx) * self.width / (width * A_SIDE);
                        encoded.push(self.encoded(y, x));
                    }
                }
                counts.push(encoded.len() - before);
            }
            let light = self.light_of(&encoded);
            let mut rest = light.as_slice();
            for count in counts {
                let (cell, after) = rest.split_at(count);
                rest = after;
                cells.push(mean(cell));
            }
        }
        LightGrid {
            width,
            height,
            cells,
        }
    }

    /// What a region shows, by some 10 000 of its pixels at most; `None` when it holds no pixel.
    #[must_use]
    pub fn reading(&self, region: &Region) -> Option<Reading> {
        let encoded = sampled(self, region);
        if encoded.is_empty() {
            return None;
        }
        let share = |count: usize| {
            #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
            let share = count as f64 / encoded.len() as f64;
            share
        };
        let clipped = encoded
            .iter()
            .filter(|v| v.iter().any(|c| *c > CLIPPED))
            .count();
        let light = self.light_of(&encoded);
        let mut lightness: Vec<f64> = light.iter().map(|l| LabD65::from(*l).l).collect();
        let mut sorted = lightness.clone();
        sorted.sort_by(f64::total_cmp);
        let middle = sorted[sorted.len() / 2];
        let mut kept: Vec<LinearSrgb> = light
            .iter()
            .zip(lightness.drain(..))
            .filter(|(_, l)| *l <= middle + GLARE)
            .map(|(light, _)| *light)
            .collect();
        let glare = light.len() - kept.len();
        if kept.is_empty() {
            kept = light;
        }
        let colour = LabD65::from(Xyz::from(mean(&kept)).clamped());
        #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
        let count = kept.len() as f64;
        let spread = kept
            .iter()
            .map(|light| delta_e00(colour, LabD65::from(Xyz::from(*light).clamped())).0)
            .sum::<f64>()
            / count;
        Some(Reading {
            colour,
            spread: DeltaE00(spread),
            clipped: share(clipped),
            glare: share(glare),
        })
    }
}

fn mean(light: &[LinearSrgb]) -> LinearSrgb {
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let count = light.len().max(1) as f64;
    let sum = |channel: fn(&LinearSrgb) -> f64| light.iter().map(channel).sum::<f64>() / count;
    LinearSrgb {
        r: sum(|l| l.r),
        g: sum(|l| l.g),
        b: sum(|l| l.b),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    #[test]
    fn a_grid_and_a_region_read_what_is_there() {
        let mut rgb = [120, 80, 60].repeat(400);
        for row in 0..20 {
            for column in 10..20 {
                let at = (row * 20 + column) * 3;
                rgb[at..at + 3].copy_from_slice(&[40, 90, 50]);
            }
        }
        let picture = Picture::from_srgb8(20, 20, rgb).unwrap();
        let grid = picture.light_grid(4);
        assert_eq!((grid.width, grid.height), (4, 4));
        assert_eq!(grid.cells[0].encode(), Srgb8([120, 80, 60]));
        assert_eq!(grid.cells[15].encode(), Srgb8([40, 90, 50]));
        let left = Region::about([0.2, 0.5]).unwrap();
        let wide = Region {
            outline: crate::region::Outline::new(vec![
                [0.05, 0.05],
                [0.45, 0.05],
                [0.45, 0.95],
                [0.05, 0.95],
            ])
            .unwrap(),
            leave_out: Vec::new(),
        };
        for region in [left, wide] {
            let Some(read) = picture.reading(&region) else {
                continue;
            };
            assert_eq!(read.colour.to_srgb8(), Srgb8([120, 80, 60]));
            assert!(read.spread.0 < 1e-6 && read.glare < 1e-9);
        }
    }
}
