//! Writes a drawing into the scene file, and keeps an unsaved drawing beside it.

use super::desk::{Desk, digest, opened};
use super::drawing::{Drawing, DrawnKnown, DrawnSurface, DrawnZone};
use super::edit::{EditError, drawn_into};
use super::keeper::NotKept;
use super::refused::Refused;
use super::start::PAINTS;
use crate::problem::Explain;
use crate::region::{Outline, RegionError};
use crate::scene::Scene;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::PoisonError;

/// A wish to save.
#[derive(Debug, Deserialize)]
pub struct AskSave {
    /// Digest of the file the page has read.
    base: String,
    drawing: Drawing,
    /// The page that asks.
    #[serde(default)]
    by: String,
    /// Put the drawing into the file although it has changed: what others wrote stays, except for what is drawn.
    #[serde(default)]
    over: bool,
}

/// What is drawn and not saved.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Draft {
    /// Digest of the file the page had read.
    base: String,
    /// When it was kept, by the page's clock, in words.
    at: String,
    /// The page that drew it.
    #[serde(default)]
    page: String,
    drawing: Drawing,
}

/// A question that says what is drawn; without a draft, everything is saved.
#[derive(Debug, Deserialize)]
pub struct AskKeep {
    draft: Option<Draft>,
    /// The page that asks.
    #[serde(default)]
    by: String,
    /// Whether to let go of it whoever drew it.
    #[serde(default)]
    discard: bool,
}

/// A surface that cannot be saved as it is drawn, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct HeldBack {
    name: String,
    words: String,
}

impl From<NotKept> for Refused {
    fn from(not: NotKept) -> Self {
        match not {
            NotKept::Changed => Self::Changed,
            NotKept::Other(cause) => Self::of_problem(&*cause),
        }
    }
}

impl Desk {
    /// Puts a drawing into the scene file, or keeps it to be printed. A surface whose outline is none stays as it was in
    /// the file, and is named.
    ///
    /// # Errors
    /// [`Refused`]; nothing is written then.
    pub fn save(&self, ask: AskSave) -> Result<Value, Refused> {
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let bytes = self.scene_bytes()?;
        if digest(&bytes) != ask.base && !ask.over {
            return Err(Refused::Changed);
        }
        let (drawing, held) = sound(ask.drawing, &self.opened().scene);
        if drawing.surfaces.is_empty() && held.is_empty() {
            return Err(Refused::words("found no surface, expected at least one"));
        }
        let edited = |e: EditError| Refused::of_problem(&e);
        let (name, may_name) = (&self.settings.name, self.settings.may_name);
        let text = drawn_into(name, &bytes, may_name, &drawing).map_err(edited)?;
        if self.settings.print_only {
            *self.printed.lock().unwrap_or_else(PoisonError::into_inner) = Some(text);
            return Ok(json!({ "printed": true }));
        }
        let wrote = self.write(&bytes, text.as_bytes())?;
        if held.is_empty() {
            self.let_go_of_draft(&ask.by)?;
        }
        // Where the zones stand in the file now.
        let zones: BTreeMap<String, Vec<DrawnZone>> =
            opened(&self.settings, text.as_bytes().to_vec())
                .map(|now| now.scene.surfaces)
                .unwrap_or_default()
                .iter()
                .map(|surface| (surface.name.clone(), DrawnZone::all_of(surface)))
                .collect();
        Ok(json!({
            "digest": digest(text.as_bytes()),
            "wrote": wrote,
            "scene": self.settings.name,
            "zones": zones,
            "held": held,
        }))
    }

    /// Writes the scene; a new one gets its paint list first, so that a scene that is there can be planned.
    pub(super) fn write(&self, before: &[u8], text: &[u8]) -> Result<Vec<String>, NotKept> {
        let mut wrote = vec![self.settings.file.clone()];
        if !self.unwritten() {
            let there = matches!(self.keeper.scene(), Ok(Some(_)));
            self.keeper.write_scene(there.then_some(before), text)?;
            return Ok(wrote);
        }
        if !self.keeper.has(PAINTS) {
            let starter = self.settings.starter_paints;
            self.keeper.write(PAINTS, None, starter)?;
            wrote.push(PAINTS.to_owned());
        }
        self.keeper.write_scene(None, text)?;
        *self
            .new_scene
            .lock()
            .unwrap_or_else(PoisonError::into_inner) = None;
        Ok(wrote)
    }

