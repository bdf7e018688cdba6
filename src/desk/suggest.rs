//! Regions that may be surfaces: superpixels, joined where neighbours have one tone.

use super::small_copy::{as_f64, as_usize, labs_of};
use super::trace::{Mask, outlined};
use crate::colour::{LabD65, plain_name};
use crate::photo::Picture;
use crate::region::{Region, beside, pieces};

/// A region that may be a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// The region; small specks inside it are not left out.
    pub region: Region,
    /// Its mean colour.
    pub colour: LabD65,
    /// The name of that.
    pub name: &'static str,
    /// Its share of the photo.
    pub share: f64,
}

/// Pixels on which regions are looked for.
const WORKED_ON: f64 = 120_000.0;
/// Superpixels wanted.
const SUPERPIXELS: f64 = 500.0;
/// Compactness m of the paper, where 10 is usual.
const COMPACTNESS: f64 = 10.0;
/// Rounds; the paper finds ten enough.
const ROUNDS: usize = 10;
/// Neighbours nearer than this (CIELAB, lightness counting half) are one surface. Our choice.
const ONE_TONE: f64 = 7.0;
/// Lightness counts this much when neighbours are compared: a shadow is no other surface. Our choice.
const LIGHTNESS: f64 = 0.5;
/// Regions below this share of the photo are not suggested. Our choice.
const SMALLEST: f64 = 0.012;
/// Most regions that are suggested. Our choice.
const MOST: usize = 14;

/// A photo, small, in CIELAB.
struct Small {
    width: usize,
    height: usize,
    pixels: Vec<[f64; 3]>,
}

/// Regions of a picture that may be surfaces, the largest first; the same for the same picture.
///
/// # Source
/// Superpixels: Achanta, Shaji, Smith, Lucchi, Fua and Süsstrunk 2012, *SLIC superpixels compared to state-of-the-art
/// superpixel methods*. Joining neighbours by their mean tone, nearest pair first, is ours.
#[must_use]
pub fn suggestions(picture: &Picture) -> Vec<Suggestion> {
    let small = Small::of_picture(picture);
    let labels = superpixels(&small);
    let groups = joined(&small, &labels);
    let mut found: Vec<Suggestion> = groups
        .iter()
        .filter_map(|group| {
            let share = as_f64(group.pixels) / as_f64(small.pixels.len());
            if share < SMALLEST {
                return None;
            }
            let mask = Mask::new(small.width, small.height, |i| group.members[labels[i]]);
            let [l, a, b] = group.mean;
            let colour = LabD65 { l, a, b };
            Some(Suggestion {
                region: outlined(&mask)?,
                colour,
                name: plain_name(colour),
                share,
            })
        })
        .collect();
    found.sort_by(|a, b| b.share.total_cmp(&a.share));
    found.truncate(MOST);
    found
}

impl Small {
    /// Means of at most 4 x 4 samples a pixel, of encoded values: enough to find edges by.
    fn of_picture(picture: &Picture) -> Self {
        let step = (as_f64(picture.pixel_count()) / WORKED_ON).sqrt().max(1.0);
        let width = as_usize(as_f64(picture.width) / step).max(1);
        let height = as_usize(as_f64(picture.height) / step).max(1);
        let samples = as_usize(step).clamp(1, 4);
        let places = |at: usize, count: usize, length: usize| -> Vec<usize> {
            (0..samples)
                .map(|s| (at * samples + s) * length / (count * samples))
                .map(|i| i.min(length - 1))
                .collect()
        };
        let columns: Vec<Vec<usize>> = (0..width)
            .map(|x| places(x, width, picture.width))
            .collect();
        let mut encoded = Vec::with_capacity(width * height);
        for y in 0..height {
            let rows = places(y, height, picture.height);
            for columns in &columns {
                let mut sum = [0.0; 3];
                for row in &rows {
                    for column in columns {
                        for (sum, v) in sum.iter_mut().zip(picture.encoded(*row, *column)) {
                            *sum += v;
                        }
                    }
                }
                encoded.push(sum.map(|v| v / as_f64(samples * samples)));
            }
        }
        Self {
            width,
            height,
            pixels: labs_of(picture, &encoded),
        }
    }

    fn neighbours(&self, i: usize) -> impl Iterator<Item = usize> {
        beside(i, [self.width, self.height])
    }
}

