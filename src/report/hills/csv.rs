//! Scatter blends as rows of the table: one for each kind of each pass, parts of what shows.

use crate::colour::plain_name;
use crate::plan::{Plan, SurfacePlan, dosed};
use crate::report::csv_row::Row;
use crate::report::hills::words::grain_word;

/// The cells of the table's columns, for each kind of all blends of a surface in laying order.
pub(in crate::report) fn scatter_rows(surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for zone in &surface.zones {
        let Some((strewn, blend)) = zone.blended() else {
            continue;
        };
        let band = zone
            .wanted
            .band
            .as_ref()
            .map_or_else(String::new, |band| format!(", {}", band.name));
        for layer in &strewn.layers {
            for laid in &layer.kinds {
                let (kind, parts) = blend.parts[laid.at];
                let kind = &plan.kinds[kind];
                let share = (1.0 - blend.ground_share) * blend.areas[laid.at];
                rows.push(Row {
                    surface: surface.wanted.name.clone(),
                    treatment: surface.wanted.treatment.word().to_owned(),
                    role: format!("scatter, {}{band}", grain_word(layer.grain)),
                    colour_name: plain_name(kind.colour).to_owned(),
                    share: format!("{share:.3}"),
                    planned: strewn.wanted.to_srgb8().to_string(),
                    paint: kind.name.clone(),
                    parts: parts.to_string(),
                    predicted: blend.judged.colour.to_srgb8().to_string(),
                    de2000: format!("{:.1}", blend.judged.difference.0),
                    uncertainty_de: format!("{:.0}", strewn.uncertainty.0),
                    grams: laid
                        .grams
                        .map_or_else(String::new, |g| format!("{:.1}", dosed(g).value())),
                    ..Row::default()
                });
            }
        }
    }
    rows
}
