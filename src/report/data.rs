//! Open data: JSON for scripts and for other builders. CIELAB here is D65, 2°.

use crate::card::Card;
use crate::colour::{DeltaE00, LabD65};
use crate::mix::{Helpful, Reach, Recipe, RecipeKind, Shelf};
use crate::paint::{ListAdvice, PaintList};
use crate::photo::{ChartFit, CorrectedBy, LightReport};
use crate::share::{ColourEntry, LightEntry, MixEntry, ToneEntry, as_typed, rounded};
use crate::share::{LightMore, LightOffered, WitnessEntry, without_nulls};
use crate::tones::{ChoiceStep, Tone};
use crate::units::Millilitres;
use serde_json::{Value, json};

pub(super) fn lab(colour: LabD65) -> [f64; 3] {
    ColourEntry::from(colour).lab
}

/// Shares rounded to six decimals that still sum to 1: the largest takes the remainder.
pub(super) fn shares(tones: &[&Tone]) -> Vec<f64> {
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
    /// The share of it that blends two colours and did not count, if the user asked.
    pub mixed: Option<f64>,
    /// How well other numbers of tones would describe it, if the user asked.
    pub curve: Option<Vec<(usize, DeltaE00)>>,
    /// How the number of tones was chosen, if the user asked.
    pub steps: Vec<ChoiceStep>,
    /// What was done about its light.
    pub light: LightReport,
    /// What is doubtful about it.
    pub warnings: Vec<String>,
}

/// What was done about a photo's light.
pub(super) fn light_entry(light: &LightReport) -> LightEntry {
    let mut more = LightMore {
        lightness_uncertainty_de: rounded(light.off.lightness.0),
        hue_uncertainty_de: rounded(light.off.hue.0),
        ..LightMore::default()
    };
    let by = match &light.by {
        CorrectedBy::Nothing { offered } => {
            more.offered = offered.map(|e| LightOffered {
                light: e.light.into(),
                cast_de: rounded(e.cast.0),
            });
            "nothing"
        }
        CorrectedBy::Estimate(e) | CorrectedBy::Materials(e) => {
            more.light = Some(e.light.into());
            more.cast_de = Some(rounded(e.cast.0));
            match light.by {
                CorrectedBy::Materials(_) => "materials",
                _ => "estimate",
            }
        }
        CorrectedBy::WhiteBalance { cast } => {
            more.cast_de = Some(rounded(cast.0));
            "neutral"
        }
        CorrectedBy::GreyCard { cast, exposure } => {
            more.cast_de = Some(rounded(cast.0));
            more.exposure = Some(rounded(*exposure));
            "grey card"
        }
        CorrectedBy::NoColour { exposure } => {
            more.exposure = Some(rounded(*exposure));
            "no colour"
        }
        CorrectedBy::Reference { known, off } => {
            more.off_de = Some(rounded(off.0));
            known.word()
        }
        CorrectedBy::Chart(fit) => {
            more = with_chart(more, fit);
            "chart"
        }
    };
    LightEntry {
        words: light.to_string(),
        target_uncertainty_de: rounded(light.uncertainty.0),
        corrected_by: by.to_owned(),
        more: with_witnesses(more, light).into(),
    }
}

/// How well a chart fits.
fn with_chart(more: LightMore, fit: &ChartFit) -> LightMore {
    let form = if fit.root_polynomial {
        "root-polynomial"
    } else {
        "linear"
    };
    LightMore {
        form: Some(form.to_owned()),
        before_de: Some(rounded(fit.before.0)),
        after_de: Some(rounded(fit.after.0)),
        left_out_de: Some(rounded(fit.left_out.0)),
        greys_before_de: Some(rounded(fit.greys_before.0)),
        greys_after_de: Some(rounded(fit.greys_after.0)),
        ..more
    }
}

