//! `patch`: a photo of a dried test patch against the plan.

use super::look::{InPhoto, corrected};
use super::patch_wash;
use super::plan::{Materials, OwnLists, materials, scene};
use crate::cli::args::PatchArgs;
use crate::cli::request::{
    ArgumentError, MOST_TEXT, bad, date, known_light, listed, parts, region,
};
use crate::cli::terminal::{Talk, answer, lab_text, plain, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::colour::LabD65;
use hillwash::files::{SceneFolder, append_line, read_file, write_file};
use hillwash::mix::Shelf;
use hillwash::paint::{PaintList, with_strengths};
use hillwash::patch::{
    OfferedChange, PatchReport, UNEVEN, Verdict, find_patch, judge, offered_changes,
};
use hillwash::photo::{KnownLight, Picture, Reading};
use hillwash::plan::{AsBuilt, MixedPaint, PATCH_LOG, Plan, SurfacePlan, TonePlan};
use hillwash::plan::{check_dirt, parse_patch_log, plan, survey};
use hillwash::problem::{Explain, Place, nearest_word};
use hillwash::region::Region;
use std::fmt::Write;
use std::path::Path;

/// A patch that cannot be judged.
#[derive(Debug, thiserror::Error)]
enum NoPatch {
    /// Nothing even in the photo.
    #[error("found nothing even enough to be a patch, expected a brushed-out patch on scrap")]
    NotFound,
    /// An empty region.
    #[error("found a region without a pixel, expected one that holds the patch")]
    Empty,
}

impl Explain for NoPatch {
    fn hint(&self) -> Option<String> {
        Some("point at it by --region \"left,top,right,bottom\", as fractions".to_owned())
    }
}

/// The name of the log beside a scene.
fn log_name(scene: &Path) -> String {
    let stem = scene
        .file_stem()
        .map_or_else(|| "scene".into(), |stem| stem.to_string_lossy());
    format!("{stem}.patches.jsonl")
}

/// The log of patches beside a scene; empty when there is none.
pub(super) fn patch_log(scene: &Path, folder: &SceneFolder) -> Result<Vec<AsBuilt>, Problems> {
    let name = log_name(scene);
    if folder.path().join(&name).symlink_metadata().is_err() {
        return Ok(Vec::new());
    }
    let bytes = folder
        .read(&name, &Place::default(), "a patch log", MOST_TEXT)
        .map_err(|e| boxed([e]))?;
    parse_patch_log(&name, &String::from_utf8_lossy(&bytes)).map_err(boxed)
}

pub(crate) fn run(args: &PatchArgs, talk: Talk) -> Result<(), Problems> {
    let limits = args.photo_limits.limits();
    let known = known_light(&args.light)?;
    let folder = SceneFolder::of(&args.scene, args.allow_outside);
    let scene = scene(&args.scene, args.allow_outside)?;
    let Materials {
        paints,
        scatter,
        photos,
        lamp,
    } = materials(
        OwnLists {
            paints: args.paints.as_deref(),
            ..OwnLists::default()
        },
        &scene,
        &folder,
        &limits,
    )?;
    check_dirt(&scene, &paints).map_err(boxed)?;
    let mut log = patch_log(&args.scene, &folder)?;
    let (picture, light, warnings) = corrected(&args.photo, &known, &limits)?;
    let shelf = Shelf::new(&paints);
    talk.tell("working the plan out again, to hold the patch against it");
    let seen = survey(&scene, &photos, &limits).map_err(boxed)?;
    let plan = plan(
        &scene,
        seen,
        &paints,
        &shelf,
        scatter.as_ref(),
        lamp,
        &args.search.search(),
    );
    let surface = surface(&plan, &args.surface)?;
    if args.wash {
        let patch = patch_wash::Patch {
            args,
            scene: &scene,
            paints: &paints,
            shelf: &shelf,
            surface,
            picture: &picture,
            known: &known,
            light: &light,
            warnings: &warnings,
        };
        return patch_wash::run(&patch, talk);
    }
    let tone = tone(surface, args.tone)?;
    let planned = tone
        .pot
        .map_or(tone.moved.colour, |pot| plan.pots[pot].colour);
    let pot = pot(args, &paints, &shelf, &plan, tone)?;
    let (region, doubtful) = region_of(args, &picture, planned, &known)?;
    let reading = reading_of(args, &picture, &region)?;
    let report = judge(
        &shelf,
        &surface.name,
        tone.tone.name,
        &pot,
        planned,
        reading,
        light.uncertainty,
    )
    .map_err(|e| bad("--mixed", ArgumentError::Mixture(e)))?;
    let entry = entry(args, &date(args.date)?, &report, &shelf);
    if !args.no_log {
        let line = entry.line().unwrap_or_default();
        append_line(&folder.path().join(log_name(&args.scene)), &line).map_err(|e| boxed([e]))?;
    }
    log.push(entry);
    let offered = offered_changes(&shelf, &paints, &log);
    if let Some(out) = &args.write_list {
        write_changed(args, &scene.paints, &folder, &offered, out)?;
    }
    if args.json {
        let mut value = report.json(&shelf);
        value["offered_changes"] = changes(&offered);
        value["region"] = serde_json::json!(region.outline.points());
        return say(&answer(value));
    }
    let mut text = text(&report, &shelf, &warnings, doubtful.then_some(&region));
    let [left, top, right, bottom] = region.outline.bounds();
    let _ = writeln!(
        text,
        "read at {left:.2},{top:.2},{right:.2},{bottom:.2} of the photo; --region chooses another part"
    );
    if talk == Talk::Usual {
        let _ = writeln!(text, "light: {light}");
    }
    offered_text(&offered, args, &mut text);
    if !args.no_log {
        let _ = writeln!(
            text,
            "logged in {}: plan shows it as built",
            plain(&log_name(&args.scene))
        );
    }
    say(text.trim_end())
}

/// Offered strengths as JSON.
fn changes(offered: &[OfferedChange]) -> serde_json::Value {
    offered
        .iter()
        .map(|change| {
            serde_json::json!({
                "paint": change.paint, "strength_now": change.from, "strength_offered": change.to,
                "patches": change.patches,
            })
        })
        .collect()
}

fn surface<'a>(plan: &'a Plan<'_>, name: &str) -> Result<&'a SurfacePlan, Problems> {
    let wanted = name.trim().to_lowercase();
    let names = || plan.surfaces.iter().map(|s| s.name.as_str());
    plan.surfaces
        .iter()
        .find(|surface| surface.name.to_lowercase() == wanted)
        .ok_or_else(|| {
            bad(
                "--surface",
                ArgumentError::UnknownSurface {
                    found: name.to_owned(),
                    known: names().collect::<Vec<_>>().join(", "),
                    nearest: nearest_word(name, names()).map(str::to_owned),
                },
            )
        })
}

fn tone(surface: &SurfacePlan, number: usize) -> Result<&TonePlan, Problems> {
    number
        .checked_sub(1)
        .and_then(|at| surface.tones.get(at))
        .ok_or_else(|| {
            bad(
                "--tone",
                ArgumentError::NoSuchTone {
                    found: number,
                    most: surface.tones.len(),
                },
            )
        })
}

/// The colour of a patch in a photo.
pub(super) fn reading_of(
    args: &PatchArgs,
    picture: &Picture,
    region: &Region,
) -> Result<Reading, Problems> {
    picture.reading(region).ok_or_else(|| {
        boxed([InPhoto {
            file: args.photo.display().to_string(),
            argument: Some("--region"),
            cause: NoPatch::Empty,
        }])
    })
}

/// What was in the pot, as told.
pub(super) fn mixed(
    text: &str,
    list: &PaintList,
    shelf: &Shelf,
) -> Result<Vec<(usize, f64)>, Problems> {
    parts(text, |name| list.named(name).is_some())?
        .into_iter()
        .map(|(count, name)| {
            let index = listed(list, "--mixed", &name)?;
            let at = shelf.stocks().iter().position(|stock| stock.index == index);
            at.map(|at| (at, count)).ok_or_else(|| {
                bad(
                    "--mixed",
                    ArgumentError::NotMixed {
                        found: name.clone(),
                        reason: "it is kept apart from mixes".to_owned(),
                    },
                )
            })
        })
        .collect()
}

/// What was in the pot: as told, or as planned.
fn pot(
    args: &PatchArgs,
    list: &PaintList,
    shelf: &Shelf,
    plan: &Plan<'_>,
    tone: &TonePlan,
) -> Result<Vec<(usize, f64)>, Problems> {
    if let Some(text) = &args.mixed {
        return mixed(text, list, shelf);
    }
    let recipe = tone
        .pot
        .and_then(|pot| plan.pots[pot].recipe.as_ref())
        .or_else(|| tone.recipes.first());
    recipe
        .map(|recipe| {
            recipe
                .parts
                .iter()
                .map(|(at, p)| (*at, f64::from(*p)))
                .collect()
        })
        .ok_or_else(|| {
            bad(
                "--surface",
                ArgumentError::Mixture(hillwash::paint::MixtureError::Empty),
            )
        })
}

/// Where the patch is, and whether that is in doubt.
pub(super) fn region_of(
    args: &PatchArgs,
    picture: &Picture,
    planned: LabD65,
    known: &KnownLight,
) -> Result<(Region, bool), Problems> {
    if args.region.is_some() {
        return Ok((region(args.region.as_deref())?, false));
    }
    let mut set_aside = Vec::new();
    if let KnownLight::Neutral { region, .. } = known {
        set_aside.push(region.clone());
    }
    if let KnownLight::Chart(corners) = known
        && let Ok(outline) = hillwash::region::Outline::new(corners.to_vec())
    {
        set_aside.push(Region {
            outline,
            leave_out: Vec::new(),
        });
    }
    let found = find_patch(picture, planned, &set_aside).ok_or_else(|| {
        boxed([InPhoto {
            file: args.photo.display().to_string(),
            argument: None,
            cause: NoPatch::NotFound,
        }])
    })?;
    Ok((found.region, found.doubtful))
}

fn entry(args: &PatchArgs, date: &str, report: &PatchReport, shelf: &Shelf) -> AsBuilt {
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
    }
}

