//! Where the cells of a card are.

use super::CardLayout;
use crate::colour::{LabD65, LinearSrgb, delta_e00};
use crate::linear::{least_squares, square_to_corners};
use crate::photo::{LightGrid, Picture};
use crate::region::{Region, pieces as connected};

/// Why a card's grid cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GridError {
    /// Too few pieces of paint.
    #[error("found {found} pieces of paint on a light ground, expected about {expected}")]
    NotFound {
        /// How many.
        found: usize,
        /// Columns times rows.
        expected: usize,
    },
    /// The pieces do not lie on a grid of that size.
    #[error(
        "found {found} pieces of paint that do not lie on a grid of {columns} by {rows}, expected even columns and rows"
    )]
    NoGrid {
        /// How many pieces.
        found: usize,
        /// Columns.
        columns: usize,
        /// Rows.
        rows: usize,
    },
    /// A whole row or column at the grid's edge in which no paint is seen.
    #[error(
        "found no piece of paint in the {edge} of a grid of {columns} by {rows}, expected paint in each row and column"
    )]
    EmptyEdge {
        /// "first row", "last column" …
        edge: &'static str,
        /// Columns.
        columns: usize,
        /// Rows.
        rows: usize,
    },
    /// Paint that goes on beyond the grid.
    #[error(
        "found {found} pieces of paint in line beyond the {edge} of a grid of {columns} by {rows}, expected none there"
    )]
    GoesOn {
        /// How many.
        found: usize,
        /// "first row", "last column" …
        edge: &'static str,
        /// Columns.
        columns: usize,
        /// Rows.
        rows: usize,
    },
    /// A card that is not white once the light is taken out.
    #[error(
        "found a card that reflects {found:.0} % after correcting the light, expected a white one, about 85 %"
    )]
    DarkCard {
        /// In percent.
        found: f64,
    },
    /// The corners do not span anything.
    #[error("found corners that do not span a card, expected four corners in order round it")]
    BadCorners,
    /// A cell reaches out of the photo.
    #[error("found row {}, column {} of the card outside the photo, expected the whole card in it", row + 1, column + 1)]
    OutsidePhoto {
        /// Column, from 0.
        column: usize,
        /// Row, from 0.
        row: usize,
    },
}

impl crate::problem::Explain for GridError {
    fn hint(&self) -> Option<String> {
        Some(
            match self {
                Self::NotFound { .. } | Self::NoGrid { .. } => {
                    "a paint as light as its card cannot be seen, nor can one at the photo's edge. Is the grid columns by rows, 4x5 for four across and five down? Otherwise give its outer corners with --corners \"x,y x,y x,y x,y\", as fractions, beginning at the first cell"
                }
                Self::EmptyEdge { .. } => {
                    "is the grid columns by rows, 4x5 for four across and five down? Paints as light as the card cannot be seen: if they fill a whole row, give the grid's outer corners with --corners \"x,y x,y x,y x,y\", as fractions, beginning at the first cell"
                }
                Self::GoesOn { .. } => {
                    "count the columns and rows again, or give the outer corners of those you mean with --corners \"x,y x,y x,y x,y\", as fractions"
                }
                Self::DarkCard { .. } => {
                    "is the neutral on the grey card, not on the white one, and is its reflectance right?"
                }
                Self::BadCorners => {
                    "begin at the first cell, then the end of the first row, the last cell, the first cell of the last row"
                }
                Self::OutsidePhoto { .. } => "photograph the whole card with a margin round it",
            }
            .to_owned(),
        )
    }
}

/// A grid that was found.
pub(super) struct FoundGrid {
    /// Outer corners, half a pitch beyond the middles of the outer cells.
    pub(super) corners: [[f64; 2]; 4],
    /// Half the size of a cell, in pitches: the smaller of width and height.
    pub(super) half_cell: f64,
}

/// A piece of paint: its middle and its bounds, in cells of the light grid.
#[derive(Debug, Clone)]
struct Piece {
    middle: [f64; 2],
    bounds: [usize; 4],
    cells: usize,
}

