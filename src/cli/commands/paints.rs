//! `paints`: looking after a list.

use super::look::tones_of_photo;
use crate::cli::args::PaintsCommand;
use crate::cli::request::{ArgumentError, Lists, bad, lists, new_list, paint_list};
use crate::cli::terminal::{Talk, answer, lab_text, plain, say, swatch};
use crate::cli::watch::Watch;
use crate::cli::{Problems, boxed};
use hillwash::colour::LabD65;
use hillwash::files::{ends_in, write_file};
use hillwash::mix::{Reach, Shelf, reach};
use hillwash::paint::{ListAdvice, PaintList, advice, join};
use hillwash::report::{check_json, reach_html, reach_json, reach_svg};
use std::fmt::Write;
use std::path::{Path, PathBuf};

pub(crate) fn run(command: &PaintsCommand, talk: Talk) -> Result<(), Problems> {
    match command {
        PaintsCommand::Check { list, how, json } => {
            let checked = CheckedList::read(list, lists(how, talk)?, talk)?;
            say(&if *json {
                checked.json()
            } else {
                checked.words(talk)
            })
        }
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
        } => {
            let asked = ReachAsked {
                list,
                how: lists(how, talk)?,
                photos: photo,
                out: out.as_deref(),
            };
            if *json {
                show_reach(&asked, talk, |list, found, told| {
                    answer(reach_json(&list.file, found, &told.tones))
                })
            } else {
                show_reach(&asked, talk, |_, _, told| told.text.trim_end().to_owned())
            }
        }
    }
}

/// What was asked of what a list reaches.
struct ReachAsked<'a> {
    list: &'a Path,
    how: Lists,
    /// Photos whose tones are held against it.
    photos: &'a [PathBuf],
    /// The figure to write.
    out: Option<&'a Path>,
}

/// Tells what a list reaches; `told` says it in words or as data.
fn show_reach(
    asked: &ReachAsked<'_>,
    talk: Talk,
    told: impl FnOnce(&PaintList, &Reach, &ReachTold) -> String,
) -> Result<(), Problems> {
    let watch = Watch::begin(None, talk);
    watch.meter().begin("reading the list", 0);
    let list = paint_list(asked.list, asked.how)?;
    let shelf = Shelf::new(&list);
    let found = reach(&shelf, Some(watch.meter()));
    drop(watch);
    let Some(found) = found else {
        return say("nothing on this list mixes");
    };
    let mut shown = ReachTold {
        text: reach_text(&list, &found),
        tones: Vec::new(),
    };
    for photo in asked.photos {
        shown.add_tones(photo, &found)?;
    }
    if let Some(out) = asked.out {
        write_reach(out, &list, &found, &shown.tones)?;
        let _ = writeln!(shown.text, "written: {}", plain(&out.display().to_string()));
    }
    say(&told(&list, &found, &shown))
}

/// What is said of what a list reaches.
struct ReachTold {
    text: String,
    /// Tones of photos that were held against it.
    tones: Vec<LabD65>,
}

impl ReachTold {
    /// Holds the tones of a photo against it.
    fn add_tones(&mut self, photo: &Path, found: &Reach) -> Result<(), Problems> {
        for tone in tones_of_photo(photo)? {
            let held = if found.holds(tone) {
                "within reach"
            } else {
                "OUTSIDE"
            };
            let _ = writeln!(
                self.text,
                "  {}  {}  {held}  ({})",
                swatch(tone.to_srgb8(), 4),
                lab_text(tone),
                plain(&photo.display().to_string())
            );
            self.tones.push(tone);
        }
        Ok(())
    }
}

fn reach_text(list: &PaintList, found: &Reach) -> String {
    let mut text = format!(
        "{}: what {} paints ({}) can mix, by mixes of up to three (predicted)\n  L*   span of a*        span of b*        area\n",
        plain(&list.file),
        found.paints,
        found.family.words()
    );
    for slice in &found.slices {
        let span = |axis: usize| {
            // Adding 0 makes 0 of −0.
            let values = || slice.hull.iter().map(|p| p[axis].round() + 0.0);
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
    text
}

/// Writes the figure, as a page or as a picture by the name it is given.
fn write_reach(
    out: &Path,
    list: &PaintList,
    found: &Reach,
    tones: &[LabD65],
) -> Result<(), Problems> {
    ends_in(out, &["html", "htm", "svg"], ".html or .svg").map_err(|e| boxed([e]))?;
    let as_picture = out
        .extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("svg"));
    let drawn = if as_picture {
        reach_svg(found, tones)
    } else {
        reach_html(&list.file, found, tones)
    };
    let drawn = drawn.map_err(|e| boxed([e]))?;
    write_file(out, drawn.as_bytes()).map_err(|e| boxed([e]))
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

/// A list without a fault, and what is worth a look on it.
struct CheckedList {
    list: PaintList,
    shelf: Shelf,
    advice: Vec<ListAdvice>,
}

impl CheckedList {
    fn read(path: &Path, lists: Lists, talk: Talk) -> Result<Self, Problems> {
        let watch = Watch::begin(None, talk);
        watch.meter().begin("reading the list", 0);
        let list = paint_list(path, lists)?;
        watch.meter().begin("looking at its paints", 0);
        Ok(Self {
            shelf: Shelf::new(&list),
            advice: advice(&list),
            list,
        })
    }

    fn json(&self) -> String {
        answer(check_json(&self.list, &self.shelf, &self.advice))
    }

    fn words(&self, talk: Talk) -> String {
        let Self {
            list,
            shelf,
            advice,
        } = self;
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
        text
    }
}
