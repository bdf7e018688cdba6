//! What is like that which was rubbed: from strokes over a photo to the set of pixels that are meant.
//!
//! Three things speak for a pixel: that it lies near the rub (what lies between the strokes is meant, and a little
//! beyond them), that the colour about it is more often met in the rub than far from it, and that it varies as much
//! as what was rubbed does. Each is a ratio of how often it is met here and there, so that none needs a threshold of its
//! own. What hangs together with the rub is taken.
//!
//! It works on a copy of the neighbourhood of some ten thousand pixels, so that a small wall in a large photo is seen as
//! sharply as a large one.

use super::drawing::Point;
use super::trace::{Mask, few_corners};
use crate::colour::LabD65;
use crate::photo::Picture;
use crate::region::Region;
use serde::Deserialize;

/// One stroke of a finger.
#[derive(Debug, Clone, Deserialize)]
pub struct Stroke {
    /// Where it went.
    pub points: Vec<Point>,
    /// It says what is not meant.
    #[serde(default)]
    pub out: bool,
}

/// What a rub has found.
#[derive(Debug, Clone)]
pub struct Rubbed {
    /// The region, with what is left out of it.
    pub region: Region,
    /// Mean colour of what was rubbed.
    pub colour: LabD65,
    /// Mean distance (CIELAB) of its pixels from that.
    pub spread: f64,
}

/// Pixels of the copy.
const WORKED_ON: f64 = 50_000.0;
/// The copy reaches beyond the rub by so much of its length, on each side.
const MARGIN: f64 = 0.8;
/// Half the width of a stroke, and of the square over which colours are averaged, of the copy's side.
const STROKE: f64 = 0.008;
const ABOUT: f64 = 0.012;
/// How much nearness counts against likeness.
const NEARNESS: f64 = 4.0;
/// Likeness speaks no louder than this, for and against.
const LOUDEST: [f64; 2] = [-4.0, 2.0];
/// What lies between strokes, and about that, is at least so near.
const BETWEEN: f64 = 1.0;
/// A rub reaches so much of the way between its strokes beyond them, within these shares of its size. Best of those tried
/// on the bundled scene's outlines (`tests/mark/rubbing.mjs`).
const BEYOND: f64 = 0.45;
const REACH: [f64; 2] = [0.035, 0.09];
/// A single line reaches so much of its size: nothing says how far its neighbour would have lain.
const LINE_REACHES: f64 = 0.35;
/// Farther from the rub than this share of its size, the photo shows what else there is.
const FAR: f64 = 0.6;
/// Added to every frequency, so that what was never met is not impossible.
const NEVER_MET: f64 = 1e-4;

#[expect(
    clippy::cast_precision_loss,
    reason = "pixel counts stay far below 2^52"
)]
fn as_f64(n: usize) -> f64 {
    n as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and far below 2^52"
)]
fn as_usize(v: f64) -> usize {
    v.max(0.0) as usize
}

/// A copy of a part of a photo, in CIELAB.
struct Copy {
    width: usize,
    height: usize,
    /// Left, top, right, bottom in the photo.
    span: [f64; 4],
    lab: Vec<[f64; 3]>,
}

impl Copy {
    /// Means of 2 x 2 samples a pixel.
    fn of_picture(picture: &Picture, span: [f64; 4]) -> Self {
        let [l, t, r, b] = span;
        let (across, down) = (
            ((r - l) * as_f64(picture.width)).max(2.0),
            ((b - t) * as_f64(picture.height)).max(2.0),
        );
        let step = (across * down / WORKED_ON).sqrt().max(1.0);
        let (width, height) = (as_usize(across / step).max(2), as_usize(down / step).max(2));
        let places = |at: usize, count: usize, from: f64, to: f64, length: usize| {
            [0.25, 0.75].map(|part| {
                let v = from + (to - from) * (as_f64(at) + part) / as_f64(count);
                as_usize(v * as_f64(length)).min(length - 1)
            })
        };
        let mut encoded = Vec::with_capacity(width * height);
        for y in 0..height {
            let rows = places(y, height, t, b, picture.height);
            for x in 0..width {
                let columns = places(x, width, l, r, picture.width);
                let mut sum = [0.0; 3];
                for row in rows {
                    for column in columns {
                        for (sum, v) in sum.iter_mut().zip(picture.encoded(row, column)) {
                            *sum += v / 4.0;
                        }
                    }
                }
                encoded.push(sum);
            }
        }
        let lab = |light| {
            let LabD65 { l, a, b } = LabD65::from(light);
            [l, a, b].map(|v| if v.is_finite() { v } else { 0.0 })
        };
        Self {
            width,
            height,
            span,
            lab: picture.light_of(&encoded).into_iter().map(lab).collect(),
        }
    }

