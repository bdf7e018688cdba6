//! What learning from patches does to mixes that it has not seen, in worlds where the truth is known. Part of `worlds`.

use super::exhaustive::Seeded;
use super::{Mean, bell, colour, drawn_shelf, dried, rows, shelf_of};
use hillwash::colour::{LabD65, Srgb8, delta_e00};
use hillwash::mix::{DriedPot, PaintId, Shelf, learnt};
use std::path::Path;

/// A world: how far strengths and swatches are off, how far photos read off and say they do, how badly parts are measured.
struct World {
    name: &'static str,
    /// Spread of the logarithms of the strengths.
    strengths: f64,
    /// Spread of each channel of a screen colour, of 255.
    swatches: f64,
    /// Spread of a reading on each axis of CIELAB, and what is said of it.
    noise: [f64; 2],
    /// Spread of the logarithms of the parts.
    parts: f64,
}

const WORLDS: [World; 7] = [
    World {
        name: "the list is right",
        strengths: 0.0,
        swatches: 0.0,
        noise: [1.5, 3.0],
        parts: 0.0,
    },
    World {
        name: "right, poor photos",
        strengths: 0.0,
        swatches: 0.0,
        noise: [2.5, 5.0],
        parts: 0.0,
    },
    World {
        name: "right, poor measuring",
        strengths: 0.0,
        swatches: 0.0,
        noise: [1.5, 3.0],
        parts: 0.15,
    },
    World {
        name: "strengths .35",
        strengths: 0.35,
        swatches: 0.0,
        noise: [1.5, 3.0],
        parts: 0.0,
    },
    World {
        name: "strengths .7",
        strengths: 0.7,
        swatches: 0.0,
        noise: [1.5, 3.0],
        parts: 0.0,
    },
    World {
        name: "swatches 5/255",
        strengths: 0.0,
        swatches: 5.0,
        noise: [1.5, 3.0],
        parts: 0.0,
    },
    World {
        name: "both, poor photos",
        strengths: 0.35,
        swatches: 5.0,
        noise: [2.5, 5.0],
        parts: 0.1,
    },
];
const SHELVES: usize = 30;
const PAINTS: usize = 6;
const NEW: usize = 40;
const AFTER: [usize; 4] = [2, 4, 8, 16];

fn pot(shelf: &Shelf, random: &mut Seeded) -> Vec<(PaintId, f64)> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a small whole number drawn evenly"
    )]
    let mut pick = |most: usize| ((random.share() * most as f64) as usize).min(most - 1);
    let wanted = 2 + pick(2);
    let mut pot: Vec<(PaintId, f64)> = Vec::new();
    while pot.len() < wanted {
        let at = shelf.paints().nth(pick(PAINTS)).unwrap();
        if pot.iter().all(|(other, _)| *other != at) {
            pot.push((at, f64::from(u32::try_from(1 + pick(5)).unwrap())));
        }
    }
    pot
}

/// The list with screen colours that are off.
fn mislisted(shelf: &Shelf, by: f64, random: &mut Seeded) -> Shelf {
    let colours: Vec<(String, String)> = (shelf.stocks().iter())
        .map(|stock| {
            let Srgb8(code) = stock.prepared.lab.to_srgb8();
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "held within a byte"
            )]
            let off =
                code.map(|v| (f64::from(v) + by * bell(random)).round().clamp(0.0, 255.0) as u8);
            (stock.name.clone(), Srgb8(off).to_string())
        })
        .collect();
    shelf_of(&colours)
}

