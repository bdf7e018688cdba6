//! Tones without a photo: those of a measured material, or of a state between two.

use crate::colour::{DeltaE00, LabD65, delta_e00, plain_name};
use crate::linear::Normal3;
use crate::materials::{State, spread_elsewhere};
use crate::photo::Gains;
use crate::tones::{Role, Tone, Tones};
use crate::units::Share;

/// The parts of a surface that the body, the light and the dark tone cover. Our choice: the middle half is the body.
const SHARES: [f64; 3] = [0.5, 0.25, 0.25];
/// Tones nearer than this to the body are one with it: no mix holds closer.
const ONE: f64 = 2.0;

/// Body, light and dark: the third, fourth and second of its five typical reflectances. How varied it is comes from
/// all five.
pub(super) fn tones(state: &State) -> Tones {
    let colours = state.typical_light().map(LabD65::from);
    let body = colours[2];
    let apart: Vec<f64> = colours.iter().map(|c| delta_e00(body, *c).0).collect();
    let mean = apart.iter().sum::<f64>() / 5.0;
    let (spread, spread_90) = (mean / 2.0, apart.iter().copied().fold(0.0, f64::max) / 2.0);
    let mut kept: Vec<(LabD65, f64, Role)> = vec![(body, SHARES[0], Role::Body)];
    for (colour, share, role) in [
        (colours[3], SHARES[1], Role::Light),
        (colours[1], SHARES[2], Role::Shade),
    ] {
        if delta_e00(body, colour).0 >= ONE {
            kept.push((colour, share, role));
        } else {
            kept[0].1 += share;
        }
    }
    let tones = kept
        .into_iter()
        .filter_map(|(colour, share, role)| {
            Some(Tone {
                colour,
                share: Share::new(share).ok()?,
                spread: DeltaE00(spread),
                spread_90: DeltaE00(spread_90),
                name: plain_name(colour),
                role,
                shade_of: None,
            })
        })
        .collect();
    Tones {
        tones,
        mean_spread: DeltaE00(spread),
    }
}

/// How far the surface at hand may be from what was measured elsewhere.
pub(super) fn uncertainty(tones: &Tones) -> DeltaE00 {
    let elsewhere = Gains {
        log: Normal3 {
            mean: [0.0; 3],
            covariance: spread_elsewhere(),
        },
    };
    let body = tones.tones.first().map(|tone| tone.colour);
    body.map_or(DeltaE00(0.0), |colour| elsewhere.off_after(colour).total)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::materials::Material;

    #[test]
    fn shares_sum_to_one_and_light_is_lighter() {
        let worn = Material::named("asphalt road, worn").unwrap();
        let tones = tones(&State::of(worn));
        let sum: f64 = tones.tones.iter().map(|t| t.share.value()).sum();
        assert!(
            (sum - 1.0).abs() < 1e-9 && tones.tones.len() == 3,
            "{tones:?}"
        );
        assert!(tones.tones[1].colour.l > tones.tones[0].colour.l);
        assert!(tones.tones[2].colour.l < tones.tones[0].colour.l);
        assert!((2.0..8.0).contains(&uncertainty(&tones).0));
    }
}
