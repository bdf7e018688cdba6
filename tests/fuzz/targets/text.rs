//! Any text as a colour, a measure, a scale.
#![no_main]

use hillwash::colour::parse_colour;
use hillwash::units::{Metres, Millimetres, ScaleRatio, SquareCentimetres, number};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(colour) = parse_colour(text) {
        let _ = colour.to_srgb8();
    }
    let _ = number(text).map(|n| assert!(n.is_finite()));
    let _ = text
        .parse::<Metres>()
        .map(|n| assert!(n.value().is_finite()));
    let _ = text
        .parse::<Millimetres>()
        .map(|n| assert!(n.value().is_finite()));
    let _ = text
        .parse::<SquareCentimetres>()
        .map(|n| assert!(n.value().is_finite()));
    let _ = text
        .parse::<ScaleRatio>()
        .map(|n| assert!(n.n().is_finite()));
});