/// Cells along the longer side.
const SIDE: usize = 240;
/// What a white ground reflects: Y of L* 95.
const WHITE_REFLECTS: f64 = 0.876;
/// A cell further from its ground than this is paint. Our choice.
const PAINT: f64 = 6.0;
/// Pieces of a card must lie this near to whole columns and rows, in pitches.
const ON_GRID: f64 = 0.3;
/// Share of the cells that must be found as pieces; the others may be as light as the card.
const ENOUGH: f64 = 0.6;

/// Finds the grid of cells on a light ground.
pub(super) fn find(picture: &Picture, layout: &CardLayout) -> Result<FoundGrid, GridError> {
    let (columns, rows) = (layout.columns, layout.rows);
    let grid = picture.light_grid(SIDE);
    let expected = columns * rows;
    let paint = off_the_ground(&grid);
    let mut pieces = pieces_of(&paint, &grid);
    if let Some(region) = &layout.light_read_in {
        pieces.retain(|piece| !touches(piece, region, &grid));
    }
    let mut sizes: Vec<usize> = pieces.iter().map(|p| p.cells).collect();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    // The typical size is that of the middle one of as many as there should be, the largest first: specks do not count.
    let typical = sizes
        .get(expected.min(sizes.len()).saturating_sub(1) / 2)
        .copied()
        .unwrap_or(0);
    pieces.retain(|p| 3 * p.cells >= typical && p.cells <= 3 * typical);
    #[expect(clippy::cast_precision_loss, reason = "a few hundred cells")]
    let enough = pieces.len() as f64 >= ENOUGH * expected as f64 && pieces.len() >= 4;
    if !enough {
        return Err(GridError::NotFound {
            found: pieces.len(),
            expected,
        });
    }
    let settled = starts(&pieces, columns, rows)
        .into_iter()
        .filter_map(|start| settled(start, &pieces, columns, rows))
        .max_by(|a, b| a.1.cmp(&b.1).then(b.2.total_cmp(&a.2)))
        .filter(|(_, on_grid, _)| 10 * on_grid >= 8 * pieces.len());
    let no_grid = || GridError::NoGrid {
        found: pieces.len(),
        columns,
        rows,
    };
    let (map, _, _) = settled.ok_or_else(no_grid)?;
    edges_hold(&map, &pieces, columns, rows)?;
    grid_in_picture(&map, &pieces, &grid, columns, rows).ok_or_else(no_grid)
}

/// Sides of a grid.
const EDGES: [&str; 4] = ["first row", "last row", "first column", "last column"];

/// Each row and column at the edge of the grid holds paint, and no row or column goes on beyond it.
fn edges_hold(map: &Map, pieces: &[Piece], columns: usize, rows: usize) -> Result<(), GridError> {
    #[expect(clippy::cast_precision_loss, reason = "a few dozen columns")]
    let last = [(columns - 1) as f64, (rows - 1) as f64];
    // A piece's column and row where the grid went on by one in each direction.
    let wider = shifted(map);
    let nodes: Vec<[f64; 2]> = pieces
        .iter()
        .map(|piece| nearest_node(&wider, piece.middle, columns + 2, rows + 2))
        .filter(|(_, distance)| *distance < ON_GRID)
        .map(|([column, row], _)| [column - 1.0, row - 1.0])
        .collect();
    let is = |one: f64, other: f64| (one - other).abs() < 0.5;
    let within = |at: f64, last: f64| at > -0.5 && at < last + 0.5;
    let count = |fits: &dyn Fn(&[f64; 2]) -> bool| nodes.iter().filter(|node| fits(node)).count();
    for (side, edge) in EDGES.into_iter().enumerate() {
        let axis = usize::from(side < 2);
        let (at, beyond) = match side % 2 {
            0 => (0.0, -1.0),
            _ => (last[axis], last[axis] + 1.0),
        };
        let on = count(&|n| is(n[axis], at) && within(n[1 - axis], last[1 - axis]));
        let found = count(&|n| is(n[axis], beyond) && within(n[1 - axis], last[1 - axis]));
        if on == 0 {
            return Err(GridError::EmptyEdge {
                edge,
                columns,
                rows,
            });
        }
        let along = if axis == 1 { columns } else { rows };
        if found >= 2 && 2 * found >= along {
            return Err(GridError::GoesOn {
                found,
                edge,
                columns,
                rows,
            });
        }
    }
    Ok(())
}

