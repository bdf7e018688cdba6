//! Red-green deficient sight of colours.
//!
//! Machado, Oliveira and Fernandes 2009, *A physiologically-based model for simulation of color vision deficiency*.

use crate::misses::Misses;
use crate::table::rows;
use hillwash::colour::{Dichromat, Srgb8};

const MACHADO: &str = include_str!("data/colour_vision_machado.csv");
/// The table is printed to six decimals.
const AS_PRINTED: f64 = 2e-6;

#[test]
fn dichromats_see_colours_as_computed_elsewhere() {
    let mut misses = Misses::of("red-green deficient sight");
    for row in rows(MACHADO) {
        let code = Srgb8([row.code("r8"), row.code("g8"), row.code("b8")]);
        for (eye, columns) in [
            (Dichromat::Protan, ["protan_r", "protan_g", "protan_b"]),
            (Dichromat::Deutan, ["deutan_r", "deutan_g", "deutan_b"]),
        ] {
            let seen = eye.sees(code.to_linear());
            misses.three_within(
                AS_PRINTED,
                &code.to_string(),
                columns,
                [seen.r, seen.g, seen.b],
                row.numbers(columns),
            );
        }
    }
    misses.none_among(30 * 6);
}
