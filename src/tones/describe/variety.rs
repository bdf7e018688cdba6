//! How much the units of a body differ: bricks, stones, slates, boards.
//!
//! In: small windows of a region that each lie within one thing, and its tones. Out: how far the body's units lie from its
//! colour, and the colours of the outer tenths; nothing where it has no units, or they are alike.
//!
//! Scale separates units from grain and light: within a unit two neighbouring windows differ only by grain; across a
//! border they also differ by a unit. So of a body with units most neighbours are alike and some are not; of grain,
//! of clouds and of a slow fall of light the differences of neighbours are all of one kind, a bell.

#![expect(clippy::cast_precision_loss, reason = "windows are some ten thousands")]

use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use crate::linear::{dot, least_squares};
use crate::photo::Picture;
use crate::tones::count::histogram::Bin;
use crate::tones::group::rounds::nearest_of;
use crate::tones::space::place_of;
use crate::tones::tone::Tones;
use serde::{Deserialize, Serialize};

/// A small square of a region that lies within one thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::tones) struct Window {
    /// Which it is, across and down.
    pub(in crate::tones) at: [usize; 2],
    /// Its mean, codes of 0 to 255.
    pub(in crate::tones) codes: [f32; 3],
}

impl Window {
    /// Places a side.
    pub(in crate::tones) const SIDE: usize = 3;
    /// Places in all.
    pub(in crate::tones) const PLACES: f32 = 9.0;
}

/// The windows of a region, kept until its tones are known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WindowColours(Vec<([usize; 2], LabD65)>);

/// How much the units of a body differ.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Variety {
    /// Mean difference of its units from its colour, grain and light left out (CIEDE2000).
    pub spread: DeltaE00,
    /// The colours of outer tenths of its area, the farthest from the body first; at most three.
    pub tenths: Vec<LabD65>,
}

/// What a scene says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Units that clearly differ are reported.
    AsSeen,
    /// It has units, and even small differences are reported.
    Said,
}

impl Wish {
    /// Least spread, and least distance of a tenth from the body and from others.
    fn least(self) -> [f64; 2] {
        let all = [LEAST_SPREAD, LEAST_TENTH];
        match self {
            Self::AsSeen => all,
            Self::Said => all.map(|v| 0.5 * v),
        }
    }
}

/// Units that on average lie nearer to their mean are alike, for a painter; and a tenth is worth a mix that lies so far from
/// the body, and from other tenths; half of both where the scene says that there are units. Our choice.
const LEAST_SPREAD: f64 = 1.2;
const LEAST_TENTH: f64 = 4.0;
/// If a tenth is nearer to another tone than this many times its distance from the body, that tone describes it.
const OWN: f64 = 1.25;
/// A further axis is looked along where units vary along it by at least this part of the variance along the first.
const SECOND: f64 = 0.35;
/// Fewer windows show nothing.
const LEAST_WINDOWS: usize = 120;
/// Squared differences of neighbours are on average this many times what the middle one of a bell would say. Our choice, by
/// drawn walls: of grain, clouds and slow light it is 1.
const JUMPS: f64 = 1.6;
/// Neighbours are looked for this many windows away.
const STEPS: [usize; 6] = [1, 2, 3, 4, 6, 9];
/// A window takes the mean of its like, this many windows around, which differ by less than this many deviations of grain.
const AROUND: usize = 2;
const LIKE: f64 = 2.5;
/// The outer part that is reported.
pub const TENTH: f64 = 0.1;

impl WindowColours {
    pub(in crate::tones) fn of_picture(picture: &Picture, windows: Vec<Window>) -> Self {
        let encoded: Vec<[f64; 3]> = windows
            .iter()
            .map(|window| window.codes.map(|code| f64::from(code) / 255.0))
            .collect();
        let light = picture.light_of(&encoded);
        let places = windows.into_iter().map(|window| window.at);
        Self(places.zip(light.into_iter().map(LabD65::from)).collect())
    }

    /// These windows in the light to which the photos of a surface are brought, by bins before and after that.
    #[must_use]
    pub fn in_light_of(mut self, bins: Option<(&[Bin], &[Bin])>) -> Self {
        let first =
            bins.and_then(|(before, after)| Some((before.first()?.light, after.first()?.light)));
        if let Some((before, after)) = first.filter(|(before, after)| before != after) {
            let by = |before: f64, after: f64| if before > 0.0 { after / before } else { 1.0 };
            let [r, g, b] = [
                by(before.r, after.r),
                by(before.g, after.g),
                by(before.b, after.b),
            ];
            for (_, colour) in &mut self.0 {
                let light = Xyz::from(*colour).to_linear_srgb();
                *colour = LinearSrgb {
                    r: light.r * r,
                    g: light.g * g,
                    b: light.b * b,
                }
                .into();
            }
        }
        self
    }

