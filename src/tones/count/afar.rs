//! The colours of a region block by block, for choosing the number of tones.
//!
//! Noise of the sensor and grain too fine for any brush widen heaps of colour until they run into each other, and change
//! with the size of the picture. So the program looks at the region from a distance at which it has some ten
//! thousands of blocks, whatever its size in pixels. A block of one colour counts with its mean. A block of two,
//! brick and the mortar between, counts with two, so that light and dark are not mixed.

use super::histogram::{ColourSums, Counted, bins_of, rows_read};
use super::near::{bins_and_windows_from_near, bins_from_near};
use crate::photo::{Picture, Samples};
use crate::region::Region;
use crate::tones::describe::variety::WindowColours;
use crate::tones::tone::Count;
use std::ops::Range;

/// Blocks a region is divided into, if it has more pixels. Our choice, by drawn scenes and photos.
const BLOCKS: f64 = 20_000.0;
/// Widest block, pixels: anything wider in a large picture is not grain. Our choice.
const WIDEST: f64 = 8.0;
/// Where only one row of blocks in this many is read, one row of pixels in two is enough of each: a block still has 32 pixels.
const MUCH_TO_SPARE: usize = 8;
/// Light and dark of a block are two colours if their means lie this many codes (of 255) apart in some channel; noise
/// and grain stay below. Our choice, by drawn scenes.
const TWO_COLOURS: u32 = 36;
/// The variance between them must also be at least this part of the whole: for one colour with grain, a bell parted
/// at its mean, it is 2/π = 0.64, for two flat colours 1. Our choice, by drawn walls and photos.
const TWO_HEAPS: f64 = 0.7;
/// From this code (of 255) on, or with no channel up to that one, a pixel is counted by itself: it may be blown out, or
/// crushed.
const BRIGHTEST: u32 = 253;
const DARKEST: u32 = 4;

/// The bins that tones are found in: block by block, and from near, when their number is to be chosen, else pixel by
/// pixel as [`bins_of`] gives them.
#[must_use]
pub fn bins_for(picture: &Picture, region: &Region, count: Count) -> Counted {
    match count {
        Count::Chosen => {
            let mut counted = bins_of_blocks(picture, region);
            counted.bins.extend(bins_from_near(picture, region));
            counted
        }
        Count::Exactly(_) => bins_of(picture, region),
    }
}

/// What [`bins_for`] counts, and the windows of the region that distinguish its units; none if it is read from afar only.
#[must_use]
pub fn bins_and_windows(
    picture: &Picture,
    region: &Region,
    count: Count,
) -> (Counted, WindowColours) {
    match count {
        Count::Chosen => {
            let mut counted = bins_of_blocks(picture, region);
            let (near, windows) = bins_and_windows_from_near(picture, region);
            counted.bins.extend(near);
            (counted, windows)
        }
        Count::Exactly(_) => (
            bins_of(picture, region),
            bins_and_windows_from_near(picture, region).1,
        ),
    }
}

/// Bins of the blocks of a region, of large regions of some rows of blocks only, as [`bins_of`] reads some rows of pixels.
///
/// # Source
/// Two means a block: Delp and Mitchell 1979, *Image compression using block truncation coding*; there light and dark are
/// parted by lightness, here by the channel that varies most.
fn bins_of_blocks(picture: &Picture, region: &Region) -> Counted {
    let rows = rows_read(picture, region);
    #[expect(clippy::cast_precision_loss, reason = "a count of pixels fits")]
    let side = (rows.pixels as f64 / BLOCKS).sqrt().min(WIDEST);
    if side <= 1.0 {
        return bins_of(picture, region);
    }
    let spare = spare_rows(rows.pixels, side);
    let rows = rows.one_in(spare);
    let mut sums = ColourSums::of_picture(picture);
    let mut blocks = RowOfBlocks::new(edges(picture.width, side), sums.bits());
    let down = edges(picture.height, side);
    for (_, inside) in down
        .windows(2)
        .enumerate()
        .filter(|(i, _)| rows.is_read(*i))
    {
        let runs: Vec<(usize, Range<usize>)> = (inside[0]..inside[1])
            .step_by(if spare >= MUCH_TO_SPARE { 2 } else { 1 })
            .flat_map(|row| {
                let runs = region.runs(row, picture.width, picture.height);
                runs.into_iter().map(move |run| (row, run))
            })
            .collect();
        match &picture.samples {
            Samples::Rgb8(all) => blocks.add(
                &RunsOfPixels {
                    all,
                    picture,
                    runs: &runs,
                },
                &mut sums,
            ),
            Samples::Rgb16(all) => blocks.add(
                &RunsOfPixels {
                    all,
                    picture,
                    runs: &runs,
                },
                &mut sums,
            ),
        }
    }
    sums.counted(picture)
}

/// One row of blocks in this many leaves enough of them; a power of two.
fn spare_rows(pixels: usize, side: f64) -> usize {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of pixels fits"
    )]
    let over = (pixels as f64 / (side * side) / BLOCKS) as usize;
    1 << over.max(1).ilog2()
}