    /// Keeps the unsaved drawing, or discards it.
    ///
    /// # Errors
    /// [`Refused`] where it cannot be kept.
    pub fn keep(&self, ask: &AskKeep) -> Result<Value, Refused> {
        if self.settings.print_only {
            return Ok(json!({ "kept": false }));
        }
        let Some(draft) = &ask.draft else {
            if ask.discard {
                self.keeper.keep_draft(None)?;
            } else {
                self.let_go_of_draft(&ask.by)?;
            }
            return Ok(json!({ "kept": false }));
        };
        let draft = Draft {
            page: ask.by.clone(),
            ..draft.clone()
        };
        let draft =
            serde_json::to_vec(&draft).map_err(|e| Refused::words(format!("not kept: {e}")))?;
        self.keeper.keep_draft(Some(&draft))?;
        Ok(json!({ "kept": true }))
    }

    /// Discards the unsaved drawing, unless another page drew it.
    fn let_go_of_draft(&self, page: &str) -> Result<(), NotKept> {
        let others = self
            .draft()
            .is_some_and(|draft| draft.page != page && !draft.page.is_empty());
        if others {
            return Ok(());
        }
        self.keeper.keep_draft(None)
    }

    /// What was drawn and not saved when the page was left.
    pub(super) fn draft(&self) -> Option<Draft> {
        serde_json::from_slice(&self.keeper.draft()?).ok()
    }

    /// The unsaved drawing that is kept beside the scene, in words for the user who stops the program.
    #[must_use]
    pub fn kept_words(&self) -> Option<String> {
        let draft = self.draft()?;
        let names: Vec<&str> = draft
            .drawing
            .surfaces
            .iter()
            .map(|surface| surface.name.as_str())
            .collect();
        Some(format!(
            "your unsaved drawing is kept ({}); the next start offers to take it up again",
            names.join(", ")
        ))
    }
}

/// Why a surface cannot be written as drawn.
fn fault_of(surface: &DrawnSurface) -> Option<RegionError> {
    let zones = surface.zones.iter().flatten();
    let zones_ = zones.clone();
    let faulty = |points: &Vec<super::Point>| Outline::new(points.clone()).err();
    surface
        .parts
        .iter()
        .find_map(|part| part.region().err())
        .or_else(|| {
            let drawn = zones.map(|zone| &zone.outline);
            drawn.filter(|outline| !outline.is_empty()).find_map(faulty)
        })
        .or_else(|| {
            let mut holes = zones_.flat_map(|zone| &zone.leave_out);
            holes.find_map(|hole| faulty(&hole.outline))
        })
}

/// Why a thing that shows a photo's light cannot be written as drawn, in words for a drawing.
fn fault_of_known(known: &DrawnKnown) -> Option<String> {
    if known.material.is_empty() {
        return Some("it has no material yet: choose a measured one".to_owned());
    }
    known.part.region().err().map(|fault| words_of(&fault))
}

/// The things of a photo without those that cannot be written as drawn: those stay as they are in the file.
fn sound_known(
    drawn: Vec<DrawnKnown>,
    before: Option<&[DrawnKnown]>,
    held: &mut Vec<HeldBack>,
) -> Vec<DrawnKnown> {
    let kept = |known: DrawnKnown| {
        let Some(words) = fault_of_known(&known) else {
            return Some(known);
        };
        let name = known.name.clone();
        held.push(HeldBack { name, words });
        let old = before.unwrap_or_default().iter();
        old.clone()
            .find(|old| old.was == known.was && old.was.is_some())
            .cloned()
    };
    drawn.into_iter().filter_map(kept).collect()
}

/// A drawing without the surfaces that cannot be written as drawn: those stay as they are in the file.
pub(super) fn sound(mut drawing: Drawing, scene: &Scene) -> (Drawing, Vec<HeldBack>) {
    let mut held = Vec::new();
    let Drawing {
        surfaces: before,
        photos: photos_before,
        ..
    } = Drawing::of_scene(scene);
    for photo in &mut drawing.photos {
        let old = photos_before.iter().find(|old| old.key == photo.key);
        let old = old.and_then(|old| old.known.as_deref());
        let drawn = photo.known.take();
        photo.known = drawn.map(|drawn| sound_known(drawn, old, &mut held));
    }
    drawing.surfaces = drawing
        .surfaces
        .into_iter()
        .filter_map(|surface| {
            let Some(fault) = fault_of(&surface) else {
                return Some(surface);
            };
            held.push(HeldBack {
                name: surface.name.clone(),
                words: words_of(&fault),
            });
            before
                .iter()
                .find(|old| old.was == surface.was && old.was.is_some())
                .cloned()
        })
        .collect();
    (drawing, held)
}

/// What is wrong with an outline, as one would say it of a drawing.
fn words_of(fault: &RegionError) -> String {
    match fault {
        RegionError::CrossesItself { .. } => {
            "its outline crosses itself: drag back one of the corners by the red line".to_owned()
        }
        RegionError::NoArea => "its corners lie on one line: move them apart".to_owned(),
        other => other
            .hint()
            .map_or_else(|| other.to_string(), |hint| format!("{other}: {hint}")),
    }
}
