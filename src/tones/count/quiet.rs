//! How the places of a picture look without grain and without their neighbours.
//!
//! In: a grid of colours, codes of 0 to 255. Out: for each place its quiet colour, and whether it is mixed. Lens and
//! JPEG mix light across every border, so a large part of a brick wall in a photo is neither brick nor mortar.

use super::grid::{Grid, GridLine, PAD};
use super::thin;
use std::ops::Range;

/// What a place looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::tones) struct Quiet {
    /// Its colour; of a mixed place that of the side it is more of.
    pub(in crate::tones) colour: [f32; 3],
    /// What it is.
    pub(in crate::tones) kind: PlaceKind,
    /// Nothing about it is of one colour.
    pub(in crate::tones) restless: bool,
}

/// What a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::tones) enum PlaceKind {
    /// Of one colour.
    Plain,
    /// The middle of something thin.
    Thin,
    /// It lies between two sides.
    Mixed,
}

/// Red, green, blue and a fourth thing, each in its own list: loops over these are done several places at a time.
type Planes = [Vec<f32>; 4];

/// A stretch of each.
fn parts(planes: &Planes, of: Range<usize>) -> [&[f32]; 4] {
    planes.each_ref().map(|plane| &plane[of.clone()])
}

/// At each place the sum over some places from there on.
fn summed(planes: &Planes, steps: [usize; 3], sums: &mut Planes) {
    let count = planes[0].len().saturating_sub(steps[2]);
    for (plane, sums) in planes.iter().zip(sums) {
        let [one, two, three] = steps.map(|step| &plane[step.min(plane.len())..][..count]);
        sums.clear();
        sums.extend((0..count).map(|i| one[i] + two[i] + three[i]));
    }
}

/// At each place the sum over five places of a line that begins there.
fn fives(planes: [&[f32]; 4], step: usize, sums: &mut Planes) {
    let count = planes[0].len().saturating_sub(4 * step);
    for (plane, sums) in planes.into_iter().zip(sums) {
        let [one, two, three, four, five] =
            std::array::from_fn(|k| &plane[(k * step).min(plane.len())..][..count]);
        sums.clear();
        sums.extend((0..count).map(|i| (one[i] + two[i]) + (three[i] + four[i]) + five[i]));
    }
}

/// Turns sums over this many places, the last those of all squares, to means and their variance.
fn means_and_variance(sums: &mut Planes, count: f32) {
    let (by, spread) = (1.0 / count, 1.0 / (count - 1.0));
    let all = sums[0].len();
    let [r, g, b, squares] = sums.each_mut().map(|plane| &mut plane[..all]);
    for i in 0..all {
        let mean = [r[i] * by, g[i] * by, b[i] * by];
        let squared = mean[0] * mean[0] + mean[1] * mean[1] + mean[2] * mean[2];
        squares[i] = (squares[i] - count * squared).max(0.0) * spread;
        [r[i], g[i], b[i]] = mean;
    }
}

/// Number of places to compare in parallel.
const LANES: usize = 8;

/// Takes what varies less than the best there was; the first of both is for the same place.
fn take_quieter(best: [&mut [f32]; 4], windows: [&[f32]; 4]) {
    let count = windows[0].len().min(best[0].len());
    let [r, g, b, least] = best.map(|plane| plane[..count].as_chunks_mut::<LANES>());
    let [mr, mg, mb, variance] = windows.map(|plane| plane[..count].as_chunks::<LANES>());
    let fours = variance.0.iter().zip(mr.0).zip(mg.0).zip(mb.0);
    let bests = least.0.iter_mut().zip(r.0).zip(g.0).zip(b.0);
    for ((((variance, mr), mg), mb), (((least, r), g), b)) in fours.zip(bests) {
        let is_quieter: [bool; LANES] = std::array::from_fn(|i| variance[i] < least[i]);
        for (best, window) in [(least, variance), (r, mr), (g, mg), (b, mb)] {
            *best = std::array::from_fn(|i| if is_quieter[i] { window[i] } else { best[i] });
        }
    }
    for i in 0..variance.1.len() {
        if variance.1[i] < least.1[i] {
            least.1[i] = variance.1[i];
            (r.1[i], g.1[i], b.1[i]) = (mr.1[i], mg.1[i], mb.1[i]);
        }
    }
}

/// Number of rows to look at together, so that their sums stay in fast memory. Our choice.
const ROWS: usize = 16;

/// What is summed of some rows.
#[derive(Default)]
struct Windows {
    /// The places themselves, squares last.
    all: Planes,
    across: Planes,
    squares: Planes,
    lines: Planes,
    best: Planes,
}