/// The same map with columns and rows counted from one before the first.
fn shifted(map: &Map) -> Map {
    let [a, b, c, d, e, f, g, h] = *map;
    let w = 1.0 - g - h;
    [a, b, c - a - b, d, e, f - d - e, g, h].map(|v| v / w)
}

/// True when the bounds of a piece and of a region meet.
#[expect(clippy::cast_precision_loss, reason = "a few hundred cells")]
fn touches(piece: &Piece, region: &Region, grid: &LightGrid) -> bool {
    let [left, top, right, bottom] = region.outline.bounds();
    let (width, height) = (grid.width as f64, grid.height as f64);
    let [l, t, r, b] = piece.bounds;
    l as f64 / width <= right
        && (r + 1) as f64 / width >= left
        && t as f64 / height <= bottom
        && (b + 1) as f64 / height >= top
}

/// Marks what differs from the light ground about it: the ground of each cell is the lightest of its surroundings, smoothed.
fn off_the_ground(grid: &LightGrid) -> Vec<bool> {
    let lab: Vec<LabD65> = grid.cells.iter().map(|l| LabD65::from(*l)).collect();
    // A surface through the lighter cells, in the logarithm of light, as a white card lit unevenly has it.
    let mut lightness: Vec<f64> = lab.iter().map(|c| c.l).collect();
    lightness.sort_by(f64::total_cmp);
    let light_from = lightness[lightness.len() * 7 / 10];
    let mut on: Vec<bool> = lab.iter().map(|c| c.l >= light_from).collect();
    let mut surface = [[0.0; 6]; 3];
    for _ in 0..8 {
        let Some(fit) = fit_surface(grid, &on) else {
            break;
        };
        surface = fit;
        on = (0..lab.len())
            .map(|at| delta_e00(lab[at], LabD65::from(surface_at(&surface, grid, at))).0 < PAINT)
            .collect();
    }
    let white = LabD65::new(95.0, 0.0, 0.0);
    (0..lab.len())
        .map(|at| {
            // Compared as if the ground were white, so that dim corners do not hide differences.
            let ground = surface_at(&surface, grid, at);
            let here = grid.cells[at];
            let scaled = |v: f64, g: f64| WHITE_REFLECTS * v / g.max(1e-4);
            let seen = LabD65::from(LinearSrgb {
                r: scaled(here.r, ground.r),
                g: scaled(here.g, ground.g),
                b: scaled(here.b, ground.b),
            });
            delta_e00(seen, white).0 > PAINT
        })
        .collect()
}

#[expect(clippy::cast_precision_loss, reason = "a few hundred cells a side")]
fn place(grid: &LightGrid, at: usize) -> [f64; 6] {
    let x = (at % grid.width) as f64 / grid.width as f64 - 0.5;
    let y = (at / grid.width) as f64 / grid.height as f64 - 0.5;
    [1.0, x, y, x * x, x * y, y * y]
}

fn surface_at(surface: &[[f64; 6]; 3], grid: &LightGrid, at: usize) -> LinearSrgb {
    let terms = place(grid, at);
    let [r, g, b] = surface.map(|row| row.iter().zip(terms).map(|(s, t)| s * t).sum::<f64>().exp());
    LinearSrgb { r, g, b }
}

