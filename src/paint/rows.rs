//! Tables as spreadsheets export them: byte-order mark, `;` or tab, decimal commas, CRLF, blank lines, quoted fields.

use super::list_error::ListError;
use crate::problem::{Place, nearest_word, turning_sign};

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
/// Most columns, and most faults that are gathered of one table. Our choice.
const MOST_COLUMNS: usize = 200;
const MOST_FAULTS: usize = 200;

/// Reads a table; `file` is its name for messages. All faults that can be told at this level are gathered.
pub(super) fn read_rows(
    file: &str,
    bytes: &[u8],
    what: &'static str,
    known: &[&'static str],
    faults: &mut Vec<ListError>,
) -> Vec<Row> {
    let here = Place::file(file);
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
            let line = good.matches('\n').count() + 1;
            faults.push(ListError::NotUtf8 {
                place: here.at_line(line),
                at: error.valid_up_to(),
            });
            return Vec::new();
        }
    };
    if let Some((line, found)) = turning_sign(text) {
        faults.push(ListError::OutOfRange {
            place: here.clone().at_line(line),
            found,
            expected: "text without it: write the row again by hand",
        });
        return Vec::new();
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(divider(text))
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut header: Option<Vec<String>> = None;
    let mut rows = Vec::new();
    for record in reader.records() {
        if faults.len() >= MOST_FAULTS {
            break;
        }
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                faults.push(ListError::Unreadable {
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
            if record.len() > MOST_COLUMNS {
                faults.push(ListError::TooManyColumns {
                    place,
                    found: record.len(),
                    limit: MOST_COLUMNS,
                });
                break;
            }
            header = Some(read_header(&place, &record, known, faults));
            continue;
        };
        if rows.len() >= MOST_ROWS {
            faults.push(ListError::TooManyRows {
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
            faults.push(ListError::TooManyCells {
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
        faults.push(ListError::Empty { place: here, what });
    }
    rows
}

/// The column that was meant: the nearest by spelling, or `hex` for what others call it.
fn nearest_column(written: &str, known: &[&'static str]) -> Option<String> {
    let meant = if matches!(written, "colour" | "color" | "rgb" | "srgb") {
        "hex"
    } else {
        written
    };
    nearest_word(meant, known.iter().copied()).map(str::to_owned)
}

fn read_header(
    place: &Place,
    record: &csv::StringRecord,
    known: &[&'static str],
    faults: &mut Vec<ListError>,
) -> Vec<String> {
    let columns: Vec<String> = record.iter().map(str::to_lowercase).collect();
    for (at, column) in columns.iter().enumerate() {
        if column.is_empty() {
            continue;
        }
        if !known.contains(&column.as_str()) {
            faults.push(ListError::UnknownColumn {
                place: place.clone(),
                found: column.clone(),
                known: known.join(", "),
                nearest: nearest_column(column, known),
            });
        } else if columns[..at].contains(column) {
            faults.push(ListError::ColumnTwice {
                place: place.clone(),
                found: column.clone(),
            });
        }
    }
    if !columns.iter().any(|c| c == "name") {
        faults.push(ListError::MissingColumn {
            place: place.clone(),
            missing: "name",
        });
    }
    columns
}

/// Where a column of the header is not known, rows without a colour or a name are its echo: one fault is enough.
pub(super) fn without_echoes(faults: &mut Vec<ListError>) {
    let header = |f: &ListError| {
        matches!(
            f,
            ListError::UnknownColumn { .. } | ListError::MissingColumn { .. }
        )
    };
    if faults.iter().any(header) {
        faults.retain(|f| !matches!(f, ListError::ColourCount { .. } | ListError::NoName { .. }));
    }
}

/// The divider of the first line that holds anything: `;`, tab or `,`, whichever it has most of outside quotes.
pub(super) fn divider(text: &str) -> u8 {
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