    fn side(&self) -> f64 {
        (as_f64(self.width) * as_f64(self.height)).sqrt()
    }

    /// Half the width of a stroke.
    fn stroke(&self) -> f64 {
        (STROKE * self.side()).max(1.0)
    }

    /// A point of the photo as columns and rows of the copy.
    fn place(&self, at: Point) -> [f64; 2] {
        let [l, t, r, b] = self.span;
        [
            (at[0] - l) / (r - l) * as_f64(self.width),
            (at[1] - t) / (b - t) * as_f64(self.height),
        ]
    }

    /// The pixels under strokes.
    fn under<'a>(&self, strokes: impl Iterator<Item = &'a Stroke>) -> Vec<bool> {
        let radius = self.stroke();
        let mut under = vec![false; self.lab.len()];
        for stroke in strokes {
            let places: Vec<[f64; 2]> = stroke.points.iter().map(|p| self.place(*p)).collect();
            let ends = places.iter().skip(1).chain(places.last());
            for ([ax, ay], [bx, by]) in places.iter().zip(ends) {
                let steps = as_usize((bx - ax).hypot(by - ay)).max(1);
                for step in 0..=steps {
                    let t = as_f64(step) / as_f64(steps);
                    self.dot([ax + t * (bx - ax), ay + t * (by - ay)], radius, &mut under);
                }
            }
        }
        under
    }

    fn dot(&self, [cx, cy]: [f64; 2], radius: f64, under: &mut [bool]) {
        let span = |c: f64, most: usize| as_usize(c - radius)..as_usize(c + radius + 1.0).min(most);
        for y in span(cy, self.height) {
            for x in span(cx, self.width) {
                if (as_f64(x) + 0.5 - cx).hypot(as_f64(y) + 0.5 - cy) <= radius {
                    under[y * self.width + x] = true;
                }
            }
        }
    }

    /// For each pixel how far the nearest of a set is, by steps of 1 and, askew, of the square root of 2.
    fn away_from(&self, set: &[bool]) -> Vec<f64> {
        let far = as_f64(self.width + self.height) * 2.0;
        let mut away: Vec<f64> = set
            .iter()
            .map(|in_it| if *in_it { 0.0 } else { far })
            .collect();
        let (w, h) = (self.width, self.height);
        let askew = std::f64::consts::SQRT_2;
        let mut nearer = |i: usize, from: [(bool, usize, f64); 4]| {
            for (there, j, step) in from {
                if there && away[j] + step < away[i] {
                    away[i] = away[j] + step;
                }
            }
        };
        for i in 0..w * h {
            let (x, y) = (i % w, i / w);
            nearer(
                i,
                [
                    (x > 0, i.wrapping_sub(1), 1.0),
                    (y > 0, i.wrapping_sub(w), 1.0),
                    (x > 0 && y > 0, i.wrapping_sub(w + 1), askew),
                    (x + 1 < w && y > 0, (i + 1).wrapping_sub(w), askew),
                ],
            );
        }
        for i in (0..w * h).rev() {
            let (x, y) = (i % w, i / w);
            nearer(
                i,
                [
                    (x + 1 < w, i + 1, 1.0),
                    (y + 1 < h, i + w, 1.0),
                    (x + 1 < w && y + 1 < h, i + w + 1, askew),
                    (x > 0 && y + 1 < h, (i + w).wrapping_sub(1), askew),
                ],
            );
        }
        away
    }

    /// Means over the square about each pixel.
    fn blurred(&self, values: &[f64], radius: usize) -> Vec<f64> {
        let across = along(values, self.height, self.width, [self.width, 1], radius);
        along(&across, self.width, self.height, [1, self.width], radius)
    }
}

/// Means along lines: `lines` of them, `length` long, by the steps from line to line and within one.
fn along(
    values: &[f64],
    lines: usize,
    length: usize,
    [line, step]: [usize; 2],
    radius: usize,
) -> Vec<f64> {
    let mut means = vec![0.0; values.len()];
    for n in 0..lines {
        let at = |i: usize| values[n * line + i.min(length - 1) * step];
        let mut sum: f64 = (0..=radius).map(at).sum::<f64>() + as_f64(radius) * at(0);
        for i in 0..length {
            means[n * line + i * step] = sum / as_f64(2 * radius + 1);
            sum += at(i + radius + 1) - at(i.saturating_sub(radius));
        }
    }
    means
}

