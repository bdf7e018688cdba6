//! Plain names for colours, so that people can use them over the telephone, and colour-blind builders too.

use super::difference::{delta_e00, is_farther};
use super::lab::LabD65;
use super::srgb::Srgb8;
use std::sync::LazyLock;

/// Number, name and display colour of the 267 categories.
///
/// Names: Kelly and Judd 1976, NBS Special Publication 440 (a work of the United States government). Display colours:
/// screen renderings of the centroids, from the npm package `color-name-lists` 3.33.2 (MIT); against the Munsell
/// centroids their median difference is ΔE00 1.7.
const CATEGORIES: &str = include_str!("iscc_nbs.csv");

/// Display colour, whole name and plain word.
static NAMED: LazyLock<Vec<(LabD65, String, String)>> = LazyLock::new(|| {
    CATEGORIES
        .lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split(',').skip(1);
            let name = in_british_spelling(&cells.next()?.to_lowercase());
            let hex = Srgb8::try_from(cells.next()?.to_owned()).ok()?;
            let word = in_few_words(&name);
            Some((LabD65::from(hex), name, word))
        })
        .collect()
});

/// "Grayish brown" as the rest of the program writes it.
fn in_british_spelling(name: &str) -> String {
    name.replace("gray", "grey")
}

/// How light and how strong a colour is, in the system's words.
const DEGREES: [&str; 12] = [
    "very",
    "vivid",
    "brilliant",
    "strong",
    "deep",
    "light",
    "moderate",
    "medium",
    "dark",
    "pale",
    "greyish",
    "blackish",
];

/// "Dark reddish brown" of "dark greyish reddish brown"; "light grey" of "light olive grey".
fn in_few_words(name: &str) -> String {
    let (degrees, hue): (Vec<&str>, Vec<&str>) =
        name.split(' ').partition(|word| DEGREES.contains(word));
    let said = |words: [&str; 3]| words.iter().any(|word| degrees.contains(word));
    let hue = match hue.last() {
        Some(last @ (&"white" | &"black")) => return (*last).to_owned(),
        Some(&"grey") => "grey".to_owned(),
        _ => hue.join(" "),
    };
    if said(["light", "pale", "brilliant"]) {
        format!("light {hue}")
    } else if said(["dark", "deep", "blackish"]) {
        format!("dark {hue}")
    } else {
        hue
    }
}

/// Below this chroma (CIELAB) only the plain neutrals are named: a grey must not be called purplish. Our choice.
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
    named(colour).0
}

/// The same in few words: the hue, light or dark: "brown", "dark reddish brown", "light grey".
///
/// # Source
/// The hues are the second level of Kelly and Judd 1976, which joins the categories of the third; "light" and "dark" join
/// its degrees. Our choice.
#[must_use]
pub fn plain_word(colour: LabD65) -> &'static str {
    named(colour).1
}

/// Which way a colour goes whose a\* and b\* change by so much, by the larger of the two.
#[must_use]
pub fn hue_way(da: f64, db: f64) -> &'static str {
    match (da.abs() > db.abs(), da > 0.0, db > 0.0) {
        (true, true, _) => "redder",
        (true, false, _) => "greener",
        (false, _, true) => "yellower",
        (false, _, false) => "bluer",
    }
}

/// Whole name and plain word of the nearest category.
fn named(colour: LabD65) -> (&'static str, &'static str) {
    let neutral = colour.chroma() < NEUTRAL_CHROMA;
    let known = NAMED.iter();
    let known = known.filter(|(_, name, _)| !neutral || NEUTRALS.contains(&name.as_str()));
    let mut nearest = (f64::INFINITY, ("colour", "colour"));
    for (shown, name, word) in known {
        if is_farther(colour, *shown, 0.0, nearest.0) {
            continue;
        }
        let off = delta_e00(colour, *shown).0;
        if off < nearest.0 {
            nearest = (off, (name, word));
        }
    }
    nearest.1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first of the nearest among all of them.
    #[test]
    fn the_name_is_that_of_the_nearest_of_all() {
        for step in 0_u8..240 {
            let [l, a, b] = [7_u8, 53, 101].map(|by| f64::from(step.wrapping_mul(by)));
            let colour = LabD65::new(l / 2.55, (a - 128.0) / 1.6, (b - 128.0) / 1.6);
            let off = |(shown, ..): &&(LabD65, String, String)| delta_e00(colour, *shown).0;
            let all = NAMED.iter();
            let nearest = all.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
            if colour.chroma() >= NEUTRAL_CHROMA {
                assert_eq!(plain_name(colour), nearest.1, "{colour:?}");
            }
        }
    }

    #[test]
    fn plain_words_are_few_and_say_the_hue() {
        let hue = |word: &'static str| {
            let hue = word.strip_prefix("light ").or(word.strip_prefix("dark "));
            hue.unwrap_or(word)
        };
        let hues: std::collections::BTreeSet<&str> =
            NAMED.iter().map(|(_, _, word)| hue(word)).collect();
        // 29 by the second level, and "brownish orange" and "brownish pink", which it has no place for.
        assert_eq!(hues.len(), 31, "{hues:?}");
        for (hex, word) in [
            ("#7f7f7f", "grey"),
            ("#80503f", "reddish brown"),
            ("#d0d0d2", "light grey"),
            ("#ffffff", "white"),
            ("#4a2c1e", "dark brown"),
        ] {
            let colour = Srgb8::try_from(hex.to_owned()).unwrap();
            assert_eq!(plain_word(colour.into()), word, "{hex}");
        }
    }
}
