//! How tones and mixes look under lamps: in words, as JSON, and for a sheet.

use super::data::with_batch;
use super::figures::Swatches;
use crate::colour::LabD65;
use crate::lamps::{KnownBy, Lamp, Shift, direction};
use crate::mix::{Shelf, SteadyRecipe};
use crate::plan::{Plan, SurfacePlan, ToneId, TonePlan};
use crate::share::UnderLampsEntry;
use crate::share::{ColourEntry, rounded};
use crate::units::Millilitres;
use serde_json::{Value, json};

/// The shift of a colour under lamps, in whole steps: "3, redder"; "none to speak of".
#[must_use]
pub fn shift_text(shift: &Shift) -> String {
    match direction(shift) {
        Some(words) => format!("about {:.0}, {words}", shift.by.0.max(1.0)),
        None => "none to speak of".to_owned(),
    }
}

/// The tones of a surface under the lamps.
#[derive(Debug)]
pub(super) struct LampView {
    pub(super) name: String,
    pub(super) rows: Vec<LampRow>,
    pub(super) about: String,
}

/// One tone under the lamps.
#[derive(Debug)]
pub(super) struct LampRow {
    pub(super) tone: String,
    pub(super) swatches: Swatches,
    pub(super) shift: String,
    pub(super) mix: String,
}

impl LampView {
    /// `None` in daylight.
    pub(super) fn of_surface(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<Self> {
        let lamp = plan.lamp.as_ref()?;
        let mut all_measured = true;
        let rows = surface
        .tones
        .iter()
        .zip(ToneId::all(surface.tones.len()))
        .filter_map(|(tone, t)| {
            let under = tone.under_lamp.as_ref()?;
            all_measured &= under.mix_measured;
            let mut colours = vec![(under.tone.daylight, 1.0), (under.tone.lamp, 1.0)];
            if let Some(mix) = &under.mix {
                colours.extend([(mix.daylight, 1.0), (mix.lamp, 1.0)]);
            }
            Some(LampRow {
                tone: format!("{} {}", t.number(), surface.called(t)),
                swatches: Swatches::row(
                    format!(
                        "Tone {}: planned in daylight {} and under the lamps {}; its mix likewise",
                        t.number(),
                        under.tone.daylight.to_srgb8(),
                        under.tone.lamp.to_srgb8()
                    ),
                    320,
                    36,
                    &colours,
                ),
                shift: shift_text(&under.tone),
                mix: under
                    .mix
                    .as_ref()
                    .map_or_else(|| "–".to_owned(), shift_text),
            })
        })
        .collect();
        let mut about = "The shifts (CIEDE2000) are for an eye fully adapted to the lamps (CAT16); they come from spectra estimated from colours, are right to about half their size, and are rounded to whole steps.".to_owned();
        if !all_measured {
            about.push_str(" Only measured spectra of paints and target could show whether one mix matches better than another (the special metamerism index of CIE 015): allow 1, at worst 3 to 4, for a difference that these figures do not show.");
        }
        if lamp.known_by == KnownBy::Temperature {
            about.push_str(" Only the temperature of these lamps is known.");
        }
        Some(LampView {
            name: lamp.name.clone(),
            rows,
            about,
        })
    }
}

/// A tone and its mix under the lamps, the shifts in whole steps; null in daylight.
pub(super) fn under_lamp(tone: &TonePlan) -> Option<UnderLampsEntry> {
    tone.under_lamp.map(|under| UnderLampsEntry {
        tone: under.tone.lamp.into(),
        shift_de: under.tone.by.0.round(),
        mix: under.mix.map(|mix| mix.lamp.into()),
        mix_shift_de: under.mix.map(|mix| mix.by.0.round()),
        mix_measured: under.mix_measured,
    })
}

/// Answer of `mix --steady`.
#[derive(Debug)]
pub struct SteadyJson<'a> {
    /// The wanted colour, in daylight.
    pub target: LabD65,
    /// The lamp.
    pub lamp: &'a Lamp,
    /// Mixes for it.
    pub recipes: &'a [SteadyRecipe],
    /// How much to mix, if the user said.
    pub batch: Option<Millilitres>,
    /// The paints they are from.
    pub shelf: &'a Shelf,
    /// The list, as the user named it.
    pub list: &'a str,
}

impl SteadyJson<'_> {
    /// The answer as JSON: as of `mix`, each recipe with its drift under the lamp.
    #[must_use]
    pub fn value(&self) -> Value {
        let recipes: Vec<Value> = self
            .recipes
            .iter()
            .map(|SteadyRecipe { recipe, drift }| {
                let mut value = with_batch(recipe, self.shelf, self.batch);
                value["drift_de"] = json!(rounded(drift.0));
                value
            })
            .collect();
        json!({
            "format": "hillwash.mix/1", "target": ColourEntry::from(self.target), "recipes": recipes,
            "lamps": self.lamp.name, "paint_list": self.list,
        })
    }
}
