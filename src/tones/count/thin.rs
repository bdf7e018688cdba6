//! The true colour of thin things: joints, wires, veins.
//!
//! In a joint two pixels wide no pixel is all joint: the lens spreads its light over four, JPEG its hue over six. But
//! no light is lost: the light it adds to its surroundings, summed across it, stays the same. The profile shows the
//! width: the sum over its peak is the width of a broad joint, and more than the width of a thin one.

use super::grid::{Grid, GridLine, aside};
use std::ops::Range;

/// How many places from its middle the surroundings begin.
const SIDE: isize = 5;
/// The profile is the mean of this many places to either side along it.
const ALONG: isize = 2;
/// It differs from its surroundings by this many codes; both sides differ by at most this part of that from each other.
const CONTRAST: f32 = 8.0;
const ALIKE: f32 = 0.5;
/// A place this far below the peak of the profile is on its flank.
const FLANK: f32 = 0.7;
/// Spread of light by lens, sensor and rebuilding of colours, as a deviation in places. Our choice.
const SPREAD: f32 = 0.8;
/// Colour without lightness is spread farther, for JPEG keeps half of it. Our choice.
const HUE_SPREAD: f32 = 1.25;
/// What spreads wider than this is no thin thing.
const BROADEST: f32 = 5.0;
/// Most a peak is raised: anything thinner is beyond what can be seen.
const MOST: f32 = 1.6;

/// Lightness and the two differences of colour that JPEG keeps.
///
/// # Source
/// ITU-R BT.601, as used by JFIF.
fn parted([r, g, b]: [f32; 3]) -> [f32; 3] {
    let y = 0.299 * r + 0.587 * g + 0.114 * b;
    [y, 0.564 * (b - y), 0.713 * (r - y)]
}

fn joined([y, cb, cr]: [f32; 3]) -> [f32; 3] {
    let (r, b) = (y + cr / 0.713, y + cb / 0.564);
    [r, (y - 0.299 * r - 0.114 * b) / 0.587, b]
}

fn squared(v: [f32; 3]) -> f32 {
    v.iter().map(|v| v * v).sum()
}

fn length(v: [f32; 3]) -> f32 {
    squared(v).sqrt()
}

fn minus(a: [f32; 3], b: [f32; 3]) -> [f32; 3] {
    std::array::from_fn(|i| a[i] - b[i])
}

/// The own colour of each of these places where it is in the middle of something thin; `None` of other places.
pub(in crate::tones) fn colours(
    grid: &Grid,
    quiet: &Grid,
    lines: &[GridLine; 4],
    places: Range<usize>,
) -> Vec<Option<[f32; 3]>> {
    if places.is_empty() {
        return Vec::new();
    }
    let across = may_be_thin(quiet, lines, &places);
    let places = places.zip(across);
    places
        .map(|(place, across)| (across > 0).then(|| colour(grid, quiet, lines, (place, across)))?)
        .collect()
}

/// For each place the lines, a bit each, along which it differs from its surroundings, and these do not from each other.
fn may_be_thin(quiet: &Grid, lines: &[GridLine; 4], places: &Range<usize>) -> Vec<u8> {
    let planes = quiet.counting_planes();
    let count = places.len();
    let mut across = vec![0_u8; count];
    for (bit, line) in lines.iter().enumerate() {
        let aside = |steps: isize| aside(&planes, places, steps * line.along);
        let (own, one, other) = (aside(0), aside(-SIDE), aside(SIDE));
        for (i, across) in across.iter_mut().enumerate() {
            let [own, one, other] = [own, one, other].map(|planes| planes.map(|plane| plane[i]));
            let (_, is_thin) = contrast(own, one, other);
            *across |= u8::from(is_thin) << bit;
        }
    }
    across
}

/// The mean of two sides, and whether a place differs from it, and they do not from each other.
#[inline]
fn contrast(own: [f32; 3], one: [f32; 3], other: [f32; 3]) -> ([f32; 3], bool) {
    let base: [f32; 3] = std::array::from_fn(|i| 0.5 * (one[i] + other[i]));
    let contrast = squared(minus(own, base));
    // No shortcut: several are done at a time.
    let is_thin = (contrast >= CONTRAST * CONTRAST)
        & (squared(minus(one, other)) <= ALIKE * ALIKE * contrast);
    (base, is_thin)
}

