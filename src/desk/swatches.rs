//! A photographed card of brushed-out paints: read, with a picture of what was seen.

use super::desk::Desk;
use super::refused::Refused;
use crate::brushed::{
    Beside, MOST_CELLS, at_odds, is_own_cell, not_beside_its_cells, with_strengths,
};
use crate::card::{CardLayout, read_card};
use crate::paint::list_cells;
use crate::photo::{Crop, KnownLight, decode, small_jpeg};
use crate::region::{Outline, Region};
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
    /// Parts of white in each paint's let-down, where one stands beside it.
    with_white: Option<f64>,
    /// A coat over black and one over white stand beside each paint.
    #[serde(default)]
    over_cards: bool,
    /// Where the light is known, as fractions: a grey card at a point or in a box, or the four corners of a chart.
    light_at: Option<String>,
    /// What the grey card reflects.
    reflectance: Option<f64>,
    /// The light is to be estimated from the photo.
    #[serde(default)]
    estimate: bool,
    /// The outer corners of the grid, going round from the first cell; without them it is looked for.
    corners: Option<String>,
    /// One name a line, row by row.
    names: Option<String>,
}

/// A grey card reflects so much.
const GREY_CARD: f64 = 0.18;
/// Long side of the picture of what was seen, pixels.
const PICTURE_SIDE: u32 = 1000;

/// Points, two numbers each.
fn points(text: &str) -> Result<Vec<[f64; 2]>, Refused> {
    let told = || {
        Refused::words(format!(
            "found \"{text}\", expected places in the photo, each as two numbers"
        ))
    };
    let numbers = text
        .split([',', ';', ' '])
        .filter(|part| !part.is_empty())
        .map(|part| part.parse::<f64>().map_err(|_| told()))
        .collect::<Result<Vec<f64>, Refused>>()?;
    let (pairs, rest) = numbers.as_chunks::<2>();
    if rest.is_empty() {
        Ok(pairs.to_vec())
    } else {
        Err(told())
    }
}

fn four(text: &str, what: &str) -> Result<[[f64; 2]; 4], Refused> {
    let found = points(text)?;
    <[[f64; 2]; 4]>::try_from(found).map_err(|found| {
        Refused::words(format!(
            "found {} corners of {what}, expected 4",
            found.len()
        ))
    })
}

fn region_of(points: Vec<[f64; 2]>) -> Result<Region, Refused> {
    let outline = Outline::new(points).map_err(|e| Refused::of_problem(&e))?;
    Ok(Region {
        outline,
        leave_out: Vec::new(),
    })
}

impl AskCard {
    fn beside(&self) -> Beside {
        Beside {
            with_white: self.with_white,
            over_cards: self.over_cards,
        }
    }

    /// What is known of the light, and where in the photo that was read.
    fn light(&self) -> Result<(KnownLight, Option<Region>), Refused> {
        let Some(text) = self.light_at.as_deref().filter(|t| !t.trim().is_empty()) else {
            let known = if self.estimate {
                KnownLight::Estimate
            } else {
                KnownLight::Nothing
            };
            return Ok((known, None));
        };
        let region = match points(text)?.as_slice() {
            [point] => Region::about(*point).map_err(|e| Refused::of_problem(&e))?,
            [[l, t], [r, b]] => region_of(vec![[*l, *t], [*r, *t], [*r, *b], [*l, *b]])?,
            _ => {
                let corners = four(text, "the chart")?;
                return Ok((KnownLight::Chart(corners), region_of(corners.to_vec()).ok()));
            }
        };
        let reflectance = self.reflectance.unwrap_or(GREY_CARD);
        if !(0.01..=1.0).contains(&reflectance) {
            return Err(Refused::words(format!(
                "found that the grey card reflects {:.0} %, expected 1 to 100 % (a grey card is 18 %)",
                100.0 * reflectance
            )));
        }
        let known = KnownLight::Neutral {
            region: region.clone(),
            reflectance: Some(reflectance),
        };
        Ok((known, Some(region)))
    }

    fn layout(&self, light_read_in: Option<Region>) -> Result<CardLayout, Refused> {
        let sides = 1..=MOST_CELLS;
        if !sides.contains(&self.columns) || !sides.contains(&self.rows) {
            return Err(Refused::words(format!(
                "found {} cells across and {} down, expected 1 to {MOST_CELLS} each",
                self.columns, self.rows
            )));
        }
        let corners = self.corners.as_deref().filter(|t| !t.trim().is_empty());
        Ok(CardLayout {
            columns: self.columns,
            rows: self.rows,
            corners: corners.map(|text| four(text, "the grid")).transpose()?,
            light_read_in,
        })
    }
}

impl Desk {
    /// Reads a photographed card: the rows of a list that it gives, and a picture of what was seen. Nothing is kept.
    ///
    /// # Errors
    /// [`Refused`] for a photo that cannot be read, or a grid that is not found in it.
    pub fn card(&self, ask: &AskCard, photo: &[u8]) -> Result<Value, Refused> {
        let beside = ask.beside();
        let (known, light_read_in) = ask.light()?;
        let layout = ask.layout(light_read_in)?;
        beside
            .fits(ask.columns)
            .map_err(|e| Refused::of_problem(&e))?;
        let given = ask.names.as_deref().filter(|text| !text.trim().is_empty());
        let names = beside
            .names(given, ask.columns * ask.rows)
            .map_err(|e| Refused::of_problem(&e))?;
        let read = decode(photo, &self.settings.limits).map_err(|e| Refused::of_problem(&e))?;
        let mut picture = read.value;
        let light = picture
            .correct(&known)
            .map_err(|e| Refused::of_problem(&e))?;
        let card = read_card(&picture, &light, &layout).map_err(|e| Refused::of_problem(&e))?;
        let grid = (ask.columns, ask.rows);
        not_beside_its_cells(&card, &names, grid).map_err(|e| Refused::of_problem(&e))?;
        let mut doubts = card_doubts(&card, &names, is_own_cell);
        doubts.extend(at_odds(&card, &names, grid).map_err(|e| Refused::of_problem(&e))?);
        let mut rows = beside.rows(&ask.name, &card, &names);
        let strengths =
            with_strengths("the list", &mut rows).map_err(|e| Refused::of_problem(&e))?;
        let small = small_jpeg(&picture, Crop::WHOLE, PICTURE_SIDE)
            .ok_or_else(|| Refused::words("found no pixel in the photo"))?;
        let seen =
            card_photo_svg(&ask.name, &small, &card).map_err(|e| Refused::words(e.to_string()))?;
        let step = beside.cells_a_paint();
        let named = names.iter().step_by(step).enumerate();
        let at = named.filter(|(_, name)| name.is_some());
        Ok(json!({
            "seen": seen,
            "list": list_cells(&rows),
            "at": at.map(|(paint, _)| paint * step + 1).collect::<Vec<_>>(),
            "cells_a_paint": step,
            "strengths": strengths.len(),
            "doubts": doubts,
            "uncertainty": card.uncertainty.0,
        }))
    }
}