fn fit_surface(grid: &LightGrid, on: &[bool]) -> Option<[[f64; 6]; 3]> {
    let cells = grid.cells.iter().enumerate().filter(|(at, _)| on[*at]);
    let rows = cells.map(|(at, light)| {
        let logs = [light.r, light.g, light.b].map(|v| v.max(1e-4).ln());
        (place(grid, at), logs, 1.0)
    });
    least_squares(rows, [1e-6; 6])
}

/// Connected pieces that do not touch the edge of the picture.
fn pieces_of(paint: &[bool], grid: &LightGrid) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let size = [grid.width, grid.height];
    for cells in connected(size, |at| paint[at].then_some(0)) {
        let xs = cells.iter().map(|at| at % grid.width);
        let ys = cells.iter().map(|at| at / grid.width);
        let bounds = [
            xs.clone().min().unwrap_or(0),
            ys.clone().min().unwrap_or(0),
            xs.clone().max().unwrap_or(0),
            ys.clone().max().unwrap_or(0),
        ];
        let inside = bounds[0] > 0
            && bounds[1] > 0
            && bounds[2] + 1 < grid.width
            && bounds[3] + 1 < grid.height;
        #[expect(clippy::cast_precision_loss, reason = "a few thousand cells")]
        let mean = |sum: usize| sum as f64 / cells.len() as f64 + 0.5;
        if inside && cells.len() >= 4 {
            pieces.push(Piece {
                middle: [mean(xs.sum()), mean(ys.sum())],
                bounds,
                cells: cells.len(),
            });
        }
    }
    pieces
}

/// First guesses at the middles of the four corner cells: the outermost pieces, and each corner in turn completed from the
/// other three, for a corner cell as light as its card.
fn starts(pieces: &[Piece], columns: usize, rows: usize) -> Vec<[[f64; 2]; 4]> {
    let outermost = |of: fn([f64; 2]) -> f64| {
        pieces
            .iter()
            .map(|p| p.middle)
            .max_by(|a, b| of(*a).total_cmp(&of(*b)))
            .unwrap_or([0.0, 0.0])
    };
    let all = [
        outermost(|[x, y]| -x - y),
        outermost(|[x, y]| x - y),
        outermost(|[x, y]| x + y),
        outermost(|[x, y]| y - x),
    ];
    let mut starts = vec![all];
    for missing in 0..4 {
        let mut completed = all;
        let (before, opposite, after) = (
            all[(missing + 3) % 4],
            all[(missing + 2) % 4],
            all[(missing + 1) % 4],
        );
        completed[missing] = std::array::from_fn(|i| before[i] + after[i] - opposite[i]);
        starts.push(completed);
    }
    starts.extend(by_neighbours(pieces, columns, rows));
    if columns < 2 || rows < 2 {
        starts.clear();
    }
    starts
}

/// How near a neighbour must be to where it is looked for, in pitches.
const BESIDE: f64 = 0.35;

/// The middle one of the steps from each piece to the nearest one to its right (`towards` 0) or below it (1).
fn middle_step(pieces: &[Piece], towards: usize) -> Option<[f64; 2]> {
    let nearest = |from: &Piece| {
        let apart = |to: &Piece| [to.middle[0] - from.middle[0], to.middle[1] - from.middle[1]];
        pieces
            .iter()
            .map(apart)
            .filter(|d| d[towards] > 0.0 && d[1 - towards].abs() < 0.6 * d[towards])
            .min_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1])))
    };
    let mut steps: Vec<[f64; 2]> = pieces.iter().filter_map(nearest).collect();
    steps.sort_by(|a, b| a[towards].total_cmp(&b[towards]));
    steps.get(steps.len() / 2).copied()
}

