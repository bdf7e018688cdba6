//! `paints read`: a photographed card of brushed-out paints to a paint list.

use super::card_names::{at_odds, cells_a_paint, is_own_cell, names};
use super::look::{InPhoto, corrected};
use crate::cli::args::ReadArgs;
use crate::cli::request::{
    ArgumentError, bad, corner_points, known_light, new_list, parsed_list, plain_lists,
};
use crate::cli::terminal::{Talk, answer, lab_text, plain, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::card::{Card, CardLayout, read_card};
use hillwash::files::{SceneFolder, write_file};
use hillwash::mix::Shelf;
use hillwash::paint::{ListRow, list_text};
use hillwash::photo::{Crop, KnownLight, LightReport, small_jpeg};
use hillwash::region::{Outline, Region};
use hillwash::report::{card_doubts, card_json, card_svg};
use hillwash::scene::MayName;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Paints and the strength that each one's let-down tells.
type Strengths = Vec<(String, f64)>;

/// Long side of the picture of what was seen, pixels.
const PICTURE_SIDE: u32 = 1000;
/// Most columns and rows.
const MOST_CELLS: usize = 40;

pub(crate) fn run(args: &ReadArgs, talk: Talk) -> Result<(), Problems> {
    let (columns, rows) = grid(&args.grid)?;
    let a_paint = cells_a_paint(args);
    if !columns.is_multiple_of(a_paint) {
        return Err(bad(
            "--grid",
            ArgumentError::NotByPaints { columns, a_paint },
        ));
    }
    if let Some(parts) = args.with_white.filter(|p| !(0.4..=20.0).contains(p)) {
        return Err(bad(
            "--with-white",
            ArgumentError::OutOfRange {
                found: parts.to_string(),
                expected: "parts of white to one of paint, from 0.4 to 20 (3 is best)",
            },
        ));
    }
    new_list(&args.out).map_err(|e| boxed([e]))?;
    let names = names(args, columns, rows)?;
    let known = known_light(&args.light)?;
    let limits = args.photo_limits.limits();
    let (picture, light, mut warnings) = corrected(&args.photo, &known, &limits)?;
    let layout = CardLayout {
        columns,
        rows,
        corners: args
            .corners
            .as_deref()
            .map(|text| corner_points("--corners", text))
            .transpose()?,
        light_read_in: match &known {
            KnownLight::Neutral { region, .. } => Some(region.clone()),
            KnownLight::Chart(corners) => {
                Outline::new(corners.to_vec()).ok().map(|outline| Region {
                    outline,
                    leave_out: Vec::new(),
                })
            }
            _ => None,
        },
    };
    let file = args.photo.display().to_string();
    let card = read_card(&picture, &light, &layout).map_err(|cause| {
        boxed([InPhoto {
            file: file.clone(),
            argument: None,
            cause,
        }])
    })?;
    not_beside_its_cells(&card, &names, (columns, rows))?;
    let odd = at_odds(&card, &names, (columns, rows))?;
    warnings.extend(card_doubts(&card, &names, is_own_cell));
    warnings.extend(odd);
    let rows = list_rows(args, &card, &names);
    let (list, strengths) = finished(args, rows)?;
    let seen_picture = args.picture.clone().unwrap_or_else(|| beside(&args.out));
    let small = small_jpeg(&picture, Crop::WHOLE, PICTURE_SIDE);
    let drawn = small
        .map(|small| card_svg(&file_name(&args.photo), &small, &card, &names))
        .transpose()
        .map_err(|e| boxed([e]))?;
    for path in [&args.out, &seen_picture] {
        if path.symlink_metadata().is_ok() {
            return Err(boxed([hillwash::files::FileError::Occupied {
                path: path.clone(),
            }]));
        }
    }
    write_file(&args.out, &list).map_err(|e| boxed([e]))?;
    if let Some(drawn) = drawn {
        write_file(&seen_picture, drawn.as_bytes()).map_err(|e| boxed([e]))?;
    }
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

/// Refuses a card most of whose cells hold more than one colour: the grid does not lie on them.
fn not_beside_its_cells(
    card: &Card,
    names: &[Option<String>],
    (columns, rows): (usize, usize),
) -> Result<(), Problems> {
    let (varied, of) = card.across_edges(names.iter().map(Option::is_some));
    if 4 * varied > of {
        return Err(bad(
            "--grid",
            ArgumentError::AcrossCells {
                varied,
                of,
                columns,
                rows,
            },
        ));
    }
    Ok(())
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

/// "paints.csv" → "paints-seen.svg".
fn beside(out: &Path) -> PathBuf {
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

fn list_rows(args: &ReadArgs, card: &Card, names: &[Option<String>]) -> Vec<ListRow> {
    let step = cells_a_paint(args);
    let note = |cell: &hillwash::card::CardCell| {
        format!(
            "read off {}, spread {:.1}, off by about {:.0}",
            file_name(&args.photo),
            cell.reading.spread.0,
            card.uncertainty.0
        )
    };
    card.cells
        .chunks(step)
        .zip(names.chunks(step))
        .filter_map(|(cells, names)| {
            let first = cells.first()?;
            let hex = |at: usize| Some(cells.get(at)?.reading.colour.to_srgb8());
            Some(ListRow {
                name: names.first()?.clone()?,
                hex: first.reading.colour.to_srgb8(),
                let_down: hex(1).zip(args.with_white),
                over_cards: if args.over_cards {
                    hex(step - 2).zip(hex(step - 1)).map(|(b, w)| [b, w])
                } else {
                    None
                },
                strength: None,
                note: note(first),
            })
        })
        .collect()
}

/// The list as text, checked by reading it again; with let-downs the strengths they tell are filled in.
fn finished(args: &ReadArgs, mut rows: Vec<ListRow>) -> Result<(Vec<u8>, Strengths), Problems> {
    let written = |rows: &[ListRow]| list_text(rows).map_err(|e| boxed([e]));
    let text = written(&rows)?;
    let name = args.out.display().to_string();
    let folder = SceneFolder::holding(&args.out, MayName::AnyFolder);
    let list = parsed_list(&name, &text, &folder, plain_lists(Talk::Quiet))?;
    let mut strengths = Vec::new();
    for report in Shelf::new(&list).let_downs() {
        let strength = (report.after / report.before).clamp(0.01, 100.0);
        strengths.push((report.paint.clone(), strength));
        if let Some(row) = rows.iter_mut().find(|row| row.name == report.paint) {
            row.strength = Some(strength);
        }
    }
    Ok((written(&rows)?, strengths))
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
