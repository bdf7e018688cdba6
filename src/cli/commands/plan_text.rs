//! A plan in words for the terminal.

use crate::cli::terminal::{Talk, plain, swatch};
use hillwash::mix::Closeness;
use hillwash::plan::{Plan, Pot, SurfacePlan, TonePlan};
use hillwash::report::{
    amount_text, blend_words, grain_word, note_hint, note_text, picked_text, pots_words, shortages,
    sitting_words, stirred_words, taken_words, technique_words, variety_text, wait_words,
    work_lines,
};
use std::fmt::Write;

/// "1 photo", "6 photos".
pub(super) fn counted(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

/// The blends of all strewn zones.
fn blends_text(plan: &Plan<'_>) -> String {
    let mut text = String::new();
    for surface in &plan.surfaces {
        for zone in &surface.zones {
            let Some((strewn, blend)) = zone.blended() else {
                continue;
            };
            let name = zone.wanted.band.as_ref().map_or_else(
                || plain(&surface.wanted.name),
                |band| format!("{}, {}", plain(&surface.wanted.name), plain(&band.name)),
            );
            let _ = writeln!(
                text,
                "\nScatter for {name}: {} {} wanted, blend ΔE00 {:.1} ± {:.0}",
                swatch(strewn.wanted.to_srgb8(), 3),
                swatch(blend.judged.colour.to_srgb8(), 3),
                blend.judged.difference.0,
                strewn.uncertainty.0
            );
            for layer in &strewn.layers {
                for laid in &layer.kinds {
                    let (kind, parts) = blend.parts[laid.at];
                    let _ = writeln!(
                        text,
                        "  {:<12} {parts} {}, {}",
                        grain_word(layer.grain),
                        plain(&plan.kinds[kind].name),
                        amount_text(laid)
                    );
                }
            }
        }
    }
    text
}

/// Washes, the rock scheme and places of one surface.
fn dirt_summary(surface: &SurfacePlan, text: &mut String) {
    for wash in surface.dirt.washes() {
        for film in &wash.washes {
            let _ = writeln!(
                text,
                "  {}{}{}  {}: {}",
                swatch(wash.base.to_srgb8(), 2),
                swatch(wash.flat.to_srgb8(), 2),
                swatch(wash.recess.to_srgb8(), 2),
                technique_words(film.technique),
                plain(&blend_words(&film.blend)),
            );
        }
        let _ = writeln!(
            text,
            "          flats {} (ΔE00 {:.1}), recesses {} (ΔE00 {:.1}), real wash ± {:.0}",
            wash.flat.to_srgb8(),
            wash.flat_off.0,
            wash.recess.to_srgb8(),
            wash.recess_off.0,
            wash.washes
                .last()
                .map_or(0.0, |film| film.recess_uncertainty.0),
        );
    }
    for step in surface.dirt.rock.iter().flat_map(|rock| &rock.steps) {
        let blend = step
            .blend
            .as_ref()
            .map_or_else(|| "nothing on the list mixes".to_owned(), blend_words);
        let _ = writeln!(
            text,
            "  {} {}: {}",
            swatch(step.planned.to_srgb8(), 6),
            step.role.words(),
            plain(&blend)
        );
    }
    for place in &surface.dirt.places {
        let blend = place
            .blend()
            .map_or_else(|| "nothing on the list will do".to_owned(), blend_words);
        let _ = writeln!(
            text,
            "  {} {}, {}: {}",
            swatch(place.wanted.to_srgb8(), 6),
            plain(&place.name),
            technique_words(place.technique),
            plain(&blend)
        );
    }
}

/// Shortages that the summary always lists.
const SHORTAGES: usize = 8;
/// Doubts that the summary always lists.
const DOUBTS: usize = 3;

/// How much of what is short and doubtful is told.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum HowMuch {
    /// What matters most.
    InShort,
    /// All: the doubts stand above already.
    Full,
}

/// What stands at the end whatever else is told: the evening in a few lines, what is short, the doubts that matter.
pub(super) fn in_short(plan: &Plan<'_>, how_much: HowMuch, talk: Talk) -> String {
    let full = how_much == HowMuch::Full;
    let mut text = format!(
        "{}, {}: {}\n",
        plain(&plan.layout.title),
        plan.layout.scale,
        pots_words(plan)
    );
    for (sitting, lines) in work_lines(plan) {
        let mut colours = String::new();
        for line in &lines {
            if let Some(colour) = line.colour {
                colours.push_str(&swatch(colour.to_srgb8(), 2));
            }
        }
        let mut taken: Vec<String> = Vec::new();
        for line in &lines {
            let what = plain(line.what.trim_end_matches(", from the bottle"));
            if !taken.contains(&what) {
                taken.push(what);
            }
        }
        let wait = sitting
            .wait
            .map_or_else(String::new, |wait| format!(" (after {})", wait_words(wait)));
        let _ = writeln!(
            text,
            "  {:<23}{}{wait} {colours}",
            sitting_words(sitting),
            shortened(&taken.join(", "))
        );
    }
    let short = shortages(plan);
    let told = match short.len() {
        0 => "nothing".to_owned(),
        n if n <= SHORTAGES || full => short.join(", "),
        n => format!(
            "{} and {} more (all with --full)",
            short[..SHORTAGES].join(", "),
            n - SHORTAGES
        ),
    };
    let _ = writeln!(text, "\nShort: {}", plain(&told));
    if talk == Talk::Usual && !full && !plan.notes.is_empty() {
        text.push_str("\nWhat is uncertain, first what could change most:\n");
        for note in plan.doubts().into_iter().take(DOUBTS) {
            let _ = writeln!(text, "  - {}", plain(&note_text(note)));
        }
    }
    text
}

