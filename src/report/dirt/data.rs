//! Washes, rock schemes and places as JSON.

use crate::colour::LabD65;
use crate::mix::Shelf;
use crate::paint::FILM_OF_A_WASH;
use crate::plan::{
    BaseFrom, PlacePlan, PlacedBy, Plan, SurfacePlan, ThinnedMix, WashBlend, WashPlan,
};
use crate::report::data::{lab, without_nulls};
use crate::report::dirt::words::{blend_words, scrap_words};
use crate::share::{
    ColourEntry, MixEntry, PartsEntry, PlaceEntry, WashBaseEntry, WashEntry, rounded,
};
use serde_json::{Map, Value, json};

fn parts(blend: &ThinnedMix) -> Vec<PartsEntry> {
    blend
        .parts
        .iter()
        .map(|(name, parts)| PartsEntry {
            name: name.clone(),
            parts: *parts,
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
        "flat": ColourEntry::from(wash.recipe.flat), "recess": ColourEntry::from(wash.recipe.recess),
        "uncertainty_de": rounded(wash.uncertainty.0), "words": blend_words(&wash.blend),
    })
}

/// The entries of an object that hold something.
fn entries(value: Value) -> Map<String, Value> {
    match without_nulls(value) {
        Value::Object(all) => all,
        _ => Map::new(),
    }
}

fn wash_entry(wash: &WashPlan, pot: Option<usize>) -> WashEntry {
    // The last wash is the one that settles the recesses; a filter before it stands under `washes`.
    let mut more = wash
        .washes
        .first()
        .map_or_else(Map::new, |first| entries(blended(first)));
    for own in ["flat", "recess"] {
        more.remove(own);
    }
    more.extend(entries(json!({
        "flat_de2000": rounded(wash.flat_off.0),
        "recess_de2000": rounded(wash.recess_off.0),
        "recess_uncertainty_de": wash.washes.last().map(|w| rounded(w.recess_uncertainty.0)),
        "ambiguity": {
            "other_mixes": wash.ambiguity.other_mixes,
            "weakest": rounded(wash.ambiguity.weakest), "strongest": rounded(wash.ambiguity.strongest),
            "words": scrap_words(wash),
        },
        "washes": wash.washes.iter().map(blended).collect::<Vec<_>>(),
        "grime_steps": wash.grime_steps.iter().map(|step| json!({
            "grime": step.grime, "flat_wanted": ColourEntry::from(step.flat),
            "recess_wanted": ColourEntry::from(step.recess),
        })).collect::<Vec<_>>(),
    })));
    let (from, name) = match &wash.base_from {
        BaseFrom::OwnBody => ("own body", None),
        BaseFrom::Colour => ("colour", None),
        BaseFrom::Paint(name) => ("paint", Some(name)),
        BaseFrom::Surface(name) => ("surface", Some(name)),
    };
    let ColourEntry { lab, hex } = wash.base.into();
    WashEntry {
        base: WashBaseEntry {
            lab,
            hex,
            from: from.to_owned(),
            name: name.cloned(),
            pot,
        },
        flat: wash.flat.into(),
        recess: wash.recess.into(),
        flat_wanted: wash.flat_wanted.into(),
        recess_wanted: wash.recess_wanted.into(),
        grime: rounded(wash.grime),
        pool: rounded(wash.search.pool),
        film: Some(rounded(film_of(wash))),
        recess_weight: Some(rounded(wash.recess_weight)),
        most_paints: Some(wash.search.most_paints),
        more,
    }
}

/// The film of a wash, as its first paints are laid.
fn film_of(wash: &WashPlan) -> f64 {
    let first = wash.washes.first();
    first.map_or(FILM_OF_A_WASH, |w| {
        wash.search.films.for_family(w.recipe.family).film
    })
}

fn place_entry(place: &PlacePlan) -> PlaceEntry {
    let mut more = entries(match &place.by {
        PlacedBy::Film(wash) => blended(wash),
        PlacedBy::Paint { blend, .. } | PlacedBy::Powder { blend } => {
            json!({ "paints": parts(blend), "words": blend_words(blend) })
        }
        PlacedBy::Nothing => json!({ "paints": [] }),
    });
    // What a film does to flats and recesses of a whole surface is no matter of one place; a film's own technique is.
    for other in ["flat", "recess", "technique"] {
        more.remove(other);
    }
    more.extend(entries(json!({
        "lab": place.colour.map(lab),
        "hex": place.colour.map(LabD65::to_srgb8),
        "de2000": place.off.map(|off| rounded(off.0)),
        "uncertainty_de": place.uncertainty.map(|sure| rounded(sure.0)),
    })));
    PlaceEntry {
        name: place.name.clone(),
        technique: place.technique.word().to_owned(),
        share: rounded(place.share),
        planned: place.wanted.into(),
        more,
    }
}

fn rock_value(surface: &SurfacePlan, shelf: &Shelf) -> Option<Value> {
    let rock = surface.dirt.rock.as_ref()?;
    let steps: Vec<Value> = rock
        .steps
        .iter()
        .map(|step| {
            let recipes: Vec<MixEntry> = step
                .recipes
                .iter()
                .map(|r| MixEntry::new(r, shelf))
                .collect();
            let mut value = json!({
                "role": step.role.words(), "planned": ColourEntry::from(step.planned),
                "share": rounded(step.share), "recipes": recipes,
            });
            if let (true, Some(wash)) = (step.recipes.is_empty(), &rock.wash) {
                value["wash"] = json!(wash_entry(wash, None));
            }
            value
        })
        .collect();
    Some(json!({ "steps": steps }))
}

/// The wash over a surface, where it has one; of a rock the dark wash that the scene gives it.
pub(in crate::report) fn wash(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<WashEntry> {
    let of_rock = surface
        .dirt
        .rock
        .as_ref()
        .and_then(|rock| rock.wash.as_ref());
    // A dark wash of the scheme's own has no grime dial.
    let given = of_rock.filter(|wash| !wash.grime_steps.is_empty());
    let body = surface.tones.first().and_then(|tone| tone.pot);
    let pot = surface.clean_pot.or(body).map(|pot| plan.pots[pot].number);
    let wash = surface.dirt.wash.as_ref().or(given)?;
    Some(wash_entry(wash, pot))
}

/// The rock scheme of a surface; null where it has none.
pub(in crate::report) fn rock(surface: &SurfacePlan, plan: &Plan<'_>) -> Value {
    rock_value(surface, plan.shelf).unwrap_or(Value::Null)
}

/// The places of a surface where dirt gathers.
pub(in crate::report) fn places(surface: &SurfacePlan) -> Vec<PlaceEntry> {
    surface.dirt.places.iter().map(place_entry).collect()
}
