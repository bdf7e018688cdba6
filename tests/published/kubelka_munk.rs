//! Light in layers of paint.
//!
//! Kubelka and Munk 1931, *Ein Beitrag zur Optik der Farbanstriche*; Kubelka 1948, *New contributions to the optics of
//! intensely light-scattering materials*, part I; Duncan 1940, *The colour of pigment mixtures*. Vectors computed from
//! their formulae by a separate program, layers in 50-digit arithmetic.
//!
//! `ks_from_black_and_white` is taken the other way round: the library measures no drawdowns, so its K and S must give
//! the layer over white and over black that they were worked out from.

use crate::cases::{Case, cases_of, items, kinds, number, numbers};
use crate::misses::Misses;
use crate::mixing_cases::mixing_cases;
use hillwash::colour::{LabD65, Spectrum, Xyz};
use hillwash::paint::{
    PaintSurface, Prepared, Wash, absorption_over_scattering, film_over, infinite_reflectance,
    opaque_mix, wash_over,
};
use serde_json::Value;

const VECTORS: &str = include_str!("data/kubelka_munk_vectors.json");
/// Stated with the vectors, as a fraction.
const AS_COMPUTED: f64 = 1e-10;
/// A pure absorber has S = 0, which K/S cannot express; it is approached with an S of this fraction of K.
const NEARLY_NO_SCATTERING: f64 = 1e-10;
/// The light such an S still throws back is of its own order; times the slope of the formula.
const NEARLY_PURE_ABSORBER: f64 = 1e-8;
/// Kinds that a test below takes on.
const CHECKED: [&str; 13] = [
    "ks_from_rinf",
    "rinf_from_ks",
    "layer",
    "limit_X_to_0",
    "limit_X_to_inf",
    "limit_K_0",
    "limit_S_0",
    "limit_Rg_is_Rinf",
    "mix_single_constant",
    "mix_two_constant",
    "saunderson",
    "mix_single_constant_saunderson",
    "ks_from_black_and_white",
];
/// Kind with a test of its own beside the plain layers.
const STACK: &str = "stack";
#[test]
fn no_kind_of_vector_goes_by_unseen() {
    let known = CHECKED.into_iter().chain([STACK]);
    assert_eq!(kinds(VECTORS), known.map(str::to_owned).collect());
}

#[test]
fn absorption_over_scattering_follows_from_the_endless_layer() {
    let mut misses = Misses::of("K/S from R∞");
    for case in cases_of(VECTORS, "ks_from_rinf") {
        let got = absorption_over_scattering(number(&case.inputs, "R_inf"));
        let published = number(&case.outputs, "KS");
        misses.within_fraction(AS_COMPUTED, &case.id, "K/S", got, published);
    }
    misses.none_among(6);
}

#[test]
fn the_endless_layer_keeps_its_digits_from_no_absorption_to_a_million() {
    let mut misses = Misses::of("R∞ from K/S");
    for case in cases_of(VECTORS, "rinf_from_ks") {
        let got = infinite_reflectance(number(&case.inputs, "KS"));
        let published = number(&case.outputs, "R_inf");
        misses.within_fraction(AS_COMPUTED, &case.id, "R∞", got, published);
    }
    misses.none_among(7);
}

/// The reflectance of a layer given by K, S and X over a base.
fn layer_over(base: f64, layer: &Value) -> f64 {
    let [k, s, x] = ["K", "S", "X"].map(|key| number(layer, key));
    film_over(base, k / s, s * x)
}

#[test]
fn a_layer_over_a_base_reflects_what_50_digits_say() {
    let mut misses = Misses::of("layers");
    for case in cases_of(VECTORS, "layer") {
        let Case {
            id,
            inputs,
            outputs,
            ..
        } = &case;
        let endless = infinite_reflectance(number(inputs, "K") / number(inputs, "S"));
        for (what, got) in [
            ("R", layer_over(number(inputs, "Rg"), inputs)),
            ("R_over_black", layer_over(0.0, inputs)),
            ("R_inf", endless),
        ] {
            misses.within_fraction(AS_COMPUTED, id, what, got, number(outputs, what));
        }
    }
    misses.none_among(3 * 10);
}

