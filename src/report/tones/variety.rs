//! Units that differ, bricks or boards: words, data, and the line of each mix.

use crate::colour::{LabD65, plain_word};
use crate::mix::{Closeness, falls_short};
use crate::plan::{PickedOut, Plan, SurfacePlan};
use crate::report::csv_row::CsvRow;
use crate::report::words::capitalised;
use crate::share::{ColourEntry, PartsEntry, PickEntry, PickMixEntry, VarietyEntry, rounded};
use crate::tones::TENTH;

/// How a tenth of the units differs from the body: "darker and redder".
fn turn(body: LabD65, own: LabD65) -> String {
    falls_short(body, own).unwrap_or_else(|| "a little different".to_owned())
}

/// How the units of a surface differ, in a sentence: "Bricks differ by about ΔE00 6: some darker, some redder." `None` where nothing is picked out of them.
#[must_use]
pub fn variety_text(surface: &SurfacePlan) -> Option<String> {
    let units = surface.wanted.variety.as_ref()?;
    let word = surface.picked.first()?.units;
    let body = surface.tones.first()?.wanted.moved.colour;
    let turns: Vec<String> = units
        .tenths
        .iter()
        .map(|own| format!("some {}", turn(body, own.planned)))
        .collect();
    Some(format!(
        "{} differ by about ΔE00 {:.0}: {}.",
        capitalised(word),
        units.spread.0,
        turns.join(", ")
    ))
}

/// "20 drops of pot 3 + 2 drops red oxide", or in parts where the area is unknown.
pub(in crate::report) fn pick_mix_words(picked: &PickedOut, pot: &str) -> String {
    let unit = |parts: u32| match picked.drops_a_part {
        Some(drops) => match drops * parts {
            1 => "1 drop".to_owned(),
            n => format!("{n} drops"),
        },
        None if parts == 1 => "1 part".to_owned(),
        None => format!("{parts} parts"),
    };
    let added = picked.added.iter();
    let added: Vec<String> = added
        .map(|(name, parts)| format!(" + {} {name}", unit(*parts)))
        .collect();
    format!(
        "{} {pot}{}",
        unit(picked.addition.per_parts),
        added.concat()
    )
}

/// The mix beside the name of its pot: "20 drops + 2 red oxide".
pub(in crate::report) fn short_mix_words(picked: &PickedOut) -> String {
    let drops = picked.drops_a_part.unwrap_or(1);
    let taken = picked.addition.per_parts * drops;
    let unit = if picked.drops_a_part.is_some() {
        "drops"
    } else {
        "parts"
    };
    let added = picked.added.iter();
    let added: Vec<String> = added
        .map(|(name, parts)| format!(" + {} {name}", parts * drops))
        .collect();
    format!("{taken} {unit}{}", added.concat())
}

/// The units in short: "a tenth, darker and redder".
pub(in crate::report) fn short_where(picked: &PickedOut) -> String {
    format!("a tenth, {}", turn(picked.body, picked.wanted))
}

/// The mix and what it is for: "20 drops of pot 3 + 2 drops red oxide: about a tenth of the bricks, redder".
#[must_use]
pub fn picked_text(picked: &PickedOut, plan: &Plan<'_>) -> String {
    let pot = format!("of pot {}", plan.pots[picked.pot].number);
    let off = picked.addition.difference;
    format!(
        "{}: pick out {} ({}, ΔE00 {:.1})",
        pick_mix_words(picked, &pot),
        pick_where(picked),
        Closeness::of_difference(off).words(),
        off.0
    )
}

/// "about a tenth of the bricks, darker and redder".
pub(in crate::report) fn pick_where(picked: &PickedOut) -> String {
    format!(
        "about a tenth of the {}, {}",
        picked.units,
        turn(picked.body, picked.wanted)
    )
}

/// Rows of the table: how much to take of the pot, and what to stir in.
pub(in crate::report) fn picked_rows(surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<CsvRow> {
    let rows = |picked: &PickedOut| {
        let pot = plan.pots[picked.pot].number;
        let row = CsvRow {
            surface: surface.wanted.name.clone(),
            treatment: surface.wanted.treatment.word().to_owned(),
            role: "picked out".to_owned(),
            colour_name: plain_word(picked.wanted).to_owned(),
            share: format!("{TENTH:.3}"),
            photographed: (surface.wanted.variety.as_ref())
                .and_then(|units| units.tenths.get(picked.tenth))
                .map_or_else(String::new, |tenth| {
                    tenth.photographed.to_srgb8().to_string()
                }),
            planned: picked.wanted.to_srgb8().to_string(),
            predicted: picked.addition.colour.to_srgb8().to_string(),
            de2000: format!("{:.1}", picked.addition.difference.0),
            r#where: pick_where(picked),
            ..CsvRow::default()
        };
        let of = |paint: String, parts: u32| CsvRow {
            paint,
            parts: parts.to_string(),
            paint_ml: (picked.ml_of(parts)).map_or_else(String::new, |ml| format!("{ml:.2}")),
            ..row.clone()
        };
        let taken = of(format!("pot {pot}"), picked.addition.per_parts);
        let added = picked.added.iter();
        std::iter::once(taken)
            .chain(added.map(|(name, parts)| of(name.clone(), *parts)))
            .collect::<Vec<CsvRow>>()
    };
    surface.picked.iter().flat_map(rows).collect()
}

/// The step at length.
pub(in crate::report) fn pick_text(picked: &PickedOut, pot: &str) -> String {
    format!(
        "Take some of {pot} aside and stir in: {}. Pick out {} in it, singly and by twos and threes, never in a row.",
        pick_mix_words(picked, "of it"),
        pick_where(picked)
    )
}

/// As data.
pub(in crate::report) fn variety_entry(
    surface: &SurfacePlan,
    plan: &Plan<'_>,
) -> Option<VarietyEntry> {
    let units = surface.wanted.variety.as_ref()?;
    let body = surface.tones.first()?.wanted.moved.colour;
    let mix = |picked: &PickedOut| PickMixEntry {
        pot: plan.pots[picked.pot].number,
        parts_of_pot: picked.addition.per_parts,
        paints: picked
            .added
            .iter()
            .map(|(name, parts)| PartsEntry {
                name: name.clone(),
                parts: *parts,
            })
            .collect(),
        drops_a_part: picked.drops_a_part,
        wanted: picked.wanted.into(),
        comes_to: picked.addition.colour.into(),
        difference_de: rounded(picked.addition.difference.0),
    };
    let picks = units.tenths.iter().enumerate().map(|(at, own)| PickEntry {
        share: TENTH,
        photographed: ColourEntry::from(own.photographed),
        planned: ColourEntry::from(own.planned),
        words: turn(body, own.planned),
        mix: surface
            .picked
            .iter()
            .find(|picked| picked.tenth == at)
            .map(mix),
    });
    Some(VarietyEntry {
        spread_de: rounded(units.spread.0),
        picks: picks.collect(),
    })
}
