//! What can be wrong with a list.

use crate::colour::ColourTextError;
use crate::problem::{Explain, Place};
use crate::units::UnitError;

/// A fault of a list of paints or of scatter.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ListError {
    /// The bytes are no text.
    #[error("found {found}, expected a table: text such as CSV, or a workbook (.xlsx, .ods)")]
    NotText {
        /// Where.
        place: Place,
        /// What they are.
        found: String,
    },
    /// No rows at all.
    #[error("found no {what}, expected a header row and at least one row below it")]
    Empty {
        /// Where.
        place: Place,
        /// What the rows would be: "paints", "scatter".
        what: &'static str,
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
    #[error("found no column for {}, expected \"{missing}\" in the header row ({})", if *missing == "hex" { "the colours" } else { "the names" }, columns_found(.found))]
    MissingColumn {
        /// Where.
        place: Place,
        /// The column.
        missing: &'static str,
        /// The columns there are.
        found: Vec<String>,
        /// The one that may be meant.
        nearest: Option<String>,
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
        /// The reader's words.
        detail: String,
    },
    /// Too many columns.
    #[error("found {found} columns, expected at most {limit}")]
    TooManyColumns {
        /// Where.
        place: Place,
        /// Columns.
        found: usize,
        /// The limit.
        limit: usize,
    },
    /// Too many rows.
    #[error("found more than {limit} rows, expected at most that many")]
    TooManyRows {
        /// Where.
        place: Place,
        /// The limit.
        limit: usize,
    },
    /// No name.
    #[error("found no name, expected one for every row")]
    NoName {
        /// Where.
        place: Place,
    },
    /// A name that stands above already.
    #[error("found \"{name}\" again, expected each name once (first on line {first})")]
    NameTwice {
        /// Where.
        place: Place,
        /// The name.
        name: String,
        /// Line of the first.
        first: usize,
    },
    /// No colour, or more than one.
    #[error("found {found} for \"{name}\", expected {expected}")]
    ColourCount {
        /// Where.
        place: Place,
        /// The paint.
        name: String,
        /// "no colour" or "two colours".
        found: &'static str,
        /// The columns that would do.
        expected: &'static str,
    },
    /// A colour that cannot be read.
    #[error("{cause}")]
    BadColour {
        /// Where.
        place: Place,
        /// Why; printed here, hence no `source`.
        cause: ColourTextError,
    },
    /// A number that cannot be read.
    #[error("{cause}")]
    BadNumber {
        /// Where.
        place: Place,
        /// Why; printed here, hence no `source`.
        cause: UnitError,
    },
    /// A number that makes no sense.
    #[error("found {found}, expected {expected}")]
    OutOfRange {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The range.
        expected: &'static str,
    },
    /// A word that is not one of the few.
    #[error("found \"{found}\", expected one of {known}")]
    UnknownWord {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// The words.
        known: String,
        /// The nearest.
        nearest: Option<String>,
    },
    /// Words for several things at once.
    #[error("found \"{found}\", expected one thing: {several}")]
    SeveralWords {
        /// Where.
        place: Place,
        /// As written.
        found: String,
        /// What it could be.
        several: String,
    },
    /// Prices in more than one currency.
    #[error("found a price in {found}, expected {expected} as above")]
    SeveralCurrencies {
        /// Where.
        place: Place,
        /// This one.
        found: &'static str,
        /// The one above.
        expected: &'static str,
    },
    /// A share of a pot whose size is not known.
    #[error("found \"{found}\" of a pot, expected the size of the pot in pot_ml as well")]
    ShareOfWhat {
        /// Where.
        place: Place,
        /// As written.
        found: String,
    },
    /// A spectrum file that cannot be read.
    #[error(
        "found a spectrum that cannot be used ({detail}), expected rows of wavelength_nm,reflectance"
    )]
    BadSpectrum {
        /// Where.
        place: Place,
        /// Why.
        detail: String,
    },
    /// A row of a spectrum file that cannot be read.
    #[error("{detail}")]
    BadSpectrumRow {
        /// The spectrum file and the line.
        place: Place,
        /// What was found and expected.
        detail: String,
    },
    /// A let-down with one half missing.
    #[error("found {found} alone, expected a let-down's colour and its parts of white together")]
    HalfLetDown {
        /// Where.
        place: Place,
        /// The column that is there.
        found: &'static str,
    },
    /// A hex and three numbers of another colour.
    #[error(
        "found {hex} beside red, green and blue of {channels}, expected one colour: empty one of the two"
    )]
    ColoursDisagree {
        /// Where.
        place: Place,
        /// The one.
        hex: String,
        /// The other.
        channels: String,
    },
    /// A coat over one card only.
    #[error(
        "found a coat over one card, expected {missing} as well: only the two together show how well a paint covers"
    )]
    OneCard {
        /// The column that is there.
        place: Place,
        /// The other.
        missing: &'static str,
    },
}

impl ListError {
    /// True for a fault of one row, so that the list can be used without that row.
    pub(super) fn is_of_a_row(&self) -> bool {
        !matches!(
            self,
            Self::NotText { .. }
                | Self::Empty { .. }
                | Self::ColumnTwice { .. }
                | Self::MissingColumn { .. }
                | Self::TooManyRows { .. }
        )
    }
}

