//! Where a small picture is locally recessed, and how it looks clean and under a film.
//!
//! In: a small copy of a photo, the part that counts, and the colours of a film from flats to recesses. Out: two small
//! JPEGs. It is a picture of a prediction: depth is unknown; joints and grooves differ in lightness from their
//! surroundings, nothing more.

use super::photo_error::PhotoError;
use super::picture::Picture;
use super::small::{Crop, SmallJpeg, encoded_small, kept_pixels, shrunk};
use crate::colour::{LinearSrgb, Srgb8, cube_root};
use crate::region::Region;
use image::RgbImage;
use serde::{Deserialize, Serialize};

/// A small copy of part of a picture, its light corrected, to be painted over later.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct SmallPicture {
    #[serde(with = "kept_pixels")]
    image: RgbImage,
    /// True for each pixel that belongs to the region.
    counts: Vec<bool>,
}

/// What the picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum PictureOf {
    /// The clean model itself.
    CleanModel,
    /// The real thing, dirt and all: it lends its relief alone, on a plain body.
    StandIn,
}

/// Which way recesses differ from flats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recesses {
    /// Darker.
    Dark,
    /// Lighter, as mortar is.
    Pale,
}

/// What is laid on.
#[derive(Debug, Clone)]
pub struct FilmColours {
    /// The clean body.
    pub base: LinearSrgb,
    /// Its colour under the film, from flats to the deepest recess in even steps; at least one.
    pub films: Vec<LinearSrgb>,
    /// A light dragged over the edges last, when there is one.
    pub edges: Option<LinearSrgb>,
}

/// Cuts and shrinks what a region spans to at most `long_side` pixels. Gives `None` when nothing is left.
#[must_use]
pub fn small_picture(picture: &Picture, region: &Region, long_side: u32) -> Option<SmallPicture> {
    let bounds = region.outline.bounds();
    let image = shrunk(picture, Crop(bounds), long_side)?;
    let counts = counted(&image, region, bounds);
    counts
        .iter()
        .any(|counts| *counts)
        .then_some(SmallPicture { image, counts })
}

/// Which pixels of a small copy belong to a region that spans `bounds` of the photo.
fn counted(image: &RgbImage, region: &Region, [left, top, right, bottom]: [f64; 4]) -> Vec<bool> {
    let (width, height) = (image.width() as usize, image.height() as usize);
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "pixel counts of a small copy, scaled up to those of a photo"
    )]
    let [across, down, x0, y0] = {
        let (w, h) = (width as f64, height as f64);
        let (across, down) = (w / (right - left), h / (bottom - top));
        [across, down, left * across, top * down].map(|v| v.round() as usize)
    };
    let mut counts = vec![false; width * height];
    for y in 0..height {
        for run in region.runs(y + y0, across.max(1), down.max(1)) {
            for x in run {
                if let Some(x) = x.checked_sub(x0).filter(|x| *x < width) {
                    counts[y * width + x] = true;
                }
            }
        }
    }
    counts
}

/// Reach of the window that finds a recess, as a part of the long side. Our choice: about a brick's height.
const WINDOW: usize = 36;
/// Share of the pixels that count as the deepest recess. Our choice.
const DEEPEST: f64 = 0.03;
/// How much of a recess's own darkness is taken off the stand-in's clean state: dirt and shadow of the real thing.
/// Our choice.
const SMOOTHED: f64 = 0.75;
/// How much of the stand-in's own light and shade a plain body keeps (an exponent on light). Our choice.
const KEPT_RELIEF: f64 = 0.55;
/// How much of the light on the highest edges a nearly dry brush leaves. Our choice.
const DRY_BRUSHED: f64 = 0.55;
/// What lies outside the region fades towards the page's grey by this much. Our choice.
const FADED: f64 = 0.6;
const PAGE_GREY: f64 = 119.0;
const QUALITY: u8 = 70;

