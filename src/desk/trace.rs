//! From a set of pixels to outlines round it.

use crate::region::{Outline, Region, pieces};

/// A set of pixels.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mask {
    width: usize,
    height: usize,
    inside: Vec<bool>,
}

/// How far a simplified outline may stray from the pixels, tried in turn until the outline does not cross itself.
const TOLERANCES: [f64; 4] = [1.6, 1.0, 0.6, 0.0];
/// Holes below this share of the picture are not left out. Our choice.
const SMALLEST_HOLE: f64 = 0.002;
/// Most holes of a region. Our choice.
const MOST_HOLES: usize = 12;

impl Mask {
    pub(super) fn new(width: usize, height: usize, inside: impl Fn(usize) -> bool) -> Self {
        Self {
            width,
            height,
            inside: (0..width * height).map(inside).collect(),
        }
    }

    /// Whether a pixel is in the set; columns and rows count from 1, so that 0 is outside.
    fn holds(&self, x: usize, y: usize) -> bool {
        (1..=self.width).contains(&x)
            && (1..=self.height).contains(&y)
            && self.inside[(y - 1) * self.width + x - 1]
    }

    /// Its pixels, row by row.
    pub(super) fn pixels(&self) -> &[bool] {
        &self.inside
    }

    fn count(&self) -> usize {
        self.inside.iter().filter(|inside| **inside).count()
    }

    /// The set without the pixels at its edge, whose colours are half those of the neighbour. The picture's own edge
    /// is none.
    fn shrunk(&self) -> Self {
        Self::new(self.width, self.height, |i| {
            let (x, y) = (i % self.width, i / self.width);
            let held = |x: usize, y: usize| self.inside[y * self.width + x];
            held(x, y)
                && (x == 0 || held(x - 1, y))
                && (y == 0 || held(x, y - 1))
                && (x + 1 == self.width || held(x + 1, y))
                && (y + 1 == self.height || held(x, y + 1))
        })
    }

    /// Its pieces (joined by sides), the largest first.
    fn pieces(&self) -> Vec<Self> {
        let size = [self.width, self.height];
        let mut pieces = pieces(size, |at| self.inside[at].then_some(0));
        pieces.sort_by_key(|piece| std::cmp::Reverse(piece.len()));
        pieces
            .into_iter()
            .map(|piece| {
                let mut inside = vec![false; self.inside.len()];
                for at in piece {
                    inside[at] = true;
                }
                Self { inside, ..*self }
            })
            .collect()
    }

    /// What lies inside it without belonging to it.
    fn holes(&self) -> Vec<Self> {
        let rest = Self::new(self.width, self.height, |i| !self.inside[i]);
        let touches_edge = |piece: &Self| {
            (0..self.width)
                .any(|x| piece.inside[x] || piece.inside[(self.height - 1) * self.width + x])
                || (0..self.height)
                    .any(|y| piece.inside[y * self.width] || piece.inside[(y + 1) * self.width - 1])
        };
        rest.pieces()
            .into_iter()
            .filter(|piece| !touches_edge(piece))
            .collect()
    }

    /// The pieces that hold a pixel of another set.
    pub(super) fn touching(&self, other: &[bool]) -> Self {
        let mut inside = vec![false; self.inside.len()];
        for piece in self.pieces() {
            if piece.inside.iter().zip(other).any(|(a, b)| *a && *b) {
                for (inside, held) in inside.iter_mut().zip(&piece.inside) {
                    *inside |= held;
                }
            }
        }
        Self { inside, ..*self }
    }

    /// The corners of the outer edge of a set of one piece, clockwise.
    fn corners(&self) -> Vec<[usize; 2]> {
        let Some(start) = self.inside.iter().position(|inside| *inside) else {
            return Vec::new();
        };
        // Directions: 0 right, 1 down, 2 left, 3 up. The set lies to the right of the way.
        let is_edge = |[x, y]: [usize; 2], way: usize| {
            let (right, left) = match way {
                0 => ([x + 1, y + 1], [x + 1, y]),
                1 => ([x, y + 1], [x + 1, y + 1]),
                2 => ([x, y], [x, y + 1]),
                _ => ([x + 1, y], [x, y]),
            };
            self.holds(right[0], right[1]) && !self.holds(left[0], left[1])
        };
        let first = [start % self.width, start / self.width];
        let (mut at, mut way) = (first, 0);
        let mut corners = vec![first];
        loop {
            match way {
                0 => at[0] += 1,
                1 => at[1] += 1,
                2 => at[0] -= 1,
                _ => at[1] -= 1,
            }
            // Right first: that stays with the same pixel where two touch by a corner.
            let Some(next) = [1, 0, 3]
                .map(|turn| (way + turn) % 4)
                .into_iter()
                .find(|way| is_edge(at, *way))
            else {
                return corners;
            };
            if at == first && next == 0 {
                return corners;
            }
            if next != way {
                corners.push(at);
            }
            way = next;
        }
    }

