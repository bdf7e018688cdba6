//! Whether a region holds two surfaces side by side.
//!
//! In: a map of its tones. Out: the line between the two, and which tones lie on which side. A line parts two
//! surfaces if most of what lies close to it on one side is not found on the other, and there is no such change
//! anywhere else on the way across. Bricks, rubble and leaves change everywhere alike, and light that falls off over
//! a wall changes little by little.

use super::map::ToneMap;
use crate::tones::tone::Tone;

/// Two surfaces in one region.
#[derive(Debug, Clone, PartialEq)]
pub struct SideBySide {
    /// Where the border enters and leaves the map, as fractions of the map's width and height.
    pub border: [[f64; 2]; 2],
    /// Where the first of the two lies.
    pub side: Side,
    /// Tones mostly of the first, most first, and of the second.
    pub tones: [Vec<usize>; 2],
    /// Share of the region that the first has.
    pub share: f64,
}

impl SideBySide {
    /// Where the border is in the photo, of which the map spans a part (left, top, right, bottom).
    #[must_use]
    pub fn border_within(&self, [left, top, right, bottom]: [f64; 4]) -> [[f64; 2]; 2] {
        self.border
            .map(|[x, y]| [left + x * (right - left), top + y * (bottom - top)])
    }
}

/// On which side of a border a surface lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left of it; the other is right of it.
    Left,
    /// Above it; the other is below it.
    Above,
}

/// Directions that are looked along, half a turn in all, and cuts across each.
const DIRECTIONS: u32 = 36;
const CUTS: usize = 128;
/// At least this share of both sides, and of the strips along their border, can be assigned by tone alone; chance
/// assigns a half. Our choice: half of the possible gain.
const TOLD: f64 = 0.75;
/// How much neighbouring strips differ elsewhere, compared with those along the border. Our choice.
const ELSEWHERE: f64 = 0.5;
/// A strip, in cuts; one with a smaller share of the region shows nothing.
const STRIP: usize = 8;
const LEAST_STRIP: f64 = 0.01;
/// Each side has at least this share of the region. Our choice.
const LEAST_SHARE: f64 = 0.12;
/// Fewer places show nothing.
const LEAST_PLACES: usize = 400;

/// For each cut across a direction how many places of each tone lie there.
struct Along {
    /// Cut by cut, tone by tone.
    counts: Vec<Vec<f64>>,
    direction: [f64; 2],
    from: f64,
    to: f64,
}

impl Along {
    fn of_places(places: &[([f64; 2], usize)], tones: usize, angle: f64) -> Self {
        let direction = [angle.cos(), angle.sin()];
        let at = |[x, y]: [f64; 2]| x * direction[0] + y * direction[1];
        let along: Vec<f64> = places.iter().map(|(place, _)| at(*place)).collect();
        let (from, to) = along
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
                (low.min(*at), high.max(*at))
            });
        let mut counts = vec![vec![0.0; tones]; CUTS];
        for (at, (_, tone)) in along.iter().zip(places) {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                clippy::cast_precision_loss,
                reason = "from 0 to the number of cuts"
            )]
            let cut = ((at - from) / (to - from).max(1e-9) * CUTS as f64) as usize;
            counts[cut.min(CUTS - 1)][*tone] += 1.0;
        }
        Self {
            counts,
            direction,
            from,
            to,
        }
    }

    fn sum(&self, cuts: std::ops::Range<usize>) -> Vec<f64> {
        let mut sum = vec![0.0; self.counts[0].len()];
        for cut in &self.counts[cuts] {
            for (sum, count) in sum.iter_mut().zip(cut) {
                *sum += count;
            }
        }
        sum
    }
}

impl Along {
    /// How much of the strips on both sides of a cut is met on the one alone, 0 to 1; `None` where one of them is next to
    /// nothing.
    fn change_at(&self, cut: usize) -> Option<f64> {
        let (before, after) = (
            self.sum(cut.saturating_sub(STRIP)..cut),
            self.sum(cut..(cut + STRIP).min(CUTS)),
        );
        let least = LEAST_STRIP * total(&self.sum(0..CUTS));
        let (all_before, all_after) = (total(&before), total(&after));
        let apart = before.iter().zip(&after);
        let apart = apart.map(|(b, a)| (b / all_before - a / all_after).abs());
        (all_before.min(all_after) >= least).then(|| 0.5 * apart.sum::<f64>())
    }
}

fn total(counts: &[f64]) -> f64 {
    counts.iter().sum()
}

/// The part of a side that lies in tones that are its own: those of which a larger part of this side than of the other is.
fn own_share(before: &[f64], after: &[f64], is_before: &[bool]) -> f64 {
    let own = |side: &[f64], of_before: bool| {
        let own = side.iter().zip(is_before);
        let own: f64 = own
            .filter(|(_, before)| **before == of_before)
            .map(|(count, _)| count)
            .sum();
        own / total(side).max(1e-9)
    };
    f64::midpoint(own(before, true), own(after, false))
}

