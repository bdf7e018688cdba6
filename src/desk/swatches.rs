//! A photographed card of brushed-out paints: read, with a picture of what was seen.

use super::desk::Desk;
use super::refused::Refused;
use crate::card::{CardLayout, read_card};
use crate::photo::{Crop, KnownLight, decode, small_jpeg};
use crate::region::Region;
use crate::report::{card_doubts, card_photo_svg};
use serde::Deserialize;
use serde_json::{Value, json};

/// A card in a photo.
#[derive(Debug, Clone, Deserialize)]
pub struct AskCard {
    /// The photo's file name.
    name: String,
    /// Cells across.
    columns: usize,
    /// Cells down.
    rows: usize,
    /// Where the grey card is, across and down, where there is one.
    card_x: Option<f64>,
    card_y: Option<f64>,
}

/// Most columns and rows.
const MOST_CELLS: usize = 40;
/// A grey card reflects so much.
const GREY_CARD: f64 = 0.18;
/// Long side of the picture of what was seen, pixels.
const PICTURE_SIDE: u32 = 1000;

impl Desk {
    /// Reads a photographed card: the colour of each cell, row by row, and a picture of what was seen. Nothing is kept.
    ///
    /// # Errors
    /// [`Refused`] for a photo that cannot be read, or a grid that is not found in it.
    pub fn card(&self, ask: &AskCard, photo: &[u8]) -> Result<Value, Refused> {
        let sides = 1..=MOST_CELLS;
        if !sides.contains(&ask.columns) || !sides.contains(&ask.rows) {
            return Err(Refused::words(format!(
                "found {} cells across and {} down, expected 1 to {MOST_CELLS} each",
                ask.columns, ask.rows
            )));
        }
        let grey = ask.card_x.zip(ask.card_y);
        let grey = grey.map(|(x, y)| Region::about([x, y])).transpose();
        let grey = grey.map_err(|e| Refused::of_problem(&e))?;
        let mut picture = decode(photo, &self.settings.limits)
            .map_err(|e| Refused::of_problem(&e))?
            .value;
        let known = grey
            .clone()
            .map_or(KnownLight::Nothing, |region| KnownLight::Neutral {
                region,
                reflectance: Some(GREY_CARD),
            });
        let light = picture
            .correct(&known)
            .map_err(|e| Refused::of_problem(&e))?;
        let layout = CardLayout {
            columns: ask.columns,
            rows: ask.rows,
            corners: None,
            light_read_in: grey,
        };
        let card = read_card(&picture, &light, &layout).map_err(|e| Refused::of_problem(&e))?;
        let (varied, of) = card.across_edges(card.cells.iter().map(|_| true));
        if 4 * varied > of {
            return Err(Refused::Problem {
                words: format!(
                    "found {varied} of {of} cells with more than one colour in them: a grid of {} by {} does not lie on the paints",
                    ask.columns, ask.rows
                ),
                hint: Some("count the cells across and down again".to_owned()),
            });
        }
        let names: Vec<Option<String>> = (1..=card.cells.len())
            .map(|n| Some(format!("paint {n}")))
            .collect();
        let small = small_jpeg(&picture, Crop::WHOLE, PICTURE_SIDE)
            .ok_or_else(|| Refused::words("found no pixel in the photo"))?;
        let seen =
            card_photo_svg(&ask.name, &small, &card).map_err(|e| Refused::words(e.to_string()))?;
        let cells = card.cells.iter().map(|cell| {
            let off = card.uncertainty.0;
            json!({
                "hex": cell.reading.colour.to_srgb8().to_string(),
                "note": format!("read off {}, spread {:.1}, off by about {off:.0}", ask.name, cell.reading.spread.0),
            })
        });
        Ok(json!({
            "seen": seen,
            "cells": cells.collect::<Vec<_>>(),
            "doubts": card_doubts(&card, &names, |_| true),
            "uncertainty": card.uncertainty.0,
        }))
    }
}
