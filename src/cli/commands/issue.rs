//! Handing over a plan: page and data files written, a summary told.

use crate::cli::args::PlanArgs;
use crate::cli::request::date;
use crate::cli::terminal::{Talk, answer, plain, say};
use crate::cli::{Problems, boxed};
use hillwash::files::{OutputFolder, finish_set, read_file};
use hillwash::plan::Plan;
use hillwash::problem::Place;
use hillwash::report::{
    ReportError, View, design_tokens, palette_svg, plan_file, schedule_csv, schedule_html,
};
use hillwash::share::{
    Comparison, MOST_BYTES, PlanFile, Relation, ToneCompared, compare, read_plan, surface_words,
    what_travels,
};
use serde_json::{Map, Value, json};
use std::fmt::Write;
use std::path::{Path, PathBuf};

const PAGE: &str = "schedule.html";
const DATA: &str = "plan.json";
const TABLE: &str = "schedule.csv";
const PALETTE: &str = "palette.svg";
const TOKENS: &str = "palette.tokens.json";

/// All that is written.
pub(super) const OUTPUTS: [&str; 5] = [PAGE, DATA, TABLE, PALETTE, TOKENS];

/// Another plan to hold this one against.
pub(super) struct Other {
    pub(super) plan: PlanFile,
    pub(super) relation: Relation,
}

/// The earlier plan that `--compare` names, read before the long work begins.
pub(super) fn earlier(args: &PlanArgs) -> Result<Option<Other>, Problems> {
    let Some(path) = &args.compare else {
        return Ok(None);
    };
    // What a killed run has left whole is put in place first, so that the plan read is the newest.
    if let Some(folder) = path.parent() {
        finish_set(folder, &OUTPUTS).map_err(|e| boxed([e]))?;
    }
    let plan = read_other(path)?;
    Ok(Some(Other {
        plan,
        relation: Relation::Earlier,
    }))
}

fn read_other(path: &Path) -> Result<PlanFile, Problems> {
    let bytes = read_file(
        path,
        &Place::default(),
        "a schedule.html or plan.json",
        MOST_BYTES,
    )
    .map_err(|e| boxed([e]))?;
    read_plan(&path.display().to_string(), &bytes).map_err(boxed)
}

/// Writes everything and tells what was done; `summary` gives the words about the plan itself.
pub(super) fn issue(
    plan: &Plan<'_>,
    args: &PlanArgs,
    other: Option<&Other>,
    output: &OutputFolder,
    talk: Talk,
) -> Result<(), Problems> {
    let failed = |e: ReportError| boxed([e]);
    let date = date(args.date)?;
    let mut data = plan_file(plan, &date);
    let mut view = View::new(plan, &date);
    let comparison = other.map(|other| compare(&other.plan, &data, other.relation));
    if let Some(comparison) = &comparison {
        view = view.held_against(comparison);
    }
    data.compared.clone_from(&comparison);
    if args.what_travels {
        return told_what_travels(&data, plan, args);
    }
    let page = schedule_html(&view, &data).map_err(failed)?;
    let table = schedule_csv(plan).map_err(failed)?;
    let palette = palette_svg(plan).map_err(failed)?;
    let tokens = design_tokens(plan).map_err(failed)?;
    let readable = data.to_readable_json().map_err(|e| failed(e.into()))?;
    let text = format!("{readable}\n");
    let written = output
        .write(&[
            (PAGE, page.as_bytes()),
            (DATA, text.as_bytes()),
            (TABLE, &table),
            (PALETTE, palette.as_bytes()),
            (TOKENS, tokens.as_bytes()),
        ])
        .map_err(|e| boxed([e]))?;
    if args.json {
        return say(&data.to_json().map_err(|e| failed(e.into()))?);
    }
    let mut text = String::new();
    if args.full {
        text.push_str(super::plan::summary(plan, talk).trim_start());
        text.push('\n');
    }
    text.push_str(&super::plan::in_short(plan, args.full, talk));
    if let Some(comparison) = &comparison {
        text.push_str(&told(comparison));
    }
    text.push_str(&list(&written));
    say(text.trim_end())
}

