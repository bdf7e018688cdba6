//! The plan: what to mix for each surface, how much, in which order, with which cautions.
//!
//! In: a checked scene, the bytes of its photos and a paint list. Out: a [`Plan`] that report, data files and terminal
//! show each in their way. It opens no files and prints nothing.

mod advice;
mod as_built;
mod brushed;
mod cautions;
mod dirt;
mod fewest;
mod light;
mod like;
mod material_note;

mod photo_bytes;
mod pots;
mod quantities;
mod shadow;
mod shopping;
mod smear;
mod steps;
mod strewing;
mod survey;
mod tones_note;
mod weigh;
mod work;
mod zones;

pub use as_built::{
    Added, AsBuilt, MixedPaint, PATCH_LOG, PatchLog, PatchLogError, parse_patch_log,
};
pub use cautions::Caution;
pub use dirt::{
    Amounts, BaseFrom, BeforeAfter, Blend, DirtError, DirtNote, DirtStep, GrimeStep, PlacePlan,
    PlacedBy, RockPlan, RockStepPlan, Thinned, WASH_ML_PER_CM2_AND_PASS, WashBlend, WashPlan,
    check_dirt,
};
pub use fewest::{FewestPaints, Job, JobKind, fewest, kept_apart};
pub use light::UnderLamp;
pub use like::tones_like;
pub use photo_bytes::{PhotoBytes, Unread};
pub use pots::{FewerPots, Member, POT_WITHIN, Pot};
pub use quantities::{ML_PER_CM2_AND_COAT, RESERVE};
pub use shadow::is_left_to_lamps;
pub use shopping::{Purpose, ShoppingLine};
pub use smear::OnPalette;
pub use steps::{Step, StepKind};
pub use strewing::{Freely, GLUE_ML_PER_CM2, LOW, ScatterLine, SeenLow, Strewn, dosed, weighable};
pub use survey::{
    PartSeen, PhotoSeen, Settled, SettledZone, SurfaceSeen, Survey, SurveyError, survey,
};
pub use tones_note::TonesNote;
pub use work::{OnSurface, Sitting, Stage, Wait, WorkStep};
pub use zones::{Backscene, BandPlan, ZonePlan};

use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::depth::Haze;
use crate::lamps::{KnownBy, Lamp};
use crate::mix::{Helpful, LetDownReport, OUT_OF_REACH, Recipe, Search, Shelf, StrengthFrom};
use crate::paint::{Material, MixingFamily, Opacity, PaintList, ScatterList};
use crate::photo::{CorrectedBy, LightReport, PhotoWarning, Supposed};
use crate::scale_colour::{AirNote, Moved, ScaleRule};
use crate::scatter::{Kind, Land, Missing};
use crate::scene::{Scene, Surface, Treatment};
use crate::tones::{PartNote, Tone};
use crate::units::{Metres, Millilitres, SquareCentimetres};
use crate::wet::Dried;

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
    /// What to mix, in the order in which work needs it; bottles used as they are last.
    pub pots: Vec<Pot>,
    /// One order of work across all surfaces.
    pub work: Vec<Sitting>,
    /// What to have ready and what to buy.
    pub shopping: Vec<ShoppingLine>,
    /// The lamp over the layout, when it is not daylight.
    pub lamp: Option<Lamp>,
    /// The kinds of the scatter list, made ready.
    pub kinds: Vec<Kind>,
    /// Scatter to have ready and to buy.
    pub scatter_shopping: Vec<ScatterLine>,
    /// What a reader should know before trusting it.
    pub notes: Vec<PlanNote>,
    /// Patches that were dried so far, as logged beside the scene.
    pub as_built: Vec<AsBuilt>,
    /// The fewest paints that do for it, when they were asked for.
    pub fewest: Option<FewestPaints>,
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
    /// What was done with its photos, where there are several.
    pub part_notes: Vec<PartNote>,
    /// Its bands, or itself as one zone; at least one.
    pub zones: Vec<ZonePlan>,
    /// The haze that its bands tell of their photo.
    pub haze: Option<Haze>,
    /// Where its farthest band meets a painted backscene.
    pub backscene: Option<Backscene>,
    /// Tones that no pot is mixed for: the wash stands for them, or the rock scheme does without.
    pub unpainted: Vec<usize>,
    /// The pot of a body that is painted clean, in the base of its wash, as a place in [`Plan::pots`]: the wash brings it
    /// to the photographed tones.
    pub clean_pot: Option<usize>,
    /// Of these, the tone that the wash stands for.
    pub washed_tone: Option<usize>,
    /// The wash over it.
    pub wash: Option<WashPlan>,
    /// Its rock scheme.
    pub rock: Option<RockPlan>,
    /// Where dirt gathers on it.
    pub places: Vec<PlacePlan>,
    /// What is doubtful about wash and places.
    pub dirt_notes: Vec<DirtNote>,
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
    /// Dried back, where the photo was taken in rain.
    pub dried: Option<Dried>,
    /// Moved by the scene's rule.
    pub moved: Moved,
    /// Moved by each rule, in the order of [`ScaleRule::ALL`].
    pub by_rule: [Moved; 3],
    /// Its zone, as a place in [`SurfacePlan::zones`].
    pub zone: usize,
    /// It and its mix under the lamps.
    pub under_lamp: Option<UnderLamp>,
    /// True for the shade of a lit tone: it is not painted, the lamps over the layout will cast it.
    pub left_to_lamps: bool,
    /// Its pot, as a place in [`Plan::pots`]; `None` where the tone is strewn or left to the lamps, not painted.
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

