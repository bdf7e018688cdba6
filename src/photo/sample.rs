//! The light of a part of a picture, from some ten thousand of its pixels at most.

use super::light_error::LightError;
use super::picture::{Picture, Samples};
use crate::colour::{LabD65, LinearSrgb, Xyz};
use crate::region::Region;

/// The mean colour of a part that is neither crushed nor blown out; or the word for what it is.
pub(super) fn usable_mean(picture: &Picture, region: &Region) -> Result<Xyz, &'static str> {
    let seen = mean_light(picture, region).ok_or("empty")?;
    if seen.clipped_share > 0.1 {
        return Err("blown out");
    }
    let xyz = Xyz::from(seen.light);
    if xyz.y < 0.002 {
        return Err("black");
    }
    Ok(xyz)
}

impl Picture {
    /// The mean colour of a part; `None` where it is crushed, blown out or empty.
    #[must_use]
    pub fn usable_mean_of(&self, region: &Region) -> Option<LabD65> {
        usable_mean(self, region).ok().map(LabD65::from)
    }
}

pub(super) fn usable_neutral(picture: &Picture, region: &Region) -> Result<Xyz, LightError> {
    usable_mean(picture, region).map_err(|found| LightError::UnusableNeutral { found })
}

/// Mean light of a region.
#[derive(Debug, Clone, Copy)]
pub(super) struct MeanLight {
    pub(super) light: LinearSrgb,
    pub(super) clipped_share: f64,
}

/// About as many pixels as are read for a mean.
const ENOUGH_PIXELS: f64 = 10_000.0;

/// Encoded values 0..1 of some 10 000 pixels of a region at most, on a regular grid.
pub(super) fn sampled(picture: &Picture, region: &Region) -> Vec<[f64; 3]> {
    let [left, top, right, bottom] = region.outline.bounds();
    #[expect(
        clippy::cast_precision_loss,
        reason = "pixel counts stay far below 2^52"
    )]
    let spanned = (right - left) * (bottom - top) * picture.pixel_count() as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a positive number of pixels"
    )]
    let stride = ((spanned / ENOUGH_PIXELS).sqrt().ceil() as usize).max(1);
    let mut taken = Vec::new();
    for row in (stride / 2..picture.height).step_by(stride) {
        for run in region.runs(row, picture.width, picture.height) {
            let first = run.start.next_multiple_of(stride) + stride / 2;
            taken.extend(
                (first.min(run.end)..run.end)
                    .step_by(stride)
                    .filter(|column| picture.counts(row, *column))
                    .map(|column| picture.encoded(row, column)),
            );
        }
    }
    taken
}

pub(super) fn mean_light(picture: &Picture, region: &Region) -> Option<MeanLight> {
    let encoded = sampled(picture, region);
    if encoded.is_empty() {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let count = encoded.len() as f64;
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let clipped = encoded
        .iter()
        .filter(|v| v.iter().any(|c| *c > 0.997))
        .count() as f64;
    let mut sum = [0.0; 3];
    for light in picture.encoding.to_linear(&encoded) {
        sum[0] += light.r;
        sum[1] += light.g;
        sum[2] += light.b;
    }
    Some(MeanLight {
        light: LinearSrgb {
            r: sum[0] / count,
            g: sum[1] / count,
            b: sum[2] / count,
        },
        clipped_share: clipped / count,
    })
}

impl Picture {
    /// Encoded red, green and blue of a pixel, 0..1.
    #[must_use]
    pub fn encoded(&self, row: usize, column: usize) -> [f64; 3] {
        let at = (row * self.width + column) * 3;
        match &self.samples {
            Samples::Rgb8(all) => std::array::from_fn(|c| f64::from(all[at + c]) / 255.0),
            Samples::Rgb16(all) => std::array::from_fn(|c| f64::from(all[at + c]) / 65535.0),
        }
    }

    /// False for transparent pixels.
    fn counts(&self, row: usize, column: usize) -> bool {
        self.alpha
            .as_ref()
            .is_none_or(|mask| mask[row * self.width + column] == 255)
    }
}

/// What a part shows that may lie partly in the sun and partly in shade.
#[derive(Debug, Clone, Copy)]
pub(super) struct SunAndShade {
    /// Mean light: of the lit part where there are two lights.
    pub(super) light: LinearSrgb,
    /// True when it lies in two lights.
    pub(super) two_lights: bool,
}

/// Two lights differ by a stop at least …
const A_STOP: f64 = std::f64::consts::LN_2;
/// … each covers this much of the part …
const LEAST_SHARE: f64 = 0.15;
/// … and they explain this much of how lightness varies (Otsu's measure). Our choice: what varies evenly has 0.75.
const APART: f64 = 0.85;

/// The light of a part, of its sunlit pixels where it is seen in two lights; or the word for why it shows nothing.
pub(super) fn lit_mean(picture: &Picture, region: &Region) -> Result<SunAndShade, &'static str> {
    let whole = usable_mean(picture, region)?;
    let mut light: Vec<(f64, LinearSrgb)> = picture
        .encoding
        .to_linear(&sampled(picture, region))
        .into_iter()
        .map(|light| (Xyz::from(light).y.max(0.002).ln(), light))
        .collect();
    light.sort_by(|a, b| a.0.total_cmp(&b.0));
    let lit_from = two_lights(&light.iter().map(|l| l.0).collect::<Vec<_>>());
    let Some(from) = lit_from else {
        return Ok(SunAndShade {
            light: whole.to_linear_srgb(),
            two_lights: false,
        });
    };
    let lit = &light[from..];
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let count = lit.len() as f64;
    let mean =
        |channel: fn(&LinearSrgb) -> f64| lit.iter().map(|l| channel(&l.1)).sum::<f64>() / count;
    Ok(SunAndShade {
        light: LinearSrgb {
            r: mean(|l| l.r),
            g: mean(|l| l.g),
            b: mean(|l| l.b),
        },
        two_lights: true,
    })
}

/// Where the lit pixels begin among sorted logarithms of luminance, if they fall into two lights.
///
/// # Source
/// Otsu 1979, *A threshold selection method from gray-level histograms*.
fn two_lights(sorted: &[f64]) -> Option<usize> {
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let share = |count: usize| count as f64 / sorted.len() as f64;
    let total: f64 = sorted.iter().sum();
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let mean = total / sorted.len() as f64;
    let variance = sorted.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
    let mut below = 0.0;
    let mut best: Option<(f64, usize, f64)> = None;
    for (at, value) in sorted.iter().enumerate() {
        if at > 0 {
            #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
            let (dark, lit) = (
                below / at as f64,
                (total - below) / (sorted.len() - at) as f64,
            );
            let between = share(at) * (1.0 - share(at)) * (lit - dark).powi(2);
            if best.is_none_or(|(most, _, _)| between > most) {
                best = Some((between, at, lit - dark));
            }
        }
        below += value;
    }
    let (between, at, apart) = best?;
    #[expect(clippy::cast_precision_loss, reason = "at most some 10 000")]
    let explained = between * sorted.len() as f64 / variance.max(1e-12);
    let shared = (LEAST_SHARE..=1.0 - LEAST_SHARE).contains(&share(at));
    (apart > A_STOP && shared && explained > APART).then_some(at)
}
