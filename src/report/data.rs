//! Open data: JSON for scripts and for other builders. CIELAB here is D65, 2°.

use super::hill_data;
use crate::card::Card;
use crate::colour::{DeltaE00, LabD65, Srgb8};
use crate::mix::{Helpful, Kind, Reach, Recipe, Shelf};
use crate::paint::{ListAdvice, PaintList};
use crate::photo::{CorrectedBy, LightReport};
use crate::plan::Plan;
use crate::tones::{ChoiceStep, Likeness, ShadeOf, Tone};
use serde::Serialize;
use serde_json::{Value, json};

/// A figure for files: three decimals are far finer than what it is worth.
pub(super) fn rounded(value: f64) -> f64 {
    let rounded = (value * 1e3).round() / 1e3;
    if rounded == 0.0 { 0.0 } else { rounded }
}

pub(super) fn lab(colour: LabD65) -> [f64; 3] {
    [colour.l, colour.a, colour.b].map(rounded)
}

#[derive(Debug, Clone, Serialize)]
pub(super) struct ColourJson {
    lab: [f64; 3],
    hex: Srgb8,
}

impl From<LabD65> for ColourJson {
    fn from(colour: LabD65) -> Self {
        Self {
            lab: lab(colour),
            hex: colour.to_srgb8(),
        }
    }
}

#[derive(Debug, Clone, Serialize)]
pub(super) struct PartsJson {
    pub(super) name: String,
    pub(super) parts: f64,
}

#[derive(Debug, Clone, Serialize)]
pub(super) struct RecipeJson {
    paints: Vec<PartsJson>,
    #[serde(flatten)]
    colour: ColourJson,
    de2000: f64,
    uncertainty_de: f64,
}

impl RecipeJson {
    pub(super) fn new(recipe: &Recipe, shelf: &Shelf) -> Self {
        Self {
            paints: recipe
                .parts
                .iter()
                .map(|(at, parts)| PartsJson {
                    name: shelf.stocks()[*at].name.clone(),
                    parts: f64::from(*parts),
                })
                .collect(),
            colour: recipe.colour.into(),
            de2000: rounded(recipe.difference.0),
            uncertainty_de: rounded(recipe.uncertainty.0),
        }
    }
}

#[derive(Debug, Clone, Serialize)]
struct ToneJson {
    #[serde(flatten)]
    colour: ColourJson,
    share: f64,
    spread_de: f64,
    name: &'static str,
    role: &'static str,
    target_uncertainty_de: f64,
    spread_90_de: f64,
    keep: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    shade_of: Option<ShadeJson>,
}

/// The tone that another is the shade of.
#[derive(Debug, Clone, Serialize)]
struct ShadeJson {
    /// Its place in the list, from 0.
    tone: usize,
    sure: bool,
    light: f64,
    sky: f64,
    off_de: f64,
}

impl From<ShadeOf> for ShadeJson {
    fn from(shade: ShadeOf) -> Self {
        Self {
            tone: shade.lit,
            sure: shade.likeness == Likeness::OneMaterial,
            light: rounded(shade.line.light()),
            sky: rounded(shade.line.sky()),
            off_de: rounded(shade.line.off().0),
        }
    }
}

/// Shares rounded to six decimals that still sum to 1: the largest takes what is left.
fn shares(tones: &[&Tone]) -> Vec<f64> {
    let mut all: Vec<f64> = tones
        .iter()
        .map(|t| (t.share.value() * 1e6).round() / 1e6)
        .collect();
    let rest: f64 = all.iter().skip(1).sum();
    if let Some(first) = all.first_mut() {
        *first = ((1.0 - rest) * 1e6).round() / 1e6;
    }
    all
}

