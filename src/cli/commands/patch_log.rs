//! The log of dried patches beside a scene.

use crate::cli::args::PatchArgs;
use crate::cli::request::MOST_TEXT;
use crate::cli::terminal::{plain, tell};
use crate::cli::{Problems, boxed};
use hillwash::colour::LabD65;
use hillwash::files::{FileError, SceneFolder, append_line};
use hillwash::mix::Shelf;
use hillwash::patch::PatchReport;
use hillwash::plan::{AsBuilt, MixedPaint, PATCH_LOG, PatchLog, parse_patch_log};
use hillwash::problem::Place;
use std::path::Path;

/// The name of the log beside a scene.
pub(super) fn log_name(scene: &Path) -> String {
    let stem = scene
        .file_stem()
        .map_or_else(|| "scene".into(), |stem| stem.to_string_lossy());
    format!("{stem}.patches.jsonl")
}

/// The log of patches beside a scene; empty when there is none. A last line that was cut short is told.
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
            "{}:{line}: the last line is cut short and does not count; the next patch puts it aside",
            plain(&name)
        ));
    }
    Ok(log)
}

/// Adds a patch to the log beside a scene.
pub(super) fn add(
    scene: &Path,
    folder: &SceneFolder,
    entry: &AsBuilt,
    cut_short: bool,
) -> Result<(), FileError> {
    let line = entry.line().unwrap_or_default();
    let name = log_name(scene);
    let aside = name.replace(".jsonl", ".cut-short");
    let aside = cut_short.then(|| folder.path().join(aside));
    append_line(&folder.path().join(&name), &line, aside.as_deref())
}

/// What is logged of a patch; `beside` is what it lay beside, where that was no grey card nor chart.
pub(super) fn entry(
    args: &PatchArgs,
    date: &str,
    report: &PatchReport,
    shelf: &Shelf,
    beside: Option<&str>,
) -> AsBuilt {
    AsBuilt {
        format: PATCH_LOG.to_owned(),
        date: date.to_owned(),
        surface: report.surface.clone(),
        tone: report.tone.clone(),
        paints: report
            .parts
            .iter()
            .map(|(at, parts)| MixedPaint {
                name: shelf.stocks()[*at].name.clone(),
                parts: *parts,
            })
            .collect(),
        planned: rounded(report.planned),
        seen: rounded(report.seen.colour),
        de2000: (report.difference.0 * 100.0).round() / 100.0,
        uncertainty_de: (report.uncertainty.0 * 100.0).round() / 100.0,
        verdict: report.verdict.words().to_owned(),
        photo: args
            .photo
            .file_name()
            .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
        beside: beside.map(str::to_owned),
        doubtful: report.doubt.is_some(),
    }
}

fn rounded(colour: LabD65) -> LabD65 {
    let to = |v: f64| (v * 100.0).round() / 100.0 + 0.0;
    LabD65::new(to(colour.l), to(colour.a), to(colour.b))
}
