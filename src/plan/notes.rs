//! What a reader should know before trusting a plan.

use super::dirt::DirtNote;
use super::laid::{Laid, SurfacePlan};
use super::mixed::Kit;
use super::pots::FewerPots;
use super::sighted::{PartSeen, PhotoSeen};
use super::toned::Layout;
use super::tones_note::{self, TonesNote};
use super::{advice, material_note, strewing};
use crate::colour::{DeltaE00, delta_e00};
use crate::depth::Haze;
use crate::lamps::KnownBy;
use crate::mix::{Helpful, LetDownReport, OUT_OF_REACH, Search, Shelf, StrengthFrom};
use crate::paint::{Material, MixingFamily, Opacity};
use crate::photo::{CorrectedBy, LightReport, PhotoWarning, Supposed};
use crate::scale_colour::{AirNote, ScaleRule};
use crate::scatter::{Kind, Land, Missing};
use crate::scene::Treatment;
use crate::units::Metres;
use crate::wet::Dried;

/// What a reader should know before trusting the plan.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanNote {
    /// A photo is doubtful.
    Photo {
        /// Its name in the scene.
        photo: String,
        /// What about it.
        warning: PhotoWarning,
    },
    /// No card or chart corrects a photo's light.
    LightUncorrected {
        /// Names of the photos.
        photos: Vec<String>,
    },
    /// What was done about a photo's light.
    Light {
        /// Its name in the scene.
        photo: String,
        /// What.
        report: LightReport,
    },
    /// A known material contradicts the rest of what is known of its photo's light.
    LightDoubt {
        /// The photo's name in the scene.
        photo: String,
        /// How.
        words: String,
    },
    /// What a surface may be made of, and what the photo's light would be then.
    Supposed {
        /// The surface.
        surface: String,
        /// What is supposed.
        supposed: Supposed,
    },
    /// How the tones of a surface lie to what was measured of its material.
    HeldAgainst {
        /// The surface.
        surface: String,
        /// Tone by tone.
        words: String,
    },
    /// A surface whose tones come from measured materials, not from a photo.
    NoPhoto {
        /// The surface.
        surface: String,
        /// Which.
        words: String,
    },
    /// Part of a region is blown out or crushed, and left out of its tones.
    Lost {
        /// The surface.
        surface: String,
        /// Share blown out.
        blown_out: f64,
        /// Share crushed.
        crushed: f64,
    },
    /// A photo's distance is not stated.
    DistanceUnknown {
        /// Its name in the scene.
        photo: String,
    },
    /// Something about the photo's air.
    Air {
        /// The surface.
        surface: String,
        /// What.
        note: AirNote,
    },
    /// Paints that are not mixed.
    NotMixed {
        /// The paint.
        paint: String,
        /// Why.
        reason: crate::paint::NotMixed,
    },
    /// Photos of one surface from different distances: the first one's counts.
    DistancesDiffer {
        /// The surface.
        surface: String,
    },
    /// A photo so dark that its exposure is in doubt.
    Dark {
        /// The surface.
        surface: String,
    },
    /// About the tones of a surface.
    Tones(TonesNote),
    /// No area, hence no quantities.
    AreaUnknown {
        /// The surface.
        surface: String,
    },
    /// A colour the list does not reach.
    OutOfReach {
        /// The surface.
        surface: String,
        /// The tone's name.
        tone: String,
        /// How far the best mix is off.
        difference: DeltaE00,
        /// In which direction.
        falls_short: Option<String>,
    },
    /// The one further paint that would help most with what is out of reach.
    HelpfulColour(Helpful),
    /// On one surface one medium goes over another.
    MediaOver {
        /// The surface.
        surface: String,
        /// What goes over …
        over: MixingFamily,
        /// … what.
        under: MixingFamily,
    },
    /// Recipes lean on paints whose strength their screen colours do not tell.
    LetDownWanted {
        /// The paints.
        paints: Vec<String>,
    },
    /// What a let-down changed.
    LetDown(LetDownReport),
    /// Tones of a photo taken in rain were dried back.
    Dried {
        /// The surface.
        surface: String,
        /// By how much on average.
        by: DeltaE00,
        /// How far that may be off.
        uncertainty: DeltaE00,
    },
    /// What the bands of a photo tell of its haze.
    Haze {
        /// The surface.
        surface: String,
        /// What.
        haze: Haze,
        /// True when it was reckoned with, false when the scene's own visibility was.
        used: bool,
    },
    /// Only a colour temperature is known of the lamps.
    LampByTemperature {
        /// The lamps.
        lamp: String,
    },
    /// A surface is to be strewn and the scene names no scatter list.
    NoScatterList {
        /// The surface.
        surface: String,
    },
    /// Kinds that a zone is not made of were left out, and its blend is further off for it.
    KindsLeftOut {
        /// The surface.
        surface: String,
        /// The zone, where there are several.
        zone: Option<String>,
        /// What it is.
        land: Land,
        /// Whether that was guessed.
        guessed: bool,
        /// Their names.
        kinds: Vec<String>,
        /// Differences of the mean: as blended, with them.
        means: [DeltaE00; 2],
        /// Gaps in variety: as blended, with them.
        gaps: [DeltaE00; 2],
    },
    /// What kinds of scatter are was guessed from their names.
    MaterialsGuessed {
        /// Names with what they were taken for; `None` may be anything.
        kinds: Vec<(String, Option<Material>)>,
    },
    /// Planned colours that no screen of the usual kind shows: their swatches are the nearest it can.
    OutsideScreen {
        /// The surface.
        surface: String,
        /// The tones, counted from 1.
        tones: Vec<usize>,
    },
    /// The list of scatter lacks a kind.
    MissingKind {
        /// The surface.
        surface: String,
        /// The zone, where there are several.
        zone: Option<String>,
        /// The kind.
        missing: Missing,
    },
    /// The best blend is still far from the zone's mean colour.
    BlendOff {
        /// The surface.
        surface: String,
        /// The zone, where there are several.
        zone: Option<String>,
        /// How far.
        difference: DeltaE00,
        /// In which direction.
        falls_short: Option<String>,
    },
    /// Fewer pots than the plan would have, by choice.
    FewerPots(FewerPots),
    /// Something about a wash or a place.
    Dirt {
        /// The surface.
        surface: String,
        /// What.
        note: DirtNote,
    },
    /// A listed colour that no surface can have.
    ImpossibleColour {
        /// The paint.
        paint: String,
    },
}

