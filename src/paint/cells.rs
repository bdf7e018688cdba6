//! The cells of one row: each is read and checked, and faults are put down with their place.

use super::list_error::ListError;
use super::rows::Row;
use crate::colour::{LabD65, parse_colour};
use crate::problem::{Place, nearest_word};
use crate::units::number;

/// The cells of one row, with a place to put faults.
pub(super) struct Cells<'a> {
    pub(super) row: &'a Row,
    pub(super) faults: &'a mut Vec<ListError>,
}

impl Cells<'_> {
    pub(super) fn place(&self, column: &str) -> Place {
        self.row.place.clone().at_field(column)
    }

    pub(super) fn number(
        &mut self,
        column: &str,
        low: f64,
        high: f64,
        expected: &'static str,
    ) -> Option<f64> {
        let text = self.row.cell(column)?;
        match number(text) {
            Ok(value) if (low..=high).contains(&value) => Some(value),
            Ok(_) => {
                self.faults.push(ListError::OutOfRange {
                    place: self.place(column),
                    found: text.to_owned(),
                    expected,
                });
                None
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

    pub(super) fn colour(&mut self, column: &str) -> Option<LabD65> {
        let text = self.row.cell(column)?;
        parse_colour(text)
            .map_err(|cause| {
                self.faults.push(ListError::BadColour {
                    place: self.place(column),
                    cause,
                });
            })
            .ok()
    }

    /// A colour that must be there.
    pub(super) fn needed_colour(&mut self, column: &str) -> Option<LabD65> {
        if self.row.cell(column).is_none() {
            self.faults.push(ListError::ColourCount {
                place: self.place(column),
                name: self.row.cell("name").unwrap_or_default().to_owned(),
                found: "no colour",
                expected: "a colour in hex",
            });
        }
        self.colour(column)
    }

    pub(super) fn word<T: Copy>(&mut self, column: &str, words: &[(&'static str, T)]) -> Option<T> {
        let text = self.row.cell(column)?;
        let wanted = text.to_lowercase().replace([' ', '_'], "-");
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == wanted) {
            return Some(*value);
        }
        let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        self.faults.push(ListError::UnknownWord {
            place: self.place(column),
            found: text.to_owned(),
            known: known.join(", "),
            nearest: nearest_word(&wanted, known.iter().copied()).map(str::to_owned),
        });
        None
    }

    /// The name of this row; put down as a fault when it is missing or stands above already.
    pub(super) fn name(&mut self, seen: &mut Vec<(String, usize)>) -> Option<String> {
        let Some(name) = self.row.cell("name") else {
            self.faults.push(ListError::NoName {
                place: self.place("name"),
            });
            return None;
        };
        let key = name.to_lowercase();
        match seen.iter().find(|(known, _)| *known == key) {
            Some((_, first)) => self.faults.push(ListError::NameTwice {
                place: self.place("name"),
                name: name.to_owned(),
                first: *first,
            }),
            None => seen.push((key, self.row.place.line.unwrap_or(0))),
        }
        Some(name.to_owned())
    }
}
