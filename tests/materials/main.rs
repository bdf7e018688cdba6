//! Measured materials: the table in the program against the package it was reckoned from, and photographs calibrated by
//! what is known in them.
//!
//! Source: the spectra of the Python package earthlib 1.1.0 (MIT licence), which gathers, by its documentation, *Urban
//! reflectance spectra from Santa Barbara, CA* (Herold and others 2004), the ICRAF–ISRIC world soil spectral library,
//! spectra of the Joint Fire Science Program, of the USGS and of a `HyspIRI` campaign, and canopies modelled with
//! PROSAIL. It is installed from the registry, not copied.
#![expect(
    clippy::disallowed_methods,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test reads an installed package, counts small numbers, prints its figures and fails by panicking"
)]

mod benchmark;
mod package;

use hillwash::colour::LabD65;
use hillwash::materials::MATERIALS;
use package::{Surface, classes};

/// Half a unit of the last digit in the table.
const COLOUR_DIGIT: f64 = 0.0051;
/// The table was reckoned with more digits of the matrix of sRGB than the standard prints and the program uses: that
/// moves logarithms and covariances by so much.
const LOG_DIGIT: f64 = 0.000_5;
const COVARIANCE_DIGIT: f64 = 0.000_2;

pub(crate) fn mean_and_covariance(of: &[[f64; 3]]) -> ([f64; 3], [[f64; 3]; 3]) {
    let count = of.len() as f64;
    let mean: [f64; 3] = std::array::from_fn(|i| of.iter().map(|v| v[i]).sum::<f64>() / count);
    let covariance = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let both = of.iter().map(|v| (v[i] - mean[i]) * (v[j] - mean[j]));
            both.sum::<f64>() / (count - 1.0)
        })
    });
    (mean, covariance)
}

#[test]
fn the_table_is_what_the_package_holds() {
    let classes = classes();
    for material in MATERIALS.iter() {
        let name = material.name;
        let spectra = &classes[material.class];
        assert_eq!(spectra.len(), material.count, "{name}");
        let labs: Vec<LabD65> = spectra.iter().map(|s| s.lab()).collect();
        let labs: Vec<[f64; 3]> = labs.iter().map(|c| [c.l, c.a, c.b]).collect();
        let (mean, covariance) = mean_and_covariance(&labs);
        let told = [material.mean.l, material.mean.a, material.mean.b];
        near(name, "mean", &mean, &told, COLOUR_DIGIT);
        let deviation: [f64; 3] = std::array::from_fn(|i| covariance[i][i].sqrt());
        near(
            name,
            "deviation",
            &deviation,
            &material.deviation,
            COLOUR_DIGIT,
        );
        let logs: Vec<[f64; 3]> = spectra.iter().filter_map(|s| Surface::log(*s)).collect();
        let (mean, covariance) = mean_and_covariance(&logs);
        let told = &material.log_light;
        near(name, "logarithm", &mean, &told.mean, LOG_DIGIT);
        for (reckoned, told) in covariance.iter().zip(&told.covariance) {
            near(name, "covariance", reckoned, told, COVARIANCE_DIGIT);
        }
    }
}

fn near(name: &str, what: &str, reckoned: &[f64; 3], told: &[f64; 3], digit: f64) {
    for (a, b) in reckoned.iter().zip(told) {
        assert!(
            (a - b).abs() < digit,
            "{name}, {what}: {reckoned:?}, told {told:?}"
        );
    }
}

/// Each typical reflectance is one of the class: some spectrum of the package has that very colour.
#[test]
fn typical_reflectances_are_of_their_class() {
    let classes = classes();
    for material in MATERIALS.iter() {
        for light in material.typical_light() {
            let nearest = classes[material.class]
                .iter()
                .map(|s| hillwash::colour::delta_e00(s.lab(), LabD65::from(light)).0)
                .fold(f64::INFINITY, f64::min);
            assert!(nearest < 0.2, "{}: {nearest}", material.name);
        }
    }
}
