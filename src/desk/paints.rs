//! The lists of paints and of scatter: shows them, changes them row by row or as text, takes pasted ones.

use super::desk::Desk;
use super::edit::scatter_named;
use super::keeper::FileKind;
use super::refused::Refused;
use crate::colour::LabD65;
use crate::paint::{ListReading, Medium, PaintList, ScatterList, ScatterMaterial, medium_meant};
use crate::plan::PlanNote;
use crate::problem::{Explain, Place};
use crate::report::note_text;
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::PoisonError;

/// Which list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
enum ListOf {
    #[default]
    Paints,
    Scatter,
}

/// Which list to show.
#[derive(Debug, Deserialize)]
pub struct AskList {
    #[serde(default)]
    of: ListOf,
}

/// A list as typed or pasted.
#[derive(Debug, Deserialize)]
pub struct AskPaints {
    #[serde(default)]
    of: ListOf,
    text: String,
    /// Make it the scene's list from now on; otherwise only look at it.
    #[serde(default)]
    keep: bool,
    /// The medium of paints whose row gives none.
    #[serde(default)]
    medium: Option<String>,
}

/// Where a list of scatter goes in a scene that has none.
const SCATTER: &str = "scatter.csv";

/// A list of either kind.
enum Read {
    Paints(PaintList),
    Scatter(ScatterList),
}

impl ListOf {
    fn kept(self) -> FileKind {
        match self {
            Self::Paints => FileKind::Paints,
            Self::Scatter => FileKind::Scatter,
        }
    }

    /// Where the list that was there is kept when another takes its place.
    fn before(self) -> &'static str {
        match self {
            Self::Paints => "paints-before.csv",
            Self::Scatter => "scatter-before.csv",
        }
    }
}

impl Desk {
    /// A list of the scene's.
    ///
    /// # Errors
    /// None at present: if a list cannot be read, it says why.
    pub fn paint_list(&self, ask: &AskList) -> Result<Value, Refused> {
        let scene = &self.opened().scene;
        if ask.of == ListOf::Scatter {
            let none = |file: &str, fault: Option<String>| json!({ "file": file, "rows": [], "cells": [], "notes": [], "fault": fault, "text": "" });
            return match self.scatter(scene) {
                Ok(None) => Ok(none(SCATTER, None)),
                Ok(Some(list)) => list_answer(&list.file.clone(), &Read::Scatter(list)),
                Err(Refused::Problem { words, .. }) => Ok(none(
                    scene.scatter.as_deref().unwrap_or(SCATTER),
                    Some(words),
                )),
                Err(other) => Err(other),
            };
        }
        self.read_paints();
        let paints = self.paints();
        Ok(match paints.as_ref() {
            Ok(listed) => {
                let list = Read::Paints(listed.list.clone());
                let mut told = list_answer(&scene.paints, &list)?;
                told["starter"] = self.will_get_paints().into();
                told
            }
            Err(words) => {
                json!({ "file": scene.paints, "rows": [], "cells": [], "notes": [], "fault": words, "text": "" })
            }
        })
    }

    /// Looks at a list of paints that is a file of its own: a table as text, or a workbook.
    ///
    /// # Errors
    /// [`Refused`] with the list's faults.
    pub fn paints_given(&self, name: &str, bytes: &[u8]) -> Result<Value, Refused> {
        list_answer(name, &self.read_list(ListOf::Paints, bytes, None)?)
    }

    /// The same of scatter.
    ///
    /// # Errors
    /// [`Refused`] with the list's faults.
    pub fn scatter_given(&self, name: &str, bytes: &[u8]) -> Result<Value, Refused> {
        list_answer(name, &self.read_list(ListOf::Scatter, bytes, None)?)
    }

    fn read_list(&self, of: ListOf, bytes: &[u8], medium: Option<&str>) -> Result<Read, Refused> {
        if of == ListOf::Scatter {
            let list = ScatterList::parse("the list", bytes);
            return list.map(Read::Scatter).map_err(|f| faults_of(&f));
        }
        let said = medium.filter(|said| !said.trim().is_empty());
        let medium = said.map(|said| {
            medium_meant(said).ok_or_else(|| {
                Refused::words(format!(
                    "found \"{said}\", expected a medium such as acrylic"
                ))
            })
        });
        let how = ListReading {
            medium: medium.transpose()?.or(self.opened().scene.paints_medium),
            ..ListReading::default()
        };
        let spectrum = |name: &str| self.spectrum(name);
        PaintList::read("the list", bytes, &spectrum, &how)
            .map(Read::Paints)
            .map_err(|faults| faults_of(&faults))
    }

