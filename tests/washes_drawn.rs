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
use hillwash::paint::{MixingFamily, Opacity, PaintList, Prepared, Wash, wash_over};
use hillwash::wash::{NoWash, WantedWash, WashPaint, WashSearch, WayOfLaying, solve};

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

fn demo_list() -> PaintList {
    PaintList::parse("paints.csv", PAINTS.as_bytes(), &|_| Err("none".to_owned())).unwrap()
}

fn wash_paint(stock: &Stock) -> WashPaint<'_> {
    WashPaint {
        prepared: &stock.prepared,
        family: stock.family,
        opacity: stock.opacity,
    }
}

#[test]
fn a_wash_of_two_paints_is_found_again_in_any_ratio_of_up_to_three_parts() {
    let list = demo_list();
    let shelf = Shelf::new(&list);
    let members = &shelf.families()[0].1;
    // The lightest and the darkest differ most, so that a wrong ratio is seen.
    let light = |at: &&_| shelf[**at].prepared.lab.l;
    let by = |a: &&_, b: &&_| light(a).total_cmp(&light(b));
    let two = [members.iter().max_by(by), members.iter().min_by(by)];
    let two = two.map(|at| &shelf[*at.unwrap()]);
    let paints = two.map(wash_paint);
    let base = LabD65::from(Srgb8([0xa4, 0x52, 0x3a]));
    for ratio in [[1, 1], [1, 2], [2, 1], [1, 3], [3, 1], [2, 3], [3, 2]] {
        let parts = [0, 1].map(|at| (&two[at].prepared, f64::from(ratio[at])));
        // Three passes of half paint nearly hide the base, so that no thinning stands in for a ratio.
        let film = wash_over(Xyz::from(base), &parts, &Wash::thinned(1.0, 3.0)).unwrap();
        let wanted = WantedWash {
            flat: film.flat.into(),
            recess: film.recess.into(),
            recess_weight: 1.0,
        };
        let solved = solve(base, &wanted, &paints, &WashSearch::default()).unwrap();
        let off = solved.flat_off.0.max(solved.recess_off.0);
        // What is easier to lay may be told instead if it comes as near as can be seen.
        assert!(off < 1.0, "{ratio:?}: off by {off}: {solved:?}");
        if let WayOfLaying::OneWash(one) = &solved.laid {
            // By hand: 1 part of paint in 1 + thin parts of wash, so many times.
            let strength = f64::from(one.passes) / f64::from(1 + one.thin);
            assert!((one.strength() - strength).abs() < 1e-12);
        }
    }
}

#[test]
fn a_pale_wash_takes_an_opaque_paint_and_a_dark_one_what_is_listed_first() {
    // Common practice, no source: a transparent paint hardly lightens what it lies on. Two of one colour and one make, of
    // which the list calls the first transparent.
    let paint = |l: f64| Prepared::from_colour(LabD65::new(l, 4.0, 12.0).into(), None, 1.0);
    let (light, dark) = (paint(85.0), paint(20.0));
    let taken = |prepared: &Prepared, base: f64, flat: f64, (recess, recess_weight)| {
        let of = |opacity| WashPaint {
            prepared,
            family: MixingFamily::WaterBorne,
            opacity: Some(opacity),
        };
        let paints = [of(Opacity::Transparent), of(Opacity::Opaque)];
        let at = |l: f64| LabD65::new(l, 4.0, 12.0);
        let wanted = WantedWash {
            flat: at(flat),
            recess: at(recess),
            recess_weight,
        };
        let solved = solve(at(base), &wanted, &paints, &WashSearch::default()).unwrap();
        match solved.laid {
            WayOfLaying::OneWash(wash) | WayOfLaying::Pin(wash) => wash.parts,
            WayOfLaying::FilterAndPin { filter, .. } => filter.parts,
        }
    };
    assert_eq!(
        taken(&light, 40.0, 48.0, (60.0, 1.0)),
        [(1, 1)],
        "pale over dark"
    );
    assert_eq!(
        taken(&light, 40.0, 48.0, (40.0, 0.02)),
        [(1, 1)],
        "pale on flats"
    );
    assert_eq!(
        taken(&dark, 75.0, 65.0, (50.0, 1.0)),
        [(0, 1)],
        "dark over pale"
    );
}

