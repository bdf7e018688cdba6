//! A photographed card of brushed-out paints: where its cells are, and the colour of each.
//!
//! In: a picture whose light is corrected as far as it can be, and the card's columns and rows. Out: a [`Card`]. It
//! opens no files and knows no names of paints.

mod grid;
mod ground;

pub use grid::GridError;
pub use ground::LightSurface;

use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz};
use crate::linear::square_to_corners;
use crate::photo::{CorrectedBy, LightReport, Picture, Reading};
use crate::region::{Outline, Region};

/// How a card is laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct CardLayout {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Outer corners of the grid of cells, half a pitch beyond the middles of the outer cells: at the first cell, the last
    /// of the first row, the last, the first of the last row. `None` finds the grid.
    pub corners: Option<[[f64; 2]; 4]>,
    /// Where the picture's light was read, a grey card or a chart: there the ground's unevenness counts as none, and what
    /// lies there is no cell.
    pub light_read_in: Option<Region>,
}

/// A card as read.
#[derive(Debug, Clone)]
pub struct Card {
    /// Its cells, row by row.
    pub cells: Vec<CardCell>,
    /// The outer corners of its grid, as in [`CardLayout::corners`].
    pub corners: [[f64; 2]; 4],
    /// Its ground, if that is white enough to show how evenly the light falls.
    pub ground: Option<LightSurface>,
    /// How far its colours may be off. Our choice: as the photo's light goes, or 6 when the card's own white is all there is.
    pub uncertainty: DeltaE00,
}

/// One cell.
#[derive(Debug, Clone)]
pub struct CardCell {
    /// Its outline as read, in fractions of the picture.
    pub outline: [[f64; 2]; 4],
    /// What it shows, evened out.
    pub reading: Reading,
}

/// Part of a pitch that is read, about a cell's middle, when the cells' own size is not known.
const INNER: f64 = 0.44;
/// Part of a cell's own size that is read.
const OF_CELL: f64 = 0.62;
/// Reflectance assumed for a white card if nothing better is known: uncoated paper. Our choice.
const PAPER: f64 = 0.85;
/// A white card that seems to reflect less than this was not the card that the light was read from. Our choice.
const DARK_CARD: f64 = 0.4;
/// Uncertainty of colours known by the card's own white alone. Our choice.
const BY_PAPER: f64 = 6.0;
/// With more glare or blown-out pixels in a cell than this, the user gets a warning. Our choice.
pub const MUCH_GLARE: f64 = 0.03;
/// If a cell is more varied than this, the user gets a warning. Our choice.
pub const VARIED: f64 = 4.0;
/// If light differs more than this between the brightest and the darkest place of the ground, the user is warned of
/// uneven light. Our choice.
pub const UNEVEN: f64 = 1.15;

/// Cells that vary as much as paint and card together are read across their edges. Our choice.
const ACROSS_AN_EDGE: f64 = 12.0;
/// A card showing in a part of a cell counts as glare there; beyond this share the cell is not on the paint. Our choice.
const LIGHT_PARTS: f64 = 0.25;

impl Card {
    /// How many cells hold more than one colour, and of how many, among those that count: where it is more than a quarter,
    /// the grid does not lie on them.
    pub fn across_edges(&self, counts: impl IntoIterator<Item = bool>) -> (usize, usize) {
        let cells = self.cells.iter().zip(counts);
        let counted: Vec<&CardCell> = cells
            .filter(|(_, counts)| *counts)
            .map(|(c, _)| c)
            .collect();
        let across = counted.iter().filter(|cell| {
            cell.reading.spread.0 > ACROSS_AN_EDGE || cell.reading.glare > LIGHT_PARTS
        });
        (across.count(), counted.len())
    }
}

impl CardCell {
    /// Reads what lies between four corners; nothing where that is outside the picture.
    fn read(picture: &Picture, outline: [[f64; 2]; 4]) -> Option<Self> {
        let region = Region {
            outline: Outline::new(outline.to_vec()).ok()?,
            leave_out: Vec::new(),
        };
        let reading = picture.reading(&region)?;
        Some(Self { outline, reading })
    }
}