/// A body darker than this, in a photo whose exposure nothing mends, is told as doubtful. Our choice.
const DARK: f64 = 30.0;
/// A share of lost pixels below this is not worth a word. Our choice.
const WORTH_A_WORD: f64 = 0.02;

/// All of it, for a plan.
pub(super) fn of_plan(laid: &Laid, kit: &Kit<'_>, search: &Search) -> Vec<PlanNote> {
    let mut notes = notes(
        &laid.layout,
        &laid.photos,
        &laid.surfaces,
        kit.shelf,
        &laid.kinds,
    );
    let lamp = kit.lamp.as_ref();
    let by_temperature = lamp.filter(|lamp| lamp.known_by == KnownBy::Temperature);
    notes.extend(by_temperature.map(|lamp| PlanNote::LampByTemperature {
        lamp: lamp.name.clone(),
    }));
    notes.extend(advice::notes(&laid.surfaces, kit.shelf, search));
    notes.extend(laid.fewer.clone().map(PlanNote::FewerPots));
    notes
}

fn notes(
    layout: &Layout,
    photos: &[PhotoSeen],
    surfaces: &[SurfacePlan],
    shelf: &Shelf,
    kinds: &[Kind],
) -> Vec<PlanNote> {
    let mut notes: Vec<PlanNote> = Vec::new();
    let plain = |photo: &&PhotoSeen| matches!(photo.light.by, CorrectedBy::Nothing { .. });
    let uncorrected: Vec<String> = photos
        .iter()
        .filter(plain)
        .map(|photo| photo.key.clone())
        .collect();
    if !uncorrected.is_empty() {
        notes.push(PlanNote::LightUncorrected {
            photos: uncorrected,
        });
    }
    notes.extend(
        photos
            .iter()
            .filter(|photo| !plain(photo))
            .map(|photo| PlanNote::Light {
                photo: photo.key.clone(),
                report: photo.light.clone(),
            }),
    );
    for photo in photos {
        let doubts = photo.light.contradictions().into_iter();
        notes.extend(doubts.map(|words| PlanNote::LightDoubt {
            photo: photo.key.clone(),
            words,
        }));
        notes.extend(photo.warnings.iter().map(|warning| PlanNote::Photo {
            photo: photo.key.clone(),
            warning: warning.clone(),
        }));
        if photo.from.is_none() && layout.scale_colour.rule == ScaleRule::Air {
            notes.push(PlanNote::DistanceUnknown {
                photo: photo.key.clone(),
            });
        }
    }
    for surface in surfaces {
        surface_notes(surface, photos, &mut notes);
        notes.extend(material_note::notes(surface));
        notes.extend(tones_note::notes(surface, photos).map(PlanNote::Tones));
        hill_notes(surface, layout, kinds, &mut notes);
    }
    notes.extend(strewing::guessed_materials(surfaces, kinds));
    notes.extend(shelf.let_downs().iter().cloned().map(PlanNote::LetDown));
    notes.extend(let_downs_wanted(surfaces, shelf));
    notes.extend(
        shelf
            .stocks()
            .iter()
            .filter(|stock| stock.prepared.moved_toward_grey > 0.0)
            .map(|stock| PlanNote::ImpossibleColour {
                paint: stock.name.clone(),
            }),
    );
    notes.extend(
        shelf
            .left_out()
            .iter()
            .map(|(paint, reason)| PlanNote::NotMixed {
                paint: paint.clone(),
                reason: *reason,
            }),
    );
    notes
}

