//! The cells of one row: this reads and checks each, and records faults with their place.
//!
//! It also writes each cell again in its plainest form, for `tidy`.

use super::line::LONGEST_NAME;
use super::list_error::ListError;
use super::list_note::ListNote;
use super::measure::Measure;
use super::rows::TableRow;
use super::values::{Amount, Decimals, value};
use super::words::{Meaning, OPACITIES, OwnWords, TRANSPARENCIES, degree, meaning};
use crate::colour::{LabD65, Srgb8, parse_colour};
use crate::problem::{Place, nearest_word};
use crate::units::UnitError;
use std::ops::RangeInclusive;

/// A row in its plainest form: our own columns and what they hold.
pub(super) type CleanRow = Vec<(&'static str, String)>;

/// All rows in their plainest form, and their cells of other columns.
pub(super) type Clean = Vec<(CleanRow, Vec<String>)>;

/// The cells of one row, with a place to put faults and notes.
pub(super) struct Cells<'a> {
    pub(super) row: &'a TableRow,
    pub(super) decimals: Decimals,
    /// The words above the header that name the light.
    pub(super) light: &'a str,
    pub(super) faults: &'a mut Vec<ListError>,
    pub(super) notes: &'a mut Vec<ListNote>,
    pub(super) clean: CleanRow,
}

