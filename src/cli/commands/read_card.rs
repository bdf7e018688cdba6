//! `paints read`: a photographed card of brushed-out paints to a paint list.

use super::look::{InPhoto, corrected};
use crate::cli::args::ReadArgs;
use crate::cli::request::{ArgumentError, MOST_TEXT, bad, corner_points, known_light, new_list};
use crate::cli::terminal::{Talk, answer, lab_text, plain, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::brushed::{
    Beside, BrushedError, MOST_CELLS, at_odds, is_own_cell, not_beside_its_cells, with_strengths,
};
use hillwash::card::{Card, CardLayout, read_card};
use hillwash::files::{FileError, read_file, write_file};
use hillwash::paint::list_text;
use hillwash::photo::{Crop, KnownLight, LightReport, Picture, small_jpeg};
use hillwash::problem::Place;
use hillwash::region::{Outline, Region};
use hillwash::report::{card_doubts, card_json, card_svg};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Long side of the picture of what was seen, pixels.
const PICTURE_SIDE: u32 = 1000;

pub(crate) fn run(args: &ReadArgs, talk: Talk) -> Result<(), Problems> {
    let (columns, rows) = grid(&args.grid)?;
    let beside = Beside {
        with_white: args.with_white,
        over_cards: args.over_cards,
    };
    beside.fits(columns).map_err(bad_card)?;
    new_list(&args.out).map_err(|e| boxed([e]))?;
    let names = names(args, beside, columns * rows)?;
    let known = known_light(&args.light)?;
    let limits = args.photo_limits.limits();
    let (picture, light, mut warnings) = corrected(&args.photo, &known, &limits)?;
    let layout = CardLayout {
        columns,
        rows,
        corners: (args.corners.as_deref())
            .map(|text| corner_points("--corners", text))
            .transpose()?,
        light_read_in: light_read_in(&known),
    };
    let file = args.photo.display().to_string();
    let card = read_card(&picture, &light, &layout).map_err(|cause| {
        boxed([InPhoto {
            file: file.clone(),
            argument: None,
            cause,
        }])
    })?;
    not_beside_its_cells(&card, &names, (columns, rows)).map_err(bad_card)?;
    let odd = at_odds(&card, &names, (columns, rows)).map_err(bad_card)?;
    warnings.extend(card_doubts(&card, &names, is_own_cell));
    warnings.extend(odd);
    let mut rows = beside.rows(&file_name(&args.photo), &card, &names);
    let strengths = with_strengths(&args.out.display().to_string(), &mut rows).map_err(bad_card)?;
    let list = list_text(&rows).map_err(|e| boxed([e]))?;
    let seen_picture = args
        .picture
        .clone()
        .unwrap_or_else(|| picture_beside(&args.out));
    let drawn = drawing(args, &picture, &card, &names)?;
    written([
        (&args.out, Some(list.as_slice())),
        (&seen_picture, drawn.as_ref().map(String::as_bytes)),
    ])?;
    if args.json {
        return say(&answer(card_json(&file, &card, &names, &warnings)));
    }
    let told = ReadCard {
        card: &card,
        light: &light,
        names: &names,
        warnings: &warnings,
        strengths: &strengths,
    };
    let text = told.words(talk);
    say(&format!(
        "{text}written: {}\n         {} (what was seen: look at it)",
        plain(&args.out.display().to_string()),
        plain(&seen_picture.display().to_string())
    ))
}

/// The picture of what was seen.
fn drawing(
    args: &ReadArgs,
    picture: &Picture,
    card: &Card,
    names: &[Option<String>],
) -> Result<Option<String>, Problems> {
    small_jpeg(picture, Crop::WHOLE, PICTURE_SIDE)
        .map(|small| card_svg(&file_name(&args.photo), &small, card, names))
        .transpose()
        .map_err(|e| boxed([e]))
}

/// Writes new files, unless one of them is there already.
fn written(files: [(&PathBuf, Option<&[u8]>); 2]) -> Result<(), Problems> {
    for (path, _) in files {
        if path.symlink_metadata().is_ok() {
            return Err(boxed([FileError::Occupied { path: path.clone() }]));
        }
    }
    for (path, bytes) in files {
        if let Some(bytes) = bytes {
            write_file(path, bytes).map_err(|e| boxed([e]))?;
        }
    }
    Ok(())
}

/// The part of the photo that its light was read in.
fn light_read_in(known: &KnownLight) -> Option<Region> {
    let outline = match known {
        KnownLight::Neutral { region, .. } => return Some(region.clone()),
        KnownLight::Chart(corners) => Outline::new(corners.to_vec()).ok()?,
        _ => return None,
    };
    Some(Region {
        outline,
        leave_out: Vec::new(),
    })
}

/// A fault of a card, at the argument that mends it.
fn bad_card(cause: BrushedError) -> Problems {
    let argument = match cause {
        BrushedError::NoList(faults) => return boxed(faults),
        BrushedError::Unwritten(fault) => return boxed([fault]),
        BrushedError::PartsOfWhite { .. } => "--with-white",
        BrushedError::NotByPaints { .. } | BrushedError::AcrossCells { .. } => "--grid",
        BrushedError::NameCount { .. }
        | BrushedError::NamedTwice { .. }
        | BrushedError::NamesAtOdds { .. } => "--names",
    };
    bad(argument, ArgumentError::Card(cause))
}

/// The name of each cell.
fn names(args: &ReadArgs, beside: Beside, cells: usize) -> Result<Vec<Option<String>>, Problems> {
    let read = |path: &PathBuf| {
        read_file(path, &Place::default(), "a file of names", MOST_TEXT).map_err(|e| boxed([e]))
    };
    let bytes = args.names.as_ref().map(read).transpose()?;
    let text = bytes.as_deref().map(String::from_utf8_lossy);
    beside.names(text.as_deref(), cells).map_err(bad_card)
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

/// "paints.csv" → "paints-seen.svg".
fn picture_beside(out: &Path) -> PathBuf {
    let stem = out
        .file_stem()
        .map_or_else(|| "card".into(), |stem| stem.to_string_lossy());
    out.with_file_name(format!("{stem}-seen.svg"))
}

/// "4x6" as columns and rows.
fn grid(text: &str) -> Result<(usize, usize), Problems> {
    text.split_once(['x', 'X', '×'])
        .and_then(|(columns, rows)| Some((columns.trim().parse().ok()?, rows.trim().parse().ok()?)))
        .filter(|(columns, rows)| {
            (1..=MOST_CELLS).contains(columns) && (1..=MOST_CELLS).contains(rows)
        })
        .ok_or_else(|| {
            bad(
                "--grid",
                ArgumentError::NotAGrid {
                    found: text.to_owned(),
                },
            )
        })
}

/// What was read off a card.
struct ReadCard<'a> {
    card: &'a Card,
    light: &'a LightReport,
    names: &'a [Option<String>],
    warnings: &'a [String],
    strengths: &'a [(String, f64)],
}

impl ReadCard<'_> {
    fn words(&self, talk: Talk) -> String {
        let mut text = String::new();
        for (cell, name) in self.card.cells.iter().zip(self.names) {
            let Some(name) = name else { continue };
            let _ = writeln!(
                text,
                "  {}  {}  spread {:>3.1}  {}",
                swatch(cell.reading.colour.to_srgb8(), 6),
                lab_text(cell.reading.colour),
                cell.reading.spread.0,
                plain(name)
            );
        }
        for warning in self.warnings {
            let _ = writeln!(text, "note: {}", plain(warning));
        }
        for (name, strength) in self.strengths {
            let _ = writeln!(
                text,
                "strength of {}: {strength:.2} of what its colour alone lets one expect",
                plain(name)
            );
        }
        if talk == Talk::Usual {
            let _ = writeln!(
                text,
                "± {:.0} (CIEDE2000): {light}\nfill in medium and opacity: they make mixes truer",
                self.card.uncertainty.0,
                light = self.light
            );
        }
        text
    }
}
