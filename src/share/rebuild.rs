//! A received plan as a scene and a survey that can be planned again.

use super::plan_file::{BandEntry, PlaceEntry, PlanFile, SurfaceEntry, ToneEntry, WashEntry};
use crate::colour::{DeltaE00, plain_name};
use crate::depth::Placed;
use crate::lamps::{ILLUMINANTS, Lamp};
use crate::plan::{BandPlan, Settled, SettledZone, SurfaceSeen, Survey};

use crate::paint::Material;
use crate::problem::Place;
use crate::scale_colour::{AirNote, ScaleColour, ScaleRule};
use crate::scatter::{Land, LayOrder};
use crate::scene::{
    Lamps, PlaceOnSurface, Scene, ShadeWish, Surface, Technique, Treatment, WashBase, WashWish,
};
use crate::tones::{Count, Role, Tone, Tones};
use crate::units::{Metres, Millimetres, ScaleRatio, Share, SquareCentimetres, UnitError};

/// A plan from elsewhere, ready to be planned for other paints.
#[derive(Debug)]
pub struct Received {
    /// The scene, without photos and lists.
    pub scene: Scene,
    /// Its lamps, where it tells their spectrum.
    pub lamp: Option<Lamp>,
    /// What its photos showed, as the plan tells it, with the planned colours settled.
    pub survey: Survey,
}

/// A role by its word.
pub(super) fn role(word: &str) -> Option<Role> {
    Role::ALL.into_iter().find(|role| role.word() == word)
}

/// Rebuilds scene and survey from a checked plan; `file` is its name for messages.
///
/// # Errors
/// [`UnitError`] for a measure that no unit holds; [`super::read_plan`] lets none of them through.
pub fn received(file: &str, plan: &PlanFile) -> Result<Received, UnitError> {
    let entry = &plan.scene;
    let rule = ScaleRule::ALL
        .iter()
        .find(|(word, _)| *word == entry.scale_colour.rule)
        .map_or(ScaleRule::None, |(_, rule)| *rule);
    let surfaces: Vec<Surface> = plan
        .surfaces
        .iter()
        .map(surface)
        .collect::<Result<_, _>>()?;
    let seen = plan
        .surfaces
        .iter()
        .map(surface_seen)
        .collect::<Result<_, _>>()?;
    let lamp = entry
        .lamp_weights
        .as_ref()
        .and_then(|weights| Lamp::from_weights(&entry.lamps, weights));
    Ok(Received {
        scene: Scene {
            file: file.to_owned(),
            title: entry.title.clone(),
            scale: ScaleRatio::one_to(entry.scale_n)?,
            view: Millimetres::new(entry.view_mm)?,
            lamps: match &lamp {
                Some(lamp) => Some(Lamps::Spectrum(lamp.name.clone())),
                None => lamps(&entry.lamps),
            },
            lamps_place: Place::default(),
            paints: entry.paints.clone(),
            paints_place: Place::default(),
            paints_medium: None,
            scatter: None,
            scatter_place: Place::default(),
            scale_colour: ScaleColour {
                rule,
                visibility: Metres::new(entry.scale_colour.visibility_m)?,
                air: entry.scale_colour.air.colour(),
            },
            visibility_stated: true,
            photos: Vec::new(),
            surfaces,
        },
        lamp,
        survey: Survey {
            photos: Vec::new(),
            surfaces: seen,
        },
    })
}

/// Lamps as a plan names them. A spectrum file whose weights do not travel along counts as not stated.
fn lamps(text: &str) -> Option<Lamps> {
    if text == "daylight" {
        return Some(Lamps::Daylight);
    }
    let kelvin = text
        .strip_suffix(" K")
        .and_then(|number| number.parse::<f64>().ok())
        .filter(|kelvin| (1000.0..=25_000.0).contains(kelvin));
    kelvin.map(Lamps::Kelvin).or_else(|| {
        ILLUMINANTS
            .iter()
            .find(|name| **name == text)
            .map(|name| Lamps::Illuminant((*name).to_owned()))
    })
}

fn surface(entry: &SurfaceEntry) -> Result<Surface, UnitError> {
    let treatment = Treatment::ALL
        .iter()
        .find(|(word, _)| *word == entry.treatment)
        .map_or(Treatment::Coat, |(_, treatment)| *treatment);
    Ok(Surface {
        name: entry.name.clone(),
        parts: Vec::new(),
        material: None,
        like: None,
        treatment,
        area: entry.area_cm2.map(SquareCentimetres::new).transpose()?,
        coats: entry.coats,
        tones: Count::Chosen,
        shade: Some(ShadeWish::Keep),
        model_photo: None,
        wash: entry.wash.as_ref().map(wash),
        places: entry.places.iter().map(place).collect(),
        bands: Vec::new(),
        order: LayOrder::default(),
        land: land(entry.land.as_deref()),
        crown: entry.crown_m.map(Metres::new).transpose()?,
        allow: entry
            .allow
            .iter()
            .filter_map(|word| Material::ALL.iter().find(|(own, _)| own == word))
            .map(|(_, material)| *material)
            .collect(),
    })
}

