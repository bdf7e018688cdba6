//! The colours of a region place by place, for choosing its tones: without grain, without what lenses and JPEG mix.
//!
//! A region is looked at from a distance at which it has some hundred thousands of places, whatever its size in pixels;
//! of many, some bands are read. `quiet.rs` says what each place looks like.

use super::Count;
use super::histogram::{ALL_CODES, ColourSums, Counted, bins_of, code_of, rows_read};
use super::quiet::Grid;
use crate::photo::{Picture, Samples};
use crate::region::Region;
use std::ops::Range;

/// A region has at most so many places. Our choice.
const PLACES: f64 = 800_000.0;
/// Of a region with more pixels than this some bands are read. Our choice: shares are then good to a fraction of a point.
const READ: usize = 4_000_000;
/// Rows of places in a band, and rows above and below it that are read for its sake.
const BAND: usize = 16;
const MARGIN: usize = 6;
/// From this code (of 255) on, or with no channel up to that one, a pixel is counted by itself: it may be blown out, or
/// crushed.
const BRIGHTEST: u32 = 253;
const DARKEST: u32 = 4;

/// The bins that tones are found in: place by place when their number is to be chosen, else pixel by pixel as
/// [`bins_of`] gives them.
#[must_use]
pub fn bins_for(picture: &Picture, region: &Region, count: Count) -> Counted {
    match count {
        Count::Chosen => bins_of_places(picture, region),
        Count::Exactly(_) => bins_of(picture, region),
    }
}

fn bins_of_places(picture: &Picture, region: &Region) -> Counted {
    let rows = rows_read(picture, region);
    let span = Span::of(picture, region, rows.pixels);
    let mut looks = Looks {
        sums: ColourSums::of(picture),
        near: vec![0; ALL_CODES],
        unmixed: vec![0; ALL_CODES],
        afar: vec![0; ALL_CODES],
    };
    let side = span.block(rows.pixels);
    let spare = rows.pixels.div_ceil(READ);
    let band_rows = if spare == 1 { span.down() } else { BAND };
    let rows = rows.exactly_one_in(spare);
    for band in (0..span.down().div_ceil(band_rows)).filter(|band| rows.is_read(*band)) {
        let own = band * band_rows..((band + 1) * band_rows).min(span.down());
        let read = own.start.saturating_sub(MARGIN)..(own.end + MARGIN).min(span.down());
        let (grid, lost) = match &picture.samples {
            Samples::Rgb8(all) => span.grid(all, 8, picture, region, read.clone()),
            Samples::Rgb16(all) => span.grid(all, 16, picture, region, read.clone()),
        };
        let inside = own.start - read.start..own.end - read.start;
        looks.look_from_near(&grid, inside.clone());
        looks.look_from_afar(&grid, inside, side);
        for (row, pixel) in lost {
            if own.contains(&row) {
                let bin = looks.sums.bin_of(pixel);
                looks.sums.add_colour(pixel, 2);
                for counts in [&mut looks.near, &mut looks.unmixed, &mut looks.afar] {
                    counts[bin] += 1;
                }
            }
        }
    }
    looks.counted(picture)
}

/// What was seen from near and from afar.
struct Looks {
    /// Means of bins, of both.
    sums: ColourSums,
    near: Vec<u32>,
    unmixed: Vec<u32>,
    afar: Vec<u32>,
}

impl Looks {
    /// Place by place.
    fn look_from_near(&mut self, grid: &Grid, rows: Range<usize>) {
        let wanted = rows.start * grid.width..rows.end * grid.width;
        let quiet = grid.quiet();
        for (place, seen) in grid.at[wanted.clone()].iter().zip(&quiet[wanted]) {
            if let Some((bin, pixels)) = self.add(seen.colour, place[3]) {
                self.near[bin] += pixels;
                if seen.unmixed {
                    self.unmixed[bin] += pixels;
                }
            }
        }
    }

    /// Block by block.
    fn look_from_afar(&mut self, grid: &Grid, rows: Range<usize>, side: f64) {
        let across = edges(0..grid.width, side);
        let mut inside: Vec<[f32; 4]> = Vec::new();
        for down in edges(rows, side).windows(2) {
            for columns in across.windows(2) {
                inside.clear();
                for row in down[0]..down[1] {
                    let at = row * grid.width;
                    let places = &grid.at[at + columns[0]..at + columns[1]];
                    inside.extend(places.iter().filter(|place| place[3] > 0.0));
                }
                for part in parts(&inside) {
                    if let Some((bin, pixels)) = self.add(part.colour(), part.all) {
                        self.afar[bin] += pixels;
                    }
                }
            }
        }
    }

