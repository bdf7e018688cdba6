//! A received plan as a layout whose tones are known, ready to be mixed from other paints.

use super::{
    BandEntry, ColourEntry, PlaceEntry, PlanFile, SurfaceEntry, ToneEntry, VarietyEntry, WashEntry,
};
use crate::colour::{DeltaE00, delta_e00, plain_name};
use crate::depth::PlacedBand;
use crate::lamps::{ILLUMINANTS, Lamp};
use crate::paint::ScatterMaterial;
use crate::plan::{
    BandPlan, Kit, Layout, Plan, SurfaceWanted, SurfaceWish, TenthWanted, ToneId, Toned,
    TonedSurface, TonedTone, TonedZone, UnitsWanted, Wishes,
};
use crate::problem::Place;
use crate::scale_colour::{AirNote, Moved, ScaleColour, ScaleRule, SeenFrom, moved};
use crate::scatter::{Land, LayOrder};
use crate::scene::{Lamps, PlaceOnSurface, ShadeWish, Technique, Treatment, WashBase, WashWish};
use crate::tones::{JoinedTone, Role, Tone};
use crate::units::{Metres, Millimetres, ScaleRatio, Share, SquareCentimetres, UnitError};
use crate::work::Timings;

/// A plan from elsewhere, ready to be planned for other paints.
#[derive(Debug)]
pub struct Received {
    /// The lamp over the layout, when it is not daylight.
    pub lamp: Option<Lamp>,
    /// Its tones, with the planned colours as they were received.
    pub toned: Toned,
}

impl Received {
    /// Plans it for other paints. Of the kit, paints and scatter count: the lamp is that of the plan, and patches dried on
    /// one layout tell nothing of another.
    #[must_use]
    pub fn planned<'a>(self, kit: &Kit<'a>, wishes: &Wishes, timings: &Timings) -> Plan<'a> {
        let kit = Kit {
            scatter: kit.scatter,
            lamp: self.lamp,
            ..Kit::new(kit.paints, kit.shelf)
        };
        self.toned.planned_timed(kit, wishes, timings)
    }
}

/// A role by its word.
pub(super) fn role(word: &str) -> Option<Role> {
    Role::ALL.into_iter().find(|role| role.word() == word)
}