    /// How much the units of the body differ; `None` where it has none that can be seen, or they are alike.
    #[must_use]
    pub fn variety(&self, tones: &Tones, wish: Wish) -> Option<Variety> {
        let places: Vec<[f64; 3]> = tones.tones.iter().map(|t| place_of(t.colour)).collect();
        let own: Vec<([usize; 2], LabD65)> = self
            .0
            .iter()
            .filter(|(_, colour)| nearest_of(place_of(*colour), &places) == 0)
            .copied()
            .collect();
        Field::of_windows(&own)?.variety(tones, wish)
    }
}

/// Lengths about a colour in units of CIEDE2000: lightness, chroma and hue.
///
/// # Source
/// CIE 142-2001; the terms S and G, without T and the turn of blue.
struct Metric {
    stretch: f64,
    unit: [f64; 2],
    scale: [f64; 3],
}

impl Metric {
    fn about(colour: LabD65) -> Self {
        let seventh = colour.chroma().powi(7);
        let stretch = 1.0 + 0.5 * (1.0 - (seventh / (seventh + 25.0_f64.powi(7))).sqrt());
        let (a, b) = (stretch * colour.a, colour.b);
        let chroma = a.hypot(b).max(1e-9);
        let off = (colour.l - 50.0).powi(2);
        Self {
            stretch,
            unit: [a / chroma, b / chroma],
            scale: [
                1.0 + 0.015 * off / (20.0 + off).sqrt(),
                1.0 + 0.045 * chroma,
                1.0 + 0.015 * chroma,
            ],
        }
    }

    /// A difference of Lab in these units.
    fn in_units(&self, [l, a, b]: [f64; 3]) -> [f64; 3] {
        let ([u, v], a) = (self.unit, self.stretch * a);
        let [sl, sc, sh] = self.scale;
        [l / sl, (u * a + v * b) / sc, (u * b - v * a) / sh]
    }

    /// The way back.
    fn back(&self, [l, c, h]: [f64; 3]) -> [f64; 3] {
        let [u, v] = self.unit;
        let [sl, sc, sh] = self.scale;
        let (c, h) = (c * sc, h * sh);
        [l * sl, (u * c - v * h) / self.stretch, v * c + u * h]
    }
}

/// The windows of a body without the slow trend of light, where they are.
struct Field {
    metric: Metric,
    mean: [f64; 3],
    width: usize,
    /// Row by row the place of each window in `off`, one more than it; 0 where there is none.
    at: Vec<u32>,
    places: Vec<[usize; 2]>,
    /// Differences from the mean.
    off: Vec<[f64; 3]>,
}

impl Field {
    fn of_windows(windows: &[([usize; 2], LabD65)]) -> Option<Self> {
        if windows.len() < LEAST_WINDOWS {
            return None;
        }
        let most = |axis: usize| windows.iter().map(|(at, _)| at[axis]).max();
        let (width, height) = (most(0)? + 1, most(1)? + 1);
        let terms = |at: [usize; 2]| {
            let x = 2.0 * at[0] as f64 / width as f64 - 1.0;
            let y = 2.0 * at[1] as f64 / height as f64 - 1.0;
            [1.0, x, y, x * x, x * y, y * y]
        };
        let lab = |colour: LabD65| [colour.l, colour.a, colour.b];
        let rows = windows
            .iter()
            .map(|(at, colour)| (terms(*at), lab(*colour), 1.0));
        let trend = least_squares(rows, [1e-6; 6])?;
        let mut mean = [0.0; 3];
        for (_, colour) in windows {
            for (mean, v) in mean.iter_mut().zip(lab(*colour)) {
                *mean += v / windows.len() as f64;
            }
        }
        let metric = Metric::about(mean.into());
        let mut at = vec![0; width * height];
        let mut off = Vec::with_capacity(windows.len());
        for (i, ([x, y], colour)) in windows.iter().enumerate() {
            at[y * width + x] = u32::try_from(i + 1).ok()?;
            let (own, terms) = (lab(*colour), terms([*x, *y]));
            off.push(metric.in_units(std::array::from_fn(|c| own[c] - dot(&trend[c], &terms))));
        }
        Some(Self {
            metric,
            mean,
            width,
            at,
            places: windows.iter().map(|(at, _)| *at).collect(),
            off,
        })
    }