/// A cluster's mean: L, a, b, x, y.
type Centre = [f64; 5];

/// The number of each pixel's superpixel; numbers are consecutive and each superpixel is of one piece.
fn superpixels(small: &Small) -> Vec<usize> {
    let spacing = (as_f64(small.pixels.len()) / SUPERPIXELS).sqrt().max(1.0);
    let across = as_usize(as_f64(small.width) / spacing).max(1);
    let down = as_usize(as_f64(small.height) / spacing).max(1);
    let mut centres: Vec<Centre> = (0..across * down)
        .map(|i| {
            let x = (2 * (i % across) + 1) * small.width / (2 * across);
            let y = (2 * (i / across) + 1) * small.height / (2 * down);
            let [l, a, b] = small.pixels[y * small.width + x];
            [l, a, b, as_f64(x), as_f64(y)]
        })
        .collect();
    let mut labels = vec![0; small.pixels.len()];
    for _ in 0..ROUNDS {
        assign(small, &centres, spacing, &mut labels);
        let mut sums = vec![([0.0; 5], 0_usize); centres.len()];
        for (i, label) in labels.iter().enumerate() {
            let [l, a, b] = small.pixels[i];
            let here = [l, a, b, as_f64(i % small.width), as_f64(i / small.width)];
            for (sum, v) in sums[*label].0.iter_mut().zip(here) {
                *sum += v;
            }
            sums[*label].1 += 1;
        }
        for (centre, (sum, count)) in centres.iter_mut().zip(sums) {
            if count > 0 {
                *centre = sum.map(|v| v / as_f64(count));
            }
        }
    }
    in_one_piece(small, &labels, as_usize(spacing * spacing / 4.0))
}

/// Gives each pixel to the nearest centre within reach: colour, and place weighed by compactness over spacing.
fn assign(small: &Small, centres: &[Centre], spacing: f64, labels: &mut [usize]) {
    let mut nearest = vec![f64::INFINITY; labels.len()];
    let weight = (COMPACTNESS / spacing).powi(2);
    for (label, [l, a, b, cx, cy]) in centres.iter().enumerate() {
        let window =
            |c: f64, length: usize| as_usize(c - spacing)..as_usize(c + spacing + 1.0).min(length);
        for y in window(*cy, small.height) {
            for x in window(*cx, small.width) {
                let i = y * small.width + x;
                let [pl, pa, pb] = small.pixels[i];
                let colour = (pl - l).powi(2) + (pa - a).powi(2) + (pb - b).powi(2);
                let place = (as_f64(x) - cx).powi(2) + (as_f64(y) - cy).powi(2);
                let distance = colour + weight * place;
                if distance < nearest[i] {
                    nearest[i] = distance;
                    labels[i] = label;
                }
            }
        }
    }
}

/// Numbers each piece again; pieces below `smallest` pixels go to the neighbour met first.
fn in_one_piece(small: &Small, labels: &[usize], smallest: usize) -> Vec<usize> {
    let mut numbers: Vec<Option<usize>> = vec![None; labels.len()];
    let mut count = 0;
    for piece in pieces([small.width, small.height], |at| Some(labels[at])) {
        let beside = small.neighbours(piece[0]).find_map(|at| numbers[at]);
        let number = beside.filter(|_| piece.len() < smallest).unwrap_or(count);
        count += usize::from(number == count);
        for at in piece {
            numbers[at] = Some(number);
        }
    }
    numbers.into_iter().flatten().collect()
}

/// Superpixels that are one surface.
struct SuperpixelGroup {
    /// Which superpixels belong to it.
    members: Vec<bool>,
    mean: [f64; 3],
    pixels: usize,
}

