//! The names of a photographed card's cells: read from a file, and held against the colours beside them.

use crate::cli::args::ReadArgs;
use crate::cli::request::{ArgumentError, MOST_TEXT, bad};
use crate::cli::terminal::plain;
use crate::cli::{Problems, boxed};
use hillwash::card::Card;
use hillwash::colour::LabD65;
use hillwash::files::read_file;
use hillwash::paint::{Called, called};
use hillwash::problem::Place;

/// What stands in a paint's cells beside its own, in this order.
fn beside_its_own(args: &ReadArgs) -> Vec<&'static str> {
    let mut beside = Vec::new();
    if args.with_white.is_some() {
        beside.push(WITH_WHITE);
    }
    if args.over_cards {
        beside.extend([OVER_BLACK, OVER_WHITE]);
    }
    beside
}

/// How many cells each paint has.
pub(super) fn cells_a_paint(args: &ReadArgs) -> usize {
    1 + beside_its_own(args).len()
}

/// The name of each cell; `None` where a cell is to be left out. One name is for all cells of its paint.
pub(super) fn names(
    args: &ReadArgs,
    columns: usize,
    rows: usize,
) -> Result<Vec<Option<String>>, Problems> {
    let beside = beside_its_own(args);
    let expected = columns * rows / (1 + beside.len());
    let read: Vec<Option<String>> = match &args.names {
        None => (1..=expected).map(|n| Some(format!("paint {n}"))).collect(),
        Some(path) => {
            let bytes = read_file(path, &Place::default(), "a file of names", MOST_TEXT)
                .map_err(|e| boxed([e]))?;
            let text = String::from_utf8_lossy(&bytes);
            text.trim_start_matches('\u{feff}')
                .lines()
                .map(str::trim)
                .filter(|line| !line.is_empty())
                .map(|line| (line != "-").then(|| line.to_owned()))
                .collect()
        }
    };
    if read.len() != expected {
        return Err(bad(
            "--names",
            ArgumentError::NameCount {
                found: read.len(),
                expected,
            },
        ));
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
        return Err(bad("--names", ArgumentError::NamedTwice { found }));
    }
    Ok(read
        .into_iter()
        .flat_map(|name| {
            let others: Vec<Option<String>> = beside
                .iter()
                .map(|how| name.as_ref().map(|name| format!("{name}{how}")))
                .collect();
            std::iter::once(name).chain(others)
        })
        .collect())
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
                    odd.push(format!("{} is {}", plain(name), colour.to_srgb8()));
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
pub(super) fn at_odds(
    card: &Card,
    names: &[Option<String>],
    (columns, rows): (usize, usize),
) -> Result<Vec<String>, Problems> {
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
            return Err(bad(
                "--names",
                ArgumentError::NamesAtOdds { odd, of, better },
            ));
        }
    }
    let asked = |odd| format!("{odd}: is it in the right cell?");
    Ok(odd.into_iter().map(asked).collect())
}

/// How the cells beside a paint's own are called.
const WITH_WHITE: &str = ", with white";
const OVER_BLACK: &str = ", over black";
const OVER_WHITE: &str = ", over white";
const BESIDE: [&str; 3] = [WITH_WHITE, OVER_BLACK, OVER_WHITE];

/// True of a paint's own cell, not of those beside it.
pub(super) fn is_own_cell(name: &str) -> bool {
    !BESIDE.iter().any(|how| name.ends_with(how))
}