/// Which tones are more of what lies before a cut than of what lies behind it.
fn sides(before: &[f64], after: &[f64]) -> Vec<bool> {
    let (all_before, all_after) = (total(before).max(1e-9), total(after).max(1e-9));
    let pairs = before.iter().zip(after);
    pairs.map(|(b, a)| b / all_before > a / all_after).collect()
}

/// The cut along a direction that parts the tones best, with how well it does.
fn best_cut(along: &Along, tones: usize) -> Option<(f64, usize)> {
    let mut before = vec![0.0; tones];
    let mut after = along.sum(0..CUTS);
    let all = total(&after);
    let mut here: Option<(f64, usize)> = None;
    for (cut, counts) in along.counts.iter().enumerate() {
        for ((before, after), count) in before.iter_mut().zip(&mut after).zip(counts) {
            *before += count;
            *after -= count;
        }
        let share = total(&before) / all;
        if !(LEAST_SHARE..=1.0 - LEAST_SHARE).contains(&share) {
            continue;
        }
        let worth = own_share(&before, &after, &sides(&before, &after));
        if here.is_none_or(|(best, _)| worth > best) {
            here = Some((worth, cut + 1));
        }
    }
    here
}

/// The two surfaces that a map shows side by side; `None` where it shows one.
///
/// Tones that may be light and shade of one another are one surface: whether a part of it lies in shadow is another
/// question.
#[must_use]
pub fn side_by_side(map: &ToneMap, tones: &[&Tone]) -> Option<SideBySide> {
    let mut places = Vec::new();
    for y in 0..map.height() {
        for x in 0..map.width() {
            if let Some(tone) = map.tone(x, y).filter(|tone| *tone < tones.len()) {
                #[expect(clippy::cast_precision_loss, reason = "a map is small")]
                places.push(([x as f64 + 0.5, y as f64 + 0.5], tone));
            }
        }
    }
    if tones.len() < 2 || places.len() < LEAST_PLACES {
        return None;
    }
    let mut best: Option<(f64, Along, usize)> = None;
    for step in 0..DIRECTIONS {
        // From half a right angle before one axis to half a right angle behind the other.
        let half_turn = f64::from(step) / f64::from(DIRECTIONS);
        let angle = std::f64::consts::PI * (half_turn - 0.25);
        let along = Along::of_places(&places, tones.len(), angle);
        if let Some((worth, cut)) = best_cut(&along, tones.len())
            && best.as_ref().is_none_or(|(most, ..)| worth > *most)
        {
            best = Some((worth, along, cut));
        }
    }
    let (_, along, cut) = best.filter(|(worth, ..)| *worth >= TOLD)?;
    let (before, after) = (along.sum(0..cut), along.sum(cut..CUTS));
    let is_before = sides(&before, &after);
    let change = along.change_at(cut)?;
    let elsewhere = (STRIP..=CUTS - STRIP)
        .filter(|other| other.abs_diff(cut) >= STRIP)
        .filter_map(|other| along.change_at(other))
        .fold(0.0, f64::max);
    let is_border = change >= 2.0 * TOLD - 1.0 && elsewhere <= ELSEWHERE * change;
    if !is_border || are_light_and_shade(tones, (&before, &after)) {
        return None;
    }
    let border = ends(map, &along, cut)?;
    let of = |wanted: bool, counts: &[f64]| -> Vec<usize> {
        let mut own: Vec<usize> = (0..tones.len())
            .filter(|tone| is_before[*tone] == wanted && counts[*tone] > 0.0)
            .collect();
        own.sort_by(|a, b| counts[*b].total_cmp(&counts[*a]));
        own
    };
    let [dx, dy] = along.direction;
    Some(SideBySide {
        border,
        side: if dy > dx { Side::Above } else { Side::Left },
        tones: [of(true, &before), of(false, &after)],
        share: total(&before) / (total(&before) + total(&after)),
    })
}

/// Whether what there is most of on the one side may be the shade of what there is most of on the other.
fn are_light_and_shade(tones: &[&Tone], (before, after): (&[f64], &[f64])) -> bool {
    let most = |side: &[f64]| (0..side.len()).max_by(|a, b| side[*a].total_cmp(&side[*b]));
    let (Some(one), Some(other)) = (most(before), most(after)) else {
        return true;
    };
    let is_shade = |shade: usize, lit: usize| {
        let of = tones[shade].shade_of.as_ref();
        of.is_some_and(|of| of.lit == lit)
    };
    one == other || is_shade(one, other) || is_shade(other, one)
}

