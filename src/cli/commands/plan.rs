//! `plan`: a scene to its colour schedule.

use super::issue::{PlanToIssue, earlier, issue};
use super::patch_log::patch_log;
use super::plan_text::counted;
use crate::cli::args::PlanArgs;
use crate::cli::request::lists;
use crate::cli::terminal::Talk;
use crate::cli::timings::begin;
use crate::cli::watch::Watch;
use crate::cli::{Problems, boxed};
use hillwash::files::{FileError, MOST_SCENE, OutputFolder, SceneFolder, read_file, stays_inside};
use hillwash::problem::Place;
use hillwash::scene::{MayName, parse_scene};
use hillwash::share::{MOST_BYTES, looks_received};
use hillwash::work::Timings;
use hillwash::workshop::{OUTPUTS, OwnLists, PlannedWith, Workshop};

pub(crate) fn run(args: &PlanArgs, talk: Talk) -> Result<(), Problems> {
    let timings = begin();
    planned(args, talk, &timings)?;
    args.time.tell(&timings);
    Ok(())
}

fn planned(args: &PlanArgs, talk: Talk, timings: &Timings) -> Result<(), Problems> {
    let bytes = read_file(
        &args.scene,
        &Place::default(),
        "a scene file, or a schedule you received",
        MOST_BYTES,
    )
    .map_err(|e| boxed([e]))?;
    if looks_received(&bytes) {
        return super::resolve::run(args, &bytes, talk, timings);
    }
    if bytes.len() as u64 > MOST_SCENE {
        return Err(boxed([FileError::TooLarge {
            place: Place::default(),
            path: args.scene.clone(),
            found: bytes.len() as u64,
            limit: MOST_SCENE,
        }]));
    }
    if args.with_solver {
        // Told before the long work.
        super::core_file::core_wanted(&args.core)?;
    }
    let limits = args.photo_limits.limits();
    let folder = SceneFolder::holding(&args.scene, args.outside.may_name());
    let name = args.scene.display().to_string();
    let scene = parse_scene(&name, &bytes, args.outside.may_name()).map_err(boxed)?;
    let output = output_folder(args, &folder)?;
    let own = OwnLists {
        paints: args.paints.as_deref(),
        scatter: args.scatter.as_deref(),
        how: lists(&args.list, talk)?,
    };
    let workshop = Workshop::of_scene(scene, folder, own, limits)?;
    let earlier = earlier(args)?;
    talk.tell(&format!(
        "reading {}, mixing from {}",
        counted(workshop.photos.count(), "photo"),
        counted(workshop.paints.paints().len(), "paint")
    ));
    timings.ended("reading files");
    let watch = Watch::begin(None, talk);
    let cache = args.cache.folder();
    let sighted = workshop.sighted(cache.as_ref(), timings, Some(watch.meter()))?;
    let wishes = args.wishes(&watch)?;
    let log = patch_log(&args.scene, &workshop.folder)?;
    let with = PlannedWith {
        cache: cache.as_ref(),
        log,
        wishes: &wishes,
        timings,
    };
    let plan = workshop.plan(sighted, with)?;
    watch.end(&name)?;
    let ready = PlanToIssue {
        plan: &plan,
        args,
        other: earlier.as_ref(),
        output: &output,
    };
    issue(&ready, talk, timings)
}

/// The folder that the schedule is written to.
fn output_folder(args: &PlanArgs, folder: &SceneFolder) -> Result<OutputFolder, Problems> {
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| folder.path().join("schedule"));
    if args.out.is_none() && args.outside.may_name() == MayName::ItsFolder {
        stays_inside(&out).map_err(|e| boxed([e]))?;
    }
    OutputFolder::check(&out, &OUTPUTS, args.may_replace()).map_err(|e| boxed([e]))
}
