//! A hundred drawn hillsides: known shades in known shares with noise, laid again from a list that holds those shades
//! among others.

use crate::blends::Seeded;
use hillwash::colour::{LabD65, Xyz, delta_e00};
use hillwash::photo::Picture;
use hillwash::region::Region;
use hillwash::scatter::{WantedZone, best_blend};
use hillwash::tones::{Count, tones_of};

const HILLSIDES: usize = 100;
const SIDE: usize = 96;
/// Shades closer than this need not be told apart.
const APART: f64 = 5.0;
/// Five points of area, the size of half a part in ten.
const SHARE: f64 = 0.05;
const MEAN: f64 = 1.0;

/// Shades, their shares, and the picture of them: patches of shade with noise of some codes, as light falls on grass.
fn hillside(random: &mut Seeded, shades: usize) -> (Vec<(LabD65, f64)>, Picture) {
    let mut colours: Vec<LabD65> = Vec::new();
    while colours.len() < shades {
        let next = random.shade(1.6 * APART, &colours);
        colours.push(next);
    }
    let raw: Vec<f64> = colours.iter().map(|_| random.between(0.4, 1.0)).collect();
    let total: f64 = raw.iter().sum();
    let shares: Vec<f64> = raw.iter().map(|r| r / total).collect();
    let mut counts = vec![0.0; shades];
    let mut rgb = Vec::with_capacity(3 * SIDE * SIDE);
    for _ in 0..SIDE * SIDE {
        let mut left = random.share();
        let mut which = shades - 1;
        for (i, share) in shares.iter().enumerate() {
            if left < *share {
                which = i;
                break;
            }
            left -= share;
        }
        counts[which] += 1.0;
        for code in colours[which].to_srgb8().0 {
            // Summed thrice: as good as a bell curve, three codes wide.
            let noise = (random.share() + random.share() + random.share() - 1.5) * 6.0;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "held to a code"
            )]
            rgb.push((f64::from(code) + noise).round().clamp(0.0, 255.0) as u8);
        }
    }
    let all: f64 = counts.iter().sum();
    let drawn = colours
        .into_iter()
        .zip(counts.iter().map(|c| c / all))
        .collect();
    (drawn, Picture::from_srgb8(SIDE, SIDE, rgb).unwrap())
}

fn mean(shades: &[(LabD65, f64)]) -> LabD65 {
    shades
        .iter()
        .fold(Xyz::default(), |sum, (c, share)| {
            sum.blend(1.0, Xyz::from(*c), *share)
        })
        .into()
}

#[test]
fn a_hundred_drawn_hillsides_are_laid_again_in_their_shares() {
    let mut random = Seeded(2026);
    let (mut worst_share, mut worst_mean) = (0.0_f64, 0.0_f64);
    let mut misses = Vec::new();
    for number in 0..HILLSIDES {
        let (drawn, picture) = hillside(&mut random, 2 + number % 3);
        let found = tones_of(&picture, &Region::whole(), Count::Chosen).unwrap();
        let tones: Vec<_> = found
            .tones
            .iter()
            .map(|t| (t.colour, t.share.value()))
            .collect();
        let wanted = WantedZone {
            ground: tones[0].0,
            tones,
        };
        let mut colours: Vec<LabD65> = drawn.iter().map(|(c, _)| *c).collect();
        while colours.len() < 10 {
            let other = random.shade(1.6 * APART, &colours);
            colours.push(other);
        }
        let kinds = random.kinds(&colours);
        let blend = best_blend(&kinds, &wanted).unwrap();
        // What covers the hillside: each kind, and the ground in the colour of the first tone.
        let covers = |shade: usize| {
            let (colour, _) = drawn[shade];
            let strewn: f64 = blend
                .parts
                .iter()
                .zip(&blend.areas)
                .filter(|((kind, _), _)| *kind == shade)
                .map(|(_, area)| (1.0 - blend.ground_share) * area)
                .sum();
            let ground = delta_e00(colour, wanted.ground).0 < 0.5 * APART;
            strewn + if ground { blend.ground_share } else { 0.0 }
        };
        let off_share = (0..drawn.len())
            .map(|shade| (covers(shade) - drawn[shade].1).abs())
            .fold(0.0, f64::max);
        let off_mean = delta_e00(mean(&drawn), blend.judged.colour).0;
        worst_share = worst_share.max(off_share);
        worst_mean = worst_mean.max(off_mean);
        if off_share > SHARE || off_mean > MEAN {
            misses.push(format!(
                "hillside {number} of {} shades: shares off by {off_share:.3}, mean by {off_mean:.2}",
                drawn.len()
            ));
        }
    }
    println!(
        "worst share {worst_share:.3}, worst mean {worst_mean:.2}; {} misses",
        misses.len()
    );
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}
