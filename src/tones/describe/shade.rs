//! Separates light and shade of one material from two materials.
//!
//! In: colours of tones. Out: the line along which one material moves when less light falls on it, and whether two tones
//! lie on one. It says what a camera cannot tell: a grey in half the light and a darker grey in full light look the
//! same.

use crate::colour::{DeltaE00, LabD65, LinearSrgb, Xyz, delta_e00};
use serde::{Deserialize, Serialize};

/// Skylight over full daylight, in linear sRGB and as bright: an open blue sky of some 15 000 K against the 6500 K of
/// sun and sky together.
///
/// # Source
/// CIE 015:2018, the daylight locus: chromaticity (0.2614, 0.2702) for 15 000 K; the rest is the matrix of sRGB.
const SKY: [f64; 3] = [0.734, 1.010, 1.682];
/// A shadow is lit by sky alone at most to this part; beyond it a greyer paint is likelier. Our choice.
const MOST_SKY: f64 = 0.4;
/// Steps in which the sky's part is tried.
const SKY_STEPS: u32 = 16;
/// Two tones this near to one shading line are one material. Our choice, from the drawn scenes.
const ON_THE_LINE: f64 = 1.4;
/// What is left of the light in a shadow. Less is too dark to tell; more is the slope of the surface rather than a
/// shadow. Our choice.
const SHADOW: std::ops::RangeInclusive<f64> = 0.12..=0.76;
/// Below this chroma (CIELAB) of the lit tone, hue shows nothing. Our choice.
const CHROMATIC: f64 = 12.0;
/// A shade darker than this has no hue left to judge by. Our choice.
const TOO_DARK: f64 = 16.0;

/// The line along which the colour of one material moves as less light falls on it.
///
/// # Source
/// Shafer 1985, *Using color to separate reflection components*: the body reflection of a material is one colour,
/// scaled by geometry and light. That shadow is lit by the sky, and so bluer, follows Finlayson, Hordley and Drew 2002,
/// *Removing shadows from images*. Gloss (the other component of Shafer's model) and light thrown back by neighbours
/// are not modelled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ShadingLine {
    /// What is left of the light, 0 to 1.
    light: f64,
    /// How far the remaining light is skylight, 0 to 1.
    sky: f64,
    off: DeltaE00,
}

impl ShadingLine {
    /// What is left of the light in the shade, by luminance, 0 to 1.
    #[must_use]
    pub fn light(&self) -> f64 {
        self.light
    }

    /// How far the light that is left is blue skylight: 0 as in full light, 1 sky alone.
    #[must_use]
    pub fn sky(&self) -> f64 {
        self.sky
    }

    /// How far the shaded colour lies off the line: what shadow does not explain.
    #[must_use]
    pub fn off(&self) -> DeltaE00 {
        self.off
    }

    /// A lit colour as it would look in this shade.
    #[must_use]
    pub fn shaded(&self, lit: LabD65) -> LabD65 {
        let factors = self.factors();
        scaled(lit, factors)
    }

    /// A shaded colour as it would look in full light: the rest is paint and dirt, not shadow.
    #[must_use]
    pub fn as_if_lit(&self, shaded: LabD65) -> LabD65 {
        scaled(shaded, self.factors().map(|factor| 1.0 / factor))
    }

    fn factors(&self) -> [f64; 3] {
        tint(self.sky).map(|channel| self.light * channel)
    }
}

/// Light that is partly from the sky.
fn tint(sky: f64) -> [f64; 3] {
    SKY.map(|channel| 1.0 + sky * (channel - 1.0))
}

fn scaled(colour: LabD65, factors: [f64; 3]) -> LabD65 {
    let light = Xyz::from(colour).to_linear_srgb();
    LabD65::from(LinearSrgb {
        r: light.r * factors[0],
        g: light.g * factors[1],
        b: light.b * factors[2],
    })
}

/// The shading line from a lit colour that comes nearest to a darker one; `None` when the second is not darker, or the
/// first is black.
///
/// Along the line the light is chosen so that the lightness agrees: the rest is a difference of hue and chroma.
#[must_use]
pub fn shading_line(lit: LabD65, shaded: LabD65) -> Option<ShadingLine> {
    let (from, to) = (Xyz::from(lit).y, Xyz::from(shaded).y);
    if !(from > to && to > 0.0) {
        return None;
    }
    (0..=SKY_STEPS)
        .filter_map(|step| {
            let sky = MOST_SKY * f64::from(step) / f64::from(SKY_STEPS);
            let under_sky = Xyz::from(scaled(lit, tint(sky))).y;
            let light = to / under_sky;
            let line = ShadingLine {
                light,
                sky,
                off: DeltaE00(0.0),
            };
            let off = delta_e00(line.shaded(lit), shaded);
            (light.is_finite() && off.0.is_finite()).then_some(ShadingLine { off, ..line })
        })
        .min_by(|a, b| a.off.0.total_cmp(&b.off.0))
}

/// Whether two tones are one material in two lights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Likeness {
    /// They lie on one shading line, with enough hue to be sure.
    OneMaterial,
    /// They lie on one line, but with too little hue or light: a second grey, or soot, would look the same.
    Doubtful,
}

