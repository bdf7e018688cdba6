//! Dirt on all surfaces of a plan, once their bodies have pots.

use super::super::ids::{SurfaceId, ToneId};
use super::super::mixed::{Kit, Mixed, MixedSurface};
use super::super::toned::{Layout, SurfaceWanted, TonedSurface};
use super::Dirt;
use super::places::ground_of_places;
use super::rocks::DarkWash;
use super::{DirtNote, WashPlan, places, rock, scheme_of, wash};
use crate::colour::LabD65;
use crate::mix::Search;
use crate::rock::RockRole;
use crate::scale_colour::{SeenFrom, moved};
use crate::scene::Treatment;
use rayon::prelude::*;

/// Tones that no pot is mixed for.
pub(in super::super) fn unpainted(surface: &TonedSurface) -> Vec<ToneId> {
    let all = ToneId::all(surface.tones.len());
    match surface.wanted.treatment {
        Treatment::Wash => all.collect(),
        Treatment::Rock => {
            let scheme = scheme_of(&surface.tones);
            let painted: Vec<usize> = scheme
                .iter()
                .flat_map(|scheme| &scheme.colours)
                .filter(|colour| colour.role != RockRole::DarkWash)
                .filter_map(|colour| colour.tone)
                .collect();
            all.filter(|tone| !painted.contains(&tone.place()))
                .collect()
        }
        Treatment::Coat | Treatment::Scatter => surface.wanted.washed_tone.into_iter().collect(),
    }
}

/// Washes, rock schemes and places, surface by surface.
pub(in super::super) fn lay(mixed: &Mixed, kit: &Kit<'_>, search: &Search) -> Vec<Dirt> {
    let all = &mixed.surfaces;
    SurfaceId::all(all.len())
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|at| {
            let own = if search.is_over() {
                SolvedWash::default()
            } else {
                let (wash, notes) = wash(&all[at], all, &mixed.pots, kit, search);
                SolvedWash { wash, notes }
            };
            let dirt = on_surface(&all[at], own, &mixed.layout, kit, search);
            search.did_one();
            dirt
        })
        .collect()
}

/// The wash of a surface as it was solved, and what is doubtful about it.
#[derive(Default)]
struct SolvedWash {
    wash: Option<WashPlan>,
    notes: Vec<DirtNote>,
}

/// The dirt of one surface, its wash being solved.
fn on_surface(
    surface: &MixedSurface,
    own: SolvedWash,
    layout: &Layout,
    kit: &Kit<'_>,
    search: &Search,
) -> Dirt {
    let SolvedWash { wash, mut notes } = own;
    let wanted = &surface.wanted;
    let (wash, rock) = if wanted.treatment == Treatment::Rock {
        let dark = match wanted.wish.wash {
            Some(_) => DarkWash::Given(wash.map(Box::new)),
            None => DarkWash::OfTheScheme,
        };
        let tones = surface.tones.iter().map(|tone| &tone.wanted);
        let scheme = scheme_of(tones).filter(|_| !search.is_over());
        let rock = scheme.map(|scheme| rock(&scheme, dark, surface, kit, search));
        let why = rock.as_ref().and_then(|rock| rock.no_wash);
        notes.extend(why.map(|why| DirtNote::no_wash(why, None)));
        (None, rock)
    } else {
        (wash, None)
    };
    let of_rock = rock.as_ref().and_then(|rock| rock.wash.as_ref());
    let ground = ground_of_places(&surface.tones, wash.as_ref().or(of_rock));
    let places = ground.map_or_else(Vec::new, |ground| {
        let seen = places_moved(wanted, layout);
        places(&seen, ground, wanted, kit, search)
    });
    notes.extend(places.iter().flat_map(|place| place.notes.clone()));
    Dirt {
        wash,
        rock,
        places,
        notes,
    }
}

/// The photographed colours of places, moved as those of the surface are.
fn places_moved(wanted: &SurfaceWanted, layout: &Layout) -> Vec<Option<LabD65>> {
    let eye = SeenFrom {
        scale: layout.scale,
        view: layout.view,
        from: wanted.from,
    };
    let seen = wanted.places_seen.iter();
    seen.map(|place| {
        place.map(|colour| {
            let moved = moved(colour, &layout.scale_colour, &eye);
            if layout.visibility_stated {
                moved.colour
            } else {
                moved.with_haze_left(colour).0.colour
            }
        })
    })
    .collect()
}
