//! Writing paint lists: a new one from what was read off a card, and an old one with strengths changed.

use super::grid::{ListFindings, divider, lines_of_list};
use super::header::head_of;
use super::list::OVER_CARDS_COLUMNS;
use super::named_table::NamedTable;
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
    /// One coat of it over a black and over a white card.
    pub over_cards: Option<[Srgb8; 2]>,
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
    table_of(rows).csv().map_err(failed)
}

/// The cells of a new list, its header first.
#[must_use]
pub fn list_cells(rows: &[ListRow]) -> Vec<Vec<String>> {
    table_of(rows).cells()
}

fn table_of(rows: &[ListRow]) -> NamedTable {
    let with_white = rows.iter().any(|row| row.let_down.is_some());
    let over_cards = rows.iter().any(|row| row.over_cards.is_some());
    let mut columns = vec!["name", "hex", "medium", "opacity"];
    if with_white || over_cards {
        columns.push("strength");
    }
    if with_white {
        columns.extend(["let_down_hex", "let_down_parts_white"]);
    }
    if over_cards {
        columns.extend(OVER_CARDS_COLUMNS);
    }
    columns.push("note");
    let mut table = NamedTable::with_columns(columns);
    for row in rows {
        table.add(row.cells());
    }
    table
}

impl ListRow {
    /// What is known of it, by the names of the columns.
    fn cells(&self) -> Vec<(&'static str, String)> {
        let mut cells = vec![
            ("name", self.name.clone()),
            ("hex", self.hex.to_string()),
            ("note", self.note.clone()),
        ];
        cells.extend(self.strength.map(|s| ("strength", format!("{s:.2}"))));
        if let Some((hex, parts)) = self.let_down {
            cells.push(("let_down_hex", hex.to_string()));
            cells.push(("let_down_parts_white", parts.to_string()));
        }
        if let Some(coats) = self.over_cards {
            cells.extend(
                OVER_CARDS_COLUMNS
                    .into_iter()
                    .zip(coats.map(|hex| hex.to_string())),
            );
        }
        cells
    }
}

/// What to change about a listed paint.
#[derive(Debug, Clone, PartialEq)]
pub struct ListChange {
    /// Its name.
    pub name: String,
    /// Its strength from then on.
    pub strength: f64,
    /// Its screen colour from then on, where that changes too.
    pub hex: Option<Srgb8>,
}

/// A list with strengths and screen colours of some paints changed, everything else as it was except for blank lines and
/// quoting.
///
/// # Errors
/// [`ListWriteError`] when the list has no column of names or cannot be read as a table.
pub fn with_changes(list: &[u8], changes: &[ListChange]) -> Result<Vec<u8>, ListWriteError> {
    let mut found = ListFindings::default();
    let mut lines = lines_of_list("the list", list, PAINT_COLUMNS, &mut found);
    if let Some(fault) = found.faults.first() {
        return Err(failed(fault));
    }
    let head = head_of(&lines, PAINT_COLUMNS);
    let place = |wanted: &str| {
        head.headings
            .iter()
            .position(|h| h.taken.is_some_and(|c| c.name == wanted))
    };
    let name = place("name").ok_or_else(|| failed("it has no column \"name\""))?;
    let hex = place("hex");
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
        let Some(change) = changes.iter().find(|c| c.name.to_lowercase() == found) else {
            continue;
        };
        if line.cells.len() <= strength {
            line.cells.resize(strength + 1, String::new());
        }
        line.cells[strength] = format!("{:.2}", change.strength);
        let cell = hex.and_then(|hex| line.cells.get_mut(hex));
        if let (Some(colour), Some(cell)) = (change.hex, cell) {
            *cell = colour.to_string();
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
    fn only_what_is_named_changes() {
        let list = "\u{feff}name;hex;note\n\"umber; raw\";#5b4b39;strong\n\nwhite;#f4f4f0\n";
        let change = |name: &str, strength: f64, hex| ListChange {
            name: name.to_owned(),
            strength,
            hex,
        };
        let changed = with_changes(list.as_bytes(), &[change("Umber; Raw", 1.5, None)]).unwrap();
        assert_eq!(
            String::from_utf8(changed).unwrap(),
            "name;hex;note;strength\n\"umber; raw\";#5b4b39;strong;1.50\nwhite;#f4f4f0\n"
        );
        let list = "name,strength,hex\na,0.5,#101010\nb,,#202020\n";
        let lighter = Some(Srgb8([0x2a, 0x20, 0x20]));
        let changed = with_changes(list.as_bytes(), &[change("b", 0.75, lighter)]).unwrap();
        assert_eq!(
            String::from_utf8(changed).unwrap(),
            "name,strength,hex\na,0.5,#101010\nb,0.75,#2a2020\n"
        );
        assert!(with_changes(b"hex\n#101010\n", &[]).is_err());
    }
}
