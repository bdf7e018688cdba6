//! A card of brushed-out paints as rows of a paint list: which cells are one paint's, what each is called, and the
//! strengths that let-downs and coats over black and white tell.
//!
//! In: a read [`Card`], what stands [`Beside`] each paint, names. Out: rows of a list. It opens no files.

use crate::card::Card;
use crate::colour::LabD65;
use crate::mix::Shelf;
use crate::paint::{
    Called, ListError, ListReading, ListRow, ListWriteError, PaintList, called, list_text,
};
use crate::problem::Explain;

/// Most columns, and most rows.
pub const MOST_CELLS: usize = 40;

/// What stands beside each paint's own cell, to its right.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beside {
    /// Its let-down: so many parts of white to one of paint.
    pub with_white: Option<f64>,
    /// One coat of it over black card, then one over white.
    pub over_cards: bool,
}

/// Why a card and its names make no list.
#[derive(Debug, thiserror::Error)]
pub enum BrushedError {
    /// A let-down that nobody can brush out.
    #[error("found {found}, expected parts of white to one of paint, from 0.4 to 20 (3 is best)")]
    PartsOfWhite {
        /// Parts of white.
        found: f64,
    },
    /// A grid whose rows do not hold whole paints.
    #[error(
        "found {columns} columns, expected a number that divides by {a_paint}: each paint fills {a_paint} cells side by side"
    )]
    NotByPaints {
        /// Columns.
        columns: usize,
        /// Cells that each paint has.
        a_paint: usize,
    },
    /// A grid that lies across the cells.
    #[error(
        "found {varied} of {of} cells with more than one colour in them, expected one paint in each cell of {columns}x{rows}"
    )]
    AcrossCells {
        /// Cells with more than one colour.
        varied: usize,
        /// Of so many.
        of: usize,
        /// Columns.
        columns: usize,
        /// Rows.
        rows: usize,
    },
    /// Names that do not go with the cells.
    #[error(
        "found {found} names, expected {expected}: one for each paint, row by row, \"-\" for an empty cell"
    )]
    NameCount {
        /// Names.
        found: usize,
        /// Paints on the card.
        expected: usize,
    },
    /// A name of two paints of a card.
    #[error("found \"{found}\" twice among the names, expected each paint once")]
    NamedTwice {
        /// The name.
        found: String,
    },
    /// Cells of other colours than their names say.
    #[error(
        "found {} of {of} names at odds with their cells ({}), expected names row by row from the top left",
        .odd.len(), .odd.join("; ")
    )]
    NamesAtOdds {
        /// Each in words.
        odd: Vec<String>,
        /// Names that say a colour.
        of: usize,
        /// An order in which they agree much better.
        better: Option<&'static str>,
    },
    /// Rows that are no list.
    #[error("{}", list_faults_words(.0))]
    NoList(Vec<ListError>),
    /// Rows that could not be written.
    #[error(transparent)]
    Unwritten(#[from] ListWriteError),
}

fn list_faults_words(faults: &[ListError]) -> String {
    let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
    faults.join("; ")
}

impl Explain for BrushedError {
    fn hint(&self) -> Option<String> {
        match self {
            Self::NotByPaints { .. } => Some(
                "count all cells across: let-downs and coats over black and white count too"
                    .to_owned(),
            ),
            Self::AcrossCells { columns, rows, .. } => Some(if columns == rows {
                "give the corners of the grid: half a pitch beyond the middles of the outer cells"
                    .to_owned()
            } else {
                format!("count again: is it {rows} across and {columns} down?")
            }),
            Self::NamesAtOdds {
                better: Some(order),
                ..
            } => Some(format!(
                "read {order}, they fit much better: turn the photo, or put the names in that order"
            )),
            Self::NamesAtOdds { .. } => Some(
                "are columns and rows swapped? Where the card is right, give those paints names without a colour word"
                    .to_owned(),
            ),
            Self::NoList(faults) => faults.iter().find_map(Explain::hint),
            _ => None,
        }
    }
}

/// How the cells beside a paint's own are called.
const WITH_WHITE: &str = ", with white";
const OVER_BLACK: &str = ", over black";
const OVER_WHITE: &str = ", over white";

/// True of a paint's own cell, not of those beside it.
#[must_use]
pub fn is_own_cell(name: &str) -> bool {
    ![WITH_WHITE, OVER_BLACK, OVER_WHITE]
        .iter()
        .any(|how| name.ends_with(how))
}

