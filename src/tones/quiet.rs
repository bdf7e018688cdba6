//! What the places of a picture look like without grain and without their neighbours.
//!
//! In: a grid of colours, codes of 0 to 255. Out: for each place its quiet colour, and whether it is unmixed. A lens and a
//! JPEG mix light across every border, so that much of what a photo holds of a brick wall is neither brick nor mortar.

use super::thin;
use rayon::prelude::*;

/// A grid of colours; of each place red, green and blue, and how many pixels it stands for (0: none, it does not count).
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) at: Vec<[f32; 4]>,
}

/// What a place looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Quiet {
    /// Its colour; of a mixed place that of the side it is more of.
    pub(super) colour: [f32; 3],
    /// False where it lies between two sides.
    pub(super) unmixed: bool,
}

/// Sums of a window: red, green, blue, and all their squares.
type Sums = [f32; 4];

fn plus(a: Sums, b: Sums) -> Sums {
    std::array::from_fn(|i| a[i] + b[i])
}

/// Mean colour of a window and its variance, estimated from so many values.
fn mean_and_variance(sums: Sums, count: f32) -> ([f32; 3], f32) {
    let mean = [sums[0] / count, sums[1] / count, sums[2] / count];
    let squared: f32 = mean.iter().map(|v| v * v).sum();
    (mean, (sums[3] - count * squared).max(0.0) / (count - 1.0))
}

/// Steps along a line, right and down.
pub(super) const LINES: [[isize; 2]; 4] = [[1, 0], [0, 1], [1, 1], [1, -1]];

impl Grid {
    /// Each place takes the mean of the quietest of nine windows about it: five squares of 3 by 3 (about it, and those that
    /// touch it with a corner) and four lines of 5.
    ///
    /// # Source
    /// Kuwahara, Hachimura, Eiho and Kinoshita 1976, *Processing of RI-angiocardiographic images*; lines added here, for
    /// joints and wires are thinner than any square.
    fn quieted(&self) -> Self {
        let (width, height) = (self.width, self.height);
        // Places that do not count spoil every window they are in.
        let spoilt = [0.0, 0.0, 0.0, f32::INFINITY];
        let sums: Vec<Sums> = self
            .at
            .iter()
            .map(|[r, g, b, n]| {
                if *n > 0.0 {
                    [*r, *g, *b, r * r + g * g + b * b]
                } else {
                    spoilt
                }
            })
            .collect();
        let across: Vec<Sums> = (0..sums.len())
            .map(|i| {
                let x = i % width;
                if x == 0 || x + 1 == width {
                    spoilt
                } else {
                    plus(plus(sums[i - 1], sums[i]), sums[i + 1])
                }
            })
            .collect();
        let squares: Vec<([f32; 3], f32)> = (0..sums.len())
            .map(|i| {
                let y = i / width;
                let sums = if y == 0 || y + 1 == height {
                    spoilt
                } else {
                    plus(plus(across[i - width], across[i]), across[i + width])
                };
                mean_and_variance(sums, 9.0)
            })
            .collect();
        let at = (0..height)
            .into_par_iter()
            .flat_map_iter(|y| {
                let (sums, squares) = (&sums, &squares);
                (0..width).map(move |x| {
                    let i = y * width + x;
                    let own = self.at[i];
                    if own[3] <= 0.0 {
                        return own;
                    }
                    let mut best = ([own[0], own[1], own[2]], f32::INFINITY);
                    let mut look = |(mean, variance): ([f32; 3], f32)| {
                        if variance < best.1 {
                            best = (mean, variance);
                        }
                    };
                    look(squares[i]);
                    if x > 0 && x + 1 < width && y > 0 && y + 1 < height {
                        for corner in [i - width - 1, i - width + 1, i + width - 1, i + width + 1] {
                            look(squares[corner]);
                        }
                    }
                    if x > 1 && x + 2 < width && y > 1 && y + 2 < height {
                        for line in LINES {
                            let step = line[1] * width.cast_signed() + line[0];
                            let place = |k: isize| sums[i.wrapping_add_signed(k * step)];
                            let pair = |k: isize| plus(place(-k), place(k));
                            look(mean_and_variance(
                                plus(plus(pair(1), pair(2)), place(0)),
                                5.0,
                            ));
                        }
                    }
                    let [r, g, b] = best.0;
                    [r, g, b, own[3]]
                })
            })
            .collect();
        Self { width, height, at }
    }

    /// The colour of a place so many steps away, if it counts.
    pub(super) fn seen(
        &self,
        [x, y]: [usize; 2],
        [right, down]: [isize; 2],
        steps: isize,
    ) -> Option<[f32; 3]> {
        let x = x
            .checked_add_signed(steps * right)
            .filter(|x| *x < self.width)?;
        let y = y
            .checked_add_signed(steps * down)
            .filter(|y| *y < self.height)?;
        let [r, g, b, n] = self.at[y * self.width + x];
        (n > 0.0).then_some([r, g, b])
    }

    /// For each place its quiet colour, and whether it is unmixed.
    pub(super) fn quiet(&self) -> Vec<Quiet> {
        let quiet = self.quieted().quieted();
        let at = |i: usize| [i % self.width, i / self.width];
        let thin: Vec<Option<[f32; 3]>> = (0..self.at.len())
            .into_par_iter()
            .map(|i| thin::colour(self, &quiet, at(i)))
            .collect();
        (0..self.at.len())
            .into_par_iter()
            .map(|i| match thin[i] {
                Some(own) => Quiet {
                    colour: thin::with_its_like(&thin, self.width, at(i), own),
                    unmixed: true,
                },
                None => quiet.without_neighbours(at(i)),
            })
            .collect()
    }

    /// A place on the way from one colour to another, two steps away on either side, is mixed.
    fn without_neighbours(&self, at: [usize; 2]) -> Quiet {
        let [r, g, b, _] = self.at[at[1] * self.width + at[0]];
        let own = [r, g, b];
        let mut steepest = (BORDER, None);
        for line in LINES {
            if let (Some(one), Some(other)) = (self.seen(at, line, -2), self.seen(at, line, 2)) {
                let length = squared(one, other);
                let (near, far) = (squared(own, one), squared(own, other));
                if length > steepest.0 && near.max(far) < length && near.min(far) > PART * length {
                    steepest = (length, Some(if near <= far { one } else { other }));
                }
            }
        }
        Quiet {
            colour: steepest.1.unwrap_or(own),
            unmixed: steepest.1.is_none(),
        }
    }
}

/// Two sides so far apart (squared codes) are two.
const BORDER: f32 = 18.0 * 18.0;
/// A place nearer to a side than this part (squared) of the way is that side's.
const PART: f32 = 0.15 * 0.15;

fn squared(a: [f32; 3], b: [f32; 3]) -> f32 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum()
}
