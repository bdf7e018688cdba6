//! `mix`: recipes for a colour, or the colour of a pot.

use super::mix_text::{drops_text, parts_text};
use super::steady;
use crate::cli::Problems;
use crate::cli::args::MixArgs;
use crate::cli::colours::colour_or_paint;
use crate::cli::request::{
    ArgumentError, STARTER_NAME, STARTER_PAINTS, bad, listed, lists, paint_list, parsed_list,
    parts, plain_lists,
};
use crate::cli::terminal::{Talk, lab_text, plain, say, swatch};
use crate::cli::timings::begin;
use crate::cli::watch::Watch;
use hillwash::colour::{DeltaE00, LabD65, Xyz, seen_in_daylight};
use hillwash::files::SceneFolder;
use hillwash::mix::{Closeness, OUT_OF_REACH, PaintId, Shelf, falls_short};
use hillwash::paint::{
    FILM_WITHIN, Ground, PaintList, Prepared, Wash, WashPot, within_in_recesses,
};
use hillwash::report::{MixJson, OverJson, TryJson};
use hillwash::scene::MayName;
use hillwash::units::Millilitres;
use hillwash::work::Timings;
use std::fmt::Write;
use std::path::Path;

pub(crate) fn run(args: &MixArgs, talk: Talk) -> Result<(), Problems> {
    let timings = begin();
    answered(args, talk, &timings)?;
    timings.ended("answer");
    args.time.tell(&timings);
    Ok(())
}

fn answered(args: &MixArgs, talk: Talk, timings: &Timings) -> Result<(), Problems> {
    let lists = lists(&args.list, talk)?;
    let list = if let Some(path) = &args.paints {
        paint_list(path, lists)?
    } else {
        talk.tell("no --paints given: mixing from the invented starter list");
        parsed_list(
            STARTER_NAME,
            STARTER_PAINTS,
            &SceneFolder::holding(Path::new(""), MayName::ItsFolder),
            plain_lists(talk),
        )?
    };
    let list = if args.on_shelf { list.on_hand() } else { list };
    let batch = args
        .batch
        .as_deref()
        .map(str::parse::<Millilitres>)
        .transpose()
        .map_err(|cause| bad("--batch", ArgumentError::Measure(cause)))?;
    timings.ended("reading files");
    let shelf = Shelf::new(&list);
    timings.ended("paints made ready");
    if let Some(text) = &args.try_parts {
        return try_pot(args, text, &list, &shelf);
    }
    if args.steady {
        return steady::run(args, &shelf, &list, batch, talk);
    }
    let target = match &args.spectrum {
        Some(path) => LabD65::from(seen_in_daylight(&steady::target(path)?)),
        None => colour_or_paint("COLOUR", args.colour.as_deref().unwrap_or_default(), &list)?,
    };
    let watch = Watch::begin(None, talk);
    let search = watch.search(&args.search);
    let recipes = shelf.kinds_of_answers(target, &search);
    timings.ended("mixes");
    let best = recipes.first().map(|(_, recipe)| (target, recipe.clone()));
    let helpful = shelf.most_helpful_beyond(best.into_iter().collect());
    drop(watch);
    timings.ended("what would help most");
    let answer = MixJson {
        target,
        recipes: &recipes,
        helpful,
        batch,
        shelf: &shelf,
        list: &list.file,
    };
    if args.json {
        say(&answer.value().to_string())
    } else {
        say(&recipes_text(&answer, &list, talk))
    }
}

/// The answer in words; `list` is the one its paints are on.
fn recipes_text(answer: &MixJson<'_>, list: &PaintList, talk: Talk) -> String {
    let MixJson {
        target,
        recipes,
        shelf,
        batch,
        ..
    } = *answer;
    let mut text = format!(
        "{}  {}  wanted\n",
        swatch(target.to_srgb8(), 8),
        lab_text(target)
    );
    for (kind, recipe) in recipes {
        let short = falls_short(target, recipe.colour)
            .map_or_else(String::new, |words| format!("; {words} than asked"));
        let _ = writeln!(
            text,
            "{}{}  {}  {}\n          {}, {} ({}): ΔE00 {:.1}, at the bench expect about {:.0}{short}",
            swatch(target.to_srgb8(), 4),
            swatch(recipe.colour.to_srgb8(), 4),
            lab_text(recipe.colour),
            parts_text(recipe, shelf, list, batch),
            kind.words(),
            Closeness::of_difference(recipe.difference).words(),
            recipe.family.words(),
            recipe.difference.0,
            recipe.expected().0,
        );
    }
    if recipes.is_empty() {
        text.push_str("nothing on this list mixes\n");
    } else if recipes
        .iter()
        .all(|(_, recipe)| recipe.difference.0 > OUT_OF_REACH)
    {
        text.push_str("this list does not reach the colour");
        if let Some(helpful) = answer.helpful {
            let _ = write!(
                text,
                "; one more paint near {}  {} would help most: to about ΔE00 {:.0}, from {:.0}",
                swatch(helpful.colour.to_srgb8(), 4),
                helpful.colour.to_srgb8(),
                helpful.after.0,
                helpful.before.0
            );
        }
        text.push('\n');
    }
    text.push_str(&lines(&answer.doubts()));
    text.push_str(&drops_text(recipes.iter().map(|(_, recipe)| recipe), batch));
    if talk == Talk::Usual && !recipes.is_empty() {
        text.push_str(
            "left half: wanted, right half: predicted; parts by volume, in the order to stir them. Stop early, and let a patch dry before you trust it\n",
        );
    }
    text.truncate(text.trim_end().len());
    text
}