/// Reads a card.
///
/// # Errors
/// [`GridError`] when the grid is not found or does not lie within the picture.
pub fn read_card(
    picture: &Picture,
    light: &LightReport,
    layout: &CardLayout,
) -> Result<Card, GridError> {
    let (corners, reach) = if let Some(corners) = layout.corners {
        (corners, INNER / 2.0)
    } else {
        let found = grid::find(picture, layout)?;
        (found.corners, OF_CELL * found.half_cell)
    };
    let map = square_to_corners(&corners).ok_or(GridError::BadCorners)?;
    #[expect(clippy::cast_precision_loss, reason = "a few dozen columns")]
    let place = |column: f64, row: f64| {
        map(
            (column + 0.5) / layout.columns as f64,
            (row + 0.5) / layout.rows as f64,
        )
    };
    let lit = ground::read(picture, layout, &place);
    let known = !matches!(
        light.by,
        CorrectedBy::Nothing { .. } | CorrectedBy::NoColour { .. }
    );
    let level = lit.as_ref().map(|lit| {
        if known {
            light_read_in(lit, layout)
        } else {
            LinearSrgb {
                r: PAPER,
                g: PAPER,
                b: PAPER,
            }
        }
    });
    if let Some(level) = level.filter(|_| known && layout.light_read_in.is_some()) {
        let found = Xyz::from(level).y;
        if found < DARK_CARD {
            return Err(GridError::DarkCard {
                found: 100.0 * found,
            });
        }
    }
    let cells = cells_of(picture, layout, (&place, reach), lit.as_ref().zip(level))?;
    Ok(Card {
        cells,
        corners,
        uncertainty: if known || lit.is_none() {
            light.uncertainty
        } else {
            DeltaE00(BY_PAPER)
        },
        ground: lit,
    })
}

/// The light as it falls where the light of the photo was read: all cells are shown in it.
fn light_read_in(lit: &LightSurface, layout: &CardLayout) -> LinearSrgb {
    let read_in = layout.light_read_in.as_ref();
    let [l, t, r, b] = read_in.map_or([0.0, 0.0, 1.0, 1.0], |region| region.outline.bounds());
    lit.light_at([f64::midpoint(l, r), f64::midpoint(t, b)])
}

/// Reads the cells row by row, each as far as `reach` around its middle; if light is known over the card, all in one light.
fn cells_of(
    picture: &Picture,
    layout: &CardLayout,
    (place, reach): (&impl Fn(f64, f64) -> [f64; 2], f64),
    lit: Option<(&LightSurface, LinearSrgb)>,
) -> Result<Vec<CardCell>, GridError> {
    let mut cells = Vec::new();
    for row in 0..layout.rows {
        for column in 0..layout.columns {
            #[expect(clippy::cast_precision_loss, reason = "a few dozen cells")]
            let (x, y) = (column as f64, row as f64);
            let outline = [
                place(x - reach, y - reach),
                place(x + reach, y - reach),
                place(x + reach, y + reach),
                place(x - reach, y + reach),
            ];
            let cell = CardCell::read(picture, outline);
            let mut cell = cell.ok_or(GridError::OutsidePhoto { column, row })?;
            if let Some((lit, level)) = lit {
                let here = lit.light_at(place(x, y));
                cell.reading.colour = evened(cell.reading.colour, here, level);
            }
            cells.push(cell);
        }
    }
    Ok(cells)
}

/// A colour lit as the ground is where it stands, as it would look lit like `level`.
fn evened(colour: LabD65, here: LinearSrgb, level: LinearSrgb) -> LabD65 {
    let light = Xyz::from(colour).to_linear_srgb();
    let scale = |v: f64, here: f64, level: f64| v * level / here.max(1e-4);
    let light = LinearSrgb {
        r: scale(light.r, here.r, level.r),
        g: scale(light.g, here.g, level.g),
        b: scale(light.b, here.b, level.b),
    };
    LabD65::from(Xyz::from(light).clamped())
}
