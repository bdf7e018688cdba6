//! Whether coats over a black and over a white card tell how a paint hides: what is foretold from them, beside what its
//! colour and an opacity word alone foretell.
//!
//! Measured: oils of which a mixture of two and both paints alone were laid over both cards; the coat of the mixture is
//! foretold, over either. Drawn: the colours of the craft pots as body colour, of strengths hidden with σ .5 about what a
//! colour suggests; colours read with 5/255 of error, every coat up to a quarter thicker or thinner than the white's.
//! There the truth is the model itself with what the list does not say, so the drawn rows show what cards can tell, not
//! that real paint obeys.

use super::craft::{normal, put_off_code};
use super::{Score, amount, colour, line, points, rows};
use hillwash::colour::{DeltaE00, LabD65, Srgb8, Xyz, delta_e00};
use hillwash::mix::{PaintId, Shelf};
use hillwash::paint::{
    BRUSHED_COAT, FILM_READ_WITHIN, Ground, PaintList, Prepared, Wash, WashPot, opaque_mix,
};
use hillwash::wash::film_seen;
use rand::SeedableRng;
use rand::rngs::StdRng;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

const WHITE: &str = "ZincWhite";
const CARDS: [&str; 2] = ["black", "white"];
/// Lightness of the cards that the program takes (`src/mix/mod.rs`).
const LIGHTNESS: [f64; 2] = [26.6, 94.0];
const SEED: u64 = 18;

fn score(got: LabD65, seen: LabD65) -> Score {
    Score {
        error: delta_e00(got, seen).0,
        quoted: f64::NAN,
    }
}

fn shelf(text: &str) -> Shelf {
    Shelf::new(&PaintList::parse("coats.csv", text.as_bytes(), &|_| Err(String::new())).unwrap())
}

/// A coat of this thickness, a brushed one being 1, over a base.
fn coat(shelf: &Shelf, parts: &[(PaintId, f64)], base: Xyz, film: f64) -> LabD65 {
    let parts: Vec<(&Prepared, f64)> = (parts.iter())
        .map(|(at, p)| (&shelf[*at].prepared, *p))
        .collect();
    let pot = WashPot::new(&parts).unwrap();
    pot.over(&Ground::new(base), BRUSHED_COAT * film).into()
}

/// How thick the white lies, a brushed coat being 1, by its own two coats.
fn film_of_white(white: &Prepared, coats: [LabD65; 2], bases: [Xyz; 2]) -> f64 {
    let brushed = Wash {
        paint_share: 1.0,
        passes: 1.0,
        film: 1.0,
        pool: 1.0,
    };
    let told = [0, 1].map(|at| {
        let seen = film_seen(
            bases[at],
            &[(white, 1.0)],
            &brushed,
            coats[at],
            DeltaE00(1.0),
        );
        seen.unwrap().film.ln()
    });
    f64::midpoint(told[0], told[1]).exp()
}

fn measured(folder: &Path) {
    let rows = rows(&folder.join("oil_mixtures_reflectance_10nm.csv"));
    let of = |sample: &str, surface: &str| {
        let row = (rows.iter()).find(|row| row["sample"] == sample && row["surface"] == surface);
        colour(&points(row.unwrap()))
    };
    let coats = |sample: &str| CARDS.map(|card| of(sample, &format!("paint_over_{card}")));
    let bases = |sample: &str| CARDS.map(|card| Xyz::from(of(sample, &format!("bare_{card}"))));
    let alone = |name: &str| {
        (rows.iter())
            .find(|row| row["paint1"] == name && row["paint2"].is_empty())
            .map(|row| row["sample"].clone())
    };
    let white = alone(WHITE).unwrap();
    let mut scores: [Vec<Score>; 2] = Default::default();
    for row in rows
        .iter()
        .filter(|row| row["surface"] == "paint_over_black" && !row["paint2"].is_empty())
    {
        let (Some(one), Some(other)) = (alone(&row["paint1"]), alone(&row["paint2"])) else {
            continue;
        };
        let seen = coats(&row["sample"]);
        // A coat that hides its card tells nothing of how it hides.
        if delta_e00(seen[0], seen[1]).0 < 1.0 {
            continue;
        }
        for (by_cards, scores) in [false, true].into_iter().zip(&mut scores) {
            let mut text = "name,hex,medium,opacity,over_black_hex,over_white_hex\n".to_owned();
            for (name, sample) in [("one", &one), ("other", &other), ("white", &white)] {
                let [black, over] = coats(sample);
                // As one photographs a swatch: on white card.
                let (hex, shows) = (over.to_srgb8(), delta_e00(black, over).0);
                let told = if by_cards {
                    format!(",{},{hex}", black.to_srgb8())
                } else {
                    format!("{},,", super::oils::word(shows))
                };
                writeln!(text, "{name},{hex},oil,{told}").unwrap();
            }
            let shelf = shelf(&text);
            let [one, other, white_at] = [0, 1, 2].map(|at| shelf.paints().nth(at).unwrap());
            let parts = [
                (one, amount(row, "percent1")),
                (other, amount(row, "percent2")),
            ];
            let film = if by_cards {
                film_of_white(&shelf[white_at].prepared, coats(&white), bases(&white))
            } else {
                1.0
            };
            for (base, seen) in bases(&row["sample"]).into_iter().zip(seen) {
                scores.push(score(coat(&shelf, &parts, base, film), seen));
            }
        }
    }
    line("oil coats: hex and opacity words", &scores[0], "");
    line("  hex and coats of the paints over both", &scores[1], "");
}

