//! Walls whose units differ by a known amount, and walls that do not: what is picked out, and where nothing is.
//!
//! Coursed rubble: courses of all heights, stones of all lengths. The rules were set on bricks, cells, boards and slates of
//! another generator, and are judged here.

use crate::drawn::{Dice, through_jpeg};
use hillwash::colour::{LabD65, LinearSrgb, Xyz, delta_e00};
use hillwash::photo::Picture;
use hillwash::region::Region;
use hillwash::tones::{Count, Variety, Wish, bins_and_windows, sorted};

struct Wall {
    picture: Picture,
    /// Each stone's colour and pixels.
    stones: Vec<(LabD65, f64)>,
}

/// What a drawn wall is of.
#[derive(Clone, Copy, PartialEq)]
enum BuiltOf {
    Stones,
    Render,
}

/// A wall of so many pixels whose stones lie so far from their mean.
#[expect(clippy::too_many_lines, reason = "one wall, drawn from the ground up")]
fn wall(seed: u64, spread: f64, built_of: BuiltOf) -> Wall {
    let has_stones = built_of == BuiltOf::Stones;
    let dice = &mut Dice::new(seed);
    let (width, height) = (640, 480);
    let base = LabD65::new(
        dice.within(38.0, 66.0),
        dice.within(0.0, 12.0),
        dice.within(4.0, 20.0),
    );
    let mortar = LabD65::new(base.l + 16.0, base.a - 3.0, base.b - 2.0);
    let [turn, tilt] = [dice.within(-0.6, 0.6), dice.within(-0.6, 0.6)];
    let joint = dice.within(2.0, 4.0);
    let mut of_pixel = vec![usize::MAX; width * height];
    let mut stones: Vec<(LabD65, f64)> = Vec::new();
    let mut top = 0.0;
    while has_stones && top < height as f64 {
        let tall = dice.within(16.0, 36.0);
        let mut left = -dice.within(0.0, 40.0);
        while left < width as f64 {
            let long = tall * dice.within(1.0, 3.0);
            let along = spread * 1.1 * dice.normal();
            let aside = 0.4 * spread;
            let colour = LabD65::new(
                base.l + along + aside * dice.normal(),
                base.a + turn * along + aside * dice.normal(),
                base.b + tilt * along + aside * dice.normal(),
            );
            let mut pixels = 0.0;
            for (i, of) in of_pixel.iter_mut().enumerate() {
                let (x, y) = ((i % width) as f64 - left, (i / width) as f64 - top);
                if x >= joint && x < long && y >= joint && y < tall {
                    *of = stones.len();
                    pixels += 1.0;
                }
            }
            stones.push((colour, pixels));
            left += long;
        }
        top += tall;
    }
    let light = |colour: LabD65| {
        let l = Xyz::from(colour).to_linear_srgb();
        [l.r, l.g, l.b].map(|v| v.clamp(0.003, 0.9))
    };
    let (ground, texture) = (
        if has_stones { mortar } else { base },
        dice.within(0.02, 0.1),
    );
    let [fall, across] = [dice.within(0.0, 0.3), dice.within(-0.2, 0.2)];
    let mut scene: Vec<[f64; 3]> = Vec::with_capacity(width * height);
    for (i, of) in of_pixel.iter().enumerate() {
        let (x, y) = (
            (i % width) as f64 / width as f64,
            (i / width) as f64 / height as f64,
        );
        let lie = (1.0 + fall * (y - 0.5) + across * (x - 0.5)) * (texture * dice.normal()).exp();
        let colour = stones.get(*of).map_or(ground, |(colour, _)| *colour);
        scene.push(light(colour).map(|v| v * lie));
    }
    let (noise, quality) = (dice.within(1.0, 5.0), dice.within(65.0, 95.0));
    let mut rgb = Vec::with_capacity(3 * width * height);
    for i in 0..scene.len() {
        let near = [
            i,
            i.saturating_sub(1),
            (i + 1).min(scene.len() - 1),
            i.saturating_sub(width),
        ];
        let [r, g, b] =
            std::array::from_fn(|c| near.iter().map(|i| scene[*i][c]).sum::<f64>() / 4.0);
        for code in (LinearSrgb { r, g, b }).encode().0 {
            let noisy = f64::from(code) + noise * dice.normal();
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped"
            )]
            rgb.push(noisy.round().clamp(0.0, 255.0) as u8);
        }
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "65 to 95"
    )]
    let picture = through_jpeg(width, height, &rgb, quality as u8);
    Wall { picture, stones }
}

