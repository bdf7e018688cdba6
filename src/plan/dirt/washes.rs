//! The wash over a surface.

use super::super::ids::ToneId;
use super::super::mixed::{Kit, MixedPots, MixedSurface};
use super::super::toned::{TonedSurface, TonedTone};
use super::blend::WashBlend;
use super::{DirtNote, WashShelf};
use crate::colour::{DeltaE00, LabD65};
use crate::mix::{Search, Shelf, falls_short};
use crate::paint::{DEFAULT_POOL, MixingFamily, PaintList};
use crate::scene::{Surface, Technique, Treatment, WashBase, WashWish};
use crate::tones::{Likeness, Role};
use crate::units::SquareCentimetres;
use crate::wash::{
    Ambiguity, LaidFilm, LaidFilms, NoWash, ShadeTaken, WantedWash, WashSearch, WayOfLaying,
    default_recess, with_grime, without_shade,
};

/// What a wash lies over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BaseFrom {
    /// The surface's own body.
    OwnBody,
    /// A colour in the scene.
    Colour,
    /// A listed paint.
    Paint(String),
    /// Another surface.
    Surface(String),
}

/// The wash planned for one surface.
#[derive(Debug, Clone)]
pub struct WashPlan {
    /// What it lies over.
    pub base: LabD65,
    /// How that is known.
    pub base_from: BaseFrom,
    /// What the base is painted with, when known.
    pub base_family: Option<MixingFamily>,
    /// Wanted on flats, grime dial included.
    pub flat_wanted: LabD65,
    /// Wanted in recesses, shadow taken out, grime dial included.
    pub recess_wanted: LabD65,
    /// The dial.
    pub grime: f64,
    /// What flats and recesses would be wanted at, at other places of the dial.
    pub grime_steps: Vec<GrimeStep>,
    /// How it was searched for. Thickness in recesses is taken, not found.
    pub search: WashSearch,
    /// How much recesses counted where flats count 1.
    pub recess_weight: f64,
    /// The washes in the order to lay them; at least one.
    pub washes: Vec<WashBlend>,
    /// Flats in the end.
    pub flat: LabD65,
    /// Recesses in the end.
    pub recess: LabD65,
    /// Difference from the wanted colour on flats.
    pub flat_off: DeltaE00,
    /// Difference from the wanted colour in recesses.
    pub recess_off: DeltaE00,
    /// How far the answer is a matter of choice.
    pub ambiguity: Ambiguity,
    /// What is doubtful.
    pub notes: Vec<DirtNote>,
    /// From flats to the deepest recess.
    pub ramp: Vec<LabD65>,
}

/// Flats and recesses that are wanted at one place of the grime dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrimeStep {
    /// The dial: 0 is the base, 1 as photographed.
    pub grime: f64,
    /// Flats.
    pub flat: LabD65,
    /// Recesses.
    pub recess: LabD65,
}

/// Places of the dial that are previewed.
const DIAL: [f64; 4] = [0.0, 0.5, 1.0, 1.5];

/// The share of a surface that we assume for its recesses. Our choice.
pub(super) const RECESS_SHARE: f64 = 0.2;
/// A dark tone of less than this share does not count as a recess. Our choice.
const SMALLEST_RECESS: f64 = 0.02;
/// A wash this far off, on flats or in recesses, is reported as falling short. Our choice.
const SHORT: f64 = 6.0;
/// Steps of the picture's film from flats to recesses.
const RAMP: u32 = 17;

/// The tone that a surface's wash replaces: its darkest shade, when the scene leaves the recesses to the photo. It is
/// then not painted as well. A shade left to the lamps is no dirt.
pub(in super::super) fn tone_of_the_wash(surface: &Surface, tones: &[TonedTone]) -> Option<ToneId> {
    let wash = surface.wash.as_ref()?;
    if wash.recess.is_some() {
        return None;
    }
    ToneId::all(tones.len())
        .skip(1)
        .filter(|at| {
            let tone = &tones[*at];
            tone.tone.role == Role::Shade
                && !tone.left_to_lamps
                && tone.tone.share.value() >= SMALLEST_RECESS
        })
        .min_by(|a, b| {
            tones[*a]
                .moved
                .colour
                .l
                .total_cmp(&tones[*b].moved.colour.l)
        })
}

/// The colour of a body, and its paint if that is known.
type Body = (LabD65, Option<MixingFamily>);