fn rounded(colour: LabD65) -> LabD65 {
    let to = |v: f64| (v * 100.0).round() / 100.0 + 0.0;
    LabD65::new(to(colour.l), to(colour.a), to(colour.b))
}

fn text(
    report: &PatchReport,
    shelf: &Shelf,
    warnings: &[String],
    doubtful: Option<&Region>,
) -> String {
    let name = |at: usize| plain(&shelf.stocks()[at].name);
    let pot: Vec<String> = report
        .parts
        .iter()
        .map(|(at, p)| format!("{p} {}", name(*at)))
        .collect();
    let mut text = format!(
        "{}, {}: {}\n",
        plain(&report.surface),
        report.tone,
        pot.join(" + ")
    );
    for (colour, what) in [
        (report.planned, "planned"),
        (report.predicted, "predicted"),
        (report.seen.colour, "dried, as photographed"),
    ] {
        let _ = writeln!(
            text,
            "{}  {}  {what}",
            swatch(colour.to_srgb8(), 8),
            lab_text(colour)
        );
    }
    for warning in warnings {
        let _ = writeln!(text, "note: {}", plain(warning));
    }
    if let Some(region) = doubtful {
        let [l, t, r, b] = region.outline.bounds();
        let _ = writeln!(
            text,
            "note: another part of the photo is nearly as likely to be the patch; read was {l:.2},{t:.2},{r:.2},{b:.2}: if that is wrong, give --region"
        );
    }
    if report.seen.spread.0 > UNEVEN {
        let _ = writeln!(
            text,
            "note: the patch is uneven (ΔE00 {:.0} within it): brush it out flat, and two coats",
            report.seen.spread.0
        );
    }
    if report.seen.glare > 0.03 || report.seen.clipped > 0.01 {
        text.push_str("note: it shines or is blown out in places, which were left out: photograph it from the side\n");
    }
    let _ = writeln!(
        text,
        "{} (ΔE00 {:.1} ± {:.0})",
        report.direction.as_ref().map_or_else(
            || "It hardly differs from the plan".to_owned(),
            |words| format!("It is {words} than planned")
        ),
        report.difference.0,
        report.uncertainty.0
    );
    let _ = writeln!(text, "{}", report.verdict.advice());
    if let Some(addition) = &report.addition {
        let paints: Vec<String> = addition
            .paints
            .iter()
            .map(|(at, p)| format!("{p} {}", name(*at)))
            .collect();
        let _ = writeln!(
            text,
            "{}  {}  {} to every {} parts in the pot: {} (then ΔE00 {:.1} on paper)",
            swatch(addition.colour.to_srgb8(), 8),
            lab_text(addition.colour),
            if report.verdict == Verdict::WithinThePhoto {
                "what it would take:"
            } else {
                "add"
            },
            addition.per_parts,
            paints.join(" + "),
            addition.difference.0,
        );
    }
    text
}