/// What is doubtful about one surface.
fn surface_notes(surface: &SurfacePlan, photos: &[PhotoSeen], notes: &mut Vec<PlanNote>) {
    let distances: Vec<Option<f64>> = surface
        .wanted
        .parts
        .iter()
        .map(|part| photos[part.photo].from.map(Metres::value))
        .collect();
    if distances.windows(2).any(|pair| pair[0] != pair[1]) {
        notes.push(PlanNote::DistancesDiffer {
            surface: surface.wanted.name.clone(),
        });
    }
    let unexposed = surface
        .wanted
        .parts
        .iter()
        .all(|part| !photos[part.photo].light.mends_exposure());
    if unexposed
        && !surface.wanted.parts.is_empty()
        && surface
            .tones
            .first()
            .is_some_and(|tone| tone.wanted.tone.colour.l < DARK)
    {
        notes.push(PlanNote::Dark {
            surface: surface.wanted.name.clone(),
        });
    }
    notes.extend(surface.dirt.notes.iter().map(|note| PlanNote::Dirt {
        surface: surface.wanted.name.clone(),
        note: note.clone(),
    }));
    if surface.wanted.area.is_none() {
        notes.push(PlanNote::AreaUnknown {
            surface: surface.wanted.name.clone(),
        });
    }
    let lost =
        |of: &dyn Fn(&PartSeen) -> f64| surface.wanted.parts.iter().map(of).fold(0.0, f64::max);
    let (blown_out, crushed) = (lost(&|part| part.blown_out), lost(&|part| part.crushed));
    if blown_out.max(crushed) >= WORTH_A_WORD {
        notes.push(PlanNote::Lost {
            surface: surface.wanted.name.clone(),
            blown_out,
            crushed,
        });
    }
    let worst_air = [AirNote::LeftIn, AirNote::RemovedToFloor, AirNote::Unknown]
        .into_iter()
        .find(|note| {
            surface
                .tones
                .iter()
                .any(|tone| tone.wanted.moved.note == *note)
        });
    notes.extend(worst_air.map(|note| PlanNote::Air {
        surface: surface.wanted.name.clone(),
        note,
    }));
    // What is not brushed on needs no mix.
    for tone in surface.tones.iter().filter(|tone| tone.pot.is_some()) {
        let nearest = tone
            .recipes
            .iter()
            .min_by(|a, b| a.difference.0.total_cmp(&b.difference.0));
        if let Some(best) = nearest
            && best.difference.0 > OUT_OF_REACH
        {
            notes.push(PlanNote::OutOfReach {
                surface: surface.wanted.name.clone(),
                tone: tone.wanted.tone.name.to_owned(),
                difference: best.difference,
                falls_short: crate::mix::falls_short(tone.wanted.moved.colour, best.colour),
            });
        }
    }
}

/// A planned colour that a screen misses by more than this is told. Our choice.
const SEEN_CLIPPED: f64 = 1.0;

