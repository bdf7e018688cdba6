//! A region from near: place by place, without grain and without the blur of lens and JPEG.
//!
//! If there are many places, it looks at some bands of them. `quiet.rs` says how each looks.

use super::grid::{Grid, PAD};
use super::histogram::{ALL_CODES, ColourSums, RowsRead, rows_read};
use super::places::Places;
use super::quiet::{PlaceKind, Quiet};
use crate::photo::Picture;
use crate::region::Region;
use crate::tones::count::histogram::Bin;
use crate::tones::describe::variety::{Window, WindowColours};
use rayon::prelude::*;

/// Of a region with more places than this, a band in as many as it has more is looked at. Our choice, by drawn scenes.
const ENOUGH_PLACES: usize = 125_000;
/// Rows of places in a band.
const BAND: usize = 24;

/// If more than this part of a region is restless, for example if each pixel has another colour than its neighbours,
/// the look from near shows nothing.
const MOST_RESTLESS: f64 = 0.5;

/// The bins of a region as seen from near, none of them counts otherwise; none if nothing can be seen from there.
pub(in crate::tones) fn bins_from_near(picture: &Picture, region: &Region) -> Vec<Bin> {
    look_from_near(picture, region, UnitsSought::No).0
}

/// The bins of a region from near, and its windows that lie within one thing, so that its units can be told apart.
pub(in crate::tones) fn bins_and_windows_from_near(
    picture: &Picture,
    region: &Region,
) -> (Vec<Bin>, WindowColours) {
    look_from_near(picture, region, UnitsSought::Yes)
}

/// Whether the units of a region, bricks or boards, are to be told apart by their windows.
#[derive(Clone, Copy)]
enum UnitsSought {
    Yes,
    No,
}

fn look_from_near(
    picture: &Picture,
    region: &Region,
    units: UnitsSought,
) -> (Vec<Bin>, WindowColours) {
    let rows = rows_read(picture, region);
    let places = Places::of_region(picture, region, rows.pixels);
    let one_in = (rows.pixels / places.side.pow(2) / ENOUGH_PLACES).max(1);
    let sums = ColourSums::of_picture(picture);
    let weights = ColourWeights::of_bands(&places, rows, sums.bits(), one_in);
    let rows = rows.exactly_one_in(one_in);
    let bands: Vec<usize> = (0..places.down().div_ceil(BAND))
        .filter(|band| rows.is_read(*band))
        .collect();
    let seen: Vec<SeenInBand> = bands
        .into_par_iter()
        .map(|band| {
            let (grid, lost) = places.read(band * BAND..((band + 1) * BAND).min(places.down()));
            let windows = match units {
                UnitsSought::Yes => band * BAND / Window::SIDE,
                UnitsSought::No => usize::MAX,
            };
            SeenInBand::of_grid(&grid, lost, windows)
        })
        .collect();
    let mut look = ColourRanges {
        weights: &weights,
        sums,
        bins: vec![Weighed::default(); ALL_CODES],
        pixels: 0.0,
        restless: 0.0,
    };
    for band in &seen {
        look.add_band(band);
    }
    if look.restless > MOST_RESTLESS * look.pixels {
        return (Vec::new(), WindowColours::default());
    }
    let windows = seen.into_iter().flat_map(|band| band.windows).collect();
    (
        look.bins(picture),
        WindowColours::of_picture(picture, windows),
    )
}

/// The share of places that lie between two colours and do not count for the choice of tones; `None` where
/// nobody looked.
#[must_use]
pub fn mixed_share(bins: &[Bin]) -> Option<f64> {
    let near: f64 = bins.iter().map(|bin| bin.near).sum();
    let unmixed: f64 = bins.iter().map(|bin| bin.unmixed).sum();
    (near > 0.0).then(|| 1.0 - unmixed / near)
}

/// What the middles of a grid of this many places over a whole picture are; what lies outside the region is plain.
pub(in crate::tones) fn kinds(
    picture: &Picture,
    region: &Region,
    [width, height]: [usize; 2],
) -> Vec<PlaceKind> {
    let pixels = rows_read(picture, region).pixels;
    let places = Places::of_region(picture, region, pixels);
    let bands: Vec<usize> = (0..places.down()).step_by(BAND).collect();
    let seen: Vec<Vec<PlaceKind>> = bands
        .into_par_iter()
        .map(|from| {
            let (grid, _) = places.read(from..(from + BAND).min(places.down()));
            let quiet = grid.quiet();
            let rows = quiet.chunks_exact(grid.width);
            let own = rows.flat_map(|row| &row[PAD..grid.width - PAD]);
            own.map(|seen| seen.kind).collect()
        })
        .collect();
    let seen = seen.concat();
    let at = |x: usize, y: usize| {
        let column = (2 * x + 1) * picture.width / (2 * width);
        let row = (2 * y + 1) * picture.height / (2 * height);
        places.index_of(column, row).map(|place| seen[place])
    };
    (0..width * height)
        .map(|i| at(i % width, i / width).unwrap_or(PlaceKind::Plain))
        .collect()
}

