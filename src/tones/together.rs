//! Several photos of one surface: brings them to one light, and names those that show something else.

use crate::colour::{DeltaE00, LinearSrgb, delta_e00};
use crate::tones::count::histogram::Bin;
use crate::tones::sort::tones_of_bins;
use crate::tones::tone::{Count, Tones};
use serde::{Deserialize, Serialize};

/// What one photo shows of a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its colours.
    pub bins: Vec<Bin>,
    /// How far its light may be off.
    pub uncertainty: DeltaE00,
}

/// What was done with a photo of several.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum PartNote {
    /// Its light was brought to that of the photo trusted most: each channel of linear light times this much.
    Relit {
        /// Its place among the parts.
        part: usize,
        /// The part whose light it was brought to.
        like: usize,
        /// Factors of red, green and blue.
        by: [f64; 3],
    },
    /// It does not look like the others.
    Outlier {
        /// Its place among the parts.
        part: usize,
        /// How far its tones are from theirs on average, by share.
        off: DeltaE00,
        /// True when it was left out; false when nobody can say which of the photos is the odd one.
        left_out: bool,
    },
}

/// The colours of all parts, and what was done.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// For each part its colours as brought into line; each part weighs alike, one left out nothing.
    pub parts: Vec<Vec<Bin>>,
    /// What was done.
    pub notes: Vec<PartNote>,
}

/// A light measured by a card or a chart is not touched. Our choice: what those leave open is 5 at most.
const MEASURED: f64 = 5.0;
/// Light is changed by no more than this factor, or its inverse, a channel: beyond it lies another subject. Our choice.
const MOST_GAIN: f64 = 2.5;
/// A channel moved by less than this part is not worth mentioning. Our choice.
const NOTICEABLE: f64 = 0.05;
/// Tones this far from those of the other photos are of something else. Our choice.
const OUTLIER: f64 = 8.0;

/// Brings the light of several photos of one surface into line and finds the odd one out.
///
/// Red, green and blue of each photo are scaled so that their medians agree with the photo whose light is known best (of
/// equals, the middle one by lightness). That takes the photos to show the same parts of the surface.
///
/// # Source
/// Scaling a channel at a time: von Kries 1902, as used since in white balance. Common practice for the medians.
#[must_use]
pub fn together(parts: &[Part]) -> Together {
    let mut notes = Vec::new();
    let medians: Vec<[f64; 3]> = parts.iter().map(|part| medians(&part.bins)).collect();
    let like = reference(parts, &medians);
    let mut all: Vec<Vec<Bin>> = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        let total: f64 = part.bins.iter().map(|bin| bin.pixels).sum();
        let by = if i == like || part.uncertainty.0 <= MEASURED {
            [1.0; 3]
        } else {
            std::array::from_fn(|c| {
                let gain = medians[like][c] / medians[i][c].max(1e-4);
                gain.clamp(1.0 / MOST_GAIN, MOST_GAIN)
            })
        };
        if by.iter().any(|gain| (gain - 1.0).abs() > NOTICEABLE) {
            notes.push(PartNote::Relit { part: i, like, by });
        }
        let relit = part.bins.iter().map(|bin| Bin {
            light: LinearSrgb {
                r: bin.light.r * by[0],
                g: bin.light.g * by[1],
                b: bin.light.b * by[2],
            },
            pixels: bin.pixels / total,
            near: bin.near / total,
            unmixed: bin.unmixed / total,
            thin: bin.thin / total,
            codes: bin.codes,
        });
        all.push(relit.collect());
    }
    let odd = outliers(&all);
    let left_out = all.len() > 2 && 2 * odd.len() < all.len();
    for (part, off) in odd {
        notes.push(PartNote::Outlier {
            part,
            off,
            left_out,
        });
        if left_out {
            for bin in &mut all[part] {
                *bin = Bin {
                    pixels: 0.0,
                    near: 0.0,
                    unmixed: 0.0,
                    thin: 0.0,
                    ..*bin
                };
            }
        }
    }
    Together { parts: all, notes }
}

/// The photo whose light counts: the best known, of equals the middle one by lightness.
fn reference(parts: &[Part], medians: &[[f64; 3]]) -> usize {
    let best = parts
        .iter()
        .map(|p| p.uncertainty.0)
        .fold(f64::INFINITY, f64::min);
    let mut equals: Vec<usize> = (0..parts.len())
        .filter(|i| parts[*i].uncertainty.0 <= best)
        .collect();
    equals.sort_by(|a, b| medians[*a][1].total_cmp(&medians[*b][1]).then(a.cmp(b)));
    equals
        .get((equals.len().max(1) - 1) / 2)
        .copied()
        .unwrap_or(0)
}

/// The medians of red, green and blue in linear light.
fn medians(bins: &[Bin]) -> [f64; 3] {
    let total: f64 = bins.iter().map(|bin| bin.pixels).sum();
    [0, 1, 2].map(|c| {
        let mut channel: Vec<(f64, f64)> = bins
            .iter()
            .map(|bin| ([bin.light.r, bin.light.g, bin.light.b][c], bin.pixels))
            .collect();
        channel.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut so_far = 0.0;
        channel
            .into_iter()
            .find(|(_, pixels)| {
                so_far += pixels;
                so_far >= total / 2.0
            })
            .map_or(0.0, |(value, _)| value)
    })
}