    /// A colour's bin, and pixels as a whole number; `None` of no pixels.
    fn add(&mut self, colour: [f32; 3], pixels: f32) -> Option<(usize, u32)> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "codes of 0 to 255, and some pixels"
        )]
        let (codes, pixels) = (
            colour.map(|v| (f64::from(v) * self.sums.one()).round() as u32),
            pixels as u32,
        );
        (pixels > 0).then(|| {
            self.sums.add_colour(codes, pixels);
            (self.sums.bin_of(codes), pixels)
        })
    }

    fn counted(&self, picture: &Picture) -> Counted {
        let mut counted = self.sums.counted(picture);
        for bin in &mut counted.bins {
            let codes = bin.codes as usize;
            bin.pixels = f64::from(self.near[codes]);
            bin.unmixed = f64::from(self.unmixed[codes]);
            bin.afar = f64::from(self.afar[codes]);
        }
        counted
    }
}

/// Blocks a region is divided into. Our choice, by drawn scenes and photos.
const BLOCKS: f64 = 20_000.0;
/// Widest block, pixels: what is wider in a large picture is no grain. Our choice.
const WIDEST: f64 = 8.0;
/// A block holds two colours when the means of its parts lie so many codes (of 255) apart in some channel.
const TWO_COLOURS: f32 = 36.0;
/// And when the variance between them is at least this part of the whole: of one colour with grain, a bell parted at its
/// mean, it is 2/π = 0.64, of two flat colours 1. Our choice, by drawn walls and photos.
const TWO_HEAPS: f32 = 0.7;

/// Some places: pixels, and their colours times pixels.
#[derive(Clone, Copy, Default)]
struct Part {
    all: f32,
    codes: [f32; 3],
}

impl Part {
    fn add(&mut self, [r, g, b, pixels]: [f32; 4]) {
        self.all += pixels;
        for (sum, v) in self.codes.iter_mut().zip([r, g, b]) {
            *sum += pixels * v;
        }
    }

    fn colour(&self) -> [f32; 3] {
        self.codes.map(|v| v / self.all)
    }
}

/// A block as one part, or as two.
///
/// # Source
/// Otsu 1979, *A threshold selection method from gray-level histograms*: variance between classes over the whole.
fn parts(inside: &[[f32; 4]]) -> [Part; 2] {
    let mut whole = Part::default();
    let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
    for place in inside {
        whole.add(*place);
        for c in 0..3 {
            low[c] = low[c].min(place[c]);
            high[c] = high[c].max(place[c]);
        }
    }
    let one = [whole, Part::default()];
    let range = |c: &usize| high[*c] - low[*c];
    let Some(widest) = (0..3).max_by(|a, b| range(a).total_cmp(&range(b))) else {
        return one;
    };
    if range(&widest) < TWO_COLOURS {
        return one;
    }
    let mean = whole.codes[widest] / whole.all;
    let mut two = [Part::default(); 2];
    let mut squares = 0.0;
    for place in inside {
        let v = place[widest];
        squares += place[3] * (v - mean) * (v - mean);
        two[usize::from(v > mean)].add(*place);
    }
    let apart = two[1].colour()[widest] - two[0].colour()[widest];
    let between = two[0].all / whole.all * two[1].all * apart * apart;
    if apart >= TWO_COLOURS && between >= TWO_HEAPS * squares {
        two
    } else {
        one
    }
}

/// Where blocks begin along a side, and its end.
fn edges(along: Range<usize>, side: f64) -> Vec<usize> {
    let mut all = vec![along.start];
    let mut end = 0.0;
    while all.last().is_some_and(|last| *last < along.end) {
        end += side;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the side of a picture"
        )]
        let edge = along.start + end.round() as usize;
        all.push(edge.min(along.end));
    }
    all
}

/// A region as places.
struct Span {
    /// Pixels a side of a place.
    side: usize,
    columns: Range<usize>,
    rows: Range<usize>,
}