/// Each as a line of its own; names come from a list.
fn lines(doubts: &[String]) -> String {
    doubts.iter().fold(String::new(), |mut text, doubt| {
        let _ = writeln!(text, "{}", plain(doubt));
        text
    })
}

/// A pot as it was typed: its paints on the shelf, and their names, each with its parts.
struct PotTyped {
    pot: Vec<(PaintId, f64)>,
    names: Vec<(String, f64)>,
}

fn pot_typed(text: &str, list: &PaintList, shelf: &Shelf) -> Result<PotTyped, Problems> {
    let mut pot: Vec<(PaintId, f64)> = Vec::new();
    let mut names: Vec<(String, f64)> = Vec::new();
    for (count, name) in parts("--try", text, |name| list.named(name).is_some())? {
        let index = listed(list, "--try", &name)?;
        let paint = &list.paints()[index];
        let Some(at) = shelf.find(|stock| stock.index == index) else {
            let reason = paint
                .mixing_family()
                .err()
                .map_or_else(String::new, |r| r.to_string());
            return Err(bad(
                "--try",
                ArgumentError::NotMixed {
                    found: paint.name.clone(),
                    reason,
                },
            ));
        };
        if let Some((other, _)) = pot
            .iter()
            .find(|(other, _)| shelf[*other].family != shelf[at].family)
        {
            return Err(bad(
                "--try",
                ArgumentError::DoNotMix {
                    one: format!("{} ({})", shelf[*other].name, shelf[*other].family.words()),
                    other: format!("{} ({})", paint.name, shelf[at].family.words()),
                },
            ));
        }
        pot.push((at, count));
        names.push((paint.name.clone(), count));
    }
    Ok(PotTyped { pot, names })
}

fn try_pot(args: &MixArgs, text: &str, list: &PaintList, shelf: &Shelf) -> Result<(), Problems> {
    let PotTyped { pot, names } = pot_typed(text, list, shelf)?;
    let tried = shelf
        .tried(&pot)
        .map_err(|e| bad("--try", ArgumentError::Mixture(e)))?;
    let over = match &args.over {
        Some(base) => Some(wash(
            args,
            base,
            list,
            shelf,
            &PotToThin {
                parts: &pot,
                uncertainty: tried.uncertainty,
            },
        )?),
        None => None,
    };
    let doubts = shelf.doubts_about(pot.iter().map(|(at, _)| *at));
    if args.json {
        let answer = TryJson {
            doubts,
            paints: &names,
            colour: tried.colour,
            uncertainty: tried.uncertainty,
            over,
            list: &list.file,
        };
        say(&answer.value().to_string())?;
        return Ok(());
    }
    let mut text = format!(
        "{}  {}  this pot, laid thick; real mix ± {:.0}",
        swatch(tried.colour.to_srgb8(), 8),
        lab_text(tried.colour),
        tried.uncertainty.0
    );
    if let Some(over) = over {
        let _ = write!(
            text,
            "\n{}  {}  the base\n{}  {}  flats under the wash, ± {:.0}\n{}  {}  recesses, ± {:.0} (pool {}: common practice, yours will differ)",
            swatch(over.base.to_srgb8(), 8),
            lab_text(over.base),
            swatch(over.flat.to_srgb8(), 8),
            lab_text(over.flat),
            over.flat_uncertainty.0,
            swatch(over.recess.to_srgb8(), 8),
            lab_text(over.recess),
            over.recess_uncertainty.0,
            args.pool,
        );
    }
    text.push('\n');
    text.push_str(&lines(&doubts));
    say(text.trim_end())?;
    Ok(())
}

/// A pot, and how far off it may be.
struct PotToThin<'a> {
    parts: &'a [(PaintId, f64)],
    uncertainty: DeltaE00,
}

/// The wash of a pot over a base.
fn wash(
    args: &MixArgs,
    base: &str,
    list: &PaintList,
    shelf: &Shelf,
    tried: &PotToThin<'_>,
) -> Result<OverJson, Problems> {
    let in_range = |argument, value: f64, low: f64, high: f64, expected| {
        if (low..=high).contains(&value) {
            Ok(value)
        } else {
            Err(bad(
                argument,
                ArgumentError::OutOfRange {
                    found: value.to_string(),
                    expected,
                },
            ))
        }
    };
    let thin = in_range(
        "--thin",
        args.thin,
        0.0,
        1000.0,
        "parts of thinner from 0 to 1000",
    )?;
    let pool = in_range(
        "--pool",
        args.pool,
        1.0,
        32.0,
        "a number from 1 to 32 (4 is usual)",
    )?;
    let base = colour_or_paint("--over", base, list)?;
    let prepared: Vec<(&Prepared, f64)> = (tried.parts.iter())
        .map(|(at, p)| (&shelf[*at].prepared, *p))
        .collect();
    let how = Wash {
        pool,
        ..Wash::thinned(thin, f64::from(args.passes))
    };
    let pot = WashPot::new(&prepared).map_err(|e| bad("--try", ArgumentError::Mixture(e)))?;
    let ground = Ground::new(Xyz::from(base));
    let (flats, recesses) = (how.thickness(), how.thickness() * pool);
    let doubt = |thickness: f64, within: f64| {
        let doubt = pot.doubt(&ground, thickness, within);
        doubt.with_pot(tried.uncertainty)
    };
    Ok(OverJson {
        base,
        flat: pot.over(&ground, flats).into(),
        recess: pot.over(&ground, recesses).into(),
        flat_uncertainty: doubt(flats, FILM_WITHIN),
        recess_uncertainty: doubt(recesses, within_in_recesses(FILM_WITHIN)),
    })
}