/// What a wash lies over. `named` gives the name and the body of another surface.
fn base(
    wish: &WashWish,
    own: Option<Body>,
    named: impl Fn(&str) -> Option<(String, Body)>,
    paints: &PaintList,
) -> Option<WashGround> {
    let (base, base_from, base_family) = match &wish.base {
        None => own.map(|(colour, family)| (colour, BaseFrom::OwnBody, family))?,
        // A body painted clean for its wash is painted with what its pot holds.
        Some(WashBase::Colour(colour)) => (
            *colour,
            BaseFrom::Colour,
            own.and_then(|(_, family)| family),
        ),
        Some(WashBase::Paint(name)) => {
            let (_, paint) = paints.named(name)?;
            let family = paint.mixing_family().ok();
            (paint.colour, BaseFrom::Paint(paint.name.clone()), family)
        }
        Some(WashBase::Surface(name)) => {
            let (name, (colour, family)) = named(name)?;
            (colour, BaseFrom::Surface(name), family)
        }
    };
    Some(WashGround {
        base,
        base_from,
        base_family,
    })
}

/// The colour of a body that is painted clean, in the base that its wash names, and not as photographed.
pub(in super::super) fn clean_base(
    surface: &TonedSurface,
    all: &[TonedSurface],
    paints: &PaintList,
) -> Option<LabD65> {
    let wish = surface.wanted.wish.wash.as_ref()?;
    let painted = surface.wanted.treatment == Treatment::Coat;
    wish.base.as_ref().filter(|_| painted)?;
    let body = |surface: &TonedSurface| Some((surface.tones.first()?.moved.colour, None));
    let named = |name: &str| {
        let mut all = all.iter();
        let other = all.find(|other| other.wanted.name.eq_ignore_ascii_case(name))?;
        Some((other.wanted.name.clone(), body(other)?))
    };
    base(wish, body(surface), named, paints).map(|ground| ground.base)
}

/// What the wash of a surface lies over, once its pots are known.
fn ground_of_wash(
    wish: &WashWish,
    surface: &MixedSurface,
    all: &[MixedSurface],
    pots: &MixedPots,
    paints: &PaintList,
) -> Option<WashGround> {
    let body = |surface: &MixedSurface| {
        let tone = surface.tones.first()?;
        Some((tone.wanted.moved.colour, surface.body_family(pots)))
    };
    let named = |name: &str| {
        let mut all = all.iter();
        let other = all.find(|other| other.wanted.name.eq_ignore_ascii_case(name))?;
        Some((other.wanted.name.clone(), body(other)?))
    };
    base(wish, body(surface), named, paints)
}

/// The photographed colours of flats and recesses, and the doubts about them.
fn seen(
    wish: &WashWish,
    surface: &MixedSurface,
    base: LabD65,
    notes: &mut Vec<DirtNote>,
) -> (LabD65, LabD65) {
    let body = surface
        .tones
        .first()
        .map_or(base, |tone| tone.wanted.moved.colour);
    let flat = wish.flat.unwrap_or(body);
    if let Some(recess) = wish.recess {
        return (flat, recess);
    }
    if let Some(tone) = surface.wanted.washed_tone {
        let tone = &surface.tones[tone].wanted;
        let recess = tone.moved.colour;
        let pair = tone.tone.shade_of.map(|shade| shade.likeness);
        if pair == Some(Likeness::OneMaterial) {
            // It would be left to the lamps, had the scene not said that it is to be painted.
            return (flat, recess);
        }
        let (recess, taken) = without_shade(flat, recess);
        notes.push(DirtNote::Shade(taken));
        if !taken.is_all() {
            return (flat, recess);
        }
    } else if surface.tones.iter().any(|tone| tone.wanted.left_to_lamps) {
        notes.push(DirtNote::Shade(ShadeTaken::OneMaterial));
    }
    notes.push(DirtNote::RecessUnknown);
    (flat, default_recess(flat))
}

/// Solves the wash of a surface. `None` when it has none, or the dial stands at 0; the notes say which.
pub(super) fn wash(
    surface: &MixedSurface,
    all: &[MixedSurface],
    pots: &MixedPots,
    kit: &Kit<'_>,
    watched: &Search,
) -> (Option<WashPlan>, Vec<DirtNote>) {
    let Some(wish) = &surface.wanted.wish.wash else {
        return (None, Vec::new());
    };
    if wish.grime <= 0.0 {
        return (None, vec![DirtNote::NoGrime]);
    }
    let Some(ground) = ground_of_wash(wish, surface, all, pots, kit.paints) else {
        return (None, vec![DirtNote::NothingToWash]);
    };
    let base = ground.base;
    let mut notes = Vec::new();
    let (flat, recess) = seen(wish, surface, base, &mut notes);
    if (wish.grime - 1.0).abs() > 1e-9 {
        notes.push(DirtNote::Grime { grime: wish.grime });
    }
    let wanted = WantedWash {
        flat: with_grime(base, flat, wish.grime),
        recess: with_grime(base, recess, wish.grime),
        recess_weight: wish.recess_weight,
    };
    let search = WashSearch {
        pool: wish.pool.unwrap_or(DEFAULT_POOL),
        films: wish
            .film
            .map_or(kit.films, |film| LaidFilms::all(LaidFilm::stated(film))),
        most_paints: wish.most_paints,
        meter: watched.meter,
    };
    let plan = match solved(&ground, &wanted, &search, surface.wanted.area, kit) {
        Ok(plan) => plan,
        Err(why) => {
            notes.push(DirtNote::no_wash(why, None));
            return (None, notes);
        }
    };
    notes.extend(doubts(&plan, kit.shelf));
    notes.extend(film_told(&plan));
    let plan = WashPlan {
        grime: wish.grime,
        grime_steps: DIAL
            .map(|grime| GrimeStep {
                grime,
                flat: with_grime(base, flat, grime),
                recess: with_grime(base, recess, grime),
            })
            .to_vec(),
        notes: notes.clone(),
        ..plan
    };
    (Some(plan), notes)
}

