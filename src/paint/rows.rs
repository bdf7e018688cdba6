//! Tables as spreadsheets export them: byte-order mark, `;` or tab, decimal commas, CRLF, blank lines, quoted fields.

use crate::problem::{Explain, Place, nearest_word};

/// A fault of one table.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RowError {
    /// The bytes are not UTF-8.
    #[error("found bytes that are not UTF-8 text (the first at byte {at}), expected a UTF-8 table")]
    NotUtf8 {
        /// Where.
        place: Place,
        /// Offset of the first bad byte.
        at: usize,
    },
    /// No rows at all.
    #[error("found no {what}, expected a header row and at least one row below it")]
    Empty {
        /// Where.
        place: Place,
        /// What the rows would be: "paints", "scatter".
        what: &'static str,
    },
    /// A column that no list has.
    #[error("found column \"{found}\", expected one of {known}")]
    UnknownColumn {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The columns there are.
        known: String,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// A column twice.
    #[error("found column \"{found}\" twice, expected it once")]
    ColumnTwice {
        /// Where.
        place: Place,
        /// As written.
        found: String,
    },
    /// A column that must be there is not.
    #[error("found no column {missing}, expected it in the header row")]
    MissingColumn {
        /// Where.
        place: Place,
        /// The column.
        missing: &'static str,
    },
    /// More cells than the header has.
    #[error("found {found} cells, expected {expected} as in the header row")]
    TooManyCells {
        /// Where.
        place: Place,
        /// Cells in this row.
        found: usize,
        /// Cells in the header.
        expected: usize,
    },
    /// Quotes or bytes that cannot be read as a table.
    #[error(
        "found a row that cannot be read as a table ({detail}), expected cells divided by commas or semicolons"
    )]
    Unreadable {
        /// Where.
        place: Place,
        /// What the reader said.
        detail: String,
    },
    /// Too many rows.
    #[error("found more than {limit} rows, expected at most that many")]
    TooManyRows {
        /// Where.
        place: Place,
        /// The limit.
        limit: usize,
    },
}

impl Explain for RowError {
    fn place(&self) -> Place {
        match self {
            Self::NotUtf8 { place, .. }
            | Self::Empty { place, .. }
            | Self::UnknownColumn { place, .. }
            | Self::ColumnTwice { place, .. }
            | Self::MissingColumn { place, .. }
            | Self::TooManyCells { place, .. }
            | Self::Unreadable { place, .. }
            | Self::TooManyRows { place, .. } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::NotUtf8 { .. } => Some("save the table again as \"CSV UTF-8\"".to_owned()),
            Self::Empty { .. } => None,
            Self::UnknownColumn { nearest, .. } => {
                nearest.as_ref().map(|n| format!("did you mean \"{n}\"?"))
            }
            Self::ColumnTwice { .. } => Some("delete or rename one of the two".to_owned()),
            Self::MissingColumn { .. } => None,
            Self::TooManyCells { .. } => {
                Some("put a cell that holds a comma or semicolon into double quotes".to_owned())
            }
            Self::Unreadable { .. } => {
                Some("look for a double quote that is opened and not closed".to_owned())
            }
            Self::TooManyRows { .. } => Some("divide the list".to_owned()),
        }
    }
}

/// One row: its line and its cells by column name; empty cells are absent.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) place: Place,
    cells: Vec<(String, String)>,
}

impl Row {
    pub(super) fn cell(&self, column: &str) -> Option<&str> {
        self.cells
            .iter()
            .find(|(name, _)| name == column)
            .map(|(_, text)| text.as_str())
    }
}

const MOST_ROWS: usize = 10_000;

/// Reads a table; `file` is its name for messages. All faults that can be told at this level are gathered.
pub(super) fn read_rows(
    file: &str,
    bytes: &[u8],
    what: &'static str,
    known: &[&'static str],
    faults: &mut Vec<RowError>,
) -> Vec<Row> {
    let here = Place::file(file);
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let line = bytes[..error.valid_up_to()]
                .iter()
                .filter(|b| **b == b'\n')
                .count()
                + 1;
            faults.push(RowError::NotUtf8 {
                place: here.at_line(line),
                at: error.valid_up_to(),
            });
            return Vec::new();
        }
    };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(divider(text))
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut header: Option<Vec<String>> = None;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                faults.push(RowError::Unreadable {
                    place: here
                        .clone()
                        .at_line(usize::try_from(line).unwrap_or(usize::MAX)),
                    detail: error.to_string(),
                });
                continue;
            }
        };
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = record.position().map_or(1, csv::Position::line);
        let place = here
            .clone()
            .at_line(usize::try_from(line).unwrap_or(usize::MAX));
        let Some(columns) = &header else {
            header = Some(read_header(&place, &record, known, faults));
            continue;
        };
        if rows.len() >= MOST_ROWS {
            faults.push(RowError::TooManyRows {
                place,
                limit: MOST_ROWS,
            });
            break;
        }
        if record
            .iter()
            .skip(columns.len())
            .any(|cell| !cell.is_empty())
        {
            faults.push(RowError::TooManyCells {
                place,
                found: record.len(),
                expected: columns.len(),
            });
            continue;
        }
        rows.push(Row {
            place,
            cells: columns
                .iter()
                .zip(record.iter())
                .filter(|(_, cell)| !cell.is_empty())
                .map(|(column, cell)| (column.clone(), cell.to_owned()))
                .collect(),
        });
    }
    if rows.is_empty() && faults.is_empty() {
        faults.push(RowError::Empty { place: here, what });
    }
    rows
}

fn read_header(
    place: &Place,
    record: &csv::StringRecord,
    known: &[&'static str],
    faults: &mut Vec<RowError>,
) -> Vec<String> {
    let columns: Vec<String> = record.iter().map(str::to_lowercase).collect();
    for (at, column) in columns.iter().enumerate() {
        if column.is_empty() {
            continue;
        }
        if !known.contains(&column.as_str()) {
            faults.push(RowError::UnknownColumn {
                place: place.clone(),
                found: column.clone(),
                known: known.join(", "),
                nearest: nearest_word(column, known.iter().copied()).map(str::to_owned),
            });
        } else if columns[..at].contains(column) {
            faults.push(RowError::ColumnTwice {
                place: place.clone(),
                found: column.clone(),
            });
        }
    }
    if !columns.iter().any(|c| c == "name") {
        faults.push(RowError::MissingColumn {
            place: place.clone(),
            missing: "name",
        });
    }
    columns
}

/// The divider of the first line that holds anything: `;`, tab or `,`, whichever it has most of outside quotes.
fn divider(text: &str) -> u8 {
    let line = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    let mut counts = [(b';', 0_usize), (b'\t', 0), (b',', 0)];
    let mut quoted = false;
    for byte in line.bytes() {
        if byte == b'"' {
            quoted = !quoted;
        } else if !quoted
            && let Some(count) = counts.iter_mut().find(|(divider, _)| *divider == byte)
        {
            count.1 += 1;
        }
    }
    counts
        .into_iter()
        .max_by_key(|(_, count)| *count)
        .filter(|(_, count)| *count > 0)
        .map_or(b',', |(divider, _)| divider)
}