/// The wash that is wanted: what was wanted holds, whatever was photographed. A paint of the other builder counts by its
/// colour.
fn wash(entry: &WashEntry) -> WashWish {
    let base = match (entry.base.from.as_str(), &entry.base.name) {
        ("own body", _) => None,
        ("surface", Some(name)) => Some(WashBase::Surface(name.clone())),
        _ => Some(WashBase::Colour(entry.base.colour())),
    };
    WashWish {
        base_place: Place::default(),
        base,
        flat: Some(entry.flat_wanted.colour()),
        recess: Some(entry.recess_wanted.colour()),
        grime: 1.0,
        pool: Some(entry.pool),
        film: entry.film,
        recess_weight: entry.recess_weight.unwrap_or(1.0),
        most_paints: entry.most_paints.unwrap_or(2),
    }
}

/// A land by its word; an unknown one is guessed anew.
fn land(word: Option<&str>) -> Option<Land> {
    Land::ALL
        .iter()
        .find(|(own, _)| Some(*own) == word)
        .map(|(_, land)| *land)
}

fn place(entry: &PlaceEntry) -> PlaceOnSurface {
    PlaceOnSurface {
        name: entry.name.clone(),
        technique: technique(&entry.technique),
        region: None,
        place: Place::default(),
        colour: Some(entry.planned.colour()),
        share: Some(entry.share),
    }
}

/// A technique by its word.
pub(super) fn technique(word: &str) -> Option<Technique> {
    Technique::ALL
        .iter()
        .find(|(own, _)| *own == word)
        .map(|(_, technique)| *technique)
}

fn surface_seen(entry: &SurfaceEntry) -> Result<SurfaceSeen, UnitError> {
    let tones = entry
        .tones
        .iter()
        .map(tone)
        .collect::<Result<Vec<_>, _>>()?;
    let off = entry
        .tones
        .iter()
        .map(|tone| tone.target_uncertainty_de)
        .fold(0.0, f64::max);
    Ok(SurfaceSeen {
        tones: Tones {
            tones,
            mean_spread: DeltaE00(entry.spread_de),
        },
        parts: Vec::new(),
        part_notes: Vec::new(),
        bands: Vec::new(),
        band_maps: Vec::new(),
        places: vec![None; entry.places.len()],
        relief: None,
        settled: Some(Settled {
            planned: entry
                .tones
                .iter()
                .map(|tone| match &tone.planned {
                    Some(planned) => planned.colour(),
                    None => tone.colour(),
                })
                .collect(),
            from: entry.from_m.map(Metres::new).transpose()?,
            target_uncertainty: DeltaE00(off),
            washed_tone: entry
                .wash
                .as_ref()
                .filter(|_| entry.treatment == Treatment::Coat.word())
                .and_then(|_| {
                    entry
                        .tones
                        .iter()
                        .position(|tone| tone.pot.is_none() && !tone.left_to_lamps)
                }),
            left_to_lamps: entry.tones.iter().map(|t| t.left_to_lamps).collect(),
            zones: entry.bands.iter().map(zone).collect::<Result<_, _>>()?,
        }),
    })
}

fn zone(entry: &BandEntry) -> Result<SettledZone, UnitError> {
    let first = entry.tones.first().map_or(0, |t| t.saturating_sub(1));
    Ok(SettledZone {
        band: BandPlan {
            name: entry.name.clone(),
            region: None,
            land: land(entry.land.as_deref()),
            crown: entry.crown_m.map(Metres::new).transpose()?,
            note: AirNote::Added,
            model_depth: entry.model_depth_mm.map(Millimetres::new).transpose()?,
            placed: Placed {
                distance: Metres::new(entry.stands_for_m)?,
                scale: ScaleRatio::one_to(entry.scale_n)?,
                from: entry.from_m.map(Metres::new).transpose()?,
            },
            air: entry.air,
            photo_air: entry.photo_air,
            photographed: entry.photographed.colour(),
            planned: entry.planned.colour(),
        },
        area: entry.area_cm2.map(SquareCentimetres::new).transpose()?,
        share: entry.share,
        tones: first..first + entry.tones.len(),
    })
}

fn tone(entry: &ToneEntry) -> Result<Tone, UnitError> {
    let colour = entry.colour();
    Ok(Tone {
        colour,
        share: Share::new(entry.share)?,
        spread: DeltaE00(entry.spread_de),
        spread_90: DeltaE00(entry.spread_90_de),
        shade_of: None,
        name: plain_name(colour),
        role: role(&entry.role).unwrap_or(Role::Body),
    })
}
