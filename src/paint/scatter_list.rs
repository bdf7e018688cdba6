//! The scatter list: grass, foliage, earth and stone that is strewn rather than painted.

use super::rows::{RowError, read_rows};
use crate::colour::{ColourTextError, LabD65, parse_colour};
use crate::problem::{Explain, Place, nearest_word};
use crate::units::{UnitError, number};
use serde::Serialize;

/// How coarse a scatter is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grain {
    /// Bushes and clumps.
    Coarse,
    /// Weeds and rough grass.
    Medium,
    /// Short grass, earth.
    Fine,
    /// Standing fibres.
    Fibre,
}

/// One kind of scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterItem {
    /// Unique in its list.
    pub name: String,
    /// Its colour as laid.
    pub colour: LabD65,
    /// Its grain, when stated.
    pub grain: Option<Grain>,
    /// Fibre length.
    pub length_mm: Option<f64>,
    /// On the shelf.
    pub on_hand_g: Option<f64>,
    /// Grams that cover a square decimetre once.
    pub cover_g_per_dm2: Option<f64>,
    /// Free text.
    pub note: Option<String>,
}

/// A list that can be worked from: at least one kind, all names different.
#[derive(Debug, Clone)]
pub struct ScatterList {
    /// Its file, as the user named it.
    pub file: String,
    items: Vec<ScatterItem>,
}

/// A fault of a scatter list.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ScatterListError {
    /// The table itself.
    #[error(transparent)]
    Row(#[from] RowError),
    /// A row without a name or a colour.
    #[error("found no {missing}, expected one for every row")]
    Missing {
        /// Where.
        place: Place,
        /// "name" or "hex".
        missing: &'static str,
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
    /// A colour that cannot be read.
    #[error("{cause}")]
    BadColour {
        /// Where.
        place: Place,
        /// Why.
        cause: ColourTextError,
    },
    /// A number that cannot be read or makes no sense.
    #[error("{cause}")]
    BadNumber {
        /// Where.
        place: Place,
        /// Why.
        cause: UnitError,
    },
    /// No such grain.
    #[error("found \"{found}\", expected one of coarse, medium, fine, fibre")]
    UnknownGrain {
        /// Where.
        place: Place,
        /// As written.
        found: String,
    },
}

impl Explain for ScatterListError {
    fn place(&self) -> Place {
        match self {
            Self::Row(row) => row.place(),
            Self::Missing { place, .. }
            | Self::NameTwice { place, .. }
            | Self::BadColour { place, .. }
            | Self::BadNumber { place, .. }
            | Self::UnknownGrain { place, .. } => place.clone(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::Row(row) => row.hint(),
            Self::BadColour { cause, .. } => cause.hint(),
            Self::BadNumber { .. } => {
                Some("write only the number; the unit stands in the column's name".to_owned())
            }
            Self::UnknownGrain { found, .. } => nearest_word(found, GRAINS.map(|(word, _)| word))
                .map(|n| format!("did you mean \"{n}\"?")),
            Self::NameTwice { .. } => Some("rename one".to_owned()),
            Self::Missing { .. } => None,
        }
    }
}

const COLUMNS: [&str; 7] = [
    "name",
    "hex",
    "grain",
    "length_mm",
    "on_hand_g",
    "cover_g_per_dm2",
    "note",
];
const GRAINS: [(&str, Grain); 4] = [
    ("coarse", Grain::Coarse),
    ("medium", Grain::Medium),
    ("fine", Grain::Fine),
    ("fibre", Grain::Fibre),
];

impl ScatterList {
    /// Checks a list; `file` is its name for messages.
    ///
    /// # Errors
    /// All faults at once, sorted by place.
    pub fn parse(file: &str, bytes: &[u8]) -> Result<Self, Vec<ScatterListError>> {
        let mut table_faults = Vec::new();
        let rows = read_rows(file, bytes, "scatter", &COLUMNS, &mut table_faults);
        let mut faults: Vec<ScatterListError> = table_faults
            .into_iter()
            .map(ScatterListError::from)
            .collect();
        let mut items: Vec<ScatterItem> = Vec::new();
        let mut seen: Vec<(String, usize)> = Vec::new();
        for row in &rows {
            let at = |column: &str| row.place.clone().at_field(column);
            let mut missing = |column: &'static str| {
                if row.cell(column).is_none() {
                    faults.push(ScatterListError::Missing {
                        place: at(column),
                        missing: column,
                    });
                }
            };
            missing("name");
            missing("hex");
            let name = row.cell("name").unwrap_or_default().to_owned();
            if let Some((_, first)) = seen
                .iter()
                .find(|(known, _)| !name.is_empty() && *known == name.to_lowercase())
            {
                faults.push(ScatterListError::NameTwice {
                    place: at("name"),
                    name: name.clone(),
                    first: *first,
                });
            }
            seen.push((name.to_lowercase(), row.place.line.unwrap_or(0)));
            let colour = row.cell("hex").and_then(|text| {
                parse_colour(text)
                    .map_err(|cause| {
                        faults.push(ScatterListError::BadColour {
                            place: at("hex"),
                            cause,
                        });
                    })
                    .ok()
            });
            let grain = row.cell("grain").and_then(|text| {
                let known = GRAINS
                    .iter()
                    .find(|(word, _)| text.eq_ignore_ascii_case(word));
                if known.is_none() {
                    faults.push(ScatterListError::UnknownGrain {
                        place: at("grain"),
                        found: text.to_owned(),
                    });
                }
                known.map(|(_, grain)| *grain)
            });
            let mut amount = |column: &str| {
                let text = row.cell(column)?;
                number(text)
                    .and_then(|value| {
                        if (0.0..=1e6).contains(&value) {
                            Ok(value)
                        } else {
                            Err(UnitError::OutOfRange {
                                found: text.to_owned(),
                                expected: "0 or more",
                            })
                        }
                    })
                    .map_err(|cause| {
                        faults.push(ScatterListError::BadNumber {
                            place: at(column),
                            cause,
                        });
                    })
                    .ok()
            };
            let (length_mm, on_hand_g, cover) = (
                amount("length_mm"),
                amount("on_hand_g"),
                amount("cover_g_per_dm2"),
            );
            if let Some(colour) = colour {
                items.push(ScatterItem {
                    name,
                    colour,
                    grain,
                    length_mm,
                    on_hand_g,
                    cover_g_per_dm2: cover.filter(|c| *c > 0.0),
                    note: row.cell("note").map(str::to_owned),
                });
            }
        }
        if faults.is_empty() {
            Ok(Self {
                file: file.to_owned(),
                items,
            })
        } else {
            faults.sort_by_key(Explain::place);
            Err(faults)
        }
    }

    /// The kinds, in list order.
    #[must_use]
    pub fn items(&self) -> &[ScatterItem] {
        &self.items
    }
}
