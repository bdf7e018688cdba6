//! Washes, rock schemes and places as open data.

use crate::paint::FILM_OF_A_WASH;
use crate::plan::{
    BaseFrom, PlacePlan, PlacedBy, Plan, SurfacePlan, ThinnedMix, WashBlend, WashPlan,
};
use crate::report::data::lab;
use crate::report::dirt::words::{blend_words, scrap_words};
use crate::share::{
    AmbiguityEntry, FilmEntry, GrimeEntry, OneWash, PlaceMore, RockEntry, RockStepEntry, WashMore,
};
use crate::share::{
    ColourEntry, MixEntry, PartsEntry, PlaceEntry, WashBaseEntry, WashEntry, rounded,
};

fn parts(blend: &ThinnedMix) -> Vec<PartsEntry> {
    blend
        .parts
        .iter()
        .map(|(name, parts)| PartsEntry {
            name: name.clone(),
            parts: *parts,
        })
        .collect()
}

/// One film as it is mixed and laid.
fn film_entry(wash: &WashBlend) -> FilmEntry {
    let thinned = wash.blend.thinned.as_ref();
    let amounts = wash.amounts.as_ref();
    FilmEntry {
        technique: Some(wash.technique.word().to_owned()),
        paints: Some(parts(&wash.blend)),
        family: Some(wash.recipe.family.words().to_owned()),
        thin: Some(wash.recipe.thin),
        passes: Some(wash.recipe.passes),
        thinner: thinned.map(|t| t.thinner.clone()),
        flow_aid: thinned.map(|t| t.flow_aid),
        batch_ml: amounts.map(|a| rounded(a.batch.value())),
        paints_ml: amounts.map(|a| a.paints.iter().map(|ml| rounded(ml.value())).collect()),
        thinner_ml: amounts.map(|a| rounded(a.thinner.value())),
        uncertainty_de: Some(rounded(wash.uncertainty.0)),
        words: Some(blend_words(&wash.blend)),
    }
}

/// One of the washes of a surface, with flats and recesses under it.
fn one_wash(wash: &WashBlend) -> OneWash {
    OneWash {
        film: film_entry(wash),
        flat: wash.recipe.flat.into(),
        recess: wash.recipe.recess.into(),
    }
}

fn wash_more(wash: &WashPlan) -> WashMore {
    WashMore {
        // The last wash is the one that settles the recesses; a filter before it stands under `washes`.
        film: wash.washes.first().map(film_entry).unwrap_or_default(),
        flat_de2000: rounded(wash.flat_off.0),
        recess_de2000: rounded(wash.recess_off.0),
        recess_uncertainty_de: (wash.washes.last()).map(|w| rounded(w.recess_uncertainty.0)),
        ambiguity: AmbiguityEntry {
            other_mixes: wash.ambiguity.other_mixes,
            weakest: rounded(wash.ambiguity.weakest),
            strongest: rounded(wash.ambiguity.strongest),
            words: scrap_words(wash),
        },
        washes: wash.washes.iter().map(one_wash).collect(),
        grime_steps: (wash.grime_steps.iter())
            .map(|step| GrimeEntry {
                grime: step.grime,
                flat_wanted: step.flat.into(),
                recess_wanted: step.recess.into(),
            })
            .collect(),
    }
}

fn wash_entry(wash: &WashPlan, pot: Option<usize>) -> WashEntry {
    let (from, name) = match &wash.base_from {
        BaseFrom::OwnBody => ("own body", None),
        BaseFrom::Colour => ("colour", None),
        BaseFrom::Paint(name) => ("paint", Some(name)),
        BaseFrom::Surface(name) => ("surface", Some(name)),
    };
    let ColourEntry { lab, hex } = wash.base.into();
    WashEntry {
        base: WashBaseEntry {
            lab,
            hex,
            from: from.to_owned(),
            name: name.cloned(),
            pot,
        },
        flat: wash.flat.into(),
        recess: wash.recess.into(),
        flat_wanted: wash.flat_wanted.into(),
        recess_wanted: wash.recess_wanted.into(),
        grime: rounded(wash.grime),
        pool: rounded(wash.search.pool),
        film: Some(rounded(film_of(wash))),
        recess_weight: Some(rounded(wash.recess_weight)),
        most_paints: Some(wash.search.most_paints),
        more: wash_more(wash).into(),
    }
}

/// The film of a wash, as its first paints are laid.
fn film_of(wash: &WashPlan) -> f64 {
    let first = wash.washes.first();
    first.map_or(FILM_OF_A_WASH, |w| {
        wash.search.films.for_family(w.recipe.family).film
    })
}

fn place_entry(place: &PlacePlan) -> PlaceEntry {
    let film = match &place.by {
        PlacedBy::Film(wash) => film_entry(wash),
        PlacedBy::Paint { blend, .. } | PlacedBy::Powder { blend } => FilmEntry {
            paints: Some(parts(blend)),
            words: Some(blend_words(blend)),
            ..FilmEntry::default()
        },
        PlacedBy::Nothing => FilmEntry {
            paints: Some(Vec::new()),
            ..FilmEntry::default()
        },
    };
    PlaceEntry {
        name: place.name.clone(),
        technique: place.technique.word().to_owned(),
        share: rounded(place.share),
        planned: place.wanted.into(),
        more: PlaceMore {
            lab: place.colour.map(lab),
            hex: place.colour.map(|colour| colour.to_srgb8().to_string()),
            de2000: place.off.map(|off| rounded(off.0)),
            film: FilmEntry {
                uncertainty_de: (place.uncertainty)
                    .map(|sure| rounded(sure.0))
                    .or(film.uncertainty_de),
                // That of the place itself is told.
                technique: None,
                ..film
            },
        }
        .into(),
    }
}

/// The rock scheme of a surface; `None` where it has none.
pub(in crate::report) fn rock(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<RockEntry> {
    let rock = surface.dirt.rock.as_ref()?;
    let steps = rock.steps.iter().map(|step| RockStepEntry {
        role: step.role.words().to_owned(),
        planned: step.planned.into(),
        share: rounded(step.share),
        recipes: (step.recipes.iter())
            .map(|r| MixEntry::new(r, plan.shelf))
            .collect(),
        wash: (rock.wash.as_ref())
            .filter(|_| step.recipes.is_empty())
            .map(|wash| wash_entry(wash, None)),
    });
    Some(RockEntry {
        steps: steps.collect(),
    })
}

/// The wash over a surface, where it has one; of a rock the dark wash that the scene gives it.
pub(in crate::report) fn wash(surface: &SurfacePlan, plan: &Plan<'_>) -> Option<WashEntry> {
    let of_rock = surface
        .dirt
        .rock
        .as_ref()
        .and_then(|rock| rock.wash.as_ref());
    // A dark wash of the scheme's own has no grime dial.
    let given = of_rock.filter(|wash| !wash.grime_steps.is_empty());
    let body = surface.tones.first().and_then(|tone| tone.pot);
    let pot = surface.clean_pot.or(body).map(|pot| plan.pots[pot].number);
    let wash = surface.dirt.wash.as_ref().or(given)?;
    Some(wash_entry(wash, pot))
}

/// The places of a surface where dirt gathers.
pub(in crate::report) fn places(surface: &SurfacePlan) -> Vec<PlaceEntry> {
    surface.dirt.places.iter().map(place_entry).collect()
}
