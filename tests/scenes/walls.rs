//! Drawn brick walls, from near to far: bricks and their joints are two tones, thin as the joints may be.

use crate::drawn::{Dice, through_jpeg};
use hillwash::colour::{LabD65, LinearSrgb, delta_e00};
use hillwash::photo::Picture;
use hillwash::region::Region;
use hillwash::tones::{Count, tones_of};

/// Brick and mortar in linear light, as such materials are: from memory, no source.
const BRICK: [f64; 3] = [0.3, 0.082, 0.05];
const MORTAR: [f64; 3] = [0.56, 0.5, 0.4];
/// A joint is this part of a course, a brick so many courses long.
const JOINT: f64 = 0.14;
const LENGTH: f64 = 3.5;

/// A wall of so many courses: bricks vary by 12 %, a lens that blurs by about a pixel, noise of three codes, JPEG.
fn wall(width: usize, height: usize, courses: f64) -> Picture {
    let mut dice = Dice::new(3);
    let course = height as f64 / courses;
    let tints: Vec<f64> = (0..4096)
        .map(|_| (1.0 + 0.12 * dice.normal()).max(0.5))
        .collect();
    let light = |x: f64, y: f64| -> [f64; 3] {
        let row = (y / course).floor();
        let along = x / (course * LENGTH) + if row % 2.0 == 0.0 { 0.0 } else { 0.5 };
        if y / course - row < JOINT || along.fract() * LENGTH < JOINT {
            return MORTAR;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "some thousands of bricks"
        )]
        let brick = (577.0 * row + 31.0 * along.floor()) as usize;
        BRICK.map(|v| v * tints[brick % tints.len()])
    };
    let mut rgb = Vec::with_capacity(3 * width * height);
    for y in 0..height {
        for x in 0..width {
            let mut sum = [0.0; 3];
            for (down, right) in (0..9).map(|i| (f64::from(i / 3), f64::from(i % 3))) {
                let [r, g, b] = light(x as f64 + 0.8 * right, y as f64 + 0.8 * down);
                for (sum, v) in sum.iter_mut().zip([r, g, b]) {
                    *sum += v / 9.0;
                }
            }
            let [r, g, b] = sum;
            for code in (LinearSrgb { r, g, b }).encode().0 {
                let noisy = f64::from(code) + 3.0 * dice.normal();
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped"
                )]
                rgb.push(noisy.round().clamp(0.0, 255.0) as u8);
            }
        }
    }
    through_jpeg(width, height, &rgb, 88)
}

fn lab([r, g, b]: [f64; 3]) -> LabD65 {
    LinearSrgb { r, g, b }.into()
}

#[test]
fn brick_and_its_joints_are_told_down_to_joints_of_two_pixels() {
    // Width, height, courses, most tones, and how far mortar may be off: what a lens blurs into it cannot be told from it.
    // In the small picture a block is little wider than a joint, and blurred edges come out as tones of their own.
    for (width, height, courses, most_tones, mortar_off) in [
        (800, 600, 24.0, 4, 4.0),
        (1600, 1200, 30.0, 2, 2.0),
        (1600, 1200, 60.0, 2, 9.0),
        (1600, 1200, 100.0, 2, 14.0),
    ] {
        let picture = wall(width, height, courses);
        let tones = tones_of(&picture, &Region::whole(), Count::Chosen)
            .unwrap()
            .tones;
        let off = |colour: [f64; 3]| {
            let all = tones.iter().map(|t| delta_e00(t.colour, lab(colour)).0);
            all.fold(f64::INFINITY, f64::min)
        };
        println!(
            "{width} x {height}, joints of {:.1} pixels: {} tones, brick within {:.1}, mortar within {:.1}",
            JOINT * height as f64 / courses,
            tones.len(),
            off(BRICK),
            off(MORTAR)
        );
        assert!(tones.len() <= most_tones, "{courses} courses");
        assert!(off(BRICK) <= 2.0, "{courses} courses");
        assert!(off(MORTAR) <= mortar_off, "{courses} courses");
    }
}