    /// An outline round a set of one piece, with few points.
    fn outline(&self) -> Option<Outline> {
        self.outline_by(&TOLERANCES, usize::MAX, [0.0, 0.0, 1.0, 1.0])
    }

    /// An outline by the first tolerance that gives one of at most this many corners; `span` is where the set's picture
    /// lies in another.
    fn outline_by(&self, tolerances: &[f64], most: usize, span: [f64; 4]) -> Option<Outline> {
        let [l, t, r, b] = span;
        #[expect(
            clippy::cast_precision_loss,
            reason = "pixel counts stay far below 2^52"
        )]
        let corners: Vec<[f64; 2]> = self
            .corners()
            .iter()
            .map(|at| at.map(|v| v as f64))
            .collect();
        #[expect(
            clippy::cast_precision_loss,
            reason = "pixel counts stay far below 2^52"
        )]
        let (width, height) = (self.width as f64, self.height as f64);
        tolerances.iter().find_map(|tolerance| {
            let points: Vec<[f64; 2]> = simplified(&corners, *tolerance)
                .into_iter()
                .map(|[x, y]| [l + (r - l) * x / width, t + (b - t) * y / height])
                .map(|at| at.map(|v| v.clamp(0.0, 1.0)))
                .collect();
            if points.len() > most {
                return None;
            }
            Outline::new(points).ok()
        })
    }
}

/// A region round the largest piece of a set, its larger holes left out. `None` when nothing is left.
pub(super) fn outlined(mask: &Mask) -> Option<Region> {
    let body = mask.shrunk().pieces().into_iter().next()?;
    #[expect(
        clippy::cast_precision_loss,
        reason = "pixel counts stay far below 2^52"
    )]
    let share = |piece: &Mask| piece.count() as f64 / piece.inside.len() as f64;
    let leave_out = body
        .holes()
        .iter()
        .filter(|hole| share(hole) >= SMALLEST_HOLE)
        .take(MOST_HOLES)
        .filter_map(Mask::outline)
        .collect();
    Some(Region {
        outline: body.outline()?,
        leave_out,
    })
}

/// Most corners of an outline that people move by hand, and of the outlines left out of it. Our choice.
const MOST_CORNERS: usize = 24;
const MOST_CORNERS_OF_HOLE: usize = 8;
/// How far an outline of few corners may stray, tried in turn until they are few enough.
const WIDE_TOLERANCES: [f64; 9] = [1.2, 1.7, 2.4, 3.4, 4.8, 6.8, 9.6, 13.6, 19.2];

/// A region of few corners round the largest piece of a set's whole, with the larger parts of that left out which are
/// not in the set; `span` is where the set's picture lies in the photo (left, top, right, bottom). `None` when nothing is
/// left.
pub(super) fn few_corners(mask: &Mask, whole: &Mask, span: [f64; 4]) -> Option<Region> {
    let body = whole.pieces().into_iter().next()?;
    let least = (body.count() / 200).max(6);
    let mut gaps = Mask::new(mask.width, mask.height, |i| {
        body.inside[i] && !mask.inside[i]
    })
    .pieces();
    // An edge that was only smoothed is no gap: nothing is left of it when it is shrunk.
    gaps.retain(|gap| gap.shrunk().count() > 0);
    gaps.extend(body.holes());
    gaps.retain(|gap| gap.count() > least);
    gaps.sort_by_key(|gap| std::cmp::Reverse(gap.count()));
    let leave_out = gaps
        .iter()
        .take(MOST_HOLES)
        .filter_map(|gap| gap.outline_by(&WIDE_TOLERANCES, MOST_CORNERS_OF_HOLE, span))
        .collect();
    Some(Region {
        outline: body.outline_by(&WIDE_TOLERANCES, MOST_CORNERS, span)?,
        leave_out,
    })
}

/// Outlines of few corners round the larger pieces of a set, the largest first; `span` is where its picture lies in the
/// photo.
pub(super) fn pieces_outlined(mask: &Mask, span: [f64; 4]) -> Vec<Outline> {
    let pieces = mask.pieces();
    let largest = pieces.first().map_or(0, Mask::count);
    let large = pieces.iter().filter(|piece| 20 * piece.count() > largest);
    large
        .take(MOST_HOLES)
        .filter_map(|piece| piece.outline_by(&WIDE_TOLERANCES, MOST_CORNERS, span))
        .collect()
}