/// The clean state and the state under the film.
///
/// Recesses are found by the black top-hat transform of lightness, closing less the picture itself, and pale ones by
/// the white top-hat; the deeper, the thicker the film. Shading stays, as it is the light that makes it.
///
/// # Errors
/// [`PhotoError::Damaged`] when the pictures cannot be encoded.
///
/// # Source
/// Top-hat: Meyer 1979; Serra 1982, *Image Analysis and Mathematical Morphology*. From memory, not re-read.
pub fn clean_and_dirtied(
    small: &SmallPicture,
    shown: PictureOf,
    recesses: Recesses,
    laid: &FilmColours,
) -> Result<[SmallJpeg; 2], PhotoError> {
    let (width, height) = (small.image.width() as usize, small.image.height() as usize);
    let lightness = small.image.pixels();
    let lightness = lightness.map(|pixel| cube_root(luminance(Srgb8(pixel.0).to_linear())));
    let lightness: Vec<f64> = lightness.collect();
    let reach = (width.max(height) / WINDOW).max(2);
    // A clean model is never paler in its joints: there they are told by their shade, whatever will be laid.
    let recesses = match shown {
        PictureOf::StandIn => recesses,
        PictureOf::CleanModel => Recesses::Dark,
    };
    let hat = top_hat(&lightness, width, reach, recesses);
    let depth = depths(&hat, &small.counts, width);
    let filled = |(l, hat): (&f64, &f64)| match recesses {
        Recesses::Dark => l + SMOOTHED * hat,
        Recesses::Pale => l - SMOOTHED * hat,
    };
    let smooth: Vec<f64> = lightness.iter().zip(&hat).map(filled).collect();
    let usual = mean_where(&smooth, &small.counts).max(1e-3);
    let raised = laid.edges.map(|light| {
        let hat = top_hat(&lightness, width, reach, Recesses::Pale);
        (light, depths(&hat, &small.counts, width))
    });
    let mut before = small.image.clone();
    let mut after = small.image.clone();
    let pixels = before.pixels_mut().zip(after.pixels_mut());
    for (at, (before, after)) in pixels.enumerate() {
        if !small.counts[at] {
            before.0 = before.0.map(faded);
            after.0 = before.0;
            continue;
        }
        let mut film = between(&laid.films, depth[at]);
        if let Some((light, raised)) = &raised {
            film = between(&[film, *light], DRY_BRUSHED * raised[at]);
        }
        match shown {
            PictureOf::StandIn => {
                let shade = (smooth[at] / usual)
                    .powf(3.0 * KEPT_RELIEF)
                    .clamp(0.35, 1.7);
                before.0 = scaled(laid.base, shade).encode().0;
                after.0 = scaled(film, shade).encode().0;
            }
            // Clean it is as it is.
            PictureOf::CleanModel => {
                let seen = Srgb8(before.0).to_linear();
                after.0 = under_film(seen, film, laid.base).encode().0;
            }
        }
    }
    Ok([
        encoded_small(&before, QUALITY)?,
        encoded_small(&after, QUALITY)?,
    ])
}

fn faded(channel: u8) -> u8 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between two values of 0 to 255"
    )]
    let faded = (f64::from(channel) + FADED * (PAGE_GREY - f64::from(channel))).round() as u8;
    faded
}

fn luminance(rgb: LinearSrgb) -> f64 {
    // Y of IEC 61966-2-1 primaries.
    (0.2126 * rgb.r + 0.7152 * rgb.g + 0.0722 * rgb.b).max(0.0)
}

fn scaled(rgb: LinearSrgb, by: f64) -> LinearSrgb {
    LinearSrgb {
        r: rgb.r * by,
        g: rgb.g * by,
        b: rgb.b * by,
    }
}

/// The colour of the film at a depth of 0 to 1.
fn between(films: &[LinearSrgb], depth: f64) -> LinearSrgb {
    #[expect(clippy::cast_precision_loss, reason = "a few colours")]
    let place = depth.clamp(0.0, 1.0) * (films.len().max(1) - 1) as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place among a few colours"
    )]
    let below = place.floor() as usize;
    let (one, other) = (films[below], films[(below + 1).min(films.len() - 1)]);
    let part = place.fract();
    LinearSrgb {
        r: one.r + part * (other.r - one.r),
        g: one.g + part * (other.g - one.g),
        b: one.b + part * (other.b - one.b),
    }
}

fn mean_where(values: &[f64], counts: &[bool]) -> f64 {
    let counted = || values.iter().zip(counts).filter(|(_, counts)| **counts);
    #[expect(clippy::cast_precision_loss, reason = "pixels of a small copy")]
    let n = counted().count().max(1) as f64;
    counted().map(|(v, _)| v).sum::<f64>() / n
}

/// Depth 0..1 from the top-hat: the deepest hundredths are 1, noise below a tenth of that is 0, edges a little soft.
fn depths(hat: &[f64], counts: &[bool], width: usize) -> Vec<f64> {
    let own = hat.iter().zip(counts).filter(|(_, counts)| **counts);
    let mut own: Vec<f64> = own.map(|(hat, _)| *hat).collect();
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place among the pixels of a small copy"
    )]
    let place = ((1.0 - DEEPEST) * own.len() as f64) as usize;
    let deep = if place < own.len() {
        *own.select_nth_unstable_by(place, f64::total_cmp).1
    } else {
        0.0
    };
    let deep = deep.max(1e-6);
    let sharp = hat
        .iter()
        .map(|hat| ((hat / deep - 0.1) / 0.9).clamp(0.0, 1.0));
    let mut depths = ByPlace::new(sharp.collect(), width);
    depths.soften(1);
    depths.values
}

