//! Reads a scene file with everything it names from its folder, and writes its schedule into another.
//!
//! In: paths. Out: a [`Plan`], or all problems there are; then an [`Issue`] of it, as files. It prints nothing: it
//! hands its caller the notes on how lists were understood.

mod issue;
mod lists;
mod photos;

pub use issue::{Issue, OUTPUTS, Other};
pub use lists::{Lists, paint_list, parsed_list, scatter_list};
pub use photos::ScenePhotos;

use crate::files::{CacheFolder, FileError, MOST_SCENE, MOST_TEXT, SceneFolder, read_file, sweep};
use crate::lamps::Lamp;
use crate::mix::Shelf;
use crate::paint::{PaintList, ScatterList};
use crate::photo::Limits;
use crate::plan::{
    AnswerStore, FilmRead, Kit, PatchLog, Plan, Sighted, Sighting, Wishes, check_dirt, sight_with,
};
use crate::problem::{Place, Problems, boxed};
use crate::scene::{MayName, NoLamp, Scene, parse_scene};
use crate::work::{Meter, Timings};
use lists::parsed_scatter;
use std::path::Path;

/// A scene with everything it names.
#[derive(Debug)]
pub struct Workshop {
    /// The scene.
    pub scene: Scene,
    /// Where it lies.
    pub folder: SceneFolder,
    /// Its paints.
    pub paints: PaintList,
    /// Its paints, prepared.
    pub shelf: Shelf,
    /// Its photos.
    pub photos: ScenePhotos,
    scatter: Option<ScatterList>,
    lamp: Option<Lamp>,
    limits: Limits,
}

impl Workshop {
    /// Reads a scene file and all it names.
    ///
    /// # Errors
    /// Everything that is wrong with them.
    pub fn open(
        path: &Path,
        may_name: MayName,
        lists: OwnLists<'_>,
        limits: Limits,
    ) -> Result<Self, Problems> {
        let name = path.display().to_string();
        let bytes = read_file(path, &Place::default(), "a scene file", MOST_SCENE)
            .map_err(|e| boxed([e]))?;
        let scene = parse_scene(&name, &bytes, may_name).map_err(boxed)?;
        Self::of_scene(scene, SceneFolder::holding(path, may_name), lists, limits)
    }

    /// Reads all that a scene names.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn of_scene(
        scene: Scene,
        folder: SceneFolder,
        lists: OwnLists<'_>,
        limits: Limits,
    ) -> Result<Self, Problems> {
        sweep(folder.path());
        let Materials {
            paints,
            scatter,
            photos,
            lamp,
        } = materials(lists, &scene, &folder, &limits)?;
        check_dirt(&scene, &paints).map_err(boxed)?;
        Ok(Self {
            shelf: Shelf::new(&paints),
            scene,
            folder,
            paints,
            scatter,
            photos,
            lamp,
            limits,
        })
    }

    /// Finds the tones of its surfaces; `cache` is where is kept what was seen before.
    ///
    /// # Errors
    /// All photos and regions that cannot be used.
    pub fn sighted(
        &self,
        cache: Option<&CacheFolder>,
        timings: &Timings,
        meter: Option<&Meter>,
    ) -> Result<Sighted, Problems> {
        let by = Sighting {
            limits: &self.limits,
            kept: cache.map(|cache| -> &dyn AnswerStore { cache }),
            timings,
            meter,
        };
        let sighted = sight_with(&self.scene, &self.photos, &by);
        timings.ended("photos");
        sighted.map_err(boxed)
    }

    /// Finds the tones and plans again what was planned before: of the patches dried since, only the films of washes have a
    /// say in that.
    ///
    /// # Errors
    /// As [`Workshop::sighted`] and [`Workshop::plan`].
    pub fn plan_again(
        &self,
        cache: Option<&CacheFolder>,
        films: Vec<FilmRead>,
        wishes: &Wishes,
    ) -> Result<Plan<'_>, Problems> {
        let timings = Timings::default();
        let sighted = self.sighted(cache, &timings, wishes.search.meter)?;
        let log = PatchLog {
            films,
            ..PatchLog::default()
        };
        let with = PlannedWith {
            cache,
            log,
            wishes,
            timings: &timings,
        };
        self.plan(sighted, with)
    }

    /// Plans what was sighted.
    ///
    /// # Errors
    /// All washes over a base that there is not.
    pub fn plan(&self, sighted: Sighted, with: PlannedWith<'_>) -> Result<Plan<'_>, Problems> {
        let PlannedWith {
            cache,
            log,
            wishes,
            timings,
        } = with;
        let toned = sighted.toned(&self.scene, &self.paints).map_err(boxed)?;
        let kit = Kit {
            scatter: self.scatter.as_ref(),
            lamp: self.lamp.clone(),
            ..Kit::new(&self.paints, &self.shelf)
        };
        let answers = cache.map(|cache| -> &dyn AnswerStore { cache });
        Ok(toned.planned_kept(kit.with_log(log), answers, wishes, timings))
    }
}

