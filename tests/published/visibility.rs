//! Air between the eye and what it looks at.
//!
//! Koschmieder 1924, *Theorie der horizontalen Sichtweite*.

use crate::misses::Misses;
use crate::table::rows;
use hillwash::colour::{Srgb8, Xyz};
use hillwash::scale_colour::{through_air, transmission};
use hillwash::units::Metres;

const KOSCHMIEDER: &str = include_str!("data/visibility_koschmieder.csv");
const AIRLIGHT: &str = include_str!("data/visibility_airlight.csv");
/// Stated with the tables: they are printed to ten and twelve digits.
const AS_COMPUTED: f64 = 1e-9;

#[test]
fn light_fades_with_distance_as_published() {
    let mut misses = Misses::of("transmission of air");
    for row in rows(KOSCHMIEDER) {
        let [visibility, distance] = row
            .numbers(["V_km", "distance_km"])
            .map(|km| Metres::new(km * 1000.0).unwrap());
        misses.within(
            AS_COMPUTED,
            &format!(
                "{} km at a visibility of {} km",
                row.text("distance_km"),
                row.text("V_km")
            ),
            "transmission",
            transmission(distance, visibility),
            row.number("transmission"),
        );
    }
    misses.none_among(121);
}

#[test]
fn colours_pale_through_air_as_published() {
    let mut misses = Misses::of("colours through air");
    for row in rows(AIRLIGHT) {
        let code = |r, g, b| Srgb8([row.code(r), row.code(g), row.code(b)]);
        let colour = code("r8", "g8", "b8");
        let air = code("air_r8", "air_g8", "air_b8");
        let t = row.number("transmission");
        let seen = through_air(Xyz::from(colour.to_linear()), Xyz::from(air.to_linear()), t)
            .to_linear_srgb();
        misses.three_within(
            AS_COMPUTED,
            &format!("{colour} through air {air}, T = {t}"),
            ["linear red", "linear green", "linear blue"],
            [seen.r, seen.g, seen.b],
            row.numbers(["lin_r", "lin_g", "lin_b"]),
        );
    }
    misses.none_among(30 * 3);
}
