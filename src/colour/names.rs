//! Plain names for colours, so that a telephone and a colour-blind builder can work from them.

use super::difference::delta_e00;
use super::lab::LabD65;
use super::srgb::Srgb8;
use std::sync::LazyLock;

/// Number, name and display colour of the 267 categories.
///
/// Names: Kelly and Judd 1976, NBS Special Publication 440 (a work of the United States government). Display colours:
/// screen renderings of the centroids, from the npm package `color-name-lists` 3.33.2 (MIT); against the Munsell
/// centroids their median difference is ΔE00 1.7.
const CATEGORIES: &str = include_str!("iscc_nbs.csv");

static NAMED: LazyLock<Vec<(LabD65, String)>> = LazyLock::new(|| {
    CATEGORIES
        .lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split(',').skip(1);
            let name = in_british_spelling(&cells.next()?.to_lowercase());
            let hex = Srgb8::try_from(cells.next()?.to_owned()).ok()?;
            Some((LabD65::from(hex), name))
        })
        .collect()
});

/// "Grayish brown" as the rest of the program writes it.
fn in_british_spelling(name: &str) -> String {
    name.replace("gray", "grey")
}

/// Below this chroma (CIELAB) only the plain neutrals are named: a grey must not be told as purplish. Our choice.
const NEUTRAL_CHROMA: f64 = 1.5;
const NEUTRALS: [&str; 5] = ["white", "light grey", "medium grey", "dark grey", "black"];

/// The ISCC–NBS name whose display colour is nearest (CIEDE2000), in lower case and in
/// British spelling, such as "greyish reddish brown".
///
/// # Source
/// Kelly and Judd 1976, *Color: Universal Language and Dictionary of Names*, NBS SP 440. The system draws block
/// boundaries in Munsell space; the nearest centroid stands in for them and differs near the boundaries.
#[must_use]
pub fn plain_name(colour: LabD65) -> &'static str {
    let neutral = colour.chroma() < NEUTRAL_CHROMA;
    NAMED
        .iter()
        .filter(|(_, name)| !neutral || NEUTRALS.contains(&name.as_str()))
        .min_by(|(a, _), (b, _)| delta_e00(colour, *a).0.total_cmp(&delta_e00(colour, *b).0))
        .map_or("colour", |(_, name)| name.as_str())
}