/// A pixel of a clean model as it looks under a film that makes its base look so.
fn under_film(seen: LinearSrgb, film: LinearSrgb, base: LinearSrgb) -> LinearSrgb {
    let ratio = |film: f64, base: f64| film / base.max(0.004);
    LinearSrgb {
        r: seen.r * ratio(film.r, base.r),
        g: seen.g * ratio(film.g, base.g),
        b: seen.b * ratio(film.b, base.b),
    }
}

/// Closing less the picture, or the picture less its opening, by a flat square; the closing is softened, so that the
/// square leaves no corners.
fn top_hat(values: &[f64], width: usize, reach: usize, sought: Recesses) -> Vec<f64> {
    let turned = |v: &f64| match sought {
        Recesses::Dark => *v,
        Recesses::Pale => -*v,
    };
    let mut closed = ByPlace::new(values.iter().map(turned).collect(), width);
    // No value is no number, so a plain comparison will do, and several are done at a time.
    closed.join(reach, f64::NEG_INFINITY, |a, b| if b > a { b } else { a });
    closed.join(reach, f64::INFINITY, |a, b| if b < a { b } else { a });
    closed.soften(reach);
    closed.soften(reach);
    for (closed, v) in closed.values.iter_mut().zip(values) {
        *closed = (*closed - turned(v)).max(0.0);
    }
    closed.values
}

/// Places of a row that are worked out at once.
const LANES: usize = 8;

/// A value at each place of a small picture, row by row.
struct ByPlace {
    width: usize,
    values: Vec<f64>,
    /// Room for as many.
    room: Vec<f64>,
}

impl ByPlace {
    fn new(values: Vec<f64>, width: usize) -> Self {
        Self {
            width: width.max(1),
            room: vec![0.0; values.len()],
            values,
        }
    }

    /// At each place what `by` makes of `from` and the values of a square window about it, rows first, from left to right, then
    /// columns from top to bottom. `by` makes of anything and `from` the same thing.
    fn join(&mut self, reach: usize, from: f64, by: impl Fn(f64, f64) -> f64) {
        self.across(reach, from, &by);
        self.down(reach, from, by);
    }

    /// The mean of a square window.
    fn soften(&mut self, reach: usize) {
        #[expect(clippy::cast_precision_loss, reason = "a few pixels")]
        let in_window = |at: usize, count: usize| {
            ((at + reach + 1).min(count) - at.saturating_sub(reach)) as f64
        };
        let (width, height) = (self.width, self.values.len() / self.width);
        let of_row: Vec<f64> = (0..width).map(|x| in_window(x, width)).collect();
        self.across(reach, 0.0, |sum, v| sum + v);
        for row in self.room.chunks_exact_mut(width) {
            for (v, n) in row.iter_mut().zip(&of_row) {
                *v /= n;
            }
        }
        self.down(reach, 0.0, |sum, v| sum + v);
        for (y, row) in self.values.chunks_exact_mut(width).enumerate() {
            let n = in_window(y, height);
            for v in row {
                *v /= n;
            }
        }
    }

    /// The windows of rows, into the room.
    fn across(&mut self, reach: usize, from: f64, by: impl Fn(f64, f64) -> f64) {
        let width = self.width;
        // Nothing on both sides, and for the places behind the last whole set of lanes.
        let mut wide = vec![from; width + 2 * reach + LANES];
        let rows = self.values.chunks_exact(width);
        for (out, row) in self.room.chunks_exact_mut(width).zip(rows) {
            wide[reach..reach + width].copy_from_slice(row);
            for (x, out) in (0..).step_by(LANES).zip(out.chunks_mut(LANES)) {
                let near = wide[x..x + 2 * reach + LANES].windows(LANES);
                out.copy_from_slice(&joined(near, from, &by)[..out.len()]);
            }
        }
    }

    /// The windows of columns, out of the room.
    fn down(&mut self, reach: usize, from: f64, by: impl Fn(f64, f64) -> f64) {
        let width = self.width;
        let rows: Vec<&[f64]> = self.room.chunks_exact(width).collect();
        for x in (0..width).step_by(LANES) {
            let lanes = x..(x + LANES).min(width);
            for (y, out) in self.values.chunks_exact_mut(width).enumerate() {
                let near = &rows[y.saturating_sub(reach)..(y + reach + 1).min(rows.len())];
                let near = near.iter().map(|row| &row[lanes.clone()]);
                let joined = joined(near, from, &by);
                out[lanes.clone()].copy_from_slice(&joined[..lanes.len()]);
            }
        }
    }
}

