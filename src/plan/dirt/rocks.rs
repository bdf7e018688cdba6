//! The rock scheme of a surface.

use super::super::ids::ToneId;
use super::super::mixed::{Kit, MixedSurface};
use super::super::toned::TonedTone;
use super::blend::ThinnedMix;
use super::washes::{BaseFrom, WashGround, WashPlan, solved};
use crate::colour::LabD65;
use crate::mix::{Recipe, Search};
use crate::rock::{RockRole, RockScheme, RockTone};
use crate::tones::Role;
use crate::wash::{NoWash, WantedWash, WashSearch};

/// The scheme planned for one rock.
#[derive(Debug, Clone)]
pub struct RockPlan {
    /// Its colours in laying order, the lightest last.
    pub steps: Vec<RockStepPlan>,
    /// The dark wash into the strata.
    pub wash: Option<WashPlan>,
    /// Why there is none, where the scheme's own was looked for.
    pub no_wash: Option<NoWash>,
}

/// One colour of the scheme.
#[derive(Debug, Clone)]
pub struct RockStepPlan {
    /// What it is for.
    pub role: RockRole,
    /// Its planned colour; of the dark wash, the colour wanted in the strata.
    pub planned: LabD65,
    /// The tone it is from; `None` where a usual colour stands.
    pub tone: Option<ToneId>,
    /// Its share of the surface.
    pub share: f64,
    /// Mixes, the soundest first; none for the dark wash.
    pub recipes: Vec<Recipe>,
    /// The first of them by name; of the dark wash, its paints and thinning.
    pub blend: Option<ThinnedMix>,
}

/// The colours of a rock, from its planned tones.
pub(super) fn scheme_of<'a>(tones: impl IntoIterator<Item = &'a TonedTone>) -> Option<RockScheme> {
    let tones: Vec<RockTone> = tones
        .into_iter()
        .map(|tone| RockTone {
            colour: tone.moved.colour,
            share: tone.tone.share.value(),
            accent: tone.tone.role == Role::Accent,
        })
        .collect();
    RockScheme::of_tones(&tones)
}

/// The dark wash that the photo's own tones ask for.
fn dark_wash(
    scheme: &RockScheme,
    surface: &MixedSurface,
    kit: &Kit<'_>,
    watched: &Search,
) -> Result<WashPlan, NoWash> {
    let colour = |role| scheme.colour(role).ok_or(NoWash::NotNeeded);
    let undercoat = colour(RockRole::Undercoat)?;
    let strata = colour(RockRole::DarkWash)?;
    let family = surface
        .tones
        .first()
        .and_then(|tone| tone.recipes.first())
        .map(|recipe| recipe.family);
    let ground = WashGround {
        base: undercoat.planned,
        base_from: BaseFrom::OwnBody,
        base_family: family,
    };
    let wanted = WantedWash {
        flat: undercoat.planned,
        recess: strata.planned,
        recess_weight: 1.0,
    };
    solved(
        &ground,
        &wanted,
        &WashSearch {
            films: kit.films,
            meter: watched.meter,
            ..WashSearch::default()
        },
        surface.wanted.area,
        kit,
    )
}

/// Where the dark wash of a rock comes from.
pub(super) enum DarkWash {
    /// The scheme's own.
    OfTheScheme,
    /// The scene's `[surface.wash]` takes its place; `None` when its grime stands at 0.
    Given(Option<Box<WashPlan>>),
}

/// Mixes and the dark wash of a rock; tones that have a pot keep its mix.
pub(super) fn rock(
    scheme: &RockScheme,
    dark: DarkWash,
    surface: &MixedSurface,
    kit: &Kit<'_>,
    search: &Search,
) -> RockPlan {
    let (wash, no_wash) = match dark {
        DarkWash::OfTheScheme => match dark_wash(scheme, surface, kit, search) {
            Ok(wash) => (Some(wash), None),
            Err(why) => (None, Some(why)),
        },
        DarkWash::Given(wash) => (wash.map(|wash| *wash), None),
    };
    let steps = scheme
        .colours
        .iter()
        .filter(|colour| wash.is_some() || colour.role != RockRole::DarkWash)
        .map(|colour| {
            let recipes = match (colour.role, colour.tone) {
                (RockRole::DarkWash, _) => Vec::new(),
                (_, Some(tone)) => surface.tones[tone].recipes.clone(),
                (_, None) => kit.recipes_near(colour.planned, search),
            };
            let blend = if colour.role == RockRole::DarkWash {
                wash.as_ref()
                    .and_then(|wash| wash.washes.last())
                    .map(|wash| wash.blend.clone())
            } else {
                recipes
                    .first()
                    .map(|recipe| ThinnedMix::of_recipe(recipe, kit.shelf, kit.paints))
            };
            let asked = wash.as_ref().filter(|_| colour.role == RockRole::DarkWash);
            RockStepPlan {
                role: colour.role,
                planned: asked.map_or(colour.planned, |wash| wash.recess_wanted),
                tone: colour.tone.map(ToneId),
                share: colour.share,
                recipes,
                blend,
            }
        })
        .collect();
    RockPlan {
        steps,
        wash,
        no_wash,
    }
}
