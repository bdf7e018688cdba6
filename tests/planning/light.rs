//! A known neutral, a grey card and a chart correct the light that a surface was photographed in.

use crate::bench::{BRICK, Drawn, stripes, times};
use hillwash::colour::{LabD65, LinearSrgb, Srgb8, Xyz, delta_e00};
use image::{Rgb, RgbImage};

/// A lamp's tint, in linear light.
const LAMP: [f64; 3] = [0.95, 0.62, 0.34];
/// Reflectance 0.18, the usual grey card: linear 0.18 in each channel.
const CARD: Srgb8 = Srgb8([0x76, 0x76, 0x76]);
/// What the guide promises of a photo with a grey card, and with a chart (CIEDE2000).
const WITH_A_CARD: f64 = 5.0;
const WITH_A_CHART: f64 = 3.0;
const WALL: &str = "[[surface]]\nname = \"Wall\"\nphoto = \"drawn\"\n\
    region = [[0, 0], [0.5, 0], [0.5, 1], [0, 1]]\narea = \"100 cm2\"\n";

/// The planned colour of a brick wall under the lamp, with what the photo's keys state.
fn planned(keys: &str, picture: RgbImage) -> LabD65 {
    let mut drawn = Drawn::new(picture);
    (drawn.photo, drawn.surfaces) = (keys, WALL);
    drawn.plan(|plan| {
        let tones = &plan.surfaces[0].tones;
        assert_eq!(tones.len(), 1, "a flat wall has one tone");
        tones[0].wanted.moved.colour
    })
}

fn off(colour: LabD65) -> f64 {
    delta_e00(colour, BRICK.into()).0
}

/// The same, lightness left aside: the distance in the plane of a* and b*.
fn tint(colour: LabD65) -> f64 {
    let brick = LabD65::from(BRICK);
    (colour.a - brick.a).hypot(colour.b - brick.b)
}

#[test]
fn a_wall_beside_a_grey_card_is_planned_in_its_own_colour_and_not_in_the_lamps() {
    let lit = || stripes(&[(times(BRICK, LAMP), 60), (times(CARD, LAMP), 60)]);
    let bare = planned("", lit());
    assert!(off(bare) > 6.0, "the lamp must tint: {}", off(bare));
    // The lamp is drawn in the channels of sRGB and corrected in those of the eye, which leaves a few units over.
    let card = planned("neutral = { at = [0.75, 0.5], reflectance = 0.18 }", lit());
    assert!(off(card) < WITH_A_CARD, "{}", off(card));
    // A neutral of unknown reflectance mends the tint; how bright the wall is stays as photographed.
    let neutral = planned("neutral = { at = [0.75, 0.5] }", lit());
    assert!(
        tint(neutral) < tint(bare) / 2.0,
        "{} of {}",
        tint(neutral),
        tint(bare)
    );
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
    let with_chart = off(planned(corners, picture));
    assert!(with_chart < WITH_A_CHART, "{with_chart}");
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
