//! Bands, scatter and lamps as JSON.

use crate::mix::{Recipe, Shelf};
use crate::plan::{Plan, ScatterLine, SeenLow, Strewn, SurfacePlan, ZonePlan, dosed};
use crate::report::data::lab;
use crate::report::hills::patch_plan::edges;
use crate::report::hills::words::grain_word;
use crate::scatter::{Blend, CROWN_ROLES, Crowns, Land};
use crate::share::{BandEntry, ColourEntry, MixEntry, rounded};
use crate::tones::Third;
use crate::units::Grams;
use serde_json::{Value, json};

fn recipes(recipes: &[Recipe], shelf: &Shelf) -> Value {
    let all: Vec<MixEntry> = recipes.iter().map(|r| MixEntry::new(r, shelf)).collect();
    json!(all)
}

/// The bands of a hillside, from the front edge to the backscene.
pub(in crate::report) fn bands(surface: &SurfacePlan) -> Vec<BandEntry> {
    surface
        .zones
        .iter()
        .filter_map(|zone| {
            let band = zone.wanted.band.as_ref()?;
            Some(BandEntry {
                name: band.name.clone(),
                land: band.land.map(|land| land.word().to_owned()),
                crown_m: band.crown.map(|m| rounded(m.value())),
                from_m: band.placed.from.map(|m| rounded(m.value())),
                stands_for_m: rounded(band.placed.distance.value()),
                model_depth_mm: band.model_depth.map(|d| rounded(d.value())),
                scale_n: rounded(band.placed.scale.n()),
                area_cm2: zone.wanted.area.map(|a| rounded(a.value())),
                share: rounded(zone.wanted.share),
                air: rounded(band.air),
                photo_air: band.photo_air.map(rounded),
                photographed: band.photographed.into(),
                planned: band.planned.into(),
                tones: zone.wanted.tones.clone().map(|t| t + 1).collect(),
            })
        })
        .collect()
}

/// The haze that a surface's bands show; null where they do not.
pub(in crate::report) fn haze(surface: &SurfacePlan) -> Value {
    surface.wanted.haze.map_or(Value::Null, |haze| {
        json!({
            "visibility_m": rounded(haze.visibility.value()),
            "within_factor": rounded(haze.within),
            "air": ColourEntry::from(haze.air),
            "air_uncertainty_de": rounded(haze.air_within.0),
            "between_m": [rounded(haze.near.value()), rounded(haze.far.value())],
        })
    })
}

