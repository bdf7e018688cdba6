//! Photos without colour: grey ones, and old ones that are grey in one tint.

use super::picture::Picture;
use super::sample::sampled;
use crate::colour::OklabPoint;
use crate::linear::least_squares;
use crate::region::Region;

/// Whether a photo holds colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Monochrome {
    /// It does.
    No,
    /// It is grey.
    Grey,
    /// It is grey in one tint, as sepia prints are.
    Toned,
}

/// Chroma (Oklab) that all but one pixel in 200 of a grey picture stay below. Our choice: a coloured sample on a grey
/// ground must not pass for grey.
const GREY: f64 = 0.008;
/// Mean distance (Oklab a, b) from a tint that is a smooth function of lightness, below which a picture is toned. Our
/// choice: real walls of grey stone measured 0.006 and more.
const TONED: f64 = 0.003;

/// Tells by whether a and b follow from lightness alone (a quadratic in L, fitted).
pub(super) fn monochrome(picture: &Picture) -> Monochrome {
    if picture.grey {
        return Monochrome::Grey;
    }
    let encoded = sampled(picture, &Region::whole());
    let points: Vec<OklabPoint> = picture
        .encoding
        .to_linear(&encoded)
        .into_iter()
        .map(OklabPoint::from)
        .collect();
    // A few pixels, or one flat colour, tell nothing about the rest.
    if points.len() < 256 {
        return Monochrome::No;
    }
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let count = points.len() as f64;
    let mean = |of: &dyn Fn(&OklabPoint) -> f64| points.iter().map(of).sum::<f64>() / count;
    let mut chroma: Vec<f64> = points.iter().map(|p| p.a.hypot(p.b)).collect();
    chroma.sort_by(f64::total_cmp);
    if chroma[chroma.len() - 1 - chroma.len() / 200] < GREY {
        return Monochrome::Grey;
    }
    if !spans_the_scale(&points) {
        return Monochrome::No;
    }
    let tint_a = quadratic(&points, |p| p.a);
    let tint_b = quadratic(&points, |p| p.b);
    let at = |tint: &[f64; 3], l: f64| tint[0] + tint[1] * l + tint[2] * l * l;
    let mut away: Vec<f64> = points
        .iter()
        .map(|p| (p.a - at(&tint_a, p.l)).hypot(p.b - at(&tint_b, p.l)))
        .collect();
    away.sort_by(f64::total_cmp);
    let far = away[away.len() - 1 - away.len() / 200];
    if mean(&|p| (p.a - at(&tint_a, p.l)).hypot(p.b - at(&tint_b, p.l))) < TONED
        && far < 4.0 * TONED
    {
        Monochrome::Toned
    } else {
        Monochrome::No
    }
}

/// Steps of lightness (Oklab), and how many of them a toned print must fill.
const STEPS: usize = 25;
const FILLED: usize = 15;
/// Share of the pixels from which on a step counts as filled.
const FILL: usize = 400;

/// True when the picture fills most steps from near black to near white, as prints do. One material in light and shade,
/// or a few flat colours, fill a few, and a curve through them proves nothing.
fn spans_the_scale(points: &[OklabPoint]) -> bool {
    let mut steps = [0_usize; STEPS];
    for point in points {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "clamped to the 25 steps"
        )]
        let step = (point.l.clamp(0.0, 0.999) * STEPS as f64) as usize;
        steps[step] += 1;
    }
    steps.iter().filter(|n| **n * FILL >= points.len()).count() >= FILLED
}

/// Least-squares quadratic in lightness; flat zero when the points do not tell one.
fn quadratic(points: &[OklabPoint], of: impl Fn(&OklabPoint) -> f64) -> [f64; 3] {
    let rows = points
        .iter()
        .map(|point| ([1.0, point.l, point.l * point.l], [of(point)], 1.0));
    least_squares(rows, [0.0; 3]).map_or([0.0; 3], |[factors]| factors)
}
