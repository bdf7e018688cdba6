//! From strokes over a photo to the set of pixels that the user means.
//!
//! Three things count for a pixel. Its place: a finger covers an area in strokes, so the user means what lies between
//! them, and half the way from stroke to stroke beyond the outermost; along a stroke, a finger stops short by a part
//! of the stroke's length. Its likeness: how much more often its colour, and the variation of its surroundings, occur
//! under the rub than in places outside it, such as windows between the strokes. And its neighbours: a pixel goes
//! with those from which no edge separates it, as in a random walk with priors (Grady 2005, *Multilabel random walker
//! image segmentation using prior models*). The result is what is connected with the rub.
//!
//! It works on a copy of the neighbourhood of some ten thousand pixels, so that a small wall in a large photo is seen as
//! sharply as a large one.

use super::drawing::Point;
use super::small_copy::{as_f64, as_usize, labs_of};
use super::trace::{Mask, few_corners, straightened};
use crate::colour::LabD65;
use crate::photo::Picture;
use crate::region::Region;
use serde::Deserialize;

/// One stroke of a finger.
#[derive(Debug, Clone, Deserialize)]
pub struct Stroke {
    /// Where it went.
    pub points: Vec<Point>,
    /// It shows what the user does not mean.
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
/// The copy reaches beyond the rub by this much of its length, on each side.
const MARGIN: f64 = 0.8;
/// Half the width of a stroke, and of the square over which colours are averaged, of the copy's side.
const STROKE: f64 = 0.008;
const ABOUT: f64 = 0.012;
/// How far the user means beyond the outermost strokes, relative to half the way from one stroke to the next.
const ACROSS: f64 = 0.9;
/// A stroke stops short of the end by this much of its length: how far an aimed movement misses grows with its length
/// (Schmidt and others 1979, *Motor-output variability*). The factor is our choice.
const SHORT: f64 = 0.1;
/// A rub reaches at least and at most this much of its size.
const REACH: [f64; 2] = [0.02, 0.2];
/// A single line reaches this much of its size: nothing shows how far away its neighbour would have been.
const LINE_REACHES: f64 = 0.35;
/// In how much of the reach the chance of being meant falls by a factor of e, beyond and before its half.
const FALLS: f64 = 0.3;
/// Evidence for a place under the strokes' reach, and for one between them (as the logarithm of odds).
const NEAR: f64 = 2.2;
const BETWEEN: f64 = 1.0;
/// What lies so far off is not meant.
const NOWHERE: f64 = -8.0;
/// What was rubbed, and what was rubbed out.
const SURE: f64 = 6.0;
/// How much likeness counts: two neighbours are no two witnesses. And how loud it may be.
const LIKENESS: f64 = 0.5;
const LOUDEST: f64 = 4.0;
/// How much more neighbours count than a pixel alone, where no edge parts them.
const NEIGHBOURS: f64 = 20.0;
/// What parts neighbours half: this many times the usual step under the rub.
const EDGE: f64 = 1.5;
/// Turns of the solver, and by how much it goes beyond.
const TURNS: usize = 40;
const BEYOND: f64 = 1.7;
/// Most straight stretches of a rub.
const MOST_STRETCHES: usize = 120;
/// What is not meant holds this much of the same material: that much of how often a value is met in the rub is met there
/// too. Our choice.
const SAME_ELSEWHERE: f64 = 0.2;
/// Gaps as narrow as twice this, of the copy's side, part no outline: they are left out of it.
const GAP: f64 = 0.03;
/// Added to every frequency, so that what was never met is not impossible.
const NEVER_MET: f64 = 1e-4;

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
        Self {
            width,
            height,
            span,
            lab: labs_of(picture, &encoded),
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
    fn of_values(values: &[usize], weight: impl Fn(usize) -> f64, scales: &[usize]) -> Self {
        let mut counts = vec![0.0; scales.iter().product()];
        for (i, value) in values.iter().enumerate() {
            counts[*value] += weight(i);
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
        let (here, there) = (self.counts[value], other.counts[value]);
        let there = SAME_ELSEWHERE * here + (1.0 - SAME_ELSEWHERE) * there;
        ((here + never) / (there + never)).ln()
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

/// A straight stretch of a stroke, in pixels of the copy.
type Stretch = [[f64; 2]; 2];

/// The straight stretches of the strokes that show what the user means.
fn stretches(copy: &Copy, strokes: &[Stroke]) -> Vec<Stretch> {
    let lines: Vec<Vec<[f64; 2]>> = strokes
        .iter()
        .filter(|stroke| !stroke.out && !stroke.points.is_empty())
        .map(|stroke| stroke.points.iter().map(|at| copy.place(*at)).collect())
        .collect();
    let mut tolerance = copy.stroke();
    loop {
        let mut found = Vec::new();
        for line in &lines {
            let line = straightened(line, tolerance);
            let ends = line.iter().skip(1).chain(line.last());
            let pairs = line.iter().zip(ends).map(|(a, b)| [*a, *b]);
            found.extend(pairs.take(line.len().saturating_sub(1).max(1)));
        }
        if found.len() <= MOST_STRETCHES || tolerance > copy.side() {
            return found;
        }
        tolerance *= 1.5;
    }
}

/// How far a rub reaches across its strokes, in pixels of its copy, and its size.
fn reach_of(copy: &Copy, stretches: &[Stretch], rub: &[bool], between: &[bool]) -> [f64; 2] {
    let ends = |c: usize| {
        let along = stretches.iter().flatten().map(|at| at[c]);
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        })
    };
    let ((l, r), (t, b)) = (ends(0), ends(1));
    let thick = 0.2 * (r - l).max(b - t);
    let size = ((r - l).max(thick) * (b - t).max(thick)).sqrt().max(4.0);
    if thickness(copy, rub) < 3.0 * copy.stroke() {
        return [LINE_REACHES * size, size];
    }
    let away = copy.away_from(rub);
    let held = between.iter().zip(away).filter(|(between, _)| **between);
    let mut gaps: Vec<f64> = held.map(|(_, away)| away).collect();
    gaps.sort_by(f64::total_cmp);
    let gap = gaps.get(gaps.len() * 97 / 100).copied().unwrap_or(0.0) + copy.stroke();
    [gap.clamp(REACH[0] * size, REACH[1] * size), size]
}

/// How thick a set is across its longest direction, as that of a bar that is spread as much.
fn thickness(copy: &Copy, set: &[bool]) -> f64 {
    let (mut n, mut sum, mut squares) = (0.0, [0.0; 2], [0.0; 3]);
    for (i, _) in set.iter().enumerate().filter(|(_, held)| **held) {
        let [x, y] = [as_f64(i % copy.width), as_f64(i / copy.width)];
        n += 1.0;
        sum = [sum[0] + x, sum[1] + y];
        squares = [squares[0] + x * x, squares[1] + x * y, squares[2] + y * y];
    }
    let n = f64::max(n, 1.0);
    let [x, y] = sum.map(|v| v / n);
    let [xx, xy, yy] = [
        squares[0] / n - x * x,
        squares[1] / n - x * y,
        squares[2] / n - y * y,
    ];
    let least = 0.5 * (xx + yy) - (0.25 * (xx - yy).powi(2) + xy * xy).sqrt();
    (12.0 * least.max(0.0)).sqrt()
}

/// Evidence for each place: logarithms of odds.
fn by_place(copy: &Copy, stretches: &[Stretch], between: &[bool], reaches: [f64; 2]) -> Vec<f64> {
    let [across, least] = reaches;
    // Fourth powers, so that the corners of a rubbed rectangle are nearly square.
    let mut off = vec![f64::INFINITY; between.len()];
    for [a, b] in stretches {
        let [dx, dy] = [b[0] - a[0], b[1] - a[1]];
        let length = dx.hypot(dy);
        let [ux, uy] = if length > 0.0 {
            [dx / length, dy / length]
        } else {
            [1.0, 0.0]
        };
        let ends = (SHORT * length).max(least);
        let margin = 4.0 * across.max(ends);
        let span = |c: usize, most: usize| {
            as_usize(a[c].min(b[c]) - margin)..as_usize(a[c].max(b[c]) + margin).min(most)
        };
        for y in span(1, copy.height) {
            for x in span(0, copy.width) {
                let [px, py] = [as_f64(x) + 0.5 - a[0], as_f64(y) + 0.5 - a[1]];
                let along = px * ux + py * uy;
                let beyond = (-along).max(along - length).max(0.0) / ends;
                let aside = (px * uy - py * ux) / across;
                let here = &mut off[y * copy.width + x];
                *here = here.min(beyond.powi(4) + aside.powi(4));
            }
        }
    }
    let odds = off.iter().zip(between).map(|(off, between)| {
        let near = ((1.0 - off.sqrt().sqrt()) / FALLS).clamp(NOWHERE, NEAR);
        if *between { near.max(BETWEEN) } else { near }
    });
    odds.collect()
}

fn chance(odds: f64) -> f64 {
    1.0 / (1.0 + (-odds).exp())
}

/// Evidence for each pixel from its likeness to the rub: logarithms of odds. And the means about each, in which edges
/// are looked for.
fn by_likeness(
    copy: &Copy,
    rub: &[bool],
    out: &[bool],
    place: &[f64],
) -> (Vec<f64>, [Vec<f64>; 3]) {
    let radius = as_usize((ABOUT * copy.side()).round()).max(2);
    let channel = |c: usize| copy.lab.iter().map(move |lab| lab[c]).collect::<Vec<f64>>();
    let near: [Vec<f64>; 3] = std::array::from_fn(|c| copy.blurred(&channel(c), 1));
    let varied: [Vec<f64>; 3] = std::array::from_fn(|c| {
        let values = channel(c);
        let square: Vec<f64> = values.iter().map(|v| v * v).collect();
        let (mean, square) = (copy.blurred(&values, radius), copy.blurred(&square, radius));
        let each = mean.iter().zip(square);
        each.map(|(mean, square)| (square - mean * mean).max(0.0).sqrt().ln_1p())
            .collect()
    });
    let all = 0..copy.lab.len();
    let colours: Vec<usize> = all
        .clone()
        .map(|i| code(std::array::from_fn(|c| near[c][i])))
        .collect();
    let varied: Vec<usize> = all
        .clone()
        .map(|i| as_usize(4.0 * varied.iter().map(|c| c[i]).sum::<f64>()).min(VARIED - 1))
        .collect();
    let in_rub = |i: usize| if rub[i] { 1.0 } else { 0.0 };
    let rubbed_out = out.iter().filter(|out| **out).count().max(1);
    let loud = as_f64(all.len()) / as_f64(rubbed_out);
    let elsewhere = |i: usize| {
        if rub[i] {
            0.0
        } else if out[i] {
            loud
        } else {
            1.0 - chance(place[i])
        }
    };
    let scales = (&STEPS[..], &[VARIED][..]);
    let here = Often::of_values(&colours, in_rub, scales.0);
    let there = Often::of_values(&colours, elsewhere, scales.0);
    let varies_here = Often::of_values(&varied, in_rub, scales.1);
    let varies_there = Often::of_values(&varied, elsewhere, scales.1);
    let alike = all
        .map(|i| {
            let colour = here.against(&there, colours[i], NEVER_MET);
            let varied = varies_here.against(&varies_there, varied[i], 100.0 * NEVER_MET);
            (LIKENESS * (colour + varied)).clamp(-LOUDEST, LOUDEST)
        })
        .collect();
    (alike, near)
}

/// How much each pixel goes with its neighbour to the right, and with that below.
fn going_together(copy: &Copy, means: &[Vec<f64>; 3], rub: &[bool]) -> [Vec<f64>; 2] {
    let (w, h) = (copy.width, copy.height);
    let step = |i: usize, j: usize| {
        let squares = means.iter().map(|c| (c[i] - c[j]).powi(2));
        squares.sum::<f64>().sqrt()
    };
    let (mut sum, mut count) = (0.0, 0.0);
    let mut steps = [vec![f64::INFINITY; w * h], vec![f64::INFINITY; w * h]];
    for i in 0..w * h {
        let sides = [
            (i % w + 1 < w).then_some(i + 1),
            (i / w + 1 < h).then_some(i + w),
        ];
        for (steps, side) in steps.iter_mut().zip(sides) {
            if let Some(side) = side {
                steps[i] = step(i, side);
                if rub[i] {
                    sum += steps[i];
                    count += 1.0;
                }
            }
        }
    }
    let usual = EDGE * sum / f64::max(count, 1.0) + 1e-6;
    steps.map(|steps| {
        let each = steps.into_iter().map(|step| {
            if step.is_finite() {
                NEIGHBOURS * (1e-3 + 1.0 / (1.0 + (step / usual).powi(2)))
            } else {
                0.0
            }
        });
        each.collect()
    })
}

/// The chance of each pixel where each is as near as can be to its own and, across no edge, to its neighbours'.
fn settled(copy: &Copy, own: &[f64], [right, below]: &[Vec<f64>; 2]) -> Vec<f64> {
    let w = copy.width;
    let mut chances = own.to_vec();
    for _ in 0..TURNS {
        for i in 0..own.len() {
            let (mut sum, mut weight) = (own[i], 1.0);
            let mut take = |j: usize, by: f64| {
                sum += by * chances[j];
                weight += by;
            };
            if i % w > 0 {
                take(i - 1, right[i - 1]);
            }
            if i % w + 1 < w {
                take(i + 1, right[i]);
            }
            if i >= w {
                take(i - w, below[i - w]);
            }
            if i + w < own.len() {
                take(i + w, below[i]);
            }
            chances[i] += BEYOND * (sum / weight - chances[i]);
        }
    }
    chances
}

/// The pixels that are meant, and those that were rubbed.
fn meant(copy: &Copy, strokes: &[Stroke], reach: f64) -> (Vec<bool>, Vec<bool>) {
    let rub = copy.under(strokes.iter().filter(|stroke| !stroke.out));
    let out = copy.under(strokes.iter().filter(|stroke| stroke.out));
    let between = between(copy, &rub);
    let stretches = stretches(copy, strokes);
    let [own_reach, size] = reach_of(copy, &stretches, &rub, &between);
    let reach = reach.clamp(0.1, 20.0);
    let reaches = [ACROSS * reach * own_reach, REACH[0] * reach * size];
    let place = by_place(copy, &stretches, &between, reaches);
    let (alike, means) = by_likeness(copy, &rub, &out, &place);
    let away_from_out = copy.away_from(&out);
    let own: Vec<f64> = (0..rub.len())
        .map(|i| {
            let odds = if out[i] {
                -SURE
            } else if rub[i] {
                SURE
            } else {
                let not = 2.0 * LOUDEST * (1.0 - away_from_out[i] / own_reach).max(0.0);
                place[i] + alike[i] - not
            };
            chance(odds)
        })
        .collect();
    let chances = settled(copy, &own, &going_together(copy, &means, &rub));
    let held = chances.iter().zip(&rub).zip(&out);
    let meant = held.map(|((chance, rub), out)| !out && (*rub || *chance > 0.5));
    (meant.collect(), rub)
}

/// The region that a rub means; `None` where it means nothing.
#[must_use]
pub fn rubbed(picture: &Picture, strokes: &[Stroke], reach: f64) -> Option<Rubbed> {
    let copy = Copy::of_picture(picture, about(strokes, picture)?);
    let (meant, rub) = meant(&copy, strokes, reach);
    let mask = Mask::new(copy.width, copy.height, |i| meant[i]).touching(&rub);
    // Boards with gaps between them are one wall.
    let gap = GAP * copy.side();
    let near: Vec<bool> = copy
        .away_from(mask.pixels())
        .iter()
        .map(|away| *away > gap)
        .collect();
    let away = copy.away_from(&near);
    let whole = Mask::new(copy.width, copy.height, |i| {
        mask.pixels()[i] || away[i] > gap
    });
    let region = few_corners(&mask, &whole, copy.span)?;
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

    fn stroke(points: &[Point]) -> Stroke {
        Stroke {
            points: points.to_vec(),
            out: false,
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
            stroke(&[[0.23, 0.22], [0.8, 0.22]]),
            stroke(&[[0.23, 0.4], [0.44, 0.4]]),
            stroke(&[[0.23, 0.62], [0.8, 0.62]]),
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
            stroke(&[[0.23, 0.25], [0.8, 0.25]]),
            stroke(&[[0.23, 0.6], [0.8, 0.6]]),
            Stroke {
                out: true,
                ..stroke(&[[0.7, 0.2], [0.7, 0.65]])
            },
        ];
        let found = rubbed(&wall(), &strokes, 1.5).unwrap();
        let runs = found.region.runs(170, 600, 400);
        assert!(!runs.iter().any(|run| run.contains(&420)), "{runs:?}");
        assert!(rubbed(&wall(), &[], 1.0).is_none());
    }
}
