//! The log of dried patches beside a scene.

use super::patch_photo::PatchPhoto;
use crate::cli::args::{PatchArgs, PatchUndoArgs};
use crate::cli::request::MOST_TEXT;
use crate::cli::terminal::{plain, say, tell};
use crate::cli::{Problems, boxed};
use hillwash::files::{FileError, SceneFolder, append_line, read_file, replace_file};
use hillwash::mix::Shelf;
use hillwash::patch::{PatchReport, Photographed};
use hillwash::plan::{AsBuilt, PatchLog, parse_patch_log, without_last_patch};
use hillwash::problem::Place;
use std::path::Path;

/// The name of the log beside a scene.
pub(super) fn log_name(scene: &Path) -> String {
    let stem = scene
        .file_stem()
        .map_or_else(|| "scene".into(), |stem| stem.to_string_lossy());
    format!("{stem}.patches.jsonl")
}

/// The log of patches beside a scene; empty when there is none. The user is told of a last line that was cut short.
pub(super) fn patch_log(scene: &Path, folder: &SceneFolder) -> Result<PatchLog, Problems> {
    let name = log_name(scene);
    if folder.path().join(&name).symlink_metadata().is_err() {
        return Ok(PatchLog::default());
    }
    let bytes = folder
        .read(&name, &Place::default(), "a patch log", MOST_TEXT)
        .map_err(|e| boxed([e]))?;
    let log = parse_patch_log(&name, &String::from_utf8_lossy(&bytes)).map_err(boxed)?;
    if let Some(line) = log.cut_short {
        tell(&format!(
            "{}:{line}: the last line is cut short and does not count; the next patch will put it aside",
            plain(&name)
        ));
    }
    Ok(log)
}

/// Adds a line to the log beside a scene; a last line that is cut short is put aside.
pub(super) fn add(
    scene: &Path,
    folder: &SceneFolder,
    line: &str,
    log: &PatchLog,
) -> Result<(), FileError> {
    let name = log_name(scene);
    let aside = name.replace(".jsonl", ".cut-short");
    let aside = log.cut_short.map(|_| folder.path().join(aside));
    append_line(&folder.path().join(&name), line, aside.as_deref())
}

/// What is logged of a patch; `beside` is what it was compared with, if not with a grey card or chart.
pub(super) fn entry(
    args: &PatchArgs,
    date: &str,
    report: &PatchReport,
    shelf: &Shelf,
    photo: &PatchPhoto,
) -> AsBuilt {
    let of = Photographed {
        date: date.to_owned(),
        photo: args
            .photo()
            .file_name()
            .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
        beside: photo
            .reference()
            .map(|reference| reference.known.word().to_owned()),
        content: photo.content.clone(),
        light: photo.light_word().to_owned(),
    };
    report.entry(shelf, of)
}

/// `patch undo`: the last reading is taken out of the log again.
pub(super) fn undo(args: &PatchUndoArgs) -> Result<(), Problems> {
    // A mistyped scene has no log either: that is not "no patch".
    read_file(&args.scene, &Place::default(), "a scene file", MOST_TEXT).map_err(|e| boxed([e]))?;
    let folder = SceneFolder::holding(&args.scene, args.outside.may_name());
    let name = log_name(&args.scene);
    let log = patch_log(&args.scene, &folder)?;
    let left = log.entries.len() + log.films.len();
    if left == 0 {
        return say(&format!(
            "{} has no patch: there is nothing to take back",
            plain(&name)
        ));
    }
    let before = folder
        .read(&name, &Place::default(), "a patch log", MOST_TEXT)
        .map_err(|e| boxed([e]))?;
    let text = String::from_utf8_lossy(&before);
    let (after, last) = without_last_patch(&text, log.cut_short);
    let last = parse_patch_log(&name, last).map_err(boxed)?;
    replace_file(&folder.path().join(&name), &before, after.as_bytes()).map_err(|e| boxed([e]))?;
    let pots = last.entries.iter();
    let pots = pots.map(|e| (&e.surface, e.tone.as_str(), &e.photo, &e.date));
    let films = last.films.iter();
    let films = films.map(|e| (&e.surface, "its wash", &e.photo, &e.date));
    let taken: Vec<String> = pots
        .chain(films)
        .map(|(surface, what, photo, date)| format!("{surface}, {what}, {photo} of {date}"))
        .collect();
    say(&format!(
        "taken back: {}; {} left in {}",
        plain(&taken.join("; ")),
        left - 1,
        plain(&name)
    ))
}