#[test]
fn layers_reach_their_limits() {
    let mut misses = Misses::of("limits of a layer");
    for kind in [
        "limit_X_to_0",
        "limit_X_to_inf",
        "limit_K_0",
        "limit_Rg_is_Rinf",
    ] {
        for case in cases_of(VECTORS, kind) {
            let got = layer_over(number(&case.inputs, "Rg"), &case.inputs);
            let published = number(&case.outputs, "R");
            let row = format!("{} {kind}", case.id);
            misses.within_fraction(AS_COMPUTED, &row, "R", got, published);
        }
    }
    misses.none_among(2 + 2 + 3 + 1);
}

#[test]
fn a_layer_that_hardly_scatters_only_darkens_its_base() {
    let mut misses = Misses::of("layers that absorb alone");
    for case in cases_of(VECTORS, "limit_S_0") {
        let [k, x, base] = ["K", "X", "Rg"].map(|key| number(&case.inputs, key));
        let s = NEARLY_NO_SCATTERING * k;
        let got = film_over(base, k / s, s * x);
        let published = number(&case.outputs, "R");
        misses.within_fraction(NEARLY_PURE_ABSORBER, &case.id, "R", got, published);
    }
    misses.none_among(2);
}

#[test]
fn layers_stack_each_over_what_lies_beneath() {
    let mut misses = Misses::of("stacks of layers");
    for case in cases_of(VECTORS, STACK) {
        let got = items(&case.inputs["layers_bottom_to_top"])
            .iter()
            .fold(number(&case.inputs, "Rg"), layer_over);
        let published = number(&case.outputs, "R");
        misses.within_fraction(AS_COMPUTED, &case.id, "R", got, published);
    }
    misses.none_among(4);
}

/// Saunderson 1942 outward, of a surface that mirrors nothing, with the k2 that stands with the worked cases: written out
/// here, not the library's.
fn at_the_surface(inside: f64) -> f64 {
    let k2 = number(&mixing_cases()["constants"], "k2");
    (1.0 - k2) * inside / (1.0 - k2 * inside)
}

/// A grey paint with K/S and S the same in every band, and nothing that the model misses: what is mixed is seen in Y.
fn grey_paint(k_over_s: f64, scattering: f64) -> Prepared {
    Prepared {
        k_over_s: Spectrum::flat(k_over_s),
        scattering: Spectrum::flat(scattering),
        mirror: 0.0,
        residual: Xyz::default(),
        xyz: Xyz::default(),
        lab: LabD65::new(0.0, 0.0, 0.0),
        moved_toward_grey: 0.0,
    }
}

/// The values of all paints at one band of a vector.
fn at_band(of: &Value, key: &str, band: usize) -> Vec<f64> {
    items(&of[key])
        .iter()
        .map(|paint| numbers(paint)[band])
        .collect()
}

fn in_parts<'a>(paints: &'a [Prepared], parts: &Value) -> Vec<(&'a Prepared, f64)> {
    paints.iter().zip(numbers(parts)).collect()
}

#[test]
fn paints_of_equal_scattering_mix_by_their_k_over_s() {
    let mut misses = Misses::of("single-constant mixes");
    for case in cases_of(VECTORS, "mix_single_constant") {
        for (band, endless) in numbers(&case.outputs["R_inf"]).into_iter().enumerate() {
            let paints: Vec<Prepared> = at_band(&case.inputs, "R_inf", band)
                .into_iter()
                .map(|r| grey_paint(absorption_over_scattering(r), 1.0))
                .collect();
            let mix = opaque_mix(&in_parts(&paints, &case.inputs["concentrations"])).unwrap();
            misses.within_fraction(
                AS_COMPUTED,
                &format!("{} band {band}", case.id),
                "R∞ at the surface",
                mix.y,
                at_the_surface(endless),
            );
        }
    }
    misses.none_among(7 * 8);
}