pub(crate) fn drawn() {
    println!(
        "learning: mean ΔE00 of {NEW} new mixes on {SHELVES} drawn shelves of {PAINTS}, by the list; change after {AFTER:?} patches"
    );
    for world in &WORLDS {
        let mut random = Seeded(606);
        let mut before = Mean::default();
        let mut after = [Mean::default(); AFTER.len()];
        for _ in 0..SHELVES {
            let truth = drawn_shelf(PAINTS, &mut random);
            let list = mislisted(&truth, world.swatches, &mut random);
            let logs: Vec<f64> = (0..PAINTS)
                .map(|_| world.strengths * bell(&mut random))
                .collect();
            let patches: Vec<DriedPot> = (0..AFTER[AFTER.len() - 1])
                .map(|_| {
                    let parts = pot(&list, &mut random);
                    let got: Vec<(PaintId, f64)> = (parts.iter())
                        .map(|(at, p)| (*at, p * (world.parts * bell(&mut random)).exp()))
                        .collect();
                    let LabD65 { l, a, b } = dried(&truth, &got, &logs);
                    let mut off = |v: f64| v + world.noise[0] * bell(&mut random);
                    let seen = LabD65::new(off(l).clamp(1.0, 99.0), off(a), off(b));
                    DriedPot {
                        parts,
                        seen,
                        uncertainty: world.noise[1],
                    }
                })
                .collect();
            let new: Vec<Vec<(PaintId, f64)>> = (0..NEW).map(|_| pot(&list, &mut random)).collect();
            let off = |shelf: &Shelf| {
                let mut mean = Mean::default();
                for pot in &new {
                    let told = shelf.tried(pot).unwrap().colour;
                    mean.add(delta_e00(told, dried(&truth, pot, &logs)).0);
                }
                mean.value()
            };
            before.add(off(&list));
            for (mean, count) in after.iter_mut().zip(AFTER) {
                mean.add(off(&list.with_learnt(&learnt(&list, &patches[..count]))));
            }
        }
        println!(
            "  {:<24} {:>5.2}  {}",
            world.name,
            before.value(),
            after
                .map(|m| format!("{:+.2}", m.value() - before.value()))
                .join("  ")
        );
    }
}

/// Thirteen watercolours, each listed by the screen colour of its thickest film, as a modeller would list them; 25 measured
/// mixtures teach, the others judge.
pub(crate) fn watercolours(folder: &Path) {
    const TEACH: usize = 25;
    const DRAWS: u64 = 5;
    let number = |row: &super::Row, column: &str| row[column].parse::<f64>().unwrap();
    let listed: Vec<(String, String)> = rows(&folder.join("watercolour_singles_10nm.csv"))
        .iter()
        .filter(|row| row["kind"] == "R" && !row["name"].is_empty())
        .filter(|row| {
            row["quantity_ml"]
                .parse()
                .is_ok_and(|ml: f64| (ml - 0.12).abs() < 1e-6)
        })
        .map(|row| (row["name"].clone(), colour(row).to_srgb8().to_string()))
        .collect();
    let shelf = shelf_of(&listed);
    let place = |name: &str| shelf.find(|stock| stock.name == name).unwrap();
    let mut cases: Vec<DriedPot> = rows(&folder.join("watercolour_mixtures_10nm.csv"))
        .iter()
        .filter(|row| row["name1"] != row["name2"])
        .map(|row| DriedPot {
            parts: vec![
                (place(&row["name1"]), number(row, "ml1")),
                (place(&row["name2"]), number(row, "ml2")),
            ],
            seen: colour(row),
            uncertainty: 1.0,
        })
        .collect();
    for draw in 0..DRAWS {
        let mut random = Seeded(draw);
        // Fisher and Yates 1938.
        for at in (1..cases.len()).rev() {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                clippy::cast_precision_loss,
                reason = "a place in a list"
            )]
            let other = ((random.share() * (at + 1) as f64) as usize).min(at);
            cases.swap(at, other);
        }
        let mean = |shelf: &Shelf| {
            let mut mean = Mean::default();
            for case in &cases[TEACH..] {
                mean.add(delta_e00(shelf.tried(&case.parts).unwrap().colour, case.seen).0);
            }
            mean.value()
        };
        let wiser = shelf.with_learnt(&learnt(&shelf, &cases[..TEACH]));
        println!(
            "  watercolours, {TEACH} patches of {}, draw {draw}: {:.2} by the list, {:.2} as learnt",
            cases.len(),
            mean(&shelf),
            mean(&wiser)
        );
    }
}
