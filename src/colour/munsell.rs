//! Munsell notation to colour, by the published renotation.

use super::lab::LabD65;
use super::xyz::Xyz;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Chromaticities of the renotation's real colours.
///
/// # Source
/// Newhall, Nickerson and Judd 1943; its head names the source.
const TABLE: &str = include_str!("munsell.txt");

/// Hue letters in the order of the circle, ten hue steps each.
const FAMILIES: [&str; 10] = ["R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP"];

/// Illuminant C, 2°, chromaticity. CIE 15.
const WHITE_C: (f64, f64) = (0.310_06, 0.316_16);

/// Most chroma that any real colour has; the table ends at 38.
const MOST_CHROMA: f64 = 38.0;

/// From XYZ under C to XYZ under D65: Bradford, from the two chromaticities above and of D65.
///
/// # Source
/// The matrix of Lam 1985 (Bradford), as in the ICC specification, annex E.
const BRADFORD: [[f64; 3]; 3] = [
    [0.8951, 0.2664, -0.1614],
    [-0.7502, 1.7135, 0.0367],
    [0.0389, -0.0685, 1.0296],
];
const BRADFORD_BACK: [[f64; 3]; 3] = [
    [0.986_992_9, -0.147_054_3, 0.159_962_7],
    [0.432_305_3, 0.518_360_3, 0.049_291_2],
    [-0.008_528_7, 0.040_042_8, 0.968_486_7],
];

fn times(matrix: &[[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// Luminous reflectance of a Munsell value, 0 to 10; the perfect diffuser is 1.
///
/// # Source
/// ASTM D1535: the quintic of Newhall, Nickerson and Judd 1943, scaled to the perfect diffuser.
fn reflectance_of_value(v: f64) -> f64 {
    v * (1.1914 + v * (-0.225_33 + v * (0.233_52 + v * (-0.020_484 + v * 0.000_819_39)))) / 100.0
}

/// CIELAB under D65 of a chromaticity under C and a luminous reflectance.
fn lab_of((x, y): (f64, f64), big_y: f64) -> LabD65 {
    let under_c =
        |(x, y): (f64, f64), big_y: f64| [big_y * x / y, big_y, big_y * (1.0 - x - y) / y];
    let white = times(&BRADFORD, under_c(WHITE_C, 1.0));
    let other = times(
        &BRADFORD,
        Xyz::grey_of_same_y(Xyz::from_array([1.0; 3])).as_array(),
    );
    let cones = times(&BRADFORD, under_c((x, y), big_y));
    let adapted = [0, 1, 2].map(|i| cones[i] * other[i] / white[i]);
    LabD65::from(Xyz::from_array(times(&BRADFORD_BACK, adapted)))
}

/// Each hue (0 to 39, by 2.5 steps from 2.5R) and value (1 to 9): colours of chroma 2, 4, 6 …
type Renotation = BTreeMap<(usize, usize), Vec<LabD65>>;

static RENOTATION: LazyLock<Renotation> = LazyLock::new(|| {
    let mut all = Renotation::new();
    for line in TABLE.lines().filter(|line| !line.starts_with('#')) {
        let mut words = line.split(' ');
        let hue = words.next().and_then(hue_steps);
        let value: Option<usize> = words.next().and_then(|v| v.parse().ok());
        let numbers: Vec<f64> = words.filter_map(|n| n.parse().ok()).collect();
        let (Some(hue), Some(value)) = (hue, value) else {
            continue;
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "hues of the table are whole multiples of 2.5 below 100, values 1 to 9"
        )]
        let (at, reflectance) = (
            (hue / 2.5).round() as usize % 40,
            reflectance_of_value(value as f64),
        );
        let colours = numbers
            .chunks_exact(2)
            .map(|xy| lab_of((xy[0] / 1e4, xy[1] / 1e4), reflectance))
            .collect();
        all.insert((at, value), colours);
    }
    all
});

/// "2.5YR" as steps on the circle of 100, from 0 at 10RP.
fn hue_steps(text: &str) -> Option<f64> {
    let split = text.find(|c: char| c.is_ascii_alphabetic())?;
    let number: f64 = text[..split].trim().parse().ok()?;
    let family = FAMILIES.iter().position(|f| *f == text[split..].trim())?;
    #[expect(clippy::cast_precision_loss, reason = "below ten")]
    let start = 10.0 * family as f64;
    number.is_finite().then_some(start + number)
}

/// A colour of the table's grid, of any chroma: between its neighbours, beyond the last along the same line.
fn on_grid(hue: usize, value: usize, chroma: f64) -> LabD65 {
    #[expect(clippy::cast_precision_loss, reason = "0 to 10")]
    let grey = lab_of(WHITE_C, reflectance_of_value(value as f64));
    let Some(row) = RENOTATION.get(&(hue, value)).filter(|row| !row.is_empty()) else {
        return grey;
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "chroma is 0 to 38"
    )]
    let below = ((chroma / 2.0).floor() as usize).min(row.len() - 1);
    let at = |i: usize| if i == 0 { grey } else { row[i - 1] };
    #[expect(clippy::cast_precision_loss, reason = "at most 19")]
    let t = chroma / 2.0 - below as f64;
    between(at(below), at(below + 1), t)
}

fn between(one: LabD65, other: LabD65, t: f64) -> LabD65 {
    LabD65::new(
        one.l + t * (other.l - one.l),
        one.a + t * (other.a - one.a),
        one.b + t * (other.b - one.b),
    )
}

/// Chroma that may lie beyond the last of the table, which is read on along its line. Our choice: one step of the table.
const BEYOND: f64 = 2.0;

/// The greatest chroma of a hue and value that is read: the table's own last, and a step more.
fn most_chroma(hue: usize, value: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "at most 19")]
    let last = RENOTATION
        .get(&(hue, value))
        .map_or(0.0, |row| 2.0 * row.len() as f64);
    last + BEYOND
}