#[test]
fn paints_mix_by_the_sums_of_k_and_of_s_thick_and_as_films() {
    let thickness_of_a_coat = number(&mixing_cases()["constants"], "T1");
    let mut misses = Misses::of("two-constant mixes");
    for case in cases_of(VECTORS, "mix_two_constant") {
        let Case {
            id,
            inputs,
            outputs,
            ..
        } = &case;
        let base = Xyz {
            y: at_the_surface(number(inputs, "Rg")),
            ..Xyz::default()
        }
        .grey_of_same_y();
        let wash = Wash {
            paint_share: 1.0,
            passes: 1.0,
            film: number(inputs, "X") / thickness_of_a_coat,
            pool: 1.0,
        };
        for band in 0..8 {
            let row = format!("{id} band {band}");
            let published = |key: &str| numbers(&outputs[key])[band];
            let paints: Vec<Prepared> = at_band(inputs, "K", band)
                .into_iter()
                .zip(at_band(inputs, "S", band))
                .map(|(k, s)| grey_paint(k / s, s))
                .collect();
            let parts = in_parts(&paints, &inputs["concentrations"]);
            let thick = opaque_mix(&parts).unwrap();
            let film = wash_over(base, &parts, &wash).unwrap();
            for (what, got, published) in [
                (
                    "R∞ at the surface",
                    thick.y,
                    at_the_surface(published("R_inf")),
                ),
                (
                    "layer at the surface",
                    film.flat.y,
                    at_the_surface(published("R_layer")),
                ),
                (
                    "S·X",
                    film.tau_flat,
                    published("S_mix") * number(inputs, "X"),
                ),
            ] {
                misses.within_fraction(AS_COMPUTED, &row, what, got, published);
            }
        }
    }
    misses.none_among(8 * 8 * 3);
}

/// The surface a vector is for.
fn surface_of(inputs: &Value) -> PaintSurface {
    PaintSurface {
        k1: number(inputs, "k1"),
        k2: number(inputs, "k2"),
    }
}

#[test]
fn a_surface_mirrors_some_light_and_throws_some_back() {
    let mut misses = Misses::of("surfaces");
    for case in cases_of(VECTORS, "saunderson") {
        let (surface, inside) = (surface_of(&case.inputs), number(&case.inputs, "R_internal"));
        let measured = surface.outward(inside);
        let included = number(&case.outputs, "R_measured_specular_included");
        let excluded = number(&case.outputs, "R_measured_specular_excluded");
        for (what, got, published) in [
            ("with the mirrored light", measured, included),
            ("without it", measured - surface.k1, excluded),
            ("and in again", surface.inward(included), inside),
        ] {
            misses.within_fraction(AS_COMPUTED, &case.id, what, got, published);
        }
    }
    misses.none_among(6 * 3);
}

#[test]
fn paints_under_their_surface_mix_by_their_k_over_s_within() {
    let mut misses = Misses::of("single-constant mixes under a surface");
    for case in cases_of(VECTORS, "mix_single_constant_saunderson") {
        let surface = surface_of(&case.inputs);
        for (band, published) in numbers(&case.outputs["R_measured"]).into_iter().enumerate() {
            let paints: Vec<Prepared> = at_band(&case.inputs, "R_measured", band)
                .into_iter()
                .map(|r| grey_paint(absorption_over_scattering(surface.inward(r)), 1.0))
                .collect();
            let mix = opaque_mix(&in_parts(&paints, &case.inputs["concentrations"])).unwrap();
            // The library gives the mix under a surface that mirrors nothing: taken off again, the vector's put on.
            let got = surface.outward(PaintSurface::mirroring(0.0).inward(mix.y));
            let row = format!("{} band {band}", case.id);
            misses.within_fraction(AS_COMPUTED, &row, "R as measured", got, published);
        }
    }
    misses.none_among(4 * 8);
}

#[test]
fn k_and_s_of_a_drawdown_give_it_back_over_white_and_over_black() {
    let mut misses = Misses::of("drawdowns");
    for case in cases_of(VECTORS, "ks_from_black_and_white") {
        let [k, s] = ["K", "S"].map(|key| number(&case.outputs, key));
        let x = number(&case.inputs, "X");
        for (base, seen) in [("Rg_white", "R_over_white"), ("Rg_black", "R_over_black")] {
            let got = film_over(number(&case.inputs, base), k / s, s * x);
            misses.within_fraction(AS_COMPUTED, &case.id, seen, got, number(&case.inputs, seen));
        }
    }
    misses.none_among(5 * 2);
}
