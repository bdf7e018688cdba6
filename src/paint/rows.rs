//! From bytes to rows whose cells are known by our own column names.

use super::folded::fold;
use super::formula::as_meant;
use super::grid::{ListFindings, lines_of_list};
use super::header::{Head, Heading, head_of, nearest_column, unit};
use super::line::{LONGEST_CELL, MOST_ROWS, TableLine};
use super::list_error::ListError;
use super::list_note::ListNote;
use super::values::{Decimals, HeaderUnit, decimals_of, says_nothing};
use super::words::{Column, Holds, YES_NO, meaning};
use crate::problem::Place;

/// One row: its line and its cells; empty cells are absent.
#[derive(Debug, Clone)]
pub(super) struct TableRow {
    pub(super) place: Place,
    cells: Vec<RowCell>,
    /// Cells of columns that are not ours, by the order of [`ListTable::unused`].
    pub(super) others: Vec<String>,
}

#[derive(Debug, Clone)]
struct RowCell {
    column: &'static str,
    written: String,
    unit: Option<HeaderUnit>,
    text: String,
}

impl TableRow {
    fn cell_in(&self, column: &str) -> Option<&RowCell> {
        self.cells.iter().find(|cell| cell.column == column)
    }

    pub(super) fn cell(&self, column: &str) -> Option<&str> {
        self.cell_in(column).map(|cell| cell.text.as_str())
    }

    /// The unit that its header states.
    pub(super) fn unit(&self, column: &str) -> Option<HeaderUnit> {
        self.cell_in(column).and_then(|cell| cell.unit)
    }

    /// The header as the user wrote it.
    pub(super) fn header<'a>(&'a self, column: &'a str) -> &'a str {
        self.cell_in(column).map_or(column, |cell| &cell.written)
    }
}

/// A table read.
#[derive(Debug, Default)]
pub(super) struct ListTable {
    pub(super) rows: Vec<TableRow>,
    /// Headers of columns that are not ours.
    pub(super) unused: Vec<String>,
    pub(super) decimals: Decimals,
    /// The words above the header that name the light or the observer.
    pub(super) light: String,
}

/// The words above a header that name an illuminant or an observer: "D50", "10".
fn light_above(lines: &[TableLine]) -> String {
    let cells = lines.iter().flat_map(|line| &line.cells);
    let told = cells.map(|cell| fold(cell)).filter(|cell| {
        let mut words = cell.split(' ');
        words.any(|w| matches!(w, "d50" | "d65" | "observer" | "beobachter" | "illuminant"))
    });
    told.collect::<Vec<_>>().join(" ")
}

/// Reads a table; `file` is its name for messages. It collects all faults that can be found at this level.
pub(super) fn read_rows(
    file: &str,
    bytes: &[u8],
    what: &'static str,
    columns: &'static [Column],
    found: &mut ListFindings,
) -> ListTable {
    let lines = lines_of_list(file, bytes, columns, found);
    let here = Place::file(file);
    if let Some(fault) = too_long(&here, &lines) {
        found.faults.push(fault);
        return ListTable::default();
    }
    let head = head_of(&lines, columns);
    let body = match head.at {
        Some(at) => &lines[(at + 1).min(lines.len())..],
        None => &lines[..],
    };
    if body.is_empty() {
        if found.faults.is_empty() {
            found.faults.push(ListError::Empty { place: here, what });
        }
        return ListTable::default();
    }
    match head.at {
        Some(at) => tell_header(&here, &lines[at], &head.headings, columns, found),
        None => found.notes.push(no_header(&head.headings)),
    }
    let light = light_above(&lines[..head.at.unwrap_or(0)]);
    if let Some(at) = head.at.filter(|at| *at > 0) {
        found.notes.push(ListNote::Above {
            header: lines[at].number,
            used: head.in_two_lines || !light.is_empty(),
        });
    }
    found.faults.extend(too_many_rows(&here, body));
    let decimals = decimals_of_columns(&head.headings, body);
    let header = head.at.map(|at| &lines[at]);
    let (head, body) = with_units_below(head, body);
    let (passed, body) = body
        .iter()
        .take(MOST_ROWS)
        .partition::<Vec<&TableLine>, _>(|line| no_paint(line, header, &head.headings));
    if !passed.is_empty() {
        found.notes.push(passed_over(&passed));
    }
    if body.is_empty() && found.faults.is_empty() {
        found.faults.push(ListError::Empty {
            place: here.clone(),
            what,
        });
    }
    let rows = body
        .into_iter()
        .filter_map(|line| row(&here, line, &head.headings, &mut found.faults))
        .collect();
    let unused = head.headings.iter().filter(|h| h.taken.is_none());
    ListTable {
        rows,
        unused: unused.map(|h| h.written.clone()).collect(),
        decimals,
        light,
    }
}