impl Beside {
    /// What its cells are called, in this order.
    fn words(self) -> Vec<&'static str> {
        let mut beside = Vec::new();
        if self.with_white.is_some() {
            beside.push(WITH_WHITE);
        }
        if self.over_cards {
            beside.extend([OVER_BLACK, OVER_WHITE]);
        }
        beside
    }

    /// How many cells each paint has.
    #[must_use]
    pub fn cells_a_paint(self) -> usize {
        1 + self.words().len()
    }

    /// Whether whole paints go into rows of so many cells.
    ///
    /// # Errors
    /// [`BrushedError::NotByPaints`], [`BrushedError::PartsOfWhite`].
    pub fn fits(self, columns: usize) -> Result<(), BrushedError> {
        let a_paint = self.cells_a_paint();
        if !columns.is_multiple_of(a_paint) {
            return Err(BrushedError::NotByPaints { columns, a_paint });
        }
        match self.with_white.filter(|p| !(0.4..=20.0).contains(p)) {
            Some(found) => Err(BrushedError::PartsOfWhite { found }),
            None => Ok(()),
        }
    }

    /// The name of each cell; `None` where a cell is to be left out. One name is for all cells of its paint: one a line in
    /// the text, row by row, "-" for an empty cell; without a text they are "paint 1", "paint 2" …
    ///
    /// # Errors
    /// [`BrushedError::NameCount`], [`BrushedError::NamedTwice`].
    pub fn names(
        self,
        text: Option<&str>,
        cells: usize,
    ) -> Result<Vec<Option<String>>, BrushedError> {
        let beside = self.words();
        let expected = cells / (1 + beside.len());
        let read: Vec<Option<String>> = match text {
            None => (1..=expected).map(|n| Some(format!("paint {n}"))).collect(),
            Some(text) => text
                .trim_start_matches('\u{feff}')
                .lines()
                .map(str::trim)
                .filter(|line| !line.is_empty())
                .map(|line| (line != "-").then(|| line.to_owned()))
                .collect(),
        };
        if read.len() != expected {
            return Err(BrushedError::NameCount {
                found: read.len(),
                expected,
            });
        }
        let twice = read.iter().enumerate().find_map(|(at, name)| {
            let name = name.as_ref()?;
            let same = |other: &Option<String>| {
                other
                    .as_ref()
                    .is_some_and(|o| o.to_lowercase() == name.to_lowercase())
            };
            read[..at].iter().any(same).then(|| name.clone())
        });
        if let Some(found) = twice {
            return Err(BrushedError::NamedTwice { found });
        }
        let named = read.into_iter().flat_map(|name| {
            let others = beside
                .iter()
                .map(|how| name.as_ref().map(|name| format!("{name}{how}")));
            let others: Vec<Option<String>> = others.collect();
            std::iter::once(name).chain(others)
        });
        Ok(named.collect())
    }

    /// A row of a list for each paint that has a name; `photo` is what the photo is called.
    #[must_use]
    pub fn rows(self, photo: &str, card: &Card, names: &[Option<String>]) -> Vec<ListRow> {
        let step = self.cells_a_paint();
        let paints = card.cells.chunks(step).zip(names.chunks(step));
        let row = |(cells, names): (&[crate::card::CardCell], &[Option<String>])| {
            let first = cells.first()?;
            let hex = |at: usize| Some(cells.get(at)?.reading.colour.to_srgb8());
            let over_cards = self.over_cards.then(|| {
                let both = hex(step - 2).zip(hex(step - 1));
                both.map(|(black, white)| [black, white])
            });
            Some(ListRow {
                name: names.first()?.clone()?,
                hex: first.reading.colour.to_srgb8(),
                let_down: self.with_white.and_then(|parts| Some((hex(1)?, parts))),
                over_cards: over_cards.flatten(),
                strength: None,
                note: format!(
                    "read off {photo}, spread {:.1}, off by about {:.0}",
                    first.reading.spread.0, card.uncertainty.0
                ),
            })
        };
        paints.filter_map(row).collect()
    }
}

/// Fills in the strengths that let-downs and coats over black and white tell; the rows are read again as a list for that,
/// so that what comes out can be read. Gives each paint whose strength was told.
///
/// # Errors
/// [`BrushedError::NoList`] with the list's faults, each at its line of the list, which is called `list`.
pub fn with_strengths(
    list: &str,
    rows: &mut [ListRow],
) -> Result<Vec<(String, f64)>, BrushedError> {
    let text = list_text(rows)?;
    let no_file = |_: &str| Err("no file is read here".to_owned());
    let read = PaintList::read(list, &text, &no_file, &ListReading::default());
    let mut strengths = Vec::new();
    for report in Shelf::new(&read.map_err(BrushedError::NoList)?).let_downs() {
        let strength = (report.after / report.before).clamp(0.01, 100.0);
        strengths.push((report.paint.clone(), strength));
        if let Some(row) = rows.iter_mut().find(|row| row.name == report.paint) {
            row.strength = Some(strength);
        }
    }
    Ok(strengths)
}

/// Refuses a card most of whose cells hold more than one colour: the grid, columns by rows, does not lie on them.
///
/// # Errors
/// [`BrushedError::AcrossCells`].
pub fn not_beside_its_cells(
    card: &Card,
    names: &[Option<String>],
    (columns, rows): (usize, usize),
) -> Result<(), BrushedError> {
    let (varied, of) = card.across_edges(names.iter().map(Option::is_some));
    if 4 * varied > of {
        return Err(BrushedError::AcrossCells {
            varied,
            of,
            columns,
            rows,
        });
    }
    Ok(())
}