impl Windows {
    /// The quietest windows about `places` of a grid; afterwards in `best`.
    fn look_at(&mut self, grid: &Grid, places: Range<usize>) {
        let width = grid.width;
        let reach = 2 * width + 2;
        let seen = places.start.saturating_sub(reach)..(places.end + reach).min(grid.at.len());
        for (c, plane) in self.all.iter_mut().enumerate() {
            let at = grid.at[seen.clone()].iter();
            plane.clear();
            // Places that do not count spoil every window they are in.
            plane.extend(at.map(|place| match place {
                [r, g, b, n] if c == 3 => {
                    let squares = r * r + g * g + b * b;
                    if *n > 0.0 { squares } else { f32::INFINITY }
                }
                _ => place[c],
            }));
        }
        let own = places.start - seen.start..places.end - seen.start;
        for (best, all) in self.best.iter_mut().zip(parts(&self.all, own.clone())) {
            best.clear();
            best.extend_from_slice(all);
        }
        self.best[3].fill(f32::INFINITY);
        summed(&self.all, [0, 1, 2], &mut self.across);
        // The first square is about the second place of the second row.
        summed(&self.across, [0, width, 2 * width], &mut self.squares);
        means_and_variance(&mut self.squares, 9.0);
        for corner in [width + 1, 0, 2, 2 * width, 2 * width + 2] {
            take(&mut self.best, own.start, &self.squares, corner);
        }
        for step in [1, width, width + 1, width - 1] {
            let from = own.start.saturating_sub(2 * step);
            let line = from..(own.end + 2 * step).min(seen.len());
            fives(parts(&self.all, line), step, &mut self.lines);
            means_and_variance(&mut self.lines, 5.0);
            take(&mut self.best, own.start, &self.lines, from + 2 * step);
        }
    }
}

/// The first of `best` is for the place `own`, the first of `windows` for the place `from`.
fn take(best: &mut Planes, own: usize, windows: &Planes, from: usize) {
    let later = from.saturating_sub(own).min(best[0].len());
    let earlier = own.saturating_sub(from).min(windows[0].len());
    let best = best.each_mut().map(|plane| &mut plane[later..]);
    take_quieter(best, parts(windows, earlier..windows[0].len()));
}

impl Grid {
    /// Each place takes the mean of the quietest of nine windows about it: five squares of 3 by 3 (about it, and those that
    /// touch it with a corner) and four lines of 5. Gives also how much that window varies, codes squared.
    ///
    /// # Source
    /// Kuwahara, Hachimura, Eiho and Kinoshita 1976, *Processing of RI-angiocardiographic images*; lines added here, for
    /// joints and wires are thinner than any square.
    fn quieted(&self) -> (Self, Vec<f32>) {
        self.quieted_by(ROWS)
    }

    /// Quietens this many rows at a time.
    fn quieted_by(&self, rows: usize) -> (Self, Vec<f32>) {
        let all = self.at.len();
        let (mut at, mut varies) = (Vec::with_capacity(all), Vec::with_capacity(all));
        let mut windows = Windows::default();
        let at_once = (rows * self.width).max(1);
        for from in (0..all).step_by(at_once) {
            let places = from..(from + at_once).min(all);
            windows.look_at(self, places.clone());
            let [r, g, b, variance] = &windows.best;
            let own = self.at[places].iter().zip(r).zip(g).zip(b);
            at.extend(own.map(|(((own, r), g), b)| [*r, *g, *b, own[3]]));
            varies.extend_from_slice(variance);
        }
        let width = self.width;
        (Self { width, at }, varies)
    }

    /// Row by row, without the padding above and below, for each place its quiet colour, and what it is.
    pub(in crate::tones) fn quiet(&self) -> Vec<Quiet> {
        let (once, varies) = self.quieted();
        let (quiet, _) = once.quieted();
        let inside = PAD * self.width..self.at.len().saturating_sub(PAD * self.width);
        let lines = self.lines();
        let thin = thin::colours(self, &quiet, &lines, inside.clone());
        inside
            .enumerate()
            .map(|(i, place)| match thin[i] {
                Some(own) => Quiet {
                    colour: thin::with_its_like(&thin, self.width, i, own),
                    kind: PlaceKind::Thin,
                    restless: false,
                },
                None => Quiet {
                    restless: varies[place] > RESTLESS,
                    ..quiet.without_neighbours(&lines, place)
                },
            })
            .collect()
    }