/// How often each value of a scale is met in a set, its neighbours counting half.
struct Often {
    counts: Vec<f64>,
}

/// Steps along L*, a*, b*; and how large they are.
const STEPS: [usize; 3] = [21, 31, 31];
const STEP: [f64; 3] = [5.0, 4.0, 4.0];
/// Steps of variation.
const VARIED: usize = 40;

fn code([l, a, b]: [f64; 3]) -> usize {
    let step = |v: f64, c: usize| as_usize(v / STEP[c]).min(STEPS[c] - 1);
    (step(l, 0) * STEPS[1] + step(a + 60.0, 1)) * STEPS[2] + step(b + 60.0, 2)
}

impl Often {
    /// Of values by their place on scales whose last is the innermost.
    fn of_values(values: &[usize], in_set: impl Fn(usize) -> bool, scales: &[usize]) -> Self {
        let mut counts = vec![0.0; scales.iter().product()];
        for (i, value) in values.iter().enumerate() {
            if in_set(i) {
                counts[*value] += 1.0;
            }
        }
        let total: f64 = counts.iter().sum::<f64>().max(1.0);
        for count in &mut counts {
            *count /= total;
        }
        let mut stride = 1;
        for scale in scales.iter().rev() {
            for _ in 0..2 {
                let before = counts.clone();
                for (i, count) in counts.iter_mut().enumerate() {
                    let at = i / stride % scale;
                    let less = if at > 0 { before[i - stride] } else { 0.0 };
                    let more = if at + 1 < *scale {
                        before[i + stride]
                    } else {
                        0.0
                    };
                    *count = 0.5 * before[i] + 0.25 * (less + more);
                }
            }
            stride *= scale;
        }
        Self { counts }
    }

    /// How much more often a value is met here than there, as a logarithm.
    fn against(&self, other: &Self, value: usize, never: f64) -> f64 {
        ((self.counts[value] + never) / (other.counts[value] + never)).ln()
    }
}

/// The neighbourhood of strokes, left, top, right, bottom.
fn about(strokes: &[Stroke], picture: &Picture) -> Option<[f64; 4]> {
    let points = || strokes.iter().filter(|s| !s.out).flat_map(|s| &s.points);
    points().next()?;
    let ends = |c: usize| {
        points().fold((1.0_f64, 0.0_f64), |(low, high), p| {
            (low.min(p[c]), high.max(p[c]))
        })
    };
    let ((l, r), (t, b)) = (ends(0), ends(1));
    // As far in pixels to all sides: a rub of one line has a neighbourhood too.
    let (w, h) = (as_f64(picture.width), as_f64(picture.height));
    let longest = ((r - l) * w).max((b - t) * h).max(0.02 * w.max(h));
    let (dx, dy) = (MARGIN * longest / w, MARGIN * longest / h);
    Some([
        (l - dx).max(0.0),
        (t - dy).max(0.0),
        (r + dx).min(1.0),
        (b + dy).min(1.0),
    ])
}

/// What lies between strokes: between the outermost pixels of a rub in its row, or in its column.
fn between(copy: &Copy, rub: &[bool]) -> Vec<bool> {
    let (w, h) = (copy.width, copy.height);
    let mut between = vec![false; rub.len()];
    let mut within = |line: &mut dyn Iterator<Item = usize>| {
        let line: Vec<usize> = line.collect();
        let first = line.iter().position(|i| rub[*i]).unwrap_or(line.len());
        let last = line.iter().rposition(|i| rub[*i]).map_or(0, |at| at + 1);
        for (at, i) in line.iter().enumerate() {
            between[*i] |= (first..last).contains(&at);
        }
    };
    for y in 0..h {
        within(&mut (y * w..(y + 1) * w));
    }
    for x in 0..w {
        within(&mut (x..w * h).step_by(w));
    }
    between
}