/// A first guess from neighbour to neighbour, for a card with several cells as light as it: the steps across and down are
/// the middle ones of what lies nearest to the right and below, and each piece is counted from one that has been.
fn by_neighbours(pieces: &[Piece], columns: usize, rows: usize) -> Option<[[f64; 2]; 4]> {
    let (across, down) = (middle_step(pieces, 0)?, middle_step(pieces, 1)?);
    let mut counted: Vec<Option<[i32; 2]>> = vec![None; pieces.len()];
    let (x, y) = (
        pieces.iter().map(|p| p.middle[0]).sum::<f64>(),
        pieces.iter().map(|p| p.middle[1]).sum::<f64>(),
    );
    #[expect(clippy::cast_precision_loss, reason = "a few hundred pieces")]
    let of = pieces.len() as f64;
    let off = |p: &Piece| (p.middle[0] - x / of).hypot(p.middle[1] - y / of);
    let first = (0..pieces.len()).min_by(|a, b| off(&pieces[*a]).total_cmp(&off(&pieces[*b])))?;
    counted[first] = Some([0, 0]);
    let mut waiting = vec![first];
    while let Some(from) = waiting.pop() {
        let [column, row] = counted[from]?;
        for (dc, dr) in [(1, 0), (-1, 0), (0, 1), (0, -1)] {
            let wanted: [f64; 2] = std::array::from_fn(|i| {
                pieces[from].middle[i] + f64::from(dc) * across[i] + f64::from(dr) * down[i]
            });
            let pitch = if dr == 0 { across } else { down };
            let reach = BESIDE * pitch[0].hypot(pitch[1]);
            let found = (0..pieces.len()).find(|to| {
                let [x, y] = pieces[*to].middle;
                counted[*to].is_none() && (x - wanted[0]).hypot(y - wanted[1]) < reach
            });
            if let Some(to) = found {
                counted[to] = Some([column + dc, row + dr]);
                waiting.push(to);
            }
        }
    }
    let places = || counted.iter().flatten();
    let (left, top) = (places().map(|c| c[0]).min()?, places().map(|c| c[1]).min()?);
    let pairs: Vec<([f64; 2], [f64; 2])> = counted
        .iter()
        .zip(pieces)
        .filter_map(|(place, piece)| {
            let [column, row] = (*place)?;
            Some((
                [f64::from(column - left), f64::from(row - top)],
                piece.middle,
            ))
        })
        .collect();
    let map = fit_map(&pairs)?;
    #[expect(clippy::cast_precision_loss, reason = "a few dozen columns")]
    let (c, r) = ((columns - 1) as f64, (rows - 1) as f64);
    Some([
        at(&map, 0.0, 0.0),
        at(&map, c, 0.0),
        at(&map, c, r),
        at(&map, 0.0, r),
    ])
}

/// The projective map from column and row to the light grid, as eight coefficients.
type Map = [f64; 8];

fn at(map: &Map, column: f64, row: f64) -> [f64; 2] {
    let [a, b, c, d, e, f, g, h] = *map;
    let w = g * column + h * row + 1.0;
    [
        (a * column + b * row + c) / w,
        (d * column + e * row + f) / w,
    ]
}

/// Settles a guess: each piece goes to its nearest column and row, the map is fitted to all, and again. Gives the map, how
/// many pieces lie on it, and how far off they are.
fn settled(
    start: [[f64; 2]; 4],
    pieces: &[Piece],
    columns: usize,
    rows: usize,
) -> Option<(Map, usize, f64)> {
    #[expect(clippy::cast_precision_loss, reason = "a few dozen columns")]
    let (last_column, last_row) = ((columns - 1) as f64, (rows - 1) as f64);
    let square = [
        [0.0, 0.0],
        [last_column, 0.0],
        [last_column, last_row],
        [0.0, last_row],
    ];
    let pairs: Vec<([f64; 2], [f64; 2])> = square.into_iter().zip(start).collect();
    let mut map = fit_map(&pairs)?;
    let mut outcome = None;
    for _ in 0..4 {
        let mut pairs: Vec<([f64; 2], [f64; 2])> = Vec::new();
        let mut off = 0.0;
        for piece in pieces {
            let (node, distance) = nearest_node(&map, piece.middle, columns, rows);
            if distance < ON_GRID && !pairs.iter().any(|(other, _)| same(*other, node)) {
                pairs.push((node, piece.middle));
                off += distance;
            }
        }
        if pairs.len() < 4 {
            return outcome;
        }
        map = fit_map(&pairs)?;
        outcome = Some((map, pairs.len(), off));
    }
    outcome
}

