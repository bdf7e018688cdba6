//! Passes laid one over another, against published gap fractions and against a rain of discs.

use crate::blends::{Seeded, wanted_of};
use crate::rain::{MOST, Rain};
use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::scatter::{LayOrder, best_blend, laying_order, shown, thicknesses};

#[test]
fn thicknesses_and_what_shows_are_inverse() {
    // Nilson 1971: n times the mass that covers once leaves exp(-n) bare; 2.3026 leaves a tenth.
    let (shares, bare) = shown(&[vec![std::f64::consts::LN_10]]);
    assert!((bare - 0.1).abs() < 1e-12 && (shares[0][0] - 0.9).abs() < 1e-12);
    let mut random = Seeded(3);
    for _ in 0..200 {
        let passes: Vec<Vec<f64>> = (0..4)
            .map(|_| {
                (0..=(random.share() * 2.0) as usize)
                    .map(|_| random.between(0.01, 0.1))
                    .collect()
            })
            .collect();
        let (back, bare) = shown(&thicknesses(&passes));
        for (wanted, got) in passes.iter().flatten().zip(back.iter().flatten()) {
            assert!((wanted - got).abs() < 1e-9);
        }
        let ground = 1.0 - passes.iter().flatten().sum::<f64>();
        assert!((ground - bare).abs() < 1e-9);
    }
}

#[test]
fn a_later_pass_hides_some_of_all_before_it() {
    // Laid as if side by side, a last pass that covers 60 % leaves 40 % of what was there: not what was planned.
    let (shares, bare) = shown(&[vec![1.0], vec![-(0.4_f64).ln()]]);
    assert!((shares[1][0] - 0.6).abs() < 1e-12);
    assert!((shares[0][0] - 0.4 * (1.0 - (-1.0_f64).exp())).abs() < 1e-12);
    assert!((bare - 0.4 * (-1.0_f64).exp()).abs() < 1e-12);
}

/// Discs thrown at random with the grams of the plan show the planned shares and mean, seen from above; the benchmark
/// `rain` does the same for more zones, for domes, and from low down.
#[test]
fn a_rain_of_discs_shows_what_was_planned() {
    let mut random = Seeded(40);
    let zones = 12;
    let mut missed = 0;
    for _ in 0..zones {
        let colours: Vec<_> = (0..10).map(|_| random.shade(6.0, &[])).collect();
        let kinds = random.kinds(&colours);
        let tones: Vec<_> = (0..3).map(|_| random.shade(8.0, &[])).collect();
        let wanted = wanted_of(&mut random, &tones);
        let blend = best_blend(&kinds, &wanted).unwrap();
        let layers = laying_order(&blend, &kinds, wanted.ground, LayOrder::CoarseFirst, None);
        let seen = Rain::of(&blend, &kinds, &layers, 0.0, &mut random).above();
        let mut mean = Xyz::default().blend(1.0, wanted.ground.into(), seen[MOST]);
        let mut off: f64 = (seen[MOST] - blend.ground_share).abs();
        for (at, (kind, _)) in blend.parts.iter().enumerate() {
            mean = mean.blend(1.0, kinds[*kind].xyz, seen[at]);
            off = off.max((seen[at] - (1.0 - blend.ground_share) * blend.areas[at]).abs());
        }
        let colour_off = delta_e00(LabD65::from(mean), blend.judged.colour).0;
        missed += u32::from(off > 0.04 || colour_off > 1.0);
    }
    assert!(missed <= 1, "{missed} of {zones} zones");
}
