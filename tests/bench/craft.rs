//! What becomes of dull, near-opaque paints known by their screen colours: films, tints with white, pairs.
//!
//! `craft_pots.csv` was computed from K and S of 19 artists' acrylics (Berns 2016, *Artist paint spectral database*): so it
//! flatters any Kubelka–Munk model, and is no measurement of a craft paint. The screen colours are put off by a random error
//! of 5/255 a channel, one standard deviation, as photographs and charts are; ten draws. Films lie over a base that is
//! known without error; the white of the tints too.

use super::{Score, amount, by_thirds, line, rows};
use hillwash::colour::{LabD65, LinearSrgb, Srgb8, Xyz, delta_e00};
use hillwash::mix::{PaintId, Shelf};
use hillwash::paint::{FILM_WITHIN, Ground, PaintList, Wash, WashPot, wash_over};
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use std::collections::BTreeMap;
use std::fmt::{self, Write as _};
use std::path::Path;

const SCREEN_ERROR: f64 = 5.0 / 255.0;
const DRAWS: u64 = 10;
/// Thickness of a brushed coat, in which the file's `amount` of films is told.
const BRUSHED_COAT: f64 = 10.0;

fn code(hex: &str) -> [f64; 3] {
    Srgb8::try_from(hex.to_owned())
        .unwrap()
        .0
        .map(|v| f64::from(v) / 255.0)
}

/// A normal deviate (Box and Muller 1958).
pub(super) fn normal(random: &mut StdRng) -> f64 {
    let (u, v): (f64, f64) = (1.0 - random.random::<f64>(), random.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// IEC 61966-2-1.
fn xyz(code: [f64; 3]) -> Xyz {
    let [r, g, b] = code.map(|v| {
        if v <= 0.04045 {
            v / 12.92
        } else {
            ((v + 0.055) / 1.055).powf(2.4)
        }
    });
    LinearSrgb { r, g, b }.into()
}

fn put_off(code: [f64; 3], random: &mut StdRng) -> Known {
    Known::OnScreen(xyz(code.map(|v| (v + SCREEN_ERROR * normal(random)).clamp(0.0, 1.0))).into())
}

/// A screen colour as read, off by 5/255 a channel.
pub(super) fn put_off_code(colour: Srgb8, random: &mut StdRng) -> LabD65 {
    match put_off(colour.0.map(|v| f64::from(v) / 255.0), random) {
        Known::OnScreen(read) | Known::Exactly(read) => read,
    }
}

struct Pot {
    name: String,
    paint: [f64; 3],
    other: [f64; 3],
    amount: f64,
    seen: LabD65,
}

/// How a list knows a colour: cells of its columns for a screen colour and for a measured one.
#[derive(Clone, Copy)]
enum Known {
    OnScreen(LabD65),
    Exactly(LabD65),
}

impl fmt::Display for Known {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OnScreen(lab) => write!(f, "{},,,", lab.to_srgb8()),
            Self::Exactly(lab) => write!(f, ",{},{},{}", lab.l, lab.a, lab.b),
        }
    }
}

fn list(rows: &[(Known, String)]) -> PaintList {
    let mut text =
        "name,hex,lab_l,lab_a,lab_b,medium,let_down_hex,let_down_parts_white,strength\n".to_owned();
    for (at, (colour, more)) in rows.iter().enumerate() {
        let name = if at == 0 { "pot" } else { "white" };
        writeln!(text, "{name} {at},{colour},acrylic,{more}").unwrap();
    }
    PaintList::parse("craft.csv", text.as_bytes(), &|_| Err(String::new())).unwrap()
}

fn mixed(paints: &[(Known, String)], share: f64) -> LabD65 {
    let shelf = Shelf::new(&list(paints));
    let parts: Vec<(PaintId, f64)> = shelf.paints().zip([share, 1.0 - share]).collect();
    shelf.tried(&parts).unwrap().colour
}

/// A film, and how far it may be off, two in three.
fn film(paint: Known, base: Xyz, thickness: f64) -> (LabD65, f64) {
    let shelf = Shelf::new(&list(&[(paint, ",,".to_owned())]));
    let parts: Vec<(PaintId, f64)> = shelf.paints().zip([1.0]).collect();
    let pot_error = shelf.tried(&parts).unwrap().uncertainty;
    let prepared = &shelf.stocks()[0].prepared;
    let wash = Wash {
        paint_share: 1.0,
        passes: 1.0,
        film: thickness / BRUSHED_COAT,
        pool: 1.0,
    };
    let pot = WashPot::new(&[(prepared, 1.0)]).unwrap();
    let doubt = pot.doubt(&Ground::new(base), wash.thickness(), FILM_WITHIN);
    let seen = wash_over(base, &[(prepared, 1.0)], &wash).unwrap().flat;
    (seen.into(), doubt.with_pot(pot_error).0)
}

