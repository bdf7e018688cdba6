//! Scenes drawn by code, with known materials.
//!
//! A scene is a patchwork of materials, each with texture at two scales and from block to block, under a gradient of
//! light and seen through a soft lens; some have a small accent, a shaded part of one material, two materials of similar hue, or two greys. Noise of
//! a sensor is added, and the picture goes through JPEG.

use hillwash::colour::{LabD65, LinearSrgb, OklabPoint, Xyz, delta_e00};
use hillwash::photo::{Limits, Picture, decode};

pub(crate) const WIDTH: usize = 420;
pub(crate) const HEIGHT: usize = 300;

/// A seeded sequence of numbers (the generator of Steele, Lea and Flood 2014, *Fast splittable pseudorandom
/// number generators*, from memory).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly within a range.
    pub(crate) fn within(&mut self, low: f64, high: f64) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
        let unit = (self.bits() >> 11) as f64 / (1_u64 << 53) as f64;
        low + (high - low) * unit
    }

    fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.bits() % n as u64).unwrap_or(0)
    }

    /// Normal, mean 0, deviation 1 (sum of twelve).
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.within(0.0, 1.0)).sum::<f64>() - 6.0
    }
}

/// What is special about a scene.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Three to seven materials.
    Plain,
    /// With an accent of about 1 % of the area.
    Accent,
    /// One chromatic material partly in shadow.
    Shadow,
    /// Two materials of similar hue.
    SimilarHue,
    /// Two greys, of which one could be the other in shadow.
    Greys,
}

impl Kind {
    pub(crate) const ALL: [Self; 5] = [
        Self::Plain,
        Self::Accent,
        Self::Shadow,
        Self::SimilarHue,
        Self::Greys,
    ];
}

/// A drawn scene and what is true of it.
pub(crate) struct Drawn {
    pub(crate) picture: Picture,
    /// Mean colour (in Oklab) of each material as drawn, before noise and JPEG, and its share of the pixels.
    pub(crate) truth: Vec<(LabD65, f64)>,
    /// The two materials this kind is about: lit and shaded, alike in hue, or grey and grey.
    pub(crate) pair: Option<(usize, usize)>,
    /// The accent.
    pub(crate) accent: Option<usize>,
}

/// Materials are at least this far from each other: nearer ones would be one pot.
const APART: f64 = 12.0;
/// Two materials of one hue are at least this far from each other.
const PAIR_APART: f64 = 10.0;

fn lch(l: f64, chroma: f64, hue: f64) -> LabD65 {
    let (sin, cos) = hue.to_radians().sin_cos();
    LabD65::new(l, chroma * cos, chroma * sin)
}

fn light(colour: LabD65) -> [f64; 3] {
    let l = Xyz::from(colour).to_linear_srgb();
    [l.r, l.g, l.b]
}

/// Within what a screen shows, with room for texture.
fn printable(colour: LabD65) -> bool {
    light(colour).iter().all(|v| (0.006..=0.72).contains(v))
}

/// A colour of scenery: mostly earths and greens.
fn material(dice: &mut Dice) -> LabD65 {
    loop {
        let hue = if dice.within(0.0, 1.0) < 0.6 {
            dice.within(35.0, 120.0)
        } else {
            dice.within(0.0, 360.0)
        };
        let colour = lch(dice.within(25.0, 82.0), dice.within(3.0, 45.0), hue);
        if printable(colour) {
            return colour;
        }
    }
}

/// A chromatic material bright enough to be seen in shadow.
fn chromatic(dice: &mut Dice) -> LabD65 {
    loop {
        let colour = material(dice);
        if colour.chroma() >= 15.0 && colour.l >= 45.0 {
            return colour;
        }
    }
}

/// The same material in shadow, partly lit by a blue sky (the daylight locus of CIE 015:2018 at 12 000 K, of 6504 K
/// as white, computed in linear sRGB; a lamp of another kind than the one the program reckons with).
fn in_shadow(lit: LabD65, dice: &mut Dice) -> LabD65 {
    const SKY: [f64; 3] = [0.787, 1.008, 1.546];
    let (left, sky) = (dice.within(0.25, 0.62), dice.within(0.0, 0.4));
    let mut out = light(lit);
    for (v, channel) in out.iter_mut().zip(SKY) {
        *v *= left * (1.0 + sky * (channel - 1.0));
    }
    let [r, g, b] = out;
    LabD65::from(LinearSrgb { r, g, b })
}

fn apart_from(all: &[LabD65], colour: LabD65, least: f64) -> bool {
    all.iter().all(|other| delta_e00(*other, colour).0 >= least)
}