/// A number without trailing zeros.
pub(super) fn plain_number(value: f64) -> String {
    let text = format!("{value:.4}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    // Three digits behind a point could be thousands.
    match short.split_once('.') {
        Some((_, digits)) if digits.len() == 3 => text,
        _ => short.to_owned(),
    }
}

impl Cells<'_> {
    pub(super) fn place(&self, column: &str) -> Place {
        self.row.place.clone().at_field(self.row.header(column))
    }

    /// A number in the measure's own unit.
    pub(super) fn value(&mut self, column: &str, measure: Measure) -> Option<Amount> {
        let text = self.row.cell(column)?;
        match value(text, measure, self.row.unit(column), self.decimals) {
            Ok(value) => {
                if value.ounces && !self.notes.contains(&ListNote::Ounces) {
                    self.notes.push(ListNote::Ounces);
                }
                Some(value)
            }
            Err(cause) => {
                self.faults.push(ListError::BadNumber {
                    place: self.place(column),
                    cause,
                });
                None
            }
        }
    }

    /// The value, if it lies in its range.
    pub(super) fn in_range(
        &mut self,
        column: &'static str,
        value: f64,
        range: &RangeInclusive<f64>,
        expected: &'static str,
    ) -> Option<f64> {
        if range.contains(&value) {
            self.clean.push((column, plain_number(value)));
            return Some(value);
        }
        self.faults.push(ListError::OutOfRange {
            place: self.place(column),
            found: self.row.cell(column).unwrap_or_default().to_owned(),
            expected,
        });
        None
    }

    pub(super) fn number(
        &mut self,
        column: &'static str,
        measure: Measure,
        range: &RangeInclusive<f64>,
        expected: &'static str,
    ) -> Option<f64> {
        let value = self.value(column, measure)?;
        self.in_range(column, value.value, range, expected)
    }

    pub(super) fn colour(&mut self, column: &'static str) -> Option<LabD65> {
        let text = self.row.cell(column)?;
        match parse_colour(text) {
            Ok(colour) => {
                // Hex where it says the same; what is finer stays as it was written.
                let hex = colour.to_srgb8();
                let exact = crate::colour::delta_e00(LabD65::from(hex), colour).0 < 0.02;
                let plain = if exact {
                    hex.to_string()
                } else {
                    text.to_owned()
                };
                self.clean.push((column, plain));
                Some(colour)
            }
            Err(cause) => {
                self.faults.push(ListError::BadColour {
                    place: self.place(column),
                    cause,
                });
                None
            }
        }
    }

    /// Columns of red, green and blue from 0 to 255, in percent where the header says so, or from 0 to 1.
    pub(super) fn three_channels(&mut self) -> Option<LabD65> {
        const COLUMNS: [&str; 3] = ["red", "green", "blue"];
        if COLUMNS.iter().all(|c| self.row.cell(c).is_none()) {
            return None;
        }
        let mut rgb = [0_u8; 3];
        let mut whole = true;
        let found = COLUMNS.map(|column| self.value(column, Measure::Channel).map(|v| v.value));
        let is_share = |v: &Option<f64>| v.is_some_and(|v| (0.0..=1.0).contains(&v));
        let shares = found.iter().all(is_share) && found.iter().flatten().any(|v| v.fract() > 0.0);
        let scale = if shares { 255.0 } else { 1.0 };
        for ((column, found), channel) in COLUMNS.into_iter().zip(found).zip(&mut rgb) {
            let in_percent = |cell: &str| cell.contains('%');
            let rounded = shares
                || self.row.unit(column).is_some()
                || self.row.cell(column).is_some_and(in_percent);
            let found = found.map(|v| if rounded { (v * scale).round() } else { v });
            match found {
                Some(v) if (0.0..=255.0).contains(&v) && v.fract().abs() < 1e-9 => {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "a whole number from 0 to 255"
                    )]
                    {
                        *channel = v as u8;
                    }
                }
                found => {
                    whole = false;
                    if found.is_some() || self.row.cell(column).is_none() {
                        self.faults.push(ListError::OutOfRange {
                            place: self.place(column),
                            found: format!("\"{}\"", self.row.cell(column).unwrap_or_default()),
                            expected: "a whole number from 0 to 255 (or head the columns \"red %\" and so on)",
                        });
                    }
                }
            }
        }
        whole.then(|| {
            self.clean.push(("hex", Srgb8(rgb).to_string()));
            LabD65::from(Srgb8(rgb))
        })
    }

    /// One of a few words, each with what it stands for; `vocabulary` holds what means the same.
    pub(super) fn word<T: Copy>(
        &mut self,
        column: &'static str,
        vocabulary: OwnWords,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        self.word_by(meaning, column, vocabulary, words)
    }

    /// The same if the words give a degree.
    pub(super) fn degree<T: Copy>(
        &mut self,
        column: &'static str,
        vocabulary: OwnWords,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        self.word_by(degree, column, vocabulary, words)
    }

    fn word_by<T: Copy>(
        &mut self,
        reading: fn(&str, OwnWords) -> Meaning,
        column: &'static str,
        vocabulary: OwnWords,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let text = self.row.cell(column)?;
        let read = reading(text, vocabulary);
        if let Meaning::Taken(taken) = read {
            self.taken(column, text, taken);
        }
        if let Some(own) = read.word()
            && let Some((_, value)) = words.iter().find(|(word, _)| *word == own)
        {
            self.clean.push((column, own.to_owned()));
            return Some(*value);
        }
        let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let place = self.place(column);
        self.faults.push(match read {
            Meaning::Several(several) => ListError::SeveralWords {
                place,
                found: text.to_owned(),
                several: several.join(" or "),
            },
            _ => ListError::UnknownWord {
                place,
                found: text.to_owned(),
                known: known.join(", "),
                nearest: nearest_word(text, known.iter().copied()).map(str::to_owned),
            },
        });
        None
    }

    /// Hiding, or how much shows through.
    pub(super) fn opacity<T: Copy>(&mut self, words: &[(&'static str, T)]) -> Option<T> {
        let hiding = self.degree("opacity", OPACITIES, words);
        if hiding.is_some() || self.row.cell("opacity").is_some() {
            return hiding;
        }
        let seen_through = self.degree("transparency", TRANSPARENCIES, words);
        if let Some((column, _)) = self.clean.iter_mut().find(|(c, _)| *c == "transparency") {
            *column = "opacity";
        }
        seen_through
    }

    /// Notes that the reader took a word for one of ours, once for each word.
    fn taken(&mut self, column: &'static str, found: &str, taken: &'static str) {
        // "acrylic wash" is as plain as it gets.
        if column == "medium" && found == format!("{taken} wash") {
            return;
        }
        for note in &mut *self.notes {
            if let ListNote::Word {
                column: c,
                found: f,
                rows,
                ..
            } = note
                && *c == column
                && f == found
            {
                *rows += 1;
                return;
            }
        }
        self.notes.push(ListNote::Word {
            column,
            found: found.to_owned(),
            taken,
            rows: 1,
        });
    }

    /// Free text.
    pub(super) fn text(&mut self, column: &'static str) -> Option<String> {
        let text = self.row.cell(column)?.to_owned();
        self.clean.push((column, text.clone()));
        Some(text)
    }

    /// The name of this row; recorded as a fault if it is missing or was given above.
    pub(super) fn name(&mut self, seen: &mut Vec<(String, usize)>) -> Option<String> {
        let Some(name) = self.row.cell("name") else {
            self.faults.push(ListError::NoName {
                place: self.place("name"),
            });
            return None;
        };
        if name.chars().count() > LONGEST_NAME {
            self.faults.push(ListError::OutOfRange {
                place: self.place("name"),
                found: format!("a name of more than {LONGEST_NAME} characters"),
                expected: "a name of 1000 characters at most",
            });
            return None;
        }
        let key = name.to_lowercase();
        match seen.iter().find(|(known, _)| *known == key) {
            Some((_, first)) => self.faults.push(ListError::NameTwice {
                place: self.place("name"),
                name: name.to_owned(),
                first: *first,
            }),
            None => seen.push((key, self.row.place.line.unwrap_or(0))),
        }
        self.clean.push(("name", name.to_owned()));
        Some(name.to_owned())
    }

    /// A number of three that go together is missing.
    pub(super) fn missing_third(&mut self, column: &str) {
        self.faults.push(ListError::BadNumber {
            place: self.place(column),
            cause: UnitError::NotANumber {
                found: String::new(),
                expected: "a number: lab_l, lab_a and lab_b go together",
            },
        });
    }
}
