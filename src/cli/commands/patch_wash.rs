//! `patch --wash`: a photographed patch of the wash over the real base shows how thick the builder's film lies.

use super::patch_log::{add, log_name};
use super::patch_photo::PatchPhoto;
use crate::cli::args::PatchArgs;
use crate::cli::request::{ArgumentError, bad, date};
use crate::cli::terminal::{Talk, answer, lab_text, plain, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::files::SceneFolder;
use hillwash::mix::{PaintId, Shelf};
use hillwash::paint::{Prepared, Wash, wash_over};
use hillwash::plan::{FILM_LOG, FilmRead, MixedPaint, PatchLog, SurfacePlan, WashBlend, WashPlan};
use hillwash::report::{blend_words, technique_words};
use hillwash::scene::{Scene, Technique};
use hillwash::wash::{FilmSeen, WashRecipe, film_seen};
use std::fmt::Write;

/// A photo of a dried patch, and what it is compared with.
pub(super) struct PhotographedPatch<'a> {
    pub(super) args: &'a PatchArgs,
    pub(super) scene: &'a Scene,
    pub(super) shelf: &'a Shelf,
    pub(super) surface: &'a SurfacePlan,
    pub(super) photo: &'a PatchPhoto,
    /// What was in the pot, if the user said so.
    pub(super) mixed: Option<Vec<(PaintId, f64)>>,
    /// The log beside the scene; none where it cannot be read.
    pub(super) log: Option<&'a PatchLog>,
    pub(super) folder: &'a SceneFolder,
}

/// What the patch came to.
struct WashFinding {
    base: LabD65,
    words: String,
    planned: LabD65,
    seen: LabD65,
    foretold: LabD65,
    /// The film planned with.
    now: f64,
    /// True where the scene states it.
    stated: bool,
    film: FilmSeen,
    /// How far the photo's colours may be off.
    sure: f64,
}

/// The film that lies on flats, and all of the wash.
fn on_flats(surface: &SurfacePlan) -> Result<(&WashPlan, &WashBlend), Problems> {
    let refused = |reason: &str| {
        let found = surface.wanted.name.clone();
        let reason = reason.to_owned();
        bad("--wash", ArgumentError::NoFilm { found, reason })
    };
    let wash = surface
        .dirt
        .washes()
        .next()
        .ok_or_else(|| refused("no wash is planned for it"))?;
    wash.washes
        .first()
        .filter(|first| first.technique != Technique::PinWash)
        .map(|first| (wash, first))
        .ok_or_else(|| refused("its pin wash leaves the flats bare"))
}

pub(super) fn run(patch: &PhotographedPatch<'_>, talk: Talk) -> Result<(), Problems> {
    let (wash, film) = on_flats(patch.surface)?;
    let parts = match &patch.mixed {
        Some(told) => told.clone(),
        None => film
            .recipe
            .parts
            .iter()
            .map(|(at, p)| (*at, f64::from(*p)))
            .collect(),
    };
    let told = WashFinding::of_patch(patch, (wash, film), &parts)?;
    let logged = match (told.offered(), patch.log) {
        (Some(_), Some(log)) if !patch.args.no_log => {
            let entry = told.entry(patch, &parts, &film.recipe)?;
            let line = entry.line().unwrap_or_default();
            add(patch.args.scene(), patch.folder, &line, log).map_err(|e| boxed([e]))?;
            FilmLogged::Yes
        }
        _ => FilmLogged::No,
    };
    if patch.args.json {
        let mut value = told.json(&patch.surface.wanted.name);
        value["logged"] = (logged == FilmLogged::Yes).into();
        return say(&answer(value));
    }
    let mut text = told.finding_text(patch, logged);
    if talk == Talk::Usual {
        let _ = writeln!(text, "light: {}", patch.photo.light);
    }
    say(text.trim_end())
}

/// Whether a film was written into the log of patches.
#[derive(Clone, Copy, PartialEq, Eq)]
enum FilmLogged {
    Yes,
    No,
}

/// If a film is off by this much more than the photo may be, then paint or base is wrong, not the film. Our choice.
const OFF: f64 = 2.0;
/// A range this many times as wide as its lower end is of almost no use. Our choice.
const WIDE: f64 = 16.0;

impl WashFinding {
    /// Reads the patch of a wash whose pot holds these parts.
    fn of_patch(
        patch: &PhotographedPatch<'_>,
        (wash, film): (&WashPlan, &WashBlend),
        parts: &[(PaintId, f64)],
    ) -> Result<Self, Problems> {
        let planned = film.recipe.flat;
        let (region, _) = patch.photo.region(patch.args, planned)?;
        let seen = patch.photo.reading(patch.args, &region)?.colour;
        let prepared: Vec<(&Prepared, f64)> = parts
            .iter()
            .map(|(at, p)| (&patch.shelf[*at].prepared, *p))
            .collect();
        let asked = Wash::thinned(f64::from(film.recipe.thin), f64::from(film.recipe.passes));
        let sure = patch.photo.uncertainty(seen);
        let mixture = |e| bad("--mixed", ArgumentError::Mixture(e));
        let base = Xyz::from(wash.base);
        let told = film_seen(base, &prepared, &asked, seen, sure).map_err(mixture)?;
        let laid = Wash {
            film: told.film,
            ..asked
        };
        let foretold = wash_over(base, &prepared, &laid).map_err(mixture)?.flat;
        let given = patch
            .scene
            .surfaces
            .iter()
            .find(|surface| surface.name == patch.surface.wanted.name)
            .and_then(|surface| surface.wash.as_ref()?.film);
        Ok(Self {
            base: wash.base,
            words: format!(
                "{} with {}",
                technique_words(film.technique),
                blend_words(&film.blend)
            ),
            planned,
            seen,
            foretold: foretold.into(),
            now: given.unwrap_or(wash.search.films.for_family(film.recipe.family).film),
            stated: given.is_some(),
            film: told,
            sure: sure.0,
        })
    }

