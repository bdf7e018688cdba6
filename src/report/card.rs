//! What a card reader saw, as a picture: the photo with each cell outlined, and the colour read of each beside it.

use super::ReportError;
use super::figures::px;
use crate::card::Card;
use crate::photo::SmallJpeg;
use crate::report::page::tight::with_tight_drawings;
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// One cell, drawn on the photo and as a line of the legend.
#[derive(Debug, Clone)]
struct Seen {
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
    base64: String,
    cells: Vec<Seen>,
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
        cells.push(Seen {
            points: points.join(" "),
            number_x: px(x + 3.0),
            number_y: px(y + 13.0),
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
        width: photo.width + LEGEND,
        height: photo.height.max(line * LINE + 60),
        photo_width: photo.width,
        photo_height: photo.height,
        legend_x: photo.width + 12,
        base64: STANDARD.encode(&photo.bytes),
        cells,
    };
    Ok(with_tight_drawings(&figure.render()?))
}