/// The stops, and what each known material shows.
fn with_witnesses(more: LightMore, light: &LightReport) -> LightMore {
    if light.witnesses.is_empty() {
        return more;
    }
    let witnesses = light.witnesses.iter().map(|witness| WitnessEntry {
        material: witness.material.name.to_owned(),
        measured: witness.material.count,
        fits: witness.fits,
        stops_too_light: rounded(witness.stops),
        rather: witness.rather.map(|rather| rather.name.to_owned()),
        sun_and_shade: witness.two_lights,
    });
    LightMore {
        stops_too_light: light.gains.map(|gains| rounded(gains.stops())),
        witnesses: Some(witnesses.collect()),
        ..more
    }
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
                let tones: Vec<ToneEntry> = photo
                    .tones
                    .iter()
                    .zip(shares)
                    .map(|(tone, share)| ToneEntry::seen(tone, share, photo.light.uncertainty))
                    .collect();
                let mut value = json!({
                    "file": photo.file, "width": photo.width, "height": photo.height, "profile": photo.profile,
                    "light": light_entry(&photo.light),
                    "tones": tones, "warnings": photo.warnings,
                });
                if let Some(curve) = &photo.curve {
                    let curve = curve.iter().map(|(count, spread)| json!({ "tones": count, "mean_spread_de": rounded(spread.0) }));
                    let steps = photo.steps.iter().map(|step| json!({
                        "tones": step.tones, "mean_spread_de": rounded(step.mean_spread_de.0), "what": step.what,
                    }));
                    value["why"] = json!({ "curve": curve.collect::<Vec<_>>(), "steps": steps.collect::<Vec<_>>(), "mixed_share": photo.mixed.map(rounded) });
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
    /// The wanted colour.
    pub target: LabD65,
    /// Mixes for it.
    pub recipes: &'a [(RecipeKind, Recipe)],
    /// The colour of one further paint that would help most, where the list does not reach.
    pub helpful: Option<Helpful>,
    /// How much to mix, if the user said.
    pub batch: Option<Millilitres>,
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
                let mut value = with_batch(recipe, self.shelf, self.batch);
                value["kind"] = json!(kind.words());
                value["family"] = json!(recipe.family.words());
                value
            })
            .collect();
        let mut answer = json!({
            "format": "hillwash.mix/1", "target": ColourEntry::from(self.target), "recipes": recipes,
            "paint_list": self.list,
        });
        if let Some(helpful) = self.helpful {
            answer["helpful_colour"] = json!({
                "hex": helpful.colour.to_srgb8(), "lab": lab(helpful.colour),
                "de2000_before": rounded(helpful.before.0), "de2000_after": rounded(helpful.after.0),
            });
        }
        with_doubts(&mut answer, &self.doubts());
        answer
    }

    /// In words, what cannot be right of the paints of its mixes.
    #[must_use]
    pub fn doubts(&self) -> Vec<String> {
        let parts = self.recipes.iter().flat_map(|(_, recipe)| &recipe.parts);
        self.shelf.doubts_about(parts.map(|(at, _)| *at))
    }
}

/// Adds what cannot be right of the paints, if anything.
fn with_doubts(answer: &mut Value, doubts: &[String]) {
    if !doubts.is_empty() {
        answer["doubts"] = json!(doubts);
    }
}

/// A recipe as JSON; with millilitres of the batch and of each paint, if the user asked for a batch.
pub(super) fn with_batch(recipe: &Recipe, shelf: &Shelf, batch: Option<Millilitres>) -> Value {
    let mut value = json!(MixEntry::new(recipe, shelf));
    if let Some(batch) = batch {
        let batch = recipe.at_least_a_drop(batch).value();
        let total = f64::from(recipe.total_parts());
        value["batch_ml"] = json!(rounded(batch));
        for paint in value["paints"].as_array_mut().into_iter().flatten() {
            let ml = paint["parts"]
                .as_f64()
                .map(|parts| rounded(batch * parts / total));
            paint["ml"] = json!(ml);
        }
    }
    value
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
    /// Two in three real washes should fall within this much, on flats.
    pub flat_uncertainty: DeltaE00,
    /// In recesses, two in three real washes should fall within this much.
    pub recess_uncertainty: DeltaE00,
}

/// Answer of `mix --try`.
#[derive(Debug)]
pub struct TryJson<'a> {
    /// Names and parts.
    pub paints: &'a [(String, f64)],
    /// The pot's colour.
    pub colour: LabD65,
    /// Two in three real mixes should fall within this much.
    pub uncertainty: DeltaE00,
    /// What it does as a wash.
    pub over: Option<OverJson>,
    /// In words, what cannot be right of its paints.
    pub doubts: Vec<String>,
    /// The list, as the user named it.
    pub list: &'a str,
}

impl TryJson<'_> {
    /// The answer as JSON.
    #[must_use]
    pub fn value(&self) -> Value {
        let paints: Vec<Value> = self
            .paints
            .iter()
            .map(|(name, parts)| json!({ "name": name, "parts": as_typed(*parts) }))
            .collect();
        let mut answer = json!({
            "format": "hillwash.try/1", "paints": paints, "lab": lab(self.colour), "hex": self.colour.to_srgb8(),
            "uncertainty_de": rounded(self.uncertainty.0), "paint_list": self.list,
        });
        if let Some(over) = &self.over {
            let film = |colour: LabD65, uncertainty: DeltaE00| json!({ "lab": lab(colour), "hex": colour.to_srgb8(), "uncertainty_de": rounded(uncertainty.0) });
            answer["over"] = json!({
                "base": ColourEntry::from(over.base),
                "flat": film(over.flat, over.flat_uncertainty),
                "recess": film(over.recess, over.recess_uncertainty),
            });
        }
        with_doubts(&mut answer, &self.doubts);
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
    let notes: Vec<String> = list.notes().iter().map(ToString::to_string).collect();
    let let_downs: Vec<Value> = shelf
        .let_downs()
        .iter()
        .map(|report| {
            json!({
                "paint": report.paint, "strength": rounded(report.after),
                "doubtful": report.doubtful.map(|_| report.to_string()),
            })
        })
        .map(without_nulls)
        .collect();
    json!({
        "format": "hillwash.paints/1", "list": list.file, "paints": list.paints().len(), "families": families,
        "not_mixed": left_out, "notes": notes, "let_downs": let_downs, "advice": advice,
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
            let mut value = json!(ColourEntry::from(cell.reading.colour));
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
            let mut value = json!(ColourEntry::from(*colour));
            value["within_reach"] = json!(reach.holds(*colour));
            value
        })
        .collect();
    json!({
        "format": "hillwash.reach/1", "list": list, "paints": reach.paints, "family": reach.family.words(),
        "slices": slices, "colours": colours,
    })
}