impl ToneJson {
    fn new(tone: &Tone, share: f64, target_uncertainty: DeltaE00) -> Self {
        Self {
            colour: tone.colour.into(),
            share,
            spread_de: rounded(tone.spread.0),
            name: tone.name,
            role: tone.role.word(),
            target_uncertainty_de: target_uncertainty.0,
            spread_90_de: rounded(tone.spread_90.0),
            keep: tone.keep(),
            shade_of: tone.shade_of.map(ShadeJson::from),
        }
    }
}

/// One photo that was looked at.
#[derive(Debug, Clone)]
pub struct LookedAt {
    /// The file, as the user named it.
    pub file: String,
    /// Pixels across, upright.
    pub width: usize,
    /// Pixels down, upright.
    pub height: usize,
    /// Its colour profile, in words.
    pub profile: String,
    /// Its tones.
    pub tones: Vec<Tone>,
    /// How well other numbers of tones would describe it, when asked.
    pub curve: Option<Vec<(usize, DeltaE00)>>,
    /// How the number of tones was chosen, when asked.
    pub steps: Vec<ChoiceStep>,
    /// What was done about its light.
    pub light: LightReport,
    /// What is doubtful about it.
    pub warnings: Vec<String>,
}

/// What was done about a photo's light.
fn light_json(light: &LightReport) -> Value {
    let mut value = json!({
        "words": light.to_string(), "target_uncertainty_de": rounded(light.uncertainty.0),
    });
    let (by, more) = match &light.by {
        CorrectedBy::Nothing { offered } => {
            let offered = offered.map(
                |e| json!({ "light": ColourJson::from(e.light), "cast_de": rounded(e.cast.0) }),
            );
            ("nothing", json!({ "offered": offered }))
        }
        CorrectedBy::Estimate(e) => (
            "estimate",
            json!({ "light": ColourJson::from(e.light), "cast_de": rounded(e.cast.0) }),
        ),
        CorrectedBy::WhiteBalance { cast } => ("neutral", json!({ "cast_de": rounded(cast.0) })),
        CorrectedBy::GreyCard { cast, exposure } => (
            "grey card",
            json!({ "cast_de": rounded(cast.0), "exposure": rounded(*exposure) }),
        ),
        CorrectedBy::NoColour { exposure } => {
            ("no colour", json!({ "exposure": rounded(*exposure) }))
        }
        CorrectedBy::Chart(fit) => (
            "chart",
            json!({
                "form": if fit.root_polynomial { "root-polynomial" } else { "linear" },
                "before_de": rounded(fit.before.0), "after_de": rounded(fit.after.0),
                "left_out_de": rounded(fit.left_out.0), "greys_before_de": rounded(fit.greys_before.0),
                "greys_after_de": rounded(fit.greys_after.0),
            }),
        ),
    };
    value["corrected_by"] = json!(by);
    if let (Value::Object(all), Value::Object(more)) = (&mut value, more) {
        all.extend(more);
    }
    value
}

/// Answer of `look`.
#[derive(Debug, Clone)]
pub struct LookJson<'a>(pub &'a [LookedAt]);

impl LookJson<'_> {
    /// The answer as JSON.
    #[must_use]
    pub fn value(&self) -> Value {
        let photos: Vec<Value> = self
            .0
            .iter()
            .map(|photo| {
                let shares = shares(&photo.tones.iter().collect::<Vec<_>>());
                let tones: Vec<ToneJson> = photo
                    .tones
                    .iter()
                    .zip(shares)
                    .map(|(tone, share)| ToneJson::new(tone, share, photo.light.uncertainty))
                    .collect();
                let mut value = json!({
                    "file": photo.file, "width": photo.width, "height": photo.height, "profile": photo.profile,
                    "light": light_json(&photo.light),
                    "tones": tones, "warnings": photo.warnings,
                });
                if let Some(curve) = &photo.curve {
                    let curve = curve.iter().map(|(count, spread)| json!({ "tones": count, "mean_spread_de": rounded(spread.0) }));
                    let steps = photo.steps.iter().map(|step| json!({
                        "tones": step.tones, "mean_spread_de": rounded(step.mean_spread_de.0), "what": step.what,
                    }));
                    value["why"] = json!({ "curve": curve.collect::<Vec<_>>(), "steps": steps.collect::<Vec<_>>() });
                }
                value
            })
            .collect();
        json!({ "format": "hillwash.look/1", "photos": photos })
    }
}

