//! Colour sums of a whole picture, tile by tile: the histogram of any region is then mostly addition.

use crate::photo::Picture;
use crate::region::Region;
use crate::tones::count::histogram::{ColourSums, Counted, Tally};
use rayon::prelude::*;
use std::ops::Range;

/// Pixels a side of a tile.
const TILE: usize = 64;
/// Tiles a side of a block, whose sums are kept too.
const BLOCK: usize = 8;

/// The bins of a part of the picture that hold something.
type Filled = Vec<(u32, Tally)>;

/// Colour sums of the tiles of one picture, and of square blocks of tiles.
///
/// Every pixel counts. So a region's bins equal those of `bins_of` if that reads every row, and are truer if it reads
/// one row in four.
#[derive(Debug)]
pub struct Tiles {
    across: usize,
    down: usize,
    each: Vec<Filled>,
    blocks: Vec<Filled>,
}

impl Tiles {
    /// Counts a picture once.
    #[must_use]
    pub fn of_picture(picture: &Picture) -> Self {
        let (across, down) = (picture.width.div_ceil(TILE), picture.height.div_ceil(TILE));
        // Rows of blocks are worked on side by side; each needs two tables.
        let strips: Vec<(Vec<Filled>, Vec<Filled>)> = (0..down.div_ceil(BLOCK))
            .into_par_iter()
            .map(|strip| {
                let rows = strip * BLOCK..((strip + 1) * BLOCK).min(down);
                let mut sums = ColourSums::of_picture(picture);
                let mut tiles = Vec::with_capacity(rows.len() * across);
                for row in rows.clone() {
                    for column in 0..across {
                        let (x, y) = (span(column, picture.width), span(row, picture.height));
                        for y in y {
                            sums.add_run(picture, y, x.clone());
                        }
                        tiles.push(sums.drain());
                    }
                }
                let blocks = (0..across.div_ceil(BLOCK))
                    .map(|block| {
                        for row in 0..rows.len() {
                            let columns = block * BLOCK..((block + 1) * BLOCK).min(across);
                            for tile in &tiles[row * across..][columns] {
                                sums.add_filled(tile);
                            }
                        }
                        sums.drain()
                    })
                    .collect();
                (tiles, blocks)
            })
            .collect();
        let (tiles, blocks): (Vec<_>, Vec<_>) = strips.into_iter().unzip();
        Self {
            across,
            down,
            each: tiles.into_iter().flatten().collect(),
            blocks: blocks.into_iter().flatten().collect(),
        }
    }

    /// Bytes the sums take.
    #[must_use]
    pub fn bytes(&self) -> usize {
        self.each
            .iter()
            .chain(&self.blocks)
            .map(|filled| size_of::<Filled>() + size_of_val(filled.as_slice()))
            .sum()
    }

    /// What a region of the picture holds; `picture` is the one that was counted (its correction may have changed).
    #[must_use]
    pub fn counted(&self, picture: &Picture, region: &Region) -> Counted {
        self.sums(picture, &rows_of(picture, region))
            .counted(picture)
    }

    /// What is counted in a region, in bins twice as wide, for speed.
    #[must_use]
    pub fn counted_roughly(&self, picture: &Picture, region: &Region) -> Counted {
        self.sums(picture, &rows_of(picture, region))
            .counted_roughly(picture)
    }

    /// The sums of a region, given as the runs of each row of the picture.
    pub(in crate::tones) fn sums(
        &self,
        picture: &Picture,
        rows: &[Vec<Range<usize>>],
    ) -> ColourSums {
        let mut sums = ColourSums::of_picture(picture);
        let blocks_across = self.across.div_ceil(BLOCK);
        for block_row in 0..self.down.div_ceil(BLOCK) {
            let tile_rows = block_row * BLOCK..((block_row + 1) * BLOCK).min(self.down);
            let full: Vec<Vec<bool>> = tile_rows
                .clone()
                .map(|row| self.full_tiles(&rows[span(row, picture.height)], picture.width))
                .collect();
            let whole_blocks: Vec<bool> = (0..blocks_across)
                .map(|block| {
                    let columns = block * BLOCK..((block + 1) * BLOCK).min(self.across);
                    full.iter()
                        .all(|row| row[columns.clone()].iter().all(|f| *f))
                })
                .collect();
            for (block, _) in whole_blocks.iter().enumerate().filter(|(_, whole)| **whole) {
                sums.add_filled(&self.blocks[block_row * blocks_across + block]);
            }
            for (row, mut full) in tile_rows.zip(full) {
                for column in 0..self.across {
                    if full[column] && !whole_blocks[column / BLOCK] {
                        sums.add_filled(&self.each[row * self.across + column]);
                    }
                    full[column] |= whole_blocks[column / BLOCK];
                }
                for y in span(row, picture.height) {
                    for run in &rows[y] {
                        add_rest(&mut sums, picture, y, run, &full);
                    }
                }
            }
        }
        sums
    }

