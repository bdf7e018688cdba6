//! Writing paint lists: a new one from what was read off a card, and an old one with strengths changed.

use super::grid::{divider, lines_of_list};
use super::header::head_of;
use super::words::PAINT_COLUMNS;
use crate::colour::Srgb8;

/// One paint of a new list.
#[derive(Debug, Clone, PartialEq)]
pub struct ListRow {
    /// Its name.
    pub name: String,
    /// Its colour.
    pub hex: Srgb8,
    /// Its let-down with white: the colour and the parts of white to one of paint.
    pub let_down: Option<(Srgb8, f64)>,
    /// Its strength, when known.
    pub strength: Option<f64>,
    /// How it was read.
    pub note: String,
}

/// Why a list could not be written.
#[derive(Debug, thiserror::Error)]
#[error("the list could not be written: {0}")]
pub struct ListWriteError(String);

impl crate::problem::Explain for ListWriteError {}

pub(super) fn failed(error: impl std::fmt::Display) -> ListWriteError {
    ListWriteError(error.to_string())
}

/// A new list as CSV.
///
/// # Errors
/// [`ListWriteError`] when the table cannot be written to memory.
pub fn list_text(rows: &[ListRow]) -> Result<Vec<u8>, ListWriteError> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let with_white = rows.iter().any(|row| row.let_down.is_some());
    let mut header = vec!["name", "hex", "medium", "opacity"];
    if with_white {
        header.extend(["strength", "let_down_hex", "let_down_parts_white"]);
    }
    header.push("note");
    table.write_record(&header).map_err(failed)?;
    for row in rows {
        let mut cells = vec![
            row.name.clone(),
            row.hex.to_string(),
            String::new(),
            String::new(),
        ];
        if with_white {
            cells.push(row.strength.map_or_else(String::new, |s| format!("{s:.2}")));
            let (hex, parts) = row.let_down.map_or_else(Default::default, |(hex, parts)| {
                (hex.to_string(), parts.to_string())
            });
            cells.extend([hex, parts]);
        }
        cells.push(row.note.clone());
        table.write_record(&cells).map_err(failed)?;
    }
    table.into_inner().map_err(failed)
}

/// A list with the strengths of some paints changed, everything else as it was but for blank lines and quoting.
///
/// # Errors
/// [`ListWriteError`] when the list has no column of names or cannot be read as a table.
pub fn with_strengths(list: &[u8], changes: &[(String, f64)]) -> Result<Vec<u8>, ListWriteError> {
    let (mut notes, mut faults) = (Vec::new(), Vec::new());
    let mut lines = lines_of_list("the list", list, PAINT_COLUMNS, (&mut notes, &mut faults));
    if let Some(fault) = faults.first() {
        return Err(failed(fault));
    }
    let head = head_of(&lines, PAINT_COLUMNS);
    let place = |wanted: &str| {
        head.headings
            .iter()
            .position(|h| h.taken.is_some_and(|c| c.name == wanted))
    };
    let name = place("name").ok_or_else(|| failed("it has no column \"name\""))?;
    let strength = place("strength").unwrap_or(head.headings.len());
    if let Some(header) = head.at.and_then(|at| lines.get_mut(at))
        && strength == head.headings.len()
    {
        header.cells.resize(strength, String::new());
        header.cells.push("strength".to_owned());
    }
    for line in lines.iter_mut().skip(head.at.map_or(0, |at| at + 1)) {
        let found = line
            .cells
            .get(name)
            .map(|cell| cell.to_lowercase())
            .unwrap_or_default();
        if let Some((_, value)) = changes.iter().find(|(n, _)| n.to_lowercase() == found) {
            if line.cells.len() <= strength {
                line.cells.resize(strength + 1, String::new());
            }
            line.cells[strength] = format!("{value:.2}");
        }
    }
    let mut table = csv::WriterBuilder::new()
        .delimiter(divider(&String::from_utf8_lossy(list)))
        .flexible(true)
        .from_writer(Vec::new());
    for line in &lines {
        table.write_record(&line.cells).map_err(failed)?;
    }
    table.into_inner().map_err(failed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_strengths_named_change() {
        let list = "\u{feff}name;hex;note\n\"umber; raw\";#5b4b39;strong\n\nwhite;#f4f4f0\n";
        let changed = with_strengths(list.as_bytes(), &[("Umber; Raw".to_owned(), 1.5)]).unwrap();
        assert_eq!(
            String::from_utf8(changed).unwrap(),
            "name;hex;note;strength\n\"umber; raw\";#5b4b39;strong;1.50\nwhite;#f4f4f0\n"
        );
        let list = "name,strength,hex\na,0.5,#101010\nb,,#202020\n";
        let changed = with_strengths(list.as_bytes(), &[("b".to_owned(), 0.75)]).unwrap();
        assert_eq!(
            String::from_utf8(changed).unwrap(),
            "name,strength,hex\na,0.5,#101010\nb,0.75,#202020\n"
        );
        assert!(with_strengths(b"hex\n#101010\n", &[]).is_err());
    }
}
