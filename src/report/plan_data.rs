//! The plan as open data.

use super::data::{light_entry, shares};
use super::lamps::under_lamp;
use super::words::file_name;
use crate::lamps::KnownBy;
use crate::plan::{PhotoSeen, Plan, Pot, ShoppingLine, SurfacePlan, TonePlan};
use crate::report::dirt::data as dirt_data;
use crate::report::hills::data as hill_data;
use crate::report::shopping::fewest::fewest_of_plan;
use crate::report::tones::variety::variety_entry;
use crate::report::work::as_built::as_built_entries;
use crate::report::work::lines::{sitting_words, wait_words, work_lines};
use crate::share::{
    ColourEntry, MixEntry, PhotoEntry, PlanFile, PotEntry, ScaleColourEntry, SceneEntry,
    ShoppingEntry, SittingEntry, SurfaceEntry, ToneEntry, WorkEntry, in_millionths, rounded,
};
use crate::share::{PlanMore, SurfaceMore, ToneMore};

/// The plan as open data: all that is needed to solve again without the photos.
#[must_use]
pub fn plan_file(plan: &Plan<'_>, date: &str) -> PlanFile {
    let scene = &plan.layout;
    PlanFile {
        format: "hillwash.plan/1".to_owned(),
        scene: SceneEntry {
            title: scene.title.clone(),
            scale: scene.scale.to_string(),
            scale_n: scene.scale.n(),
            view: scene.view.to_string(),
            view_mm: rounded(scene.view.value()),
            lamps: scene
                .lamps
                .as_ref()
                .map_or_else(|| "not stated".to_owned(), ToString::to_string),
            lamp_weights: plan
                .lamp
                .as_ref()
                .filter(|lamp| lamp.known_by == KnownBy::Spectrum)
                .map(|lamp| lamp.weights().map(|xyz| xyz.map(in_millionths)).to_vec()),
            scale_colour: ScaleColourEntry {
                rule: scene.scale_colour.rule.word().to_owned(),
                visibility_m: rounded(scene.scale_colour.visibility.value()),
                air: scene.scale_colour.air.into(),
            },
            paints: file_name(&plan.paints.file).to_owned(),
            scatter: scene.scatter.as_deref().map(|f| file_name(f).to_owned()),
            date: date.to_owned(),
        },
        photos: plan.photos.iter().map(photo_entry).collect(),
        surfaces: plan
            .surfaces
            .iter()
            .map(|surface| surface_entry(surface, plan))
            .collect(),
        pots: plan.pots.iter().map(|pot| pot_entry(pot, plan)).collect(),
        order_of_work: order_of_work(plan),
        shopping: plan.shopping.iter().map(shopping_entry).collect(),
        notes: plan.notes.iter().map(super::doubts::note_text).collect(),
        units: "CIELAB under D65, 2 degree observer; differences are CIEDE2000".to_owned(),
        compared: None,
        more: PlanMore {
            fewest_paints: fewest_of_plan(plan),
            scatter_shopping: hill_data::shopping(&plan.scatter_shopping, plan),
        }
        .into(),
    }
}

/// The one order of work, in the words of the page.
fn order_of_work(plan: &Plan<'_>) -> Vec<SittingEntry> {
    let sittings = work_lines(plan).into_iter();
    sittings
        .map(|(sitting, lines)| SittingEntry {
            name: sitting_words(sitting).to_owned(),
            wait: sitting.wait.map(|wait| wait_words(wait).to_owned()),
            steps: sitting
                .steps
                .iter()
                .zip(&lines)
                .map(|(step, line)| WorkEntry {
                    stage: step.stage.word().to_owned(),
                    pot: step.pot.map(|pot| plan.pots[pot].number),
                    surfaces: line.on.iter().map(|place| place.name.clone()).collect(),
                    words: line.words(),
                })
                .collect(),
            cautions: sitting
                .cautions
                .iter()
                .map(|caution| caution.words().to_owned())
                .collect(),
        })
        .collect()
}