/// Answer of `mix`.
#[derive(Debug)]
pub struct MixJson<'a> {
    /// The colour asked.
    pub target: LabD65,
    /// Mixes for it.
    pub recipes: &'a [(Kind, Recipe)],
    /// The colour of one further paint that would help most, where the list does not reach.
    pub helpful: Option<Helpful>,
    /// The paints they are from.
    pub shelf: &'a Shelf,
    /// The list, as the user named it.
    pub list: &'a str,
}

impl MixJson<'_> {
    /// The answer as JSON.
    #[must_use]
    pub fn value(&self) -> Value {
        let recipes: Vec<Value> = self
            .recipes
            .iter()
            .map(|(kind, recipe)| {
                let mut value = json!(RecipeJson::new(recipe, self.shelf));
                value["kind"] = json!(kind.words());
                value["family"] = json!(recipe.family.words());
                value
            })
            .collect();
        let mut answer = json!({
            "format": "hillwash.mix/1", "target": ColourJson::from(self.target), "recipes": recipes,
            "paint_list": self.list,
        });
        if let Some(helpful) = self.helpful {
            answer["helpful_colour"] = json!({
                "hex": helpful.colour.to_srgb8(), "lab": lab(helpful.colour),
                "de2000_before": rounded(helpful.before.0), "de2000_after": rounded(helpful.after.0),
            });
        }
        answer
    }
}

/// What a wash does to a base.
#[derive(Debug, Clone, Copy)]
pub struct OverJson {
    /// The base.
    pub base: LabD65,
    /// Flats under the wash.
    pub flat: LabD65,
    /// Recesses under the wash.
    pub recess: LabD65,
    /// Two in three real washes should fall within so much, on flats.
    pub flat_uncertainty: DeltaE00,
    /// The same in recesses.
    pub recess_uncertainty: DeltaE00,
}

/// Answer of `mix --try`.
#[derive(Debug)]
pub struct TryJson<'a> {
    /// Names and parts.
    pub paints: &'a [(String, f64)],
    /// The pot's colour.
    pub colour: LabD65,
    /// Two in three real mixes should fall within so much.
    pub uncertainty: DeltaE00,
    /// What it does as a wash.
    pub over: Option<OverJson>,
    /// The list, as the user named it.
    pub list: &'a str,
}

impl TryJson<'_> {
    /// The answer as JSON.
    #[must_use]
    pub fn value(&self) -> Value {
        let paints: Vec<PartsJson> = self
            .paints
            .iter()
            .map(|(name, parts)| PartsJson {
                name: name.clone(),
                parts: *parts,
            })
            .collect();
        let mut answer = json!({
            "format": "hillwash.try/1", "paints": paints, "lab": lab(self.colour), "hex": self.colour.to_srgb8(),
            "uncertainty_de": rounded(self.uncertainty.0), "paint_list": self.list,
        });
        if let Some(over) = &self.over {
            let film = |colour: LabD65, uncertainty: DeltaE00| json!({ "lab": lab(colour), "hex": colour.to_srgb8(), "uncertainty_de": rounded(uncertainty.0) });
            answer["over"] = json!({
                "base": ColourJson::from(over.base),
                "flat": film(over.flat, over.flat_uncertainty),
                "recess": film(over.recess, over.recess_uncertainty),
            });
        }
        answer
    }
}