/// How far a rub reaches in pixels of its copy, and its size: by how far its strokes lie from each other.
fn reach_of(copy: &Copy, strokes: &[Stroke], away: &[f64], between: &[bool]) -> [f64; 2] {
    let places = || {
        let meant = strokes.iter().filter(|stroke| !stroke.out);
        meant.flat_map(|s| s.points.iter().map(|p| copy.place(*p)))
    };
    let ends = |c: usize| {
        places().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
            (low.min(p[c]), high.max(p[c]))
        })
    };
    let ((l, r), (t, b)) = (ends(0), ends(1));
    let thick = 0.2 * (r - l).max(b - t);
    let size = ((r - l).max(thick) * (b - t).max(thick)).sqrt().max(4.0);
    let held = between.iter().zip(away).filter(|(between, _)| **between);
    let mut gaps: Vec<f64> = held.map(|(_, away)| *away).collect();
    gaps.sort_by(f64::total_cmp);
    let gap = gaps.get(gaps.len() * 97 / 100).copied().unwrap_or(0.0);
    // Nothing but the stroke itself lies between its ends.
    let reach = if gap < 2.0 * copy.stroke() {
        LINE_REACHES * size
    } else {
        (BEYOND * gap).clamp(REACH[0] * size, REACH[1] * size)
    };
    [reach, size]
}

/// The pixels that are meant.
fn meant(copy: &Copy, strokes: &[Stroke], reach: f64) -> (Vec<bool>, Vec<bool>) {
    let rub = copy.under(strokes.iter().filter(|stroke| !stroke.out));
    let out = copy.under(strokes.iter().filter(|stroke| stroke.out));
    let away = copy.away_from(&rub);
    let away_from_out = copy.away_from(&out);
    let between = between(copy, &rub);
    let away_from_between = copy.away_from(&between);
    let [own_reach, size] = reach_of(copy, strokes, &away, &between);
    let reach = own_reach * reach.clamp(0.1, 20.0);
    let radius = as_usize((ABOUT * copy.side()).round()).max(2);
    let channel = |c: usize| copy.lab.iter().map(move |lab| lab[c]).collect::<Vec<f64>>();
    let means: [Vec<f64>; 3] = std::array::from_fn(|c| copy.blurred(&channel(c), radius));
    let squares: [Vec<f64>; 3] = std::array::from_fn(|c| {
        let square: Vec<f64> = copy.lab.iter().map(|lab| lab[c] * lab[c]).collect();
        copy.blurred(&square, radius)
    });
    let colours: Vec<usize> = (0..copy.lab.len())
        .map(|i| code(std::array::from_fn(|c| means[c][i])))
        .collect();
    let varied: Vec<usize> = (0..copy.lab.len())
        .map(|i| {
            let varied = (0..3).map(|c| (squares[c][i] - means[c][i].powi(2)).max(0.0).sqrt());
            as_usize(4.0 * varied.map(f64::ln_1p).sum::<f64>()).min(VARIED - 1)
        })
        .collect();
    let far = FAR * size;
    let elsewhere = |i: usize| away[i] > far || away_from_out[i] < as_f64(radius);
    let scales = (&STEPS[..], &[VARIED][..]);
    let here = Often::of_values(&colours, |i| rub[i], scales.0);
    let there = Often::of_values(&colours, elsewhere, scales.0);
    let varies_here = Often::of_values(&varied, |i| rub[i], scales.1);
    let varies_there = Often::of_values(&varied, elsewhere, scales.1);
    let alike: Vec<f64> = (0..copy.lab.len())
        .map(|i| {
            let colour = here.against(&there, colours[i], NEVER_MET);
            let varied = varies_here.against(&varies_there, varied[i], 100.0 * NEVER_MET);
            (colour + varied).clamp(LOUDEST[0], LOUDEST[1])
        })
        .collect();
    let alike = copy.blurred(&alike, 1);
    let speaks: Vec<f64> = (0..copy.lab.len())
        .map(|i| {
            let near = NEARNESS * (1.0 - away[i] / reach);
            let near = near.max(BETWEEN * (1.0 - away_from_between[i] / reach));
            let not = 2.0 * NEARNESS * (1.0 - away_from_out[i] / own_reach).max(0.0);
            if near + alike[i] - not > 0.0 && !out[i] {
                1.0
            } else {
                0.0
            }
        })
        .collect();
    let smooth = copy.blurred(&speaks, 2);
    (smooth.iter().map(|v| *v > 0.5).collect(), rub)
}