/// Rebuilds what was toned from a checked plan.
///
/// # Errors
/// [`UnitError`] for a measure that no unit holds; [`super::read_plan`] lets none of them through.
pub fn received(plan: &PlanFile) -> Result<Received, UnitError> {
    let entry = &plan.scene;
    let rule = ScaleRule::ALL
        .iter()
        .find(|(word, _)| *word == entry.scale_colour.rule)
        .map_or(ScaleRule::None, |(_, rule)| *rule);
    let told = entry
        .lamp_weights
        .as_ref()
        .and_then(|weights| Lamp::from_weights(&entry.lamps, weights));
    let lamps = match &told {
        Some(lamp) => Some(Lamps::Spectrum(lamp.name.clone())),
        None => lamps(&entry.lamps),
    };
    let layout = Layout {
        title: entry.title.clone(),
        scale: ScaleRatio::one_to(entry.scale_n)?,
        view: Millimetres::new(entry.view_mm)?,
        scale_colour: ScaleColour {
            rule,
            visibility: Metres::new(entry.scale_colour.visibility_m)?,
            air: entry.scale_colour.air.colour(),
        },
        visibility_stated: true,
        scatter: None,
        lamps,
    };
    let surfaces = plan.surfaces.iter();
    Ok(Received {
        lamp: told.or_else(|| layout.lamps.as_ref()?.known_by_name()),
        toned: Toned {
            surfaces: surfaces
                .map(|entry| surface(entry, &layout))
                .collect::<Result<_, _>>()?,
            photos: Vec::new(),
            layout,
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

fn surface(entry: &SurfaceEntry, layout: &Layout) -> Result<TonedSurface, UnitError> {
    let treatment = Treatment::ALL
        .iter()
        .find(|(word, _)| *word == entry.treatment)
        .map_or(Treatment::Coat, |(_, treatment)| *treatment);
    let area = entry.area_cm2.map(SquareCentimetres::new).transpose()?;
    let from = entry.from_m.map(Metres::new).transpose()?;
    let mut zones: Vec<TonedZone> = entry.bands.iter().map(zone).collect::<Result<_, _>>()?;
    if zones.is_empty() {
        zones.push(TonedZone {
            band: None,
            area,
            share: 1.0,
            tones: 0..entry.tones.len(),
            map: None,
        });
    }
    let uncertainty = entry.tones.iter().map(|tone| tone.target_uncertainty_de);
    let settled = AsReceived {
        eye: SeenFrom {
            scale: layout.scale,
            view: layout.view,
            from,
        },
        settings: layout.scale_colour,
        uncertainty: DeltaE00(uncertainty.fold(0.0, f64::max)),
    };
    let tones = entry.tones.iter().enumerate();
    let tones = tones.map(|(at, tone)| {
        let zone = zones.iter().position(|zone| zone.tones.contains(&at));
        settled.tone(tone, zone.unwrap_or(0))
    });
    Ok(TonedSurface {
        tones: tones.collect::<Result<_, _>>()?,
        wanted: SurfaceWanted {
            name: entry.name.clone(),
            treatment,
            area,
            coats: entry.coats,
            from,
            spread: DeltaE00(entry.spread_de),
            variety: entry.variety.as_ref().map(variety),
            parts: Vec::new(),
            part_notes: Vec::new(),
            not_found: Vec::new(),
            haze: None,
            washed_tone: washed_tone(entry),
            places_seen: vec![None; entry.places.len()],
            relief: None,
            wish: wish(entry)?,
        },
        zones,
    })
}

/// How the units of a received surface differ.
fn variety(entry: &VarietyEntry) -> UnitsWanted {
    let picks = entry.picks.iter();
    UnitsWanted {
        spread: DeltaE00(entry.spread_de),
        tenths: picks
            .map(|pick| TenthWanted {
                photographed: pick.photographed.colour(),
                planned: pick.planned.colour(),
            })
            .collect(),
    }
}

/// The tone that the wash of a coat replaces: the one that has no pot and is not left to the lamps.
fn washed_tone(entry: &SurfaceEntry) -> Option<ToneId> {
    entry.wash.as_ref()?;
    let mut tones = ToneId::all(entry.tones.len()).zip(&entry.tones);
    let washed = tones.find(|(_, tone)| tone.pot.is_none() && !tone.left_to_lamps);
    washed
        .filter(|_| entry.treatment == Treatment::Coat.word())
        .map(|(at, _)| at)
}

/// What a received surface needs: what was settled is kept.
fn wish(entry: &SurfaceEntry) -> Result<SurfaceWish, UnitError> {
    Ok(SurfaceWish {
        material: None,
        like: None,
        shade: Some(ShadeWish::Keep),
        one_surface: true,
        variety: None,
        wash: entry.wash.as_ref().map(wash),
        places: entry.places.iter().map(place).collect(),
        order: LayOrder::default(),
        land: land(entry.land.as_deref()),
        crown: entry.crown_m.map(Metres::new).transpose()?,
        allow: entry
            .allow
            .iter()
            .filter_map(|word| ScatterMaterial::ALL.iter().find(|(own, _)| own == word))
            .map(|(_, material)| *material)
            .collect(),
    })
}

/// How the tones of a received surface are seen: their planned colours are not moved again.
struct AsReceived {
    eye: SeenFrom,
    settings: ScaleColour,
    uncertainty: DeltaE00,
}

impl AsReceived {
    fn tone(&self, entry: &ToneEntry, zone: usize) -> Result<TonedTone, UnitError> {
        let tone = tone(entry)?;
        let by = |rule| {
            let settings = ScaleColour {
                rule,
                ..self.settings
            };
            moved(tone.colour, &settings, &self.eye)
        };
        let planned = entry
            .planned
            .as_ref()
            .map_or(tone.colour, ColourEntry::colour);
        Ok(TonedTone {
            target_uncertainty: self.uncertainty,
            dried: None,
            moved: Moved {
                colour: planned,
                by: delta_e00(tone.colour, planned),
                ..by(self.settings.rule)
            },
            by_rule: ScaleRule::ALL.map(|(_, rule)| by(rule)),
            tone,
            zone,
            left_to_lamps: entry.left_to_lamps,
        })
    }
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
        // The hand that lays it is another's.
        film: None,
        recess_weight: entry.recess_weight.unwrap_or(1.0),
        most_paints: entry.most_paints.unwrap_or(2),
    }
}

/// A land by its word; an unknown one is guessed again.
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

fn zone(entry: &BandEntry) -> Result<TonedZone, UnitError> {
    let first = entry.tones.first().map_or(0, |t| t.saturating_sub(1));
    Ok(TonedZone {
        band: Some(BandPlan {
            name: entry.name.clone(),
            region: None,
            land: land(entry.land.as_deref()),
            crown: entry.crown_m.map(Metres::new).transpose()?,
            note: AirNote::Added,
            model_depth: entry.model_depth_mm.map(Millimetres::new).transpose()?,
            placed: PlacedBand {
                distance: Metres::new(entry.stands_for_m)?,
                scale: ScaleRatio::one_to(entry.scale_n)?,
                from: entry.from_m.map(Metres::new).transpose()?,
            },
            air: entry.air,
            photo_air: entry.photo_air,
            photographed: entry.photographed.colour(),
            planned: entry.planned.colour(),
        }),
        area: entry.area_cm2.map(SquareCentimetres::new).transpose()?,
        share: entry.share,
        tones: first..first + entry.tones.len(),
        map: None,
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
        thin: entry.thin,
        joined: entry
            .made_of
            .iter()
            .map(|part| {
                Ok(JoinedTone {
                    colour: part.colour(),
                    share: Share::new(part.share)?,
                })
            })
            .collect::<Result<_, UnitError>>()?,
        named_by: Vec::new(),
        name: plain_name(colour),
        role: role(&entry.role).unwrap_or(Role::Body),
    })
}
