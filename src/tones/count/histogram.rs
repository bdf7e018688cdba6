//! A colour histogram that keeps the true mean of each bin.

use crate::colour::LinearSrgb;
use crate::photo::{Picture, Samples};
use crate::region::Region;
use std::ops::Range;

/// A small range of colours and the pixels that have them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// Mean colour, in linear light. The mean itself is taken of encoded values; a bin is 4/256 wide, so that the two
    /// agree to a fraction of a code.
    pub light: LinearSrgb,
    /// How many pixels were counted: one by one, or from afar, where grain and small things run together.
    pub pixels: f64,
    /// How many have this colour from near; 0 where nobody looked.
    pub near: f64,
    /// How many of those are unmixed: only these decide which tones there are.
    pub unmixed: f64,
    /// How many of those are in the middle of something thin.
    pub thin: f64,
    /// Which range of codes: the six highest bits of red, green and blue.
    pub codes: u32,
}

/// All ranges of codes.
pub(in crate::tones) const ALL_CODES: usize = 1 << (3 * BITS);

/// The range of codes a pixel falls into, from channels of 8 bits.
pub(in crate::tones) fn codes_of([r, g, b]: [u8; 3]) -> u32 {
    let high = |code: u8| u32::from(code) >> (8 - BITS);
    (high(r) << (2 * BITS)) | (high(g) << BITS) | high(b)
}

/// The middle of a range of codes, encoded, 0..1.
pub(in crate::tones) fn middle_of(codes: u32) -> [f64; 3] {
    let wide = f64::from(1_u32 << (8 - BITS));
    [2 * BITS, BITS, 0].map(|shift| {
        let high = f64::from((codes >> shift) & ((1 << BITS) - 1));
        (high * wide + (wide - 1.0) / 2.0) / 255.0
    })
}

/// What was counted in a region.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// Bins of the pixels that can be trusted.
    pub bins: Vec<Bin>,
    /// Share of the region's pixels with a channel blown out.
    pub blown_out: f64,
    /// Share of the region's pixels that are crushed to black.
    pub crushed: f64,
}

/// From this code (of 255) on a channel counts as blown out.
const BLOWN_OUT: f64 = 253.0;
/// Light this near to the top of sRGB counts as blown out too (a code of 253 is 0.98). Our choice.
const EDGE: f64 = 0.02;
/// Pixels with no channel above this code (of 255) count as crushed.
const CRUSHED: f64 = 3.0;
/// When more than this share is blown out or crushed, all pixels count all the same: there is nothing better. Our choice.
const MOST_LOST: f64 = 0.5;

/// Bits a channel.
const BITS: u32 = 6;
/// Bits a channel where quickness counts more.
const ROUGH_BITS: u32 = 5;
/// This many successive bins, all blues of a red and a green, are known together to be empty.
const STRETCH: usize = 1 << BITS;
/// All bins.
const BIN_MASK: u32 = (1 << (3 * BITS)) - 1;
/// Above this many pixels in the region only one row in four is read.
const EVERY_ROW_UP_TO: usize = 2_000_000;
/// One row in this many; one in twice as many where that still leaves three megapixels.
const STRIDE: usize = 4;
const STILL_ENOUGH: usize = 12_000_000;

/// The code of so many bits that a code of 1 in 255 is.
pub(in crate::tones) fn code_of(bits: u32) -> f64 {
    f64::from((1_u32 << bits) - 1) / 255.0
}

/// How many pixels a bin holds, and the sums of what their codes have beyond the bin's lower edge.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::tones) struct Tally {
    count: u32,
    residual: [u32; 3],
}

/// The tallies of all bins, and which stretches of them are not empty.
struct TallyTable<'a> {
    tallies: &'a mut [Tally],
    touched: &'a mut [bool],
}

/// Bins of the pixels of a region that count: not the transparent ones, and neither blown-out highlights nor crushed
/// shadows, whose true colour the photo has lost (unless they are more than half of the region).
///
/// In regions above two megapixels one row in four is read (above twelve, one in eight), chosen in each group by a fixed
/// scramble: courses and planks are horizontal, and a regular stride would alias with them.
#[must_use]
pub fn bins_of(picture: &Picture, region: &Region) -> Counted {
    let rows = rows_read(picture, region);
    let mut sums = ColourSums::of_picture(picture);
    let inside = rows.first..picture.height;
    for (i, row) in inside.enumerate() {
        if rows.is_read(i) {
            for run in region.runs(row, picture.width, picture.height) {
                sums.add_run(picture, row, run);
            }
        }
    }
    sums.counted(picture)
}

/// Which rows of a region are read.
#[derive(Clone, Copy)]
pub(in crate::tones) struct RowsRead {
    first: usize,
    stride: usize,
    /// Pixels inside the region.
    pub(in crate::tones) pixels: usize,
}