#[expect(
    clippy::too_many_lines,
    reason = "one experiment, from its cases to what it prints"
)]
fn drawn(folder: &Path) {
    let file = rows(&folder.join("craft_pots.csv"));
    let pots: BTreeSet<&String> = file.iter().map(|row| &row["paint"]).collect();
    let mut random = StdRng::seed_from_u64(SEED);
    let bases = LIGHTNESS.map(|l| Xyz::from(LabD65::new(l, 0.0, 0.0)));
    let brick = Xyz::from(LabD65::from(Srgb8([0xa4, 0x52, 0x3a])));
    let mut scores: [[Vec<Score>; 2]; 3] = Default::default();
    for hex in pots {
        let truly = shelf(&format!(
            "name,hex,medium\npaint,{hex},acrylic\nwhite,#f4f4f0,acrylic\n"
        ));
        let [pot, white] = [0, 1].map(|at| truly.paints().nth(at).unwrap());
        let stronger = (0.5 * normal(&mut random)).exp();
        // A hand is never quite the same.
        let hand = (FILM_READ_WITHIN.ln() * normal(&mut random)).exp();
        let scattering = truly[pot].prepared.scattering.map(|s| s * stronger);
        let paint = (truly[pot].prepared.clone()).with_scattering(scattering);
        let white = truly[white].prepared.clone();
        let mut read = |colour: LabD65| put_off_code(colour.to_srgb8(), &mut random).to_srgb8();
        let own = read(paint.lab);
        let mut laid = |paint: &Prepared, hand: f64| {
            let pot = WashPot::new(&[(paint, 1.0)]).unwrap();
            bases.map(|base| read(pot.over(&Ground::new(base), BRUSHED_COAT * hand).into()))
        };
        let whites = laid(&white, 1.0);
        let coats = laid(&paint, hand);
        let mixed =
            |of_white: f64| LabD65::from(opaque_mix(&[(&paint, 1.0), (&white, of_white)]).unwrap());
        let let_down = read(mixed(3.0));
        let known = [
            format!("{own},acrylic,,,,\nwhite,#f4f4f0,acrylic,,,,"),
            format!(
                "{own},acrylic,{},{},,\nwhite,#f4f4f0,acrylic,{},{},,",
                coats[0], coats[1], whites[0], whites[1]
            ),
            format!("{own},acrylic,,,{let_down},3\nwhite,#f4f4f0,acrylic,,,,"),
        ];
        for (rows, scores) in known.iter().zip(&mut scores) {
            let shelf = shelf(&format!(
                "name,hex,medium,over_black_hex,over_white_hex,let_down_hex,let_down_parts_white\npaint,{rows}\n"
            ));
            let [pot, white] = [0, 1].map(|at| shelf.paints().nth(at).unwrap());
            for thin in [4.0, 8.0, 16.0] {
                let film = Wash::thinned(thin, 1.0).thickness() / BRUSHED_COAT;
                let truth = WashPot::new(&[(&paint, 1.0)]).unwrap();
                let truth = truth.over(&Ground::new(brick), BRUSHED_COAT * film);
                let got = coat(&shelf, &[(pot, 1.0)], brick, film);
                scores[0].push(score(got, truth.into()));
            }
            for of_white in [1.0, 6.0] {
                let got = shelf.tried(&[(pot, 1.0), (white, of_white)]).unwrap();
                scores[1].push(score(got.colour, mixed(of_white)));
            }
        }
    }
    for (what, [films, tints]) in [
        "hex alone",
        "hex and coats over both cards",
        "hex and a 1:3 let-down",
    ]
    .iter()
    .zip(scores)
    {
        line(&format!("drawn pots, films over brick: {what}"), &films, "");
        line(&format!("  their tints: {what}"), &tints, "");
    }
}

/// Both tables.
pub(super) fn coats(folder: &Path) {
    println!("coats over a black and over a white card");
    measured(folder);
    drawn(folder);
}
