//! Parts of a picture: outlines, what is left out of them, and which pixels count.
//!
//! In: points as fractions of width and height of the upright picture. Out: runs of pixels, row by row. It does not
//! know what the pixels hold.

use crate::linear::area_within;
use crate::problem::Explain;
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// A closed outline of at least three points, inside the picture, with an area, not crossing itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Outline {
    points: Vec<[f64; 2]>,
}

/// An outline and what is left out of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Region {
    /// The part that counts.
    pub outline: Outline,
    /// Parts of it that do not.
    pub leave_out: Vec<Outline>,
}

/// What is wrong with an outline.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RegionError {
    /// Too few points.
    #[error("found {found} points, expected at least 3")]
    TooFewPoints {
        /// How many there are.
        found: usize,
    },
    /// Too many points.
    #[error("found {found} points, expected at most {MOST_POINTS}")]
    TooManyPoints {
        /// How many there are.
        found: usize,
    },
    /// A point outside the picture.
    #[error("found the point [{x}, {y}] outside the photo, expected fractions from 0 to 1")]
    OutsidePhoto {
        /// Fraction of the width.
        x: f64,
        /// Fraction of the height.
        y: f64,
    },
    /// Nothing inside.
    #[error("found a region with no area, expected one that holds part of the photo")]
    NoArea,
    /// Two sides cross.
    #[error(
        "found sides {first} and {second} crossing, expected an outline that does not cross itself"
    )]
    CrossesItself {
        /// Number of the first side, from 1.
        first: usize,
        /// Number of the second side, from 1.
        second: usize,
    },
}

impl Explain for RegionError {
    fn hint(&self) -> Option<String> {
        Some(match self {
            Self::TooManyPoints { .. } => "an outline of a few dozen points is plenty".to_owned(),
            Self::TooFewPoints { .. } => {
                "a rectangle is [[0.1, 0.2], [0.5, 0.2], [0.5, 0.8], [0.1, 0.8]]".to_owned()
            }
            Self::OutsidePhoto { x, y }
                if (*x > 3.0 || *y > 3.0) && [x, y].iter().all(|v| (0.0..=100.0).contains(*v)) =>
            {
                "these look like percent: divide by 100, so that 70 is 0.7; if they are pixels, divide by the width and the height of the upright photo"
                    .to_owned()
            }
            Self::OutsidePhoto { x, y } if *x > 3.0 || *y > 3.0 => {
                "these look like pixels: divide by the width and the height of the upright photo; fractions have a point, such as 0.25"
                    .to_owned()
            }
            Self::OutsidePhoto { x, y } if *x > 1.0 || *y > 1.0 => {
                "0, 0 is the upper left corner, 1, 1 the lower right one, with a point between, such as 0.25; divide percent by 100, pixels by the width and the height of the upright photo".to_owned()
            }
            Self::OutsidePhoto { .. } => {
                "0, 0 is the upper left corner, 1, 1 the lower right one".to_owned()
            }
            Self::NoArea => "move the points apart".to_owned(),
            Self::CrossesItself { .. } => "list the points in order round the outline".to_owned(),
        })
    }
}

/// Half the side of the square about a point, as a fraction of the picture. Our choice.
const POINT_REACH: f64 = 0.01;

/// Most points of an outline: nobody draws more, and checking them grows with their square.
pub const MOST_POINTS: usize = 2000;

/// Smallest area of an outline, as a fraction of the picture.
const SMALLEST_AREA: f64 = 1e-6;

impl Outline {
    /// Checks the points of an outline; the last is joined to the first.
    ///
    /// # Errors
    /// [`RegionError`] for fewer than three points, points outside, no area, crossing sides.
    pub fn new(points: Vec<[f64; 2]>) -> Result<Self, RegionError> {
        if points.len() > MOST_POINTS {
            return Err(RegionError::TooManyPoints {
                found: points.len(),
            });
        }
        if points.len() < 3 {
            return Err(RegionError::TooFewPoints {
                found: points.len(),
            });
        }
        let inside = |v: f64| (0.0..=1.0).contains(&v);
        if let Some([x, y]) = points.iter().find(|[x, y]| !inside(*x) || !inside(*y)) {
            return Err(RegionError::OutsidePhoto { x: *x, y: *y });
        }
        if let Some((first, second)) = crossing_sides(&points) {
            return Err(RegionError::CrossesItself { first, second });
        }
        let outline = Self { points };
        if outline.area() < SMALLEST_AREA {
            return Err(RegionError::NoArea);
        }
        Ok(outline)
    }

