//! Workbooks (.xlsx, .ods): the first sheet that has a column of colours, as lines of cells.

use super::header::head_of;
use super::line::{MOST_ROWS, TableLine, tidied};
use super::list_error::ListError;
use super::list_note::ListNote;
use super::sheet_size::bytes_of_ods;
use super::shown::{ShownAs, as_shown, by_code, in_ods};
use super::words::Column;
use crate::problem::Place;
use calamine::{Data, DataRef, Ods, Reader, SheetVisible, Xlsx};
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Most columns that are read of a sheet.
const MOST_COLUMNS: u32 = 200;
/// Most bytes a workbook may unpack to, as it says itself.
const MOST_UNPACKED: u64 = 64 << 20;

/// Most bytes that the sheets of a workbook may take in memory.
const MOST_HELD: u64 = 256 << 20;

/// True for the bytes of a workbook, or of what looks like one.
pub(super) fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xd0\xcf\x11\xe0")
}

/// The bytes that a zip archive says it unpacks to: the sum over its central directory.
fn unpacked(bytes: &[u8]) -> u64 {
    memchr::memmem::find_iter(bytes, b"PK\x01\x02")
        .filter_map(|at| bytes.get(at + 24..at + 28))
        .map(|size| u64::from(u32::from_le_bytes([size[0], size[1], size[2], size[3]])))
        .sum()
}

/// A number as text that no country's marks make another: three digits after a point could be thousands.
fn number_text(value: f64) -> String {
    let text = format!("{value}");
    match text.split_once('.') {
        Some((_, digits)) if digits.len() == 3 => format!("{text}0"),
        _ => text,
    }
}

/// A day as 2026-11-29; a length of time as the number it is.
fn day(value: calamine::ExcelDateTime) -> String {
    if value.is_duration() {
        return value.to_string();
    }
    // A time alone: "1:3" typed into a cell.
    if (0.0..1.0).contains(&value.as_f64()) {
        let (.., hour, minute, _, _) = value.to_ymd_hms_milli();
        return format!("{hour}:{minute:02}");
    }
    let (year, month, day, ..) = value.to_ymd_hms_milli();
    format!("{year:04}-{month:02}-{day:02}")
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a list's numbers are far below 2^53"
)]
fn value_of(whole: i64) -> f64 {
    whole as f64
}

fn text_of(cell: &Data, shown: Option<&ShownAs>) -> String {
    match cell {
        Data::Int(value) => as_shown(value_of(*value), value.to_string(), shown),
        Data::Float(value) => as_shown(*value, number_text(*value), shown),
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => tidied(text),
        Data::Bool(true) => "yes".to_owned(),
        Data::Bool(false) => "no".to_owned(),
        Data::DateTime(value) => day(*value),
        Data::Error(_) | Data::Empty => String::new(),
    }
}

fn text_of_ref(cell: &DataRef<'_>, shown: Option<&ShownAs>) -> String {
    match cell {
        DataRef::Int(value) => as_shown(value_of(*value), value.to_string(), shown),
        DataRef::Float(value) => as_shown(*value, number_text(*value), shown),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            tidied(text)
        }
        DataRef::SharedString(text) => tidied(text),
        DataRef::Bool(true) => "yes".to_owned(),
        DataRef::Bool(false) => "no".to_owned(),
        DataRef::DateTime(value) => day(*value),
        DataRef::Error(_) | DataRef::Empty => String::new(),
    }
}

/// Sheets by name, each as its filled lines.
type Sheets = Vec<(String, Vec<TableLine>)>;

fn place_cell(lines: &mut Vec<TableLine>, (row, column): (u32, u32), text: String) {
    if text.is_empty() || column >= MOST_COLUMNS {
        return;
    }
    let number = row as usize + 1;
    if lines.last().is_none_or(|line| line.number != number) {
        lines.push(TableLine {
            number,
            cells: Vec::new(),
        });
    }
    if let Some(line) = lines.last_mut() {
        line.cells
            .resize(line.cells.len().max(column as usize + 1), String::new());
        line.cells[column as usize] = text;
    }
}

/// The sheets that are not hidden; all, where all are.
fn in_view<R: std::io::Read + std::io::Seek, B: Reader<R>>(book: &B) -> Vec<String> {
    let shown: Vec<String> = book
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.visible == SheetVisible::Visible)
        .map(|sheet| sheet.name.clone())
        .collect();
    if shown.is_empty() {
        book.sheet_names()
    } else {
        shown
    }
}