/// Where a cut enters and leaves the map.
fn ends(map: &ToneMap, along: &Along, cut: usize) -> Option<[[f64; 2]; 2]> {
    #[expect(clippy::cast_precision_loss, reason = "small numbers")]
    let (width, height, part) = (
        map.width() as f64,
        map.height() as f64,
        cut as f64 / CUTS as f64,
    );
    let at = along.from + (along.to - along.from) * part;
    let [dx, dy] = along.direction;
    // All points of the line are the foot and so much of the way across.
    let (foot, way) = ([dx * at, dy * at], [-dy, dx]);
    let mut within = (f64::NEG_INFINITY, f64::INFINITY);
    for (start, step, side) in [(foot[0], way[0], width), (foot[1], way[1], height)] {
        if step.abs() < 1e-12 {
            continue;
        }
        let (one, other) = (-start / step, (side - start) / step);
        within = (within.0.max(one.min(other)), within.1.min(one.max(other)));
    }
    (within.0 < within.1).then(|| {
        [within.0, within.1].map(|t| {
            [
                ((foot[0] + t * way[0]) / width).clamp(0.0, 1.0),
                ((foot[1] + t * way[1]) / height).clamp(0.0, 1.0),
            ]
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::photo::Picture;
    use crate::region::Region;
    use crate::tones::{Count, bins_for, map_of, sorted};

    const SIDE: usize = 160;
    const BRICK: [f64; 3] = [150.0, 80.0, 60.0];
    const MORTAR: [f64; 3] = [186.0, 176.0, 160.0];
    const SLATE: [f64; 3] = [86.0, 92.0, 104.0];

    /// A picture of a drawn surface, with grain of six codes.
    fn seen(colour: impl Fn(f64, f64) -> [f64; 3]) -> Option<SideBySide> {
        let mut state = 1_u64;
        let mut grain = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
            let unit = (state >> 11) as f64 / (1_u64 << 53) as f64;
            12.0 * unit - 6.0
        };
        let mut codes = Vec::new();
        for y in 0..SIDE {
            for x in 0..SIDE {
                #[expect(clippy::cast_precision_loss, reason = "small numbers")]
                let [r, g, b] = colour(x as f64 / SIDE as f64, y as f64 / SIDE as f64);
                let off = grain();
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "held to a code"
                )]
                codes.extend([r, g, b].map(|v| (v + off).clamp(0.0, 255.0) as u8));
            }
        }
        let picture = Picture::from_srgb8(SIDE, SIDE, codes).unwrap();
        let counted = bins_for(&picture, &Region::whole(), Count::Chosen);
        let found = sorted(&counted.bins, Count::Chosen).unwrap();
        let map = map_of(&picture, &Region::whole(), &counted.bins, &found, 120);
        side_by_side(&map, &found.tones.tones.iter().collect::<Vec<_>>())
    }

    /// Bricks with joints.
    fn brickwork(x: f64, y: f64) -> [f64; 3] {
        let row = (y * 16.0).floor();
        let along = (x * 7.0 + 0.5 * (row % 2.0)).fract();
        if (y * 16.0).fract() < 0.15 || along < 0.08 {
            MORTAR
        } else {
            BRICK
        }
    }

    #[test]
    fn a_border_between_two_surfaces_is_found_whatever_its_slope() {
        for slope in [0.0, 0.3, -0.4] {
            let found = seen(|x, y| {
                if x < 0.4 + slope * (y - 0.5) {
                    brickwork(x, y)
                } else {
                    SLATE
                }
            })
            .unwrap_or_else(|| panic!("slope {slope}"));
            assert_eq!(found.side, Side::Left, "{found:?}");
            assert!((found.share - 0.4).abs() < 0.03, "{found:?}");
            for [x, y] in found.border {
                assert!((x - (0.4 + slope * (y - 0.5))).abs() < 0.06, "{found:?}");
            }
        }
        let found = seen(|x, y| if y < 0.3 { SLATE } else { brickwork(x, y) }).unwrap();
        assert_eq!(found.side, Side::Above);
        assert!((found.share - 0.3).abs() < 0.03, "{found:?}");
    }

    #[test]
    fn textures_falling_light_and_shadow_are_one_surface() {
        assert_eq!(seen(brickwork), None);
        // Courses of two colours of stone.
        let banded = |_: f64, y: f64| {
            if (y * 4.0).fract() < 0.5 {
                BRICK
            } else {
                SLATE
            }
        };
        assert_eq!(seen(banded), None);
        // A chequer, and blotches.
        let chequer = |x: f64, y: f64| {
            if ((x * 2.5).fract() < 0.5) == ((y * 2.5).fract() < 0.5) {
                BRICK
            } else {
                SLATE
            }
        };
        assert_eq!(seen(chequer), None);
        let blotches = |x: f64, y: f64| {
            if (x * 9.0).sin() * (y * 7.0).cos() + (x * 4.0 + y * 5.0).sin() > 0.2 {
                [96.0, 112.0, 60.0]
            } else {
                [150.0, 140.0, 120.0]
            }
        };
        assert_eq!(seen(blotches), None);
        // Light that falls off to a half, and a shadow with a hard edge.
        let falling = |x: f64, _: f64| BRICK.map(|v| v * (1.0 - 0.4 * x));
        assert_eq!(seen(falling), None);
        let shadowed = |x: f64, _: f64| BRICK.map(|v| if x < 0.5 { v } else { v * 0.72 });
        assert_eq!(seen(shadowed), None);
    }
}
