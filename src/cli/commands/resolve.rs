//! `plan` with a received schedule: solves it again for the user's own paints, without the photos.

use super::issue::{PlanToIssue, issue};
use crate::cli::args::PlanArgs;
use crate::cli::request::{ArgumentError, bad, lists, paint_list, scatter_list};
use crate::cli::terminal::Talk;
use crate::cli::watch::{STRANGERS_MAY_TAKE, Watch};
use crate::cli::{Problems, boxed};
use hillwash::files::{FileError, OutputFolder, stays_inside};
use hillwash::mix::Shelf;
use hillwash::plan::Kit;
use hillwash::problem::{Explain, Place};
use hillwash::scene::MayName;
use hillwash::share::{Relation, read_plan, received};
use hillwash::units::UnitError;
use hillwash::work::Timings;
use hillwash::workshop::{OUTPUTS, Other};
use std::path::{Path, PathBuf};

/// A measure of a received plan that no unit holds.
#[derive(Debug, thiserror::Error)]
#[error("{fault}")]
struct BadMeasure {
    file: String,
    fault: UnitError,
}

impl Explain for BadMeasure {
    fn place(&self) -> Place {
        Place::file(self.file.clone())
    }
}

/// Solves the plan in `bytes`, the content of the file that was named.
pub(super) fn run(
    args: &PlanArgs,
    bytes: &[u8],
    talk: Talk,
    timings: &Timings,
) -> Result<(), Problems> {
    let name = args.scene.display().to_string();
    let theirs = read_plan(&name, bytes).map_err(boxed)?;
    let Some(list) = &args.paints else {
        return Err(bad("--paints", ArgumentError::ListWanted));
    };
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| beside(&args.scene, list));
    if args.out.is_none() && args.outside.may_name() == MayName::ItsFolder {
        stays_inside(&out).map_err(|e| boxed([e]))?;
    }
    let output = OutputFolder::check(&out, &OUTPUTS, args.may_replace()).map_err(|e| boxed([e]))?;
    keeps(&args.scene, &out).map_err(|e| boxed([e]))?;
    let lists = lists(&args.list, talk)?;
    let paints = paint_list(list, lists)?;
    let scatter = args
        .scatter
        .as_deref()
        .map(|path| scatter_list(path, lists))
        .transpose()?;
    let shelf = Shelf::new(&paints);
    talk.tell(&format!(
        "solving a received plan of {} again, without photos, from {} paints",
        super::plan_text::counted(theirs.surfaces.len(), "surface"),
        paints.paints().len()
    ));
    let rebuilt = received(&theirs).map_err(|fault| boxed([BadMeasure { file: name, fault }]))?;
    let most = (!args.patient).then_some(STRANGERS_MAY_TAKE);
    let watch = Watch::begin(most, talk);
    let kit = Kit {
        scatter: scatter.as_ref(),
        ..Kit::new(&paints, &shelf)
    };
    let wishes = args.wishes(&watch)?;
    timings.ended("reading files");
    let plan = rebuilt.planned(&kit, &wishes, timings);
    watch.end(&args.scene.display().to_string())?;
    let other = match super::issue::earlier(args)? {
        Some(earlier) => earlier,
        None => Other {
            plan: theirs,
            relation: Relation::AnotherBuilder,
        },
    };
    let ready = PlanToIssue {
        plan: &plan,
        args,
        other: Some(&other),
        output: &output,
    };
    issue(&ready, talk, timings)
}

/// "schedule-for-mine" beside the received file, when the list is `mine.csv`.
fn beside(received: &Path, list: &Path) -> PathBuf {
    let stem = list
        .file_stem()
        .map_or_else(|| "my-paints".into(), |stem| stem.to_string_lossy());
    received.with_file_name(format!("schedule-for-{stem}"))
}

/// The received file itself must not be written over, whatever else may.
fn keeps(received: &Path, out: &Path) -> Result<(), FileError> {
    let Ok(file) = received.canonicalize() else {
        return Ok(());
    };
    let over = OUTPUTS
        .iter()
        .any(|name| out.join(name).canonicalize().is_ok_and(|path| path == file));
    if over {
        return Err(FileError::OverItsSource {
            path: received.to_owned(),
        });
    }
    Ok(())
}
