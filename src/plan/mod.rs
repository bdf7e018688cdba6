//! The plan: what to mix for each surface, how much, in which order, with which cautions.
//!
//! In: a checked scene, the bytes of its photos and a paint list. Out: a [`Plan`] that report, data files and terminal
//! show each in their way. It opens no files and prints nothing.

mod cautions;
mod pots;
mod quantities;
mod shopping;
mod steps;
mod survey;

pub use cautions::Caution;
pub use pots::{POT_WITHIN, Pot};
pub use quantities::{ML_PER_CM2_AND_COAT, RESERVE};
pub use shopping::ShoppingLine;
pub use steps::{Step, StepKind};
pub use survey::{PartSeen, PhotoSeen, SurfaceSeen, Survey, SurveyError, survey};

use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::mix::{LetDownReport, Recipe, Search, Shelf, StrengthFrom};
use crate::paint::{Opacity, PaintList, ScatterList};
use crate::photo::{CorrectedBy, LightReport, PhotoWarning};
use crate::scale_colour::{AirNote, Moved, ScaleColour, ScaleRule, Seen, moved};
use crate::scene::{NotComputed, Scene, Surface, Treatment};
use crate::tones::Tone;
use crate::units::{Metres, Millilitres, SquareCentimetres};
use rayon::prelude::*;

/// A whole plan.
#[derive(Debug)]
pub struct Plan<'a> {
    /// The scene it is for.
    pub scene: &'a Scene,
    /// The list it mixes from.
    pub paints: &'a PaintList,
    /// That list, prepared.
    pub shelf: &'a Shelf,
    /// The scatter list, when the scene names one.
    pub scatter: Option<&'a ScatterList>,
    /// Photos as read.
    pub photos: Vec<PhotoSeen>,
    /// Surfaces, in scene order.
    pub surfaces: Vec<SurfacePlan>,
    /// What to mix, the largest first.
    pub pots: Vec<Pot>,
    /// What to have ready and what to buy.
    pub shopping: Vec<ShoppingLine>,
    /// What a reader should know before trusting it.
    pub notes: Vec<PlanNote>,
}

/// What is planned for one surface.
#[derive(Debug)]
pub struct SurfacePlan {
    /// Its name.
    pub name: String,
    /// How it gets its colour.
    pub treatment: Treatment,
    /// Area on the model.
    pub area: Option<SquareCentimetres>,
    /// Coats of paint.
    pub coats: u32,
    /// Camera to subject.
    pub from: Option<Metres>,
    /// Its tones, largest share first.
    pub tones: Vec<TonePlan>,
    /// How varied it is.
    pub spread: DeltaE00,
    /// Its part of the photos.
    pub parts: Vec<PartSeen>,
    /// Order of work.
    pub steps: Vec<Step>,
    /// Cautions for this surface.
    pub cautions: Vec<Caution>,
}

/// What is planned for one tone.
#[derive(Debug)]
pub struct TonePlan {
    /// As photographed.
    pub tone: Tone,
    /// How far the photo itself may be off.
    pub target_uncertainty: DeltaE00,
    /// Moved by the scene's rule.
    pub moved: Moved,
    /// Moved by each rule, in the order of [`ScaleRule::ALL`].
    pub by_rule: [Moved; 3],
    /// Its pot, as a place in [`Plan::pots`]; `None` where the tone is strewn, not painted.
    pub pot: Option<usize>,
    /// Mixes, the soundest first. Differences are from this tone's planned colour.
    pub recipes: Vec<Recipe>,
}

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
    /// Written in the scene, not computed yet.
    NotComputed(NotComputed),
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
    /// Recipes lean on paints whose strength their screen colours do not tell.
    LetDownWanted {
        /// The paints.
        paints: Vec<String>,
    },
    /// What a let-down changed.
    LetDown(LetDownReport),
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
/// Beyond this difference a colour counts as out of the list's reach.
const REACH: f64 = 6.0;

/// Plans a surveyed scene.
#[must_use]
pub fn plan<'a>(
    scene: &'a Scene,
    survey: Survey,
    paints: &'a PaintList,
    shelf: &'a Shelf,
    scatter: Option<&'a ScatterList>,
    search: &Search,
) -> Plan<'a> {
    let mut surfaces: Vec<SurfacePlan> = scene
        .surfaces
        .iter()
        .zip(survey.surfaces)
        .map(|(surface, seen)| toned(scene, surface, seen, &survey.photos))
        .collect();
    let mut pots = pots::gather(&mut surfaces);
    let loose = surfaces
        .iter()
        .enumerate()
        .flat_map(|(s, surface)| (0..surface.tones.len()).map(move |t| (s, t)))
        .filter(|(s, t)| surfaces[*s].tones[*t].pot.is_none())
        .collect::<Vec<_>>();
    let targets: Vec<LabD65> = pots
        .iter()
        .map(|pot| pot.colour)
        .chain(
            loose
                .iter()
                .map(|(s, t)| surfaces[*s].tones[*t].moved.colour),
        )
        .collect();
    let mut answers: Vec<Vec<Recipe>> = targets
        .par_iter()
        .map(|target| shelf.recipes_near(*target, search))
        .collect();
    for ((s, t), recipes) in loose.iter().zip(answers.split_off(pots.len())) {
        surfaces[*s].tones[*t].recipes = recipes;
    }
    for surface in &mut surfaces {
        for tone in &mut surface.tones {
            if let Some(pot) = tone.pot {
                tone.recipes.clone_from(&answers[pot]);
                for recipe in &mut tone.recipes {
                    recipe.difference = delta_e00(tone.moved.colour, recipe.colour);
                }
            }
        }
    }
    for (pot, recipes) in pots.iter_mut().zip(answers) {
        pot.recipe = recipes.into_iter().next();
    }
    pots::join_alike(&mut pots, &mut surfaces);
    for pot in &mut pots {
        pot.volume = quantities::pot_volume(pot, &surfaces);
    }
    for surface in &mut surfaces {
        surface.steps = steps::of(surface, &pots, paints);
        surface.cautions = cautions::of(surface, paints);
    }
    let shopping = shopping::list(&pots, shelf, paints);
    let notes = notes(scene, &survey.photos, &surfaces, shelf);
    Plan {
        scene,
        paints,
        shelf,
        scatter,
        photos: survey.photos,
        surfaces,
        pots,
        shopping,
        notes,
    }
}