/// Draws one scene.
pub(crate) fn drawn(seed: u64, kind: Kind) -> Drawn {
    let dice = &mut Dice::new(seed.wrapping_mul(1_000_003).wrapping_add(kind as u64));
    let mut colours: Vec<LabD65> = Vec::new();
    let mut pair = None;
    loop {
        colours.clear();
        let two = match kind {
            Kind::Shadow => {
                let lit = chromatic(dice);
                [lit, in_shadow(lit, dice)]
            }
            Kind::SimilarHue => {
                let one = chromatic(dice);
                let hue = one.hue_degrees() + dice.within(-15.0, 15.0);
                [
                    one,
                    lch(dice.within(25.0, 82.0), dice.within(8.0, 45.0), hue),
                ]
            }
            Kind::Greys => {
                let lit = lch(
                    dice.within(55.0, 80.0),
                    dice.within(0.0, 4.0),
                    dice.within(0.0, 360.0),
                );
                [lit, in_shadow(lit, dice)]
            }
            Kind::Plain | Kind::Accent => break,
        };
        if printable(two[0]) && printable(two[1]) && delta_e00(two[0], two[1]).0 >= PAIR_APART {
            colours.extend(two);
            pair = Some((0, 1));
            break;
        }
    }
    let materials = 3 + dice.below(5);
    while colours.len() < materials {
        let colour = material(dice);
        if apart_from(&colours, colour, APART) {
            colours.push(colour);
        }
    }
    let accent = (kind == Kind::Accent).then(|| {
        loop {
            let colour = lch(
                dice.within(25.0, 80.0),
                dice.within(20.0, 60.0),
                dice.within(0.0, 360.0),
            );
            if printable(colour) && apart_from(&colours, colour, APART) {
                colours.push(colour);
                return colours.len() - 1;
            }
        }
    });
    let labels = labels(colours.len(), accent, dice);
    painted(&colours, &labels, pair, accent, dice)
}

/// For each pixel its material and its block.
fn labels(materials: usize, accent: Option<usize>, dice: &mut Dice) -> Vec<(usize, usize)> {
    let main = materials - usize::from(accent.is_some());
    let blocks = 70;
    let weights: Vec<f64> = (0..main).map(|_| dice.within(0.6, 2.4)).collect();
    let total: f64 = weights.iter().sum();
    let mut of_block: Vec<usize> = Vec::new();
    for (material, weight) in weights.iter().enumerate() {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of blocks"
        )]
        let many = (weight / total * f64::from(blocks)).round().max(4.0) as usize;
        of_block.extend(std::iter::repeat_n(material, many));
    }
    let sites: Vec<[f64; 2]> = of_block
        .iter()
        .map(|_| {
            [
                dice.within(0.0, WIDTH as f64),
                dice.within(0.0, HEIGHT as f64),
            ]
        })
        .collect();
    // About 1 % of the area in three to seven blobs.
    let blobs: Vec<([f64; 2], f64)> = accent.map_or_else(Vec::new, |_| {
        let many = 3 + dice.below(5);
        let area = dice.within(0.009, 0.012) * (WIDTH * HEIGHT) as f64;
        (0..many)
            .map(|_| {
                let at = [
                    dice.within(15.0, WIDTH as f64 - 15.0),
                    dice.within(15.0, HEIGHT as f64 - 15.0),
                ];
                (at, (area / many as f64 / std::f64::consts::PI).sqrt())
            })
            .collect()
    });
    let mut labels = Vec::with_capacity(WIDTH * HEIGHT);
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let at = [x as f64, y as f64];
            let far = |site: &[f64; 2]| (site[0] - at[0]).powi(2) + (site[1] - at[1]).powi(2);
            let blob = blobs
                .iter()
                .any(|(site, radius)| far(site) < radius * radius);
            let nearest = (0..sites.len())
                .min_by(|a, b| far(&sites[*a]).total_cmp(&far(&sites[*b])))
                .unwrap_or(0);
            labels.push(match accent.filter(|_| blob) {
                Some(accent) => (accent, of_block.len()),
                None => (of_block[nearest], nearest),
            });
        }
    }
    labels
}

