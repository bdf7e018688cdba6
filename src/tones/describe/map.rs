//! Where each tone is.

use crate::colour::{LabD65, OklabPoint};
use crate::photo::{PhotoError, Picture, Samples, pixels_within, png, small_rgb};
use crate::region::Region;
use crate::tones::count::histogram::{ALL_CODES, Bin, codes_of, middle_of};
use crate::tones::count::near::kinds;
use crate::tones::count::quiet::PlaceKind;
use crate::tones::group::rounds::nearest_of;
use crate::tones::space::place_of;
use crate::tones::tone::{Sorted, Tone};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::sync::OnceLock;

/// A small picture of where each tone is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToneMap {
    width: usize,
    height: usize,
    /// Row by row; `None` outside the region.
    #[serde(with = "kept_places")]
    at: Vec<Option<u8>>,
    drawn: DrawnOnce,
}

/// A map's picture, once it was asked for, and kept with the map: it takes longer to pack than all else of a map.
#[derive(Debug, Clone, Default)]
struct DrawnOnce(OnceLock<DrawnMap>);

/// A map's picture as PNG in base64, and the codes of the tones it was drawn in.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct DrawnMap {
    codes: Vec<[u8; 3]>,
    base64: String,
}

/// What was drawn says nothing that the map does not.
impl PartialEq for DrawnOnce {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for DrawnOnce {}

impl Serialize for DrawnOnce {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.0.get().serialize(to)
    }
}

impl<'de> Deserialize<'de> for DrawnOnce {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let drawn: Option<DrawnMap> = Deserialize::deserialize(from)?;
        Ok(Self(drawn.map_or_else(OnceLock::new, OnceLock::from)))
    }
}

/// The places of a map in base64, one byte each.
mod kept_places {
    use base64::Engine;
    use base64::prelude::BASE64_STANDARD;
    use serde::de::{Deserialize, Deserializer, Error};
    use serde::ser::{Serialize, Serializer};

    const OUTSIDE: u8 = u8::MAX;

    pub(in crate::tones) fn serialize<S: Serializer>(
        at: &[Option<u8>],
        to: S,
    ) -> Result<S::Ok, S::Error> {
        let bytes: Vec<u8> = at.iter().map(|tone| tone.unwrap_or(OUTSIDE)).collect();
        BASE64_STANDARD.encode(bytes).serialize(to)
    }

    pub(in crate::tones) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Vec<Option<u8>>, D::Error> {
        let bytes = BASE64_STANDARD.decode(String::deserialize(from)?);
        let bytes = bytes.map_err(D::Error::custom)?.into_iter();
        Ok(bytes.map(|at| (at != OUTSIDE).then_some(at)).collect())
    }
}

/// The 8 highest bits of a channel of 16 bits or 8.
fn code8(picture: &Picture, at: usize) -> [u8; 3] {
    match &picture.samples {
        Samples::Rgb8(all) => std::array::from_fn(|c| all[at * 3 + c]),
        Samples::Rgb16(all) => std::array::from_fn(|c| (all[at * 3 + c] >> 8) as u8),
    }
}

/// The colours of part of a picture on a grid, kept until its tones are known.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourGrid {
    width: usize,
    height: usize,
    /// Row by row the range of codes; `None` outside the region.
    codes: Vec<Option<u32>>,
    /// Ranges of codes that were not counted (rows passed over, blown-out and crushed pixels), with their place in the
    /// grouping space.
    strays: Vec<(u32, [f64; 3])>,
}

