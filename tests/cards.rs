//! Cards of brushed-out paints, drawn with perspective, uneven light and noise: the colours that went in must come out.
//! And two photographs of a 24-patch chart, read as a card.
#![expect(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a drawn card that cannot be read is a fault of the test; figures are printed"
)]

#[path = "bench/exhaustive.rs"]
#[allow(
    dead_code,
    clippy::allow_attributes,
    reason = "of the oracle only its seeded numbers are used here"
)]
mod exhaustive;

use exhaustive::Seeded;
use hillwash::card::{Card, CardLayout, GridError, read_card};
use hillwash::colour::{LabD65, LinearSrgb, Srgb8, Xyz, delta_e00};
use hillwash::linear::square_to_corners;
use hillwash::photo::{KnownLight, Picture};
use hillwash::region::Region;

const WIDTH: usize = 900;
const HEIGHT: usize = 640;
/// Reflectance of the drawn card and of the grey card on it.
const CARD: f64 = 0.86;
const GREY: f64 = 0.18;

struct Drawn {
    picture: Picture,
    truth: Vec<LabD65>,
    grey_at: [f64; 2],
    corners: [[f64; 2]; 4],
}

/// A card of `columns` by `rows` cells with a grey card beside it, on a dark table.
fn drawn(columns: usize, rows: usize, random: &mut Seeded) -> Drawn {
    let truth = (0..columns * rows)
        .map(|_| LabD65::from(random.colour(60.0)))
        .collect();
    drawn_of(truth, (columns, rows), random)
}

/// The same of given paints.
#[expect(clippy::too_many_lines, reason = "one card, drawn from the ground up")]
fn drawn_of(truth: Vec<LabD65>, (columns, rows): (usize, usize), random: &mut Seeded) -> Drawn {
    let mut shift = |v: f64| v + random.between(-0.035, 0.035);
    let corners = [
        [shift(0.10), shift(0.10)],
        [shift(0.90), shift(0.10)],
        [shift(0.90), shift(0.90)],
        [shift(0.10), shift(0.90)],
    ];
    let map = square_to_corners(&corners).unwrap();
    // The inverse by a fine table would be coarse: a few steps of Newton per pixel instead.
    let inverse = |x: f64, y: f64| {
        let (mut u, mut v) = ((x - 0.1) / 0.8, (y - 0.1) / 0.8);
        for _ in 0..6 {
            let here = map(u, v);
            let (du, dv) = (map(u + 1e-4, v), map(u, v + 1e-4));
            let (a, b) = ((du[0] - here[0]) / 1e-4, (dv[0] - here[0]) / 1e-4);
            let (c, d) = ((du[1] - here[1]) / 1e-4, (dv[1] - here[1]) / 1e-4);
            let det = a * d - b * c;
            let (ex, ey) = (x - here[0], y - here[1]);
            u += (d * ex - b * ey) / det;
            v += (a * ey - c * ex) / det;
        }
        (u, v)
    };
    // The grid takes the upper part of the card; the grey card stands below it.
    let grid_height = 0.84;
    let gradient = [random.between(-0.5, 0.5), random.between(-0.4, 0.4)];
    // What a camera's own white balance leaves of a lamp's cast.
    // What a camera's own white balance leaves of a lamp's cast.
    let warm = [
        1.0 + random.between(0.0, 0.12),
        1.0,
        1.0 - random.between(0.0, 0.15),
    ];
    let light: Vec<LinearSrgb> = truth
        .iter()
        .map(|lab| Xyz::from(*lab).to_linear_srgb())
        .collect();
    let mut rgb = Vec::with_capacity(3 * WIDTH * HEIGHT);
    for py in 0..HEIGHT {
        for px in 0..WIDTH {
            let (x, y) = (
                (px as f64 + 0.5) / WIDTH as f64,
                (py as f64 + 0.5) / HEIGHT as f64,
            );
            let (u, v) = inverse(x, y);
            let paper = LinearSrgb {
                r: CARD,
                g: CARD,
                b: CARD,
            };
            let grey = LinearSrgb {
                r: GREY,
                g: GREY,
                b: GREY,
            };
            let table = LinearSrgb {
                r: 0.05,
                g: 0.035,
                b: 0.025,
            };
            let seen = if !(-0.06..=1.06).contains(&u) || !(-0.06..=1.06).contains(&v) {
                table
            } else if (0.44..0.56).contains(&u) && (0.88..1.0).contains(&v) {
                grey
            } else if (0.0..1.0).contains(&u) && (0.0..grid_height).contains(&v) {
                let (cx, cy) = (u * columns as f64, v / grid_height * rows as f64);
                let inside = |c: f64| (c.fract() - 0.5).abs() < 0.36;
                if inside(cx) && inside(cy) {
                    light[cy as usize * columns + cx as usize]
                } else {
                    paper
                }
            } else {
                paper
            };
            let level = 0.72 * (1.0 + gradient[0] * (x - 0.5) + gradient[1] * (y - 0.5));
            let noise = |random: &mut Seeded| 1.0 + random.between(-0.03, 0.03);
            let lit = LinearSrgb {
                r: seen.r * level * warm[0] * noise(random),
                g: seen.g * level * warm[1] * noise(random),
                b: seen.b * level * warm[2] * noise(random),
            };
            rgb.extend(lit.encode().0);
        }
    }
    Drawn {
        picture: Picture::from_srgb8(WIDTH, HEIGHT, rgb).unwrap(),
        truth,
        grey_at: map(0.5, 0.94),
        corners: [
            corners[0],
            corners[1],
            map(1.0, grid_height),
            map(0.0, grid_height),
        ],
    }
}