/// Where the tones of a zone lie, in the order of its tones; null without a map.
fn whereabouts(zone: &ZonePlan) -> Value {
    let Some(map) = &zone.wanted.map else {
        return Value::Null;
    };
    let third =
        |third: Option<Third>, words: [&'static str; 3]| third.map(|third| words[third as usize]);
    let all: Vec<Value> = zone
        .wanted
        .tones
        .clone()
        .enumerate()
        .filter_map(|(at, tone)| {
            let place = map.whereabouts(at)?;
            Some(json!({
                "tone": tone + 1,
                "upright": third(place.upright, ["top", "middle", "foot"]),
                "across": third(place.across, ["left", "middle", "right"]),
                "in_patches": place.in_patches,
            }))
        })
        .collect();
    json!(all)
}

/// The join to a painted backscene; null without bands.
pub(in crate::report) fn backscene(surface: &SurfacePlan, shelf: &Shelf) -> Value {
    surface.backscene.as_ref().map_or(Value::Null, |scene| {
        let colour = |colour, mixes| {
            let mut value = json!(ColourEntry::from(colour));
            value["recipes"] = mixes;
            value
        };
        json!({
            "join": colour(scene.join, recipes(&scene.join_recipes, shelf)),
            "sky_line": colour(scene.sky_line, recipes(&scene.sky_line_recipes, shelf)),
        })
    })
}

/// The layers of one zone, in laying order.
fn layers(zone: &ZonePlan, strewn: &Strewn, plan: &Plan<'_>) -> Vec<Value> {
    let Some(blend) = &strewn.blend else {
        return Vec::new();
    };
    strewn
        .layers
        .iter()
        .zip(1..)
        .flat_map(|(layer, number)| layer.kinds.iter().map(move |kind| (layer, number, kind)))
        .map(|(layer, number, laid)| {
            let (kind, parts) = blend.parts[laid.at];
            json!({
                "item": plan.kinds[kind].name, "grain": layer.grain, "pass": grain_word(layer.grain),
                "pass_number": number, "parts": parts,
                "area_share": rounded((1.0 - blend.ground_share) * blend.areas[laid.at]),
                "grams": laid.grams.map(|g| dosed(g).value()),
                "grams_per_dm2": rounded(laid.grams_per_dm2),
                "teaspoons": laid.teaspoons.map(rounded),
                "material": plan.kinds[kind].material,
                "zone": zone.wanted.band.as_ref().map(|band| &band.name),
            })
        })
        .collect()
}

/// Its trees or bushes.
fn crowns_data(crowns: &Crowns) -> Value {
    json!({
        "across_m": rounded(crowns.across.value()), "usual_size": crowns.usual,
        "across_mm": rounded(crowns.across_mm),
        "shades": std::iter::zip(CROWN_ROLES, crowns.shades).map(|(role, shade)| {
            let mut value = json!(ColourEntry::from(shade.colour));
            value["role"] = json!(role);
            value["count"] = json!(shade.count);
            value
        }).collect::<Vec<_>>(),
    })
}

/// What it looks like from low down.
fn seen_low_data(low: &SeenLow, blend: Option<&Blend>, plan: &Plan<'_>) -> Value {
    json!({
        "looks": ColourEntry::from(low.colour), "ground_share": rounded(low.ground_share),
        "shares": low.shares.iter().zip(blend.map_or(&[][..], |b| &b.parts)).map(|(share, (kind, _))| json!({
            "item": plan.kinds[*kind].name, "area_share": rounded(*share),
        })).collect::<Vec<_>>(),
    })
}

/// What is strewn on a zone.
fn zone_data(zone: &ZonePlan, strewn: &Strewn, plan: &Plan<'_>) -> Value {
    let blend = strewn.blend.as_ref();
    json!({
        "zone": zone.wanted.band.as_ref().map(|band| &band.name),
        "land": strewn.land.map(Land::word), "land_guessed": strewn.land.map(|_| strewn.land_guessed),
        "left_out": strewn.freely.as_ref().map(|free| json!({
            "kinds": free.kinds.iter().map(|at| &plan.kinds[*at].name).collect::<Vec<_>>(),
            "de2000_with_them": rounded(free.difference.0),
            "variety_gap_with_them": rounded(free.variety_gap.0),
            "variety_gap": blend.map(|b| rounded(b.judged.variety_gap.0)),
        })),
        "ground": ColourEntry::from(strewn.ground),
        "ground_pot": strewn.pot.map(|pot| plan.pots[pot].number),
        "ground_share": blend.map(|b| rounded(b.ground_share)),
        "where": whereabouts(zone),
        "crowns": strewn.crowns.as_ref().map(crowns_data),
        "wanted": ColourEntry::from(strewn.wanted),
        "wanted_spread_de": rounded(strewn.wanted_spread.0),
        "blend": blend.map(|b| ColourEntry::from(b.judged.colour)),
        "de2000": blend.map(|b| rounded(b.judged.difference.0)),
        "spread_de": blend.map(|b| rounded(b.spread.0)),
        "uncertainty_de": rounded(strewn.uncertainty.0),
        "layers": layers(zone, strewn, plan),
        "after_passes": strewn.layers.iter().map(|layer| json!({
            "pass": grain_word(layer.grain), "looks": ColourEntry::from(layer.after),
            "ground_share": rounded(layer.ground_after),
        })).collect::<Vec<_>>(),
        "from_30_degrees": strewn.seen_low.as_ref().map(|low| seen_low_data(low, blend, plan)),
        "glue_ml_a_pass": strewn.glue_a_pass.map(|ml| rounded(ml.value())),
        "missing": strewn.missing.map(|m| json!({
            "lab": lab(m.colour), "hex": m.colour.to_srgb8(), "grain": m.grain,
            "share": rounded(m.share), "nearest_de": rounded(m.nearest.0),
        })),
    })
}

/// What is strewn on a surface; null where nothing is.
pub(in crate::report) fn scatter(surface: &SurfacePlan, plan: &Plan<'_>) -> Value {
    let strewn: Vec<(&ZonePlan, &Strewn)> = surface
        .zones
        .iter()
        .filter_map(|zone| Some((zone, zone.strewn.as_ref()?)))
        .collect();
    let Some((_, first)) = strewn.first() else {
        return Value::Null;
    };
    let zones: Vec<Value> = strewn
        .iter()
        .map(|(zone, strewn)| zone_data(zone, strewn, plan))
        .collect();
    let all: Vec<Value> = strewn
        .iter()
        .flat_map(|(zone, strewn)| layers(zone, strewn, plan))
        .collect();
    let edges: Vec<Value> = edges(surface)
        .iter()
        .map(|edge| json!({ "near": edge.near, "far": edge.far, "over_cm": edge.over_cm }))
        .collect();
    json!({
        "ground": ColourEntry::from(first.ground), "layers": all, "parts_by": "area seen", "zones": zones,
        "edges": edges,
    })
}

/// Scatter to have ready and to buy.
pub(in crate::report) fn shopping(lines: &[ScatterLine], plan: &Plan<'_>) -> Value {
    let grams = |g: Option<Grams>| g.map(|g| rounded(g.value()));
    let all: Vec<Value> = lines
        .iter()
        .map(|line| {
            json!({
                "scatter": plan.kinds[line.kind].name, "needed_g": grams(line.needed),
                "on_hand_g": grams(line.on_hand), "to_buy_g": grams(line.to_buy),
                "short_g": grams(line.to_buy),
            })
        })
        .collect();
    if all.is_empty() {
        Value::Null
    } else {
        json!(all)
    }
}