    /// The two parts of an outline on both sides of a line through two points, first that to the left of the way from the
    /// first to the second as a map is read (to the right where y runs downwards, as it does here, is the second); `None`
    /// where one of them is no outline.
    ///
    /// # Source
    /// Sutherland and Hodgman 1974, *Reentrant polygon clipping*, one edge.
    #[must_use]
    pub fn cut_by(&self, [a, b]: [[f64; 2]; 2]) -> Option<[Self; 2]> {
        let beside = |[x, y]: [f64; 2]| (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]);
        let part = |sign: f64| {
            let mut kept: Vec<[f64; 2]> = Vec::new();
            for (i, to) in self.points.iter().enumerate() {
                let from = self.points[(i + self.points.len() - 1) % self.points.len()];
                let (before, after) = (sign * beside(from), sign * beside(*to));
                if (before > 0.0) != (after > 0.0) {
                    let t = before / (before - after);
                    kept.push([0, 1].map(|c| from[c] + t * (to[c] - from[c])));
                }
                if after > 0.0 {
                    kept.push(*to);
                }
            }
            let rounded = |v: f64| (v.clamp(0.0, 1.0) * 1000.0).round() / 1000.0;
            let mut kept: Vec<[f64; 2]> = kept.into_iter().map(|p| p.map(rounded)).collect();
            kept.dedup();
            Self::new(kept).ok()
        };
        Some([part(1.0)?, part(-1.0)?])
    }

    /// The whole picture.
    #[must_use]
    pub fn whole() -> Self {
        Self {
            points: vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]],
        }
    }

    /// The points, as fractions of width and height.
    #[must_use]
    pub fn points(&self) -> &[[f64; 2]] {
        &self.points
    }

    /// Area as a fraction of the picture.
    #[must_use]
    pub fn area(&self) -> f64 {
        area_within(&self.points)
    }

    /// Left, top, right, bottom as fractions.
    #[must_use]
    pub fn bounds(&self) -> [f64; 4] {
        self.points
            .iter()
            .fold([1.0, 1.0, 0.0, 0.0], |[l, t, r, b], [x, y]| {
                [l.min(*x), t.min(*y), r.max(*x), b.max(*y)]
            })
    }

    /// Where a horizontal line at fraction `y` enters and leaves, sorted.
    fn crossings(&self, y: f64, found: &mut Vec<f64>) {
        found.clear();
        for ([ax, ay], [bx, by]) in sides(&self.points) {
            if (ay <= y) != (by <= y) {
                found.push(ax + (y - ay) / (by - ay) * (bx - ax));
            }
        }
        found.sort_by(f64::total_cmp);
    }
}

fn sides(points: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
    points
        .iter()
        .copied()
        .zip(points.iter().copied().cycle().skip(1))
}

/// The first pair of sides that cross, numbered from 1. Neighbours share a point and may not fold back on themselves.
fn crossing_sides(points: &[[f64; 2]]) -> Option<(usize, usize)> {
    let turn = |[ax, ay]: [f64; 2], [bx, by]: [f64; 2], [cx, cy]: [f64; 2]| {
        (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    };
    let all: Vec<_> = sides(points).collect();
    let count = all.len();
    for i in 0..count {
        for j in i + 2..count {
            if i == 0 && j == count - 1 {
                continue;
            }
            let ((a, b), (c, d)) = (all[i], all[j]);
            let (abc, abd) = (turn(a, b, c), turn(a, b, d));
            let (cda, cdb) = (turn(c, d, a), turn(c, d, b));
            if abc * abd < 0.0 && cda * cdb < 0.0 {
                return Some((i + 1, j + 1));
            }
        }
    }
    None
}

impl Region {
    /// The whole picture, nothing left out.
    #[must_use]
    pub fn whole() -> Self {
        Self {
            outline: Outline::whole(),
            leave_out: Vec::new(),
        }
    }

    /// A small square about a point, moved inside the picture where it would reach out.
    ///
    /// # Errors
    /// [`RegionError::OutsidePhoto`] for a point outside.
    pub fn about([x, y]: [f64; 2]) -> Result<Self, RegionError> {
        if !(0.0..=1.0).contains(&x) || !(0.0..=1.0).contains(&y) {
            return Err(RegionError::OutsidePhoto { x, y });
        }
        let span = |v: f64| {
            let low = (v - POINT_REACH).clamp(0.0, 1.0 - 2.0 * POINT_REACH);
            (low, low + 2.0 * POINT_REACH)
        };
        let ((l, r), (t, b)) = (span(x), span(y));
        Ok(Self {
            outline: Outline::new(vec![[l, t], [r, t], [r, b], [l, b]])?,
            leave_out: Vec::new(),
        })
    }

    /// The runs of pixels of row `row` whose centres lie inside, in a picture of `width` by `height` pixels.
    #[must_use]
    pub fn runs(&self, row: usize, width: usize, height: usize) -> Vec<Range<usize>> {
        let y = (as_f64(row) + 0.5) / as_f64(height.max(1));
        let mut found = Vec::new();
        let mut runs = runs_of(&self.outline, y, width, &mut found);
        for left_out in &self.leave_out {
            for hole in runs_of(left_out, y, width, &mut found) {
                runs = runs
                    .into_iter()
                    .flat_map(|run| {
                        [
                            run.start..run.end.min(hole.start),
                            run.start.max(hole.end)..run.end,
                        ]
                    })
                    .filter(|run| run.start < run.end)
                    .collect();
            }
        }
        runs
    }
}

/// Rows and columns stay far below 2^52.
#[expect(
    clippy::cast_precision_loss,
    reason = "pixel counts stay far below 2^52"
)]
fn as_f64(n: usize) -> f64 {
    n as f64
}