    /// A place on the way from one colour to another, two steps away on either side, is mixed.
    fn without_neighbours(&self, lines: &[GridLine; 4], place: usize) -> Quiet {
        let [r, g, b, n] = self.at[place];
        let own = [r, g, b];
        let mut steepest = (BORDER, None);
        for line in lines.iter().filter(|_| n > 0.0) {
            if let (Some(one), Some(other)) = (
                self.seen(place, -2 * line.along),
                self.seen(place, 2 * line.along),
            ) {
                let length = squared(one, other);
                if length > steepest.0 {
                    let (near, far) = (squared(own, one), squared(own, other));
                    if near.max(far) < length && near.min(far) > PART * length {
                        steepest = (length, Some(if near <= far { one } else { other }));
                    }
                }
            }
        }
        Quiet {
            colour: steepest.1.unwrap_or(own),
            kind: steepest.1.map_or(PlaceKind::Plain, |_| PlaceKind::Mixed),
            restless: false,
        }
    }
}

/// Two sides so far apart (squared codes) are two.
const BORDER: f32 = 18.0 * 18.0;
/// Where even the quietest window varies more than one of two such sides, half and half, no colour is seen from near.
const RESTLESS: f32 = BORDER / 4.0;
/// A place nearer to a side than this part (squared) of the way is that side's.
const PART: f32 = 0.15 * 0.15;

fn squared(a: [f32; 3], b: [f32; 3]) -> f32 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each window by itself, as described above.
    fn plainly(grid: &Grid, place: usize) -> [f32; 4] {
        let width = grid.width.cast_signed();
        let square = |middle: isize| -> Vec<isize> {
            let rows = (-1..=1).flat_map(|y| (-1..=1).map(move |x| (x, y)));
            rows.map(|(x, y)| middle + y * width + x).collect()
        };
        let squares = [0, width + 1, width - 1, 1 - width, -width - 1].map(square);
        let lines = [1, width, width + 1, width - 1];
        let lines = lines.map(|step| (-2..=2).map(|i| i * step).collect::<Vec<isize>>());
        let [r, g, b, _] = grid.at[place];
        let mut best = [r, g, b, f32::INFINITY];
        for window in squares.iter().chain(&lines) {
            let places: Option<Vec<[f32; 4]>> = window
                .iter()
                .map(|step| grid.at.get(place.checked_add_signed(*step)?).copied())
                .collect();
            let Some(places) = places.filter(|all| all.iter().all(|place| place[3] > 0.0)) else {
                continue;
            };
            let count = f32::from(u8::try_from(places.len()).unwrap());
            let mean = |c: usize| places.iter().map(|place| place[c]).sum::<f32>() / count;
            let mean = [mean(0), mean(1), mean(2)];
            let off = |place: &[f32; 4]| (0..3).map(|c| (place[c] - mean[c]).powi(2)).sum::<f32>();
            let variance = places.iter().map(off).sum::<f32>() / (count - 1.0);
            if variance < best[3] {
                best = [mean[0], mean[1], mean[2], variance];
            }
        }
        best
    }

    #[test]
    fn rows_looked_at_together_show_what_each_place_shows_by_itself() {
        let (width, height) = (23_usize, 41_usize);
        let mut seed = 26_u32;
        let mut code = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f32::from(u8::try_from(seed >> 24).unwrap())
        };
        let at: Vec<[f32; 4]> = (0..width * height)
            .map(|place| {
                let counts = place % 17 != 5 && place % width > 2;
                [code(), code(), code(), f32::from(u8::from(counts))]
            })
            .collect();
        let grid = Grid { width, at };
        let (whole, whole_varies) = grid.quieted_by(height);
        for rows in [1, 2, 3, 7, 16, 40] {
            let (quiet, varies) = grid.quieted_by(rows);
            assert_eq!(quiet.at, whole.at, "{rows}");
            assert_eq!(varies, whole_varies, "{rows}");
        }
        let mut judged = 0;
        for (place, (quiet, varies)) in whole.at.iter().zip(whole_varies).enumerate() {
            let [r, g, b, variance] = plainly(&grid, place);
            let off = (r - quiet[0]).abs().max((g - quiet[1]).abs());
            let off = off.max((b - quiet[2]).abs());
            if variance.is_finite() {
                // Two windows may vary alike but for rounding.
                assert!((variance - varies).abs() < 0.5, "{place}");
                judged += usize::from(off < 0.01);
            } else {
                assert!(off < 1e-6 && varies.is_infinite(), "{place}");
            }
        }
        assert!(2 * judged > grid.at.len(), "{judged}");
    }
}
