//! Laws of mixing that hold for any paints.

use crate::cases;
use hillwash::colour::{LabD65, Srgb8, Xyz, delta_e00};
use hillwash::paint::{
    Ground, Opacity, Prepared, Wash, WashPot, opaque_mix, opaque_reflectance, reconstruct,
    wash_over,
};
use proptest::prelude::*;

/// Sums of 36 bands in double precision, on a scale where white is 1.
const ROUNDING: f64 = 1e-12;

/// Below anything the eye tells apart: what the reconstruction of a reflectance may miss of a colour.
const NOTHING_LAID: f64 = 0.3;
/// More than L* may move when a film grows by a twentieth: a hundredfold film takes 94 such steps.
const LEAP: f64 = 3.0;

fn paint() -> impl Strategy<Value = Prepared> {
    let opacity = prop::option::of(prop::sample::select(vec![
        Opacity::Opaque,
        Opacity::SemiOpaque,
        Opacity::SemiTransparent,
        Opacity::Transparent,
    ]));
    (any::<[u8; 3]>(), opacity, 0.05..20.0_f64).prop_map(|(code, opacity, strength)| {
        Prepared::from_colour(Xyz::from(Srgb8(code).to_linear()), opacity, strength)
    })
}

/// One to four paints with parts of 0.1 to 12.
fn pot() -> impl Strategy<Value = Vec<(Prepared, f64)>> {
    prop::collection::vec((paint(), 0.1..12.0_f64), 1..=4)
}

fn in_parts(pot: &[(Prepared, f64)]) -> Vec<(&Prepared, f64)> {
    pot.iter().map(|(paint, parts)| (paint, *parts)).collect()
}

fn near(a: Xyz, b: Xyz) -> bool {
    a.as_array()
        .iter()
        .zip(b.as_array())
        .all(|(a, b)| (a - b).abs() <= ROUNDING)
}

fn wash() -> impl Strategy<Value = Wash> {
    (0.0..=1.0_f64, 1..=3_u8, 0.1..1.0_f64, 1.0..8.0_f64).prop_map(
        |(paint_share, passes, film, pool)| Wash {
            paint_share,
            passes: f64::from(passes),
            film,
            pool,
        },
    )
}

proptest! {
    #![proptest_config(cases(1500))]

    #[test]
    fn one_paint_alone_is_itself(paint in paint(), parts in 0.01..100.0_f64) {
        let alone = opaque_mix(&[(&paint, parts)]).unwrap();
        prop_assert!(near(alone, paint.xyz), "{alone:?} for {:?}", paint.xyz);
    }

    #[test]
    fn adding_black_never_lightens_a_mix(pot in pot(), black in 0.1..12.0_f64) {
        let darkest = Prepared::from_colour(Xyz::default(), Some(Opacity::Opaque), 1.0);
        let mut parts = in_parts(&pot);
        let without = opaque_mix(&parts).unwrap();
        parts.push((&darkest, black));
        let with = opaque_mix(&parts).unwrap();
        prop_assert!(with.y <= without.y + ROUNDING, "{without:?} to {with:?}");
        // More of it darkens further.
        parts.push((&darkest, black));
        let more = opaque_mix(&parts).unwrap();
        prop_assert!(more.y <= with.y + ROUNDING, "{with:?} to {more:?}");
    }

    #[test]
    fn the_order_of_paints_does_not_matter(pot in pot(), wash in wash(), base in any::<[u8; 3]>()) {
        let base = Xyz::from(Srgb8(base).to_linear());
        let there = in_parts(&pot);
        let back: Vec<_> = there.iter().rev().copied().collect();
        prop_assert!(near(opaque_mix(&there).unwrap(), opaque_mix(&back).unwrap()));
        let (one, other) = (wash_over(base, &there, &wash).unwrap(), wash_over(base, &back, &wash).unwrap());
        prop_assert!(near(one.flat, other.flat) && near(one.recess, other.recess));
    }

    #[test]
    fn only_the_ratio_of_parts_counts(pot in pot(), factor in 0.01..100.0_f64, wash in wash()) {
        let parts = in_parts(&pot);
        let scaled: Vec<_> = parts.iter().map(|(paint, p)| (*paint, p * factor)).collect();
        prop_assert!(near(opaque_mix(&parts).unwrap(), opaque_mix(&scaled).unwrap()));
        let base = Xyz::from(Srgb8([0x9c, 0x5a, 0x44]).to_linear());
        let (one, other) = (wash_over(base, &parts, &wash).unwrap(), wash_over(base, &scaled, &wash).unwrap());
        prop_assert!(near(one.flat, other.flat) && near(one.recess, other.recess));
    }

    #[test]
    fn a_mix_is_a_colour_no_lighter_than_white(pot in pot()) {
        let mix = opaque_mix(&in_parts(&pot)).unwrap();
        prop_assert!(mix.as_array().iter().all(|v| v.is_finite() && *v >= 0.0), "{mix:?}");
        prop_assert!(mix.y <= 1.0 + ROUNDING, "{mix:?}");
        prop_assert!(LabD65::from(mix).l.is_finite());
    }

    #[test]
    fn a_wash_lies_between_its_base_and_its_paint_laid_thick(
        base in any::<u8>(),
        paint in any::<u8>(),
        strength in 0.05..20.0_f64,
        wash in wash(),
    ) {
        // In every band a film runs from the base to the endless layer (Kubelka 1948); so does Y, their weighted sum,
        // when all bands go the same way, as with a grey over a grey.
        let grey = |v: u8| Xyz::from(Srgb8([v; 3]).to_linear());
        let paint = Prepared::from_colour(grey(paint), None, strength);
        let laid = |wash: &Wash| wash_over(grey(base), &[(&paint, 1.0)], wash).unwrap();
        let nothing = laid(&Wash { paint_share: 0.0, ..wash }).flat.y;
        let thick = laid(&Wash { paint_share: 1.0, film: 1e6, ..wash }).flat.y;
        let film = laid(&wash);
        let (low, high) = (nothing.min(thick), nothing.max(thick));
        for y in [film.flat.y, film.recess.y] {
            prop_assert!((low - ROUNDING..=high + ROUNDING).contains(&y), "{y} not within {low} to {high}");
        }
        // A recess holds the thicker film: it lies nearer to the paint.
        let nearer = (film.recess.y - thick).abs() <= (film.flat.y - thick).abs() + ROUNDING;
        prop_assert!(nearer, "{film:?} for {thick}");
    }
}