impl ColourGrid {
    /// Reads what `span` (left, top, right, bottom as fractions) shows of a region, at most `long_side` places along
    /// its longer side. `bins` are those counted in the region.
    #[must_use]
    pub fn of_region(
        picture: &Picture,
        region: &Region,
        span: [f64; 4],
        bins: &[Bin],
        long_side: usize,
    ) -> Self {
        let pixels = |from, to, count| {
            let pixels = pixels_within(from, to, count);
            pixels.map_or((0, 1), |pixels| (pixels.start, pixels.end))
        };
        let (x0, x1) = pixels(span[0], span[2], picture.width);
        let (y0, y1) = pixels(span[1], span[3], picture.height);
        let longest = (x1 - x0).max(y1 - y0);
        let scaled = |side: usize| (side * long_side.min(longest) / longest).max(1);
        let (width, height) = (scaled(x1 - x0), scaled(y1 - y0));
        let mut known = vec![false; ALL_CODES];
        for bin in bins {
            known[bin.codes as usize] = true;
        }
        let mut codes = vec![None; width * height];
        let mut strays = Vec::new();
        for y in 0..height {
            let row = y0 + (2 * y + 1) * (y1 - y0) / (2 * height);
            let runs = region.runs(row, picture.width, picture.height);
            for x in 0..width {
                let column = x0 + (2 * x + 1) * (x1 - x0) / (2 * width);
                let pixel = row * picture.width + column;
                let counts = picture
                    .alpha
                    .as_ref()
                    .is_none_or(|alpha| alpha[pixel] == 255);
                if !counts || !runs.iter().any(|run| run.contains(&column)) {
                    continue;
                }
                let code = codes_of(code8(picture, pixel));
                codes[y * width + x] = Some(code);
                if !known[code as usize] {
                    known[code as usize] = true;
                    strays.push(code);
                }
            }
        }
        let middles: Vec<[f64; 3]> = strays.iter().map(|code| middle_of(*code)).collect();
        let lights = picture.light_of(&middles);
        let strays = strays.into_iter().zip(lights);
        Self {
            width,
            height,
            codes,
            strays: strays
                .map(|(code, light)| (code, OklabPoint::from(light).grouping()))
                .collect(),
        }
    }

    /// Sorts the grid into tones; `bins` are those counted in its region and `of_bin` their tones. Strays go to the
    /// nearest tone.
    #[must_use]
    pub fn sorted(&self, bins: &[Bin], of_bin: &[usize], tones: &[Tone]) -> ToneMap {
        let places: Vec<[f64; 3]> = tones.iter().map(|t| place_of(t.colour)).collect();
        let mut tone_of: Vec<Option<u8>> = vec![None; ALL_CODES];
        for (code, at) in &self.strays {
            tone_of[*code as usize] = u8::try_from(nearest_of(*at, &places)).ok();
        }
        for (bin, tone) in bins.iter().zip(of_bin) {
            tone_of[bin.codes as usize] = u8::try_from(*tone).ok();
        }
        ToneMap {
            width: self.width,
            height: self.height,
            at: self
                .codes
                .iter()
                .map(|code| tone_of[(*code)? as usize])
                .collect(),
            drawn: DrawnOnce::default(),
        }
    }
}

/// Maps the tones of a region, at most `long_side` places along the longer side of the picture.
///
/// `bins` and `sorted` belong together and to this picture.
#[must_use]
pub fn map_of(
    picture: &Picture,
    region: &Region,
    bins: &[Bin],
    sorted: &Sorted,
    long_side: usize,
) -> ToneMap {
    let whole = [0.0, 0.0, 1.0, 1.0];
    ColourGrid::of_region(picture, region, whole, bins, long_side).sorted(
        bins,
        &sorted.of_bin,
        &sorted.tones.tones,
    )
}

/// Blocks along each side in which a tone's densest place is looked for.
const BLOCKS: usize = 14;

impl ToneMap {
    /// Places across.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Places down.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// The tone at a place; `None` outside the region and outside the map.
    #[must_use]
    pub fn tone(&self, x: usize, y: usize) -> Option<usize> {
        let inside = x < self.width && y < self.height;
        inside
            .then(|| self.at[y * self.width + x])
            .flatten()
            .map(usize::from)
    }