/// Reads cell by cell, so that a lone cell far down costs nothing.
fn xlsx(bytes: &[u8]) -> Result<Sheets, String> {
    let told = |e: &dyn std::fmt::Display| e.to_string();
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|e| told(&e))?;
    let mut all = Sheets::new();
    for name in in_view(&book) {
        let styles = book.worksheet_style(&name).unwrap_or_default();
        let shown = |at| {
            let format = styles.get(at)?.number_format.as_ref()?;
            by_code(&format.format_code)
        };
        // Sheets of charts have no cells.
        let Ok(mut cells) = book.worksheet_cells_reader(&name) else {
            continue;
        };
        let mut lines = Vec::new();
        while let Some(cell) = cells.next_cell().map_err(|e| told(&e))? {
            place_cell(
                &mut lines,
                cell.get_position(),
                text_of_ref(cell.get_value(), shown(cell.get_position()).as_ref()),
            );
            if lines.len() > MOST_ROWS + 1 {
                break;
            }
        }
        all.push((name, lines));
    }
    Ok(all)
}

fn ods(bytes: &[u8]) -> Result<Sheets, String> {
    if bytes_of_ods(bytes, MOST_HELD)? > MOST_HELD {
        return Err(format!(
            "its sheets come to more than {} MB; keep the list in a workbook of its own",
            MOST_HELD >> 20
        ));
    }
    let mut book = Ods::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let mut all = Sheets::new();
    let in_view = in_view(&book);
    let shown = in_ods(bytes, MOST_HELD);
    let sheets = book.worksheets().into_iter();
    for (name, range) in sheets.filter(|(name, _)| in_view.contains(name)) {
        let (top, left) = range.start().unwrap_or((0, 0));
        let mut lines = Vec::new();
        for (row, column, cell) in range.used_cells() {
            let at =
                |offset: u32, n: usize| offset.saturating_add(u32::try_from(n).unwrap_or(u32::MAX));
            let place = (at(top, row), at(left, column));
            let shown = shown.get(&(name.clone(), place.0, place.1));
            place_cell(&mut lines, place, text_of(cell, shown));
            if lines.len() > MOST_ROWS + 1 {
                break;
            }
        }
        all.push((name, lines));
    }
    Ok(all)
}

/// The lines of the first sheet that has a column of colours; of the first sheet where none has.
///
/// # Errors
/// [`ListError::NotText`] if it is not a workbook of a kind that the program reads.
pub(super) fn lines_of_workbook(
    file: &str,
    bytes: &[u8],
    columns: &'static [Column],
    notes: &mut Vec<ListNote>,
) -> Result<Vec<TableLine>, Box<ListError>> {
    let refused = |found: String| {
        Box::new(ListError::NotText {
            place: Place::file(file),
            found,
        })
    };
    if bytes.starts_with(b"\xd0\xcf\x11\xe0") {
        return Err(refused("a workbook of an old kind (.xls)".to_owned()));
    }
    if unpacked(bytes) > MOST_UNPACKED {
        return Err(refused(format!(
            "a workbook that unpacks to more than {} MB",
            MOST_UNPACKED >> 20
        )));
    }
    let is_ods = memchr::memmem::find(&bytes[..bytes.len().min(200)], b"opendocument").is_some();
    let sheets = catch_unwind(AssertUnwindSafe(|| {
        if is_ods { ods(bytes) } else { xlsx(bytes) }
    }))
    .unwrap_or_else(|_| Err("its reader gave up".to_owned()))
    .map_err(|detail| refused(format!("a workbook that cannot be read ({detail})")))?;
    let coloured = |lines: &[TableLine]| {
        head_of(lines, columns).headings.iter().any(|h| {
            h.taken
                .is_some_and(|c| ["hex", "lab_l", "spectrum", "red"].contains(&c.name))
        })
    };
    let of = sheets.len();
    let at = sheets
        .iter()
        .position(|(_, lines)| coloured(lines))
        .or_else(|| sheets.iter().position(|(_, lines)| !lines.is_empty()));
    let Some((name, lines)) = at.and_then(|at| sheets.into_iter().nth(at)) else {
        return Ok(Vec::new());
    };
    if of > 1 {
        notes.push(ListNote::Sheet { name, of });
    }
    Ok(lines)
}