/// What a plan is made with beside the scene and what it names.
#[derive(Debug)]
pub struct PlannedWith<'a> {
    /// Where mixes are kept.
    pub cache: Option<&'a CacheFolder>,
    /// The patches that were dried so far.
    pub log: PatchLog,
    /// How mixes are searched for, and what else was asked.
    pub wishes: &'a Wishes,
    /// Where the time of each phase is written down.
    pub timings: &'a Timings,
}

/// Everything a scene names, read.
struct Materials {
    paints: PaintList,
    scatter: Option<ScatterList>,
    photos: ScenePhotos,
    lamp: Option<Lamp>,
}

/// The lamp over the layout; none for daylight and where the scene is silent.
fn lamp(scene: &Scene, folder: &SceneFolder) -> Result<Option<Lamp>, Problems> {
    let read = |file: &str| folder.read(file, &scene.lamps_place, "a lamp's spectrum", MOST_TEXT);
    scene.lamp(read).map_err(|no| match no {
        NoLamp::Unread(fault) => boxed([fault]),
        NoLamp::Bad(faults) => boxed(faults),
    })
}

/// Lists that are used instead of the scene's own.
#[derive(Debug, Clone, Copy)]
pub struct OwnLists<'a> {
    /// Paints.
    pub paints: Option<&'a Path>,
    /// Scatter.
    pub scatter: Option<&'a Path>,
    /// How they, or the scene's own, are read.
    pub how: Lists,
}

/// Reads everything a scene names, and reports all of its faults at once.
fn materials(
    lists: OwnLists<'_>,
    scene: &Scene,
    folder: &SceneFolder,
    limits: &Limits,
) -> Result<Materials, Problems> {
    let mut problems: Problems = Vec::new();
    let mut keep = |fault: FileError| problems.extend(boxed([fault]));
    let photos = ScenePhotos::read(scene, folder, limits.file_bytes, &mut keep);
    let own = scene.scatter.as_ref().filter(|_| lists.scatter.is_none());
    let scatter_bytes = own.and_then(|name| {
        folder
            .read(name, &scene.scatter_place, "a scatter list", MOST_TEXT)
            .map_err(&mut keep)
            .ok()
            .map(|bytes| (name, bytes))
    });
    let how = lists.how.or_medium(scene.paints_medium);
    let paints = match lists.paints {
        Some(path) => paint_list(path, how),
        None => folder
            .read(
                &scene.paints,
                &scene.paints_place,
                "a paint list",
                MOST_TEXT,
            )
            .map_err(|e| boxed([e]))
            .and_then(|bytes| parsed_list(&scene.paints, &bytes, folder, how)),
    };
    let scatter = match (lists.scatter, scatter_bytes) {
        (Some(path), _) => scatter_list(path, how).map(Some),
        (None, bytes) => bytes
            .map(|(name, bytes)| parsed_scatter(name, &bytes, how))
            .transpose(),
    };
    match (paints, scatter, lamp(scene, folder)) {
        (Ok(paints), Ok(scatter), Ok(lamp)) if problems.is_empty() => Ok(Materials {
            paints,
            scatter,
            photos,
            lamp,
        }),
        (paints, scatter, lamp) => {
            problems.extend(lamp.err().into_iter().flatten());
            problems.extend(paints.err().into_iter().flatten());
            problems.extend(scatter.err().into_iter().flatten());
            Err(problems)
        }
    }
}