    /// Which tiles of a row of tiles lie wholly inside, by the runs of its rows of pixels.
    fn full_tiles(&self, rows: &[Vec<Range<usize>>], width: usize) -> Vec<bool> {
        (0..self.across)
            .map(|column| {
                let x = span(column, width);
                rows.iter().all(|runs| {
                    runs.iter()
                        .any(|run| run.start <= x.start && x.end <= run.end)
                })
            })
            .collect()
    }
}

/// The runs of pixels of each row of a picture that lie in a region.
pub(in crate::tones) fn rows_of(picture: &Picture, region: &Region) -> Vec<Vec<Range<usize>>> {
    (0..picture.height)
        .map(|row| region.runs(row, picture.width, picture.height))
        .collect()
}

/// Adds the pixels of a run that lie in tiles which are not full.
fn add_rest(sums: &mut ColourSums, picture: &Picture, y: usize, run: &Range<usize>, full: &[bool]) {
    let columns = run.start / TILE..run.end.div_ceil(TILE);
    for column in columns.filter(|column| !full[*column]) {
        let x = span(column, picture.width);
        sums.add_run(picture, y, x.start.max(run.start)..x.end.min(run.end));
    }
}

/// The pixels of a tile along one side, in a picture of `length` pixels.
fn span(tile: usize, length: usize) -> Range<usize> {
    tile * TILE..((tile + 1) * TILE).min(length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::Outline;
    use crate::tones::bins_of;

    /// A picture with many colours, no two rows alike.
    fn drawn(width: usize, height: usize) -> Picture {
        let rgb: Vec<u8> = (0..width * height)
            .flat_map(|i| {
                let (x, y) = (i % width, i / width);
                [(x * 7 + y) % 251, (x + y * 3) % 241, (x * y) % 239]
                    .map(|v| u8::try_from(v).unwrap())
            })
            .collect();
        Picture::from_srgb8(width, height, rgb).unwrap()
    }

    #[test]
    fn sums_of_tiles_are_the_histogram_of_a_full_pass() {
        let picture = drawn(1100, 700);
        let tiles = Tiles::of_picture(&picture);
        let hole = Outline::new(vec![[0.4, 0.4], [0.45, 0.4], [0.45, 0.6]]).unwrap();
        let drawn = [
            vec![[0.01, 0.02], [0.97, 0.11], [0.9, 0.99], [0.03, 0.8]],
            vec![[0.5, 0.1], [0.52, 0.1], [0.51, 0.9]],
            vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]],
        ];
        for points in drawn {
            let region = Region {
                outline: Outline::new(points).unwrap(),
                leave_out: vec![hole.clone()],
            };
            assert_eq!(
                tiles.counted(&picture, &region),
                bins_of(&picture, &region),
                "{region:?}"
            );
            let (rough, fine) = (
                tiles.counted_roughly(&picture, &region).bins,
                bins_of(&picture, &region).bins,
            );
            let pixels = |bins: &[crate::tones::Bin]| bins.iter().map(|b| b.pixels).sum::<f64>();
            assert!(rough.len() < fine.len());
            assert!((pixels(&rough) / pixels(&fine) - 1.0).abs() < 0.02);
        }
    }

    #[test]
    fn transparent_pixels_do_not_count_in_tiles_either() {
        let mut picture = drawn(130, 70);
        picture.alpha = Some(
            (0..130 * 70)
                .map(|i| if i % 3 == 0 { 0 } else { 255 })
                .collect(),
        );
        let region = Region::whole();
        assert_eq!(
            Tiles::of_picture(&picture).counted(&picture, &region),
            bins_of(&picture, &region)
        );
    }
}