fn misses(card: &Card, truth: &[LabD65]) -> Vec<f64> {
    card.cells
        .iter()
        .zip(truth)
        .map(|(cell, lab)| delta_e00(cell.reading.colour, *lab).0)
        .collect()
}

#[test]
fn every_paint_of_a_drawn_card_comes_out_within_two() {
    const WITHIN: f64 = 2.0;
    let mut random = Seeded(24);
    let mut worst = 0.0_f64;
    for (columns, rows) in [(4, 6), (6, 4), (5, 3), (3, 2), (8, 5)] {
        for corners_given in [false, true] {
            let mut drawn = drawn(columns, rows, &mut random);
            let light = drawn
                .picture
                .correct(&KnownLight::Neutral {
                    region: Region::about(drawn.grey_at).unwrap(),
                    reflectance: Some(GREY),
                })
                .unwrap();
            let layout = CardLayout {
                columns,
                rows,
                corners: corners_given.then_some(drawn.corners),
                light_read_in: Some(Region::about(drawn.grey_at).unwrap()),
            };
            let card = read_card(&drawn.picture, &light, &layout)
                .unwrap_or_else(|e| panic!("{columns} by {rows}: {e}"));
            let misses = misses(&card, &drawn.truth);
            let most = misses.iter().copied().fold(0.0, f64::max);
            let uneven = card.ground.as_ref().unwrap().unevenness;
            println!(
                "{columns} by {rows}, corners given {corners_given}: at most {most:.2}, light uneven by {uneven:.2}"
            );
            worst = worst.max(most);
            assert!(most <= WITHIN, "{columns} by {rows}: {misses:.2?}");
        }
    }
    println!("drawn cards: at most ΔE00 {worst:.2}");
}

#[test]
fn paints_as_light_as_their_card_are_read_where_the_others_say() {
    const WITHIN: f64 = 2.5;
    let mut random = Seeded(31);
    let (columns, rows) = (4, 5);
    // In the middle, at a side, at a corner, at two corners of one side, at opposite corners.
    for unseen in [&[6][..], &[8], &[0], &[0, 3], &[0, 19], &[3, 9, 16]] {
        let mut truth: Vec<LabD65> = (0..columns * rows)
            .map(|_| LabD65::from(random.colour(60.0)))
            .collect();
        for at in unseen {
            truth[*at] = LabD65::new(93.0, 0.0, 2.0);
        }
        let mut drawn = drawn_of(truth, (columns, rows), &mut random);
        let grey = Region::about(drawn.grey_at).unwrap();
        let light = drawn
            .picture
            .correct(&KnownLight::Neutral {
                region: grey.clone(),
                reflectance: Some(GREY),
            })
            .unwrap();
        let layout = CardLayout {
            columns,
            rows,
            corners: None,
            light_read_in: Some(grey),
        };
        let card = read_card(&drawn.picture, &light, &layout)
            .unwrap_or_else(|e| panic!("unseen {unseen:?}: {e}"));
        let misses = misses(&card, &drawn.truth);
        let most = misses.iter().copied().fold(0.0, f64::max);
        println!("unseen {unseen:?}: at most {most:.2}");
        assert!(most <= WITHIN, "unseen {unseen:?}: {misses:.2?}");
    }
}