/// The own colour of a place, if it is in the middle of something thin across one of these lines.
fn colour(
    grid: &Grid,
    quiet: &Grid,
    lines: &[GridLine; 4],
    (place, across): (usize, u8),
) -> Option<[f32; 3]> {
    let own = quiet.seen(place, 0)?;
    lines
        .iter()
        .enumerate()
        .filter(|(bit, _)| across >> bit & 1 == 1)
        .filter_map(|(_, line)| {
            let one = quiet.seen(place, -SIDE * line.along)?;
            let other = quiet.seen(place, SIDE * line.along)?;
            let (base, _) = contrast(own, one, other);
            let profile = Profile::across(grid, place, line, base)?;
            Some((profile.width, profile.colour(own, base)?))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, colour)| colour)
}

/// This many places around it must be like it, which means no farther off than this many codes.
const LIKE_WITHIN: usize = 6;
const LIKE: f32 = 45.0;

/// The mean of similar thin places around a place: each alone is uncertain.
pub(in crate::tones) fn with_its_like(
    thin: &[Option<[f32; 3]>],
    width: usize,
    place: usize,
    own: [f32; 3],
) -> [f32; 3] {
    let (x, y) = (place % width, place / width);
    let (mut sum, mut count) = ([0.0; 3], 0.0_f32);
    for row in y.saturating_sub(LIKE_WITHIN)..(y + LIKE_WITHIN + 1).min(thin.len() / width) {
        let columns = x.saturating_sub(LIKE_WITHIN)..(x + LIKE_WITHIN + 1).min(width);
        for other in thin[row * width..][columns].iter().flatten() {
            if squared(minus(*other, own)) < LIKE * LIKE {
                for (sum, v) in sum.iter_mut().zip(other) {
                    *sum += v;
                }
                count += 1.0;
            }
        }
    }
    sum.map(|v| v / count.max(1.0))
}

/// What lies across something thin, over its surroundings.
struct Profile {
    /// Sum across it: lightness and hues.
    sum: [f32; 3],
    /// That sum over its peak, along its contrast.
    width: f32,
    /// True when lightness makes most of its contrast.
    by_lightness: bool,
    /// The peak along its contrast.
    peak: f32,
    along: [f32; 3],
}

impl Profile {
    fn across(grid: &Grid, place: usize, line: &GridLine, base: [f32; 3]) -> Option<Self> {
        let base = parted(base);
        let row = |j: isize| -> Option<[f32; 3]> {
            let mut sum = [0.0_f32; 4];
            for t in -ALONG..=ALONG {
                let [r, g, b, n] =
                    grid.at[place.wrapping_add_signed(j * line.along + t * line.across)];
                if n > 0.0 {
                    sum = [sum[0] + r, sum[1] + g, sum[2] + b, sum[3] + 1.0];
                }
            }
            let mean = || parted([sum[0], sum[1], sum[2]].map(|v| v / sum[3]));
            (sum[3] >= 1.0).then(|| minus(mean(), base))
        };
        // Most are on a flank, and that three rows tell.
        let top = [row(-1)?, row(0)?, row(1)?];
        let direction = top[1];
        let by_lightness = direction[0].abs() >= length([0.0, direction[1], direction[2]]);
        let unit = if by_lightness {
            [direction[0].signum(), 0.0, 0.0]
        } else {
            let long = length(direction).max(1e-3);
            direction.map(|v| v / long)
        };
        let over = |row: &[f32; 3]| -> f32 { row.iter().zip(unit).map(|(v, u)| v * u).sum() };
        let peak = top.iter().map(over).fold(0.0, f32::max);
        let is_flank = over(&direction) < FLANK * peak || peak < 0.5 * CONTRAST;
        if is_flank {
            return None;
        }
        let mut rows = [[0.0; 3]; 2 * SIDE.cast_unsigned() + 1];
        for (j, own) in (-SIDE..=SIDE).zip(&mut rows) {
            *own = match usize::try_from(j + 1) {
                Ok(at) if at < top.len() => top[at],
                _ => row(j)?,
            };
        }
        let sum: [f32; 3] =
            std::array::from_fn(|c| line.long * rows.iter().map(|row| row[c]).sum::<f32>());
        // Between two thin things the other way lies no thin thing, but what they lie in.
        let is_between = rows.iter().any(|row| over(row) < -ALIKE * peak);
        (!is_between).then(|| Self {
            width: over(&sum) / peak,
            sum,
            by_lightness,
            peak,
            along: unit,
        })
    }