    /// Where a tone lies densest, as fractions of the picture's width and height.
    #[must_use]
    pub fn place_of(&self, tone: usize) -> Option<[f64; 2]> {
        let mut blocks = vec![([0_usize; 2], 0_usize); BLOCKS * BLOCKS];
        for y in 0..self.height {
            for x in (0..self.width).filter(|x| self.tone(*x, y) == Some(tone)) {
                let block = y * BLOCKS / self.height * BLOCKS + x * BLOCKS / self.width;
                let (sum, count) = &mut blocks[block];
                sum[0] += x;
                sum[1] += y;
                *count += 1;
            }
        }
        let (sum, count) = blocks.into_iter().rev().max_by_key(|(_, count)| *count)?;
        #[expect(
            clippy::cast_precision_loss,
            reason = "a map has far fewer than 2^52 places"
        )]
        let middle = |sum: usize, side: usize| (sum as f64 / count as f64 + 0.5) / side as f64;
        (count > 0).then(|| [middle(sum[0], self.width), middle(sum[1], self.height)])
    }

    /// The map as a picture, a PNG in base64: each tone in its colour. It is drawn when it is first asked for; what was
    /// drawn for one plan is not for the next.
    #[must_use]
    pub fn picture(&self, colours: &[LabD65]) -> Option<String> {
        let codes = codes_of_tones(colours);
        if let Some(drawn) = self.drawn.0.get().filter(|drawn| drawn.codes == codes) {
            return Some(drawn.base64.clone());
        }
        let picture = png(self.width, self.height, self.in_codes(&codes, OUTSIDE)).ok()?;
        let base64 = BASE64_STANDARD.encode(picture);
        let drawn = DrawnMap {
            codes,
            base64: base64.clone(),
        };
        // Where it was drawn in other codes before, that one stays.
        let _ = self.drawn.0.set(drawn);
        Some(base64)
    }

    /// The map as a picture, row by row: each tone in its colour, what lies outside in `outside`.
    #[must_use]
    pub fn painted(&self, colours: &[LabD65], outside: [u8; 3]) -> Vec<u8> {
        self.in_codes(&codes_of_tones(colours), outside)
    }

    fn in_codes(&self, codes: &[[u8; 3]], outside: [u8; 3]) -> Vec<u8> {
        self.at
            .iter()
            .flat_map(|tone| tone.map_or(outside, |tone| codes[usize::from(tone)]))
            .collect()
    }
}

fn codes_of_tones(colours: &[LabD65]) -> Vec<[u8; 3]> {
    colours.iter().map(|c| c.to_srgb8().0).collect()
}

/// What lies outside a surface on its map: lighter than the page's mid-grey, so that neither black nor grey is lost.
const OUTSIDE: [u8; 3] = [0xe6; 3];
/// Longer side of a panel of [`map_sheet`], pixels, and the gap between panels.
pub const PANEL: usize = 480;
const GAP: usize = 8;
const PANELS_A_ROW: usize = 3;
const GROUND: [u8; 3] = [0x77; 3];
/// What a single tone is shown against: light behind the dark ones, dark behind the light.
const BEHIND_DARK: [u8; 3] = [0xf2; 3];
const BEHIND_LIGHT: [u8; 3] = [0x1e; 3];

/// What is mixed, thin and neither in the last panel.
const MIXED: [u8; 3] = [0xf2; 3];
const THIN: [u8; 3] = [0xd0, 0x60, 0x20];
const PLAIN: [u8; 3] = [0x1e; 3];

/// Places that did not count for the choice of tones, light, and the middles of thin things, orange: a panel for
/// [`map_sheet`].
#[must_use]
pub fn mixed_panel(picture: &Picture, region: &Region, map: &ToneMap) -> Vec<u8> {
    let kinds = kinds(picture, region, [map.width, map.height]);
    let shown = kinds.into_iter().zip(&map.at).flat_map(|(kind, tone)| {
        if tone.is_none() {
            return GROUND;
        }
        match kind {
            PlaceKind::Plain => PLAIN,
            PlaceKind::Thin => THIN,
            PlaceKind::Mixed => MIXED,
        }
    });
    shown.collect()
}