/// How a plan is wanted.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wishes {
    /// How mixes are searched for.
    pub search: Search,
    /// Mixes at most; bottles used as they are do not count.
    pub most_pots: Option<usize>,
}

impl From<Search> for Wishes {
    /// As many pots as it takes.
    fn from(search: Search) -> Self {
        Self {
            search,
            most_pots: None,
        }
    }
}

/// A body darker than this, in a photo whose exposure nothing mends, is told as doubtful. Our choice.
const DARK: f64 = 30.0;
/// A share of lost pixels below this is not worth a word. Our choice.
const WORTH_A_WORD: f64 = 0.02;

/// Plans a surveyed scene.
#[must_use]
pub fn plan<'a>(
    scene: &'a Scene,
    mut survey: Survey,
    paints: &'a PaintList,
    shelf: &'a Shelf,
    scatter: Option<&'a ScatterList>,
    lamp: Option<Lamp>,
    wishes: &Wishes,
) -> Plan<'a> {
    let search = &wishes.search;
    let grounds: Vec<dirt::Seen> = survey.surfaces.iter_mut().map(dirt::Seen::of).collect();
    let mut surfaces: Vec<SurfacePlan> = scene
        .surfaces
        .iter()
        .zip(survey.surfaces)
        .map(|(surface, seen)| toned(scene, surface, seen, &survey.photos))
        .collect();
    let bases = dirt::clean_bases(scene, &surfaces, paints);
    for (surface, base) in surfaces.iter_mut().zip(&bases) {
        if base.is_some() {
            surface.unpainted = (0..surface.tones.len()).collect();
        }
    }
    let mut pots = pots::mixed(&mut surfaces, &bases, shelf, search);
    let fewer = wishes
        .most_pots
        .map(|most| pots::fewer(&mut pots, most, &surfaces));
    pots::hand_out(&mut pots, &mut surfaces, shelf, search);
    let kinds = strewing::kinds(scatter);
    strewing::strew(&mut surfaces, &kinds, &pots, scene);
    if let Some(lamp) = &lamp {
        light::show(&mut surfaces, lamp, shelf);
    }
    dirt::lay(
        &dirt::Bench {
            scene,
            shelf,
            paints,
            search,
            pots: &pots,
        },
        &grounds,
        &mut surfaces,
    );
    for surface in &mut surfaces {
        surface.backscene = backscene(surface, scene.scale_colour.air, shelf, search);
        surface.cautions = cautions::of(surface, paints);
    }
    let work = in_order(&mut surfaces, &mut pots, paints, &kinds);
    let shopping = shopping::list(&pots, &surfaces, shelf, paints);
    let scatter_shopping = strewing::shopping(&surfaces, &kinds);
    let mut notes = notes(scene, &survey.photos, &surfaces, shelf, &kinds);
    if let Some(lamp) = lamp
        .as_ref()
        .filter(|lamp| lamp.known_by == KnownBy::Temperature)
    {
        notes.push(PlanNote::LampByTemperature {
            lamp: lamp.name.clone(),
        });
    }
    notes.extend(advice::notes(&surfaces, shelf, search));
    notes.extend(fewer.map(PlanNote::FewerPots));
    Plan {
        scene,
        paints,
        shelf,
        scatter,
        photos: survey.photos,
        surfaces,
        pots,
        work,
        shopping,
        lamp,
        kinds,
        scatter_shopping,
        notes,
        as_built: Vec::new(),
        fewest: None,
    }
}

