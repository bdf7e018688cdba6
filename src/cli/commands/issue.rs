//! Handing over a plan: this writes its page and data files and prints a summary.

use super::core_file::core_wanted;
use super::plan_text::{HowMuch, in_short, summary};
use crate::cli::args::PlanArgs;
use crate::cli::request::date;
use crate::cli::terminal::{Talk, answer, plain, say};
use crate::cli::{Problems, boxed};
use hillwash::files::OutputFolder;
use hillwash::plan::Plan;
use hillwash::report::ReportError;
use hillwash::share::{
    Comparison, ListedNames, PlanFile, Relation, ToneCompared, surface_words, what_travels,
};
use hillwash::work::Timings;
use hillwash::workshop::{Issue, Other};
use serde_json::{Map, Value, json};
use std::fmt::Write;
use std::path::PathBuf;

/// The earlier plan that `--compare` names, read before the long work begins.
pub(super) fn earlier(args: &PlanArgs) -> Result<Option<Other>, Problems> {
    args.compare.as_deref().map(Other::earlier).transpose()
}

/// A plan that is ready, what was asked of it, and where it goes.
#[derive(Clone, Copy)]
pub(super) struct PlanToIssue<'a> {
    pub(super) plan: &'a Plan<'a>,
    pub(super) args: &'a PlanArgs,
    /// A plan to compare it with.
    pub(super) other: Option<&'a Other>,
    pub(super) output: &'a OutputFolder,
}

/// Writes everything and tells what was done.
pub(super) fn issue(
    ready: &PlanToIssue<'_>,
    talk: Talk,
    timings: &Timings,
) -> Result<(), Problems> {
    let PlanToIssue {
        plan,
        args,
        other,
        output,
    } = *ready;
    let failed = |e: ReportError| boxed([e]);
    let issue = Issue::of_plan(plan, &date(args.date)?, other);
    if args.what_travels {
        return told_what_travels(&issue.data, plan, args);
    }
    let core = if args.with_solver {
        Some(core_wanted(&args.core)?)
    } else {
        None
    };
    timings.ended("words, figures");
    let written = issue.write(output, core.as_deref(), timings)?;
    if args.json {
        return say(&issue.data.to_json().map_err(|e| failed(e.into()))?);
    }
    let mut text = String::new();
    let mut how_much = HowMuch::InShort;
    if args.full {
        text.push_str(summary(plan, talk).trim_start());
        text.push('\n');
        how_much = HowMuch::Full;
    }
    text.push_str(&in_short(plan, how_much, talk));
    if let Some(comparison) = issue.comparison() {
        text.push_str(&comparison_text(comparison));
    }
    text.push_str(&written_words(&written));
    say(text.trim_end())
}

/// All words of the user that the schedule would carry.
fn told_what_travels(data: &PlanFile, plan: &Plan<'_>, args: &PlanArgs) -> Result<(), Problems> {
    let paints: Vec<&str> = plan
        .paints
        .paints()
        .iter()
        .map(|p| p.name.as_str())
        .collect();
    let kinds = plan
        .scatter
        .map(hillwash::paint::ScatterList::items)
        .unwrap_or_default();
    let scatter: Vec<&str> = kinds.iter().map(|kind| kind.name.as_str()).collect();
    let listed = ListedNames {
        paints: &paints,
        scatter: &scatter,
    };
    let all = what_travels(data, &listed).map_err(|e| boxed([ReportError::from(e)]))?;
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
        "Your own words that the schedule would carry; its sentences quote them:\n".to_owned();
    for one in &all {
        let _ = writeln!(text, "  {}:", one.kind);
        for word in &one.texts {
            let _ = writeln!(text, "    {}", plain(word));
        }
    }
    let pictures = plan.photos.iter().any(|photo| photo.strip.is_some());
    text.push_str(if pictures {
        "and small copies of the photos, without place, camera and time (--no-photos leaves them out)\n"
    } else {
        "and no pictures\n"
    });
    text.push_str("Nothing was written.");
    say(&text)
}

/// Where the page is, and the files beside it.
fn written_words(written: &[PathBuf]) -> String {
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
fn comparison_text(comparison: &Comparison) -> String {
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