/// Smooth noise: normal values on a lattice, joined by straight lines.
fn smooth(step: usize, dice: &mut Dice) -> Vec<f64> {
    let (columns, rows) = (WIDTH / step + 2, HEIGHT / step + 2);
    let lattice: Vec<f64> = (0..columns * rows).map(|_| dice.normal()).collect();
    let mut all = Vec::with_capacity(WIDTH * HEIGHT);
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let (i, j) = (x / step, y / step);
            let (u, v) = (
                (x % step) as f64 / step as f64,
                (y % step) as f64 / step as f64,
            );
            let at = |dx: usize, dy: usize| lattice[(j + dy) * columns + i + dx];
            all.push(
                (1.0 - v) * ((1.0 - u) * at(0, 0) + u * at(1, 0))
                    + v * ((1.0 - u) * at(0, 1) + u * at(1, 1)),
            );
        }
    }
    all
}

/// What a lens makes of it: each pixel takes a quarter of its light from each side, across and down.
fn through_lens(scene: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let mut now = scene.to_vec();
    for (step, count) in [(1, WIDTH), (WIDTH, HEIGHT)] {
        now = (0..now.len())
            .map(|i| {
                let place = i / step % count;
                let before = if place > 0 { i - step } else { i };
                let after = if place + 1 < count { i + step } else { i };
                std::array::from_fn(|c| 0.5 * now[i][c] + 0.25 * (now[before][c] + now[after][c]))
            })
            .collect();
    }
    now
}

#[expect(clippy::too_many_lines, reason = "one scene, drawn from the ground up")]
fn painted(
    colours: &[LabD65],
    labels: &[(usize, usize)],
    pair: Option<(usize, usize)>,
    accent: Option<usize>,
    dice: &mut Dice,
) -> Drawn {
    let lights: Vec<[f64; 3]> = colours.iter().map(|c| light(*c)).collect();
    let texture = dice.within(0.04, 0.20);
    let fine: Vec<f64> = (0..WIDTH * HEIGHT).map(|_| dice.normal()).collect();
    let coarse = smooth(5, dice);
    let blocks: Vec<f64> = (0..200).map(|_| dice.normal()).collect();
    let (slope, turn) = (
        dice.within(0.0, 0.12),
        dice.within(0.0, 360.0_f64).to_radians(),
    );
    let noise = dice.within(1.0, 8.0);
    let mut sums = vec![([0.0; 3], 0.0); colours.len()];
    let mut scene: Vec<[f64; 3]> = Vec::with_capacity(WIDTH * HEIGHT);
    for (at, (material, block)) in labels.iter().enumerate() {
        let (x, y) = (
            (at % WIDTH) as f64 / WIDTH as f64 - 0.5,
            (at / WIDTH) as f64 / HEIGHT as f64 - 0.5,
        );
        let lie = 1.0 + 2.0 * slope * (x * turn.cos() + y * turn.sin());
        let rough = texture * (0.6 * fine[at] + 0.9 * coarse[at] + 0.3 * blocks[*block]);
        let factor = lie * rough.clamp(-0.6, 0.45).exp();
        let [r, g, b] = lights[*material].map(|v| v * factor);
        let seen = OklabPoint::from(LinearSrgb { r, g, b });
        let (sum, count) = &mut sums[*material];
        for (total, v) in sum.iter_mut().zip([seen.l, seen.a, seen.b]) {
            *total += v;
        }
        *count += 1.0;
        scene.push([r, g, b]);
    }
    let rgb: Vec<u8> = through_lens(&scene)
        .into_iter()
        .flatten()
        .map(|v| {
            let encoded = if v <= 0.003_130_8 {
                12.92 * v
            } else {
                1.055 * v.powf(1.0 / 2.4) - 0.055
            };
            let noisy = (255.0 * encoded + noise * dice.normal())
                .round()
                .clamp(0.0, 255.0);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped"
            )]
            let code = noisy as u8;
            code
        })
        .collect();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "75 to 95"
    )]
    let quality = dice.within(75.0, 95.99) as u8;
    let all = (WIDTH * HEIGHT) as f64;
    Drawn {
        picture: through_jpeg(WIDTH, HEIGHT, &rgb, quality),
        truth: sums
            .into_iter()
            .map(|(sum, count)| {
                let [l, a, b] = sum.map(|v| v / count);
                (
                    LabD65::from(LinearSrgb::from(OklabPoint { l, a, b })),
                    count / all,
                )
            })
            .collect(),
        pair,
        accent,
    }
}

/// A picture written as JPEG and read again.
pub(crate) fn through_jpeg(width: usize, height: usize, rgb: &[u8], quality: u8) -> Picture {
    let mut file = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, quality)
        .encode(
            rgb,
            u32::try_from(width).unwrap(),
            u32::try_from(height).unwrap(),
            image::ExtendedColorType::Rgb8,
        )
        .unwrap();
    decode(&file, &Limits::default()).unwrap().value
}