#[test]
fn dark_joints_beside_flats_that_stay_as_they_are_want_a_pin_wash() {
    // No film that darkens a recess so far leaves the flats as they are.
    let list = demo_list();
    let shelf = Shelf::new(&list);
    let paints: Vec<WashPaint<'_>> = shelf.families()[0]
        .1
        .iter()
        .map(|at| wash_paint(&shelf[*at]))
        .collect();
    let base = LabD65::new(70.0, 6.0, 14.0);
    let wanted = WantedWash {
        flat: base,
        recess: LabD65::new(25.0, 3.0, 6.0),
        recess_weight: 1.0,
    };
    let solved = solve(base, &wanted, &paints, &WashSearch::default()).unwrap();
    assert!(
        matches!(
            solved.laid,
            WayOfLaying::Pin(_) | WayOfLaying::FilterAndPin { .. }
        ),
        "{solved:?}"
    );
    assert!(solved.flat_off.0 < 2.0, "{solved:?}");
}

/// A paint of any colour, as a list knows it by its screen colour.
fn any_paint(draw: &mut Draw) -> Prepared {
    let hex = [0; 3].map(|_: u8| draw.of(&[0x10, 0x30, 0x50, 0x70, 0x90, 0xb0, 0xd0, 0xf0_u8]));
    let opacity = draw.of(&[None, Some(Opacity::Opaque), Some(Opacity::Transparent)]);
    Prepared::from_colour(Srgb8(hex).to_linear().into(), opacity, 1.0)
}

fn water_borne(prepared: &Prepared) -> WashPaint<'_> {
    WashPaint {
        prepared,
        family: MixingFamily::WaterBorne,
        opacity: None,
    }
}

#[test]
fn a_wash_meant_to_darken_ends_nowhere_lighter_and_where_none_helps_the_paint_that_is_named_does() {
    const DRAWN: usize = 150;
    let mut draw = Draw(18);
    let (mut laid, mut none, mut helped) = (0, 0, 0);
    for n in 0..DRAWN {
        let paints: Vec<Prepared> = (0..2 + n % 7).map(|_| any_paint(&mut draw)).collect();
        let mut listed: Vec<WashPaint<'_>> = paints.iter().map(water_borne).collect();
        // Half of the bases are dark or near-black.
        let most = if n % 2 == 0 { 30.0 } else { 80.0 };
        let colour =
            |draw: &mut Draw, l: f64| LabD65::new(l, 30.0 * draw.unit(), 30.0 * draw.unit());
        let l = 6.0 + (most - 6.0) * (draw.unit() + 0.5);
        let base = colour(&mut draw, l);
        let darker = 2.0 + (draw.unit() + 0.5) * (base.l - 4.0).max(0.0);
        let wanted = WantedWash {
            flat: LabD65::new(base.l - 0.3 * darker, base.a, base.b),
            recess: colour(&mut draw, (base.l - darker).max(1.0)),
            recess_weight: 1.0,
        };
        match solve(base, &wanted, &listed, &WashSearch::default()) {
            Ok(found) => {
                laid += 1;
                for (what, l) in [("flats", found.flat.l), ("recesses", found.recess.l)] {
                    assert!(l <= base.l + 1e-6, "{what} of {n} from {base:?}: {found:?}");
                }
                for wash in found.washes() {
                    assert!(wash.thin <= 32 || wash.from_stock().is_some(), "{wash:?}");
                }
            }
            Err(NoWash::NotNeeded) => {}
            Err(why) => {
                none += 1;
                let NoWash::NoneHelps { near: Some(near) } = why else {
                    continue;
                };
                let named = Prepared::from_colour(Xyz::from(near).clamped(), None, 1.0);
                listed.push(water_borne(&named));
                let then = solve(base, &wanted, &listed, &WashSearch::default());
                assert!(
                    then.is_ok(),
                    "{n}: {near:?} does not help {base:?}: {then:?}"
                );
                helped += 1;
            }
        }
    }
    println!(
        "of {DRAWN} washes meant to darken {laid} are laid, {none} not; the paint named helps in {helped}"
    );
    // Lists are of two to eight paints of any colour: most have nothing that helps.
    assert!(laid >= DRAWN / 4 && helped >= DRAWN / 4 && none > 0);
}

#[test]
fn drawn_washes_are_found_again_by_their_colours() {
    let list = demo_list();
    let shelf = Shelf::new(&list);
    let members = &shelf.families()[0].1;
    let stocks: Vec<&Stock> = members.iter().map(|at| &shelf[*at]).collect();
    let paints: Vec<WashPaint<'_>> = stocks.iter().map(|stock| wash_paint(stock)).collect();
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