/// Tones whose planned colour lies outside sRGB.
fn outside_screen(surface: &SurfacePlan) -> Option<PlanNote> {
    let tones: Vec<usize> = surface
        .tones
        .iter()
        .zip(1..)
        .filter(|(tone, _)| {
            let colour = tone.wanted.moved.colour;
            delta_e00(colour, colour.to_srgb8().into()).0 > SEEN_CLIPPED
        })
        .map(|(_, number)| number)
        .collect();
    (!tones.is_empty()).then(|| PlanNote::OutsideScreen {
        surface: surface.wanted.name.clone(),
        tones,
    })
}

/// A blend whose mean is further than this from the zone's is told. Our choice.
const BLEND_OFF: f64 = 5.0;

/// What is doubtful about rain, haze and scatter of one surface.
fn hill_notes(surface: &SurfacePlan, layout: &Layout, kinds: &[Kind], notes: &mut Vec<PlanNote>) {
    let name = || surface.wanted.name.clone();
    notes.extend(outside_screen(surface));
    let dried: Vec<(f64, &Dried)> = surface
        .tones
        .iter()
        .filter_map(|tone| Some((tone.wanted.tone.share.value(), tone.wanted.dried.as_ref()?)))
        .collect();
    if !dried.is_empty() {
        notes.push(PlanNote::Dried {
            surface: name(),
            by: DeltaE00(dried.iter().map(|(share, dry)| share * dry.by.0).sum()),
            uncertainty: DeltaE00(
                dried
                    .iter()
                    .map(|(share, dry)| share * dry.uncertainty.0)
                    .sum(),
            ),
        });
    }
    notes.extend(surface.wanted.haze.map(|haze| PlanNote::Haze {
        surface: name(),
        haze,
        used: !layout.visibility_stated && layout.scale_colour.rule == ScaleRule::Air,
    }));
    let nothing_to_strew = surface
        .zones
        .iter()
        .filter_map(|zone| zone.strewn.as_ref())
        .all(|strewn| strewn.blend.is_none());
    if surface.wanted.treatment == Treatment::Scatter && nothing_to_strew {
        notes.push(PlanNote::NoScatterList { surface: name() });
    }
    for zone in &surface.zones {
        let Some(strewn) = &zone.strewn else { continue };
        let zone = zone.wanted.band.as_ref().map(|band| band.name.clone());
        if let Some(blend) = strewn
            .blend
            .as_ref()
            .filter(|b| b.judged.difference.0 > BLEND_OFF)
        {
            notes.push(PlanNote::BlendOff {
                surface: name(),
                zone: zone.clone(),
                difference: blend.judged.difference,
                falls_short: crate::mix::falls_short(strewn.wanted, blend.judged.colour),
            });
        }
        if let (Some(land), Some(free), Some(blend)) = (strewn.land, &strewn.freely, &strewn.blend)
        {
            notes.push(PlanNote::KindsLeftOut {
                surface: name(),
                zone: zone.clone(),
                land,
                guessed: strewn.land_guessed,
                kinds: free
                    .kinds
                    .iter()
                    .map(|at| kinds[*at].name.clone())
                    .collect(),
                means: [blend.judged.difference, free.difference],
                gaps: [blend.judged.variety_gap, free.variety_gap],
            });
        }
        notes.extend(strewn.missing.map(|missing| PlanNote::MissingKind {
            surface: name(),
            zone,
            missing,
        }));
    }
}

/// Paints of the chosen recipes that are transparent, or darker than L* 30 in the pot and not opaque: their screen
/// colour does not tell how strongly they tint.
fn let_downs_wanted(surfaces: &[SurfacePlan], shelf: &Shelf) -> Option<PlanNote> {
    let mut wanted: Vec<usize> = surfaces
        .iter()
        .flat_map(|surface| &surface.tones)
        .filter(|tone| tone.pot.is_some())
        .filter_map(|tone| tone.recipes.first())
        .filter(|recipe| recipe.parts.len() > 1)
        .flat_map(|recipe| recipe.parts.iter().map(|(at, _)| *at))
        .filter(|at| {
            let stock = &shelf.stocks()[*at];
            let opacity = stock.opacity;
            stock.strength == StrengthFrom::Nothing
                && (opacity == Some(Opacity::Transparent)
                    || (opacity != Some(Opacity::Opaque) && stock.prepared.lab.l < 30.0))
        })
        .collect();
    wanted.sort_unstable();
    wanted.dedup();
    (!wanted.is_empty()).then(|| PlanNote::LetDownWanted {
        paints: wanted
            .iter()
            .map(|at| shelf.stocks()[*at].name.clone())
            .collect(),
    })
}
