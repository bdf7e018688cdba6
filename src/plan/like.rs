//! Tones without a photo: those of a measured material, or of a state between two.

use crate::colour::{DeltaE00, LabD65, delta_e00, plain_name, seen_in_daylight};
use crate::linear::Normal3;
use crate::materials::{Material, State};
use crate::photo::Gains;
use crate::tones::{Role, Tone, Tones};
use crate::units::Share;

/// The parts of a surface that the body, the light and the dark tone cover. Our choice: the middle half is the body.
const SHARES: [f64; 3] = [0.5, 0.25, 0.25];
/// Tones nearer than this to the body are one with it: no mix holds closer.
const ONE: f64 = 2.0;

/// Body, light and dark of a material, or of a state between two; how varied it is comes from all five of its typical
/// reflectances.
#[must_use]
pub fn tones_like(state: &State) -> Tones {
    let [dark, body, light] = state
        .dark_body_light()
        .map(|spectrum| LabD65::from(seen_in_daylight(&spectrum)));
    let all = state.typical_light().map(LabD65::from);
    let apart: Vec<f64> = all.iter().map(|c| delta_e00(body, *c).0).collect();
    let mean = apart.iter().sum::<f64>() / 5.0;
    let (spread, spread_90) = (mean / 2.0, apart.iter().copied().fold(0.0, f64::max) / 2.0);
    let mut kept: Vec<(LabD65, f64, Role)> = vec![(body, SHARES[0], Role::Body)];
    for (colour, share, role) in [
        (light, SHARES[1], Role::Light),
        (dark, SHARES[2], Role::Shade),
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
                thin: false,
                joined: Vec::new(),
                named_by: Vec::new(),
            })
        })
        .collect();
    Tones {
        tones,
        mean_spread: DeltaE00(spread),
        not_found: Vec::new(),
    }
}

/// How far a surface of that kind may be from these tones: as much as the measured ones differ among themselves, and as
/// other places may. Between two states, as the one that varies more.
pub(super) fn uncertainty(state: &State, tones: &Tones) -> DeltaE00 {
    let body = tones.tones.first().map(|tone| tone.colour);
    let off = |material: &Material| {
        let covariance = material.elsewhere().covariance;
        let log = Normal3 {
            mean: [0.0; 3],
            covariance,
        };
        body.map_or(0.0, |colour| Gains { log }.off_after(colour).total.0)
    };
    DeltaE00(off(state.from).max(off(state.to)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_sum_to_one_and_light_is_lighter() {
        let worn = Material::named("asphalt road, worn").unwrap();
        let tones = tones_like(&State::of_material(worn));
        let sum: f64 = tones.tones.iter().map(|t| t.share.value()).sum();
        assert!(
            (sum - 1.0).abs() < 1e-9 && tones.tones.len() == 3,
            "{tones:?}"
        );
        assert!(tones.tones[1].colour.l > tones.tones[0].colour.l);
        assert!(tones.tones[2].colour.l < tones.tones[0].colour.l);
        let off = uncertainty(&State::of_material(worn), &tones).0;
        assert!((4.0..10.0).contains(&off), "{off}");
    }
}