/// Answer of `paints check` for a list without faults.
#[must_use]
pub fn check_json(list: &PaintList, shelf: &Shelf, advice: &[ListAdvice]) -> Value {
    let families: Vec<Value> = shelf
        .families()
        .iter()
        .map(|(family, members)| json!({ "family": family.words(), "paints": members.len() }))
        .collect();
    let left_out: Vec<Value> = shelf
        .left_out()
        .iter()
        .map(|(paint, reason)| json!({ "paint": paint, "reason": reason.to_string() }))
        .collect();
    let advice: Vec<String> = advice.iter().map(ToString::to_string).collect();
    json!({
        "format": "hillwash.paints/1", "list": list.file, "paints": list.paints().len(), "families": families,
        "not_mixed": left_out, "advice": advice,
    })
}

/// Answer of `paints read`: the cells that have a name, row by row.
#[must_use]
pub fn card_json(file: &str, card: &Card, names: &[Option<String>], warnings: &[String]) -> Value {
    let cells: Vec<Value> = card
        .cells
        .iter()
        .zip(names)
        .filter_map(|(cell, name)| {
            let mut value = json!(ColourJson::from(cell.reading.colour));
            value["name"] = json!(name.as_ref()?);
            value["spread_de"] = json!(rounded(cell.reading.spread.0));
            value["outline"] = json!(cell.outline.map(|p| p.map(rounded)));
            Some(value)
        })
        .collect();
    let unevenness = card.ground.as_ref().map(|g| rounded(g.unevenness));
    without_nulls(json!({
        "format": "hillwash.card/1", "file": file, "cells": cells, "unevenness": unevenness,
        "uncertainty_de": rounded(card.uncertainty.0), "corners": card.corners.map(|p| p.map(rounded)),
        "warnings": warnings,
    }))
}

/// Answer of `paints reach`: the span of a* and b* by lightness, and which of some colours it holds.
#[must_use]
pub fn reach_json(list: &str, reach: &Reach, colours: &[LabD65]) -> Value {
    let slices: Vec<Value> = reach
        .slices
        .iter()
        .map(|slice| {
            let hull: Vec<[f64; 2]> = slice.hull.iter().map(|p| p.map(rounded)).collect();
            json!({ "lightness": slice.lightness, "area": rounded(slice.area), "hull": hull })
        })
        .collect();
    let colours: Vec<Value> = colours
        .iter()
        .map(|colour| {
            let mut value = json!(ColourJson::from(*colour));
            value["within_reach"] = json!(reach.holds(*colour));
            value
        })
        .collect();
    json!({
        "format": "hillwash.reach/1", "list": list, "paints": reach.paints, "family": reach.family.words(),
        "slices": slices, "colours": colours,
    })
}

