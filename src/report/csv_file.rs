//! The plan as a table for spreadsheets: one row for each paint of each brushed mix, of each mix to pick units out,
//! and of all dirt; one for each kind of each scatter blend, each shade of trees and each edge between bands.

use super::ReportError;
use super::csv_row::CsvRow;
use crate::mix::Recipe;
use crate::paint::NamedTable;
use crate::plan::{Member, Plan, Pot, SurfaceId, SurfacePlan};
use crate::report::dirt::csv::dirt_rows;
use crate::report::hills::csv::{hill_rows, where_it_lies};
use crate::report::pots::brushed::brushed_on;
use crate::report::tones::variety::picked_rows;
use std::collections::BTreeMap;

/// What the shelf is short of, by name: paints in millilitres, scatter in grams.
struct Shortages {
    paints: BTreeMap<String, f64>,
    scatter: BTreeMap<String, f64>,
}

impl Shortages {
    fn of_plan(plan: &Plan<'_>) -> Self {
        let paints = plan.shopping.iter().filter_map(|line| {
            let short = line.short?.value();
            Some((line.paint.clone(), short))
        });
        let scatter = plan.scatter_shopping.iter().filter_map(|line| {
            let short = line.to_buy?.value();
            Some((plan.kinds[line.kind].name.clone(), short))
        });
        Self {
            paints: paints.filter(|(_, short)| *short > 0.0).collect(),
            scatter: scatter.filter(|(_, short)| *short > 0.0).collect(),
        }
    }

    fn told_in(&self, row: &mut CsvRow) {
        let told = |short: Option<&f64>| short.map_or_else(String::new, |s| format!("{s:.1}"));
        if row.grams.is_empty() {
            row.short_ml = told(self.paints.get(&row.paint));
        } else {
            row.short_g = told(self.scatter.get(&row.paint));
        }
    }
}

/// Rows of everything that is brushed on a surface: its clean base first, then its tones.
fn brushed_rows(at: SurfaceId, surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<CsvRow> {
    brushed_on(at, plan)
        .into_iter()
        .filter_map(|(pot, member)| Some((pot, member, pot.recipe.as_ref()?)))
        .flat_map(|(pot, member, recipe)| pot_rows(pot, member, recipe, (surface, plan)))
        .collect()
}

/// A row for each paint of a pot, for one thing that is painted with it.
fn pot_rows(
    pot: &Pot,
    member: &Member,
    recipe: &Recipe,
    (surface, plan): (&SurfacePlan, &Plan<'_>),
) -> Vec<CsvRow> {
    let tone = member.tone.map(|t| &surface.tones[t]);
    let row = CsvRow {
        surface: surface.wanted.name.clone(),
        treatment: surface.wanted.treatment.word().to_owned(),
        role: tone
            .map_or("base", |t| t.wanted.tone.role.word())
            .to_owned(),
        colour_name: tone
            .map_or(pot.colour_name, |t| t.wanted.tone.name)
            .to_owned(),
        share: format!("{:.3}", tone.map_or(1.0, |t| t.wanted.tone.share.value())),
        photographed: tone
            .map_or_else(String::new, |t| t.wanted.tone.colour.to_srgb8().to_string()),
        planned: member.planned.to_srgb8().to_string(),
        pot: pot.number.to_string(),
        pot_ml: pot
            .volume
            .map_or_else(String::new, |ml| format!("{:.1}", ml.value())),
        predicted: recipe.colour.to_srgb8().to_string(),
        de2000: format!(
            "{:.1}",
            crate::colour::delta_e00(member.planned, recipe.colour).0
        ),
        uncertainty_de: format!("{:.0}", recipe.uncertainty.0),
        target_uncertainty_de: tone.map_or_else(String::new, |t| {
            format!("{:.0}", t.wanted.target_uncertainty.0)
        }),
        r#where: member
            .tone
            .map_or_else(String::new, |tone| where_it_lies(surface, tone)),
        straight: if pot.is_straight() { "yes" } else { "" }.to_owned(),
        ..CsvRow::default()
    };
    let total = f64::from(recipe.total_parts());
    let paints = recipe.parts.iter().map(|(at, parts)| CsvRow {
        paint: plan.shelf[*at].name.clone(),
        parts: parts.to_string(),
        paint_ml: pot.volume.map_or_else(String::new, |ml| {
            format!("{:.2}", ml.value() * f64::from(*parts) / total)
        }),
        ..row.clone()
    });
    paints.collect()
}

/// `schedule.csv`: comma-separated, UTF-8, with a header. Every row carries the format mark in its first cell.
///
/// # Errors
/// [`ReportError`] when the table cannot be written to memory.
pub fn schedule_csv(plan: &Plan<'_>) -> Result<Vec<u8>, ReportError> {
    let mut table = NamedTable::with_columns(CsvRow::default().columns().map(|(name, _)| name));
    let short = Shortages::of_plan(plan);
    let brushed = SurfaceId::all(plan.surfaces.len())
        .flat_map(|at| brushed_rows(at, &plan.surfaces[at], plan));
    let others = plan.surfaces.iter().flat_map(|surface| {
        picked_rows(surface, plan)
            .into_iter()
            .chain(dirt_rows(surface))
            .chain(hill_rows(surface, plan))
    });
    let mut rows: Vec<CsvRow> = brushed.chain(others).collect();
    if rows.is_empty() {
        // The mark must stand somewhere, or a second run would not know its own file.
        rows.push(CsvRow::default());
    }
    for mut row in rows {
        short.told_in(&mut row);
        table.add(row.columns());
    }
    table
        .csv()
        .map_err(|error| ReportError::Table(error.to_string()))
}