/// Steps of each surface and of all together; pots are numbered in the order in which that needs them.
fn in_order(
    surfaces: &mut [SurfacePlan],
    pots: &mut Vec<Pot>,
    paints: &PaintList,
    kinds: &[Kind],
) -> Vec<Sitting> {
    let steps = |surfaces: &mut [SurfacePlan], pots: &[Pot]| {
        for surface in surfaces {
            surface.steps = steps::of(surface, pots, paints, kinds);
        }
    };
    steps(surfaces, pots);
    let first_used: Vec<usize> = work::first_used(&work::order(surfaces))
        .into_iter()
        .map(|number| number - 1)
        .collect();
    pots::put_in_order(pots, surfaces, &first_used);
    steps(surfaces, pots);
    work::order(surfaces)
}

/// Where the farthest of several bands meets a painted backscene.
fn backscene(
    surface: &SurfacePlan,
    air: LabD65,
    shelf: &Shelf,
    search: &Search,
) -> Option<Backscene> {
    let farthest = surface.zones.last()?.band.as_ref()?;
    Some(Backscene {
        join: farthest.planned,
        join_recipes: shelf.recipes_near(farthest.planned, search),
        sky_line: air,
        sky_line_recipes: shelf.recipes_near(air, search),
    })
}

/// The tones of one surface, moved by each rule.
fn toned(scene: &Scene, surface: &Surface, seen: SurfaceSeen, photos: &[PhotoSeen]) -> SurfacePlan {
    let off = seen
        .parts
        .iter()
        .map(|part| photos[part.photo].light.uncertainty.0);
    let (target_uncertainty, from) = seen.settled.as_ref().map_or_else(
        || {
            let part = surface.parts.first();
            let from = part.and_then(|part| scene.photos[part.photo].from);
            let off = match &surface.like {
                Some(state) => like::uncertainty(state, &seen.tones),
                None => DeltaE00(off.fold(0.0, f64::max)),
            };
            (off, from)
        },
        |settled| (settled.target_uncertainty, settled.from),
    );
    let washed = seen.settled.as_ref().map(|settled| settled.washed_tone);
    let (parts, spread) = (seen.parts.clone(), seen.tones.mean_spread);
    let part_notes = seen.part_notes.clone();
    let mut zoned = zones::zoned(scene, surface, seen, target_uncertainty);
    shadow::leave_to_lamps(&mut zoned, surface.shade);
    let mut plan = SurfacePlan {
        name: surface.name.clone(),
        treatment: surface.treatment,
        area: surface.area,
        coats: surface.coats,
        from,
        tones: zoned.tones,
        spread,
        parts,
        part_notes,
        zones: zoned.zones,
        haze: zoned.haze,
        backscene: None,
        unpainted: Vec::new(),
        clean_pot: None,
        washed_tone: None,
        wash: None,
        rock: None,
        places: Vec::new(),
        dirt_notes: Vec::new(),
        steps: Vec::new(),
        cautions: Vec::new(),
    };
    plan.washed_tone = washed.unwrap_or_else(|| dirt::tone_of_the_wash(surface, &plan.tones));
    plan.unpainted = dirt::unpainted(&plan);
    plan
}