/// The region that a rub means; `None` where it means nothing.
#[must_use]
pub fn rubbed(picture: &Picture, strokes: &[Stroke], reach: f64) -> Option<Rubbed> {
    let copy = Copy::of_picture(picture, about(strokes, picture)?);
    let (meant, rub) = meant(&copy, strokes, reach);
    let mask = Mask::new(copy.width, copy.height, |i| meant[i]).touching(&rub);
    let region = few_corners(&mask, copy.span)?;
    let under = || {
        copy.lab
            .iter()
            .zip(&rub)
            .filter(|(_, rub)| **rub)
            .map(|(lab, _)| lab)
    };
    let count = as_f64(under().count()).max(1.0);
    let mean: [f64; 3] = std::array::from_fn(|c| under().map(|lab| lab[c]).sum::<f64>() / count);
    let off = |lab: &[f64; 3]| {
        let squares = lab.iter().zip(mean).map(|(v, m)| (v - m).powi(2));
        squares.sum::<f64>().sqrt()
    };
    let [l, a, b] = mean;
    Some(Rubbed {
        region,
        colour: LabD65 { l, a, b },
        spread: under().map(off).sum::<f64>() / count,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::Outline;

    /// A brick wall with joints and a dark window, grass beneath; noisy as a photo is.
    fn wall() -> Picture {
        let mut noise = 7_u32;
        let rgb: Vec<u8> = (0..600 * 400_usize)
            .flat_map(|i| {
                let (x, y) = (i % 600, i / 600);
                let within = |l: usize, t: usize, r: usize, b: usize| {
                    (l..r).contains(&x) && (t..b).contains(&y)
                };
                let joint = y % 12 < 3 || (x + y / 12 % 2 * 15) % 30 < 3;
                let colour: [u8; 3] = if within(280, 120, 340, 200) {
                    [40, 44, 52]
                } else if !within(120, 60, 500, 280) {
                    [98, 120, 70]
                } else if joint {
                    [150, 140, 128]
                } else {
                    [140, 76, 60]
                };
                colour.map(|v| {
                    noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    v + u8::try_from(noise >> 28).unwrap()
                })
            })
            .collect();
        Picture::from_srgb8(600, 400, rgb).unwrap()
    }

    fn stroke(points: &[Point], out: bool) -> Stroke {
        Stroke {
            points: points.to_vec(),
            out,
        }
    }

    /// Share that two regions have in common of what both hold together.
    fn in_common(one: &Region, other: &Region) -> f64 {
        let count = |held: &dyn Fn(bool, bool) -> bool| {
            let mut n = 0;
            for row in 0..400 {
                let (a, b) = (one.runs(row, 600, 400), other.runs(row, 600, 400));
                let in_runs = |runs: &[std::ops::Range<usize>], x: usize| {
                    runs.iter().any(|run| run.contains(&x))
                };
                n += (0..600)
                    .filter(|x| held(in_runs(&a, *x), in_runs(&b, *x)))
                    .count();
            }
            as_f64(n)
        };
        count(&|a, b| a && b) / count(&|a, b| a || b)
    }

    fn boxed([l, t, r, b]: [f64; 4]) -> Outline {
        Outline::new(vec![[l, t], [r, t], [r, b], [l, b]]).unwrap()
    }

    #[test]
    fn a_wall_is_found_and_its_window_left_out() {
        let strokes = [
            stroke(&[[0.23, 0.22], [0.8, 0.22]], false),
            stroke(&[[0.23, 0.4], [0.44, 0.4]], false),
            stroke(&[[0.23, 0.62], [0.8, 0.62]], false),
        ];
        let found = rubbed(&wall(), &strokes, 1.5).unwrap();
        let by_hand = Region {
            outline: boxed([0.2, 0.15, 500.0 / 600.0, 0.7]),
            leave_out: vec![boxed([280.0 / 600.0, 0.3, 340.0 / 600.0, 0.5])],
        };
        let share = in_common(&found.region, &by_hand);
        assert!(share > 0.9, "{share}: {:?}", found.region);
        assert_eq!(found.region.leave_out.len(), 1);
        assert!(found.region.outline.points().len() <= 24);
    }

    #[test]
    fn what_is_rubbed_out_is_left_out_and_nothing_means_nothing() {
        let strokes = [
            stroke(&[[0.23, 0.25], [0.8, 0.25]], false),
            stroke(&[[0.23, 0.6], [0.8, 0.6]], false),
            stroke(&[[0.7, 0.2], [0.7, 0.65]], true),
        ];
        let found = rubbed(&wall(), &strokes, 1.5).unwrap();
        let runs = found.region.runs(170, 600, 400);
        assert!(!runs.iter().any(|run| run.contains(&420)), "{runs:?}");
        assert!(rubbed(&wall(), &[], 1.0).is_none());
    }
}
