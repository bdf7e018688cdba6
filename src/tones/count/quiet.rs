//! How the places of a picture look without grain and without their neighbours.
//!
//! In: a grid of colours, codes of 0 to 255. Out: for each place its quiet colour, and whether it is mixed. Lens and
//! JPEG mix light across every border, so a large part of a brick wall in a photo is neither brick nor mortar.

use super::grid::{Grid, PAD, aside};
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

/// Number of places to look at together.
const RUN: usize = 128;

/// As many places of a plane, from one on.
fn run(plane: &[f32], from: usize) -> &[f32; RUN] {
    const BEYOND: [f32; RUN] = [f32::INFINITY; RUN];
    let run = plane.get(from..).and_then(|rest| rest.first_chunk());
    run.unwrap_or(&BEYOND)
}

/// At each place the sum over three places from there on.
fn threes(planes: &Planes, step: usize, sums: &mut Planes) {
    let count = planes[0].len().saturating_sub(2 * step);
    for (plane, sums) in planes.iter().zip(sums) {
        let [one, two, three] = [0, step, 2 * step].map(|from| &plane[from..][..count]);
        sums.clear();
        sums.extend((0..count).map(|i| one[i] + two[i] + three[i]));
    }
}

/// The mean and the variance of this many places, by the sums of their colours and squares.
#[inline]
fn mean_and_variance([r, g, b, squares]: [f32; 4], count: f32) -> [f32; 4] {
    let (by, spread) = (1.0 / count, 1.0 / (count - 1.0));
    let [r, g, b] = [r * by, g * by, b * by];
    let squared = r * r + g * g + b * b;
    [r, g, b, (squares - count * squared).max(0.0) * spread]
}

/// Number of rows to take in together, so that their sums stay in fast memory. Our choice, by timing.
const ROWS: usize = 16;

/// What is summed of some rows.
#[derive(Default)]
struct Windows {
    /// The places themselves, squares last, and all that windows about them reach; what lies beyond the grid does not count.
    all: Planes,
    across: Planes,
    /// Squares of nine places, by their first: mean and variance. Behind them room for the lines of a run, and for its own colours.
    means: Planes,
}

const SQUARES: usize = 5;
const LINES: usize = 4;

/// The least variance about some places that follow one another.
struct Quietest {
    variance: [f32; RUN],
    /// Which of the windows has it: squares, then lines, in the order in which they are tried; none of them is the last.
    which: [u32; RUN],
}

impl Quietest {
    /// Takes what varies less than the best there was.
    fn take(&mut self, window: u32, variance: &[f32; RUN]) {
        let best = self.variance.iter_mut().zip(&mut self.which);
        for (new, (least, which)) in variance.iter().zip(best) {
            // No branch: several are done at a time.
            let take = u32::from(new < least).wrapping_neg();
            *which = (window & take) | (*which & !take);
            *least = if new < least { *new } else { *least };
        }
    }
}

/// Means and variances of lines of five places each.
fn line_means(places: [[&[f32; RUN]; 5]; 4], means: [&mut [f32; RUN]; 4]) {
    let sum = |i: usize, [one, two, three, four, five]: [&[f32; RUN]; 5]| {
        (one[i] + two[i]) + (three[i] + four[i]) + five[i]
    };
    let [r, g, b, variance] = means;
    for i in 0..RUN {
        let sums = places.map(|plane| sum(i, plane));
        [r[i], g[i], b[i], variance[i]] = mean_and_variance(sums, 5.0);
    }
}

impl Windows {
    /// Takes in `places` of a grid and what windows about them reach.
    fn take_in(&mut self, grid: &Grid, places: &Range<usize>) {
        let (width, reach) = (grid.width, reach(grid));
        let behind = reach + RUN;
        let there = places.start.saturating_sub(reach)..(places.end + behind).min(grid.at.len());
        let from = (reach + there.start) - places.start;
        for (c, plane) in self.all.iter_mut().enumerate() {
            let beyond = if c == 3 { f32::INFINITY } else { 0.0 };
            plane.clear();
            plane.resize(from, beyond);
            plane.extend(grid.at[there.clone()].iter().map(|place| {
                let [r, g, b, n] = *place;
                // Places that do not count spoil every window they are in.
                match c {
                    3 if n > 0.0 => r * r + g * g + b * b,
                    3 => f32::INFINITY,
                    _ => place[c],
                }
            }));
            plane.resize(reach + places.len() + behind, beyond);
        }
        threes(&self.all, 1, &mut self.across);
        threes(&self.across, width, &mut self.means);
        let all = self.means[0].len();
        let [r, g, b, squares] = self.means.each_mut().map(|plane| &mut plane[..all]);
        for i in 0..all {
            [r[i], g[i], b[i], squares[i]] = mean_and_variance([r[i], g[i], b[i], squares[i]], 9.0);
        }
        for plane in &mut self.means {
            plane.resize(all + (LINES + 1) * RUN, f32::INFINITY);
        }
    }

