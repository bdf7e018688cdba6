//! Dirt laid on all surfaces of a plan, once their bodies have pots.

use super::super::{Pot, SurfacePlan, SurfaceSeen};
use super::rocks::DarkWash;
use super::{DirtNote, picture, places, rock, scheme_of, wash};
use crate::colour::LabD65;
use crate::mix::{Search, Shelf};
use crate::paint::PaintList;
use crate::photo::{Shown, SmallPicture};
use crate::rock::RockRole;
use crate::scale_colour::{self, moved};
use crate::scene::{Scene, Treatment};
use rayon::prelude::*;

/// What a survey holds ready for the dirt of a surface.
pub(in super::super) struct Seen {
    relief: Option<(SmallPicture, Shown)>,
    places: Vec<Option<LabD65>>,
}

impl Seen {
    /// Taken out of the survey.
    pub(in super::super) fn of(seen: &mut SurfaceSeen) -> Self {
        Self {
            relief: seen.relief.take(),
            places: std::mem::take(&mut seen.places),
        }
    }
}

/// What is worked with.
pub(in super::super) struct Bench<'a> {
    pub(in super::super) scene: &'a Scene,
    pub(in super::super) shelf: &'a Shelf,
    pub(in super::super) paints: &'a PaintList,
    pub(in super::super) search: &'a Search,
    pub(in super::super) pots: &'a [Pot],
}

/// Tones that no pot is mixed for.
pub(in super::super) fn unpainted(surface: &SurfacePlan) -> Vec<usize> {
    match surface.treatment {
        Treatment::Wash => (0..surface.tones.len()).collect(),
        Treatment::Rock => {
            let scheme = scheme_of(surface);
            let painted: Vec<usize> = scheme
                .iter()
                .flat_map(|scheme| &scheme.colours)
                .filter(|colour| colour.role != RockRole::DarkWash)
                .filter_map(|colour| colour.tone)
                .collect();
            (0..surface.tones.len())
                .filter(|t| !painted.contains(t))
                .collect()
        }
        Treatment::Coat | Treatment::Scatter => surface.washed_tone.into_iter().collect(),
    }
}

/// Washes, rock schemes and places, with their pictures.
pub(in super::super) fn lay(bench: &Bench<'_>, seen: &[Seen], surfaces: &mut [SurfacePlan]) {
    let &Bench {
        scene,
        shelf,
        paints,
        search,
        pots,
    } = bench;
    let all: &[SurfacePlan] = surfaces;
    let washes: Vec<_> = (0..all.len())
        .into_par_iter()
        .map(|at| {
            if search.is_over() {
                return (None, Vec::new());
            }
            wash(scene, at, all, pots, shelf, paints)
        })
        .collect();
    for (surface, (wash, notes)) in surfaces.iter_mut().zip(washes) {
        surface.wash = wash;
        surface.dirt_notes = notes;
    }
    surfaces
        .par_iter_mut()
        .zip(seen)
        .zip(&scene.surfaces)
        .for_each(|((surface, seen), wishes)| {
            if surface.treatment == Treatment::Rock {
                let dark = match wishes.wash {
                    Some(_) => DarkWash::Given(surface.wash.take().map(Box::new)),
                    None => DarkWash::OfTheScheme,
                };
                surface.rock = scheme_of(surface)
                    .map(|scheme| rock(&scheme, dark, surface, shelf, paints, search));
                let why = surface.rock.as_ref().and_then(|rock| rock.no_wash);
                surface
                    .dirt_notes
                    .extend(why.map(|why| DirtNote::no_wash(why, None)));
            }
            let eye = scale_colour::Seen {
                scale: scene.scale,
                view: scene.view,
                from: surface.from,
            };
            let colours: Vec<Option<LabD65>> = seen
                .places
                .iter()
                .map(|place| {
                    place.map(|colour| {
                        let moved = moved(colour, &scene.scale_colour, &eye);
                        if scene.visibility_stated {
                            moved.colour
                        } else {
                            moved.with_haze_left(colour).0.colour
                        }
                    })
                })
                .collect();
            surface.places = places(&wishes.places, &colours, surface, shelf, paints, search);
            let doubts = surface.places.iter().flat_map(|place| place.notes.clone());
            surface.dirt_notes.extend(doubts.collect::<Vec<_>>());
            let light = surface.rock.as_ref().and_then(|rock| rock.steps.last());
            let light = light.map(|step| step.planned);
            let rock_wash = surface.rock.as_mut().and_then(|rock| rock.wash.as_mut());
            if let (Some(wash), Some(relief)) = (surface.wash.as_mut().or(rock_wash), &seen.relief)
            {
                wash.picture = picture(relief, wash.base, &wash.ramp, light);
            }
        });
}
