//! What a picture as a whole shows of its light: grey-world, shades of grey, and what is brightest.
//!
//! Two of them look at what is bright and err alike (correlation 0.9 over nine photos and two charts, those of one colour
//! aside); the mean of all errs by itself (0.1 to 0.4 with either). So each of the two counts a half, its variance doubled.

use super::picture::Picture;
use super::sample::sampled;
use super::witness::Witness;
use crate::colour::{LinearSrgb, Xyz};
use crate::region::Region;

/// Standard deviation along warm and green of each, natural logarithms: the mean of all light; its Minkowski mean, p = 6;
/// the brightest. From nine photos that a camera had balanced (six of them shipped with this program) and two charts,
/// those of one colour left out: 0.20, 0.18, 0.14 along warm; 0.06, 0.03, 0.03 along green, rounded up, for eleven are few.
///
/// # Source
/// Buchsbaum 1980, *A spatial processor model for object colour perception* (grey-world); Finlayson and Trezzi 2004,
/// *Shades of gray and colour constancy*; Land and `McCann` 1971, *Lightness and retinex theory* (the brightest).
const SPREADS: [(f64, f64); 3] = [(0.20, 0.10), (0.18, 0.05), (0.14, 0.05)];
/// How often the variance of each is taken.
const TIMES: [f64; 3] = [1.0, 2.0, 2.0];
/// The brightest is the mean of one in this many of the pixels that are not blown out.
const BRIGHTEST_IN: usize = 33;
/// From this encoded value on, a pixel shows nothing of colour.
const BLOWN_OUT: f64 = 0.985;

/// What the three say together; nothing where the picture has no light that counts.
pub(super) fn of_the_whole(picture: &Picture) -> Option<Witness> {
    let encoded: Vec<[f64; 3]> = sampled(picture, &Region::whole())
        .into_iter()
        .filter(|v| v.iter().all(|c| *c < BLOWN_OUT))
        .collect();
    let mut light = picture.encoding.to_linear(&encoded);
    light.sort_by(|a, b| Xyz::from(*b).y.total_cmp(&Xyz::from(*a).y));
    if light.first().is_none_or(|l| Xyz::from(*l).y <= 0.0) {
        return None;
    }
    let brightest = light.len().div_ceil(BRIGHTEST_IN);
    let said = [
        minkowski(&light, 1),
        minkowski(&light, 6),
        minkowski(&light[..brightest], 1),
    ];
    let accounts: Vec<(LinearSrgb, f64, f64)> = said
        .into_iter()
        .zip(SPREADS.into_iter().zip(TIMES))
        .map(|(light, ((warm, green), times))| (light, warm * times.sqrt(), green * times.sqrt()))
        .collect();
    Witness::picture(&accounts)
}

fn minkowski(light: &[LinearSrgb], power: i32) -> LinearSrgb {
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let count = light.len().max(1) as f64;
    let mean = |channel: fn(&LinearSrgb) -> f64| {
        let sum: f64 = light.iter().map(|l| channel(l).max(0.0).powi(power)).sum();
        (sum / count).powf(1.0 / f64::from(power))
    };
    LinearSrgb {
        r: mean(|l| l.r),
        g: mean(|l| l.g),
        b: mean(|l| l.b),
    }
}
