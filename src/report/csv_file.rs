//! The plan as a table for spreadsheets: one row for each paint of each tone's first mix, of all dirt, and for each kind of
//! each scatter blend.

use super::ReportError;
use super::dirt_csv::dirt_rows;
use super::hill_csv::scatter_rows;
use crate::plan::Plan;

/// A cell that a spreadsheet must not take for a formula.
pub(super) fn text(cell: &str) -> String {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

const HEADER: [&str; 18] = [
    "format",
    "surface",
    "treatment",
    "role",
    "colour_name",
    "share",
    "photographed",
    "planned",
    "pot",
    "pot_ml",
    "paint",
    "parts",
    "paint_ml",
    "predicted",
    "de2000",
    "uncertainty_de",
    "target_uncertainty_de",
    "grams",
];

/// `schedule.csv`: comma-separated, UTF-8, with a header. Every row carries the format mark in its first cell.
///
/// # Errors
/// [`ReportError`] when the table cannot be written to memory.
pub fn schedule_csv(plan: &Plan<'_>) -> Result<Vec<u8>, ReportError> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let failed = |error: csv::Error| ReportError::Table(error.to_string());
    table.write_record(HEADER).map_err(failed)?;
    let mut rows = 0;
    for surface in &plan.surfaces {
        for tone in &surface.tones {
            let pot = tone.pot.map(|pot| &plan.pots[pot]);
            let volume = pot.and_then(|pot| pot.volume);
            let Some(recipe) = tone.recipes.first() else {
                continue;
            };
            for (at, parts) in &recipe.parts {
                let paint_ml = volume
                    .map(|ml| ml.value() * f64::from(*parts) / f64::from(recipe.total_parts()));
                table
                    .write_record([
                        "hillwash.schedule/1".to_owned(),
                        text(&surface.name),
                        surface.treatment.word().to_owned(),
                        tone.tone.role.word().to_owned(),
                        tone.tone.name.to_owned(),
                        format!("{:.3}", tone.tone.share.value()),
                        tone.tone.colour.to_srgb8().to_string(),
                        tone.moved.colour.to_srgb8().to_string(),
                        pot.map_or_else(String::new, |pot| pot.number.to_string()),
                        volume.map_or_else(String::new, |ml| format!("{:.1}", ml.value())),
                        text(&plan.shelf.stocks()[*at].name),
                        parts.to_string(),
                        paint_ml.map_or_else(String::new, |ml| format!("{ml:.2}")),
                        recipe.colour.to_srgb8().to_string(),
                        format!("{:.1}", recipe.difference.0),
                        format!("{:.0}", recipe.uncertainty.0),
                        format!("{:.0}", tone.target_uncertainty.0),
                        String::new(),
                    ])
                    .map_err(failed)?;
                rows += 1;
            }
        }
    }
    for surface in &plan.surfaces {
        for row in dirt_rows(surface)
            .into_iter()
            .chain(scatter_rows(surface, plan))
        {
            table.write_record(row).map_err(failed)?;
            rows += 1;
        }
    }
    if rows == 0 {
        // The mark must stand somewhere, or a second run would not know its own file.
        let mut empty = vec!["hillwash.schedule/1".to_owned()];
        empty.resize(HEADER.len(), String::new());
        table.write_record(empty).map_err(failed)?;
    }
    table
        .into_inner()
        .map_err(|error| ReportError::Table(error.to_string()))
}
