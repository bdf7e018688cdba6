//! Which of several ways to choose a recipe holds at the bench, in worlds where the truth is known.
//!
//! `cargo bench --bench worlds`, half a minute. Drawn shelves: the list tells screen colours, the paints' true strengths are
//! hidden, spread by σ (natural logarithm). Measured watercolours (folder `measured` of the shared data, `tests/README.md`;
//! skipped when absent; Chen, Huang, Chang and Ouhyoung 2019): the pots are those that were mixed and measured. Scored by what is really seen, CIEDE2000 from
//! the colour asked. The rivals: the closest on paper, and a weighing of the difference against how far the paints stand
//! from their mix, with a price a paint and a part (`J`, the rank before this one).
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its data and prints its figures"
)]

#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "of the oracle only its seeded draws are used here"
)]
mod exhaustive;
mod learning;
mod shared;

use exhaustive::Seeded;
use hillwash::colour::{LabD65, Spectrum, delta_e00, seen_in_daylight};
use hillwash::mix::{PaintId, Rank, Recipe, Search, Shelf, distance_of_paints};
use hillwash::paint::{PaintList, Prepared, opaque_mix};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

const SIGMAS: [f64; 3] = [0.35, 0.5, 0.7];
const SHELVES: [usize; 4] = [12, 18, 24, 36];
const SHELVES_OF_EACH: usize = 3;
const TARGETS: usize = 10;
/// Worlds drawn for each shelf and σ.
const WORLDS: usize = 12;

/// A mean and what it is of.
#[derive(Default, Clone, Copy)]
struct Mean(f64, u32);

impl Mean {
    fn add(&mut self, value: f64) {
        self.0 += value;
        self.1 += 1;
    }

    fn value(self) -> f64 {
        self.0 / f64::from(self.1)
    }
}

/// About a normal draw: twelve even ones make a bell of standard deviation 1.
fn bell(random: &mut Seeded) -> f64 {
    (0..12).map(|_| random.share()).sum::<f64>() - 6.0
}

/// A list known by screen colours alone.
fn shelf_of(colours: &[(String, String)]) -> Shelf {
    let mut text = "name,hex,medium\n".to_owned();
    for (name, hex) in colours {
        writeln!(text, "{name},{hex},acrylic").unwrap();
    }
    let read = |_: &str| Err(String::new());
    Shelf::new(&PaintList::parse("drawn.csv", text.as_bytes(), &read).unwrap())
}

fn drawn_shelf(count: usize, random: &mut Seeded) -> Shelf {
    let colours: Vec<(String, String)> = (0..count)
        .map(|number| {
            let hex = match number {
                0 => "#f2f1ec".to_owned(),
                1 => "#1d1c1b".to_owned(),
                _ => random.colour(75.0).to_string(),
            };
            (format!("paint {number}"), hex)
        })
        .collect();
    shelf_of(&colours)
}

fn real(recipe: &Recipe) -> Vec<(PaintId, f64)> {
    let parts = recipe.parts.iter();
    parts.map(|(at, p)| (*at, f64::from(*p))).collect()
}

/// What a pot dries to where its paints are so much stronger than listed.
fn dried(shelf: &Shelf, parts: &[(PaintId, f64)], logs: &[f64]) -> LabD65 {
    let paints: Vec<(Prepared, f64)> = parts
        .iter()
        .map(|(at, p)| {
            let prepared = shelf[*at].prepared.clone();
            let scattering = prepared.scattering.map(|s| s * logs[at.place()].exp());
            (prepared.with_scattering(scattering), *p)
        })
        .collect();
    let paints: Vec<(&Prepared, f64)> = paints.iter().map(|(paint, p)| (paint, *p)).collect();
    opaque_mix(&paints).unwrap().into()
}

/// The rank of before: how far the paints stand from the mix counts as doubt, paints and parts have a price.
fn weighed(shelf: &Shelf, recipe: &Recipe) -> f64 {
    let apart = distance_of_paints(shelf, &real(recipe), recipe.colour);
    let paints = f64::from(u32::try_from(recipe.parts.len()).unwrap());
    recipe.difference.0.hypot(0.35 * apart)
        + 0.5 * (paints - 1.0)
        + 0.05 * f64::from(recipe.total_parts())
}

