//! A known neutral, a grey card and a chart correct the light that a surface was photographed in.

use crate::bench::{BRICK, Drawn, stripes, times};
use hillwash::colour::{LabD65, LinearSrgb, Srgb8, Xyz, delta_e00};
use image::{Rgb, RgbImage};

/// A lamp's tint, in linear light.
const LAMP: [f64; 3] = [0.9, 0.45, 0.2];
/// Reflectance 0.18, the usual grey card: linear 0.18 in each channel.
const CARD: Srgb8 = Srgb8([0x76, 0x76, 0x76]);
/// Eight bits of a dim blue channel are off by half a code each.
const CORRECTED: f64 = 1.5;
const WALL: &str = "[[surface]]\nname = \"Wall\"\nphoto = \"drawn\"\n\
    region = [[0, 0], [0.5, 0], [0.5, 1], [0, 1]]\narea = \"100 cm2\"\n";

/// How far the planned colour of a brick wall is from the brick, under the lamp, with what the photo's keys state.
fn off(keys: &str, picture: RgbImage) -> f64 {
    let mut drawn = Drawn::new(picture);
    (drawn.photo, drawn.surfaces) = (keys, WALL);
    drawn.plan(|plan| {
        let tones = &plan.surfaces[0].tones;
        assert_eq!(tones.len(), 1, "a flat wall has one tone");
        delta_e00(tones[0].moved.colour, BRICK.into()).0
    })
}

#[test]
fn a_wall_beside_a_grey_card_is_planned_in_its_own_colour_and_not_in_the_lamps() {
    let lit = || stripes(&[(times(BRICK, LAMP), 60), (times(CARD, LAMP), 60)]);
    let bare = off("", lit());
    assert!(bare > 8.0, "the lamp must tint: {bare}");
    let card = off("neutral = { at = [0.75, 0.5], reflectance = 0.18 }", lit());
    assert!(card < CORRECTED, "{card}");
    // A neutral of unknown reflectance mends the tint; how bright the wall is stays as photographed.
    let neutral = off("neutral = { at = [0.75, 0.5] }", lit());
    assert!(neutral < bare / 2.0, "{neutral} against {bare}");
}

#[test]
fn a_wall_beside_a_chart_is_planned_in_its_own_colour_and_not_in_the_lamps() {
    let patches = chart();
    let picture = RgbImage::from_fn(240, 80, |x, y| {
        let colour = if x < 120 {
            BRICK
        } else {
            let (column, row) = ((x - 120) / 20, y / 20);
            patches[usize::try_from(row * 6 + column).unwrap()]
        };
        Rgb(times(colour, LAMP).0)
    });
    let corners = "chart = [[0.5, 0], [1, 0], [1, 1], [0.5, 1]]";
    let with_chart = off(corners, picture);
    // Patch colours beyond sRGB are cut off when drawn, and the fit weighs them too.
    assert!(with_chart < 3.0, "{with_chart}");
}

/// The chart's patches as drawn: the published chromaticities under D50 (see `src/photo/chart.rs` for their source),
/// brought to D65 by Lindbloom's published Bradford matrix.
fn chart() -> Vec<Srgb8> {
    const D50_TO_D65: [[f64; 3]; 3] = [
        [0.955_576_6, -0.023_039_3, 0.063_163_6],
        [-0.028_289_5, 1.009_941_6, 0.021_007_7],
        [0.012_298_2, -0.020_483_0, 1.329_909_8],
    ];
    include_str!("../../src/photo/chart24.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            let (x, y, luminance) = (cells[2], cells[3], cells[4]);
            let xyz = [x / y * luminance, luminance, (1.0 - x - y) / y * luminance];
            let to = D50_TO_D65.map(|row| row.iter().zip(xyz).map(|(a, b)| a * b).sum::<f64>());
            let light = Xyz::from_array(to).to_linear_srgb();
            let cut = |v: f64| v.clamp(0.0, 1.0);
            LabD65::from(LinearSrgb {
                r: cut(light.r),
                g: cut(light.g),
                b: cut(light.b),
            })
            .to_srgb8()
        })
        .collect()
}