    fn window_at(&self, x: usize, y: usize) -> Option<usize> {
        let at = (x < self.width).then(|| self.at.get(y * self.width + x).copied())??;
        (at as usize).checked_sub(1)
    }

    /// Differences along an axis of windows this many steps apart, across or down.
    fn differences(&self, axis: [f64; 3], [dx, dy]: [usize; 2]) -> Vec<f64> {
        let places = self.places.iter().zip(&self.off);
        places
            .filter_map(|([x, y], own)| {
                let other = self.off[self.window_at(x + dx, y + dy)?];
                Some((dot(own, &axis) - dot(&other, &axis)).abs())
            })
            .collect()
    }

    /// How much windows beside each other differ, each axis of the metric by itself, as the variance of one of them.
    fn grain(&self) -> [f64; 3] {
        let mut axes = [[0.0; 3]; 3];
        for (c, axis) in axes.iter_mut().enumerate() {
            axis[c] = 1.0;
        }
        axes.map(|axis| {
            let mut all = self.differences(axis, [1, 0]);
            all.extend(self.differences(axis, [0, 1]));
            0.5 * of_a_bell(&mut all)
        })
    }

    /// The largest of the quotients of the mean squared difference by that of a bell with the same middle.
    fn jumps(&self, axis: [f64; 3]) -> f64 {
        let mut most = 0.0_f64;
        for step in STEPS {
            for apart in [[step, 0], [0, step]] {
                let mut all = self.differences(axis, apart);
                if all.len() < LEAST_WINDOWS / 2 {
                    continue;
                }
                let mean = all.iter().map(|d| d * d).sum::<f64>() / all.len() as f64;
                most = most.max(mean / of_a_bell(&mut all).max(FLAT));
            }
        }
        most
    }

    /// Each window as the mean of its like about it, and how many those are on average.
    fn stilled(&self, grain: [f64; 3]) -> (Vec<[f64; 3]>, f64) {
        let within = LIKE * LIKE * 2.0 * grain.iter().sum::<f64>().max(FLAT);
        let mut counted = 0.0;
        let stilled = self.places.iter().zip(&self.off).map(|([x, y], own)| {
            let (mut sum, mut count) = ([0.0; 3], 0.0);
            for row in y.saturating_sub(AROUND)..=y + AROUND {
                for column in x.saturating_sub(AROUND)..=x + AROUND {
                    let Some(other) = self.window_at(column, row).map(|i| self.off[i]) else {
                        continue;
                    };
                    let apart: [f64; 3] = std::array::from_fn(|c| other[c] - own[c]);
                    if dot(&apart, &apart) <= within {
                        count += 1.0;
                        sum = std::array::from_fn(|c| sum[c] + other[c]);
                    }
                }
            }
            counted += count;
            sum.map(|v| v / count)
        });
        let stilled: Vec<[f64; 3]> = stilled.collect();
        let many = counted / stilled.len() as f64;
        (stilled, many)
    }

    fn variety(&self, tones: &Tones, wish: Wish) -> Option<Variety> {
        let (body, others) = tones.tones.split_first()?;
        let grain = self.grain();
        let (stilled, many) = self.stilled(grain);
        let mut spread = covariance(&stilled);
        for (c, row) in spread.iter_mut().enumerate() {
            row[c] = (row[c] - grain[c] / many).max(0.0);
        }
        let axes = principal(spread);
        let (_, first) = axes[0];
        let jumps = self.jumps(first);
        if wish == Wish::AsSeen && jumps < JUMPS {
            return None;
        }
        let mut tenths: Vec<(f64, LabD65)> = Vec::new();
        let broadest = axes[0].0;
        for (variance, axis) in axes.iter().filter(|(own, _)| *own >= SECOND * broadest) {
            let along: Vec<f64> = stilled.iter().map(|v| dot(v, axis)).collect();
            let seen = along.iter().map(|v| v * v).sum::<f64>() / along.len() as f64;
            let kept = (variance / seen.max(FLAT)).sqrt().min(1.0);
            for sign in [1.0, -1.0] {
                let outer = outer_tenth(&stilled, &along, sign).map(|v| kept * v);
                let [l, a, b] = self.metric.back(outer);
                let [ml, ma, mb] = self.mean;
                let colour = LabD65::new(ml + l, ma + a, mb + b);
                tenths.push((delta_e00(colour, body.colour).0, colour));
            }
        }
        // What lies off the mean on average, of a bell in three axes; near enough for a word.
        let spread = DeltaE00(stilled_mean(&stilled, many, grain));
        let [least_spread, least_tenth] = wish.least();
        if spread.0 < least_spread {
            return None;
        }
        tenths.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut told: Vec<LabD65> = Vec::new();
        for (far, colour) in tenths {
            let apart = told
                .iter()
                .all(|other| delta_e00(*other, colour).0 >= least_tenth);
            let is_told = others
                .iter()
                .any(|tone| delta_e00(tone.colour, colour).0 < OWN * far);
            if far >= least_tenth && apart && !is_told && told.len() < 3 {
                told.push(colour);
            }
        }
        (!told.is_empty()).then_some(Variety {
            spread,
            tenths: told,
        })
    }
}