impl Explain for ListError {
    fn place(&self) -> Place {
        match self {
            Self::NotText { place, .. }
            | Self::Empty { place, .. }
            | Self::ColumnTwice { place, .. }
            | Self::MissingColumn { place, .. }
            | Self::TooManyCells { place, .. }
            | Self::Unreadable { place, .. }
            | Self::TooManyRows { place, .. }
            | Self::TooManyColumns { place, .. }
            | Self::NoName { place, .. }
            | Self::NameTwice { place, .. }
            | Self::ColourCount { place, .. }
            | Self::BadColour { place, .. }
            | Self::BadNumber { place, .. }
            | Self::OutOfRange { place, .. }
            | Self::UnknownWord { place, .. }
            | Self::SeveralWords { place, .. }
            | Self::SeveralCurrencies { place, .. }
            | Self::ShareOfWhat { place, .. }
            | Self::BadSpectrum { place, .. }
            | Self::BadSpectrumRow { place, .. }
            | Self::HalfLetDown { place, .. }
            | Self::OneCard { place, .. }
            | Self::ColoursDisagree { place, .. } => place.clone(),
        }
    }

    #[expect(
        clippy::too_many_lines,
        reason = "what mends each fault, one after the other"
    )]
    fn hint(&self) -> Option<String> {
        match self {
            Self::NotText { .. } => {
                Some("save the table again as \"CSV UTF-8\", .xlsx or .ods".to_owned())
            }
            Self::ColumnTwice { .. } => Some("delete or rename one of the two".to_owned()),
            Self::TooManyCells { .. } => {
                Some("put a cell that holds a comma or semicolon into double quotes".to_owned())
            }
            Self::Unreadable { .. } => {
                Some("look for a double quote that is opened but not closed".to_owned())
            }
            Self::TooManyRows { .. } => Some("split the list".to_owned()),
            Self::TooManyColumns { .. } => {
                Some("check that there is one divider between every two columns".to_owned())
            }
            Self::NameTwice { .. } => {
                Some("rename one, for example by its finish or its number".to_owned())
            }
            Self::ColourCount { .. } => {
                Some("the hex of a photographed swatch, such as #7a5b48, is enough; if the row is not a paint, delete it or use --skip-bad-rows".to_owned())
            }
            Self::BadColour { cause, .. } => cause.hint(),
            Self::BadNumber { cause, .. } => Some(match cause {
                UnitError::UnknownUnit { units, .. } => {
                    format!("write the number alone, or with one of: {units}")
                }
                UnitError::NotANumber { expected, .. } if *expected == super::values::ONE_POT => {
                    "divide the sum by what it buys; leave the cell empty if you do not know it".to_owned()
                }
                _ => "write a number, with its unit if you like; leave the cell empty if you do not know it".to_owned(),
            }),
            Self::SeveralWords { several, .. } => Some(
                if super::words::MEDIA.iter().any(|(medium, _)| several.starts_with(medium)) {
                    "write the medium whose thinner it takes"
                } else {
                    "write the one that comes nearest"
                }
                .to_owned(),
            ),
            Self::SeveralCurrencies { .. } => Some("write all prices in one currency".to_owned()),
            Self::ShareOfWhat { .. } => Some("or write millilitres".to_owned()),
            Self::UnknownWord { nearest, .. } => {
                nearest.as_ref().map(|n| format!("did you mean \"{n}\"?"))
            }
            Self::Empty { what, .. } => Some(match *what {
                "paints" => "write a row for each paint, below the header".to_owned(),
                what => format!("write a row for each kind of {what}, below the header"),
            }),
            Self::MissingColumn {
                missing, nearest, ..
            } => Some(match nearest {
                Some(nearest) => format!("did you mean \"{missing}\" by \"{nearest}\"?"),
                None if *missing == "hex" => {
                    "each row needs a colour: write the hex of its swatch, such as #7a5b48, in a column hex".to_owned()
                }
                None => "write name above the column that holds the names".to_owned(),
            }),
            Self::HalfLetDown { found, .. } if found.ends_with("parts_white") => {
                let hex = found.replace("parts_white", "hex");
                Some(format!("{hex} takes the colour: #b5a695, or lab(48 12 20) as measured under D50"))
            }
            Self::NoName { .. }
            | Self::HalfLetDown { .. }
            | Self::OutOfRange { .. }
            | Self::BadSpectrum { .. }
            | Self::BadSpectrumRow { .. }
            | Self::OneCard { .. }
            | Self::ColoursDisagree { .. } => None,
        }
    }
}

/// The columns of a header, as many as one line holds.
fn columns_found(found: &[String]) -> String {
    const SHOWN: usize = 12;
    let shown: Vec<String> = found
        .iter()
        .take(SHOWN)
        .map(|c| format!("\"{c}\""))
        .collect();
    let more = if found.len() > SHOWN { " …" } else { "" };
    format!("it has {}{more}", shown.join(", "))
}