/// Joins neighbouring superpixels, the nearest pair first, until all neighbours differ.
fn joined(small: &Small, labels: &[usize]) -> Vec<SuperpixelGroup> {
    let count = labels.iter().max().map_or(0, |most| most + 1);
    let mut groups: Vec<SuperpixelGroup> = (0..count)
        .map(|i| SuperpixelGroup {
            members: (0..count).map(|j| i == j).collect(),
            mean: [0.0; 3],
            pixels: 0,
        })
        .collect();
    let mut beside = vec![vec![false; count]; count];
    for (i, label) in labels.iter().enumerate() {
        let group = &mut groups[*label];
        for (sum, v) in group.mean.iter_mut().zip(small.pixels[i]) {
            *sum += v;
        }
        group.pixels += 1;
        for other in small.neighbours(i) {
            beside[*label][labels[other]] = *label != labels[other];
        }
    }
    for group in &mut groups {
        group.mean = group.mean.map(|sum| sum / as_f64(group.pixels.max(1)));
    }
    while let Some((a, b)) = nearest_pair(&groups, &beside) {
        let [one, other] = [a, b].map(|g| as_f64(groups[g].pixels));
        let mean = std::array::from_fn(|c| {
            (groups[a].mean[c] * one + groups[b].mean[c] * other) / (one + other)
        });
        let gone = groups[b].members.clone();
        for (member, more) in groups[a].members.iter_mut().zip(gone) {
            *member |= more;
        }
        groups[a].mean = mean;
        groups[a].pixels += groups[b].pixels;
        groups[b].pixels = 0;
        let neighbours = std::mem::replace(&mut beside[b], vec![false; count]);
        for (c, touches) in neighbours.into_iter().enumerate() {
            let touches = touches && c != a;
            beside[a][c] |= touches;
            beside[c][a] |= touches;
            beside[c][b] = false;
        }
    }
    groups
}

/// Neighbours of one tone that are nearest to each other.
fn nearest_pair(groups: &[SuperpixelGroup], beside: &[Vec<bool>]) -> Option<(usize, usize)> {
    let mut nearest = (ONE_TONE * ONE_TONE, None);
    for (a, row) in beside.iter().enumerate() {
        for b in (a + 1..groups.len()).filter(|b| row[*b]) {
            let [dl, da, db] = std::array::from_fn(|c| groups[a].mean[c] - groups[b].mean[c]);
            let distance = (LIGHTNESS * dl).powi(2) + da * da + db * db;
            if distance < nearest.0 {
                nearest = (distance, Some((a, b)));
            }
        }
    }
    nearest.1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grey ground with a red square in its middle, and in that a green one, with a little noise.
    fn drawn() -> Picture {
        let mut noise = 7_u32;
        let rgb: Vec<u8> = (0..400 * 300_usize)
            .flat_map(|i| {
                let (x, y) = (i % 400, i / 400);
                let within = |l: usize, t: usize, r: usize, b: usize| {
                    (l..r).contains(&x) && (t..b).contains(&y)
                };
                let colour: [u8; 3] = if within(180, 130, 220, 170) {
                    [60, 120, 60]
                } else if within(100, 75, 300, 225) {
                    [150, 70, 55]
                } else {
                    [130, 130, 128]
                };
                colour.map(|v| {
                    noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    v + u8::try_from(noise >> 29).unwrap()
                })
            })
            .collect();
        Picture::from_srgb8(400, 300, rgb).unwrap()
    }

    #[test]
    fn drawn_surfaces_are_found_with_what_lies_in_them() {
        let found = suggestions(&drawn());
        assert_eq!(found.len(), 3, "{found:?}");
        let (ground, red, green) = (&found[0], &found[1], &found[2]);
        assert_eq!(ground.region.leave_out.len(), 1);
        assert_eq!(red.region.leave_out.len(), 1);
        assert!(green.region.leave_out.is_empty());
        for (found, [l, t, r, b]) in [
            (red, [0.25, 0.25, 0.75, 0.75]),
            (green, [0.45, 0.433, 0.55, 0.567]),
        ] {
            let bounds = found.region.outline.bounds();
            for (is, should) in bounds.iter().zip([l, t, r, b]) {
                assert!((is - should).abs() < 0.02, "{bounds:?}");
            }
        }
        assert!(
            red.name.contains("red") || red.name.contains("brown"),
            "{}",
            red.name
        );
    }

    #[test]
    fn one_pixel_and_one_colour_are_no_trouble() {
        let pixel = Picture::from_srgb8(1, 1, vec![9, 9, 9]).unwrap();
        assert!(suggestions(&pixel).len() <= 1);
        let flat = Picture::from_srgb8(90, 3, [80, 90, 100].repeat(270)).unwrap();
        assert!(suggestions(&flat).len() <= 1);
    }
}