/// Of each pot the strength that foretells its tints best, its colour known without error: what no rule that tells strength
/// from colour can better.
fn best_strengths(tints: &[Pot]) -> BTreeMap<String, f64> {
    const TRIED: i32 = 12;
    let none = || ",,".to_owned();
    let mut best: BTreeMap<String, (f64, f64)> = BTreeMap::new();
    for at in -TRIED..=TRIED {
        // From an eighth to eight times as strong.
        let strength = 8_f64.powf(f64::from(at) / f64::from(TRIED));
        let mut off: BTreeMap<&str, f64> = BTreeMap::new();
        for pot in tints {
            let paints = [
                (
                    Known::Exactly(xyz(pot.paint).into()),
                    format!(",,{strength}"),
                ),
                (Known::Exactly(xyz(pot.other).into()), none()),
            ];
            *off.entry(&pot.name).or_default() += delta_e00(mixed(&paints, pot.amount), pot.seen).0;
        }
        for (name, off) in off {
            let so_far = best.entry(name.to_owned()).or_insert((off, strength));
            if off < so_far.0 {
                *so_far = (off, strength);
            }
        }
    }
    best.into_iter().map(|(name, (_, s))| (name, s)).collect()
}

#[expect(
    clippy::too_many_lines,
    reason = "one experiment, from its cases to what it prints"
)]
pub(super) fn craft(folder: &Path) {
    let rows = rows(&folder.join("craft_pots.csv"));
    let of_kind = |kind: &str| -> Vec<Pot> {
        rows.iter()
            .filter(|row| row["kind"] == kind)
            .map(|row| Pot {
                name: row["paint"].clone(),
                paint: code(&row["paint"]),
                other: code(&row["other"]),
                amount: amount(row, "amount"),
                seen: xyz(code(&row["seen"])).into(),
            })
            .collect()
    };
    let [films, tints, pairs] = ["film", "tint", "pair"].map(of_kind);
    let none = || ",,".to_owned();
    let best = best_strengths(&tints);
    let mut errors: [Vec<Score>; 5] = Default::default();
    let mut films_scored: Vec<(f64, Score)> = Vec::new();
    for draw in 0..DRAWS {
        let mut random = StdRng::seed_from_u64(draw);
        let score = |got: LabD65, pot: &Pot| Score {
            error: delta_e00(got, pot.seen).0,
            quoted: f64::NAN,
        };
        for pot in &films {
            let (got, quoted) = film(put_off(pot.paint, &mut random), xyz(pot.other), pot.amount);
            let error = score(got, pot).error;
            films_scored.push((pot.amount, Score { error, quoted }));
        }
        for pot in &tints {
            let own = put_off(pot.paint, &mut random);
            let white = Known::Exactly(xyz(pot.other).into());
            errors[1].push(score(
                mixed(&[(own, none()), (white, none())], pot.amount),
                pot,
            ));
            let one_in_four = tints
                .iter()
                .find(|other| other.name == pot.name && (other.amount - 0.25).abs() < 1e-9)
                .unwrap();
            let let_down = format!("{},3,", one_in_four.seen.to_srgb8());
            errors[3].push(score(
                mixed(&[(own, let_down), (white, none())], pot.amount),
                pot,
            ));
            let strength = format!(",,{}", best[&pot.name]);
            errors[4].push(score(
                mixed(&[(own, strength), (white, none())], pot.amount),
                pot,
            ));
        }
        for pot in &pairs {
            let paints = [pot.paint, pot.other].map(|code| (put_off(code, &mut random), none()));
            errors[2].push(score(mixed(&paints, pot.amount), pot));
        }
    }
    println!("craft pots, screen colours off by 5/255, {DRAWS} draws");
    let [_, tints, pairs, let_down, bound] = errors;
    by_thirds("films over three bases", films_scored, "4.4, 95th 14.5");
    line("tints with white", &tints, "5.1, 95th 12.5");
    line("  each pot of its best strength", &bound, "a bound");
    line("pairs of pots", &pairs, "5.0, 95th 10.5");
    line("tints, each pot with one 1:3 let-down", &let_down, "2.0");
}