/// The answers of the three ways: closest on paper, weighed, by what is expected.
fn answers(shelf: &Shelf, target: LabD65) -> [Recipe; 3] {
    let by = |rank, answers| {
        let search = Search {
            rank,
            answers,
            ..Search::default()
        };
        shelf.recipes_near(target, &search)
    };
    let closest = by(Rank::ClosestOnPaper, 60);
    let sound = by(Rank::Soundest, 60);
    let weighed = (closest.iter().chain(&sound))
        .min_by(|a, b| weighed(shelf, a).total_cmp(&weighed(shelf, b)))
        .unwrap();
    [closest[0].clone(), weighed.clone(), sound[0].clone()]
}

const WAYS: [&str; 3] = ["closest on paper", "weighed by distance", "expected"];

#[expect(
    clippy::too_many_lines,
    reason = "one experiment, from its cases to what it prints"
)]
fn drawn() {
    let mut random = Seeded(18);
    let shelves: Vec<(Shelf, Vec<LabD65>, Vec<Vec<f64>>)> = SHELVES
        .iter()
        .flat_map(|count| std::iter::repeat_n(*count, SHELVES_OF_EACH))
        .map(|count| {
            let shelf = drawn_shelf(count, &mut random);
            let targets = (0..TARGETS).map(|_| random.target()).collect();
            let worlds = (0..WORLDS)
                .map(|_| (0..count).map(|_| bell(&mut random)).collect())
                .collect();
            (shelf, targets, worlds)
        })
        .collect();
    let asked: Vec<(usize, LabD65)> = (shelves.iter().enumerate())
        .flat_map(|(at, (_, targets, _))| targets.iter().map(move |target| (at, *target)))
        .collect();
    let chosen: Vec<[Recipe; 3]> = asked
        .par_iter()
        .map(|(at, target)| answers(&shelves[*at].0, *target))
        .collect();
    println!(
        "{} colours on {} drawn shelves of {SHELVES:?} paints: mean ΔE00 really seen, by the way the recipe was chosen",
        asked.len(),
        shelves.len()
    );
    println!("  {:<22} on paper  paints  parts   σ .35   σ .5   σ .7", "");
    let mut first = [f64::NAN; SIGMAS.len()];
    for (way, name) in WAYS.iter().enumerate() {
        let (mut paper, mut paints, mut parts) =
            (Mean::default(), Mean::default(), Mean::default());
        let mut seen = [Mean::default(); SIGMAS.len()];
        let (mut inside, mut expected) = ([Mean::default(); SIGMAS.len()], Mean::default());
        for ((at, target), recipes) in asked.iter().zip(&chosen) {
            let (recipe, (shelf, _, worlds)) = (&recipes[way], &shelves[*at]);
            paper.add(recipe.difference.0);
            paints.add(f64::from(u32::try_from(recipe.parts.len()).unwrap()));
            parts.add(f64::from(recipe.total_parts()));
            expected.add(recipe.expected().0);
            for ((sum, within), sigma) in seen.iter_mut().zip(&mut inside).zip(SIGMAS) {
                for world in worlds {
                    let logs: Vec<f64> = world.iter().map(|log| sigma * log).collect();
                    let off = delta_e00(*target, dried(shelf, &real(recipe), &logs)).0;
                    sum.add(off);
                    within.add(f64::from(u8::from(off <= recipe.expected().0)));
                }
            }
        }
        let seen = seen.map(Mean::value);
        if way == 0 {
            first = seen;
        }
        println!(
            "  {name:<22} {:>8.2} {:>7.2} {:>6.1}  {}   ({}); expected {:.1}, real ones within it {}",
            paper.value(),
            paints.value(),
            parts.value(),
            seen.map(|v| format!("{v:>6.2}")).join(" "),
            (0..seen.len())
                .map(|i| format!("{:+.2}", seen[i] - first[i]))
                .collect::<Vec<_>>()
                .join(" "),
            expected.value(),
            inside
                .map(|m| format!("{:.0} %", 100.0 * m.value()))
                .join(" ")
        );
    }
}

type Row = BTreeMap<String, String>;