/// How much a pixel of the bands that are looked at counts, by its rough colour: so much that each rough colour has the same
/// share of what is counted as of the region.
///
/// # Source
/// Holt and Smith 1979, *Post stratification*; from memory.
struct ColourWeights {
    /// One for each rough colour; none if everything is looked at.
    weights: Vec<f64>,
    /// By how many bits a code is shifted to become a rough one.
    shift: u32,
}

impl ColourWeights {
    /// Bits a channel of a rough colour. Our choice: few enough that bands hold many pixels of each.
    const BITS: u32 = 3;
    /// Most that a pixel counts: what bands hold hardly any of they cannot speak for.
    const MOST: f64 = 4.0;
    /// About this many pixels tell the shares.
    const PIXELS: usize = 1_000_000;

    /// For one band of places in this many of those whose rows these are.
    fn of_bands(places: &Places<'_>, rows: RowsRead, bits: u32, one_in: usize) -> Self {
        let mut all = Self {
            weights: Vec::new(),
            shift: bits - Self::BITS,
        };
        if one_in > 1 {
            let spare = rows.pixels / Self::PIXELS;
            all.weights = all.counted(places, &rows.one_in(spare), one_in);
        }
        all
    }

    fn counted(&self, places: &Places<'_>, rows: &RowsRead, one_in: usize) -> Vec<f64> {
        let mut seen = vec![[0_u32; 2]; 1 << (3 * Self::BITS)];
        for row in (0..places.down() * places.side).filter(|row| rows.is_read(*row)) {
            let is_band = RowsRead::is_one_in(one_in, row / (places.side * BAND));
            places.each_pixel(row, |pixel| {
                seen[self.rough(pixel)][usize::from(is_band)] += 1;
            });
        }
        let sum = |of: fn(&[u32; 2]) -> u32| seen.iter().map(of).map(f64::from).sum::<f64>();
        let part = sum(|[_, bands]| *bands) / sum(|[others, bands]| others + bands);
        let weight = |[others, bands]: &[u32; 2]| {
            let share = f64::from(others + bands) / f64::from(*bands);
            if *bands == 0 {
                1.0
            } else {
                (part * share).min(Self::MOST)
            }
        };
        seen.iter().map(weight).collect()
    }

    fn rough(&self, codes: [u32; 3]) -> usize {
        let rough = |at: u32, code: u32| at << Self::BITS | code >> self.shift;
        codes.into_iter().fold(0, rough) as usize
    }

    /// The weight of a colour in the picture's own codes.
    fn of_colour(&self, codes: [u32; 3]) -> f64 {
        self.weights.get(self.rough(codes)).copied().unwrap_or(1.0)
    }
}

/// What was seen in a band of places.
struct SeenInBand {
    /// What each place looks like; its own colour, and its pixels.
    places: Vec<(Quiet, [f32; 4])>,
    /// Pixels that may be blown out or crushed.
    lost: Vec<[u32; 3]>,
    /// Windows that lie within one thing.
    windows: Vec<Window>,
}

impl SeenInBand {
    /// For a band whose first row of windows is this one of the region; for none, if that is not a row.
    fn of_grid(grid: &Grid, lost: Vec<[u32; 3]>, first: usize) -> Self {
        let own = &grid.at[PAD * grid.width..];
        let quiet = grid.quiet();
        let windows = if first == usize::MAX {
            Vec::new()
        } else {
            windows_of(grid, &quiet, first)
        };
        let places = quiet.into_iter().zip(own);
        Self {
            windows,
            places: places.map(|(quiet, place)| (quiet, *place)).collect(),
            lost,
        }
    }
}

/// The windows of a band all of whose places are plain.
fn windows_of(grid: &Grid, quiet: &[Quiet], first: usize) -> Vec<Window> {
    const SIDE: usize = Window::SIDE;
    let width = grid.width;
    let own = &grid.at[PAD * width..];
    let (across, down) = ((width - 2 * PAD) / SIDE, quiet.len() / width / SIDE);
    let all = (0..down).flat_map(|y| (0..across).map(move |x| (x, y)));
    all.filter_map(|(x, y)| {
        let mut sum = [0.0; 3];
        for row in SIDE * y..SIDE * (y + 1) {
            let from = row * width + PAD + SIDE * x;
            for place in from..from + SIDE {
                let [r, g, b, n] = own[place];
                if n <= 0.0 || quiet[place].kind != PlaceKind::Plain {
                    return None;
                }
                sum = [sum[0] + r, sum[1] + g, sum[2] + b];
            }
        }
        Some(Window {
            at: [x, first + y],
            codes: sum.map(|v| v / Window::PLACES),
        })
    })
    .collect()
}