impl RowsRead {
    /// Reads one row in this many, or fewer.
    pub(in crate::tones) fn one_in(self, stride: usize) -> Self {
        let stride = self.stride.max(stride);
        self.exactly_one_in(stride)
    }

    /// Reads one row in this many.
    pub(in crate::tones) fn exactly_one_in(self, stride: usize) -> Self {
        Self { stride, ..self }
    }

    /// Whether the row, or row of blocks, at this place is read.
    pub(in crate::tones) fn is_read(&self, at: usize) -> bool {
        Self::is_one_in(self.stride, at)
    }

    /// Whether the one at this place is read if one in so many is.
    pub(super) fn is_one_in(stride: usize, at: usize) -> bool {
        at % stride == scramble(at / stride) % stride
    }
}

/// Which rows are read, by how many pixels the region has.
pub(in crate::tones) fn rows_read(picture: &Picture, region: &Region) -> RowsRead {
    let mut first = None;
    let mut pixels = 0;
    for row in 0..picture.height {
        let runs = region.runs(row, picture.width, picture.height);
        let inside: usize = runs.iter().map(ExactSizeIterator::len).sum();
        if inside > 0 {
            first = first.or(Some(row));
        }
        pixels += inside;
    }
    RowsRead {
        first: first.unwrap_or(0),
        stride: match pixels {
            n if n > STILL_ENOUGH => 2 * STRIDE,
            n if n > EVERY_ROW_UP_TO => STRIDE,
            _ => 1,
        },
        pixels,
    }
}

/// A fixed scramble of small numbers (the finaliser of a 64-bit mixing function).
fn scramble(n: usize) -> usize {
    let mut z = (n as u64).wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) & 0xffff) as usize
}

/// How the bits of a channel are divided into bin and rest.
#[derive(Debug, Clone, Copy)]
struct Depth {
    /// Bits a channel, 8 or 16.
    bits: u32,
    /// Of 16 bits the lowest three are dropped, so that sums of 25 million pixels stay below 2^32.
    dropped: u32,
}

impl Depth {
    fn of_samples(samples: &Samples) -> Self {
        match samples {
            Samples::Rgb8(_) => Self {
                bits: 8,
                dropped: 0,
            },
            Samples::Rgb16(_) => Self {
                bits: 16,
                dropped: 3,
            },
        }
    }

    fn low_bits(self) -> u32 {
        self.bits - BITS
    }

    /// Counts pixels into a table with one tally a bin, or out of it.
    fn tally<S: Copy + Into<u32>>(
        self,
        into: TallyTable<'_>,
        pixels: &[S],
        mask: Option<&[u8]>,
        change: impl Fn(&mut u32, u32),
    ) {
        let (low_bits, dropped) = (self.low_bits(), self.dropped);
        let low_mask = (1_u32 << low_bits) - 1;
        let TallyTable { tallies, touched } = into;
        let mut count = |pixel: &[S]| {
            let [r, g, b] = [pixel[0].into(), pixel[1].into(), pixel[2].into()];
            let at = ((r >> low_bits) << (2 * BITS)) | ((g >> low_bits) << BITS) | (b >> low_bits);
            let at = (at & BIN_MASK) as usize;
            touched[at / STRETCH] = true;
            let tally = &mut tallies[at];
            change(&mut tally.count, 1);
            change(&mut tally.residual[0], (r & low_mask) >> dropped);
            change(&mut tally.residual[1], (g & low_mask) >> dropped);
            change(&mut tally.residual[2], (b & low_mask) >> dropped);
        };
        match mask {
            None => pixels.chunks_exact(3).for_each(&mut count),
            Some(mask) => pixels
                .chunks_exact(3)
                .zip(mask)
                .filter(|(_, alpha)| **alpha == 255)
                .for_each(|(pixel, _)| count(pixel)),
        }
    }

    /// The mean of a bin, encoded 0..1.
    fn mean(self, at: u32, tally: &Tally) -> [f64; 3] {
        let highest = f64::from((1_u32 << self.bits) - 1);
        let centre_of_dropped = if self.dropped > 0 {
            f64::from((1_u32 << self.dropped) - 1) / 2.0
        } else {
            0.0
        };
        [0_u32, 1, 2].map(|channel| {
            let high = (at >> (BITS * (2 - channel))) & ((1 << BITS) - 1);
            let low = f64::from(tally.residual[channel as usize]) / f64::from(tally.count)
                * f64::from(1_u32 << self.dropped)
                + centre_of_dropped;
            ((f64::from(high << self.low_bits()) + low) / highest).min(1.0)
        })
    }
}