/// What a wash is laid on.
pub(super) struct WashGround {
    pub(super) base: LabD65,
    pub(super) base_from: BaseFrom,
    pub(super) base_family: Option<MixingFamily>,
}

/// The solved wash, as it is mixed.
pub(super) fn solved(
    ground: &WashGround,
    wanted: &WantedWash,
    search: &WashSearch,
    area: Option<SquareCentimetres>,
    kit: &Kit<'_>,
) -> Result<WashPlan, NoWash> {
    let wash_shelf = WashShelf::new(kit.shelf);
    let laying = kit.laying(ground.base, wanted, &wash_shelf.paints, search)?;
    let techniques: &[(Technique, f64)] = match &laying.laid {
        WayOfLaying::OneWash(_) => &[(Technique::Wash, 1.0)],
        WayOfLaying::Pin(_) => &[(Technique::PinWash, RECESS_SHARE)],
        WayOfLaying::FilterAndPin { .. } => {
            &[(Technique::Filter, 1.0), (Technique::PinWash, RECESS_SHARE)]
        }
    };
    let washes = laying
        .washes()
        .into_iter()
        .zip(techniques)
        .map(|(recipe, (technique, share))| {
            let on = area.map(|area| (area, *share));
            WashBlend::new(*technique, recipe, on, &wash_shelf, kit)
        })
        .collect();
    Ok(WashPlan {
        base: ground.base,
        base_from: ground.base_from.clone(),
        base_family: ground.base_family,
        flat_wanted: wanted.flat,
        recess_wanted: wanted.recess,
        grime: 1.0,
        grime_steps: Vec::new(),
        search: *search,
        recess_weight: wanted.recess_weight,
        washes,
        flat: laying.flat,
        recess: laying.recess,
        flat_off: laying.flat_off,
        recess_off: laying.recess_off,
        ambiguity: laying.ambiguity,
        notes: Vec::new(),
        ramp: laying.ramp(ground.base, &wash_shelf.paints, search, RAMP),
    })
}

/// The film of a wash, if patches showed it.
fn film_told(plan: &WashPlan) -> Option<DirtNote> {
    let family = plan.washes.first()?.recipe.family;
    let LaidFilm { film, patches, .. } = plan.search.films.for_family(family);
    (patches > 0).then_some(DirtNote::FilmRead { film, patches })
}

/// What is doubtful about a solved wash.
fn doubts(plan: &WashPlan, shelf: &Shelf) -> Vec<DirtNote> {
    let mut notes = Vec::new();
    if plan.flat_off.0.max(plan.recess_off.0) > SHORT {
        let (asked, got) = if plan.flat_off.0 > plan.recess_off.0 {
            (plan.flat_wanted, plan.flat)
        } else {
            (plan.recess_wanted, plan.recess)
        };
        notes.push(DirtNote::FallsShort {
            flat: plan.flat_off,
            recess: plan.recess_off,
            how: falls_short(asked, got),
            base_too_dark: asked.l > plan.base.l + 1.0 && got.l < asked.l - 2.0,
        });
    }
    let pale = plan.recess_wanted.l > plan.base.l || plan.flat_wanted.l > plan.base.l + 2.0;
    if pale {
        let mut transparent: Vec<String> = plan
            .washes
            .iter()
            .flat_map(|wash| &wash.recipe.parts)
            .map(|(at, _)| &shelf[*at])
            .filter(|stock| {
                use crate::paint::Opacity;
                matches!(
                    stock.opacity,
                    Some(Opacity::Transparent | Opacity::SemiTransparent)
                )
            })
            .map(|stock| stock.name.clone())
            .collect();
        transparent.sort();
        transparent.dedup();
        if !transparent.is_empty() {
            notes.push(DirtNote::PaleOfTransparent {
                paints: transparent,
            });
        }
    }
    notes
}
