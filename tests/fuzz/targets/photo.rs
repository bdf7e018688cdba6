//! Any bytes as a photo: decoded within the limits or refused.
#![no_main]

use hillwash::photo::{Limits, decode};
use hillwash::problem::Explain;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let limits = Limits {
        pixels: 1 << 20,
        decoded_bytes: 16 << 20,
        ..Limits::default()
    };
    match decode(bytes, &limits) {
        Ok(noted) => {
            let picture = noted.value;
            assert!((picture.width * picture.height) as u64 <= limits.pixels);
        }
        Err(fault) => {
            let _ = (fault.to_string(), fault.place(), fault.hint());
        }
    }
});
