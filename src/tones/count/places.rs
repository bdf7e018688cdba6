//! A region as places: some pixels each, so that there are not too many of them whatever the picture's size.

use super::grid::{Grid, PAD};
use super::histogram::code_of;
use crate::photo::{Picture, Samples};
use crate::region::Region;
use std::ops::Range;

/// A region has at most this many places. Our choice.
const PLACES: f64 = 2_000_000.0;
/// About this many rows of pixels are read for a place.
const ROWS_A_PLACE: usize = 3;
/// From this code (of 255) on, or with no channel up to that one, a pixel is counted by itself: it may be blown out, or
/// crushed.
const BRIGHTEST: u32 = 253;
const DARKEST: u32 = 4;

/// The box about a region, divided into places.
pub(in crate::tones) struct Places<'a> {
    picture: &'a Picture,
    region: &'a Region,
    /// Pixels a side of a place.
    pub(in crate::tones) side: usize,
    columns: Range<usize>,
    rows: Range<usize>,
}

impl<'a> Places<'a> {
    /// The places of a region of this many pixels.
    pub(in crate::tones) fn of_region(
        picture: &'a Picture,
        region: &'a Region,
        pixels: usize,
    ) -> Self {
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of pixels fits"
        )]
        let side = (pixels as f64 / PLACES).sqrt().ceil().max(1.0) as usize;
        let (mut columns, mut rows) = (picture.width..0, picture.height..0);
        for row in 0..picture.height {
            for run in region.runs(row, picture.width, picture.height) {
                columns.start = columns.start.min(run.start);
                columns.end = columns.end.max(run.end);
                rows.start = rows.start.min(row);
                rows.end = row + 1;
            }
        }
        Self {
            picture,
            region,
            side,
            columns,
            rows,
        }
    }

    /// Places in a row.
    pub(in crate::tones) fn across(&self) -> usize {
        self.columns.len().div_ceil(self.side)
    }

    /// Rows of places.
    pub(in crate::tones) fn down(&self) -> usize {
        self.rows.len().div_ceil(self.side)
    }

    /// The place of a pixel, row by row; `None` outside the box.
    pub(in crate::tones) fn index_of(&self, column: usize, row: usize) -> Option<usize> {
        let is_inside = self.columns.contains(&column) && self.rows.contains(&row);
        is_inside.then(|| {
            (row - self.rows.start) / self.side * self.across()
                + (column - self.columns.start) / self.side
        })
    }

    /// A band of rows of places, padded all round, and its pixels that may be blown out or crushed.
    pub(in crate::tones) fn read(&self, band: Range<usize>) -> (Grid, Vec<[u32; 3]>) {
        match &self.picture.samples {
            Samples::Rgb8(all) => self.read_from(all, 8, band),
            Samples::Rgb16(all) => self.read_from(all, 16, band),
        }
    }

    fn read_from<S: Copy + Into<u32>>(
        &self,
        all: &[S],
        bits: u32,
        band: Range<usize>,
    ) -> (Grid, Vec<[u32; 3]>) {
        let width = self.across() + 2 * PAD;
        let mut sums = vec![[0_u32; 4]; width * (band.len() + 2 * PAD)];
        let mut lost = Vec::new();
        for (line, sums) in (band.start..).zip(sums.chunks_exact_mut(width)) {
            let Some(y) = line.checked_sub(PAD).filter(|y| *y < self.down()) else {
                continue;
            };
            let from = self.rows.start + y * self.side;
            let rows = from..(from + self.side).min(self.rows.end);
            let own = &mut sums[PAD..];
            for row in rows.step_by(self.side.div_ceil(ROWS_A_PLACE)) {
                let is_own = band.contains(&y);
                self.read_row(all, bits, row, |place, pixel, is_lost| {
                    if !is_lost {
                        let [r, g, b, n] = &mut own[place];
                        (*r, *g, *b, *n) = (*r + pixel[0], *g + pixel[1], *b + pixel[2], *n + 1);
                    } else if is_own {
                        lost.push(pixel);
                    }
                });
            }
        }
        let one = 1.0 / code_of(bits);
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "sums of some dozen codes"
        )]
        let at = sums.into_iter().map(|[r, g, b, n]| {
            let by = one / f64::from(n.max(1));
            let mean = |sum: u32| (f64::from(sum) * by) as f32;
            [mean(r), mean(g), mean(b), n as f32]
        });
        let at = at.collect();
        (Grid { width, at }, lost)
    }

    /// Each pixel of a row, counted from the region's first, that counts.
    pub(super) fn each_pixel(&self, row: usize, mut found: impl FnMut([u32; 3])) {
        let row = self.rows.start + row;
        if row < self.rows.end {
            match &self.picture.samples {
                Samples::Rgb8(all) => self.read_row(all, 8, row, |_, pixel, _| found(pixel)),
                Samples::Rgb16(all) => self.read_row(all, 16, row, |_, pixel, _| found(pixel)),
            }
        }
    }

    /// Each pixel of a row that counts, with its place and whether it may be blown out or crushed.
    fn read_row<S: Copy + Into<u32>>(
        &self,
        all: &[S],
        bits: u32,
        row: usize,
        mut found: impl FnMut(usize, [u32; 3], bool),
    ) {
        let (brightest, darkest) = (BRIGHTEST << (bits - 8), DARKEST << (bits - 8));
        let Picture { width, height, .. } = *self.picture;
        let first = row * width;
        for run in self.region.runs(row, width, height) {
            let mut from = run.start;
            while from < run.end {
                let place = (from - self.columns.start) / self.side;
                let to = (self.columns.start + (place + 1) * self.side).min(run.end);
                let pixels = all[3 * (first + from)..3 * (first + to)].as_chunks::<3>().0;
                let alpha = self.picture.alpha.as_ref();
                let alpha = alpha.map(|alpha| &alpha[first + from..first + to]);
                for (i, pixel) in pixels.iter().enumerate() {
                    if alpha.is_none_or(|alpha| alpha[i] == 255) {
                        let [r, g, b] = pixel.map(Into::into);
                        let most = r.max(g).max(b);
                        found(place, [r, g, b], most >= brightest || most < darkest);
                    }
                }
                from = to;
            }
        }
    }
}