fn offered_text(offered: &[OfferedChange], args: &PatchArgs, text: &mut String) {
    for change in offered {
        let _ = writeln!(
            text,
            "offered: {} tints {} than the list says; by {} patches its strength is {:.2}, now {:.2}",
            plain(&change.paint),
            if change.to > change.from {
                "stronger"
            } else {
                "weaker"
            },
            change.patches,
            change.to,
            change.from,
        );
    }
    if !offered.is_empty() && args.write_list.is_none() {
        text.push_str(
            "the list stays as it is; --write-list NEW.csv writes a copy with these strengths\n",
        );
    }
}

/// Writes a copy of the list with the strengths offered.
fn write_changed(
    args: &PatchArgs,
    named: &str,
    folder: &SceneFolder,
    offered: &[OfferedChange],
    out: &Path,
) -> Result<(), Problems> {
    let place = Place::default();
    let bytes = match &args.paints {
        Some(path) => read_file(path, &place, "a paint list", MOST_TEXT),
        None => folder.read(named, &place, "a paint list", MOST_TEXT),
    }
    .map_err(|e| boxed([e]))?;
    let changes: Vec<(String, f64)> = offered.iter().map(|c| (c.paint.clone(), c.to)).collect();
    let changed = with_strengths(&bytes, &changes).map_err(|e| boxed([e]))?;
    write_file(out, &changed).map_err(|e| boxed([e]))
}
