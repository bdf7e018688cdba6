//! Washes, rock schemes and places as rows of the table: one for each paint of each of them.

use crate::colour::{LabD65, delta_e00, plain_name};
use crate::plan::{Amounts, PlacedBy, SurfacePlan, ThinnedMix};
use crate::report::csv_row::CsvRow;
use crate::report::dirt::words::technique_words;
use crate::scene::Technique;

/// What one blend is for.
struct BlendLine<'a> {
    role: String,
    share: f64,
    wanted: LabD65,
    got: Option<LabD65>,
    blend: &'a ThinnedMix,
    amounts: Option<&'a Amounts>,
    uncertainty: Option<f64>,
}

/// The cells of the table's columns, for each paint of all dirt of a surface.
pub(in crate::report) fn dirt_rows(surface: &SurfacePlan) -> Vec<CsvRow> {
    let mut lines = Vec::new();
    for wash in surface.dirt.washes() {
        for film in &wash.washes {
            let (wanted, got) = if film.technique == Technique::PinWash {
                (wash.recess_wanted, wash.recess)
            } else {
                (wash.flat_wanted, film.recipe.flat)
            };
            lines.push(BlendLine {
                role: technique_words(film.technique).to_owned(),
                share: 1.0,
                wanted,
                got: Some(got),
                blend: &film.blend,
                amounts: film.amounts.as_ref(),
                uncertainty: Some(film.uncertainty.0),
            });
        }
    }
    for step in surface.dirt.rock.iter().flat_map(|rock| &rock.steps) {
        if let (None, Some(blend), Some(recipe)) = (step.tone, &step.blend, step.recipes.first()) {
            lines.push(BlendLine {
                role: step.role.words().to_owned(),
                share: step.share,
                wanted: step.planned,
                got: Some(recipe.colour),
                blend,
                amounts: None,
                uncertainty: Some(recipe.uncertainty.0),
            });
        }
    }
    for place in &surface.dirt.places {
        if let Some(blend) = place.blend() {
            lines.push(BlendLine {
                role: format!("{}: {}", technique_words(place.technique), place.name),
                share: place.share,
                wanted: place.wanted,
                got: place.colour,
                blend,
                amounts: match &place.by {
                    PlacedBy::Film(wash) => wash.amounts.as_ref(),
                    _ => None,
                },
                uncertainty: place.uncertainty.map(|sure| sure.0),
            });
        }
    }
    lines.iter().flat_map(|line| rows(line, surface)).collect()
}

fn rows(line: &BlendLine<'_>, surface: &SurfacePlan) -> Vec<CsvRow> {
    let or_empty = |value: Option<String>| value.unwrap_or_default();
    line.blend
        .parts
        .iter()
        .enumerate()
        .map(|(i, (name, parts))| CsvRow {
            surface: surface.wanted.name.clone(),
            treatment: surface.wanted.treatment.word().to_owned(),
            role: line.role.clone(),
            colour_name: plain_name(line.wanted).to_owned(),
            share: format!("{:.3}", line.share),
            planned: line.wanted.to_srgb8().to_string(),
            pot_ml: or_empty(line.amounts.map(|a| format!("{:.1}", a.batch.value()))),
            paint: name.clone(),
            parts: parts.to_string(),
            paint_ml: or_empty(line.amounts.map(|a| format!("{:.2}", a.paints[i].value()))),
            predicted: or_empty(line.got.map(|c| c.to_srgb8().to_string())),
            de2000: or_empty(
                line.got
                    .map(|c| format!("{:.1}", delta_e00(c, line.wanted).0)),
            ),
            uncertainty_de: or_empty(line.uncertainty.map(|sure| format!("{sure:.0}"))),
            ..CsvRow::default()
        })
        .collect()
}