    /// The film to write into the scene, if the patch shows one.
    fn offered(&self) -> Option<f64> {
        let film = &self.film;
        let agrees = film.residual.0 <= self.sure + OFF;
        (agrees && film.thickest < WIDE * film.thinnest)
            .then_some((film.film * 100.0).round() / 100.0)
    }

    fn json(&self, surface: &str) -> serde_json::Value {
        let round = |v: f64| (v * 1000.0).round() / 1000.0;
        let colour = |colour: LabD65| {
            let lab = [colour.l, colour.a, colour.b].map(round);
            serde_json::json!({ "lab": lab, "hex": colour.to_srgb8() })
        };
        serde_json::json!({
            "format": "hillwash.patch/1", "surface": surface, "wash": self.words, "base": colour(self.base),
            "planned": colour(self.planned), "seen": colour(self.seen), "predicted": colour(self.foretold),
            "de2000": round(delta_e00(self.planned, self.seen).0), "uncertainty_de": round(self.sure),
            "verdict": if self.offered().is_some() { "film" } else { "no-film" },
            "film": {
                "now": self.now, "seen": round(self.film.film), "from": round(self.film.thinnest),
                "to": round(self.film.thickest), "residual_de": round(self.film.residual.0),
                "offered": self.offered(),
            },
        })
    }

    /// What is logged of it.
    fn entry(
        &self,
        patch: &PhotographedPatch<'_>,
        parts: &[(PaintId, f64)],
        recipe: &WashRecipe<PaintId>,
    ) -> Result<FilmRead, Problems> {
        let rounded = |v: f64| (v * 1000.0).round() / 1000.0;
        let photo = patch.args.photo().file_name();
        Ok(FilmRead {
            format: FILM_LOG.to_owned(),
            date: date(patch.args.date)?,
            surface: patch.surface.wanted.name.clone(),
            family: recipe.family,
            paints: (parts.iter())
                .map(|(at, parts)| MixedPaint {
                    name: patch.shelf[*at].name.clone(),
                    parts: *parts,
                })
                .collect(),
            thin: recipe.thin,
            passes: recipe.passes,
            base: self.base,
            seen: self.seen,
            film: rounded(self.film.film),
            thinnest: rounded(self.film.thinnest),
            thickest: rounded(self.film.thickest),
            photo: photo.map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
            content: Some(patch.photo.content.clone()),
            light: Some(patch.photo.light_word().to_owned()),
        })
    }

    fn finding_text(&self, patch: &PhotographedPatch<'_>, logged: FilmLogged) -> String {
        let name = plain(&patch.surface.wanted.name);
        let mut text = format!("{name}: {}\n", plain(&self.words));
        for (colour, what) in [
            (self.base, "its base, as the plan has it"),
            (self.planned, "planned on flats"),
            (self.seen, "dried, as photographed"),
            (self.foretold, "what the model predicts for the film below"),
        ] {
            let patch = swatch(colour.to_srgb8(), 8);
            let _ = writeln!(text, "{patch}  {}  {what}", lab_text(colour));
        }
        for warning in &patch.photo.warnings {
            let _ = writeln!(text, "note: {}", plain(warning));
        }
        let film = &self.film;
        let _ = writeln!(
            text,
            "The film lies {:.2} times as thick as a brushed coat; the plan takes {:.2}. This photo may be off by ± {:.0}, so {:.2} to {:.2} would look the same.",
            film.film, self.now, self.sure, film.thinnest, film.thickest
        );
        let _ = match self.offered() {
            Some(_) if logged == FilmLogged::Yes && !self.stated => writeln!(
                text,
                "logged in {}: washes of such paint are planned by it from now on, on all surfaces",
                plain(&log_name(patch.args.scene()))
            ),
            Some(offered) => writeln!(
                text,
                "offered: film = {offered} under [surface.wash] of {name}; the scene stays as it is until you write it there"
            ),
            None if film.residual.0 > self.sure + OFF => writeln!(
                text,
                "No film of this mix comes near the patch (ΔE00 {:.0}): base, paint or light is not as the plan assumes, so no film is offered.",
                film.residual.0
            ),
            None => writeln!(
                text,
                "That range is too wide to be of use, so no film is offered: photograph the patch with a grey card or a chart, or lay a thinner one."
            ),
        };
        text
    }
}
