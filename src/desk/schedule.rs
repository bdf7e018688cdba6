//! The schedule of the current drawing, as `plan` would write it.

use super::desk::Desk;
use super::drawing::Drawing;
use super::held::sound_into;
use super::keeper::FileKind;
use super::lane::QuestionLane;
use super::refused::Refused;
use super::saving::{sound, unwritten};
use super::seen::Surveyed;
use crate::lamps::Lamp;
use crate::mix::Search;
use crate::paint::ScatterList;
use crate::plan::{
    AnswerStore, Kit, PhotoBytes, Plan, Sighted, Sighting, UnreadPhoto, Wishes, check_dirt,
    sight_with,
};
use crate::report::{View, outputs, plan_file, schedule_html};
use crate::scene::{NoLamp, Scene, SceneError, parse_scene};
use crate::work::Timings;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::sync::{Mutex, PoisonError};

/// A question for the schedule.
#[derive(Debug, Deserialize)]
pub struct AskSchedule {
    drawing: Drawing,
    /// Today, as the page's clock has it.
    date: String,
}

/// The photos of a scene, from its keeper.
struct Photos<'a> {
    desk: &'a Desk,
    scene: &'a Scene,
}

impl PhotoBytes for Photos<'_> {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, UnreadPhoto> {
        let unread = |words: String, hint| UnreadPhoto { words, hint };
        let photo = self.scene.photos.get(at);
        let photo = photo.ok_or_else(|| unread("found no photo, expected one".to_owned(), None))?;
        let read = self
            .desk
            .keeper
            .read(&photo.file, &photo.place, FileKind::Photo);
        read.map(Cow::Owned)
            .map_err(|fault| unread(fault.to_string(), fault.hint()))
    }
}

impl Desk {
    /// The scene as drawn, saved or not, and its text; what cannot be kept of a drawing is left out.
    ///
    /// # Errors
    /// [`Refused`] with what is wrong with it.
    pub(super) fn as_drawn(&self, drawing: Drawing) -> Result<(Scene, String), Refused> {
        let (name, may_name) = (&self.settings.name, self.settings.may_name);
        let (drawing, _) = sound(drawing, &self.opened().scene);
        let (text, held) =
            sound_into(name, &self.scene_bytes()?, may_name, drawing).map_err(unwritten)?;
        if !held.is_empty() {
            let held: Vec<String> = held.iter().map(ToString::to_string).collect();
            return Err(Refused::words(held.join("; ")));
        }
        let scene = self.scene_to_plan(&text)?;
        Ok((scene, text))
    }

    /// A scene that can be planned.
    pub(super) fn scene_to_plan(&self, text: &str) -> Result<Scene, Refused> {
        let (name, may_name) = (&self.settings.name, self.settings.may_name);
        parse_scene(name, text.as_bytes(), may_name).map_err(|faults| {
            let empty = |fault: &SceneError| matches!(fault, SceneError::NoSurface { .. });
            if faults.iter().all(empty) {
                return Refused::Problem {
                    words: "there is no wall or hill yet".to_owned(),
                    hint: Some("rub one on a photo, or draw its corners".to_owned()),
                };
            }
            Refused::faults(&faults)
        })
    }

