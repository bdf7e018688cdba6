//! Plain colour names.
//!
//! Kelly and Judd 1976, *Color: Universal Language and Dictionary of Names*, NBS SP 440; Munsell colours of Newhall,
//! Nickerson and Judd 1943.

use crate::misses::Misses;
use crate::table::rows;
use hillwash::colour::{LabD65, Srgb8, plain_name};

const DISPLAY_COLOURS: &str = include_str!("data/iscc_nbs_display_colours.csv");

#[test]
fn every_display_colour_gets_its_own_name_back() {
    let mut misses = Misses::of("ISCC–NBS names");
    for row in rows(DISPLAY_COLOURS) {
        let hex = Srgb8::try_from(row.text("hex").to_owned()).unwrap();
        // The published names are spelt the American way.
        let published = row.text("name").to_lowercase().replace("gray", "grey");
        misses.equal(
            &format!("{} {hex}", row.text("number")),
            "name",
            &plain_name(LabD65::from(hex)),
            &published.as_str(),
        );
    }
    misses.none_among(267);
}

const MUNSELL: &str = include_str!("data/munsell_renotation_subset.csv");
/// Names come from the nearest display colour, not from block boundaries; display colours of strong violets and blues lie
/// far from their centroids. Measured on the 320 of the table: all fit, 100 % and 100 %.
const HUES_RIGHT: f64 = 0.96;
const LIGHTNESS_RIGHT: f64 = 0.97;

/// Parts of names that fit a hue of the Munsell circle, from the hue ranges of SP 440 (its neighbours' words at the edges).
fn fitting(hue: &str) -> &'static [&'static str] {
    let family = hue.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    match family {
        "R" => &["pink", "red", "orange"],
        "YR" => &["orange", "brown", "yellow", "pink", "red"],
        "Y" => &["yellow", "olive", "brown", "orange"],
        "GY" => &["green", "olive", "yellow"],
        "G" => &["green"],
        "BG" => &["green", "blue"],
        "B" => &["blue", "green"],
        "PB" => &["blue", "violet", "purpl"],
        "P" => &["violet", "purpl"],
        "RP" => &["purpl", "red", "pink"],
        other => unreachable!("no Munsell hue: {other}"),
    }
}

#[test]
fn names_of_munsell_colours_fit_their_notation() {
    let (mut hues, mut lightness, mut all) = (0, 0, 0);
    for row in rows(MUNSELL) {
        let colour = LabD65::new(
            row.number("lab_l"),
            row.number("lab_a"),
            row.number("lab_b"),
        );
        let (name, value) = (plain_name(colour), row.number("value"));
        all += 1;
        let grey = ["black", "grey", "white"]
            .iter()
            .any(|word| name.contains(word));
        // Near the grey axis the system itself says "greyish" or "black" with or without a hue.
        let hue_fits = fitting(row.text("hue"))
            .iter()
            .any(|word| name.contains(word))
            || (grey && row.number("chroma") <= 2.0);
        let dark = ["dark", "deep", "black"]
            .iter()
            .any(|word| name.contains(word));
        let light = ["light", "pale", "brilliant", "white", "whitish"]
            .iter()
            .any(|word| name.contains(word));
        // "Deep" and "dark" pinks, yellows and oranges are lighter than other dark colours.
        let bright = ["pink", "yellow", "orange"]
            .iter()
            .any(|word| name.ends_with(word));
        let lightness_fits =
            !(dark && value > if bright { 7.5 } else { 5.5 } || light && value < 3.5);
        if !hue_fits || !lightness_fits {
            println!("{}: {name}", row.text("notation"));
        }
        hues += usize::from(hue_fits);
        lightness += usize::from(lightness_fits);
    }
    let part = |fitting: usize| {
        f64::from(u32::try_from(fitting).unwrap()) / f64::from(u32::try_from(all).unwrap())
    };
    println!(
        "of {all}: hue words fit {:.3}, lightness words fit {:.3}",
        part(hues),
        part(lightness)
    );
    assert!(part(hues) >= HUES_RIGHT && part(lightness) >= LIGHTNESS_RIGHT);
}
