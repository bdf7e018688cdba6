//! `paints`: looking after a list.

use super::look::tones_of_photo;
use crate::cli::args::PaintsCommand;
use crate::cli::request::{ArgumentError, Lists, bad, lists, new_list, paint_list};
use crate::cli::terminal::{Talk, answer, lab_text, plain, say, swatch};
use crate::cli::watch::Watch;
use crate::cli::{Problems, boxed};
use hillwash::files::{ends_in, write_file};
use hillwash::mix::{Shelf, reach};
use hillwash::paint::{ListAdvice, advice, join};
use hillwash::report::{check_json, reach_html, reach_json, reach_svg};
use std::fmt::Write;
use std::path::{Path, PathBuf};

pub(crate) fn run(command: &PaintsCommand, talk: Talk) -> Result<(), Problems> {
    match command {
        PaintsCommand::Check { list, how, json } => check(list, (lists(how, talk)?, talk), *json),
        PaintsCommand::Tidy { list, out, how } => tidy(list, out, lists(how, talk)?),
        PaintsCommand::Join {
            lists: paths,
            out,
            how,
        } => joined(paths, out, lists(how, talk)?),
        PaintsCommand::Read(args) => super::read_card::run(args, talk),
        PaintsCommand::Reach {
            list,
            how,
            photo,
            out,
            json,
        } => show_reach(
            (list, lists(how, talk)?, talk),
            photo,
            out.as_deref(),
            *json,
        ),
    }
}

fn show_reach(
    (path, lists, talk): (&Path, Lists, Talk),
    photos: &[PathBuf],
    out: Option<&Path>,
    json: bool,
) -> Result<(), Problems> {
    let watch = Watch::begin(None, talk);
    watch.meter().begin("reading the list", 0);
    let list = paint_list(path, lists)?;
    let shelf = Shelf::new(&list);
    let found = reach(&shelf, Some(watch.meter()));
    drop(watch);
    let Some(found) = found else {
        say("nothing on this list mixes")?;
        return Ok(());
    };
    let mut text = format!(
        "{}: what {} paints ({}) can mix, by mixes of up to three (predicted)\n  L*   span of a*        span of b*        area\n",
        plain(&list.file),
        found.paints,
        found.family.words()
    );
    for slice in &found.slices {
        let span = |axis: usize| {
            let values = || slice.hull.iter().map(|p| p[axis]);
            format!(
                "{:>4.0} to {:>4.0}",
                values().fold(f64::INFINITY, f64::min),
                values().fold(f64::NEG_INFINITY, f64::max)
            )
        };
        let _ = if slice.hull.is_empty() {
            writeln!(text, "  {:>2.0}   nothing", slice.lightness)
        } else {
            writeln!(
                text,
                "  {:>2.0}   {}      {}      {:>5.0}",
                slice.lightness,
                span(0),
                span(1),
                slice.area
            )
        };
    }
    let mut tones = Vec::new();
    for photo in photos {
        for tone in tones_of_photo(photo)? {
            let held = if found.holds(tone) {
                "within reach"
            } else {
                "OUTSIDE"
            };
            let _ = writeln!(
                text,
                "  {}  {}  {held}  ({})",
                swatch(tone.to_srgb8(), 4),
                lab_text(tone),
                plain(&photo.display().to_string())
            );
            tones.push(tone);
        }
    }
    if let Some(out) = out {
        ends_in(out, &["html", "htm", "svg"], ".html or .svg").map_err(|e| boxed([e]))?;
        let as_picture = out
            .extension()
            .is_some_and(|end| end.eq_ignore_ascii_case("svg"));
        let drawn = if as_picture {
            reach_svg(&found, &tones)
        } else {
            reach_html(&list.file, &found, &tones)
        };
        let drawn = drawn.map_err(|e| boxed([e]))?;
        write_file(out, drawn.as_bytes()).map_err(|e| boxed([e]))?;
        let _ = writeln!(text, "written: {}", plain(&out.display().to_string()));
    }
    if json {
        return say(&answer(reach_json(&list.file, &found, &tones)));
    }
    text.truncate(text.trim_end().len());
    say(&text)?;
    Ok(())
}

/// "1 paint", "2 paints".
fn paints_in_words(count: usize) -> String {
    format!("{count} {}", if count == 1 { "paint" } else { "paints" })
}