/// Lines of the evening longer than this are cut.
const LONGEST_LINE: usize = 90;

fn shortened(line: &str) -> String {
    if line.chars().count() <= LONGEST_LINE {
        return line.to_owned();
    }
    let short: String = line.chars().take(LONGEST_LINE - 1).collect();
    format!("{short}…")
}

/// "Pot 3: 2 Ochre + 1 White", or "Wall Grey, from the bottle".
fn pot_and_mix(pot: &Pot, plan: &Plan<'_>) -> String {
    let mix = stirred_words(pot, plan).map_or_else(String::new, |mix| format!(": {mix}"));
    plain(&format!("{}{mix}", taken_words(pot, plan)))
}

/// The whole plan in words.
pub(super) fn summary(plan: &Plan<'_>, talk: Talk) -> String {
    let mut text = String::new();
    for surface in &plan.surfaces {
        text.push_str(&surface_text(surface, plan));
    }
    text.push_str(&blends_text(plan));
    text.push_str("\nOrder of work:\n");
    for (sitting, lines) in work_lines(plan) {
        let wait = sitting
            .wait
            .map_or_else(String::new, |wait| format!(", after {}", wait_words(wait)));
        let _ = writeln!(text, "  {}{wait}", sitting_words(sitting));
        for line in lines {
            let _ = writeln!(text, "    [ ] {}", plain(&line.words()));
        }
    }
    if talk == Talk::Usual && !plan.notes.is_empty() {
        text.push_str("\nWhat is uncertain, first what could change most:\n");
        for note in plan.doubts() {
            let hint = note_hint(note).map_or_else(String::new, |hint| format!(" {hint}"));
            let _ = writeln!(text, "  - {}{}", plain(&note_text(note)), hint);
        }
    }
    text
}

/// A surface: its base, its tones, what is picked out of it, its dirt.
fn surface_text(surface: &SurfacePlan, plan: &Plan<'_>) -> String {
    let mut text = String::new();
    let area = surface
        .wanted
        .area
        .map_or_else(String::new, |a| format!(", {:.0} cm2", a.value()));
    let _ = writeln!(
        text,
        "\n{} ({}{area})",
        plain(&surface.wanted.name),
        surface.wanted.treatment.word()
    );
    if let Some(pot) = surface.clean_pot.map(|pot| &plan.pots[pot]) {
        let mix = pot_and_mix(pot, plan);
        let _ = writeln!(text, "  {} base  {}", swatch(pot.colour.to_srgb8(), 6), mix);
    }
    for tone in &surface.tones {
        text.push_str(&tone_text(tone, plan));
    }
    if let Some(variety) = variety_text(surface) {
        let _ = writeln!(text, "  {variety}");
    }
    for picked in &surface.picked {
        let (from, to) = (picked.body.to_srgb8(), picked.addition.colour.to_srgb8());
        let _ = writeln!(
            text,
            "  {}{} {to}  {}",
            swatch(from, 3),
            swatch(to, 3),
            plain(&picked_text(picked, plan))
        );
    }
    dirt_summary(surface, &mut text);
    text
}

/// A tone with its pot.
fn tone_text(tone: &TonePlan, plan: &Plan<'_>) -> String {
    let planned = tone.wanted.moved.colour.to_srgb8();
    let mut text = format!("  {}", swatch(planned, 3));
    match tone.recipes.first() {
        Some(recipe) if tone.pot.is_some() => {
            let mix = tone
                .pot
                .map_or_else(String::new, |pot| pot_and_mix(&plan.pots[pot], plan));
            let _ = writeln!(
                text,
                "{} {planned} {:>3.0} %  {mix}  ({}, ΔE00 {:.1}, expect about {:.0})",
                swatch(recipe.colour.to_srgb8(), 3),
                100.0 * tone.wanted.tone.share.value(),
                Closeness::of_difference(recipe.difference).words(),
                recipe.difference.0,
                recipe.expected().0,
            );
        }
        Some(_) => {
            let _ = writeln!(
                text,
                "    {planned} {:>3.0} %  not brushed",
                100.0 * tone.wanted.tone.share.value()
            );
        }
        None => {
            let _ = writeln!(text, "    {planned}  no mix from the list");
        }
    }
    text
}