/// Leaves out points of a closed outline that lie within `tolerance` of the line between those kept.
///
/// # Source
/// Douglas and Peucker 1973, *Algorithms for the reduction of the number of points required to represent a digitized
/// line*. A closed outline is cut at its first point and at the one farthest from it.
fn simplified(points: &[[f64; 2]], tolerance: f64) -> Vec<[f64; 2]> {
    let from_first = |p: &[f64; 2]| (p[0] - points[0][0]).hypot(p[1] - points[0][1]);
    let Some(far) = (0..points.len())
        .max_by(|a, b| from_first(&points[*a]).total_cmp(&from_first(&points[*b])))
    else {
        return Vec::new();
    };
    let closed: Vec<[f64; 2]> = points.iter().chain(points.first()).copied().collect();
    let mut kept = kept(&closed, &[0, far, closed.len() - 1], tolerance);
    kept.pop();
    kept
}

/// A line with the points left out that lie within `tolerance` of the straight line between those kept.
pub(super) fn straightened(line: &[[f64; 2]], tolerance: f64) -> Vec<[f64; 2]> {
    if line.is_empty() {
        return Vec::new();
    }
    kept(line, &[0, line.len() - 1], tolerance)
}

/// The points of a line that are kept, `cuts` among them.
fn kept(line: &[[f64; 2]], cuts: &[usize], tolerance: f64) -> Vec<[f64; 2]> {
    let mut kept = vec![false; line.len()];
    let mut open: Vec<(usize, usize)> = cuts
        .iter()
        .copied()
        .zip(cuts.iter().copied().skip(1))
        .collect();
    for cut in cuts {
        kept[*cut] = true;
    }
    while let Some((from, to)) = open.pop() {
        let farthest = (from + 1..to)
            .map(|i| (distance(line[i], line[from], line[to]), i))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((distance, i)) = farthest.filter(|(distance, _)| *distance > tolerance) {
            debug_assert!(distance.is_finite());
            kept[i] = true;
            open.extend([(from, i), (i, to)]);
        }
    }
    let held = line.iter().zip(kept).filter(|(_, kept)| *kept);
    held.map(|(point, _)| *point).collect()
}

/// From a point to the straight line between two others, or to the first when they are one.
fn distance([x, y]: [f64; 2], [ax, ay]: [f64; 2], [bx, by]: [f64; 2]) -> f64 {
    let length = (bx - ax).hypot(by - ay);
    if length > 0.0 {
        ((bx - ax) * (y - ay) - (by - ay) * (x - ax)).abs() / length
    } else {
        (x - ax).hypot(y - ay)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mask(rows: &[&str]) -> Mask {
        let all: Vec<u8> = rows.iter().flat_map(|row| row.bytes()).collect();
        Mask::new(rows[0].len(), rows.len(), |i| all[i] == b'#')
    }

    #[test]
    fn corners_go_round_clockwise() {
        let square = mask(&["....", ".##.", ".##.", "...."]);
        assert_eq!(square.corners(), [[1, 1], [3, 1], [3, 3], [1, 3]]);
        let whole = mask(&["##", "##"]);
        assert_eq!(whole.corners(), [[0, 0], [2, 0], [2, 2], [0, 2]]);
    }

    #[test]
    fn pixels_that_touch_by_a_corner_are_two_pieces() {
        let two = mask(&["#..", ".##"]);
        let pieces = two.pieces();
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces[0].count(), 2);
    }

    #[test]
    fn a_ring_has_a_hole() {
        let ring = mask(&["#####", "#...#", "#...#", "#####"]);
        assert_eq!(ring.holes().len(), 1);
        assert_eq!(ring.holes()[0].corners(), [[1, 1], [4, 1], [4, 3], [1, 3]]);
    }

    #[test]
    fn a_staircase_becomes_a_slope() {
        let stairs: Vec<[f64; 2]> = (0..20)
            .flat_map(|i| {
                [
                    [f64::from(i), f64::from(i)],
                    [f64::from(i + 1), f64::from(i)],
                ]
            })
            .chain([[20.0, 20.0], [0.0, 20.0]])
            .collect();
        assert!(simplified(&stairs, 1.0).len() <= 4);
        assert_eq!(simplified(&stairs, 0.0).len(), stairs.len());
    }
}