fn rows(path: &Path) -> Vec<Row> {
    let text = std::fs::read_to_string(path).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

fn colour(row: &Row) -> LabD65 {
    let mut points: Vec<(f64, f64)> = row
        .iter()
        .filter_map(|(column, cell)| Some((column.parse().ok()?, cell.parse().ok()?)))
        .filter(|(nm, _): &(f64, f64)| (400.0..=700.0).contains(nm))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    seen_in_daylight(&Spectrum::from_points(&points).unwrap()).into()
}

/// Pots that were measured: places on the shelf and parts, foretold, and as seen.
struct Pot {
    parts: Vec<(PaintId, f64)>,
    foretold: LabD65,
    off: f64,
    trouble: f64,
    seen: LabD65,
}

/// Every mixture measured at one total amount is in turn the colour asked; every pot of that amount may be the answer.
#[expect(
    clippy::too_many_lines,
    reason = "one experiment, from its cases to what it prints"
)]
fn watercolours(folder: &Path) {
    let number = |row: &Row, column: &str| row[column].parse::<f64>().unwrap();
    let singles: Vec<Row> = rows(&folder.join("watercolour_singles_10nm.csv"))
        .into_iter()
        .filter(|row| {
            row["kind"] == "R" && !row["name"].is_empty() && !row["quantity_ml"].is_empty()
        })
        .collect();
    let mixtures = rows(&folder.join("watercolour_mixtures_10nm.csv"));
    let mut seen = [Mean::default(); 3];
    let mut inside = Mean::default();
    for total in [0.03, 0.06, 0.08, 0.12] {
        let alone: Vec<&Row> = (singles.iter())
            .filter(|row| (number(row, "quantity_ml") - total).abs() < 1e-6)
            .collect();
        let listed: Vec<(String, String)> = (alone.iter())
            .map(|row| (row["name"].clone(), colour(row).to_srgb8().to_string()))
            .collect();
        let shelf = shelf_of(&listed);
        let place = |name: &str| shelf.find(|stock| stock.name == name);
        let mixed = mixtures
            .iter()
            .filter(|row| row["name1"] != row["name2"])
            .filter(|row| (number(row, "ml1") + number(row, "ml2") - total).abs() < 1e-6)
            .filter_map(|row| {
                let parts = vec![
                    (place(&row["name1"])?, number(row, "ml1")),
                    (place(&row["name2"])?, number(row, "ml2")),
                ];
                Some((parts, colour(row)))
            });
        let single = shelf.paints().zip(&alone);
        let pots: Vec<Pot> = single
            .map(|(at, row)| (vec![(at, 1.0)], colour(row)))
            .chain(mixed)
            .map(|(mut parts, seen)| {
                let least = parts.iter().map(|(_, p)| *p).fold(f64::INFINITY, f64::min);
                for (_, p) in &mut parts {
                    *p /= least;
                }
                let tried = shelf.tried(&parts).unwrap();
                let paints = f64::from(u32::try_from(parts.len()).unwrap());
                Pot {
                    trouble: 0.5 * (paints - 1.0)
                        + 0.05 * parts.iter().map(|(_, p)| p).sum::<f64>(),
                    foretold: tried.colour,
                    off: tried.uncertainty.0,
                    parts,
                    seen,
                }
            })
            .collect();
        for asked in pots.iter().filter(|pot| pot.parts.len() > 1) {
            let paper = |pot: &Pot| delta_e00(asked.seen, pot.foretold).0;
            let expected = |pot: &Pot| paper(pot).hypot(pot.off);
            let weighed = |pot: &Pot| {
                let apart = distance_of_paints(&shelf, &pot.parts, pot.foretold);
                paper(pot).hypot(0.35 * apart) + pot.trouble
            };
            let least = |of: &dyn Fn(&Pot) -> f64| {
                let best = pots.iter().min_by(|a, b| of(a).total_cmp(&of(b)));
                best.unwrap()
            };
            let limit = expected(least(&expected)) + exhaustive::TIE;
            let sound = least(&|pot: &Pot| {
                if expected(pot) <= limit {
                    paper(pot) + pot.trouble
                } else {
                    f64::INFINITY
                }
            });
            let chosen = [least(&paper), least(&weighed), sound];
            for (sum, pot) in seen.iter_mut().zip(chosen) {
                sum.add(delta_e00(asked.seen, pot.seen).0);
            }
            let off = delta_e00(asked.seen, sound.seen).0;
            inside.add(f64::from(u8::from(off <= expected(sound))));
        }
    }
    println!(
        "{} measured watercolour mixtures asked for among those of their amount: mean ΔE00 really seen",
        seen[0].1
    );
    let first = seen[0].value();
    for (name, mean) in WAYS.iter().zip(seen) {
        println!(
            "  {name:<22} {:>6.2} ({:+.2})",
            mean.value(),
            mean.value() - first
        );
    }
    println!(
        "  real ones within what was expected: {:.0} %",
        100.0 * inside.value()
    );
}

fn main() {
    drawn();
    learning::drawn();
    if let Some(folder) = shared::folder("measured") {
        watercolours(&folder);
        learning::watercolours(&folder);
    }
}