/// Joins lists of the same paints.
fn joined(paths: &[PathBuf], out: &Path, lists: Lists) -> Result<(), Problems> {
    new_list(out).map_err(|e| boxed([e]))?;
    if let Some(twice) = (1..paths.len()).find(|at| paths[..*at].contains(&paths[*at])) {
        return Err(bad(
            "the lists",
            ArgumentError::ListTwice {
                found: paths[twice].display().to_string(),
            },
        ));
    }
    let mut all = Vec::new();
    let mut problems = Problems::new();
    for path in paths {
        match paint_list(path, lists) {
            Ok(list) => all.push(list),
            Err(more) => problems.extend(more),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let joined = join(&all).map_err(|e| boxed([e]))?;
    write_file(out, &joined.text).map_err(|e| boxed([e]))?;
    let mut text = format!(
        "written: {}, {}, {} of them in more than one list",
        plain(&out.display().to_string()),
        paints_in_words(joined.paints),
        joined.shared
    );
    for contradiction in &joined.contradictions {
        let _ = write!(text, "\n  - {}", plain(&contradiction.to_string()));
    }
    if !joined.at_home.is_empty() {
        let _ = write!(
            text,
            "\nnot copied, each list keeps its own: {}",
            plain(&joined.at_home.join(", "))
        );
    }
    say(&text)
}

/// Writes a list again in plain form.
fn tidy(path: &Path, out: &Path, lists: Lists) -> Result<(), Problems> {
    new_list(out).map_err(|e| boxed([e]))?;
    let list = paint_list(path, lists)?;
    let beside = |path: &Path| {
        path.parent()
            .map(|p| std::path::absolute(p).unwrap_or_default())
    };
    if list.names_files() && beside(path) != beside(out) {
        return Err(bad(
            "OUT",
            ArgumentError::AwayFromSpectra {
                found: out.display().to_string(),
                folder: path
                    .parent()
                    .map(|p| p.display().to_string())
                    .filter(|p| !p.is_empty()),
            },
        ));
    }
    let text = list.tidied().map_err(|e| boxed([e]))?;
    write_file(out, &text).map_err(|e| boxed([e]))?;
    say(&format!(
        "written: {}, {}",
        plain(&out.display().to_string()),
        paints_in_words(list.paints().len())
    ))
}

fn check(path: &Path, (lists, talk): (Lists, Talk), json: bool) -> Result<(), Problems> {
    let watch = Watch::begin(None, talk);
    watch.meter().begin("reading the list", 0);
    let list = paint_list(path, lists)?;
    watch.meter().begin("looking at its paints", 0);
    let shelf = Shelf::new(&list);
    let advice = advice(&list);
    drop(watch);
    if json {
        say(&answer(check_json(&list, &shelf, &advice)))?;
        return Ok(());
    }
    let mut text = format!(
        "{}: {}, no fault\n",
        plain(&list.file),
        paints_in_words(list.paints().len())
    );
    for (family, members) in shelf.families() {
        let _ = writeln!(text, "  {}: {}", family.words(), members.len());
    }
    for (paint, reason) in shelf.left_out() {
        let _ = writeln!(text, "      {}: not mixed, {reason}", plain(paint));
    }
    let (doubtful, told): (Vec<_>, Vec<_>) = shelf
        .let_downs()
        .iter()
        .partition(|report| report.doubtful.is_some());
    for report in told {
        let _ = writeln!(text, "      {}", plain(&report.to_string()));
    }
    let worth_a_look = !(advice.is_empty() && doubtful.is_empty());
    if talk == Talk::Usual || worth_a_look {
        text.push_str(if worth_a_look {
            "worth a look:\n"
        } else {
            "nothing to mend\n"
        });
    }
    // What cannot be right is told once.
    let contradicts = |name: &str| {
        advice
            .iter()
            .any(|a| matches!(a, ListAdvice::LetDownContradicts { paint, .. } if paint == name))
    };
    for line in doubtful
        .iter()
        .filter(|report| !contradicts(&report.paint))
        .map(ToString::to_string)
        .chain(advice.iter().map(ToString::to_string))
    {
        let _ = writeln!(text, "  - {}", plain(&line));
    }
    text.truncate(text.trim_end().len());
    say(&text)?;
    Ok(())
}
