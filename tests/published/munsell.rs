//! Munsell notation against the renotation of Newhall, Nickerson and Judd 1943 and against another interpolation of it.

use crate::misses::Misses;
use crate::table::{Row, rows};
use hillwash::colour::{LabD65, delta_e00, parse_colour};

/// The table is held to four decimals of chromaticity, lightness to the quintic of ASTM D1535.
const ROUNDING: f64 = 0.1;
/// Two ways to interpolate one table: straight lines in CIELAB here, circles and lines in xyY there.
const BETWEEN_MEAN: f64 = 0.6;
const BETWEEN_WORST: f64 = 2.5;

fn lab(row: &Row, names: [&str; 3]) -> LabD65 {
    let [l, a, b] = names.map(|name| row.number(name));
    LabD65::new(l, a, b)
}

#[test]
fn notations_of_the_renotation_give_its_colours() {
    let mut misses = Misses::of("Munsell renotation");
    let mut all = 0;
    for row in rows(include_str!("data/munsell_renotation_subset.csv")) {
        let notation = row.text("notation");
        let found = parse_colour(notation).unwrap();
        let off = delta_e00(found, lab(&row, ["lab_l", "lab_a", "lab_b"])).0;
        misses.within(ROUNDING, notation, "difference", off, 0.0);
        all += 1;
    }
    misses.none_among(all);
}

#[test]
fn notations_between_them_come_near_another_interpolation() {
    let off: Vec<(String, f64)> = rows(include_str!("data/munsell_between.csv"))
        .into_iter()
        .map(|row| {
            let found = parse_colour(row.text("notation")).unwrap();
            let theirs = lab(&row, ["l_d65", "a_d65", "b_d65"]);
            (row.text("notation").to_owned(), delta_e00(found, theirs).0)
        })
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "sixty rows")]
    let mean = off.iter().map(|(_, d)| d).sum::<f64>() / off.len() as f64;
    let worst = off.iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
    println!("Munsell between the table's colours: mean {mean:.2}, worst {worst:?}");
    assert!(mean < BETWEEN_MEAN, "mean {mean:.2}");
    assert!(worst.1 < BETWEEN_WORST, "{worst:?}");
}