/// What was counted of a range of colours; [`Bin`] says what each is.
#[derive(Debug, Clone, Copy, Default)]
struct Weighed {
    near: f64,
    unmixed: f64,
    thin: f64,
}

/// Pixels of each range of colours.
struct ColourRanges<'a> {
    weights: &'a ColourWeights,
    sums: ColourSums,
    /// What is counted in each of them.
    bins: Vec<Weighed>,
    /// Pixels of places, and of those that are restless.
    pixels: f64,
    restless: f64,
}

impl ColourRanges<'_> {
    fn add_band(&mut self, band: &SeenInBand) {
        let one = self.sums.one();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "codes of 0 to 255, and some pixels"
        )]
        let codes_of = |colour: [f32; 3]| colour.map(|v| (f64::from(v) * one + 0.5) as u32);
        for (seen, [r, g, b, pixels]) in &band.places {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "some pixels"
            )]
            let count = *pixels as u32;
            let weighed = f64::from(count) * self.weights.of_colour(codes_of([*r, *g, *b]));
            self.pixels += weighed;
            self.restless += if seen.restless { weighed } else { 0.0 };
            self.add(codes_of(seen.colour), (count, weighed), seen.kind);
        }
        for pixel in &band.lost {
            self.add(
                *pixel,
                (1, self.weights.of_colour(*pixel)),
                PlaceKind::Plain,
            );
        }
    }

    /// Adds a colour with its pixels, and what they count.
    fn add(&mut self, codes: [u32; 3], (pixels, weighed): (u32, f64), kind: PlaceKind) {
        if pixels > 0 {
            let bin = self.sums.bin_of(codes);
            self.sums.add_colour(codes, pixels);
            let seen = &mut self.bins[bin];
            seen.near += weighed;
            seen.unmixed += if kind == PlaceKind::Mixed {
                0.0
            } else {
                weighed
            };
            seen.thin += if kind == PlaceKind::Thin {
                weighed
            } else {
                0.0
            };
        }
    }

    fn bins(&self, picture: &Picture) -> Vec<Bin> {
        let mut bins = self.sums.counted(picture).bins;
        for bin in &mut bins {
            let seen = self.bins[bin.codes as usize];
            bin.pixels = 0.0;
            (bin.near, bin.unmixed, bin.thin) = (seen.near, seen.unmixed, seen.thin);
        }
        bins
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Srgb8;

    const BRICK: [u8; 3] = [150, 80, 60];
    const MORTAR: [u8; 3] = [200, 190, 170];

    /// 400 x 400: joints of three rows in twelve, a row of half mortar on either side, and the codes of bricks raised and
    /// lowered at random by up to this much.
    fn courses(grain: usize) -> Picture {
        let rgb = (0..400 * 400).flat_map(|i: usize| match i / 400 % 12 {
            0..3 => MORTAR,
            3 | 11 => std::array::from_fn(|c| u8::midpoint(BRICK[c], MORTAR[c])),
            _ => {
                let random = i.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 40;
                BRICK.map(|v| {
                    u8::try_from(usize::from(v) + random % (2 * grain + 1) - grain).unwrap()
                })
            }
        });
        Picture::from_srgb8(400, 400, rgb.collect()).unwrap()
    }

    fn share_near(bins: &[Bin], colour: [u8; 3]) -> f64 {
        let all: f64 = bins.iter().map(|bin| bin.unmixed).sum();
        let near = bins.iter().filter(|bin| {
            let Srgb8(seen) = bin.light.encode();
            seen.iter().zip(colour).all(|(a, b)| a.abs_diff(b) <= 5)
        });
        near.map(|bin| bin.unmixed).sum::<f64>() / all
    }

    #[test]
    fn shares_are_those_of_the_region_and_not_of_the_bands_looked_at() {
        let (width, height, mortar) = (500, 1200, 150);
        let rows = (0..height).map(|row| if row < mortar { MORTAR } else { BRICK });
        let rgb = rows.flat_map(|colour| colour.repeat(width));
        let picture = Picture::from_srgb8(width, height, rgb.collect()).unwrap();
        let share = share_near(&bins_from_near(&picture, &Region::whole()), MORTAR);
        assert!((share - 0.125).abs() < 0.004, "{share}");
    }

    #[test]
    fn grain_goes_joints_stay_and_what_is_mixed_has_no_say() {
        let bins = bins_from_near(&courses(8), &Region::whole());
        let (brick, mortar) = (share_near(&bins, BRICK), share_near(&bins, MORTAR));
        assert!(brick + mortar > 0.99, "{brick} {mortar}");
        assert!((0.2..0.45).contains(&mortar), "{mortar}");
        let unmixed: f64 = bins.iter().map(|bin| bin.unmixed).sum();
        let all: f64 = bins.iter().map(|bin| bin.near).sum();
        assert!(unmixed < 0.95 * all, "rows of half mortar are mixed");
        assert!((all - 160_000.0).abs() < 1e-9, "every pixel counts once");
    }
}