/// Whether a darker tone is a lighter one in shade; `None` when it is another material, or as light.
#[must_use]
pub fn likeness(lit: LabD65, shaded: LabD65) -> Option<(Likeness, ShadingLine)> {
    let line = shading_line(lit, shaded)?;
    if line.off.0 > ON_THE_LINE || !SHADOW.contains(&line.light) {
        return None;
    }
    let likeness = if lit.chroma() < CHROMATIC || shaded.l < TOO_DARK {
        Likeness::Doubtful
    } else {
        Likeness::OneMaterial
    };
    Some((likeness, line))
}

/// A tone that is another one in shade.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ShadeOf {
    /// The lit tone, as a place in the list of tones.
    pub lit: usize,
    /// How sure that is.
    pub likeness: Likeness,
    /// The line both lie on.
    pub line: ShadingLine,
}

/// A lit part smaller than this part of its shade is a gleam, not the material's lit reading. Our choice.
const LEAST_LIT: f64 = 0.2;

/// For each tone the one it is the shade of. Colours and shares go side by side; a tone that is itself a shade has none.
pub(in crate::tones) fn shades(tones: &[(LabD65, f64)]) -> Vec<Option<ShadeOf>> {
    let mut order: Vec<usize> = (0..tones.len()).collect();
    order.sort_by(|a, b| tones[*b].0.l.total_cmp(&tones[*a].0.l).then(a.cmp(b)));
    let mut found: Vec<Option<ShadeOf>> = vec![None; tones.len()];
    for (rank, shaded) in order.iter().enumerate() {
        found[*shaded] = order[..rank]
            .iter()
            .filter(|lit| found[**lit].is_none())
            .filter(|lit| tones[**lit].1 >= LEAST_LIT * tones[*shaded].1)
            .filter_map(|lit| {
                let (likeness, line) = likeness(tones[*lit].0, tones[*shaded].0)?;
                Some(ShadeOf {
                    lit: *lit,
                    likeness,
                    line,
                })
            })
            .min_by(|a, b| a.line.off.0.total_cmp(&b.line.off.0));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const BRICK: LabD65 = LabD65::new(48.0, 26.0, 24.0);

    fn in_shade(lit: LabD65, light: f64, sky: f64) -> LabD65 {
        scaled(lit, tint(sky).map(|channel| light * channel))
    }

    #[test]
    fn brick_in_shadow_is_brick() {
        for (light, sky) in [(0.3, 0.0), (0.5, 0.2), (0.65, 0.4)] {
            let (likeness, line) = likeness(BRICK, in_shade(BRICK, light, sky)).unwrap();
            assert_eq!(likeness, Likeness::OneMaterial);
            assert!(
                (line.sky() - sky).abs() < 0.03 && line.off().0 < 0.2,
                "{line:?}"
            );
            assert!((line.light() - light).abs() < 0.02, "{line:?}");
        }
    }

    #[test]
    fn what_is_as_light_or_of_another_hue_is_another_material() {
        assert_eq!(likeness(BRICK, LabD65::new(50.0, 26.0, 24.0)), None);
        assert_eq!(likeness(BRICK, LabD65::new(30.0, -10.0, 18.0)), None);
        assert_eq!(
            likeness(BRICK, LabD65::new(44.0, 24.0, 22.0)),
            None,
            "too light for a shadow"
        );
        assert!(
            likeness(BRICK, in_shade(BRICK, 0.05, 0.0)).is_none(),
            "too dark to tell"
        );
    }

    #[test]
    fn greys_are_doubtful() {
        let grey = LabD65::new(70.0, 0.0, 2.0);
        let (likeness, _) = likeness(grey, in_shade(grey, 0.5, 0.1)).unwrap();
        assert_eq!(likeness, Likeness::Doubtful);
    }

    #[test]
    fn a_recess_without_its_shadow_is_as_light_as_the_flat_and_keeps_its_dirt() {
        let line = shading_line(BRICK, in_shade(BRICK, 0.4, 0.2)).unwrap();
        let back = line.as_if_lit(line.shaded(BRICK));
        assert!(delta_e00(back, BRICK).0 < 1e-6);
        let soot = LabD65::new(20.0, 4.0, 5.0);
        let lit_soot = line.as_if_lit(soot);
        assert!(lit_soot.l > soot.l && lit_soot.chroma() < BRICK.chroma());
    }

    #[test]
    fn a_shade_points_to_the_lit_tone_and_a_gleam_is_not_the_lit_reading() {
        let shade = in_shade(BRICK, 0.45, 0.1);
        let deep = in_shade(BRICK, 0.2, 0.1);
        let moss = LabD65::new(52.0, -12.0, 28.0);
        let found = shades(&[(shade, 0.3), (BRICK, 0.4), (moss, 0.2), (deep, 0.1)]);
        let lit: Vec<Option<usize>> = found.iter().map(|s| s.map(|s| s.lit)).collect();
        assert_eq!(lit, [Some(1), None, None, Some(1)]);
        let gleam = shades(&[(shade, 0.96), (BRICK, 0.04)]);
        assert!(gleam.iter().all(Option::is_none));
    }
}