/// A sheet of panels as PNG: the photo, all tones flat, each tone alone in the order of the list, and what `last` shows.
///
/// # Errors
/// [`PhotoError::Damaged`] when the picture cannot be encoded.
pub fn map_sheet(
    picture: &Picture,
    map: &ToneMap,
    colours: &[LabD65],
    last: Option<Vec<u8>>,
) -> Result<Vec<u8>, PhotoError> {
    let mut panels = Vec::new();
    let photo = small_rgb(picture, map.width, map.height);
    panels.push(photo.unwrap_or_else(|| GROUND.repeat(map.width * map.height)));
    panels.push(map.painted(colours, GROUND));
    for (tone, colour) in colours.iter().enumerate() {
        let behind = if colour.l < 50.0 {
            BEHIND_DARK
        } else {
            BEHIND_LIGHT
        };
        let own = colour.to_srgb8().0;
        let pixels = map.at.iter().flat_map(|at| match at {
            Some(at) if usize::from(*at) == tone => own,
            Some(_) => behind,
            None => GROUND,
        });
        panels.push(pixels.collect());
    }
    panels.extend(last);
    let (across, down) = (
        panels.len().min(PANELS_A_ROW),
        panels.len().div_ceil(PANELS_A_ROW),
    );
    let width = across * map.width + (across - 1) * GAP;
    let height = down * map.height + (down - 1) * GAP;
    let mut sheet = GROUND.repeat(width * height);
    for (i, panel) in panels.iter().enumerate() {
        let left = i % PANELS_A_ROW * (map.width + GAP);
        let top = i / PANELS_A_ROW * (map.height + GAP);
        for (y, row) in panel.chunks_exact(3 * map.width).enumerate() {
            let from = ((top + y) * width + left) * 3;
            sheet[from..from + row.len()].copy_from_slice(row);
        }
    }
    png(width, height, sheet)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::{Count, bins_of, sorted};

    /// Brick on the left three quarters, moss on the right.
    fn wall() -> Picture {
        let row: Vec<u8> = [[150, 80, 60].repeat(30), [90, 110, 50].repeat(10)].concat();
        Picture::from_srgb8(40, 20, row.repeat(20)).unwrap()
    }

    #[test]
    fn each_tone_is_where_it_was_drawn() {
        let picture = wall();
        let bins = bins_of(&picture, &Region::whole()).bins;
        let found = sorted(&bins, Count::Chosen).unwrap();
        let map = map_of(&picture, &Region::whole(), &bins, &found, 20);
        assert_eq!((map.width(), map.height()), (20, 10));
        assert_eq!(
            (map.tone(2, 5), map.tone(17, 5), map.tone(20, 5)),
            (Some(0), Some(1), None)
        );
        let [x, y] = map.place_of(1).unwrap();
        assert!(x > 0.75 && (0.0..=1.0).contains(&y), "{x} {y}");
        assert_eq!(map.place_of(2), None);
        let colours: Vec<LabD65> = found.tones.tones.iter().map(|t| t.colour).collect();
        assert_eq!(&map.painted(&colours, [0; 3])[..3], [150, 80, 60]);
        assert!(
            map_sheet(&picture, &map, &colours, None)
                .unwrap()
                .starts_with(b"\x89PNG")
        );
    }

    #[test]
    fn a_map_that_was_kept_shows_what_it_showed() {
        let left =
            crate::region::Outline::new(vec![[0.0, 0.0], [0.9, 0.0], [0.9, 1.0], [0.0, 1.0]]);
        let region = Region {
            outline: left.unwrap(),
            leave_out: Vec::new(),
        };
        let bins = bins_of(&wall(), &region).bins;
        let found = sorted(&bins, Count::Chosen).unwrap();
        let map = map_of(&wall(), &region, &bins, &found, 20);
        let mut colours: Vec<LabD65> = found.tones.tones.iter().map(|t| t.colour).collect();
        let kept = |map: &ToneMap| -> ToneMap {
            serde_json::from_str(&serde_json::to_string(map).unwrap()).unwrap()
        };
        assert_eq!(kept(&map), map);
        let drawn = map.picture(&colours).unwrap();
        assert_eq!(kept(&map).picture(&colours).unwrap(), drawn);
        assert_eq!(map.clone().picture(&colours).unwrap(), drawn);
        let plain = png(20, 10, map.painted(&colours, OUTSIDE)).unwrap();
        assert_eq!(BASE64_STANDARD.decode(&drawn).unwrap(), plain);
        // In other colours it is another picture, whatever was kept.
        colours.reverse();
        let other = png(20, 10, map.painted(&colours, OUTSIDE)).unwrap();
        let again = kept(&map).picture(&colours).unwrap();
        assert_eq!(BASE64_STANDARD.decode(again).unwrap(), other);
    }

    #[test]
    fn what_lies_outside_the_region_has_no_tone() {
        let picture = wall();
        let left =
            crate::region::Outline::new(vec![[0.0, 0.0], [0.5, 0.0], [0.5, 1.0], [0.0, 1.0]]);
        let region = Region {
            outline: left.unwrap(),
            leave_out: Vec::new(),
        };
        let bins = bins_of(&picture, &region).bins;
        let found = sorted(&bins, Count::Chosen).unwrap();
        let map = map_of(&picture, &region, &bins, &found, 100);
        assert_eq!(
            (map.width(), map.tone(5, 5), map.tone(30, 5)),
            (40, Some(0), None)
        );
    }
}