impl Span {
    fn of(picture: &Picture, region: &Region, pixels: usize) -> Self {
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of pixels fits"
        )]
        let side = (pixels as f64 / PLACES).sqrt().ceil().max(1.0) as usize;
        let mut span = Self {
            side,
            columns: picture.width..0,
            rows: picture.height..0,
        };
        for row in 0..picture.height {
            for run in region.runs(row, picture.width, picture.height) {
                span.columns.start = span.columns.start.min(run.start);
                span.columns.end = span.columns.end.max(run.end);
                span.rows.start = span.rows.start.min(row);
                span.rows.end = row + 1;
            }
        }
        span
    }

    fn across(&self) -> usize {
        self.columns.len().div_ceil(self.side)
    }

    fn down(&self) -> usize {
        self.rows.len().div_ceil(self.side)
    }

    /// Places along a side of a block.
    fn block(&self, pixels: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a count of pixels fits")]
        let (pixels, side) = (pixels as f64, self.side as f64);
        ((pixels / BLOCKS).sqrt().min(WIDEST) / side).max(1.0)
    }

    /// The places of some rows of them, and the pixels that may be blown out or crushed, each with its row of places.
    fn grid<S: Copy + Into<u32>>(
        &self,
        all: &[S],
        bits: u32,
        picture: &Picture,
        region: &Region,
        read: Range<usize>,
    ) -> (Grid, Vec<(usize, [u32; 3])>) {
        let width = self.across();
        let mut at = vec![[0_u32; 4]; width * read.len()];
        let mut lost = Vec::new();
        let (brightest, darkest) = (BRIGHTEST << (bits - 8), DARKEST << (bits - 8));
        for y in read.clone() {
            let from = self.rows.start + y * self.side;
            let own = &mut at[(y - read.start) * width..][..width];
            for row in from..(from + self.side).min(self.rows.end) {
                for run in region.runs(row, picture.width, picture.height) {
                    let first = row * picture.width;
                    let pixels = &all[3 * (first + run.start)..3 * (first + run.end)];
                    for (pixel, column) in pixels.as_chunks::<3>().0.iter().zip(run) {
                        let counts = picture
                            .alpha
                            .as_ref()
                            .is_none_or(|a| a[first + column] == 255);
                        if !counts {
                            continue;
                        }
                        let [r, g, b] = pixel.map(Into::into);
                        let most = r.max(g).max(b);
                        if most >= brightest || most < darkest {
                            lost.push((y, [r, g, b]));
                            continue;
                        }
                        let place = &mut own[(column - self.columns.start) / self.side];
                        place[0] += r;
                        place[1] += g;
                        place[2] += b;
                        place[3] += 1;
                    }
                }
            }
        }
        let one = code_of(bits);
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "sums of some dozen codes"
        )]
        let at = at
            .into_iter()
            .map(|[r, g, b, n]| {
                let mean = |sum: u32| (f64::from(sum) / f64::from(n.max(1)) / one) as f32;
                [mean(r), mean(g), mean(b), n as f32]
            })
            .collect();
        let height = read.len();
        (Grid { width, height, at }, lost)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    const BRICK: [u8; 3] = [150, 80, 60];
    const MORTAR: [u8; 3] = [200, 190, 170];

    /// 400 x 400: joints of three rows in twelve, a row of half mortar on either side, and the codes of bricks raised and
    /// lowered by turns.
    fn courses(grain: u8) -> Picture {
        let rgb = (0..400 * 400).flat_map(|i: usize| {
            let (x, y) = (i % 400, i / 400);
            match y % 12 {
                0..3 => MORTAR,
                3 | 11 => std::array::from_fn(|c| u8::midpoint(BRICK[c], MORTAR[c])),
                _ if (x + y) % 2 == 0 => BRICK.map(|v| v + grain),
                _ => BRICK.map(|v| v - grain),
            }
        });
        Picture::from_srgb8(400, 400, rgb.collect()).unwrap()
    }

    fn share_near(
        counted: &Counted,
        colour: [u8; 3],
        weight: impl Fn(&super::super::Bin) -> f64,
    ) -> f64 {
        let all: f64 = counted.bins.iter().map(&weight).sum();
        let near = counted.bins.iter().filter(|bin| {
            let Srgb8(seen) = bin.light.encode();
            seen.iter().zip(colour).all(|(a, b)| a.abs_diff(b) <= 4)
        });
        near.map(&weight).sum::<f64>() / all
    }

    #[test]
    fn grain_goes_joints_stay_and_what_is_mixed_has_no_say() {
        let counted = bins_for(&courses(8), &Region::whole(), Count::Chosen);
        let brick = share_near(&counted, BRICK, |bin| bin.unmixed);
        let mortar = share_near(&counted, MORTAR, |bin| bin.unmixed);
        assert!(brick + mortar > 0.99, "{brick} {mortar}");
        assert!((0.2..0.45).contains(&mortar), "{mortar}");
        let unmixed: f64 = counted.bins.iter().map(|bin| bin.unmixed).sum();
        let all: f64 = counted.bins.iter().map(|bin| bin.pixels).sum();
        assert!(unmixed < 0.95 * all, "rows of half mortar are mixed");
        let every_pixel = bins_for(&courses(8), &Region::whole(), Count::Exactly(2));
        assert!(share_near(&every_pixel, BRICK, |bin| bin.pixels) < 0.01);
    }

    #[test]
    fn every_pixel_counts_once_but_the_transparent_and_lost_pixels_are_told() {
        let mut picture = courses(0);
        if let Samples::Rgb8(all) = &mut picture.samples {
            all[..3 * 400 * 100].fill(255);
        }
        let counted = bins_for(&picture, &Region::whole(), Count::Chosen);
        assert!((counted.blown_out - 0.25).abs() < 1e-9);
        for weight in [
            |bin: &super::super::Bin| bin.pixels,
            |bin: &super::super::Bin| bin.afar,
        ] {
            let kept: f64 = counted.bins.iter().map(weight).sum();
            assert!((kept - 400.0 * 300.0).abs() < 1e-9);
        }
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
