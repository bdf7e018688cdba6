//! The loop from a dried patch back to the pot, on drawn shelves with hidden truths.
//!
//! The truth is the mixing model itself with figures the program is not told: wrong parts in the pot, strengths other
//! than the list lets one take. What is checked is that additions and learning lead back to it.
#![expect(
    clippy::unwrap_used,
    reason = "a drawn shelf that does not mix is a fault of the test; figures are printed"
)]

#[path = "bench/exhaustive.rs"]
#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "of the oracle only its seeded shelves are used here"
)]
mod exhaustive;

use exhaustive::{Seeded, search};
use hillwash::colour::{LabD65, Spectrum, delta_e00};
use hillwash::mix::{Patch, Shelf, learnt};
use hillwash::paint::{PaintList, Prepared, opaque_mix};
use std::fmt::Write;

/// Noise of a photographed patch on each axis of CIELAB, one standard deviation about, for patches by which one learns.
const NOISE: f64 = 1.5;

fn noisy(colour: LabD65, by: f64, random: &mut Seeded) -> LabD65 {
    // Three even draws make a bell of standard deviation 1/2; twice that is 1.
    let mut bell = || 2.0 * (0..3).map(|_| random.between(-0.5, 0.5)).sum::<f64>();
    let [l, a, b] = [bell(), bell(), bell()];
    LabD65::new(
        (colour.l + by * l).clamp(1.0, 99.0),
        colour.a + by * a,
        colour.b + by * b,
    )
}

fn mixed(parts: &[(&Prepared, f64)]) -> LabD65 {
    opaque_mix(parts).unwrap().into()
}

#[test]
fn what_is_added_mends_a_pot_mixed_wrongly() {
    const WANTED: f64 = 1.5;
    const CASES: usize = 100;
    let mut random = Seeded(77);
    let (mut can, mut done, mut cannot) = (0_u32, 0_u32, 0_u32);
    let mut sum = 0.0;
    while can < u32::try_from(CASES).unwrap() {
        let shelf = random.shelf(10);
        let planned_for = random.target();
        let recipe = shelf.recipes_near(planned_for, &search(3)).remove(0);
        if recipe.parts.len() < 2 {
            continue;
        }
        let planned = recipe.colour;
        // One of the paints came out a third too much or too little, and a little of all others.
        let wrong: Vec<(usize, f64)> = recipe
            .parts
            .iter()
            .map(|(at, p)| (*at, f64::from(*p) * random.between(0.65, 1.5)))
            .collect();
        let in_pot: Vec<(&Prepared, f64)> = wrong
            .iter()
            .map(|(at, p)| (&shelf.stocks()[*at].prepared, *p))
            .collect();
        let truth = mixed(&in_pot);
        if delta_e00(truth, planned).0 < 1.5 {
            continue;
        }
        // Adding can mend what its own paints, added, can mend: that they can is known, since the truth is.
        let most = recipe
            .parts
            .iter()
            .zip(&wrong)
            .map(|((_, meant), (_, got))| got / f64::from(*meant))
            .fold(0.0, f64::max);
        let needed: f64 = recipe
            .parts
            .iter()
            .zip(&wrong)
            .map(|((_, meant), (_, got))| most * f64::from(*meant) - got)
            .sum();
        let in_all: f64 = wrong.iter().map(|(_, p)| p).sum();
        if needed > 0.8 * in_all {
            cannot += 1;
            continue;
        }
        can += 1;
        // The photo of the patch: 8 bits a channel.
        let seen = LabD65::from(truth.to_srgb8());
        let told: Vec<(usize, f64)> = recipe
            .parts
            .iter()
            .map(|(at, p)| (*at, f64::from(*p)))
            .collect();
        let Some(addition) = shelf.addition(&told, seen, planned).unwrap() else {
            continue;
        };
        let mut mended: Vec<(&Prepared, f64)> = in_pot
            .iter()
            .map(|(paint, p)| (*paint, p / in_all * f64::from(addition.per_parts)))
            .collect();
        mended.extend(
            addition
                .paints
                .iter()
                .map(|(at, p)| (&shelf.stocks()[*at].prepared, f64::from(*p))),
        );
        let left = delta_e00(mixed(&mended), planned).0;
        sum += left;
        done += u32::from(left <= WANTED);
    }
    println!(
        "additions: within ΔE00 {WANTED} of the plan in {done} of {can} (mean {:.2}); {cannot} set aside: the fault was too large to add to",
        sum / f64::from(can)
    );
    assert!(f64::from(done) >= 0.9 * f64::from(can), "{done} of {can}");
}

