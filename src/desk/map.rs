//! Where each tone is: for each part a small picture of places, each with the number of its tone.

use super::desk::Desk;
use super::drawing::DrawnPart;
use super::refused::Refused;
use super::trace::{Mask, pieces_outlined};
use crate::region::Outline;
use crate::tones::{ColourGrid, Part, Side, Sorted, Tone, ToneMap, Tones, side_by_side};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

/// Most places along the longer side of a map.
pub(super) const MAP_SIDE: usize = 720;
/// The same, where two surfaces side by side are looked for: as the plan does.
pub(super) const BESIDE_SIDE: usize = 140;
/// Stands for no tone.
const OUTSIDE: u8 = u8::MAX;

impl Desk {
    /// The pieces in which a tone is seen, each with its photo and the place of its part.
    pub(super) fn pieces_of(
        &self,
        parts: &[DrawnPart],
        counted: &[Part],
        sorted: &Sorted,
        tone: usize,
    ) -> Result<Vec<Value>, Refused> {
        let mut pieces = Vec::new();
        let maps = self.tone_maps(parts, counted, sorted, MAP_SIDE)?;
        for (at, (part, (span, map))) in parts.iter().zip(maps).enumerate() {
            let calm = calmed(&map, tone);
            let mask = Mask::new(map.width(), map.height(), |i| calm[i]);
            for outline in pieces_outlined(&mask, span) {
                pieces.push(json!({ "photo": part.photo, "part": at, "outline": outline }));
            }
        }
        Ok(pieces)
    }

    /// For each part what it spans of its photo, and where each tone is there.
    pub(super) fn tone_maps(
        &self,
        parts: &[DrawnPart],
        counted: &[Part],
        sorted: &Sorted,
        side: usize,
    ) -> Result<Vec<([f64; 4], ToneMap)>, Refused> {
        let mut first = 0;
        let mut maps = Vec::new();
        for (part, counted) in parts.iter().zip(counted) {
            let region = part.region().map_err(|e| Refused::of_problem(&e))?;
            let span = region.outline.bounds();
            let of_bin = &sorted.of_bin[first..first + counted.bins.len()];
            first += counted.bins.len();
            let map =
                self.with_photo(&part.photo, |loaded, _| {
                    ColourGrid::of_region(&loaded.picture, &region, span, &counted.bins, side)
                        .sorted(&counted.bins, of_bin, &sorted.tones.tones)
                })?;
            maps.push((span, map));
        }
        Ok(maps)
    }
}

/// Maps as the page gets them.
pub(super) fn told_maps(parts: &[DrawnPart], maps: &[([f64; 4], ToneMap)]) -> Vec<Value> {
    let told = parts.iter().zip(maps).map(|(part, (span, map))| {
        json!({
            "photo": part.photo,
            "span": span,
            "width": map.width(),
            "height": map.height(),
            "places": STANDARD.encode(places(map)),
        })
    });
    told.collect()
}

/// The two surfaces that a part seems to hold side by side: which part, the border on its photo, the tones that each has
/// most of, and an outline for each, if the border leaves one part on either side.
pub(super) fn two_in(parts: &[DrawnPart], maps: &[([f64; 4], ToneMap)], tones: &Tones) -> Value {
    let tones: Vec<&Tone> = tones.tones.iter().collect();
    let mut all = parts.iter().zip(maps).enumerate();
    let found = all.find_map(|(at, (part, (span, map)))| {
        let found = side_by_side(map, &tones)?;
        let [one, other] = &found.tones;
        let border = found.border_within(*span);
        let outline = Outline::new(part.outline.clone()).ok()?;
        let outlines = outline.cut_by(border);
        Some(json!({
            "part": at,
            "photo": part.photo,
            "border": border,
            "side": match found.side { Side::Left => "left", Side::Above => "above" },
            "tones": [one.first()?, other.first()?],
            "share": found.share,
            "outlines": outlines.map(|two| two.map(|one| one.points().to_vec())),
        }))
    });
    found.unwrap_or(Value::Null)
}

/// Half the side of the square in which most places must be of a tone for the middle to count.
const CALM: usize = 3;

/// Where a tone is, without its specks.
fn calmed(map: &ToneMap, tone: usize) -> Vec<bool> {
    let (width, height) = (map.width(), map.height());
    let around = |at: usize, most: usize| at.saturating_sub(CALM)..(at + CALM + 1).min(most);
    (0..width * height)
        .map(|i| {
            let (x, y) = (i % width, i / width);
            let (mut of_tone, mut all) = (0, 0);
            for y in around(y, height) {
                for x in around(x, width) {
                    let there = map.tone(x, y);
                    all += usize::from(there.is_some());
                    of_tone += usize::from(there == Some(tone));
                }
            }
            map.tone(x, y).is_some() && 2 * of_tone > all
        })
        .collect()
}

fn places(map: &ToneMap) -> Vec<u8> {
    let tone = |x, y| map.tone(x, y).and_then(|tone| u8::try_from(tone).ok());
    (0..map.height())
        .flat_map(|y| (0..map.width()).map(move |x| (x, y)))
        .map(|(x, y)| tone(x, y).unwrap_or(OUTSIDE))
        .collect()
}
