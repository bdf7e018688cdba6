//! The paint list: shown, and changed or pasted as text.

use super::desk::Desk;
use super::keeper::Kept;
use super::refused::Refused;
use crate::paint::{PaintList, Reading, medium_meant};
use crate::problem::Explain;
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::PoisonError;

/// A list as typed or pasted.
#[derive(Debug, Deserialize)]
pub struct AskPaints {
    text: String,
    /// It is to be the scene's list from now on; else it is looked at only.
    #[serde(default)]
    keep: bool,
    /// The medium of paints whose row gives none.
    #[serde(default)]
    medium: Option<String>,
}

/// Where the list that was there is kept when another takes its place.
const BEFORE: &str = "paints-before.csv";

impl Desk {
    /// The scene's list.
    ///
    /// # Errors
    /// None at present: a list that cannot be read is told in words.
    pub fn paint_list(&self) -> Result<Value, Refused> {
        self.read_paints();
        let paints = self.paints();
        let file = self.opened().scene.paints.clone();
        Ok(match paints.as_ref() {
            Ok(listed) => told(&file, &listed.list, self.will_get_paints())?,
            Err(words) => {
                json!({ "file": file, "rows": [], "notes": [], "fault": words, "text": "" })
            }
        })
    }

    /// Looks at a list as text, or makes it the scene's; the one that was there is kept beside it.
    ///
    /// # Errors
    /// [`Refused`] with the list's faults, or why it cannot be written.
    pub fn take_paints(&self, ask: &AskPaints) -> Result<Value, Refused> {
        let opened = self.opened();
        let (scene, file) = (&opened.scene, &opened.scene.paints);
        let said = ask.medium.as_deref().filter(|said| !said.trim().is_empty());
        let medium = said.map(|said| {
            medium_meant(said).ok_or_else(|| {
                Refused::words(format!(
                    "found \"{said}\", expected a medium such as acrylic"
                ))
            })
        });
        let how = Reading {
            medium: medium.transpose()?.or(scene.paints_medium),
            ..Reading::default()
        };
        let spectrum = |name: &str| self.spectrum(name);
        let list = PaintList::read("the list", ask.text.as_bytes(), &spectrum, &how)
            .map_err(|faults| faults_of(&faults))?;
        if !ask.keep {
            return told(file, &list, false);
        }
        if self.settings.print_only {
            return Err(Refused::words("found a list, but nothing is to be written"));
        }
        let text_file = file.rsplit_once('.').is_some_and(|(_, ending)| {
            ["csv", "tsv", "txt"]
                .iter()
                .any(|known| ending.eq_ignore_ascii_case(known))
        });
        if !text_file {
            return Err(Refused::words(format!(
                "found that your list is the workbook {file}: change it there, and load this page again"
            )));
        }
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let bytes = list.tidied().map_err(|e| Refused::words(e.to_string()))?;
        let before = self
            .keeper
            .read(file, &scene.paints_place, Kept::Paints)
            .ok();
        if let Some(before) = &before {
            let place = crate::problem::Place::default();
            let older = self.keeper.read(BEFORE, &place, Kept::Paints).ok();
            self.keeper.write(BEFORE, older.as_deref(), before)?;
        }
        self.keeper.write(file, before.as_deref(), &bytes)?;
        self.paint_list()
    }
}

/// Most faults that are told.
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

fn told(file: &str, list: &PaintList, starter: bool) -> Result<Value, Refused> {
    let rows: Vec<Value> = list
        .paints()
        .iter()
        .map(|paint| {
            json!({
                "name": paint.name,
                "hex": paint.colour.to_srgb8().to_string(),
                "medium": paint.medium.map(|medium| medium.to_string()),
                "on_hand": paint.on_hand_ml,
            })
        })
        .collect();
    let text = list.tidied().map_err(|e| Refused::words(e.to_string()))?;
    Ok(json!({
        "file": file,
        "rows": rows,
        "notes": list.notes().iter().map(ToString::to_string).collect::<Vec<_>>(),
        "starter": starter,
        "text": String::from_utf8_lossy(&text),
    }))
}