fn seen(picture: &Picture) -> (Vec<LabD65>, Option<Variety>) {
    let (counted, windows) = bins_and_windows(picture, &Region::whole(), Count::Chosen);
    let tones = sorted(&counted.bins, Count::Chosen).unwrap().tones;
    let variety = windows.variety(&tones, Wish::AsSeen);
    (
        tones.tones.iter().map(|tone| tone.colour).collect(),
        variety,
    )
}

fn mean(of: &[(LabD65, f64)]) -> LabD65 {
    let all: f64 = of.iter().map(|(_, pixels)| pixels).sum();
    let sum =
        |c: fn(&LabD65) -> f64| of.iter().map(|(own, pixels)| c(own) * pixels).sum::<f64>() / all;
    LabD65::new(sum(|c| c.l), sum(|c| c.a), sum(|c| c.b))
}

/// How far a tenth that was told lies from the mean of the stones that lie farthest that way, a tenth of the area; and the
/// area that lies at least three quarters as far.
fn judged(stones: &[(LabD65, f64)], told: LabD65) -> (f64, f64) {
    let middle = mean(stones);
    let way = [told.l - middle.l, told.a - middle.a, told.b - middle.b];
    let far = |c: &LabD65| {
        (c.l - middle.l) * way[0] + (c.a - middle.a) * way[1] + (c.b - middle.b) * way[2]
    };
    let mut order = stones.to_vec();
    order.sort_by(|a, b| far(&b.0).total_cmp(&far(&a.0)));
    let all: f64 = stones.iter().map(|(_, pixels)| pixels).sum();
    let mut left = 0.1 * all;
    let mut outer = Vec::new();
    for (colour, pixels) in &order {
        outer.push((*colour, pixels.min(left)));
        left -= pixels.min(left);
        if left <= 0.0 {
            break;
        }
    }
    let there = order.iter().filter(|(c, _)| far(c) >= 0.75 * far(&told));
    let there: f64 = there.map(|(_, pixels)| pixels).sum();
    (delta_e00(mean(&outer), told).0, there / all)
}

#[test]
fn stones_that_differ_are_picked_out_and_even_walls_are_left_alone() {
    let (mut wide, mut offered, mut off, mut shares) = (0, 0, Vec::new(), Vec::new());
    for seed in 0..40 {
        let wall = wall(
            7_000 + seed,
            [4.5, 5.5, 6.5][usize::try_from(seed % 3).unwrap()],
            BuiltOf::Stones,
        );
        let (tones, variety) = seen(&wall.picture);
        let middle = mean(&wall.stones);
        let all: f64 = wall.stones.iter().map(|(_, pixels)| pixels).sum();
        let far = wall
            .stones
            .iter()
            .map(|(c, pixels)| delta_e00(*c, middle).0 * pixels);
        if far.sum::<f64>() / all >= 4.0 {
            wide += 1;
            offered += usize::from(variety.is_some());
        }
        // The stones of the body: those nearest to it among the tones that were told.
        let own: Vec<(LabD65, f64)> = wall
            .stones
            .iter()
            .filter(|(c, _)| {
                tones[1..]
                    .iter()
                    .all(|t| delta_e00(*t, *c).0 > delta_e00(tones[0], *c).0)
            })
            .copied()
            .collect();
        for told in variety.into_iter().flat_map(|v| v.tenths) {
            let (far, share) = judged(&own, told);
            off.push(far);
            shares.push(share);
        }
    }
    let alone = (0..60).filter(|seed| {
        let built_of = [BuiltOf::Stones, BuiltOf::Render][usize::try_from(seed % 2).unwrap()];
        seen(&wall(9_000 + seed, 0.0, built_of).picture).1.is_none()
    });
    let alone = alone.count();
    off.sort_by(f64::total_cmp);
    shares.sort_by(f64::total_cmp);
    let within = off.iter().filter(|off| **off <= 3.0).count();
    println!(
        "stones that spread 4 or more: {offered} of {wide} offered; tenths within 3: {within} of {}, median {:.2}, 90 % {:.2}; \
         area there, 5 %, median, 95 %: {:.2} {:.2} {:.2}; even walls left alone: {alone} of 60",
        off.len(),
        off[off.len() / 2],
        off[off.len() * 9 / 10],
        shares[shares.len() / 20],
        shares[shares.len() / 2],
        shares[shares.len() * 19 / 20],
    );
    assert!(
        10 * offered >= 9 * wide && wide >= 20,
        "{offered} of {wide}"
    );
    assert!(alone >= 57, "{alone} of 60 even walls");
    assert!(4 * within >= 3 * off.len(), "{within} of {}", off.len());
}
