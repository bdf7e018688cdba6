//! Which paints are enough for the films of a surface: its washes and the stains of its places, each tried with few
//! paints.

use super::super::SurfacePlan;
use super::places::{PlacePlan, PlacedBy, ground_of_places};
use super::{WashPlan, WashShelf};
use crate::colour::{DeltaE00, LabD65, delta_e00};
use crate::mix::{FilmWay, FilmWish, PaintId, Search, Shelf};
use crate::wash::{LaidFilms, WantedWash, WashPaint, WashSearch, solve, solve_film};
use rayon::prelude::*;

/// A film that a surface needs.
pub(in super::super) struct FilmNeeded {
    /// The place it stains; `None` for the wash.
    pub(in super::super) place: Option<String>,
    /// The wanted colour.
    pub(in super::super) colour: LabD65,
    /// The paints that would do.
    pub(in super::super) wish: FilmWish,
}

/// Where paints come from.
#[derive(Clone, Copy)]
pub(in super::super) struct Shelves<'a> {
    /// The shelf that the surface was planned with.
    pub(in super::super) planned: &'a Shelf,
    /// The one to choose from.
    pub(in super::super) chosen_from: &'a Shelf,
    /// Places in that of paints that are wanted anyhow.
    pub(in super::super) favoured: &'a [PaintId],
    /// How thick washes lie.
    pub(in super::super) films: LaidFilms,
    /// Told of each set of paints that is tried.
    pub(in super::super) watched: &'a Search,
}

/// Paints that are tried in pairs, at most: first those that are wanted anyhow, then those whose own films come nearest.
/// Our choice: 190 pairs, each of which is solved as a film.
const TRIED: usize = 20;

/// The films of a surface.
pub(in super::super) fn films_needed(surface: &SurfacePlan, on: &Shelves<'_>) -> Vec<FilmNeeded> {
    let paints = WashShelf::new(on.chosen_from);
    let washes = surface.dirt.washes();
    let mut needed: Vec<FilmNeeded> = washes.map(|wash| of_wash(wash, &paints, on)).collect();
    if let Some(ground) = ground_of_places(&surface.tones, surface.dirt.washes().next()) {
        let places = surface.dirt.places.iter();
        needed.extend(places.filter_map(|place| of_place(place, ground, &paints, on)));
    }
    needed
}

/// The names of the paints of a film, on the shelf that was planned with.
fn names(parts: impl Iterator<Item = PaintId>, on: &Shelves<'_>) -> Vec<String> {
    parts.map(|at| on.planned[at].name.clone()).collect()
}

/// The film of a wash over everything.
fn of_wash(wash: &WashPlan, paints: &WashShelf<'_>, on: &Shelves<'_>) -> FilmNeeded {
    let films = wash.washes.iter().flat_map(|film| &film.recipe.parts);
    let own = names(films.map(|(at, _)| *at), on);
    let wanted = WantedWash {
        flat: wash.flat_wanted,
        recess: wash.recess_wanted,
        recess_weight: wash.recess_weight,
    };
    let off = |flat: DeltaE00, recess: DeltaE00| {
        if wanted.recess_weight > 0.0 {
            flat.0.max(recess.0)
        } else {
            flat.0
        }
    };
    // Each set of paints is a step of its own.
    let search = WashSearch {
        meter: None,
        ..wash.search
    };
    let judge = |some: &[WashPaint<'_>]| {
        solve(wash.base, &wanted, some, &search)
            .ok()
            .map(|laying| off(laying.flat_off, laying.recess_off))
    };
    FilmNeeded {
        place: None,
        colour: wash.recess,
        wish: FilmWish {
            ways: ways(paints, on, &own, wash.search.most_paints, &judge),
            planned: DeltaE00(off(wash.flat_off, wash.recess_off)),
        },
    }
}

/// The film of a place over such a ground; none where it is no film.
fn of_place(
    place: &PlacePlan,
    ground: LabD65,
    paints: &WashShelf<'_>,
    on: &Shelves<'_>,
) -> Option<FilmNeeded> {
    let PlacedBy::Film(film) = &place.by else {
        return None;
    };
    let own = names(film.recipe.parts.iter().map(|(at, _)| *at), on);
    let search = WashSearch {
        pool: 1.0,
        films: on.films,
        ..WashSearch::default()
    };
    let judge = |some: &[WashPaint<'_>]| {
        solve_film(ground, place.wanted, some, &search)
            .ok()
            .map(|(recipe, _)| delta_e00(recipe.flat, place.wanted).0)
    };
    Some(FilmNeeded {
        place: Some(place.name.clone()),
        colour: place.wanted,
        wish: FilmWish {
            ways: ways(paints, on, &own, search.most_paints, &judge),
            planned: place.off.unwrap_or(DeltaE00(0.0)),
        },
    })
}

/// Each paint alone, two that may be stirred together, and those of the plan: how far off their film is.
fn ways(
    paints: &WashShelf<'_>,
    on: &Shelves<'_>,
    own: &[String],
    most_paints: usize,
    judge: &(dyn Fn(&[WashPaint<'_>]) -> Option<f64> + Sync),
) -> Vec<FilmWay> {
    let way = |set: &[usize]| {
        let some: Vec<WashPaint<'_>> = set.iter().map(|i| paints.paints[*i]).collect();
        let judged = judge(&some);
        on.watched.did_one();
        judged.map(|off| FilmWay {
            stocks: set.iter().map(|i| paints.at[*i]).collect(),
            off: DeltaE00(off),
        })
    };
    let all = 0..paints.at.len();
    let name = |i: usize| &on.chosen_from[paints.at[i]].name;
    let own: Vec<usize> = all.clone().filter(|i| own.contains(name(*i))).collect();
    on.watched.expect(all.len());
    let alone: Vec<(usize, FilmWay)> = all
        .into_par_iter()
        .filter_map(|i| Some((i, way(&[i])?)))
        .collect();
    let mut nearest: Vec<(bool, f64, usize)> = alone
        .iter()
        .map(|(i, way)| {
            let wanted = own.contains(i) || on.favoured.contains(&paints.at[*i]);
            (!wanted, way.off.0, *i)
        })
        .collect();
    nearest.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut tried: Vec<usize> = nearest.iter().take(TRIED).map(|(_, _, i)| *i).collect();
    tried.sort_unstable();
    let mut sets: Vec<Vec<usize>> = Vec::new();
    if most_paints >= 2 {
        for (n, a) in tried.iter().enumerate() {
            let stirred = |b: &&usize| paints.paints[**b].family == paints.paints[*a].family;
            sets.extend(tried[n + 1..].iter().filter(stirred).map(|b| vec![*a, *b]));
        }
    }
    // What the plan lays, whatever it is: two films of different paints, or a third paint.
    if !own.is_empty() {
        sets.push(own);
    }
    on.watched.expect(sets.len());
    let more: Vec<FilmWay> = sets.par_iter().filter_map(|set| way(set)).collect();
    alone.into_iter().map(|(_, way)| way).chain(more).collect()
}
