//! Finding a patch in its photo: the even piece of it that comes nearest to the colour planned.

use crate::colour::{LabD65, delta_e00};
use crate::photo::{LightGrid, Picture};
use crate::region::{Outline, Region};

/// Where a patch lies in its photo.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundPatch {
    /// The part to read.
    pub region: Region,
    /// True when another part of the photo is nearly as likely.
    pub doubtful: bool,
}

/// Cells along the longer side of the photo.
const CELLS: usize = 72;
/// Neighbouring cells that differ by less are of one piece; the farthest from its first cell that a piece reaches.
const SMOOTH: f64 = 2.5;
const ONE_PIECE: f64 = 7.0;
/// The least share of the photo that a patch covers.
const LEAST_SHARE: f64 = 0.004;
/// Another piece that is at most this much further from the plan makes it doubtful.
const DOUBT: f64 = 3.0;

/// Finds the even piece of the photo that comes nearest to the colour planned; `None` when nothing in it is even. Cards
/// and charts are set aside with all that is of one piece with them; a piece that reaches from side to side of the
/// photo counts as the ground; it is chosen only if there is nothing else.
#[must_use]
pub fn find_patch(picture: &Picture, near: LabD65, set_aside: &[Region]) -> Option<FoundPatch> {
    let grid = picture.light_grid(CELLS);
    let colours: Vec<LabD65> = grid
        .cells
        .iter()
        .map(|light| LabD65::from(*light))
        .collect();
    let mut taken: Vec<bool> = (0..colours.len())
        .map(|at| on_an_edge(at, &grid, &colours))
        .collect();
    for at in 0..colours.len() {
        if !taken[at] && set_aside.iter().any(|region| holds(region, &grid, at)) {
            piece_from(at, &grid, &colours, &mut taken);
        }
    }
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few thousand cells"
    )]
    let least = ((LEAST_SHARE * colours.len() as f64).ceil() as usize).max(6);
    let mut pieces: Vec<(bool, f64, Vec<usize>)> = Vec::new();
    for first in 0..colours.len() {
        if taken[first] {
            continue;
        }
        let piece = piece_from(first, &grid, &colours, &mut taken);
        if piece.len() >= least {
            let off = delta_e00(middle(&piece, &colours), near).0;
            pieces.push((reaches_across(&piece, &grid), off, piece));
        }
    }
    pieces.sort_by(|a, b| {
        (a.0.cmp(&b.0))
            .then(a.1.total_cmp(&b.1))
            .then(b.2.len().cmp(&a.2.len()))
    });
    let doubtful = matches!(pieces.as_slice(), [a, b, ..] if b.1 - a.1 < DOUBT);
    let (_, _, piece) = pieces.into_iter().next()?;
    Some(FoundPatch {
        region: inner_box(&piece, &grid)?,
        doubtful,
    })
}

/// True for a piece that touches opposite sides of the photo.
fn reaches_across(piece: &[usize], grid: &LightGrid) -> bool {
    let touches = |side: fn(usize, &LightGrid) -> bool| piece.iter().any(|at| side(*at, grid));
    // An edge's own cells belong to no piece where the picture ends in one, so the outermost two count.
    let left = touches(|at, grid| at % grid.width < 2);
    let right = touches(|at, grid| at % grid.width + 2 >= grid.width);
    let top = touches(|at, grid| at / grid.width < 2);
    let bottom = touches(|at, grid| at / grid.width + 2 >= grid.height);
    (left && right) || (top && bottom)
}

/// True for a cell that differs from a neighbour: at the edge of a patch, cells blend it with its surroundings.
fn on_an_edge(at: usize, grid: &LightGrid, colours: &[LabD65]) -> bool {
    neighbours(at, grid).any(|other| delta_e00(colours[at], colours[other]).0 >= SMOOTH)
}

/// The cells left, right, above and below.
fn neighbours(at: usize, grid: &LightGrid) -> impl Iterator<Item = usize> + use<> {
    let (column, row) = (at % grid.width, at / grid.width);
    [
        (column > 0).then(|| at - 1),
        (column + 1 < grid.width).then_some(at + 1),
        (row > 0).then(|| at - grid.width),
        (row + 1 < grid.height).then_some(at + grid.width),
    ]
    .into_iter()
    .flatten()
}

/// True when a cell touches the region's bounds.
fn holds(region: &Region, grid: &LightGrid, at: usize) -> bool {
    let [left, top, right, bottom] = region.outline.bounds();
    let [x, y, dx, dy] = cell(grid, at);
    x + dx >= left && x <= right && y + dy >= top && y <= bottom
}

/// Left, top, width and height of a cell, as fractions.
#[expect(clippy::cast_precision_loss, reason = "a few dozen cells a side")]
fn cell(grid: &LightGrid, at: usize) -> [f64; 4] {
    let (dx, dy) = (1.0 / grid.width as f64, 1.0 / grid.height as f64);
    let (column, row) = (at % grid.width, at / grid.width);
    [column as f64 * dx, row as f64 * dy, dx, dy]
}

