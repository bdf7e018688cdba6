//! `trim`: the fewest paints that cover a scene.

use super::plan::{Materials, OwnLists, materials, scene};
use crate::cli::args::TrimArgs;
use crate::cli::request::{ArgumentError, bad, paint_list};
use crate::cli::terminal::{Talk, answer, plain, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::colour::LabD65;
use hillwash::files::SceneFolder;
use hillwash::mix::{EXACT_UP_TO, Shelf, Trim};
use hillwash::paint::PaintList;
use hillwash::plan::{check_dirt, plan, survey};
use hillwash::report::{TrimJson, Trimmed, trim_tones};
use std::fmt::Write;

/// A closeness that can be asked for.
pub(super) fn closeness(argument: &'static str, asked: f64) -> Result<f64, Problems> {
    if (0.1..=50.0).contains(&asked) {
        return Ok(asked);
    }
    Err(bad(
        argument,
        ArgumentError::OutOfRange {
            found: asked.to_string(),
            expected: "a difference from 0.1 to 50 (CIEDE2000; 3 is very close)",
        },
    ))
}

/// True when every tone comes within what was asked.
pub(crate) fn run(args: &TrimArgs, talk: Talk) -> Result<bool, Problems> {
    let within = closeness("--within", args.within)?;
    let limits = args.photo_limits.limits();
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
    let offered = args.from.as_deref().map(paint_list).transpose()?;
    talk.tell("working out the scene's tones");
    let seen = survey(&scene, &photos, &limits).map_err(boxed)?;
    let own = Shelf::new(&paints);
    let search = args.search.search();
    let plan = plan(&scene, seen, &paints, &own, scatter.as_ref(), lamp, &search);
    let tones = trim_tones(&plan);
    let (list, owned) = match &offered {
        None => (paints.clone(), Vec::new()),
        Some(offered) => joined(&paints, offered),
    };
    let shelf = Shelf::new(&list);
    let owned_stocks: Vec<usize> = (0..shelf.stocks().len())
        .filter(|at| owned.contains(&shelf.stocks()[*at].index))
        .collect();
    talk.tell(&format!(
        "looking for the fewest of {} paints for {} colours",
        shelf.stocks().len(),
        tones.len()
    ));
    let targets: Vec<LabD65> = tones.iter().map(|tone| tone.colour).collect();
    let trim = shelf.trimmed(&targets, within, &search, &owned_stocks);
    let trimmed = Trimmed {
        trim: &trim,
        tones: &tones,
        shelf: &shelf,
        within,
        from: offered.as_ref().map(|list| list.file.as_str()),
    };
    if args.json {
        say(&answer(TrimJson(&trimmed).value()))?;
    } else {
        say(text(&trimmed, &list, talk).trim_end())?;
    }
    Ok(trim.beyond.is_empty())
}

/// The paints of both lists, and the places of those owned; a name on both counts as owned.
fn joined(own: &PaintList, offered: &PaintList) -> (PaintList, Vec<usize>) {
    let count = own.paints().len();
    (own.joined_with(offered), (0..count).collect())
}

fn text(trimmed: &Trimmed<'_>, list: &PaintList, talk: Talk) -> String {
    let Trimmed {
        trim,
        tones,
        shelf,
        within,
        from,
    } = trimmed;
    let name = |at: usize| plain(&shelf.stocks()[at].name);
    let covered = tones.len() - trim.beyond.len();
    let mut text = match from {
        Some(from) => format!(
            "to buy from {}: {}, so that {covered} of {} pots come within ΔE00 {within}\n",
            plain(from),
            match trim.added.len() {
                0 => "nothing".to_owned(),
                1 => "1 paint".to_owned(),
                n => format!("{n} paints"),
            },
            tones.len()
        ),
        None => format!(
            "{} of {} paints bring {covered} of {} pots within ΔE00 {within}\n",
            trim.paints.len(),
            shelf.stocks().len(),
            tones.len()
        ),
    };
    let listed = if from.is_some() {
        &trim.added
    } else {
        &trim.paints
    };
    for at in listed {
        let for_what: Vec<String> = trim
            .used_for(*at)
            .into_iter()
            .map(|tone| tones[tone].name.clone())
            .collect();
        let price = list.paints()[shelf.stocks()[*at].index]
            .price
            .map_or_else(String::new, |price| format!(", {price:.2}"));
        let _ = writeln!(
            text,
            "  {} {:<24} for {}{price}",
            swatch(shelf.stocks()[*at].prepared.lab.to_srgb8(), 4),
            name(*at),
            if for_what.is_empty() {
                "nothing by itself".to_owned()
            } else {
                for_what.join("; ")
            }
        );
    }
    text.push_str(&bound_text(trim, shelf.stocks().len()));
    for at in &trim.beyond {
        let best = trim.recipes[*at].as_ref().map_or_else(
            || "nothing mixes".to_owned(),
            |recipe| format!("ΔE00 {:.1} with these", recipe.difference.0),
        );
        let _ = writeln!(
            text,
            "  beyond the whole list: {} ({}), {best}",
            tones[*at].name,
            plain(&tones[*at].surfaces)
        );
    }
    if let Some(one) = trim.one_more {
        let _ = writeln!(
            text,
            "one more would be {}: the pots then lie ΔE00 {:.1} off on average, now {:.1}",
            name(one.stock),
            one.after.0,
            one.before.0
        );
    }
    if talk == Talk::Usual {
        text.push_str(
            "this is for the pots; washes and dirt keep their own paints\ndifferences are predicted: real mixes from a list of screen colours lie about ± 5 to 8 off\n",
        );
    }
    text
}

fn bound_text(trim: &Trim, paints: usize) -> String {
    if trim.exact {
        "no smaller set does it: every mix was looked at\n".to_owned()
    } else if paints > EXACT_UP_TO {
        format!(
            "bound: at least {} by the mixes looked at; on lists longer than {EXACT_UP_TO} not every mix is\n",
            trim.at_least
        )
    } else {
        format!(
            "bound: at least {}; whether fewer than these do it was not settled\n",
            trim.at_least
        )
    }
}