    /// The quietest windows about the place at `own` and those that follow it: their means and variances.
    fn quietest(&mut self, width: usize, own: usize) -> impl Iterator<Item = [f32; 4]> {
        // How far before a place the square begins, by rows, that is about it or touches it with a corner.
        let squares: [usize; SQUARES] = [width + 1, 0, 2, 2 * width, 2 * width + 2];
        let steps: [usize; LINES] = [1, width, width + 1, width - 1];
        let lines = self.means[0].len().saturating_sub((LINES + 1) * RUN);
        let mut begins = [0; SQUARES + LINES + 1];
        let mut best = Quietest {
            variance: [f32::INFINITY; RUN],
            which: [9; RUN],
        };
        let mut windows = (0_u32..).zip(&mut begins);
        for (before, (window, begin)) in squares.into_iter().zip(&mut windows) {
            *begin = own - before;
            best.take(window, run(&self.means[3], *begin));
        }
        for ((line, step), (window, begin)) in steps.into_iter().enumerate().zip(&mut windows) {
            *begin = lines + line * RUN;
            let first = own - 2 * step;
            let places = self.all.each_ref();
            let places = places.map(|plane| std::array::from_fn(|k| run(plane, first + k * step)));
            let [r, g, b, variance] = &mut self.means;
            let means = [r, g, b, variance].map(|plane| plane[*begin..].first_chunk_mut());
            if let [Some(r), Some(g), Some(b), Some(variance)] = means {
                line_means(places, [r, g, b, variance]);
            }
            best.take(window, run(&self.means[3], *begin));
        }
        for (_, begin) in windows {
            *begin = lines + LINES * RUN;
            for (mean, all) in self.means.iter_mut().zip(&self.all).take(3) {
                mean[*begin..].copy_from_slice(run(all, own));
            }
        }
        let all = self.means[0].len();
        let [r, g, b, _] = self.means.each_ref().map(|plane| &plane[..all]);
        let found = best.which.into_iter().zip(best.variance).enumerate();
        found.map(move |(i, (window, variance))| {
            let from = begins[window as usize] + i;
            [r[from], g[from], b[from], variance]
        })
    }
}

/// How far windows reach: two rows and two places.
fn reach(grid: &Grid) -> usize {
    2 * grid.width + 2
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
        let (mut at, mut varies) = (self.at.clone(), vec![f32::INFINITY; all]);
        let mut windows = Windows::default();
        let at_once = (rows * self.width).max(1);
        for from in (0..all).step_by(at_once) {
            let places = from..(from + at_once).min(all);
            windows.take_in(self, &places);
            for first in places.clone().step_by(RUN) {
                let own = reach(self) + first - places.start;
                let behind = (first + RUN).min(places.end);
                let quiet = windows.quietest(self.width, own);
                let places = at[first..behind].iter_mut().zip(&mut varies[first..behind]);
                for ((place, varies), [r, g, b, variance]) in places.zip(quiet) {
                    *place = [r, g, b, place[3]];
                    *varies = variance;
                }
            }
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
        let sides = quiet.sides_of_mixed(inside.clone());
        inside
            .zip(sides)
            .enumerate()
            .map(|(i, (place, side))| match thin[i] {
                Some(own) => Quiet {
                    colour: thin::with_its_like(&thin, self.width, i, own),
                    kind: PlaceKind::Thin,
                    restless: false,
                },
                None => Quiet {
                    restless: varies[place] > RESTLESS,
                    ..quiet.without_neighbours(place, side)
                },
            })
            .collect()
    }

    /// Steps to the nearer side of each of these places that is mixed: that lies on the way from one colour to another, two
    /// steps away on either side.
    fn sides_of_mixed(&self, places: Range<usize>) -> impl Iterator<Item = Option<isize>> {
        const STEPS: isize = 2;
        let (lines, planes, count) = (self.lines(), self.counting_planes(), places.len());
        let (mut steepest, mut side) = (vec![BORDER; count], vec![0_u32; count]);
        for (line, code) in lines.iter().zip((1_u32..).step_by(2)) {
            let aside = |steps: isize| aside(&planes, &places, steps * line.along);
            let (own, one, other) = (aside(0), aside(-STEPS), aside(STEPS));
            let of_places = steepest.iter_mut().zip(&mut side).enumerate();
            for (i, (steepest, side)) in of_places {
                let [own, one, other] =
                    [own, one, other].map(|planes| planes.map(|plane| plane[i]));
                let (length, first, second) =
                    (squared(one, other), squared(own, one), squared(own, other));
                let is_first = first <= second;
                let (near, far) = if is_first {
                    (first, second)
                } else {
                    (second, first)
                };
                // No branch: several are done at a time.
                let all = [length > *steepest, far < length, near > PART * length];
                let take = all
                    .into_iter()
                    .fold(1, |all, is| all & u32::from(is))
                    .wrapping_neg();
                *side = ((code + u32::from(!is_first)) & take) | (*side & !take);
                *steepest =
                    f32::from_bits((length.to_bits() & take) | (steepest.to_bits() & !take));
            }
        }
        let mut steps = [None; 9];
        let of_lines = lines
            .iter()
            .flat_map(|line| [-STEPS * line.along, STEPS * line.along]);
        steps[1..]
            .iter_mut()
            .zip(of_lines)
            .for_each(|(steps, line)| *steps = Some(line));
        side.into_iter().map(move |side| steps[side as usize])
    }

    /// A mixed place has the colour of its nearer side.
    fn without_neighbours(&self, place: usize, side: Option<isize>) -> Quiet {
        let [r, g, b, _] = self.at[place.wrapping_add_signed(side.unwrap_or(0))];
        Quiet {
            colour: [r, g, b],
            kind: side.map_or(PlaceKind::Plain, |_| PlaceKind::Mixed),
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