/// Most names on a card that may be at odds with their cells, as a share of those that say a colour. Our choice: a paint or
/// two are called by what they are not; a card read in another order has most names wrong.
const MOST_AT_ODDS: f64 = 1.0 / 3.0;

/// What names say of the colours beside them.
struct Odds {
    /// "Deep blue is #93503d": hardly anybody would call it so.
    odd: Vec<String>,
    /// Names that say a colour.
    of: usize,
}

impl Odds {
    fn of_named<'a>(named: impl Iterator<Item = (&'a String, LabD65)>) -> Self {
        let (mut odd, mut of) = (Vec::new(), 0);
        for (name, colour) in named.filter(|(name, _)| is_own_cell(name)) {
            match called(name, colour) {
                Called::Untold => continue,
                Called::Agrees => {}
                Called::Contradicts(_) => {
                    odd.push(format!("{} is {}", name, colour.to_srgb8()));
                }
            }
            of += 1;
        }
        Self { odd, of }
    }
}

/// An order to read names in: its words, and the cell of the name at a row and column.
type Order = (
    &'static str,
    fn((usize, usize), (usize, usize)) -> (usize, usize),
);

/// Orders in which a card may have been meant: the place of a name in a grid, given as row and column.
const OTHER_ORDERS: [Order; 3] = [
    (
        "from the bottom right, as if the card lay upside down",
        |(r, c), (rows, columns)| (rows - 1 - r, columns - 1 - c),
    ),
    ("from the top right", |(r, c), (_, columns)| {
        (r, columns - 1 - c)
    }),
    ("from the bottom left", |(r, c), (rows, _)| {
        (rows - 1 - r, c)
    }),
];

/// Names whose colour word hardly anybody would use of their cell, each in words; refused where they are many, or where
/// names and cells agree much better in another order.
///
/// # Errors
/// [`BrushedError::NamesAtOdds`].
pub fn at_odds(
    card: &Card,
    names: &[Option<String>],
    (columns, rows): (usize, usize),
) -> Result<Vec<String>, BrushedError> {
    let in_order = |place: &dyn Fn(usize, usize) -> usize| {
        let cells = (0..names.len()).map(|at| place(at / columns, at % columns));
        Odds::of_named(names.iter().zip(cells).filter_map(|(name, cell)| {
            Some((name.as_ref()?, card.cells.get(cell)?.reading.colour))
        }))
    };
    let Odds { odd, of } = in_order(&|r, c| r * columns + c);
    if odd.len() > 1 {
        let better = OTHER_ORDERS.iter().find(|(_, order)| {
            let there = in_order(&|r, c| {
                let (r, c) = order((r, c), (rows, columns));
                r * columns + c
            });
            2 * there.odd.len() <= odd.len()
        });
        #[expect(clippy::cast_precision_loss, reason = "some hundred cells")]
        let many = odd.len() as f64 > MOST_AT_ODDS * of as f64;
        if many || better.is_some() {
            let better = better.map(|(words, _)| *words);
            return Err(BrushedError::NamesAtOdds { odd, of, better });
        }
    }
    let asked = |odd| format!("{odd}: is it in the right cell?");
    Ok(odd.into_iter().map(asked).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOTH: Beside = Beside {
        with_white: Some(3.0),
        over_cards: true,
    };

    #[test]
    fn one_name_is_for_all_cells_of_its_paint() {
        let names = BOTH.names(Some("\u{feff}ochre\n\n - \n"), 8).unwrap();
        let told: Vec<&str> = names.iter().map(|n| n.as_deref().unwrap_or("-")).collect();
        let ochre = [
            "ochre",
            "ochre, with white",
            "ochre, over black",
            "ochre, over white",
        ];
        assert_eq!(told[..4], ochre);
        assert_eq!(told[4..], ["-"; 4]);
        assert!(is_own_cell("ochre") && ochre[1..].iter().all(|name| !is_own_cell(name)));
        let unnamed = Beside::default().names(None, 2).unwrap();
        assert_eq!(unnamed[1].as_deref(), Some("paint 2"));
    }

    #[test]
    fn names_and_cells_that_do_not_go_together_are_refused() {
        let refused = |text: &str| Beside::default().names(Some(text), 2).unwrap_err();
        assert!(matches!(
            refused("ochre"),
            BrushedError::NameCount {
                found: 1,
                expected: 2
            }
        ));
        assert!(matches!(
            refused("ochre\nOchre"),
            BrushedError::NamedTwice { .. }
        ));
        assert!(BOTH.fits(8).is_ok());
        assert!(matches!(
            BOTH.fits(6),
            Err(BrushedError::NotByPaints { a_paint: 4, .. })
        ));
        for parts in [0.3, 20.5, f64::NAN] {
            let with_white = Some(parts);
            let beside = Beside { with_white, ..BOTH };
            assert!(matches!(
                beside.fits(8),
                Err(BrushedError::PartsOfWhite { .. })
            ));
        }
    }
}