fn piece_from(
    first: usize,
    grid: &LightGrid,
    colours: &[LabD65],
    taken: &mut [bool],
) -> Vec<usize> {
    let mut piece = vec![first];
    let mut next = 0;
    taken[first] = true;
    while next < piece.len() {
        let at = piece[next];
        next += 1;
        for other in neighbours(at, grid) {
            if !taken[other]
                && delta_e00(colours[at], colours[other]).0 < SMOOTH
                && delta_e00(colours[first], colours[other]).0 < ONE_PIECE
            {
                taken[other] = true;
                piece.push(other);
            }
        }
    }
    piece
}

/// The colour of the cell with the middle lightness.
fn middle(piece: &[usize], colours: &[LabD65]) -> LabD65 {
    let mut sorted: Vec<LabD65> = piece.iter().map(|at| colours[*at]).collect();
    sorted.sort_by(|a, b| a.l.total_cmp(&b.l));
    sorted[sorted.len() / 2]
}

/// A box within a piece, grown about its middle as far as all of it belongs to the piece, a cell's edge left off.
fn inner_box(piece: &[usize], grid: &LightGrid) -> Option<Region> {
    let mut inside = vec![false; grid.cells.len()];
    for at in piece {
        inside[*at] = true;
    }
    let mean = |of: fn(usize, usize) -> usize| {
        piece.iter().map(|at| of(*at, grid.width)).sum::<usize>() / piece.len().max(1)
    };
    let (column, row) = (mean(|at, width| at % width), mean(|at, width| at / width));
    let start = piece
        .iter()
        .copied()
        .min_by_key(|at| (at % grid.width).abs_diff(column) + (at / grid.width).abs_diff(row))?;
    let (mut left, mut top) = (start % grid.width, start / grid.width);
    let (mut right, mut bottom) = (left, top);
    let all_in = |left: usize, top: usize, right: usize, bottom: usize| {
        (top..=bottom).all(|y| (left..=right).all(|x| inside[y * grid.width + x]))
    };
    loop {
        let before = (left, top, right, bottom);
        if left > 0 && all_in(left - 1, top, left - 1, bottom) {
            left -= 1;
        }
        if right + 1 < grid.width && all_in(right + 1, top, right + 1, bottom) {
            right += 1;
        }
        if top > 0 && all_in(left, top - 1, right, top - 1) {
            top -= 1;
        }
        if bottom + 1 < grid.height && all_in(left, bottom + 1, right, bottom + 1) {
            bottom += 1;
        }
        if before == (left, top, right, bottom) {
            break;
        }
    }
    let [l, t, dx, dy] = cell(grid, top * grid.width + left);
    let [r, b, _, _] = cell(grid, bottom * grid.width + right);
    let (off_x, off_y) = (0.35 * dx, 0.35 * dy);
    let (l, t, r, b) = (l + off_x, t + off_y, r + dx - off_x, b + dy - off_y);
    let outline = Outline::new(vec![[l, t], [r, t], [r, b], [l, b]]).ok()?;
    Some(Region {
        outline,
        leave_out: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_patch_is_found_beside_a_card_on_a_bench() {
        // A brown patch and a grey card on a bench whose grain is uneven.
        let (width, height) = (300, 200);
        let mut rgb = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let grain = u8::try_from((x * 7 + y * 13) % 40).unwrap();
                rgb.extend(match (x, y) {
                    (180..260, 60..140) => [122, 84, 62],
                    (40..120, 50..150) => [118, 118, 118],
                    _ => [150 + grain, 120 + grain, 80 + grain],
                });
            }
        }
        let picture = Picture::from_srgb8(width, height, rgb).unwrap();
        let near = LabD65::from(crate::colour::Srgb8([110, 80, 62]));
        let card = Region {
            outline: Outline::new(vec![[0.15, 0.3], [0.38, 0.3], [0.38, 0.7], [0.15, 0.7]])
                .unwrap(),
            leave_out: Vec::new(),
        };
        let found = find_patch(&picture, near, &[card]).unwrap();
        let [left, top, right, bottom] = found.region.outline.bounds();
        assert!(left >= 0.6 && right <= 0.867 && top >= 0.3 && bottom <= 0.7);
        assert!((right - left) * (bottom - top) > 0.05);
        let read = picture.reading(&found.region).unwrap();
        assert!(read.spread.0 < 0.5, "{read:?}");
    }

    #[test]
    fn neither_the_whole_card_about_a_point_nor_the_ground_is_taken_for_the_patch() {
        // A brown patch and a grey card on even white; of the card only a point is known, and the plan was a grey.
        let (width, height) = (300, 200);
        let mut rgb = Vec::new();
        for y in 0..height {
            for x in 0..width {
                rgb.extend(match (x, y) {
                    (180..260, 60..140) => [150, 120, 95],
                    (40..120, 50..150) => [118, 118, 118],
                    _ => [240, 240, 238],
                });
            }
        }
        let picture = Picture::from_srgb8(width, height, rgb).unwrap();
        let near = LabD65::from(crate::colour::Srgb8([136, 137, 132]));
        let point = Region::about([0.27, 0.5]).unwrap();
        let found = find_patch(&picture, near, &[point]).unwrap();
        let [left, top, right, bottom] = found.region.outline.bounds();
        assert!(left >= 0.6 && right <= 0.867 && top >= 0.3 && bottom <= 0.7);
    }
}