#[test]
fn what_is_no_card_is_refused() {
    let picture = Picture::from_srgb8(60, 40, [200, 200, 200].repeat(2400)).unwrap();
    let mut picture = picture;
    let light = picture.correct(&KnownLight::Nothing).unwrap();
    let layout = CardLayout {
        columns: 4,
        rows: 6,
        corners: None,
        light_read_in: None,
    };
    assert!(matches!(
        read_card(&picture, &light, &layout),
        Err(GridError::NotFound { .. })
    ));
}

/// The chart's patches, CIELAB under D65 by Bradford from the published chromaticities under D50: `McCamy`, Marcus and
/// Davidson 1976, the 2005 reference as carried by colour-science 0.4.7 (BSD-3-Clause).
fn chart_colours() -> Vec<LabD65> {
    include_str!("../src/photo/chart24.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<f64> = line
                .rsplitn(4, ',')
                .take(3)
                .map(|c| c.parse().unwrap())
                .collect();
            let (luminance, y, x) = (cells[0], cells[1], cells[2]);
            let xyz = [x / y * luminance, luminance, (1.0 - x - y) / y * luminance];
            // Lindbloom's published Bradford matrix from D50 to D65.
            let m = [
                [0.955_576_6, -0.023_039_3, 0.063_163_6],
                [-0.028_289_5, 1.009_941_6, 0.021_007_7],
                [0.012_298_2, -0.020_483_0, 1.329_909_8],
            ];
            let to = |row: [f64; 3]| row.iter().zip(xyz).map(|(a, b)| a * b).sum::<f64>();
            LabD65::from(Xyz::from_array([to(m[0]), to(m[1]), to(m[2])]))
        })
        .collect()
}

#[test]
fn a_photographed_chart_read_as_a_card_comes_out_within_five() {
    const WITHIN: f64 = 5.0;
    let charts = [
        (
            "chart24-on-chair-daylight-warm.jpg",
            [
                [275.8, 165.0],
                [772.7, 181.1],
                [758.4, 505.5],
                [268.7, 489.2],
            ],
        ),
        (
            "chart24-on-wall-lamp-orange.jpg",
            [
                [492.6, 263.7],
                [876.2, 279.1],
                [862.1, 539.4],
                [480.6, 508.1],
            ],
        ),
    ];
    for (name, corners) in charts {
        let path = format!("{}/tests/photos/data/{name}", env!("CARGO_MANIFEST_DIR"));
        #[expect(clippy::disallowed_methods, reason = "a test reads its photograph")]
        let bytes = std::fs::read(path).unwrap();
        let corners = corners.map(|[x, y]: [f64; 2]| [x / 1034.0, y / 688.0]);
        let mut picture = hillwash::photo::decode(&bytes, &hillwash::photo::Limits::default())
            .unwrap()
            .value;
        let light = picture.correct(&KnownLight::Chart(corners)).unwrap();
        let layout = CardLayout {
            columns: 6,
            rows: 4,
            corners: Some(corners),
            light_read_in: None,
        };
        let card = read_card(&picture, &light, &layout).unwrap();
        let misses = misses(&card, &chart_colours());
        let mean = misses.iter().sum::<f64>() / misses.len() as f64;
        println!("{name} as a card: mean ΔE00 {mean:.2}");
        assert_eq!(misses.len(), 24);
        assert!(mean <= WITHIN, "{name}: {misses:.1?}");
        assert!(card.ground.is_none(), "its frame is no white card");
        assert_ne!(Srgb8([0, 0, 0]), card.cells[0].reading.colour.to_srgb8());
    }
}