fn notes(
    scene: &Scene,
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
        if photo.from.is_none() && scene.scale_colour.rule == ScaleRule::Air {
            notes.push(PlanNote::DistanceUnknown {
                photo: photo.key.clone(),
            });
        }
    }
    for surface in surfaces {
        surface_notes(surface, photos, &mut notes);
        notes.extend(material_note::notes(surface, scene));
        notes.extend(tones_note::notes(surface, scene, photos).map(PlanNote::Tones));
        hill_notes(surface, scene, kinds, &mut notes);
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
        .parts
        .iter()
        .all(|part| !photos[part.photo].light.mends_exposure());
    if unexposed
        && !surface.parts.is_empty()
        && surface
            .tones
            .first()
            .is_some_and(|tone| tone.tone.colour.l < DARK)
    {
        notes.push(PlanNote::Dark {
            surface: surface.name.clone(),
        });
    }
    notes.extend(surface.dirt_notes.iter().map(|note| PlanNote::Dirt {
        surface: surface.name.clone(),
        note: note.clone(),
    }));
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
    let worst_air = [AirNote::LeftIn, AirNote::RemovedToFloor, AirNote::Unknown]
        .into_iter()
        .find(|note| surface.tones.iter().any(|tone| tone.moved.note == *note));
    notes.extend(worst_air.map(|note| PlanNote::Air {
        surface: surface.name.clone(),
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
                surface: surface.name.clone(),
                tone: tone.tone.name.to_owned(),
                difference: best.difference,
                falls_short: crate::mix::falls_short(tone.moved.colour, best.colour),
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
            let colour = tone.moved.colour;
            delta_e00(colour, colour.to_srgb8().into()).0 > SEEN_CLIPPED
        })
        .map(|(_, number)| number)
        .collect();
    (!tones.is_empty()).then(|| PlanNote::OutsideScreen {
        surface: surface.name.clone(),
        tones,
    })
}

/// A blend whose mean is further than this from the zone's is told. Our choice.
const BLEND_OFF: f64 = 5.0;

/// What is doubtful about rain, haze and scatter of one surface.
fn hill_notes(surface: &SurfacePlan, scene: &Scene, kinds: &[Kind], notes: &mut Vec<PlanNote>) {
    let name = || surface.name.clone();
    notes.extend(outside_screen(surface));
    let dried: Vec<(f64, &Dried)> = surface
        .tones
        .iter()
        .filter_map(|tone| Some((tone.tone.share.value(), tone.dried.as_ref()?)))
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
    notes.extend(surface.haze.map(|haze| PlanNote::Haze {
        surface: name(),
        haze,
        used: !scene.visibility_stated && scene.scale_colour.rule == ScaleRule::Air,
    }));
    let nothing_to_strew = surface
        .zones
        .iter()
        .filter_map(|zone| zone.strewn.as_ref())
        .all(|strewn| strewn.blend.is_none());
    if surface.treatment == Treatment::Scatter && nothing_to_strew {
        notes.push(PlanNote::NoScatterList { surface: name() });
    }
    for zone in &surface.zones {
        let Some(strewn) = &zone.strewn else { continue };
        let zone = zone.band.as_ref().map(|band| band.name.clone());
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

/// A volume for people to measure out: rounded up to a tenth of a millilitre.
#[must_use]
pub fn measurable(volume: Millilitres) -> Millilitres {
    Millilitres::new((volume.value() * 10.0 - 1e-9).ceil() / 10.0).unwrap_or(volume)
}