/// All words of the user's that would be handed on.
fn told_what_travels(data: &PlanFile, plan: &Plan<'_>, args: &PlanArgs) -> Result<(), Problems> {
    let all = what_travels(data).map_err(|e| boxed([ReportError::from(e)]))?;
    if args.json {
        let kinds = all
            .iter()
            .map(|one| (one.kind.to_owned(), json!(one.texts)));
        let kinds: Map<String, Value> = kinds.collect();
        return say(&answer(
            json!({ "format": "hillwash.what-travels/1", "kinds": kinds }),
        ));
    }
    let mut text =
        "What the schedule would carry of your own words; its sentences quote them:\n".to_owned();
    for one in &all {
        let _ = writeln!(text, "  {}:", one.kind);
        for word in &one.texts {
            let _ = writeln!(text, "    {}", plain(word));
        }
    }
    let pictures = plan.photos.iter().any(|photo| photo.strip.is_some());
    text.push_str(if pictures {
        "and small copies of the photos, without their place, camera and time (--no-photos leaves them out)\n"
    } else {
        "and no pictures\n"
    });
    text.push_str("Nothing was written.");
    say(&text)
}

/// Where the page is, and what lies beside it.
fn list(written: &[PathBuf]) -> String {
    let Some((page, others)) = written.split_first() else {
        return String::new();
    };
    let names: Vec<String> = others
        .iter()
        .filter_map(|path| path.file_name())
        .map(|name| plain(&name.to_string_lossy()))
        .collect();
    format!(
        "\nWritten: {}\nbeside it: {}\n",
        plain(&page.display().to_string()),
        names.join(", ")
    )
}

/// A comparison for the terminal.
fn told(comparison: &Comparison) -> String {
    let with = plain(&comparison.with.title);
    let builder = comparison.relation == Relation::AnotherBuilder;
    let mut text = if builder {
        format!("\nHow close these mixes will be to those of \"{with}\":\n")
    } else {
        format!(
            "\nWhat changed since \"{with}\", {}:\n",
            plain(&comparison.with.date)
        )
    };
    let mixed = comparison.pots.iter().filter(|pot| !pot.straight);
    for pot in mixed {
        let _ = writeln!(text, "  keep {}? {}", plain(&pot.name), plain(&pot.words()));
    }
    let before = text.len();
    for change in &comparison.settings {
        let _ = writeln!(
            text,
            "  {}: {} -> {}",
            change.what,
            plain(&change.theirs),
            plain(&change.ours)
        );
    }
    for surface in &comparison.surfaces {
        let name = plain(&surface.name);
        if builder {
            let words =
                surface_words(surface).unwrap_or_else(|| "no tone has two mixes".to_owned());
            let _ = writeln!(text, "  {name}: {words}");
            continue;
        }
        for tone in &surface.tones {
            if let Some(words) = changed(tone) {
                let _ = writeln!(text, "  {name}, {}: {words}", plain(&tone.name));
            }
        }
    }
    for (names, what) in [
        (&comparison.only_theirs, "gone"),
        (&comparison.only_ours, "new"),
    ] {
        for name in names {
            let _ = writeln!(text, "  {}: {what}", plain(name));
        }
    }
    if text.len() == before {
        text.push_str("  nothing that a brush would notice\n");
    }
    text
}

/// What became of a tone of an earlier plan; `None` when it stayed.
fn changed(tone: &ToneCompared) -> Option<String> {
    let words = |mix: &Option<hillwash::share::MixEntry>| {
        mix.as_ref()
            .map_or_else(|| "no mix".to_owned(), |mix| plain(&mix.words()))
    };
    match (&tone.planned_theirs, &tone.planned_ours) {
        (Some(then), None) => return Some(format!("{} is gone", then.hex)),
        (None, Some(now)) => return Some(format!("{} is new", now.hex)),
        _ => {}
    }
    let (then, now) = (words(&tone.mix_theirs), words(&tone.mix_ours));
    let moved = tone.planned_de.filter(|moved| *moved >= 0.05);
    let mut told = Vec::new();
    told.extend(moved.map(|moved| format!("planned colour moved by ΔE00 {moved:.1}")));
    if then != now {
        told.push(format!("{then} -> {now}"));
    }
    (!told.is_empty()).then(|| told.join("; "))
}