/// True for the same column and row.
fn same(one: [f64; 2], other: [f64; 2]) -> bool {
    (one[0] - other[0]).abs() < 0.5 && (one[1] - other[1]).abs() < 0.5
}

/// The column and row nearest to a place, and how far off that is in pitches.
fn nearest_node(map: &Map, to: [f64; 2], columns: usize, rows: usize) -> ([f64; 2], f64) {
    let mut best = ([0.0, 0.0], f64::INFINITY);
    for row in 0..rows {
        for column in 0..columns {
            #[expect(clippy::cast_precision_loss, reason = "a few dozen columns")]
            let node = [column as f64, row as f64];
            let here = at(map, node[0], node[1]);
            let right = at(map, node[0] + 1.0, node[1]);
            let below = at(map, node[0], node[1] + 1.0);
            let pitch = (right[0] - here[0])
                .hypot(right[1] - here[1])
                .min((below[0] - here[0]).hypot(below[1] - here[1]));
            let distance = (to[0] - here[0]).hypot(to[1] - here[1]) / pitch.max(1e-9);
            if distance < best.1 {
                best = (node, distance);
            }
        }
    }
    best
}

/// Least squares of a projective map over pairs of (column, row) and place.
///
/// # Source
/// Heckbert 1989, *Fundamentals of texture mapping and image warping*, section 2.2.3, for the linear equations.
fn fit_map(pairs: &[([f64; 2], [f64; 2])]) -> Option<Map> {
    let rows = pairs.iter().flat_map(|([u, v], [x, y])| {
        [
            ([*u, *v, 1.0, 0.0, 0.0, 0.0, -u * x, -v * x], [*x], 1.0),
            ([0.0, 0.0, 0.0, *u, *v, 1.0, -u * y, -v * y], [*y], 1.0),
        ]
    });
    least_squares(rows, [0.0; 8]).map(|[map]| map)
}

/// The grid as fractions of the picture, with the size of its cells.
fn grid_in_picture(
    map: &Map,
    pieces: &[Piece],
    grid: &LightGrid,
    columns: usize,
    rows: usize,
) -> Option<FoundGrid> {
    #[expect(clippy::cast_precision_loss, reason = "a few hundred cells")]
    let (width, height, last_column, last_row) = (
        grid.width as f64,
        grid.height as f64,
        columns as f64 - 0.5,
        rows as f64 - 0.5,
    );
    let corner = |column: f64, row: f64| {
        let [x, y] = at(map, column, row);
        [x / width, y / height]
    };
    let corners = [
        corner(-0.5, -0.5),
        corner(last_column, -0.5),
        corner(last_column, last_row),
        corner(-0.5, last_row),
    ];
    let _spans_something = square_to_corners(&corners)?;
    let mut halves: Vec<f64> = pieces
        .iter()
        .map(|piece| {
            let (node, _) = nearest_node(map, piece.middle, columns, rows);
            let here = at(map, node[0], node[1]);
            let right = at(map, node[0] + 1.0, node[1]);
            let below = at(map, node[0], node[1] + 1.0);
            let across = (right[0] - here[0]).hypot(right[1] - here[1]);
            let down = (below[0] - here[0]).hypot(below[1] - here[1]);
            #[expect(clippy::cast_precision_loss, reason = "a few hundred cells")]
            let size = |from: usize, to: usize| (to - from + 1) as f64;
            let [l, t, r, b] = piece.bounds;
            (size(l, r) / across).min(size(t, b) / down) / 2.0
        })
        .collect();
    halves.sort_by(f64::total_cmp);
    Some(FoundGrid {
        corners,
        half_cell: halves[halves.len() / 2].clamp(0.1, 0.5),
    })
}