/// Sums of a picture's colours, one tally a bin, that grow run by run.
#[derive(Debug, Clone)]
pub(in crate::tones) struct ColourSums {
    depth: Depth,
    table: Vec<Tally>,
    /// For each stretch of the table, whether it holds anything.
    touched: Vec<bool>,
}

impl ColourSums {
    pub(in crate::tones) fn of_picture(picture: &Picture) -> Self {
        Self {
            depth: Depth::of_samples(&picture.samples),
            table: vec![Tally::default(); ALL_CODES],
            touched: vec![false; ALL_CODES / STRETCH],
        }
    }

    /// Adds a run of pixels of one row.
    pub(in crate::tones) fn add_run(&mut self, picture: &Picture, row: usize, run: Range<usize>) {
        self.change_by_run(picture, row, run, |sum, v| *sum += v);
    }

    /// Takes a run of pixels out that was added before.
    pub(in crate::tones) fn take_run(&mut self, picture: &Picture, row: usize, run: Range<usize>) {
        self.change_by_run(picture, row, run, |sum, v| *sum -= v);
    }

    fn change_by_run(
        &mut self,
        picture: &Picture,
        row: usize,
        run: Range<usize>,
        change: impl Fn(&mut u32, u32),
    ) {
        let first = row * picture.width;
        let (from, to) = (first + run.start, first + run.end);
        let mask = picture.alpha.as_ref().map(|alpha| &alpha[from..to]);
        let into = TallyTable {
            tallies: &mut self.table,
            touched: &mut self.touched,
        };
        match &picture.samples {
            Samples::Rgb8(all) => (self.depth).tally(into, &all[from * 3..to * 3], mask, change),
            Samples::Rgb16(all) => (self.depth).tally(into, &all[from * 3..to * 3], mask, change),
        }
    }

    /// Bits a channel of its picture.
    pub(in crate::tones) fn bits(&self) -> u32 {
        self.depth.bits
    }

    /// The code of its picture that a code of 1 in 255 is.
    pub(in crate::tones) fn one(&self) -> f64 {
        code_of(self.depth.bits)
    }

    /// The place of a bin in the table, by a colour in the picture's own codes.
    pub(in crate::tones) fn bin_of(&self, codes: [u32; 3]) -> usize {
        let low_bits = self.depth.low_bits();
        let at = codes
            .iter()
            .fold(0, |at, code| (at << BITS) | (code >> low_bits));
        (at & BIN_MASK) as usize
    }

    /// Adds a colour of the picture's own codes, this many times.
    pub(in crate::tones) fn add_colour(&mut self, codes: [u32; 3], times: u32) {
        let (low_bits, dropped) = (self.depth.low_bits(), self.depth.dropped);
        let at = self.bin_of(codes);
        self.touched[at / STRETCH] = true;
        let tally = &mut self.table[at];
        tally.count += times;
        for (sum, code) in tally.residual.iter_mut().zip(codes) {
            *sum += times * ((code & ((1 << low_bits) - 1)) >> dropped);
        }
    }

    /// Adds what was taken out of another table by `drain`.
    pub(in crate::tones) fn add_filled(&mut self, filled: &[(u32, Tally)]) {
        for (at, tally) in filled {
            let at = (at & BIN_MASK) as usize;
            self.touched[at / STRETCH] = true;
            let sum = &mut self.table[at];
            sum.count += tally.count;
            for (sum, more) in sum.residual.iter_mut().zip(tally.residual) {
                *sum += more;
            }
        }
    }

    /// The bins that hold something, with their places; the table is empty afterwards.
    pub(in crate::tones) fn drain(&mut self) -> Vec<(u32, Tally)> {
        let mut filled = Vec::new();
        let stretches = self.table.chunks_exact_mut(STRETCH);
        let firsts = (0_u32..).step_by(STRETCH);
        for ((first, stretch), touched) in firsts.zip(stretches).zip(&mut self.touched) {
            if std::mem::take(touched) {
                let bins = (first..).zip(stretch).filter(|(_, tally)| tally.count > 0);
                filled.extend(bins.map(|(at, tally)| (at, std::mem::take(tally))));
            }
        }
        filled.shrink_to_fit();
        filled
    }

    /// What was counted, with the true mean of each bin.
    pub(in crate::tones) fn counted(&self, picture: &Picture) -> Counted {
        let (codes, (encoded, counts)): (Vec<_>, (Vec<_>, Vec<_>)) = self.means().unzip();
        trusted(picture, &encoded, &counts, &codes)
    }