/// The tones of one surface, moved by each rule.
fn toned(scene: &Scene, surface: &Surface, seen: SurfaceSeen, photos: &[PhotoSeen]) -> SurfacePlan {
    let target_uncertainty = DeltaE00(
        seen.parts
            .iter()
            .map(|part| photos[part.photo].light.uncertainty.0)
            .fold(0.0, f64::max),
    );
    let from = surface
        .parts
        .first()
        .and_then(|part| scene.photos[part.photo].from);
    let eye = Seen {
        scale: scene.scale,
        view: scene.view,
        from,
    };
    let tones = seen
        .tones
        .tones
        .into_iter()
        .map(|tone| TonePlan {
            target_uncertainty,
            moved: moved(tone.colour, &scene.scale_colour, &eye),
            by_rule: ScaleRule::ALL.map(|(_, rule)| {
                let settings = ScaleColour {
                    rule,
                    ..scene.scale_colour
                };
                moved(tone.colour, &settings, &eye)
            }),
            tone,
            pot: None,
            recipes: Vec::new(),
        })
        .collect();
    SurfacePlan {
        name: surface.name.clone(),
        treatment: surface.treatment,
        area: surface.area,
        coats: surface.coats,
        from,
        tones,
        spread: seen.tones.mean_spread,
        parts: seen.parts,
        steps: Vec::new(),
        cautions: Vec::new(),
    }
}

fn notes(
    scene: &Scene,
    photos: &[PhotoSeen],
    surfaces: &[SurfacePlan],
    shelf: &Shelf,
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
        notes.extend(photo.warnings.iter().map(|warning| PlanNote::Photo {
            photo: photo.key.clone(),
            warning: warning.clone(),
        }));
        if photo.from.is_none() && scene.scale_colour.rule == ScaleRule::Air {
            notes.push(PlanNote::DistanceUnknown {
                photo: photo.key.clone(),
            });
        }
    }
    for surface in surfaces {
        surface_notes(surface, photos, &mut notes);
    }
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
    notes.extend(
        scene
            .not_computed
            .iter()
            .cloned()
            .map(PlanNote::NotComputed),
    );
    notes
}

/// What is doubtful about one surface.
fn surface_notes(surface: &SurfacePlan, photos: &[PhotoSeen], notes: &mut Vec<PlanNote>) {
    let distances: Vec<Option<f64>> = surface
        .parts
        .iter()
        .map(|part| photos[part.photo].from.map(Metres::value))
        .collect();
    if distances.windows(2).any(|pair| pair[0] != pair[1]) {
        notes.push(PlanNote::DistancesDiffer {
            surface: surface.name.clone(),
        });
    }
    let unexposed = surface
        .tones
        .iter()
        .all(|tone| tone.target_uncertainty.0 > 5.0);
    if unexposed
        && surface
            .tones
            .first()
            .is_some_and(|tone| tone.tone.colour.l < DARK)
    {
        notes.push(PlanNote::Dark {
            surface: surface.name.clone(),
        });
    }
    if surface.area.is_none() {
        notes.push(PlanNote::AreaUnknown {
            surface: surface.name.clone(),
        });
    }
    let lost = |of: &dyn Fn(&PartSeen) -> f64| surface.parts.iter().map(of).fold(0.0, f64::max);
    let (blown_out, crushed) = (lost(&|part| part.blown_out), lost(&|part| part.crushed));
    if blown_out.max(crushed) >= WORTH_A_WORD {
        notes.push(PlanNote::Lost {
            surface: surface.name.clone(),
            blown_out,
            crushed,
        });
    }
    let worst_air = [AirNote::LeftIn, AirNote::RemovedToFloor]
        .into_iter()
        .find(|note| surface.tones.iter().any(|tone| tone.moved.note == *note));
    notes.extend(worst_air.map(|note| PlanNote::Air {
        surface: surface.name.clone(),
        note,
    }));
    for tone in &surface.tones {
        let nearest = tone
            .recipes
            .iter()
            .min_by(|a, b| a.difference.0.total_cmp(&b.difference.0));
        if let Some(best) = nearest
            && best.difference.0 > REACH
        {
            notes.push(PlanNote::OutOfReach {
                surface: surface.name.clone(),
                tone: tone.tone.name.to_owned(),
                difference: best.difference,
                falls_short: crate::mix::falls_short(tone.moved.colour, best.colour),
            });
        }
    }
}

/// Paints of the chosen recipes that are transparent, or darker than L* 30 in the pot and not opaque: their screen
/// colour does not tell how strongly they tint.
fn let_downs_wanted(surfaces: &[SurfacePlan], shelf: &Shelf) -> Option<PlanNote> {
    let mut wanted: Vec<usize> = surfaces
        .iter()
        .flat_map(|surface| &surface.tones)
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

/// A volume for people to measure out: rounded up to a tenth of a millilitre.
#[must_use]
pub fn measurable(volume: Millilitres) -> Millilitres {
    Millilitres::new((volume.value() * 10.0 - 1e-9).ceil() / 10.0).unwrap_or(volume)
}