/// Parts whose tones lie far from those of all others together, with how far.
fn outliers(parts: &[Vec<Bin>]) -> Vec<(usize, DeltaE00)> {
    if parts.len() < 2 {
        return Vec::new();
    }
    let tones: Vec<Option<Tones>> = parts
        .iter()
        .map(|bins| tones_of_bins(bins, Count::Chosen).ok())
        .collect();
    let off = |i: usize| {
        let own = tones[i].as_ref()?;
        let others: Vec<_> = (0..tones.len())
            .filter(|j| *j != i)
            .filter_map(|j| tones[j].as_ref())
            .map(|other| distance(own, other))
            .collect();
        // The middle of its distances: one odd photo does not make the others odd.
        let mut sorted = others;
        sorted.sort_by(f64::total_cmp);
        sorted
            .get((sorted.len().max(1) - 1) / 2)
            .map(|off| DeltaE00(*off))
    };
    (0..parts.len())
        .filter_map(|i| Some((i, off(i)?)))
        .filter(|(_, off)| off.0 > OUTLIER)
        .collect()
}

/// Mean distance of tones from the nearest of others, by share, the worse of both ways.
fn distance(one: &Tones, other: &Tones) -> f64 {
    let way = |from: &Tones, to: &Tones| -> f64 {
        let nearest = |tone: &super::Tone| {
            let all = to.tones.iter().map(|t| delta_e00(t.colour, tone.colour).0);
            all.fold(f64::INFINITY, f64::min)
        };
        from.tones
            .iter()
            .map(|tone| tone.share.value() * nearest(tone))
            .sum()
    };
    way(one, other).max(way(other, one))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{LabD65, Xyz};

    /// A wall of brick, mortar and moss in light of this colour.
    fn wall(light: [f64; 3], uncertainty: f64) -> Part {
        of(
            &[
                (48.0, 26.0, 24.0, 60.0),
                (70.0, 3.0, 12.0, 25.0),
                (40.0, -14.0, 22.0, 15.0),
            ],
            light,
            uncertainty,
        )
    }

    fn of(colours: &[(f64, f64, f64, f64)], light: [f64; 3], uncertainty: f64) -> Part {
        let bins = colours.iter().zip(0..).map(|((l, a, b, pixels), codes)| {
            let seen = Xyz::from(LabD65::new(*l, *a, *b)).to_linear_srgb();
            Bin {
                light: LinearSrgb {
                    r: seen.r * light[0],
                    g: seen.g * light[1],
                    b: seen.b * light[2],
                },
                pixels: *pixels,
                near: 0.0,
                unmixed: 0.0,
                thin: 0.0,
                codes,
            }
        });
        Part {
            bins: bins.collect(),
            uncertainty: DeltaE00(uncertainty),
        }
    }

    #[test]
    fn photos_in_other_light_are_brought_to_the_one_with_a_card() {
        let found = together(&[
            wall([0.7, 0.75, 0.9], 10.0),
            wall([1.0, 1.0, 1.0], 5.0),
            wall([1.3, 1.1, 0.8], 10.0),
        ]);
        let all: Vec<Bin> = found.parts.concat();
        let tones = tones_of_bins(&all, Count::Chosen).unwrap().tones;
        assert_eq!(tones.len(), 3, "{tones:?}");
        let brick = delta_e00(tones[0].colour, LabD65::new(48.0, 26.0, 24.0)).0;
        assert!(
            brick < 1.0 && (tones[0].share.value() - 0.6).abs() < 0.01,
            "{brick}"
        );
        let relit: Vec<usize> = found
            .notes
            .iter()
            .filter_map(|n| match n {
                PartNote::Relit { part, like: 1, .. } => Some(*part),
                _ => None,
            })
            .collect();
        assert_eq!(relit, [0, 2]);
    }

    #[test]
    fn a_photo_of_something_else_is_named_and_left_out() {
        let meadow = of(
            &[(50.0, -30.0, 40.0, 70.0), (75.0, -8.0, 30.0, 30.0)],
            [1.0; 3],
            5.0,
        );
        let found = together(&[wall([1.0; 3], 5.0), meadow.clone(), wall([1.05; 3], 5.0)]);
        assert!(
            matches!(
                found.notes[..],
                [PartNote::Outlier {
                    part: 1,
                    left_out: true,
                    ..
                }]
            ),
            "{:?}",
            found.notes
        );
        let weight: f64 = found.parts[1].iter().map(|bin| bin.pixels).sum();
        assert!(weight.abs() < 1e-12);
        // Of two that differ nobody can say which is the odd one.
        let two = together(&[wall([1.0; 3], 5.0), meadow]);
        assert_eq!(two.notes.len(), 2);
        assert!(two.notes.iter().all(|n| matches!(
            n,
            PartNote::Outlier {
                left_out: false,
                ..
            }
        )));
    }

    #[test]
    fn one_photo_is_left_as_it_is() {
        let found = together(&[wall([0.5; 3], 10.0)]);
        assert!(found.notes.is_empty());
        assert!((found.parts[0][0].pixels - 0.6).abs() < 1e-12);
    }
}
