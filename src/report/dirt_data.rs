//! Washes, rock schemes and places as JSON.

use super::data::{ColourJson, PartsJson, RecipeJson, lab, rounded};
use super::dirt_words::{ambiguity_words, blend_words};
use crate::colour::LabD65;
use crate::mix::Shelf;
use crate::plan::{BaseFrom, Blend, PlacePlan, PlacedBy, Plan, SurfacePlan, WashBlend, WashPlan};
use serde_json::{Value, json};

fn parts(blend: &Blend) -> Vec<PartsJson> {
    blend
        .parts
        .iter()
        .map(|(name, parts)| PartsJson {
            name: name.clone(),
            parts: f64::from(*parts),
        })
        .collect()
}

/// One wash as it is mixed.
fn blended(wash: &WashBlend) -> Value {
    let thinned = wash.blend.thinned.as_ref();
    json!({
        "technique": wash.technique, "paints": parts(&wash.blend), "family": wash.recipe.family.words(),
        "thin": wash.recipe.thin, "passes": wash.recipe.passes,
        "thinner": thinned.map(|t| &t.thinner), "flow_aid": thinned.map(|t| t.flow_aid),
        "batch_ml": wash.amounts.as_ref().map(|a| rounded(a.batch.value())),
        "paints_ml": wash.amounts.as_ref().map(|a| a.paints.iter().map(|ml| rounded(ml.value())).collect::<Vec<_>>()),
        "thinner_ml": wash.amounts.as_ref().map(|a| rounded(a.thinner.value())),
        "flat": ColourJson::from(wash.recipe.flat), "recess": ColourJson::from(wash.recipe.recess),
        "uncertainty_de": rounded(wash.uncertainty.0), "words": blend_words(&wash.blend),
    })
}

fn wash_value(wash: &WashPlan) -> Value {
    // The last wash is the one that settles the recesses; a filter before it stands under `washes`.
    let first = wash.washes.first();
    let mut value = first.map_or_else(|| json!({}), blended);
    let (from, other) = match &wash.base_from {
        BaseFrom::OwnBody => ("own body", None),
        BaseFrom::Colour => ("colour", None),
        BaseFrom::Paint(name) => ("paint", Some(name)),
        BaseFrom::Surface(name) => ("surface", Some(name)),
    };
    value["base"] = json!({
        "lab": lab(wash.base), "hex": wash.base.to_srgb8(), "from": from, "name": other,
    });
    value["flat"] = json!(ColourJson::from(wash.flat));
    value["recess"] = json!(ColourJson::from(wash.recess));
    value["flat_wanted"] = json!(ColourJson::from(wash.flat_wanted));
    value["recess_wanted"] = json!(ColourJson::from(wash.recess_wanted));
    value["flat_de2000"] = json!(rounded(wash.flat_off.0));
    value["recess_de2000"] = json!(rounded(wash.recess_off.0));
    value["recess_uncertainty_de"] =
        json!(wash.washes.last().map(|w| rounded(w.recess_uncertainty.0)));
    value["grime"] = json!(rounded(wash.grime));
    value["pool"] = json!(rounded(wash.pool));
    value["ambiguity"] = json!({
        "other_mixes": wash.ambiguity.other_mixes,
        "weakest": rounded(wash.ambiguity.weakest), "strongest": rounded(wash.ambiguity.strongest),
        "words": ambiguity_words(wash),
    });
    value["washes"] = json!(wash.washes.iter().map(blended).collect::<Vec<_>>());
    value
}

fn place_value(place: &PlacePlan) -> Value {
    let mut value = match &place.by {
        PlacedBy::Film(wash) => blended(wash),
        PlacedBy::Paint { blend, .. } | PlacedBy::Powder { blend } => {
            json!({ "paints": parts(blend), "words": blend_words(blend) })
        }
        PlacedBy::Nothing => json!({ "paints": [] }),
    };
    if let Value::Object(all) = &mut value {
        // What a film does to flats and recesses of a whole surface is no matter of one place.
        all.remove("flat");
        all.remove("recess");
    }
    value["name"] = json!(place.name);
    value["technique"] = json!(place.technique);
    value["share"] = json!(rounded(place.share));
    value["planned"] = json!(ColourJson::from(place.wanted));
    value["lab"] = json!(place.colour.map(lab));
    value["hex"] = json!(place.colour.map(LabD65::to_srgb8));
    value["de2000"] = json!(place.off.map(|off| rounded(off.0)));
    value["uncertainty_de"] = json!(place.uncertainty.map(|sure| rounded(sure.0)));
    value
}

fn rock_value(surface: &SurfacePlan, shelf: &Shelf) -> Option<Value> {
    let rock = surface.rock.as_ref()?;
    let steps: Vec<Value> = rock
        .steps
        .iter()
        .map(|step| {
            let recipes: Vec<RecipeJson> = step
                .recipes
                .iter()
                .map(|r| RecipeJson::new(r, shelf))
                .collect();
            let mut value = json!({
                "role": step.role.words(), "planned": ColourJson::from(step.planned),
                "share": rounded(step.share), "recipes": recipes,
            });
            if let (true, Some(wash)) = (step.recipes.is_empty(), &rock.wash) {
                value["wash"] = wash_value(wash);
            }
            value
        })
        .collect();
    Some(json!({ "steps": steps }))
}

/// Adds `wash`, `rock` and `places` to a surface, where they apply.
pub(super) fn add_dirt(value: &mut Value, surface: &SurfacePlan, plan: &Plan<'_>) {
    if let Some(wash) = &surface.wash {
        value["wash"] = wash_value(wash);
    }
    if let Some(rock) = rock_value(surface, plan.shelf) {
        value["rock"] = rock;
    }
    if !surface.places.is_empty() {
        value["places"] = json!(surface.places.iter().map(place_value).collect::<Vec<_>>());
    }
}