/// Where blocks begin along a side of a picture, and its end.
fn edges(length: usize, side: f64) -> Vec<usize> {
    let mut all = vec![0];
    let mut end = 0.0;
    while all.last().is_some_and(|last| *last < length) {
        end += side;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the side of a picture"
        )]
        let edge = end.round() as usize;
        all.push(edge.min(length));
    }
    all
}

/// Some pixels: how many, and the sums of their codes.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    count: u32,
    codes: [u32; 3],
}

impl Sum {
    fn add(&mut self, pixel: [u32; 3]) {
        self.count += 1;
        for (sum, code) in self.codes.iter_mut().zip(pixel) {
            *sum += code;
        }
    }

    /// The mean; `None` of no pixels.
    fn mean(self) -> Option<[u32; 3]> {
        (self.count > 0).then(|| self.codes.map(|sum| (sum + self.count / 2) / self.count))
    }

    /// What is left when a part is taken away.
    fn without(self, part: Self) -> Self {
        Self {
            count: self.count - part.count,
            codes: std::array::from_fn(|c| self.codes[c] - part.codes[c]),
        }
    }
}

/// What is known of a block.
#[derive(Debug, Clone, Copy)]
struct Block {
    all: Sum,
    low: [u32; 3],
    high: [u32; 3],
    /// The channel to part it by and its mean there, when it may hold two colours.
    parted: Option<(usize, u32)>,
    /// Its pixels above that mean.
    light: Sum,
    /// Sum of the squares of its codes in that channel.
    squares: u64,
}

impl Block {
    const EMPTY: Self = Self {
        all: Sum {
            count: 0,
            codes: [0; 3],
        },
        low: [u32::MAX; 3],
        high: [0; 3],
        parted: None,
        light: Sum {
            count: 0,
            codes: [0; 3],
        },
        squares: 0,
    };

    fn add(&mut self, pixel: [u32; 3]) {
        self.all.add(pixel);
        for (c, code) in pixel.into_iter().enumerate() {
            self.low[c] = self.low[c].min(code);
            self.high[c] = self.high[c].max(code);
        }
    }

    /// By what channel and code to part it, if it varies so much.
    fn parting(&self, least: u32) -> Option<(usize, u32)> {
        let mean = self.all.mean()?;
        let range = |c: &usize| self.high[*c] - self.low[*c];
        let widest = (0..3).max_by_key(range)?;
        (range(&widest) >= least).then_some((widest, mean[widest]))
    }

    /// Adds a pixel to the light part, or leaves it in the dark one.
    fn part(&mut self, pixel: [u32; 3], (channel, mean): (usize, u32)) {
        let code = pixel[channel];
        self.squares += u64::from(code) * u64::from(code);
        if code > mean {
            self.light.add(pixel);
        }
    }

    /// True when light and dark are two heaps in this channel, not the halves of one.
    ///
    /// # Source
    /// Otsu 1979, *A threshold selection method from gray-level histograms*: variance between classes over the whole.
    #[expect(
        clippy::cast_precision_loss,
        reason = "some thousand codes of 16 bits, squared"
    )]
    fn is_two_heaps(&self, channel: usize) -> bool {
        let dark = self.all.without(self.light);
        let mean = |sum: &Sum| f64::from(sum.codes[channel]) / f64::from(sum.count);
        let part = f64::from(self.light.count) / f64::from(self.all.count);
        let between = part * (1.0 - part) * (mean(&self.light) - mean(&dark)).powi(2);
        let whole = self.squares as f64 / f64::from(self.all.count) - mean(&self.all).powi(2);
        between >= TWO_HEAPS * whole
    }

    /// Puts its colour, or both, into the sums.
    fn tell(&self, two_colours: u32, sums: &mut ColourSums) {
        let Some(mean) = self.all.mean() else {
            return;
        };
        let dark = self.all.without(self.light);
        if let (Some((channel, _)), Some(above), Some(below)) =
            (self.parted, self.light.mean(), dark.mean())
            && above[channel] - below[channel] >= two_colours
            && self.is_two_heaps(channel)
        {
            sums.add_colour(above, self.light.count);
            sums.add_colour(below, dark.count);
        } else {
            sums.add_colour(mean, self.all.count);
        }
    }
}

/// Runs of pixels of a picture, each a row and its columns.
struct RunsOfPixels<'p, S> {
    all: &'p [S],
    picture: &'p Picture,
    runs: &'p [(usize, Range<usize>)],
}

/// A row of blocks, emptied and filled again from the top of a picture to its bottom.
struct RowOfBlocks {
    across: Vec<usize>,
    /// For each column of pixels its block.
    of_column: Vec<usize>,
    blocks: Vec<Block>,
    two_colours: u32,
    brightest: u32,
    darkest: u32,
}

impl RowOfBlocks {
    fn new(across: Vec<usize>, bits: u32) -> Self {
        let of_column = across
            .windows(2)
            .enumerate()
            .flat_map(|(block, edge)| std::iter::repeat_n(block, edge[1] - edge[0]))
            .collect();
        Self {
            of_column,
            blocks: vec![Block::EMPTY; across.len() - 1],
            across,
            two_colours: TWO_COLOURS << (bits - 8),
            brightest: BRIGHTEST << (bits - 8),
            darkest: DARKEST << (bits - 8),
        }
    }

