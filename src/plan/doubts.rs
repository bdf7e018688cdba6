//! What a reader should know before trusting a plan: finds all doubts of one plan.

use super::ids::ToneId;
use super::mixed::Kit;
use super::notes::PlanNote;
use super::sighted::{PartSeen, PhotoSeen};
use super::toned::Layout;
use super::tones_note;
use super::{Laid, SurfacePlan, ZonePlan, advice, material_note, strewing};
use crate::colour::{DeltaE00, delta_e00};
use crate::lamps::KnownBy;
use crate::mix::{OUT_OF_REACH, PaintId, Shelf, StrengthFrom};
use crate::paint::Opacity;
use crate::photo::CorrectedBy;
use crate::scale_colour::{AirNote, ScaleRule};
use crate::scatter::ScatterKind;
use crate::scene::Treatment;
use crate::units::Metres;
use crate::wet::Dried;

/// A body darker than this, in a photo whose exposure nothing corrects, is reported as doubtful. Our choice.
const DARK: f64 = 30.0;
/// A share of lost pixels below this is not worth mentioning. Our choice.
const WORTH_A_WORD: f64 = 0.02;

/// All of it, for a plan.
pub(super) fn of_plan(laid: &Laid, kit: &Kit<'_>) -> Vec<PlanNote> {
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
    notes.extend(advice::notes(&laid.surfaces, laid.helpful.as_ref()));
    notes.extend(laid.fewer.clone().map(PlanNote::FewerPots));
    notes
}

fn notes(
    layout: &Layout,
    photos: &[PhotoSeen],
    surfaces: &[SurfacePlan],
    shelf: &Shelf,
    kinds: &[ScatterKind],
) -> Vec<PlanNote> {
    let mut notes = light_notes(photos);
    photo_notes(photos, layout, surfaces, &mut notes);
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

/// The light of each photo, and the photos whose light nothing tells.
fn light_notes(photos: &[PhotoSeen]) -> Vec<PlanNote> {
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
    notes
}

/// What is doubtful about each photo.
fn photo_notes(
    photos: &[PhotoSeen],
    layout: &Layout,
    surfaces: &[SurfacePlan],
    notes: &mut Vec<PlanNote>,
) {
    // Where every band told its own distance, and the air before it, that of the photo is not missed.
    let is_read_by_bands = |photo: usize| {
        let mut of = surfaces.iter().filter(|surface| {
            let mut parts = surface.wanted.parts.iter();
            parts.any(|part| part.photo == photo)
        });
        of.all(|surface| {
            let mut bands = surface.zones.iter().map(|zone| zone.wanted.band.as_ref());
            bands.all(|band| band.is_some_and(|band| band.photo_air.is_some()))
        })
    };
    for (at, photo) in photos.iter().enumerate() {
        let doubts = photo.light.contradictions().into_iter();
        notes.extend(doubts.map(|words| PlanNote::LightDoubt {
            photo: photo.key.clone(),
            words,
        }));
        notes.extend(photo.warnings.iter().map(|warning| PlanNote::Photo {
            photo: photo.key.clone(),
            warning: warning.clone(),
        }));
        let is_missed = photo.from.is_none() && !is_read_by_bands(at);
        if is_missed && layout.scale_colour.rule == ScaleRule::Air {
            notes.push(PlanNote::DistanceUnknown {
                photo: photo.key.clone(),
            });
        }
    }
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
    reach_notes(surface, notes);
}

/// Tones that no mix of the list reaches.
fn reach_notes(surface: &SurfacePlan, notes: &mut Vec<PlanNote>) {
    // What is not brushed on needs no mix.
    let tones = ToneId::all(surface.tones.len()).zip(&surface.tones);
    for (t, tone) in tones.filter(|(_, tone)| tone.pot.is_some()) {
        let nearest = tone
            .recipes
            .iter()
            .min_by(|a, b| a.difference.0.total_cmp(&b.difference.0));
        if let Some(best) = nearest
            && best.difference.0 > OUT_OF_REACH
        {
            notes.push(PlanNote::OutOfReach {
                surface: surface.wanted.name.clone(),
                tone: surface.called(t),
                difference: best.difference,
                falls_short: crate::mix::falls_short(tone.wanted.moved.colour, best.colour),
            });
        }
    }
}

/// A planned colour that a screen misses by more than this is reported. Our choice: two colours nearer than that are told
/// as alike (`Closeness`).
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

/// A blend whose mean is farther than this from the zone's is reported. Our choice: from there on two colours are told as
/// plainly different (`Closeness`).
const BLEND_OFF: f64 = 5.0;

/// What is doubtful about rain, haze and scatter of one surface.
fn hill_notes(
    surface: &SurfacePlan,
    layout: &Layout,
    kinds: &[ScatterKind],
    notes: &mut Vec<PlanNote>,
) {
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
        strewn_notes(surface, zone, kinds, notes);
    }
}

/// What is doubtful about the blend of a zone.
fn strewn_notes(
    surface: &SurfacePlan,
    zone: &ZonePlan,
    kinds: &[ScatterKind],
    notes: &mut Vec<PlanNote>,
) {
    let name = || surface.wanted.name.clone();
    let Some(strewn) = &zone.strewn else { return };
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
    if let (Some(land), Some(free), Some(blend)) = (strewn.land, &strewn.freely, &strewn.blend) {
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

/// Paints of the chosen recipes that are transparent, or darker than L* 30 in the pot and not opaque: their screen
/// colour does not show how strongly they tint.
fn let_downs_wanted(surfaces: &[SurfacePlan], shelf: &Shelf) -> Option<PlanNote> {
    let mut wanted: Vec<PaintId> = surfaces
        .iter()
        .flat_map(|surface| &surface.tones)
        .filter(|tone| tone.pot.is_some())
        .filter_map(|tone| tone.recipes.first())
        .filter(|recipe| recipe.parts.len() > 1)
        .flat_map(|recipe| recipe.parts.iter().map(|(at, _)| *at))
        .filter(|at| {
            let stock = &shelf[*at];
            let opacity = stock.opacity;
            stock.strength == StrengthFrom::Nothing
                && (opacity == Some(Opacity::Transparent)
                    || (opacity != Some(Opacity::Opaque) && stock.prepared.lab.l < 30.0))
        })
        .collect();
    wanted.sort_unstable();
    wanted.dedup();
    (!wanted.is_empty()).then(|| PlanNote::LetDownWanted {
        paints: wanted.iter().map(|at| shelf[*at].name.clone()).collect(),
    })
}