/// A shelf of acrylics known by their screen colours alone: white, black, the rest any colour.
fn shelf_of_unknown_strength(count: usize, random: &mut Seeded) -> Shelf {
    let mut text = "name,hex,medium\nwhite,#f2f1ec,acrylic\nblack,#1d1c1b,acrylic\n".to_owned();
    for number in 2..count {
        writeln!(text, "paint {number},{},acrylic", random.colour(75.0)).unwrap();
    }
    let read = |_: &str| Err(String::new());
    Shelf::new(&PaintList::parse("random.csv", text.as_bytes(), &read).unwrap())
}

/// A shelf whose paints are stronger and weaker than its list says.
fn with_hidden_strengths(shelf: &Shelf, random: &mut Seeded) -> Vec<Prepared> {
    shelf
        .stocks()
        .iter()
        .map(|stock| {
            let factor = random.between(-1.1, 1.1).exp();
            let scattering = stock.prepared.scattering.values().map(|s| s * factor);
            stock
                .prepared
                .clone()
                .with_scattering(Spectrum::new(scattering))
        })
        .collect()
}

/// Two or three paints in small whole parts.
fn any_pot(count: usize, random: &mut Seeded) -> Vec<(usize, f64)> {
    let mut pick = |most: usize| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a small whole number drawn evenly"
        )]
        let picked = (random.share() * most as f64) as usize;
        picked.min(most - 1)
    };
    let wanted = 2 + pick(2);
    let mut pot: Vec<(usize, f64)> = Vec::new();
    while pot.len() < wanted {
        let at = pick(count);
        if pot.iter().all(|(other, _)| *other != at) {
            #[expect(clippy::cast_precision_loss, reason = "a small whole number")]
            pot.push((at, 1.0 + pick(5) as f64));
        }
    }
    pot
}

#[test]
fn every_further_patch_makes_new_mixes_truer() {
    const SHELVES: usize = 50;
    const PAINTS: usize = 6;
    const NEW_MIXES: usize = 40;
    const AFTER: [usize; 4] = [0, 1, 2, 4];
    let mut random = Seeded(50);
    let mut errors = [0.0; AFTER.len()];
    for _ in 0..SHELVES {
        let shelf = shelf_of_unknown_strength(PAINTS, &mut random);
        let truth = with_hidden_strengths(&shelf, &mut random);
        let dried = |pot: &[(usize, f64)]| {
            mixed(
                &pot.iter()
                    .map(|(at, p)| (&truth[*at], *p))
                    .collect::<Vec<_>>(),
            )
        };
        let patches: Vec<Patch> = (0..AFTER[AFTER.len() - 1])
            .map(|_| {
                let parts = any_pot(PAINTS, &mut random);
                Patch {
                    seen: noisy(dried(&parts), NOISE, &mut random),
                    parts,
                    uncertainty: 3.0,
                }
            })
            .collect();
        let new: Vec<Vec<(usize, f64)>> = (0..NEW_MIXES)
            .map(|_| any_pot(PAINTS, &mut random))
            .collect();
        for (error, count) in errors.iter_mut().zip(AFTER) {
            let wiser = shelf.with_learnt(&learnt(&shelf, &patches[..count]));
            let sum: f64 = new
                .iter()
                .map(|pot| delta_e00(wiser.tried(pot).unwrap().colour, dried(pot)).0)
                .sum();
            *error += sum / f64::from(u32::try_from(SHELVES * NEW_MIXES).unwrap());
        }
    }
    println!("mean ΔE00 of new mixes after 0, 1, 2 and 4 patches: {errors:.2?}");
    assert!(
        errors.windows(2).all(|pair| pair[1] < pair[0]),
        "{errors:.2?}"
    );
}