fn photo_entry(photo: &PhotoSeen) -> PhotoEntry {
    PhotoEntry {
        name: photo.key.clone(),
        width: photo.width,
        height: photo.height,
        profile: photo.profile.to_string(),
        from_m: photo.from.map(|m| rounded(m.value())),
        credit: photo.credit.clone(),
        light: light_entry(&photo.light),
    }
}

/// A tone with what is planned of it.
fn tone_entry(tone: &TonePlan, share: f64, plan: &Plan<'_>) -> ToneEntry {
    let recipes = tone.recipes.iter();
    ToneEntry {
        planned: Some(tone.wanted.moved.colour.into()),
        moved_de: Some(rounded(tone.wanted.moved.by.0)),
        left_to_lamps: tone.wanted.left_to_lamps,
        pot: tone.pot.map(|pot| plan.pots[pot].number),
        more: ToneMore {
            dried: tone.wanted.dried.map(|dry| dry.colour.into()),
            under_lamps: under_lamp(tone),
        }
        .into(),
        recipes: Some(recipes.map(|r| MixEntry::new(r, plan.shelf)).collect()),
        ..ToneEntry::seen(&tone.wanted.tone, share, tone.wanted.target_uncertainty)
    }
}

fn surface_entry(surface: &SurfacePlan, plan: &Plan<'_>) -> SurfaceEntry {
    let shares = shares(
        &surface
            .tones
            .iter()
            .map(|t| &t.wanted.tone)
            .collect::<Vec<_>>(),
    );
    let wish = &surface.wanted.wish;
    let tones = surface
        .tones
        .iter()
        .zip(shares)
        .map(|(tone, share)| tone_entry(tone, share, plan))
        .collect();
    SurfaceEntry {
        name: surface.wanted.name.clone(),
        treatment: surface.wanted.treatment.word().to_owned(),
        area_cm2: surface.wanted.area.map(|a| rounded(a.value())),
        coats: surface.wanted.coats,
        from_m: surface.wanted.from.map(|m| rounded(m.value())),
        spread_de: rounded(surface.wanted.spread.0),
        variety: variety_entry(surface, plan),
        tones,
        bands: hill_data::bands(surface),
        crown_m: wish.crown.map(|m| rounded(m.value())),
        land: wish.land.map(|land| land.word().to_owned()),
        allow: (wish.allow.iter())
            .map(|material| material.word().to_owned())
            .collect(),
        wash: dirt_data::wash(surface, plan),
        places: dirt_data::places(surface),
        steps: surface
            .steps
            .iter()
            .map(|step| super::work::steps::step_text(step, &plan.pots))
            .collect(),
        cautions: surface
            .cautions
            .iter()
            .map(|c| c.words().to_owned())
            .collect(),
        more: SurfaceMore {
            haze: hill_data::haze(surface),
            backscene: hill_data::backscene(surface, plan.shelf),
            scatter: hill_data::scatter(surface, plan),
            rock: dirt_data::rock(surface, plan),
            as_built: as_built_entries(surface, plan),
        }
        .into(),
    }
}

fn pot_entry(pot: &Pot, plan: &Plan<'_>) -> PotEntry {
    let ColourEntry { lab, hex } = pot.colour.into();
    PotEntry {
        name: super::words::pot_name(pot),
        colour_name: pot.colour_name.to_owned(),
        number: pot.number,
        straight: pot.is_straight(),
        lab,
        hex,
        paints: pot
            .recipe
            .as_ref()
            .map_or_else(Vec::new, |r| MixEntry::new(r, plan.shelf).paints),
        ml: pot.volume.map(|ml| rounded(ml.value())),
        surfaces: super::words::surfaces_of(pot, plan)
            .into_iter()
            .map(str::to_owned)
            .collect(),
    }
}

fn shopping_entry(line: &ShoppingLine) -> ShoppingEntry {
    ShoppingEntry {
        paint: line.paint.clone(),
        purpose: Some(line.purpose.word().to_owned()),
        needed_ml: line.needed.map(|ml| rounded(ml.value())),
        on_hand_ml: line.on_hand.map(|ml| rounded(ml.value())),
        short_ml: line.short.map(|ml| rounded(ml.value())),
        pots_to_buy: line.to_buy,
        price: line.price.map(rounded),
    }
}