    /// Counts the pixels of some runs that lie in one row of blocks.
    fn add<S: Copy + Into<u32>>(&mut self, pixels: &RunsOfPixels<'_, S>, sums: &mut ColourSums) {
        self.blocks.fill(Block::EMPTY);
        let (brightest, darkest) = (self.brightest, self.darkest);
        let may_be_lost = |[r, g, b]: [u32; 3]| {
            let most = r.max(g).max(b);
            most >= brightest || most < darkest
        };
        let every = |_: &Block| true;
        self.each(pixels, every, |block, pixel| {
            if may_be_lost(pixel) {
                sums.add_colour(pixel, 1);
            } else {
                block.add(pixel);
            }
        });
        for block in &mut self.blocks {
            block.parted = block.parting(self.two_colours);
        }
        let may_be_two = |block: &Block| block.parted.is_some();
        self.each(pixels, may_be_two, |block, pixel| {
            if let Some(parted) = block.parted
                && !may_be_lost(pixel)
            {
                block.part(pixel, parted);
            }
        });
        for block in &self.blocks {
            block.tell(self.two_colours, sums);
        }
    }

    /// Goes through the counting pixels of some runs, each with its block if needed.
    fn each<S: Copy + Into<u32>>(
        &mut self,
        pixels: &RunsOfPixels<'_, S>,
        wanted: impl Fn(&Block) -> bool,
        mut what: impl FnMut(&mut Block, [u32; 3]),
    ) {
        let RunsOfPixels { all, picture, runs } = *pixels;
        for (row, run) in runs {
            let mut column = run.start;
            while column < run.end {
                let at = self.of_column[column];
                let end = self.across[at + 1].min(run.end);
                let block = &mut self.blocks[at];
                if !wanted(block) {
                    column = end;
                    continue;
                }
                let (from, to) = (row * picture.width + column, row * picture.width + end);
                let (pixels, _) = all[3 * from..3 * to].as_chunks::<3>();
                let pixels = pixels.iter().map(|pixel| pixel.map(Into::into));
                match &picture.alpha {
                    None => pixels.for_each(|pixel| what(block, pixel)),
                    Some(alpha) => pixels
                        .zip(&alpha[from..to])
                        .filter(|(_, alpha)| **alpha == 255)
                        .for_each(|(pixel, _)| what(block, pixel)),
                }
                column = end;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    const BRICK: [u8; 3] = [150, 80, 60];
    const MORTAR: [u8; 3] = [200, 190, 170];

    /// 400 x 400: mortar in every fourth row, and the codes of bricks raised and lowered by turns.
    fn courses(grain: u8) -> Picture {
        let rgb = (0..400 * 400).flat_map(|i: usize| {
            let (x, y) = (i % 400, i / 400);
            if y % 4 == 0 {
                MORTAR
            } else {
                BRICK.map(|v| {
                    if (x + y) % 2 == 0 {
                        v + grain
                    } else {
                        v - grain
                    }
                })
            }
        });
        Picture::from_srgb8(400, 400, rgb.collect()).unwrap()
    }

    fn share_near(counted: &Counted, colour: [u8; 3]) -> f64 {
        let all: f64 = counted.bins.iter().map(|bin| bin.pixels).sum();
        let near = counted.bins.iter().filter(|bin| {
            let Srgb8(seen) = bin.light.encode();
            seen.iter().zip(colour).all(|(a, b)| a.abs_diff(b) <= 3)
        });
        near.map(|bin| bin.pixels).sum::<f64>() / all
    }

    #[test]
    fn grain_goes_and_thin_mortar_stays() {
        let counted = bins_for(&courses(8), &Region::whole(), Count::Chosen);
        assert!((share_near(&counted, MORTAR) - 0.25).abs() < 0.01);
        assert!(
            share_near(&counted, BRICK) > 0.7,
            "bricks count with their mean"
        );
        let every_pixel = bins_for(&courses(8), &Region::whole(), Count::Exactly(2));
        assert!(share_near(&every_pixel, BRICK) < 0.01);
    }

    #[test]
    fn every_pixel_counts_once_but_the_transparent_and_lost_pixels_are_told() {
        let mut picture = courses(0);
        if let Samples::Rgb8(all) = &mut picture.samples {
            all[..3 * 400 * 100].fill(255);
        }
        let counted = bins_for(&picture, &Region::whole(), Count::Chosen);
        assert!((counted.blown_out - 0.25).abs() < 1e-9);
        let kept: f64 = counted.bins.iter().map(|bin| bin.pixels).sum();
        assert!((kept - 400.0 * 300.0).abs() < 1e-9);
        picture.alpha = Some(
            (0..400 * 400)
                .map(|i| if i % 2 == 0 { 0 } else { 255 })
                .collect(),
        );
        let half: f64 = bins_for(&picture, &Region::whole(), Count::Chosen)
            .bins
            .iter()
            .map(|bin| bin.pixels)
            .sum();
        assert!((half - 200.0 * 300.0).abs() < 1e-9);
    }
}