    /// The page of the schedule of the current drawing, saved or not.
    ///
    /// # Errors
    /// [`Refused`] with what the scene lacks.
    pub fn schedule(
        &self,
        ask: AskSchedule,
        lane: &QuestionLane,
        number: u64,
    ) -> Result<String, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        let (scene, text) = self.as_drawn(ask.drawing)?;
        let paints = self.paints();
        let listed = paints.as_ref().as_ref().map_err(Refused::words)?;
        let (paints, shelf) = (&listed.list, listed.shelf());
        check_dirt(&scene, paints).map_err(|faults| Refused::faults(&faults))?;
        let scatter = self.scatter(&scene)?;
        self.seen(&scene, &text)?;
        if lane.is_stale(number) {
            return Err(Refused::Stale);
        }
        let kit = Kit {
            scatter: scatter.as_ref(),
            ..Kit::new(paints, shelf)
        };
        let plan = self.planned(&scene, &text, kit)?;
        let data = plan_file(&plan, &ask.date);
        schedule_html(&View::new(&plan, &ask.date), &data)
            .map_err(|e| Refused::words(e.to_string()))
    }

    /// The plan of a scene; `text` is what it was read from.
    pub(super) fn planned<'a>(
        &self,
        scene: &Scene,
        text: &str,
        kit: Kit<'a>,
    ) -> Result<Plan<'a>, Refused> {
        let seen = self.seen(scene, text)?;
        self.planned_of(seen, scene, kit)
    }

    /// The plan of a scene whose photos were read.
    pub(super) fn planned_of<'a>(
        &self,
        seen: Sighted,
        scene: &Scene,
        kit: Kit<'a>,
    ) -> Result<Plan<'a>, Refused> {
        let toned = seen
            .toned(scene, kit.paints)
            .map_err(|faults| Refused::faults(&faults))?;
        let kit = Kit {
            lamp: self.lamp(scene)?,
            ..kit.with_log(self.patch_log()?)
        };
        let wishes = Wishes::from(Search::default());
        Ok(toned.planned_kept(kit, self.answers(), &wishes, &Timings::default()))
    }

    /// All files of the schedule of the scene as it is saved, by their names.
    ///
    /// # Errors
    /// [`Refused`] with what the scene lacks.
    pub fn plan_files(&self, date: &str) -> Result<Vec<(&'static str, Vec<u8>)>, Refused> {
        self.with_plan(|plan, _| {
            let (view, data) = (View::new(plan, date), plan_file(plan, date));
            outputs(plan, &view, &data).map_err(|e| Refused::words(e.to_string()))
        })?
    }

    /// What the photos show; kept, because most changes are of settings.
    pub(super) fn seen(&self, scene: &Scene, text: &str) -> Result<Sighted, Refused> {
        self.seen_in(&self.surveyed, scene, text)
    }

    /// The same, kept in a place of its own; `by` is what it depends on.
    pub(super) fn seen_in(
        &self,
        kept: &Mutex<Option<Surveyed>>,
        scene: &Scene,
        by: &str,
    ) -> Result<Sighted, Refused> {
        let whose: [u8; 32] = Sha256::digest(by).into();
        let mut kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(kept) = kept.as_ref().filter(|kept| kept.whose == whose) {
            return Ok(kept.sighted.clone());
        }
        let photos = Photos { desk: self, scene };
        let by = Sighting {
            limits: &self.settings.limits,
            kept: self.answers(),
            timings: &Timings::default(),
            meter: None,
        };
        let sighted = sight_with(scene, &photos, &by).map_err(|faults| Refused::faults(&faults))?;
        *kept = Some(Surveyed {
            whose,
            sighted: sighted.clone(),
        });
        Ok(sighted)
    }

    /// Where answers are kept. A browser has no such place, and its edition does not carry the way there along.
    fn answers(&self) -> Option<&dyn AnswerStore> {
        if cfg!(target_family = "wasm") {
            return None;
        }
        self.keeper.answers()
    }

    /// The scene's scatter.
    pub(super) fn scatter(&self, scene: &Scene) -> Result<Option<ScatterList>, Refused> {
        let Some(name) = &scene.scatter else {
            return Ok(None);
        };
        let bytes = self
            .keeper
            .read(name, &scene.scatter_place, FileKind::Scatter)
            .map_err(|e| Refused::of_problem(&*e))?;
        let list = ScatterList::parse(name, &bytes).map_err(|faults| Refused::faults(&faults))?;
        Ok(Some(list))
    }

    /// The lamp over the layout.
    pub(super) fn lamp(&self, scene: &Scene) -> Result<Option<Lamp>, Refused> {
        scene
            .lamp(|file| {
                let place = &scene.lamps_place;
                self.keeper.read(file, place, FileKind::Spectrum)
            })
            .map_err(|no| match no {
                NoLamp::Unread(fault) => Refused::of_problem(&*fault),
                NoLamp::Bad(faults) => Refused::faults(&faults),
            })
    }
}