/// A value or chroma that no Munsell colour has.
#[derive(Debug)]
pub(super) struct Outside;

/// Reads "10R 4/6", "2.5 yr 5.5/4", "N 5", "N5/". `None` when the text is no Munsell notation at all.
///
/// # Errors
/// [`Outside`] when its value or chroma lies outside the system.
pub(super) fn from_munsell(text: &str) -> Option<Result<LabD65, Outside>> {
    let text = text.trim().to_ascii_uppercase();
    let text = text.strip_prefix("MUNSELL").unwrap_or(&text).trim();
    let number = |text: &str| text.trim().replace(',', ".").parse::<f64>().ok();
    let value_range = 0.0..=10.0;
    if let Some(grey) = text
        .strip_prefix("NEUTRAL")
        .or_else(|| text.strip_prefix('N'))
    {
        let (value, chroma) = grey.split_once('/').unwrap_or((grey, ""));
        let value = number(value)?;
        let coloured = !chroma.trim().is_empty() && number(chroma)? > 0.0;
        let inside = value_range.contains(&value) && !coloured;
        let grey = || lab_of(WHITE_C, reflectance_of_value(value));
        return Some(inside.then(grey).ok_or(Outside));
    }
    let letters = text.find(|c: char| c.is_ascii_alphabetic())?;
    let after = letters + text[letters..].find(|c: char| !c.is_ascii_alphabetic())?;
    // "2,5YR 5/4", and "10YR 5 4" off a chart's label.
    let hue_text = text[..after].replace(',', ".");
    let hue = hue_steps(&hue_text)?;
    let rest = text[after..].trim();
    let (value, chroma) = rest.split_once('/').or_else(|| rest.split_once(' '))?;
    let (value, chroma) = (number(value)?, number(chroma)?);
    let hue_number = number(&hue_text[..letters])?;
    if !value_range.contains(&value)
        || !(0.0..=MOST_CHROMA).contains(&chroma)
        || !(0.0..=10.0).contains(&hue_number)
    {
        return Some(Err(Outside));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "hue 0 to 100, value 0 to 10"
    )]
    let (hue_below, value_below) = (
        (hue / 2.5).floor() as usize,
        (value.floor() as usize).min(9),
    );
    #[expect(clippy::cast_precision_loss, reason = "small whole numbers")]
    let (hue_part, value_part) = (hue / 2.5 - hue_below as f64, value - value_below as f64);
    let about = |value: usize| {
        most_chroma(hue_below % 40, value).max(most_chroma((hue_below + 1) % 40, value))
    };
    if chroma > about(value_below).max(about(value_below + 1)) {
        return Some(Err(Outside));
    }
    let at_value = |value: usize| {
        between(
            on_grid(hue_below % 40, value, chroma),
            on_grid((hue_below + 1) % 40, value, chroma),
            hue_part,
        )
    };
    let mixed = between(at_value(value_below), at_value(value_below + 1), value_part);
    // Lightness is no straight line from value to value: what greys lack of it there is made up.
    #[expect(clippy::cast_precision_loss, reason = "0 to 10")]
    let grey = |value: usize| lab_of(WHITE_C, reflectance_of_value(value as f64));
    let straight = between(grey(value_below), grey(value_below + 1), value_part).l;
    let own = lab_of(WHITE_C, reflectance_of_value(value)).l;
    let lightness = mixed.l + own - straight;
    Some(Ok(LabD65::new(lightness, mixed.a, mixed.b)))
}