    /// Looks at a list as text, or makes it the scene's; the previous one is kept beside it.
    ///
    /// # Errors
    /// [`Refused`] with the list's faults, or why it cannot be written.
    pub fn take_paints(&self, ask: &AskPaints) -> Result<Value, Refused> {
        let opened = self.opened();
        let (scene, kept) = (&opened.scene, ask.of.kept());
        let (file, place) = match ask.of {
            ListOf::Paints => (scene.paints.as_str(), &scene.paints_place),
            ListOf::Scatter => (
                scene.scatter.as_deref().unwrap_or(SCATTER),
                &scene.scatter_place,
            ),
        };
        let list = self.read_list(ask.of, ask.text.as_bytes(), ask.medium.as_deref())?;
        if !ask.keep {
            return list_answer(file, &list);
        }
        if self.settings.print_only {
            return Err(Refused::words("found a list, but this page writes nothing"));
        }
        let text_file = file.rsplit_once('.').is_some_and(|(_, ending)| {
            ["csv", "tsv", "txt"]
                .iter()
                .any(|known| ending.eq_ignore_ascii_case(known))
        });
        if !text_file {
            return Err(Refused::words(format!(
                "your list is the workbook {file}: change it there, then load this page again"
            )));
        }
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let bytes = list.list_bytes()?;
        let before = self.keeper.read(file, place, kept).ok();
        if let Some(before) = &before {
            let aside = ask.of.before();
            let older = self.keeper.read(aside, &Place::default(), kept).ok();
            self.keeper.write(aside, older.as_deref(), before)?;
        }
        self.keeper.write(file, before.as_deref(), &bytes)?;
        let mut digest = None;
        if ask.of == ListOf::Scatter && scene.scatter.is_none() {
            let opened = self.reopen(self.scene_bytes()?)?;
            let text = scatter_named(&opened.text, SCATTER).map_err(|e| Refused::of_problem(&e))?;
            digest = Some(self.rewrite(&opened.text, text)?.digest.clone());
        }
        let mut told = self.paint_list(&AskList { of: ask.of })?;
        if let (Some(all), Some(digest)) = (told.as_object_mut(), digest) {
            all.insert("digest".to_owned(), json!(digest));
        }
        if let Some(all) = told.as_object_mut() {
            all.insert("before".to_owned(), json!(before.map(|_| ask.of.before())));
        }
        Ok(told)
    }
}

impl Desk {
    /// What the scene's list misses most for the scene as it is saved.
    ///
    /// # Errors
    /// [`Refused`] where the scene cannot be planned.
    pub fn missing_most(&self) -> Result<Value, Refused> {
        self.with_plan(|plan, _| {
            let one = plan.notes.iter().find_map(|note| match note {
                PlanNote::HelpfulColour(helpful) => Some((helpful.colour, note_text(note))),
                _ => None,
            });
            let (colour, words) = one.unzip();
            let hex = colour.map(|colour| colour.to_srgb8().to_string());
            json!({ "hex": hex, "words": words })
        })
    }
}

/// At most this many faults are reported.
const MOST_FAULTS: usize = 8;

fn faults_of<E: Explain>(faults: &[E]) -> Refused {
    let told: Vec<String> = faults
        .iter()
        .take(MOST_FAULTS)
        .map(|fault| {
            let line = fault.place().line;
            line.map_or_else(|| fault.to_string(), |line| format!("line {line}: {fault}"))
        })
        .collect();
    Refused::Problem {
        words: told.join("; "),
        hint: faults.iter().find_map(Explain::hint),
    }
}

impl Read {
    fn list_bytes(&self) -> Result<Vec<u8>, Refused> {
        let text = match self {
            Self::Paints(list) => list.tidied(),
            Self::Scatter(list) => list.tidied(),
        };
        text.map_err(|e| Refused::words(e.to_string()))
    }
}

fn list_answer(file: &str, list: &Read) -> Result<Value, Refused> {
    let row = |name: &str, colour: LabD65, own: Option<String>| json!({ "name": name, "hex": colour.to_srgb8().to_string(), "own": own });
    let (rows, cells, notes, words): (Vec<Value>, _, _, Vec<&str>) = match list {
        Read::Paints(list) => (
            list.paints()
                .iter()
                .map(|p| row(&p.name, p.colour, p.medium.map(|m| m.to_string())))
                .collect(),
            list.tidied_cells(),
            list.notes(),
            Medium::ALL.iter().map(|m| m.word()).collect(),
        ),
        Read::Scatter(list) => (
            list.items()
                .iter()
                .map(|s| row(&s.name, s.colour, None))
                .collect(),
            list.tidied_cells(),
            list.notes(),
            ScatterMaterial::ALL.iter().map(|(word, _)| *word).collect(),
        ),
    };
    Ok(json!({
        "file": file,
        "rows": rows,
        "cells": cells,
        "words": words,
        "notes": notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "starter": false,
        "text": String::from_utf8_lossy(&list.list_bytes()?),
    }))
}