    /// What was counted, in bins twice as wide: an eighth as many at best, for speed. Each has the codes of the
    /// first of those it holds.
    pub(in crate::tones) fn counted_roughly(&self, picture: &Picture) -> Counted {
        let mut wide = vec![(0, [0.0; 3], 0.0); 1 << (3 * ROUGH_BITS)];
        for (codes, (mean, count)) in self.means() {
            let high = |shift: u32| (codes >> (shift + 1)) & ((1 << ROUGH_BITS) - 1);
            let at = (high(2 * BITS) << (2 * ROUGH_BITS)) | (high(BITS) << ROUGH_BITS) | high(0);
            let (first, sum, all): &mut (u32, [f64; 3], f64) = &mut wide[at as usize];
            if *all <= 0.0 {
                *first = codes;
            }
            for (sum, v) in sum.iter_mut().zip(mean) {
                *sum += v * count;
            }
            *all += count;
        }
        wide.retain(|(_, _, count)| *count > 0.0);
        let (codes, (encoded, counts)): (Vec<_>, (Vec<_>, Vec<_>)) = wide
            .into_iter()
            .map(|(codes, sum, count)| (codes, (sum.map(|v| v / count), count)))
            .unzip();
        trusted(picture, &encoded, &counts, &codes)
    }

    /// Codes, mean and count of each bin that holds something.
    fn means(&self) -> impl Iterator<Item = (u32, ([f64; 3], f64))> {
        (0_u32..)
            .zip(&self.table)
            .filter(|(_, tally)| tally.count > 0)
            .map(|(codes, tally)| {
                let mean = self.depth.mean(codes, tally);
                (codes, (mean, f64::from(tally.count)))
            })
    }
}

/// Sets blown-out and crushed pixels aside, and turns the rest to light.
fn trusted(picture: &Picture, encoded: &[[f64; 3]], counts: &[f64], codes: &[u32]) -> Counted {
    let total: f64 = counts.iter().sum();
    let light = picture.light_of(encoded);
    let before_correction = picture.encoding.to_linear(encoded);
    let fate: Vec<Fate> = encoded
        .iter()
        .zip(&before_correction)
        .map(|(code, light)| Fate::of_colour(code, light))
        .collect();
    let share = |lost: Fate| {
        let sum: f64 = fate
            .iter()
            .zip(counts)
            .filter(|(f, _)| **f == lost)
            .map(|(_, n)| n)
            .sum();
        if total > 0.0 { sum / total } else { 0.0 }
    };
    let (blown_out, crushed) = (share(Fate::BlownOut), share(Fate::Crushed));
    let keep_all = blown_out + crushed > MOST_LOST;
    let bins = light
        .into_iter()
        .zip(counts.iter().zip(codes))
        .zip(fate)
        .filter(|((light, _), fate)| {
            (keep_all || *fate == Fate::Kept)
                && light.r.is_finite()
                && light.g.is_finite()
                && light.b.is_finite()
        })
        .map(|((light, (pixels, codes)), _)| Bin {
            light,
            pixels: *pixels,
            near: 0.0,
            unmixed: 0.0,
            thin: 0.0,
            codes: *codes,
        })
        .collect();
    Counted {
        bins,
        blown_out,
        crushed,
    }
}

/// What became of a colour on its way through the camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fate {
    Kept,
    BlownOut,
    Crushed,
}

impl Fate {
    /// By the encoded value, and by the light: a photo that was once sRGB and is now in a wider space has its blown-out
    /// channels at the edge of sRGB, not at the top of the code.
    fn of_colour(code: &[f64; 3], light: &LinearSrgb) -> Self {
        let at_the_edge = |v: f64| (v - 1.0).abs() < EDGE;
        if code.iter().any(|c| *c * 255.0 >= BLOWN_OUT)
            || [light.r, light.g, light.b].into_iter().any(at_the_edge)
        {
            Self::BlownOut
        } else if code.iter().all(|c| *c * 255.0 <= CRUSHED) {
            Self::Crushed
        } else {
            Self::Kept
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    #[test]
    fn two_flat_colours_come_back_exactly() {
        let mut rgb = [200, 60, 41].repeat(30);
        rgb.extend([12, 13, 14].repeat(10));
        let picture = Picture::from_srgb8(10, 4, rgb).unwrap();
        let bins = bins_of(&picture, &Region::whole()).bins;
        assert_eq!(bins.len(), 2);
        let red = bins.iter().find(|bin| bin.pixels > 20.0).unwrap();
        assert_eq!(red.light.encode(), Srgb8([200, 60, 41]));
        let total: f64 = bins.iter().map(|bin| bin.pixels).sum();
        assert!((total - 40.0).abs() < 1e-9);
    }

    #[test]
    fn transparent_pixels_do_not_count() {
        let mut picture = Picture::from_srgb8(2, 1, vec![255, 0, 255, 80, 80, 80]).unwrap();
        picture.alpha = Some(vec![0, 255]);
        let bins = bins_of(&picture, &Region::whole()).bins;
        assert_eq!(bins.len(), 1);
        assert_eq!(bins[0].light.encode(), Srgb8([80, 80, 80]));
    }
}