/// Differences smaller than this are none (CIEDE2000 squared): half a code.
const FLAT: f64 = 0.02;

/// Mean length of the rest once grain is taken out.
fn stilled_mean(stilled: &[[f64; 3]], many: f64, grain: [f64; 3]) -> f64 {
    let left = grain.iter().sum::<f64>() / many;
    let mean = |f: &dyn Fn(f64) -> f64| {
        stilled.iter().map(|v| f(dot(v, v))).sum::<f64>() / stilled.len() as f64
    };
    let squares = mean(&|v| v);
    let kept = ((squares - left).max(0.0) / squares.max(FLAT)).sqrt();
    kept * mean(&f64::sqrt)
}

/// The mean square of differences of which the middle one is that of a bell.
fn of_a_bell(differences: &mut [f64]) -> f64 {
    /// The middle size of a normal deviate.
    const MIDDLE: f64 = 0.674_489_75;
    if differences.is_empty() {
        return 0.0;
    }
    let middle = differences.len() / 2;
    let (_, middle, _) = differences.select_nth_unstable_by(middle, f64::total_cmp);
    (*middle / MIDDLE).powi(2)
}

fn covariance(all: &[[f64; 3]]) -> [[f64; 3]; 3] {
    let count = all.len() as f64;
    let mean: [f64; 3] = std::array::from_fn(|c| all.iter().map(|v| v[c]).sum::<f64>() / count);
    let mut sum = [[0.0; 3]; 3];
    for v in all {
        for i in 0..3 {
            for j in 0..3 {
                sum[i][j] += (v[i] - mean[i]) * (v[j] - mean[j]) / count;
            }
        }
    }
    sum
}

/// Principal axes and the variance along each, the largest first.
///
/// # Source
/// Jacobi 1846, by turns in planes (Golub and Van Loan, *Matrix Computations*, 8.5).
fn principal(mut m: [[f64; 3]; 3]) -> [(f64, [f64; 3]); 3] {
    let mut axes = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for _ in 0..12 {
        for (p, q) in [(0, 1), (0, 2), (1, 2)] {
            if m[p][q].abs() < 1e-12 {
                continue;
            }
            let turn = 0.5 * (2.0 * m[p][q]).atan2(m[q][q] - m[p][p]);
            let (sin, cos) = turn.sin_cos();
            for row in &mut m {
                (row[p], row[q]) = (cos * row[p] - sin * row[q], sin * row[p] + cos * row[q]);
            }
            for rows in [&mut m, &mut axes] {
                let (a, b) = (rows[p], rows[q]);
                rows[p] = std::array::from_fn(|c| cos * a[c] - sin * b[c]);
                rows[q] = std::array::from_fn(|c| sin * a[c] + cos * b[c]);
            }
        }
    }
    let mut all: [(f64, [f64; 3]); 3] = std::array::from_fn(|c| (m[c][c].max(0.0), axes[c]));
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all
}

/// The mean of the tenth of the windows that lies farthest along an axis, or against it.
fn outer_tenth(all: &[[f64; 3]], along: &[f64], sign: f64) -> [f64; 3] {
    let mut order: Vec<usize> = (0..all.len()).collect();
    let count = (all.len() / 10).max(1);
    order.select_nth_unstable_by(count - 1, |a, b| {
        (sign * along[*b]).total_cmp(&(sign * along[*a]))
    });
    let mut sum = [0.0; 3];
    for i in &order[..count] {
        sum = std::array::from_fn(|c| sum[c] + all[*i][c] / count as f64);
    }
    sum
}
