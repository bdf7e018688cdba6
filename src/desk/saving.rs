//! Writes a drawing into the scene file, and keeps an unsaved drawing beside it.

use super::desk::{Desk, digest, opened};
use super::drawing::{Drawing, DrawnKnown, DrawnSurface, DrawnZone};
use super::edit::EditError;
use super::held::{HeldBack, sound_into};
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
    /// By what name the draft is kept that the page took up.
    #[serde(default)]
    from: Option<String>,
    /// Put the drawing into the file although it has changed: what others wrote stays, except for what is drawn.
    #[serde(default)]
    over: bool,
}

/// What is drawn and not saved in one window.
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
    /// The page whose drawing it took up.
    #[serde(default)]
    from: Option<String>,
}

/// Why a drawing is not written, by its places.
pub(super) fn unwritten(error: EditError) -> Refused {
    match error {
        EditError::Faults { faults } => Refused::faults(&faults),
        other => Refused::of_problem(&other),
    }
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
    /// Puts a drawing into the scene file, or keeps it to be printed. What is faulty stays as it was in the file, and is
    /// named.
    ///
    /// # Errors
    /// [`Refused`]; nothing is written then.
    pub fn save(&self, ask: AskSave) -> Result<Value, Refused> {
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let bytes = self.scene_bytes()?;
        if digest(&bytes) != ask.base && !ask.over {
            return Err(Refused::Changed);
        }
        let (drawing, mut held) = sound(ask.drawing, &self.opened().scene);
        let (name, may_name) = (&self.settings.name, self.settings.may_name);
        let (text, faulty) = sound_into(name, &bytes, may_name, drawing).map_err(unwritten)?;
        held.extend(faulty);
        if self.settings.print_only {
            *self.printed.lock().unwrap_or_else(PoisonError::into_inner) = Some(text);
            return Ok(json!({ "printed": true }));
        }
        let wrote = self.write(&bytes, text.as_bytes())?;
        if held.is_empty() {
            self.put_drafts(&[Some(&ask.by), ask.from.as_ref()], None)?;
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

    /// Keeps the unsaved drawing of a page, or discards it; those of other pages stay.
    ///
    /// # Errors
    /// [`Refused`] where it cannot be kept.
    pub fn keep(&self, ask: &AskKeep) -> Result<Value, Refused> {
        if self.settings.print_only {
            return Ok(json!({ "kept": false }));
        }
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let by = [Some(&ask.by), ask.from.as_ref()];
        let draft = ask.draft.clone().map(|draft| Draft {
            page: ask.by.clone(),
            ..draft
        });
        let kept = draft.is_some();
        self.put_drafts(&by, draft)?;
        Ok(json!({ "kept": kept }))
    }

    /// Puts a draft in the place of those of some pages, and of one that names no page.
    fn put_drafts(&self, by: &[Option<&String>], draft: Option<Draft>) -> Result<(), Refused> {
        let mut drafts = self.drafts();
        let before = drafts.len();
        drafts.retain(|kept| !kept.page.is_empty() && !by.contains(&Some(&kept.page)));
        if drafts.len() == before && draft.is_none() {
            return Ok(());
        }
        drafts.extend(draft);
        if drafts.is_empty() {
            return Ok(self.keeper.keep_draft(None)?);
        }
        let bytes =
            serde_json::to_vec(&drafts).map_err(|e| Refused::words(format!("not kept: {e}")))?;
        Ok(self.keeper.keep_draft(Some(&bytes))?)
    }

    /// What was drawn and not saved when pages were left, the newest last.
    pub(super) fn drafts(&self) -> Vec<Draft> {
        let Some(bytes) = self.keeper.draft() else {
            return Vec::new();
        };
        // Earlier versions kept a single one.
        serde_json::from_slice(&bytes)
            .or_else(|_| serde_json::from_slice(&bytes).map(|one| vec![one]))
            .unwrap_or_default()
    }

    /// The unsaved drawings that are kept beside the scene, in words for the user who stops the program.
    #[must_use]
    pub fn kept_words(&self) -> Option<String> {
        let drafts = self.drafts();
        let names = drafts.iter().map(|draft| {
            let surfaces = draft.drawing.surfaces.iter();
            let names: Vec<&str> = surfaces.map(|surface| surface.name.as_str()).collect();
            names.join(", ")
        });
        let names = names.collect::<Vec<_>>().join("; ");
        match drafts.len() {
            0 => None,
            1 => Some(format!(
                "your unsaved drawing is kept ({names}); the next start offers to take it up again"
            )),
            n => Some(format!(
                "your unsaved drawings of {n} windows are kept ({names}); the next start offers to take them up again"
            )),
        }
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
        held.push(HeldBack::surface(&known.name, words));
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
            held.push(HeldBack::surface(&surface.name, words_of(&fault)));
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
