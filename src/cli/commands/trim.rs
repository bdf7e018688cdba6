//! `trim`: the fewest paints that cover a scene.

use super::patch_log::patch_log;
use super::plan_text::counted;
use crate::cli::Problems;
use crate::cli::args::TrimArgs;
use crate::cli::request::{closeness, lists, paint_list};
use crate::cli::terminal::{Talk, answer, plain, say, swatch};
use crate::cli::timings::begin;
use crate::cli::watch::Watch;
use hillwash::mix::{PaintId, Shelf};
use hillwash::paint::PaintList;
use hillwash::plan::{PatchLog, Wishes, kept_apart};
use hillwash::report::{
    TrimJson, Trimmed, beyond_words, bound_words, counted_words, used_for_words,
};
use hillwash::workshop::{OwnLists, PlannedWith, Workshop};
use std::fmt::Write;

/// True if every tone comes within the limit that the user asked for.
pub(crate) fn run(args: &TrimArgs, talk: Talk) -> Result<bool, Problems> {
    let timings = begin();
    let within = closeness("--within", args.within)?;
    let own = OwnLists {
        paints: args.paints.as_deref(),
        scatter: None,
        how: lists(&args.list, talk)?,
    };
    let limits = args.photo_limits.limits();
    let workshop = Workshop::open(&args.scene, args.outside.may_name(), own, limits)?;
    let offered = args
        .from
        .as_deref()
        .map(|path| paint_list(path, own.how))
        .transpose()?;
    talk.tell("working out the scene's tones");
    timings.ended("reading files");
    let watch = Watch::begin(None, talk);
    let search = watch.search(&args.search);
    let cache = args.cache.folder();
    let sighted = workshop.sighted(cache.as_ref(), &timings, Some(watch.meter()))?;
    let log = PatchLog {
        films: patch_log(&args.scene, &workshop.folder)?.films,
        ..PatchLog::default()
    };
    let with = PlannedWith {
        cache: cache.as_ref(),
        log,
        wishes: &Wishes::from(search),
        timings: &timings,
    };
    let plan = workshop.plan(sighted, with)?;
    let (list, owned) = match &offered {
        None => (workshop.paints.clone(), Vec::new()),
        Some(offered) => joined(&workshop.paints, offered),
    };
    let shelf = Shelf::new(&list);
    let owned = stocks_of(&shelf, &owned);
    talk.tell(&format!(
        "looking for the fewest of {} paints",
        shelf.stocks().len()
    ));
    let fewest = plan.fewest_of(&shelf, within, &search, &owned);
    timings.ended("fewest paints");
    watch.end(&args.scene.display().to_string())?;
    let trimmed = Trimmed {
        fewest: &fewest,
        shelf: &shelf,
        kept_apart: &kept_apart(&plan),
        from: offered.as_ref().map(|list| list.file.as_str()),
    };
    if args.json {
        say(&answer(TrimJson(&trimmed).value()))?;
    } else {
        say(trim_text(&trimmed, &list, talk).trim_end())?;
    }
    args.time.tell(&timings);
    Ok(fewest.trim.reaches_all())
}

/// The paints of both lists, and the places of those owned; a name on both counts as owned.
fn joined(own: &PaintList, offered: &PaintList) -> (PaintList, Vec<usize>) {
    let count = own.paints().len();
    (own.joined_with(offered), (0..count).collect())
}

/// The paints on the shelf that stand at these places of the list.
fn stocks_of(shelf: &Shelf, places: &[usize]) -> Vec<PaintId> {
    let stocks = shelf.paints();
    stocks
        .filter(|at| places.contains(&shelf[*at].index))
        .collect()
}

fn trim_text(trimmed: &Trimmed<'_>, list: &PaintList, talk: Talk) -> String {
    let (fewest, shelf) = (trimmed.fewest, trimmed.shelf);
    let mut text = covered_text(trimmed);
    text.push_str(&paints_text(trimmed, list));
    let _ = writeln!(text, "counted: {}", counted_words(fewest));
    let _ = writeln!(text, "{}", bound_words(fewest, shelf.stocks().len()));
    for beyond in beyond_words(fewest) {
        let _ = writeln!(
            text,
            "  out of reach of the whole list, and kept about as near as it can come: {}",
            plain(&beyond)
        );
    }
    if let Some(one) = fewest.trim.one_more {
        let _ = writeln!(
            text,
            "one more would be {}: opaque mixes then lie ΔE00 {:.1} off on average, now {:.1}",
            plain(&shelf[one.stock].name),
            one.after.0,
            one.before.0
        );
    }
    if !trimmed.kept_apart.is_empty() {
        let _ = writeln!(
            text,
            "also needed, though not for mixing: {}",
            plain(&trimmed.kept_apart.join("; "))
        );
    }
    if talk == Talk::Usual {
        text.push_str(
            "primer, varnish and thinner are on the schedule's shopping sheet\ndifferences are predicted: real mixes from a list of screen colours are off by about ± 5 to 8\n",
        );
    }
    text
}

/// How many paints bring how much within the limit.
fn covered_text(trimmed: &Trimmed<'_>) -> String {
    let (trim, within) = (&trimmed.fewest.trim, trimmed.fewest.within);
    let (all, reached) = trimmed.fewest.reached();
    match trimmed.from {
        Some(from) => format!(
            "to buy from {}: {}, so that {reached} of {all} mixes and washes come within ΔE00 {within}\n",
            plain(from),
            match trim.added.len() {
                0 => "nothing".to_owned(),
                n => counted(n, "paint"),
            },
        ),
        None => format!(
            "{} of {} paints bring {reached} of {all} mixes and washes within ΔE00 {within}\n",
            trim.paints.len(),
            trimmed.shelf.stocks().len(),
        ),
    }
}

/// The paints, each with its uses and its price.
fn paints_text(trimmed: &Trimmed<'_>, list: &PaintList) -> String {
    let Trimmed { fewest, shelf, .. } = trimmed;
    let listed = if trimmed.from.is_some() {
        &fewest.trim.added
    } else {
        &fewest.trim.paints
    };
    let mut text = String::new();
    for at in listed {
        let price = list.paints()[shelf[*at].index]
            .price
            .map_or_else(String::new, |price| format!(", {price:.2}"));
        let _ = writeln!(
            text,
            "  {} {:<24} for {}{price}",
            swatch(shelf[*at].prepared.lab.to_srgb8(), 4),
            plain(&shelf[*at].name),
            plain(&used_for_words(fewest, *at)),
        );
    }
    text
}
