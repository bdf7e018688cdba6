//! Any bytes as a photo: decoded within the limits or refused. The checksums of a PNG are put right first, so that they keep
//! nothing from the decoder.
#![no_main]

use hillwash::photo::{Limits, decode};
use hillwash::problem::Explain;
use libfuzzer_sys::fuzz_target;

/// The same bytes with right checksums, where they are a PNG.
fn with_checksums(bytes: &[u8]) -> Vec<u8> {
    let mut png = bytes.to_vec();
    if !bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return png;
    }
    let mut at = 8;
    while let Some(length) = png.get(at..at + 4).and_then(|four| four.try_into().ok()) {
        let end = (at + 8).saturating_add(u32::from_be_bytes(length) as usize);
        let Some(body) = png.get(at + 4..end) else {
            break;
        };
        let sum = body.iter().fold(u32::MAX, |sum, byte| {
            (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
                (sum >> 1) ^ (0xedb8_8320 * (sum & 1))
            })
        });
        let Some(place) = png.get_mut(end..end + 4) else {
            break;
        };
        place.copy_from_slice(&(!sum).to_be_bytes());
        at = end + 4;
    }
    png
}

// A decoder's panic that the program catches is a refused photo, and no failure: only what goes through ends a run. The hook
// that would end it at any panic is taken away.
fuzz_target!(init: std::panic::set_hook(Box::new(|_| {})), |bytes: &[u8]| {
    let bytes = &with_checksums(bytes);
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
