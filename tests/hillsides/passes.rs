//! Passes laid one over another, against published gap fractions and against a rain of discs.

use crate::blends::{Seeded, wanted_of};
use crate::rain::{Lies, MOST, Rain};
use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::scatter::{
    Blend, LayOrder, Layer, ScatterKind, WantedZone, best_blend, laying_order, seen_from, shown,
    thicknesses,
};

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

/// A drawn zone, laid, whose grains stand so high in turn.
fn laid(random: &mut Seeded, stands: &[f64]) -> (WantedZone, Vec<ScatterKind>, Blend, Vec<Layer>) {
    let colours: Vec<_> = (0..10).map(|_| random.shade(6.0, &[])).collect();
    let mut kinds = random.kinds(&colours);
    for (kind, stands) in kinds.iter_mut().zip(stands.iter().cycle()) {
        kind.stands = *stands;
    }
    let tones: Vec<_> = (0..3).map(|_| random.shade(8.0, &[])).collect();
    let wanted = wanted_of(random, &tones);
    let blend = best_blend(&kinds, &wanted).unwrap();
    let layers = laying_order(&blend, &kinds, wanted.ground, LayOrder::CoarseFirst, None);
    (wanted, kinds, blend, layers)
}

/// How far drawn grains lie from what is told of them, from above and from 30°: worst share and mean colour.
fn offs(random: &mut Seeded, stands: &[f64]) -> [(f64, f64); 2] {
    let (wanted, kinds, blend, layers) = laid(random, stands);
    let rain = Rain::of(&blend, &kinds, &layers, Lies::Draped, random);
    let above: Vec<f64> = blend
        .areas
        .iter()
        .map(|area| (1.0 - blend.ground_share) * area)
        .collect();
    let low = seen_from(&blend, &kinds, &layers, wanted.ground, 30.0);
    let told = [
        (blend.judged.colour, above, blend.ground_share, rain.above()),
        (low.0, low.1, low.2, rain.low(30.0)),
    ];
    told.map(|(colour, shares, ground, seen)| {
        let mut mean = Xyz::default().blend(1.0, wanted.ground.into(), seen[MOST]);
        let mut off: f64 = (seen[MOST] - ground).abs();
        for (at, (kind, _)) in blend.parts.iter().enumerate() {
            mean = mean.blend(1.0, kinds[*kind].xyz, seen[at]);
            off = off.max((seen[at] - shares[at]).abs());
        }
        (off, delta_e00(LabD65::from(mean), colour).0)
    })
}

/// Grains thrown at random with the grams of the plan show the planned shares and mean; discs from any height. The
/// benchmark `rain` does the same for more zones and other grains.
#[test]
fn a_rain_of_discs_shows_what_was_planned_from_above_and_from_low_down() {
    let mut random = Seeded(40);
    let mut missed = [0; 2];
    for _ in 0..12 {
        for (missed, (share, colour)) in missed.iter_mut().zip(offs(&mut random, &[0.0])) {
            *missed += u32::from(share > 0.04 || colour > 1.0);
        }
    }
    assert!(missed.iter().all(|missed| *missed <= 1), "{missed:?} of 12");
}

#[test]
fn a_rain_of_standing_grains_shows_what_was_planned_and_from_low_down_nearly() {
    let mut random = Seeded(41);
    let (mut missed, mut worst) = (0, 0.0_f64);
    for _ in 0..12 {
        let [above, low] = offs(&mut random, &[1.0, 0.0, 0.5]);
        missed += u32::from(above.0 > 0.04 || above.1 > 1.0);
        worst = worst.max(low.0);
    }
    assert!(missed <= 1, "{missed} of 12 from above");
    assert!(worst < 0.07, "{worst} from 30 degrees");
}

#[test]
fn from_straight_above_nothing_more_is_hidden() {
    // Nilson 1971 along a plumb line: what `shown` says of the same thicknesses.
    let mut random = Seeded(42);
    for _ in 0..20 {
        let (wanted, kinds, blend, layers) = laid(&mut random, &[1.0, 0.3]);
        let (_, shares, ground) = seen_from(&blend, &kinds, &layers, wanted.ground, 90.0);
        assert!((ground - blend.ground_share).abs() < 1e-3);
        for (share, area) in shares.iter().zip(&blend.areas) {
            assert!((share - (1.0 - blend.ground_share) * area).abs() < 2e-3);
        }
    }
}
