//! The ground between the cells: white card shows how evenly the light falls.

use super::CardLayout;
use crate::colour::{LabD65, LinearSrgb, Xyz};
use crate::linear::least_squares;
use crate::photo::Picture;
use crate::region::{Outline, Region};

/// A smooth surface of light over the card: the logarithm of each channel as a polynomial of second degree in the place.
#[derive(Debug, Clone, PartialEq)]
pub struct LightSurface {
    /// Coefficients a channel, over 1, x, y, x², xy, y² about the middle of the samples.
    by_channel: [[f64; TERMS]; 3],
    middle: [f64; 2],
    /// The bounds of the samples; beyond them the surface stays as it is there.
    bounds: [f64; 4],
    /// How much more light the brightest place of the card gets than the darkest.
    pub unevenness: f64,
    /// The ground's colour as the picture has it, in the middle.
    pub colour: LabD65,
}

const TERMS: usize = 6;
/// A ground darker or more colourful than this is no white card. Our choice.
const LIGHT_ENOUGH: f64 = 60.0;
const GREY_ENOUGH: f64 = 25.0;
/// Half the side of a sample, in pitches of the grid.
const SAMPLE: f64 = 0.04;
/// A sample that differs from the surface by more than this factor is no ground, but a cell that reaches there or a mark.
const BELONGS: f64 = 0.10;
/// Share of the samples that must lie on the surface.
const MOST: f64 = 0.5;
const ROUNDS: usize = 6;

impl LightSurface {
    /// The light of the ground at a place, in fractions of the picture.
    #[must_use]
    pub fn light_at(&self, place: [f64; 2]) -> LinearSrgb {
        let [left, top, right, bottom] = self.bounds;
        let held = [place[0].clamp(left, right), place[1].clamp(top, bottom)];
        let terms = terms(held, self.middle);
        let [r, g, b] = self
            .by_channel
            .map(|row| row.iter().zip(terms).map(|(c, t)| c * t).sum::<f64>().exp());
        LinearSrgb { r, g, b }
    }
}

fn terms([x, y]: [f64; 2], middle: [f64; 2]) -> [f64; TERMS] {
    let (x, y) = (x - middle[0], y - middle[1]);
    [1.0, x, y, x * x, x * y, y * y]
}

/// Reads the ground between and round the cells; `place` maps columns and rows to the picture. `None` where that is no
/// white card.
pub(super) fn read(
    picture: &Picture,
    layout: &CardLayout,
    place: &impl Fn(f64, f64) -> [f64; 2],
) -> Option<LightSurface> {
    let mut samples: Vec<([f64; 2], [f64; 3])> = Vec::new();
    for half_row in 0..=2 * layout.rows {
        for half_column in 0..=2 * layout.columns {
            if half_row % 2 == 1 && half_column % 2 == 1 {
                continue;
            }
            #[expect(clippy::cast_precision_loss, reason = "a few dozen cells")]
            let (x, y) = (half_column as f64 / 2.0 - 0.5, half_row as f64 / 2.0 - 0.5);
            let outline = Outline::new(vec![
                place(x - SAMPLE, y - SAMPLE),
                place(x + SAMPLE, y - SAMPLE),
                place(x + SAMPLE, y + SAMPLE),
                place(x - SAMPLE, y + SAMPLE),
            ]);
            let Ok(outline) = outline else { continue };
            let region = Region {
                outline,
                leave_out: Vec::new(),
            };
            if let Some(read) = picture.reading(&region)
                && read.clipped < 0.1
            {
                let light = Xyz::from(read.colour).to_linear_srgb();
                samples.push((
                    place(x, y),
                    [light.r, light.g, light.b].map(|v| v.max(1e-4).ln()),
                ));
            }
        }
    }
    let ground = fitted(&samples)?;
    (ground.colour.l > LIGHT_ENOUGH && ground.colour.chroma() < GREY_ENOUGH).then_some(ground)
}

/// How far a sample lies above a surface, in the channel where it lies farthest from it.
fn farthest_off(surface: &[[f64; TERMS]; 3], terms: [f64; TERMS], light: &[f64; 3]) -> f64 {
    (0..3)
        .map(|c| {
            light[c]
                - surface[c]
                    .iter()
                    .zip(terms)
                    .map(|(s, t)| s * t)
                    .sum::<f64>()
        })
        .fold(
            0.0,
            |most: f64, v| if v.abs() > most.abs() { v } else { most },
        )
}

/// The surface through the samples; those far below it are left out, round by round: paint is darker than its card.
fn fitted(samples: &[([f64; 2], [f64; 3])]) -> Option<LightSurface> {
    if samples.len() < 2 * TERMS {
        return None;
    }
    let bounds = samples
        .iter()
        .fold([1.0, 1.0, 0.0, 0.0], |[l, t, r, b]: [f64; 4], (p, _)| {
            [l.min(p[0]), t.min(p[1]), r.max(p[0]), b.max(p[1])]
        });
    let middle = [
        f64::midpoint(bounds[0], bounds[2]),
        f64::midpoint(bounds[1], bounds[3]),
    ];
    let mut kept: Vec<bool> = vec![true; samples.len()];
    let mut surface = [[0.0; TERMS]; 3];
    for _ in 0..ROUNDS {
        let counted = samples.iter().zip(&kept).filter(|(_, kept)| **kept);
        let rows = counted.map(|((at, light), _)| (terms(*at, middle), *light, 1.0));
        // Curvature that few samples speak for stays small.
        let held = std::array::from_fn(|a| if a > 2 { 1e-4 } else { 1e-9 });
        surface = least_squares(rows, held)?;
        let mut off: Vec<f64> = samples
            .iter()
            .map(|(at, light)| farthest_off(&surface, terms(*at, middle), light))
            .collect();
        let now: Vec<bool> = off.iter().map(|v| v.abs() < BELONGS).collect();
        let enough = 3 * now.iter().filter(|k| **k).count() >= samples.len();
        kept = if enough {
            now
        } else {
            // Far from a fit yet: keep the lighter half.
            let mut sorted = std::mem::take(&mut off);
            let all = sorted.clone();
            sorted.sort_by(f64::total_cmp);
            let half = sorted[sorted.len() / 2];
            all.iter().map(|v| *v >= half).collect()
        };
    }
    #[expect(clippy::cast_precision_loss, reason = "a few hundred samples")]
    let share = kept.iter().filter(|k| **k).count() as f64 / samples.len() as f64;
    if share < MOST {
        return None;
    }
    let mut ground = LightSurface {
        by_channel: surface,
        middle,
        bounds,
        unevenness: 1.0,
        colour: LabD65::new(0.0, 0.0, 0.0),
    };
    ground.colour = LabD65::from(ground.light_at(middle));
    let levels = samples
        .iter()
        .map(|(at, _)| Xyz::from(ground.light_at(*at)).y);
    let (least, most) = levels.fold((f64::INFINITY, 0.0_f64), |(l, m), y| (l.min(y), m.max(y)));
    ground.unevenness = most / least.max(1e-6);
    Some(ground)
}
