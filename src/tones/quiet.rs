//! What the places of a picture look like without grain and without their neighbours.
//!
//! In: a grid of colours, codes of 0 to 255. Out: for each place its quiet colour, and whether it is mixed. A lens and a
//! JPEG mix light across every border, so that much of what a photo holds of a brick wall is neither brick nor mortar.

use super::grid::{Grid, GridLine, PAD};
use super::thin;

/// What a place looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Quiet {
    /// Its colour; of a mixed place that of the side it is more of.
    pub(super) colour: [f32; 3],
    /// What it is.
    pub(super) kind: PlaceKind,
    /// Nothing about it is of one colour.
    pub(super) restless: bool,
}

/// What a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PlaceKind {
    /// Of one colour.
    Plain,
    /// The middle of something thin.
    Thin,
    /// It lies between two sides.
    Mixed,
}

/// Red, green, blue and a fourth thing, each in its own list: loops over these are done several places at a time.
type Planes = [Vec<f32>; 4];

/// At each place the sum over some places from there on.
fn summed(planes: &Planes, steps: [usize; 3]) -> Planes {
    let count = planes[0].len().saturating_sub(steps[2]);
    std::array::from_fn(|c| {
        let [one, two, three] = steps.map(|step| &planes[c][step..][..count]);
        (0..count).map(|i| one[i] + two[i] + three[i]).collect()
    })
}

/// At each place the sum over five places of a line that begins there.
fn fives(planes: &Planes, step: usize) -> Planes {
    let count = planes[0].len().saturating_sub(4 * step);
    planes.each_ref().map(|plane| {
        let [one, two, three, four, five] = std::array::from_fn(|k| &plane[k * step..][..count]);
        (0..count)
            .map(|i| (one[i] + two[i]) + (three[i] + four[i]) + five[i])
            .collect()
    })
}

/// Turns sums over so many places, the last those of all squares, to means and their variance.
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

/// Takes what varies less than the best there was; the first of `windows` is for the place `from`.
fn take_quieter(best: &mut Planes, windows: &Planes, from: usize) {
    let count = windows[0].len().min(best[0].len() - from);
    let [r, g, b, least] = best.each_mut().map(|plane| &mut plane[from..][..count]);
    let [mr, mg, mb, variance] = windows.each_ref().map(|plane| &plane[..count]);
    for i in 0..count {
        let is_quieter = variance[i] < least[i];
        r[i] = if is_quieter { mr[i] } else { r[i] };
        g[i] = if is_quieter { mg[i] } else { g[i] };
        b[i] = if is_quieter { mb[i] } else { b[i] };
        least[i] = if is_quieter { variance[i] } else { least[i] };
    }
}

impl Grid {
    /// Each place takes the mean of the quietest of nine windows about it: five squares of 3 by 3 (about it, and those that
    /// touch it with a corner) and four lines of 5. Gives also how much that window varies, codes squared.
    ///
    /// # Source
    /// Kuwahara, Hachimura, Eiho and Kinoshita 1976, *Processing of RI-angiocardiographic images*; lines added here, for
    /// joints and wires are thinner than any square.
    fn quieted(&self) -> (Self, Vec<f32>) {
        let width = self.width;
        let plane = |c: usize| -> Vec<f32> { self.at.iter().map(|place| place[c]).collect() };
        // Places that do not count spoil every window they are in.
        let squares = self.at.iter().map(|[r, g, b, n]| {
            let squares = r * r + g * g + b * b;
            if *n > 0.0 { squares } else { f32::INFINITY }
        });
        let all: Planes = [plane(0), plane(1), plane(2), squares.collect()];
        let mut best = all.clone();
        best[3].fill(f32::INFINITY);
        let across = summed(&all, [0, 1, 2]);
        // The first square is about the second place of the second row.
        let mut squares = summed(&across, [0, width, 2 * width]);
        means_and_variance(&mut squares, 9.0);
        for corner in [width + 1, 0, 2, 2 * width, 2 * width + 2] {
            take_quieter(&mut best, &squares, corner);
        }
        for step in [1, width, width + 1, width - 1] {
            let mut lines = fives(&all, step);
            means_and_variance(&mut lines, 5.0);
            take_quieter(&mut best, &lines, 2 * step);
        }
        let [r, g, b, variance] = best;
        let at = (self.at.iter().zip(r).zip(g).zip(b)).map(|(((own, r), g), b)| [r, g, b, own[3]]);
        let quieted = Self {
            width,
            at: at.collect(),
        };
        (quieted, variance)
    }

    /// Row by row, without the padding above and below, for each place its quiet colour, and what it is.
    pub(super) fn quiet(&self) -> Vec<Quiet> {
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
