//! What a card reader saw, as a picture: the photo with each cell outlined, and the colour read of each beside it.

use super::ReportError;
use super::figures::px;
use crate::card::{Card, MUCH_GLARE, UNEVEN, VARIED};
use crate::colour::delta_e00;
use crate::paint::{Called, called};
use crate::photo::SmallJpeg;
use crate::report::page::tight::with_tight_drawings;
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// One cell, drawn on the photo and as a line of the legend.
#[derive(Debug, Clone)]
struct CellShown {
    points: String,
    number_x: String,
    number_y: String,
    number: usize,
    swatch_y: String,
    text_y: String,
    hex: String,
    text: String,
}

#[derive(Debug, Template)]
#[template(path = "figures/card.svg", config = "report-templates/askama.toml")]
struct CardFigure {
    label: String,
    width: u32,
    height: u32,
    photo_width: u32,
    photo_height: u32,
    legend_x: u32,
    /// Whether the colours are named beside it.
    legend: bool,
    font: String,
    edge: String,
    line: String,
    base64: String,
    cells: Vec<CellShown>,
}

/// Width of the legend and height of a line of it, pixels.
const LEGEND: u32 = 320;
const LINE: u32 = 22;

/// Draws it; `names` are those of the cells, row by row, `None` for a cell that is left out.
///
/// # Errors
/// [`ReportError`] when the template fails.
pub fn card_svg(
    file: &str,
    photo: &SmallJpeg,
    card: &Card,
    names: &[Option<String>],
) -> Result<String, ReportError> {
    drawn((file, photo), card, names, Legend::Beside)
}

/// Draws the photo with its outlined cells alone, numbered so that the numbers are read where it is shown small.
///
/// # Errors
/// As [`card_svg`].
pub fn card_photo_svg(file: &str, photo: &SmallJpeg, card: &Card) -> Result<String, ReportError> {
    let all = vec![Some(String::new()); card.cells.len()];
    drawn((file, photo), card, &all, Legend::None)
}

/// Width of a photo, shown small, at which its numbers have their usual size, pixels.
const SHOWN_SMALL: f64 = 360.0;

/// Where the names of the cells stand.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Legend {
    /// Beside the photo.
    Beside,
    /// Nowhere: the cells carry their numbers alone.
    None,
}

fn drawn(
    (file, photo): (&str, &SmallJpeg),
    card: &Card,
    names: &[Option<String>],
    legend: Legend,
) -> Result<String, ReportError> {
    let legend = legend == Legend::Beside;
    let scale = if legend {
        1.0
    } else {
        (f64::from(photo.width) / SHOWN_SMALL).max(1.0)
    };
    let (width, height) = (f64::from(photo.width), f64::from(photo.height));
    let mut cells = Vec::new();
    let mut line = 0;
    for (at, cell) in card.cells.iter().enumerate() {
        let place = |[x, y]: [f64; 2]| [x * width, y * height];
        let points: Vec<String> = cell
            .outline
            .iter()
            .map(|p| {
                let [x, y] = place(*p);
                format!("{},{}", px(x), px(y))
            })
            .collect();
        let Some(name) = names.get(at).and_then(Option::as_ref) else {
            continue;
        };
        let [x, y] = place(cell.outline[0]);
        let top = f64::from(line * LINE + 40);
        let hex = cell.reading.colour.to_srgb8().to_string();
        cells.push(CellShown {
            points: points.join(" "),
            number_x: px(x + 3.0 * scale),
            number_y: px(y + 13.0 * scale),
            number: at + 1,
            swatch_y: px(top),
            text_y: px(top + 13.0),
            text: format!(
                "{} {name}, {hex}, spread {:.1}",
                at + 1,
                cell.reading.spread.0
            ),
            hex,
        });
        line += 1;
    }
    let figure = CardFigure {
        label: format!("What was read off {file}: {} cells", cells.len()),
        width: photo.width + if legend { LEGEND } else { 0 },
        height: photo.height.max(if legend { line * LINE + 60 } else { 0 }),
        legend,
        font: px(12.0 * scale),
        edge: px(3.0 * scale),
        line: px(1.2 * scale),
        photo_width: photo.width,
        photo_height: photo.height,
        legend_x: photo.width + 12,
        base64: STANDARD.encode(&photo.bytes),
        cells,
    };
    Ok(with_tight_drawings(&figure.render()?))
}

/// A cell this near to the card's own white may have been left empty. Our choice: less than a photo can show.
const AS_THE_CARD: f64 = 3.0;

/// What is doubtful about a card and its cells; `is_own` decides from its name whether a cell shows a paint by
/// itself.
#[must_use]
pub fn card_doubts(
    card: &Card,
    names: &[Option<String>],
    is_own: impl Fn(&str) -> bool,
) -> Vec<String> {
    let mut doubts = Vec::new();
    match &card.ground {
        Some(ground) if ground.unevenness > UNEVEN => doubts.push(format!(
            "the card is lit unevenly: {:.0} % more light in one place than in another; its white was used to even that out",
            100.0 * (ground.unevenness - 1.0)
        )),
        Some(_) => {}
        None => doubts.push(
            "the ground between the cells is not white card, so uneven light cannot be evened out".to_owned(),
        ),
    }
    for (cell, name) in card.cells.iter().zip(names) {
        let Some(name) = name else { continue };
        let is_told_white = called(name, cell.reading.colour) == Called::Agrees;
        let is_bare = card
            .ground
            .as_ref()
            .is_some_and(|ground| delta_e00(ground.colour, cell.reading.colour).0 < AS_THE_CARD);
        if is_bare && is_own(name) && !is_told_white {
            doubts.push(format!(
                "{name}: it looks like the bare card. A white paint? If its cell was left empty, write - instead of its name"
            ));
        }
        if cell.reading.glare > MUCH_GLARE || cell.reading.clipped > MUCH_GLARE {
            doubts.push(format!(
                "{name}: it shines or is blown out in places, and these were left out: light it from the side"
            ));
        }
        if cell.reading.spread.0 > VARIED {
            doubts.push(format!(
                "{name}: it is uneven (ΔE00 {:.0} within it): brush it out in two coats",
                cell.reading.spread.0
            ));
        }
    }
    doubts
}