/// What `by` makes of `from` and the values of each lane.
fn joined<'a>(
    near: impl Iterator<Item = &'a [f64]>,
    from: f64,
    by: impl Fn(f64, f64) -> f64,
) -> [f64; LANES] {
    let mut lanes = [from; LANES];
    for values in near {
        for (lane, v) in lanes.iter_mut().zip(values) {
            *lane = by(*lane, *v);
        }
    }
    lanes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_row_by_row_are_those_place_by_place() {
        let (width, height) = (23, 17);
        let values: Vec<f64> = (0..width * height)
            .map(|i: u32| (f64::from(i) * 0.618).fract() - 0.3)
            .collect();
        let (width, height) = (width as usize, height as usize);
        for reach in [1, 4, 19, 40] {
            let near =
                |at: usize, count: usize| at.saturating_sub(reach)..(at + reach + 1).min(count);
            let plain = |values: &[f64], fold: &dyn Fn(Vec<f64>) -> f64| -> Vec<f64> {
                let at = |i: usize| (i % width, i / width);
                let rows: Vec<f64> = (0..values.len())
                    .map(|i| {
                        fold(
                            near(at(i).0, width)
                                .map(|x| values[at(i).1 * width + x])
                                .collect(),
                        )
                    })
                    .collect();
                (0..values.len())
                    .map(|i| {
                        fold(
                            near(at(i).1, height)
                                .map(|y| rows[y * width + at(i).0])
                                .collect(),
                        )
                    })
                    .collect()
            };
            let mean =
                |v: Vec<f64>| v.iter().sum::<f64>() / f64::from(u32::try_from(v.len()).unwrap());
            let mut softened = ByPlace::new(values.clone(), width);
            softened.soften(reach);
            assert!(softened.values == plain(&values, &mean));
            let most = |v: Vec<f64>| v.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let mut found = ByPlace::new(values.clone(), width);
            found.join(reach, f64::NEG_INFINITY, |a, b| if b > a { b } else { a });
            assert!(found.values == plain(&values, &most));
        }
    }

    /// Grey bricks with joints two pixels wide, eight apart.
    fn wall(joint: u8) -> SmallPicture {
        let rgb = (0..64 * 64)
            .flat_map(|at| {
                let (x, y) = (at % 64, at / 64);
                let grey = if x % 16 < 2 || y % 8 < 2 { joint } else { 140 };
                [grey; 3]
            })
            .collect();
        let picture = Picture::from_srgb8(64, 64, rgb).unwrap();
        small_picture(&picture, &Region::whole(), 64).unwrap()
    }

    fn pixel(jpeg: &SmallJpeg, x: u32, y: u32) -> f64 {
        let image = image::load_from_memory(&jpeg.bytes).unwrap().to_rgb8();
        f64::from(image.get_pixel(x, y).0[1])
    }

    fn grey(v: f64) -> LinearSrgb {
        LinearSrgb { r: v, g: v, b: v }
    }

    #[test]
    fn a_dark_film_lies_thick_in_dark_joints_and_pale_mortar_in_pale_ones() {
        for (joint, recesses, deep) in [(60, Recesses::Dark, 0.03), (220, Recesses::Pale, 0.6)] {
            let laid = FilmColours {
                base: grey(0.2),
                films: vec![grey(0.2), grey(deep)],
                edges: None,
            };
            let [before, after] =
                clean_and_dirtied(&wall(joint), PictureOf::StandIn, recesses, &laid).unwrap();
            let change = |x, y| pixel(&after, x, y) - pixel(&before, x, y);
            let (on_flat, in_joint) = (change(24, 29), change(24, 33));
            assert!(on_flat.abs() < 25.0, "{joint}: {on_flat}");
            if recesses == Recesses::Dark {
                assert!(in_joint < on_flat - 20.0, "{in_joint} {on_flat}");
            } else {
                assert!(in_joint > on_flat + 20.0, "{in_joint} {on_flat}");
            }
        }
    }

    #[test]
    fn a_clean_model_is_shown_as_it_is() {
        let laid = FilmColours {
            base: grey(0.26),
            films: vec![grey(0.2), grey(0.05)],
            edges: None,
        };
        let [before, after] =
            clean_and_dirtied(&wall(90), PictureOf::CleanModel, Recesses::Dark, &laid).unwrap();
        assert!((pixel(&before, 24, 29) - 140.0).abs() < 12.0);
        assert!(pixel(&after, 24, 33) < pixel(&before, 24, 33) - 20.0);
    }
}
