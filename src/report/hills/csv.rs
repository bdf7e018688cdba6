//! Hills as rows of the table: one for each kind of each pass, parts of what shows; one for each shade of trees or bushes;
//! one for each edge between bands.

use crate::colour::plain_name;
use crate::paint::ScatterMaterial;
use crate::plan::{Plan, SurfacePlan, ToneId, ZonePlan, dosed};
use crate::report::csv_row::CsvRow;
use crate::report::hills::patch_plan::{edges, where_words};
use crate::report::hills::words::grain_word;
use crate::scatter::{CROWN_ROLES, Land};

/// The rows of all blends, crowns and edges of a surface, zone by zone in laying order.
pub(in crate::report) fn hill_rows(surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<CsvRow> {
    let mut rows = Vec::new();
    for zone in &surface.zones {
        let of_zone = CsvRow {
            surface: surface.wanted.name.clone(),
            treatment: surface.wanted.treatment.word().to_owned(),
            ..CsvRow::default()
        };
        rows.extend(strewn_rows(zone, plan, &of_zone));
        rows.extend(crown_rows(zone, &of_zone));
    }
    rows.extend(edges(surface).into_iter().map(|edge| CsvRow {
        surface: surface.wanted.name.clone(),
        treatment: surface.wanted.treatment.word().to_owned(),
        role: format!("edge, {} to {}", edge.near, edge.far),
        over_cm: format!("{:.0}", edge.over_cm),
        ..CsvRow::default()
    }));
    rows
}

fn of_band(zone: &ZonePlan) -> String {
    zone.wanted
        .band
        .as_ref()
        .map_or_else(String::new, |band| format!(", {}", band.name))
}

fn strewn_rows(zone: &ZonePlan, plan: &Plan<'_>, of_zone: &CsvRow) -> Vec<CsvRow> {
    let Some((strewn, blend)) = zone.blended() else {
        return Vec::new();
    };
    let mut rows = Vec::new();
    for layer in &strewn.layers {
        for (nth, laid) in layer.kinds.iter().enumerate() {
            let (kind, parts) = blend.parts[laid.at];
            let kind = &plan.kinds[kind];
            let share = (1.0 - blend.ground_share) * blend.areas[laid.at];
            // Glue is brushed on once for all kinds of a pass.
            let glue = strewn.glue_a_pass.filter(|_| nth == 0);
            rows.push(CsvRow {
                role: format!("scatter, {}{}", grain_word(layer.grain), of_band(zone)),
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
                teaspoons: laid
                    .teaspoons
                    .map_or_else(String::new, |spoons| format!("{spoons:.1}")),
                glue_ml: glue.map_or_else(String::new, |ml| ml.value().to_string()),
                material: kind.material.map_or("", ScatterMaterial::word).to_owned(),
                land: strewn.land.map_or("", Land::word).to_owned(),
                ..of_zone.clone()
            });
        }
    }
    rows
}

fn crown_rows(zone: &ZonePlan, of_zone: &CsvRow) -> Vec<CsvRow> {
    let Some(crowns) = zone.strewn.as_ref().and_then(|strewn| strewn.crowns) else {
        return Vec::new();
    };
    let all: f64 = crowns.shades.iter().map(|s| f64::from(s.count)).sum();
    let row = |(role, shade): (&str, crate::scatter::CrownShade)| CsvRow {
        role: format!("trees, {role}{}", of_band(zone)),
        colour_name: plain_name(shade.colour).to_owned(),
        share: format!("{:.3}", f64::from(shade.count) / all.max(1.0)),
        planned: shade.colour.to_srgb8().to_string(),
        count: shade.count.to_string(),
        across_mm: format!("{:.0}", crowns.across_mm),
        ..of_zone.clone()
    };
    CROWN_ROLES
        .into_iter()
        .zip(crowns.shades)
        .map(row)
        .collect()
}

/// Where in its zone a tone of a surface lies, in words; empty without a map.
pub(in crate::report) fn where_it_lies(surface: &SurfacePlan, tone: ToneId) -> String {
    let zone = &surface.zones[surface.tones[tone].wanted.zone].wanted;
    zone.map
        .as_ref()
        .and_then(|map| map.whereabouts(tone.place().checked_sub(zone.tones.start)?))
        .map_or_else(String::new, where_words)
}