/// The first row beyond those that are read.
fn too_many_rows(here: &Place, body: &[TableLine]) -> Option<ListError> {
    let beyond = body.get(MOST_ROWS)?;
    Some(ListError::TooManyRows {
        place: here.clone().at_line(beyond.number),
        limit: MOST_ROWS,
    })
}

/// The first line with a cell longer than any that a list needs.
fn too_long(here: &Place, lines: &[TableLine]) -> Option<ListError> {
    let is_long = |cell: &String| cell.len() > LONGEST_CELL && cell.chars().count() > LONGEST_CELL;
    let line = lines.iter().find(|line| line.cells.iter().any(is_long))?;
    Some(ListError::OutOfRange {
        place: here.clone().at_line(line.number),
        found: format!("a cell of more than {LONGEST_CELL} characters"),
        expected: "cells of 4000 characters at most",
    })
}

/// How the numbers of a list are written, by all cells of those columns that hold numbers.
fn decimals_of_columns(headings: &[Heading], body: &[TableLine]) -> Decimals {
    let numbers = headings
        .iter()
        .enumerate()
        .filter(|(_, h)| h.taken.is_some_and(|c| matches!(c.holds, Holds::Number(_))));
    decimals_of(numbers.flat_map(|(at, _)| {
        body.iter()
            .filter_map(move |line| line.cells.get(at))
            .map(String::as_str)
    }))
}

/// Tells the lines that name no paint, each by its first filled cell.
fn passed_over(lines: &[&TableLine]) -> ListNote {
    let first_cell = |line: &TableLine| line.cells.iter().find(|c| !c.is_empty()).cloned();
    ListNote::PassedOver {
        lines: lines
            .iter()
            .map(|line| (line.number, first_cell(line).unwrap_or_default()))
            .collect(),
    }
}

/// Takes a line of units below the header into their columns.
fn with_units_below(mut head: Head, body: &[TableLine]) -> (Head, &[TableLine]) {
    let Some((first, rest)) = body.split_first().filter(|_| head.at.is_some()) else {
        return (head, body);
    };
    let brackets = ['(', ')', '[', ']', ' '];
    let unit_of = |at: usize, cell: &str| {
        let measure = match head.headings.get(at)?.taken?.holds {
            Holds::Number(measure) => Some(measure),
            _ => None,
        };
        unit(cell.trim_matches(brackets), measure?)
    };
    let filled: Vec<(usize, &String)> = (0..)
        .zip(&first.cells)
        .filter(|(_, cell)| !cell.trim_matches(brackets).is_empty())
        .collect();
    let is_name = |at: usize| {
        let taken = head.headings.get(at).and_then(|h| h.taken);
        taken.is_some_and(|c| matches!(c.holds, Holds::Name))
    };
    let units: Vec<_> = filled
        .iter()
        .filter_map(|(at, cell)| Some((*at, unit_of(*at, cell)?)))
        .collect();
    let bracketed = |cell: &str| cell.starts_with(['(', '[']) && cell.ends_with([')', ']']);
    let all_units = filled
        .iter()
        .all(|(at, cell)| bracketed(cell) || unit_of(*at, cell).is_some());
    if units.is_empty() || !all_units || filled.iter().any(|(at, _)| is_name(*at)) {
        return (head, body);
    }
    for (at, unit) in units {
        head.headings[at].unit = Some(unit);
    }
    (head, rest)
}

/// A line that names no paint, whatever the list: a heading or a footnote in one cell, a line of units, the header once
/// more, a total.
fn no_paint(line: &TableLine, header: Option<&TableLine>, headings: &[Heading]) -> bool {
    const TOTALS: [&str; 22] = [
        "average",
        "count",
        "grand total",
        "total general",
        "sous total",
        "moyenne",
        "durchschnitt",
        "mittelwert",
        "anzahl",
        "zwischensumme",
        "total",
        "totals",
        "sum",
        "summe",
        "gesamt",
        "somme",
        "suma",
        "totale",
        "totaal",
        "razem",
        "celkem",
        "subtotal",
    ];
    let filled: Vec<&String> = line.cells.iter().filter(|c| !c.is_empty()).collect();
    let used = headings.iter().filter(|h| h.taken.is_some()).count();
    let colour = headings.iter().zip(&line.cells).any(|(heading, cell)| {
        heading
            .taken
            .is_some_and(|c| matches!(c.holds, Holds::Colour | Holds::File))
            && !says_nothing(cell)
    });
    let again = header.is_some_and(|header| header.cells == line.cells);
    // "ochre" alone may be a paint whose colour was forgotten.
    let no_name = |cell: &str| {
        let letters = || cell.chars().filter(|c| c.is_alphabetic());
        letters().all(char::is_uppercase)
            || cell.ends_with(':')
            || cell.starts_with(|c: char| !c.is_alphabetic())
            || cell.split_whitespace().count() > 3
    };
    let heading = used > 1 && filled.len() == 1 && !colour && no_name(filled[0]);
    let units = !filled.is_empty()
        && filled
            .iter()
            .all(|c| c.starts_with('(') && c.ends_with(')'));
    let total = !colour
        && filled
            .first()
            .is_some_and(|c| TOTALS.contains(&fold(c).as_str()));
    again || heading || units || total
}