    /// The colour it would have if it were broad.
    fn colour(&self, own: [f32; 3], base: [f32; 3]) -> Option<[f32; 3]> {
        let all: f32 = self.sum.iter().zip(self.along).map(|(v, u)| v * u).sum();
        if all <= 0.0 || self.width > BROADEST {
            return None;
        }
        let spread = if self.by_lightness {
            SPREAD
        } else {
            HUE_SPREAD
        };
        let raised = raised(self.width / spread);
        let own = minus(parted(own), parted(base));
        let peak: f32 = own.iter().zip(self.along).map(|(v, u)| v * u).sum();
        let peak = raised * peak.max(0.5 * self.peak);
        let full = self.sum.map(|v| v / all * peak);
        let base = parted(base);
        Some(joined(std::array::from_fn(|c| base[c] + full[c])).map(|v| v.clamp(0.0, 255.0)))
    }
}

/// How much higher the peak of a strip would be without spread, by its sum over its peak in deviations of the spread.
///
/// A strip of width w under a normal spread has the peak erf(w / √8); the sum is w.
fn raised(sum_over_peak: f32) -> f32 {
    // Pairs of that quotient and one over the peak, by widths of 0.5 to 6 in steps; from tables of the error function.
    const TABLE: [(f32, f32); 8] = [
        (2.56, 2.61),
        (2.75, 1.83),
        (2.93, 1.465),
        (3.17, 1.267),
        (3.46, 1.154),
        (3.81, 1.088),
        (4.19, 1.047),
        (5.06, 1.012),
    ];
    let mut before = (2.51, MOST);
    for (at, by) in TABLE {
        if sum_over_peak <= at {
            let part = ((sum_over_peak - before.0) / (at - before.0)).clamp(0.0, 1.0);
            return (before.1 + part * (by - before.1)).min(MOST);
        }
        before = (at, by);
    }
    1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const BODY: [f32; 3] = [150.0, 80.0, 60.0];
    const JOINT: [f32; 3] = [200.0, 190.0, 170.0];

    /// A joint down the middle of a grid, seen through a lens that spreads light by `SPREAD`.
    fn grid(joint: f32) -> Grid {
        let (width, height) = (21, 21);
        let part = |x: usize| {
            let steps = (-200_i16..200).map(|i| f32::from(i) / 40.0);
            let (mut all, mut on) = (0.0, 0.0);
            for off in steps {
                let weight = (-0.5 * (off / SPREAD).powi(2)).exp();
                all += weight;
                #[expect(clippy::cast_precision_loss, reason = "some columns")]
                let far = (x as f32 - 10.0 + off).abs();
                on += if far < 0.5 * joint { weight } else { 0.0 };
            }
            on / all
        };
        let row: Vec<[f32; 4]> = (0..width)
            .map(|x| {
                let [r, g, b]: [f32; 3] =
                    std::array::from_fn(|c| BODY[c] + part(x) * (JOINT[c] - BODY[c]));
                [r, g, b, 1.0]
            })
            .collect();
        Grid {
            width,
            at: row.repeat(height),
        }
    }

    #[test]
    fn a_thin_joint_has_its_own_colour_and_its_surroundings_have_none() {
        for joint in [1.6, 2.0, 3.0, 4.0] {
            let grid = grid(joint);
            let at = |x: usize| 10 * grid.width + x;
            let all = colours(&grid, &grid, &grid.lines(), at(10)..at(18));
            let own = all[0].unwrap();
            let off = length(minus(own, JOINT));
            let peak = length(minus(grid.seen(at(10), 0).unwrap(), JOINT));
            assert!(off < 12.0, "{joint}: {own:?}");
            assert!(off < peak + 3.0, "{joint}: {own:?} was {peak} off");
            assert_eq!(all[7], None);
        }
    }
}
