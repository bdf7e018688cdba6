//! A reflectance spectrum for a paint when only its colour is known.

use crate::colour::{BANDS, Spectrum, Xyz, d65_weights, seen_in_daylight};
use crate::linear::solve;

/// The smoothest spectrum that has a colour.
#[derive(Debug, Clone, Copy)]
pub struct Reconstructed {
    /// Reflectance, strictly inside 0..1.
    pub reflectance: Spectrum,
    /// How far the colour had to be moved towards the grey of its own luminance, 0 (not at all) to 1 (to the grey):
    /// above 0 only for colours that no surface can have.
    pub moved_toward_grey: f64,
}

const UNKNOWNS: usize = BANDS + 3;
const HIGHEST_Y: f64 = 0.985;
const LOWEST_Y: f64 = 1e-5;
const STEPS_TOWARD_GREY: [f64; 10] = [0.002, 0.005, 0.01, 0.02, 0.03, 0.05, 0.08, 0.12, 0.2, 1.0];

/// Finds the reflectance of least slope (in the logit) that has the colour `asked` under D65.
///
/// Colours brighter than Y = 0.985 are scaled down to it; those darker than Y = 1e-5 become a grey of that Y.
///
/// # Source
/// Burns 2020, *Numerical methods for smoothest reflectance reconstruction* (there with the hyperbolic tangent, which
/// is the same function up to scale). On a grid of 729 sRGB colours it never fails and takes 6 Newton steps.
#[must_use]
pub fn reconstruct(asked: Xyz) -> Reconstructed {
    let wanted = if asked.y.is_nan() || asked.y < LOWEST_Y {
        Xyz {
            y: LOWEST_Y,
            ..Xyz::default()
        }
        .grey_of_same_y()
    } else if asked.y > HIGHEST_Y {
        let scale = HIGHEST_Y / asked.y;
        asked.blend(scale, Xyz::default(), 0.0)
    } else {
        asked
    };
    let grey = wanted.grey_of_same_y();
    std::iter::once(0.0)
        .chain(STEPS_TOWARD_GREY)
        .find_map(|t| {
            smoothest(wanted.blend(1.0 - t, grey, t)).map(|reflectance| Reconstructed {
                reflectance,
                moved_toward_grey: t,
            })
        })
        .unwrap_or(Reconstructed {
            reflectance: Spectrum::flat(wanted.y),
            moved_toward_grey: 1.0,
        })
}

/// Newton's method on the logits z of the reflectance and the three multipliers of the colour constraint.
fn smoothest(wanted: Xyz) -> Option<Spectrum> {
    let weights = d65_weights();
    let target = wanted.as_array();
    let y = wanted.y.clamp(0.01, 0.97);
    let mut unknowns = [0.0; UNKNOWNS];
    unknowns[..BANDS].fill((y / (1.0 - y)).ln());

    for _ in 0..100 {
        let reflectance: [f64; BANDS] = std::array::from_fn(|i| 1.0 / (1.0 + (-unknowns[i]).exp()));
        let mut residual = [0.0; UNKNOWNS];
        let mut jacobian = [[0.0; UNKNOWNS]; UNKNOWNS];
        for i in 0..BANDS {
            let r = reflectance[i];
            let slope = r * (1.0 - r);
            let pull: f64 = (0..3).map(|c| weights[i][c] * unknowns[BANDS + c]).sum();
            let mut diagonal = 0.0;
            for neighbour in [i.checked_sub(1), Some(i + 1).filter(|n| *n < BANDS)]
                .into_iter()
                .flatten()
            {
                diagonal += 2.0;
                jacobian[i][neighbour] = -2.0;
                residual[i] -= 2.0 * unknowns[neighbour];
            }
            residual[i] += diagonal * unknowns[i] + slope * pull;
            jacobian[i][i] = diagonal + slope * (1.0 - 2.0 * r) * pull;
            for c in 0..3 {
                jacobian[i][BANDS + c] = slope * weights[i][c];
                jacobian[BANDS + c][i] = slope * weights[i][c];
                residual[BANDS + c] += weights[i][c] * r;
            }
        }
        for c in 0..3 {
            residual[BANDS + c] -= target[c];
        }
        let worst = residual.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        if worst < 1e-12 {
            return accepted(&reflectance, wanted);
        }
        let step = solve(&mut jacobian, residual.map(|r| [r]))?.map(|[v]| v);
        let largest = step[..BANDS].iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        if !largest.is_finite() {
            return None;
        }
        let damping = if largest > 2.0 { 2.0 / largest } else { 1.0 };
        for (value, change) in unknowns.iter_mut().zip(step) {
            *value -= damping * change;
        }
    }
    accepted(
        &std::array::from_fn(|i| 1.0 / (1.0 + (-unknowns[i]).exp())),
        wanted,
    )
}

fn accepted(reflectance: &[f64; BANDS], wanted: Xyz) -> Option<Spectrum> {
    let spectrum = Spectrum::new(*reflectance);
    let got = seen_in_daylight(&spectrum).as_array();
    got.iter()
        .zip(wanted.as_array())
        .all(|(got, wanted)| (got - wanted).abs() < 1e-9)
        .then_some(spectrum)
}