proptest! {
    #![proptest_config(cases(100))]

    #[test]
    fn a_film_has_no_step_from_nothing_to_hiding_its_base_also_over_near_black(
        base in any::<[u8; 3]>(),
        dark in 1..12_u8,
        paint in paint(),
    ) {
        // Lightness against thickness, in steps of a twentieth: a step of the model would show as a leap (a base of #111111
        // once leapt from L* 5 to 15 under the thinnest black film).
        let base = Xyz::from(Srgb8(base.map(|v| v / dark)).to_linear());
        let (ground, pot) = (Ground::new(base), WashPot::new(&[(&paint, 1.0)]).unwrap());
        let over = |thickness: f64| LabD65::from(pot.over(&ground, thickness));
        prop_assert!(delta_e00(over(0.0), base.into()).0 < NOTHING_LAID, "{:?}", over(0.0));
        let mut before = over(1e-7);
        prop_assert!(delta_e00(before, over(0.0)).0 < NOTHING_LAID);
        let mut film = 1e-7;
        while film < 1e4 {
            film *= 1.05;
            let now = over(film);
            prop_assert!((now.l - before.l).abs() < LEAP, "{before:?} to {now:?} at {film}");
            before = now;
        }
        let own = LabD65::from(opaque_mix(&[(&paint, 1.0)]).unwrap());
        prop_assert!(delta_e00(before, own).0 < NOTHING_LAID, "{before:?} for {own:?}");
    }

    #[test]
    fn a_film_of_a_pot_darker_in_every_band_than_its_base_or_lighter_in_every_band_never_turns_back(
        base in any::<[u8; 3]>(),
        pot in pot(),
    ) {
        // In every band a film runs one way from its base to the endless layer (Kubelka 1948). Where all bands go the same way,
        // lightness does too. (A red over a blue of its own lightness darkens before it lightens: that is no fault.)
        let base = Xyz::from(Srgb8(base).to_linear());
        let (ground, parts) = (Ground::new(base), in_parts(&pot));
        let under = reconstruct(base).reflectance;
        let laid_thick = opaque_reflectance(&parts).unwrap();
        let bands = || laid_thick.values().iter().zip(under.values());
        let lighter = bands().all(|(thick, bare)| thick >= bare);
        prop_assume!(lighter || bands().all(|(thick, bare)| thick <= bare));
        let films = WashPot::new(&parts).unwrap().laid_on(&ground);
        let mut before = films.at(0.0).y;
        for step in 0..160 {
            let now = films.at(1e-4 * 1.1_f64.powi(step)).y;
            let turned = if lighter { before - now } else { now - before };
            prop_assert!(turned < 1e-6, "{before} to {now}, lighter: {lighter}");
            before = now;
        }
    }

    #[test]
    fn a_grey_film_darkens_or_lightens_without_turning_back(
        base in any::<u8>(),
        paint in any::<u8>(),
        transparent in any::<bool>(),
    ) {
        let grey = |v: u8| Xyz::from(Srgb8([v; 3]).to_linear());
        let word = transparent.then_some(Opacity::Transparent);
        let paint = Prepared::from_colour(grey(paint), word, 1.0);
        let (ground, pot) = (Ground::new(grey(base)), WashPot::new(&[(&paint, 1.0)]).unwrap());
        let over = |thickness: f64| pot.over(&ground, thickness).y;
        let lighter = paint.xyz.y > over(0.0);
        let mut before = over(0.0);
        for step in 0..120 {
            let now = over(1e-4 * 1.15_f64.powi(step));
            let turned = if lighter { before - now } else { now - before };
            prop_assert!(turned < 1e-4, "{before} to {now} for {}", paint.xyz.y);
            before = now;
        }
    }
}
