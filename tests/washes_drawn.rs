//! Washes drawn at random and solved back: known paints, thinning and passes give colours of flats and recesses, noise of
//! about what a photo adds is laid on them, and the solver must come back to the colours. A quarter are pale mortar
//! washes over darker bases.
//!
//! The paints are those of the demo scene, invented. Limits are those the model's study promised, our choice.
#![expect(
    clippy::unwrap_used,
    reason = "an invented list that cannot be read is a fault of the test"
)]

use hillwash::colour::{LabD65, Srgb8, Xyz, delta_e00};
use hillwash::mix::{Shelf, Stock};
use hillwash::paint::{Opacity, PaintList, Prepared, Wash, wash_over};
use hillwash::wash::{WantedWash, WashPaint, WashSearch, WayOfLaying, solve};

const PAINTS: &str = include_str!("../sample-photos/brewery-yard/paints.csv");
/// Problems, and the pale ones among them.
const PROBLEMS: usize = 100;
const PALE: usize = 25;
/// Noise on each colour, CIEDE2000.
const NOISE: f64 = 1.0;
/// Flats and recesses count as found within so much of the truth.
const FOUND_WITHIN: f64 = 2.0;
/// Of the problems, so many in a hundred must be found, and their strength lie in the range that the answer states.
const AT_LEAST: usize = 90;

/// A wash of another hue than its base darkens some bands and lightens others, and need not do so in step: L* may turn
/// by so much once the film nearly hides the base.
const TURN: f64 = 0.5;

const DARK_BASES: [[u8; 3]; 5] = [
    [0xa4, 0x52, 0x3a],
    [0xcb, 0xbf, 0x9f],
    [0x8f, 0x8f, 0x8c],
    [0xb1, 0x7b, 0x67],
    [0x9b, 0x9a, 0x92],
];
const BASES_FOR_MORTAR: [[u8; 3]; 4] = [
    [0x8a, 0x46, 0x32],
    [0x5d, 0x3d, 0x36],
    [0x56, 0x5b, 0x60],
    [0x6b, 0x5a, 0x41],
];

/// A small generator of numbers, always the same ones.
///
/// # Source
/// Steele, Lea and Flood 2014, *Fast splittable pseudorandom number generators*.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn of<T: Copy>(&mut self, from: &[T]) -> T {
        from[usize::try_from(self.next() % from.len() as u64).unwrap()]
    }

    fn unit(&mut self) -> f64 {
        f64::from(u32::try_from(self.next() >> 40).unwrap()) / f64::from(1_u32 << 24) - 0.5
    }

    /// The same colour, moved by `NOISE` in a drawn direction.
    fn noisy(&mut self, colour: LabD65) -> LabD65 {
        let to = [self.unit(), self.unit(), self.unit()];
        let moved = |by: f64| {
            LabD65::new(
                colour.l + by * to[0],
                colour.a + by * to[1],
                colour.b + by * to[2],
            )
        };
        // Differences grow with the step: halve the bracket.
        let (mut low, mut high) = (0.0, 40.0);
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if delta_e00(colour, moved(middle)).0 < NOISE {
                low = middle;
            } else {
                high = middle;
            }
        }
        moved(low)
    }
}

struct Problem {
    base: LabD65,
    flat: LabD65,
    recess: LabD65,
    strength: f64,
    pale: bool,
    what: String,
}

/// What lies in the recesses: grime, or pale mortar.
#[derive(Clone, Copy, PartialEq)]
enum Recesses {
    Dark,
    Pale,
}

