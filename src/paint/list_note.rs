//! What a reader of lists took how, and what it passed over: each gets one line; none is a fault.

use super::words::words_of_column;
use std::fmt;

/// How something in a list was taken.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum ListNote {
    /// The list is no Unicode text.
    Encoding {
        /// The first line that shows it.
        line: usize,
    },
    /// The list is a sheet of a workbook.
    Sheet {
        /// The sheet.
        name: String,
        /// How many there are.
        of: usize,
    },
    /// There is no header row.
    NoHeader {
        /// Columns that are used, from 1, and what the reader took them for.
        taken: Vec<(usize, &'static str)>,
        /// Columns that are not used.
        unused: Vec<usize>,
    },
    /// Lines above the header row.
    Above {
        /// The header's line.
        header: usize,
        /// True where a word of them was needed.
        used: bool,
    },
    /// Header words that the reader took for columns of ours.
    Columns {
        /// As written, and the column.
        taken: Vec<(String, &'static str)>,
    },
    /// Columns that are not used.
    Unused {
        /// As written.
        columns: Vec<String>,
    },
    /// A column that may be one of ours, but its cells do not fit.
    NotBorneOut {
        /// As written.
        column: String,
        /// Ours.
        own: &'static str,
        /// A cell that is not understood.
        cell: String,
    },
    /// Lines that name no paint: headings, totals, units.
    PassedOver {
        /// Each line and its first cell.
        lines: Vec<(usize, String)>,
    },
    /// The amount on hand is so small compared with the pots that it may count pots.
    PotsMeant {
        /// One such cell.
        cell: String,
        /// For how many paints.
        paints: usize,
    },
    /// Words of a cell that the reader took for one of ours.
    Word {
        /// The column.
        column: &'static str,
        /// As written.
        found: String,
        /// Ours.
        taken: &'static str,
        /// In how many rows.
        rows: usize,
    },
    /// A hex that is far from the measured colour beside it.
    FarFromMeasured {
        /// The paint.
        paint: String,
        /// Its hex.
        hex: String,
        /// The measurement on a screen.
        measured: String,
    },
    /// Another column of colours that gives another colour.
    ColoursDiffer {
        /// The paint.
        paint: String,
        /// The colour that is used.
        used: String,
        /// The other column, as written.
        column: String,
        /// Its colour.
        other: String,
    },
    /// Lightness, a* and b* that their header says are under D50.
    UnderD50,
    /// Lightness, a* and b* of the observer for 10°.
    TenDegrees,
    /// Ounces were taken for those of the United States.
    Ounces,
    /// A medium was taken for paints without one.
    MediumTaken {
        /// The medium.
        medium: &'static str,
        /// For how many paints.
        paints: usize,
    },
    /// Rows with faults that were left out, as asked.
    RowsSkipped {
        /// Each line and its first fault.
        rows: Vec<(usize, String)>,
    },
}

fn listed<T>(items: &[T], each: impl Fn(&T) -> String) -> String {
    items.iter().map(each).collect::<Vec<_>>().join(", ")
}

fn no_header(
    f: &mut fmt::Formatter<'_>,
    taken: &[(usize, &'static str)],
    unused: &[usize],
) -> fmt::Result {
    let taken = listed(taken, |(at, own)| format!("column {at} taken as {own}"));
    write!(f, "no header row: {taken}")?;
    if unused.is_empty() {
        return Ok(());
    }
    let unused = listed(unused, |at| format!("column {at}"));
    write!(
        f,
        "; not used: {unused}. To use more, write a row of headings above"
    )
}

fn not_borne_out(
    f: &mut fmt::Formatter<'_>,
    (column, own): (&str, &'static str),
    cell: &str,
) -> fmt::Result {
    let in_words = words_of_column(own).filter(|_| !cell.contains(char::is_alphabetic));
    match in_words {
        Some(words) => write!(
            f,
            "\"{column}\" is not used: its cells are marks such as \"{cell}\", and their scale is unknown; write {own} in words: {words}"
        ),
        None => write!(
            f,
            "\"{column}\" may be {own}, but it is not used, because most of its cells cannot be understood, such as \"{cell}\"; to see each fault, head it {own}"
        ),
    }
}

impl fmt::Display for ListNote {
    #[expect(
        clippy::too_many_lines,
        reason = "the words of each note, one after the other"
    )]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Encoding { line } => write!(
                f,
                "the text is not Unicode (line {line}), so it was read as Windows-1252: check that letters with accents are right"
            ),
            Self::Sheet { name, of } => {
                write!(
                    f,
                    "read sheet \"{name}\", the first of {of} with a colour column"
                )
            }
            Self::NoHeader { taken, unused } => no_header(f, taken, unused),
            Self::Above { header, used: true } => write!(
                f,
                "the header row is line {header}; of the lines above it, only column headings and the light are used"
            ),
            Self::Above { header, used: false } => write!(
                f,
                "the header row is line {header}; the lines above it are not used"
            ),
            Self::Columns { taken } => write!(
                f,
                "columns taken: {}",
                listed(taken, |(found, own)| format!("\"{found}\" as {own}"))
            ),
            Self::Unused { columns } => write!(
                f,
                "columns not used: {}",
                listed(columns, |c| format!("\"{c}\""))
            ),
            Self::NotBorneOut { column, own, cell } => not_borne_out(f, (column, own), cell),
            Self::PassedOver { lines } => {
                const SHOWN: usize = 6;
                let more = lines.len().saturating_sub(SHOWN);
                write!(
                    f,
                    "lines that name no paint, not used: {}{}",
                    listed(&lines[..lines.len().min(SHOWN)], |(line, cell)| format!("{line} (\"{cell}\")")),
                    if more > 0 { format!(" and {more} more") } else { String::new() }
                )
            }
            Self::PotsMeant { cell, paints } => write!(
                f,
                "on hand \"{cell}\" taken as millilitres ({paints} {}): if it counts pots or parts of them, head the column \"on hand (pots)\"",
                if *paints == 1 { "paint" } else { "paints" }
            ),
            Self::Word {
                column,
                found,
                taken,
                rows,
            } => write!(
                f,
                "{column} \"{found}\" taken as {taken} ({rows} {})",
                if *rows == 1 { "row" } else { "rows" }
            ),
            Self::FarFromMeasured {
                paint,
                hex,
                measured,
            } => write!(
                f,
                "{paint}: hex {hex} is far from the measured colour beside it, {measured} on a screen; the measured one is used: check that both are of this paint"
            ),
            Self::ColoursDiffer {
                paint,
                used,
                column,
                other,
            } => write!(
                f,
                "{paint}: {used} is used, \"{column}\" says {other}: check which of the two is right"
            ),
            Self::UnderD50 => f.write_str(
                "L*, a* and b* taken as under D50, as the list says, and converted to D65 (Bradford)",
            ),
            Self::TenDegrees => f.write_str(
                "L*, a* and b* of the 10° observer taken as of the 2° one: greys hardly differ, vivid colours by up to 5 \
                 (CIEDE2000); give the 2° values or the spectra if the instrument has them",
            ),
            Self::Ounces => f.write_str(
                "ounces taken as fluid ounces of the United States, 29.57 ml; the imperial one is 28.41 ml",
            ),
            Self::MediumTaken { medium, paints } => write!(
                f,
                "medium {medium} taken for {paints} {} without one, as asked",
                if *paints == 1 { "paint" } else { "paints" }
            ),
            Self::RowsSkipped { rows } => write!(
                f,
                "left out as asked: {}",
                listed(rows, |(line, fault)| format!("line {line} ({fault})"))
            ),
        }
    }
}
