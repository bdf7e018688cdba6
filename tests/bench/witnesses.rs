//! What known materials say of real photographs' light, beside what a chart, a card or other materials there say.
//!
//! `cargo bench --profile dev --bench witnesses`. It reads the bundled photos and, where they are, the shared ones. Each
//! row: by how much a middling outdoor colour would come out otherwise by the one or by the other, CIEDE2000, and the two
//! ± taken together (the camera aside: it is the same photo). Both lean on what is usual and on the picture as a whole.
//! No photo that we have shows a chart or card beside an outdoor material that was measured; nearest come a wall in its
//! paint beside a chart, and boards painted white beside weathered ones. Which surface is of which material was judged by
//! looking, regions drawn by hand.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark reads its pictures and prints its figures"
)]

mod shared;

use hillwash::colour::{LabD65, LinearSrgb, Xyz, delta_e00};
use hillwash::materials::Material;
use hillwash::photo::{Gains, KnownLight, KnownMaterial, Limits, Picture, decode};
use hillwash::region::{Outline, Region};
use std::path::{Path, PathBuf};

/// Left, top, right, bottom.
type Box4 = [f64; 4];

enum Beside {
    /// A neutral of unknown lightness: hue and chroma alone are compared.
    Neutral(Box4),
    /// A chart's corners, in pixels of 1034 × 688.
    Chart([[f64; 2]; 4]),
    /// The other materials of the photo.
    Others,
}

const BRICK: &str = "other masonry (probably brick)";
const STREET: &[(&str, Box4)] = &[
    (BRICK, [0.090, 0.420, 0.146, 0.475]),
    (BRICK, [0.210, 0.330, 0.260, 0.420]),
    (BRICK, [0.520, 0.630, 0.600, 0.700]),
    ("clay roof tile, red", [0.750, 0.220, 0.880, 0.270]),
];
const BOARDS: &[(&str, Box4)] = &[
    ("dead wood", [0.100, 0.660, 0.250, 0.730]),
    ("dead wood", [0.310, 0.680, 0.500, 0.730]),
];
const STREAM: &[(&str, Box4)] = &[
    ("leaf litter", [0.850, 0.440, 0.960, 0.520]),
    ("bark", [0.832, 0.180, 0.848, 0.420]),
];
const WOOD: &[(&str, Box4)] = &[
    ("leaf litter", [0.225, 0.800, 0.265, 0.950]),
    ("bark", [0.425, 0.150, 0.450, 0.500]),
];
const WALL: &[(&str, Box4)] = &[("road and wall paint, mixed", [0.05, 0.10, 0.40, 0.40])];

/// The photo's folder, its file, what else is known, what it is made of.
type Photo = (
    &'static str,
    &'static str,
    Beside,
    &'static [(&'static str, Box4)],
);

const PHOTOS: [Photo; 5] = [
    (
        "",
        "brick-houses-cobbled-street.jpg",
        Beside::Others,
        STREET,
    ),
    (
        "",
        "weathered-timber-cladding.jpg",
        Beside::Neutral([0.600, 0.300, 0.960, 0.360]),
        BOARDS,
    ),
    (
        "",
        "woodland-stream-mossy-rocks.jpg",
        Beside::Others,
        STREAM,
    ),
    (
        "photos",
        "spruce-woodland-floor-path.jpg",
        Beside::Others,
        WOOD,
    ),
    (
        "photos/chart",
        "chart24-on-wall-lamp-orange.jpg",
        Beside::Chart([
            [492.6, 263.7],
            [876.2, 279.1],
            [862.1, 539.4],
            [480.6, 508.1],
        ]),
        WALL,
    ),
];

fn region([left, top, right, bottom]: Box4) -> Region {
    let corners = vec![[left, top], [right, top], [right, bottom], [left, bottom]];
    Region {
        outline: Outline::new(corners).unwrap(),
        leave_out: Vec::new(),
    }
}

fn known((name, at): &(&str, Box4)) -> KnownMaterial {
    KnownMaterial {
        region: region(*at),
        material: Material::named(name).unwrap(),
    }
}

fn gains(file: &Path, light: &KnownLight) -> Gains {
    let mut picture: Picture = decode(&std::fs::read(file).unwrap(), &Limits::default())
        .unwrap()
        .value;
    picture.correct(light).unwrap().gains.unwrap()
}

/// A middling outdoor colour.
const MIDDLING: LabD65 = LabD65::new(43.0, 4.0, 11.0);

/// What becomes of the middling colour when it is corrected by the one where the other is right.
fn instead(by: &Gains, right: &Gains) -> LabD65 {
    let LinearSrgb { r, g, b } = Xyz::from(MIDDLING).to_linear_srgb();
    let (by, right) = (by.log.mean, right.log.mean);
    LabD65::from(LinearSrgb {
        r: r * (right[0] - by[0]).exp(),
        g: g * (right[1] - by[1]).exp(),
        b: b * (right[2] - by[2]).exp(),
    })
}

/// A row of the table; beside a neutral thing of unknown paleness only the hue can be compared.
fn row(name: &str, beside: &Beside, other: &str, of: [&Gains; 2]) -> (usize, usize) {
    let hue_alone = matches!(beside, Beside::Neutral(_));
    let there = instead(of[0], of[1]);
    let there = if hue_alone {
        LabD65::new(MIDDLING.l, there.a, there.b)
    } else {
        there
    };
    let apart = delta_e00(MIDDLING, there).0;
    let off = of.map(|gains| gains.off_after(MIDDLING));
    let off = off.map(|off| if hue_alone { off.hue.0 } else { off.total.0 });
    let both = off[0].hypot(off[1]);
    println!(
        "  {name} | {other}{}: {apart:.1}, the two ± {both:.1} ({:.1} and {:.1})",
        if hue_alone { ", hue alone" } else { "" },
        off[0],
        off[1]
    );
    (usize::from(apart <= both), usize::from(apart <= 2.0 * both))
}

fn main() {
    let bundled = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard");
    let (mut rows, mut within, mut within_twice) = (0, 0, 0);
    for (folder, file, beside, materials) in PHOTOS {
        let folder: Option<PathBuf> = if folder.is_empty() {
            Some(bundled.clone())
        } else {
            shared::folder(folder)
        };
        let Some(file) = folder.map(|folder| folder.join(file)) else {
            continue;
        };
        println!("{}", file.file_name().unwrap().display());
        let by =
            |some: Vec<KnownMaterial>| gains(&file, &KnownLight::Nothing.with_materials(&some));
        for (at, material) in materials.iter().enumerate() {
            let own = by(vec![known(material)]);
            let (words, other) = match &beside {
                Beside::Neutral(place) => {
                    let light = KnownLight::Neutral {
                        region: region(*place),
                        reflectance: None,
                    };
                    ("neutral", gains(&file, &light))
                }
                Beside::Chart(corners) => {
                    let corners = corners.map(|[x, y]| [x / 1034.0, y / 688.0]);
                    ("chart", gains(&file, &KnownLight::Chart(corners)))
                }
                Beside::Others => {
                    let others = materials.iter().enumerate();
                    let others = others.filter(|(other, _)| *other != at);
                    let all = by(others.map(|(_, one)| known(one)).collect());
                    ("the other materials", all)
                }
            };
            let (one, two) = row(material.0, &beside, words, [&own, &other]);
            rows += 1;
            within += one;
            within_twice += two;
        }
    }
    println!("n = {rows}: {within} within the two ±, {within_twice} within twice that");
}