/// A drawn wash that shows: its recesses differ from the base, in the wanted direction.
fn problem(draw: &mut Draw, stocks: &[&Stock], recesses: Recesses) -> Problem {
    let pale = recesses == Recesses::Pale;
    loop {
        let base = LabD65::from(Srgb8(draw.of(if pale {
            &BASES_FOR_MORTAR[..]
        } else {
            &DARK_BASES[..]
        })));
        let scatters = |stock: &&&Stock| {
            !pale
                || !matches!(
                    stock.opacity,
                    Some(Opacity::Transparent | Opacity::SemiTransparent)
                )
        };
        let usable: Vec<&Stock> = stocks.iter().filter(scatters).copied().collect();
        let one = draw.of(&usable);
        let two = draw.of(&usable);
        let parts: Vec<(&Prepared, f64)> =
            if draw.next().is_multiple_of(2) || one.index == two.index {
                vec![(&one.prepared, 1.0)]
            } else {
                vec![
                    (&one.prepared, draw.of(&[1.0, 2.0, 3.0])),
                    (&two.prepared, draw.of(&[1.0, 2.0, 3.0])),
                ]
            };
        let thin = draw.of(&[1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0]);
        let passes = draw.of(&[1.0, 2.0, 3.0]);
        let film = wash_over(Xyz::from(base), &parts, &Wash::thinned(thin, passes)).unwrap();
        let (flat, recess) = (LabD65::from(film.flat), LabD65::from(film.recess));
        let shows = if pale {
            recess.l > base.l + 4.0
        } else {
            recess.l < base.l - 4.0
        };
        if shows {
            return Problem {
                base,
                flat,
                recess,
                strength: passes / (1.0 + thin),
                pale,
                what: format!(
                    "{} and {}, thin {thin}, passes {passes}",
                    one.name, two.name
                ),
            };
        }
    }
}

#[test]
fn drawn_washes_are_found_again_by_their_colours() {
    let list =
        PaintList::parse("paints.csv", PAINTS.as_bytes(), &|_| Err("none".to_owned())).unwrap();
    let shelf = Shelf::new(&list);
    let members = &shelf.families()[0].1;
    let stocks: Vec<&Stock> = members.iter().map(|at| &shelf[*at]).collect();
    let paints: Vec<WashPaint<'_>> = stocks
        .iter()
        .map(|stock| WashPaint {
            prepared: &stock.prepared,
            family: stock.family,
            opacity: stock.opacity,
        })
        .collect();
    let mut draw = Draw(20);
    let (mut found, mut strengths, mut pale_found) = (0, 0, 0);
    let mut told = Vec::new();
    for n in 0..PROBLEMS {
        let recesses = if n < PALE {
            Recesses::Pale
        } else {
            Recesses::Dark
        };
        let drawn = problem(&mut draw, &stocks, recesses);
        let wanted = WantedWash {
            flat: draw.noisy(drawn.flat),
            recess: draw.noisy(drawn.recess),
            recess_weight: 1.0,
        };
        let solved = solve(drawn.base, &wanted, &paints, &WashSearch::default()).unwrap();
        let off = [
            delta_e00(solved.flat, drawn.flat).0,
            delta_e00(solved.recess, drawn.recess).0,
        ];
        // One film, laid thicker in recesses: it must go the way of its paint.
        if let WayOfLaying::OneWash(one) = &solved.laid {
            if drawn.pale {
                assert!(one.recess.l >= one.flat.l - TURN, "{}: {one:?}", drawn.what);
            } else if one.own.l < drawn.base.l {
                assert!(one.recess.l <= one.flat.l + TURN, "{}: {one:?}", drawn.what);
            }
        }
        if off[0].max(off[1]) <= FOUND_WITHIN {
            found += 1;
            pale_found += usize::from(drawn.pale);
        } else {
            told.push(format!("{}: off by {off:.1?}: {solved:?}", drawn.what));
        }
        let range = solved.ambiguity.weakest..=solved.ambiguity.strongest;
        strengths += usize::from(range.contains(&drawn.strength));
    }
    println!(
        "found {found} of {PROBLEMS}, {pale_found} of {PALE} pale; strength within what is stated: {strengths}"
    );
    assert!(found * 100 >= AT_LEAST * PROBLEMS, "{found}: {told:#?}");
    assert!(
        pale_found * 100 >= AT_LEAST * PALE,
        "{pale_found}: {told:#?}"
    );
    assert!(strengths * 100 >= AT_LEAST * PROBLEMS, "{strengths}");
}