fn runs_of(outline: &Outline, y: f64, width: usize, found: &mut Vec<f64>) -> Vec<Range<usize>> {
    outline.crossings(y, found);
    // The first pixel whose centre (i + 0.5) / width is not left of x.
    let first_from = |x: f64| {
        let i = (x * as_f64(width) - 0.5).ceil().clamp(0.0, as_f64(width));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 0..=width"
        )]
        let i = i as usize;
        i
    };
    found
        .chunks_exact(2)
        .map(|pair| first_from(pair[0])..first_from(pair[1]))
        .filter(|run| run.start < run.end)
        .collect()
}

/// The places of a grid, row by row, that share a side with one of them.
pub fn beside(at: usize, [width, height]: [usize; 2]) -> impl Iterator<Item = usize> {
    let (x, y) = (at % width, at / width);
    [
        (x > 0).then(|| at - 1),
        (x + 1 < width).then_some(at + 1),
        (y > 0).then(|| at - width),
        (y + 1 < height).then_some(at + width),
    ]
    .into_iter()
    .flatten()
}

/// Connected pieces of a grid: places of one label that hang together by their sides, in the order of their first places. What
/// has no label belongs to none.
pub fn pieces(size: [usize; 2], label: impl Fn(usize) -> Option<usize>) -> Vec<Vec<usize>> {
    let mut is_taken = vec![false; size[0] * size[1]];
    let mut pieces = Vec::new();
    for first in 0..is_taken.len() {
        let own = label(first);
        if is_taken[first] || own.is_none() {
            continue;
        }
        is_taken[first] = true;
        let mut piece = vec![first];
        let mut next = 0;
        while let Some(at) = piece.get(next).copied() {
            next += 1;
            for other in beside(at, size) {
                if !is_taken[other] && label(other) == own {
                    is_taken[other] = true;
                    piece.push(other);
                }
            }
        }
        pieces.push(piece);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_hang_together_by_sides_and_by_their_label() {
        // By hand. 1 touches 1 at a corner alone, and 2 lies between.
        let grid = b"110.\
                     0021\
                     .011";
        let label = |at: usize| (grid[at] != b'.').then(|| usize::from(grid[at]));
        let found = pieces([4, 3], label);
        let by_hand: [&[usize]; 5] = [&[0, 1], &[2], &[4, 5, 9], &[6], &[7, 11, 10]];
        assert_eq!(found, by_hand);
        assert!(pieces([0, 0], |_| Some(1)).is_empty());
    }

    fn square(l: f64, t: f64, r: f64, b: f64) -> Outline {
        Outline::new(vec![[l, t], [r, t], [r, b], [l, b]]).unwrap()
    }

    #[test]
    fn the_whole_picture_counts_every_pixel_once() {
        let region = Region::whole();
        for row in 0..5 {
            assert_eq!(region.runs(row, 7, 5), vec![0..7]);
        }
    }

    #[test]
    fn what_is_left_out_does_not_count() {
        let region = Region {
            outline: square(0.1, 0.0, 0.9, 1.0),
            leave_out: vec![square(0.3, 0.0, 0.5, 1.0), square(0.45, 0.0, 0.6, 1.0)],
        };
        assert_eq!(region.runs(0, 10, 1), vec![1..3, 6..9]);
    }

    #[test]
    fn bad_outlines_are_named() {
        assert_eq!(
            Outline::new(vec![[0.0, 0.0], [1.0, 1.0]]),
            Err(RegionError::TooFewPoints { found: 2 })
        );
        assert!(matches!(
            Outline::new(vec![[0.0, 0.0], [1.2, 0.0], [0.5, 0.5]]),
            Err(RegionError::OutsidePhoto { .. })
        ));
        assert!(matches!(
            Outline::new(vec![[0.0, 0.0], [f64::NAN, 0.0], [0.5, 0.5]]),
            Err(RegionError::OutsidePhoto { .. })
        ));
        assert_eq!(
            Outline::new(vec![[0.1, 0.1], [0.5, 0.5], [0.9, 0.9]]),
            Err(RegionError::NoArea)
        );
        assert_eq!(
            Outline::new(vec![[0.1, 0.1], [0.9, 0.9], [0.9, 0.1], [0.1, 0.9]]),
            Err(RegionError::CrossesItself {
                first: 1,
                second: 3
            })
        );
    }
}
