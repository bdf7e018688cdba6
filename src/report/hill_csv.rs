//! Scatter blends as rows of the table: one for each kind of each pass, parts by weight.

use super::csv_file::text;
use super::hill_words::grain_word;
use crate::colour::plain_name;
use crate::plan::{Plan, SurfacePlan, weighable};

/// The cells of the table's columns, for each kind of all blends of a surface in laying order.
pub(super) fn scatter_rows(surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for zone in &surface.zones {
        let Some((strewn, blend)) = zone.blended() else {
            continue;
        };
        let band = zone
            .band
            .as_ref()
            .map_or_else(String::new, |band| format!(", {}", band.name));
        for layer in &strewn.layers {
            for (at, grams) in &layer.kinds {
                let (kind, parts) = blend.parts[*at];
                let kind = &plan.kinds[kind];
                let share = (1.0 - blend.ground_share) * blend.areas[*at];
                rows.push(vec![
                    "hillwash.schedule/1".to_owned(),
                    text(&surface.name),
                    surface.treatment.word().to_owned(),
                    text(&format!("scatter, {}{band}", grain_word(layer.grain))),
                    plain_name(kind.colour).to_owned(),
                    format!("{share:.3}"),
                    String::new(),
                    strewn.wanted.to_srgb8().to_string(),
                    String::new(),
                    String::new(),
                    text(&kind.name),
                    parts.to_string(),
                    String::new(),
                    blend.judged.colour.to_srgb8().to_string(),
                    format!("{:.1}", blend.judged.difference.0),
                    format!("{:.0}", strewn.uncertainty.0),
                    String::new(),
                    grams.map_or_else(String::new, |g| format!("{:.1}", weighable(g).value())),
                ]);
            }
        }
    }
    rows
}