/// The plan as JSON: all that is needed to solve again without the photos.
#[must_use]
pub fn plan_json(plan: &Plan<'_>, date: &str) -> Value {
    let scene = plan.scene;
    let surfaces: Vec<Value> = plan
        .surfaces
        .iter()
        .map(|surface| {
            let shares = shares(&surface.tones.iter().map(|t| &t.tone).collect::<Vec<_>>());
            let tones: Vec<Value> = surface
                .tones
                .iter()
                .zip(shares)
                .map(|(tone, share)| {
                    let recipes: Vec<RecipeJson> =
                        tone.recipes.iter().map(|r| RecipeJson::new(r, plan.shelf)).collect();
                    let mut value = json!(ToneJson::new(&tone.tone, share, tone.target_uncertainty));
                    value["planned"] = json!(ColourJson::from(tone.moved.colour));
                    value["dried"] = json!(tone.dried.map(|dry| ColourJson::from(dry.colour)));
                    value["under_lamps"] = hill_data::under_lamp(tone);
                    value["moved_de"] = json!(rounded(tone.moved.by.0));
                    value["left_to_lamps"] = json!(tone.left_to_lamps);
                    value["pot"] = json!(tone.pot.map(|pot| plan.pots[pot].number));
                    value["recipes"] = json!(recipes);
                    value
                })
                .collect();
            let steps: Vec<String> = surface
                .steps
                .iter()
                .map(|step| super::words::step_text(step, &plan.pots))
                .collect();
            let cautions: Vec<&str> = surface.cautions.iter().map(|c| c.text()).collect();
            let mut value = json!({
                "name": surface.name, "treatment": surface.treatment,
                "area_cm2": surface.area.map(|a| rounded(a.value())), "coats": surface.coats,
                "from_m": surface.from.map(|m| rounded(m.value())), "spread_de": rounded(surface.spread.0),
                "tones": tones, "bands": hill_data::bands(surface), "haze": hill_data::haze(surface),
                "backscene": hill_data::backscene(surface, plan.shelf),
                "scatter": hill_data::scatter(surface, plan),
                "steps": steps, "cautions": cautions, "as_built": super::as_built::json_of(surface, plan),
            });
            super::dirt_data::add_dirt(&mut value, surface, plan);
            value
        })
        .collect();
    let pots: Vec<Value> = plan
        .pots
        .iter()
        .map(|pot| {
            let surfaces = super::words::surfaces_of(pot, plan);
            let recipe = pot.recipe.as_ref().map(|r| RecipeJson::new(r, plan.shelf));
            json!({
                "name": super::words::pot_name(pot), "number": pot.number, "lab": lab(pot.colour),
                "hex": pot.colour.to_srgb8(), "paints": recipe.as_ref().map_or_else(|| json!([]), |r| json!(r.paints)),
                "ml": pot.volume.map(|ml| rounded(ml.value())), "surfaces": surfaces,
            })
        })
        .collect();
    let shopping: Vec<Value> = plan
        .shopping
        .iter()
        .map(|line| {
            json!({
                "paint": line.paint, "purpose": line.purpose, "needed_ml": line.needed.map(|ml| rounded(ml.value())),
                "on_hand_ml": line.on_hand.map(|ml| rounded(ml.value())), "pots_to_buy": line.to_buy,
                "price": line.price.map(rounded),
            })
        })
        .collect();
    let photos: Vec<Value> = plan
        .photos
        .iter()
        .map(|photo| {
            json!({
                "name": photo.key, "width": photo.width, "height": photo.height,
                "profile": photo.profile.to_string(), "from_m": photo.from.map(|m| rounded(m.value())),
                "credit": photo.credit, "light": light_json(&photo.light),
            })
        })
        .collect();
    let notes: Vec<String> = plan.notes.iter().map(super::words::note_text).collect();
    without_nulls(json!({
        "format": "hillwash.plan/1",
        "scene": {
            "title": scene.title, "scale": scene.scale.to_string(), "scale_n": scene.scale.n(),
            "view": scene.view.to_string(), "view_mm": rounded(scene.view.value()),
            "lamps": scene.lamps.as_ref().map_or_else(|| "not stated".to_owned(), ToString::to_string),
            "scale_colour": {
                "rule": scene.scale_colour.rule, "visibility_m": rounded(scene.scale_colour.visibility.value()),
                "air": ColourJson::from(scene.scale_colour.air),
            },
            "paints": super::words::file_name(&plan.paints.file), "scatter": scene.scatter, "date": date,
        },
        "photos": photos, "surfaces": surfaces, "pots": pots, "shopping": shopping,
        "scatter_shopping": hill_data::shopping(&plan.scatter_shopping, plan), "notes": notes,
        "units": "CIELAB under D65, 2 degree observer; differences are CIEDE2000",
    }))
}

/// The same value without the keys that hold nothing: what does not apply is absent.
fn without_nulls(value: Value) -> Value {
    match value {
        Value::Object(all) => {
            let kept = all.into_iter().filter(|(_, v)| !v.is_null());
            Value::Object(kept.map(|(key, v)| (key, without_nulls(v))).collect())
        }
        Value::Array(all) => Value::Array(all.into_iter().map(without_nulls).collect()),
        other => other,
    }
}