fn row(
    here: &Place,
    line: &TableLine,
    headings: &[Heading],
    faults: &mut Vec<ListError>,
) -> Option<TableRow> {
    let place = here.clone().at_line(line.number);
    if line
        .cells
        .iter()
        .skip(headings.len())
        .any(|c| !c.is_empty())
    {
        faults.push(ListError::TooManyCells {
            place,
            found: line.cells.len(),
            expected: headings.len(),
        });
        return None;
    }
    let mut cells = Vec::new();
    let mut others = Vec::new();
    for (at, heading) in headings.iter().enumerate() {
        let text = line.cells.get(at).map_or("", String::as_str);
        match heading.taken {
            None => others.push(text.to_owned()),
            Some(column) => {
                // A column "metallic" with yes and no.
                let ticked = heading.flag.map(|flag| match meaning(text, YES_NO).word() {
                    Some("yes") => flag,
                    _ => "",
                });
                let text = as_meant(ticked.unwrap_or(text));
                let silent = match column.holds {
                    Holds::Name => text.is_empty(),
                    _ => says_nothing(text),
                };
                if !silent {
                    cells.push(RowCell {
                        column: column.name,
                        written: heading.written.clone(),
                        unit: heading.unit,
                        text: text.to_owned(),
                    });
                }
            }
        }
    }
    Some(TableRow {
        place,
        cells,
        others,
    })
}

fn no_header(headings: &[Heading]) -> ListNote {
    let at = |used: bool| {
        (1..)
            .zip(headings)
            .filter(move |(_, h)| h.taken.is_some() == used)
    };
    ListNote::NoHeader {
        taken: at(true)
            .filter_map(|(at, h)| Some((at, h.taken?.name)))
            .collect(),
        unused: at(false).map(|(at, _)| at).collect(),
    }
}

/// Headings that say the same as one before them.
fn columns_twice(place: &Place, headings: &[Heading]) -> Vec<ListError> {
    let same = |one: &Heading, other: &Heading| {
        fold(&one.written) == fold(&other.written)
            && one.taken.map(|c| c.name) == other.taken.map(|c| c.name)
    };
    let is_second = |(at, heading): &(usize, &Heading)| {
        heading.taken.is_some() && headings[..*at].iter().any(|other| same(other, heading))
    };
    let second = headings.iter().enumerate().filter(is_second);
    second
        .map(|(_, heading)| ListError::ColumnTwice {
            place: place.clone(),
            found: heading.written.clone(),
        })
        .collect()
}

/// Says how the header was understood, and what is wrong with it.
fn tell_header(
    here: &Place,
    header: &TableLine,
    headings: &[Heading],
    columns: &'static [Column],
    found: &mut ListFindings,
) {
    let ListFindings { notes, faults } = found;
    let place = here.clone().at_line(header.number);
    faults.extend(columns_twice(&place, headings));
    let known = |name: &str| {
        headings
            .iter()
            .any(|h| h.taken.is_some_and(|c| c.name == name))
    };
    let left = || {
        headings
            .iter()
            .filter(|h| h.taken.is_none() && !h.written.is_empty())
    };
    let unused: Vec<String> = left().map(|h| h.written.clone()).collect();
    for (missing, wanted) in [
        ("name", known("name")),
        (
            "hex",
            ["hex", "lab_l", "spectrum", "red"].into_iter().any(known),
        ),
    ] {
        if !wanted {
            faults.push(ListError::MissingColumn {
                place: place.clone(),
                missing,
                found: header
                    .cells
                    .iter()
                    .filter(|c| !c.is_empty())
                    .cloned()
                    .collect(),
                nearest: unused
                    .iter()
                    .find(|c| nearest_column(c, columns).as_deref() == Some(missing))
                    .cloned(),
            });
        }
    }
    let taken: Vec<(String, &'static str)> = headings
        .iter()
        .filter_map(|h| h.taken.map(|c| (h.written.clone(), c.name)))
        .filter(|(written, own)| written.trim().to_lowercase() != *own)
        .collect();
    if !taken.is_empty() {
        notes.push(ListNote::Columns { taken });
    }
    if !unused.is_empty() {
        notes.push(ListNote::Unused { columns: unused });
    }
    for heading in left() {
        if let Some((own, cell)) = &heading.doubted {
            notes.push(ListNote::NotBorneOut {
                column: heading.written.clone(),
                own,
                cell: cell.clone(),
            });
        }
    }
}

/// Where a column is missing, rows without a colour or a name are its echo: one fault is enough.
pub(super) fn without_echoes(faults: &mut Vec<ListError>) {
    if faults
        .iter()
        .any(|f| matches!(f, ListError::MissingColumn { .. }))
    {
        faults.retain(|f| !matches!(f, ListError::ColourCount { .. } | ListError::NoName { .. }));
    }
}
