//! Any bytes as the colour profile of a small photo: used or warned about, and the colours are numbers.
#![no_main]

use hillwash::photo::{Limits, decode};
use libfuzzer_sys::fuzz_target;

const PHOTO: &[u8] = include_bytes!("../seeds/photo/baseline.jpg");
/// A segment holds so many bytes of a profile.
const PIECE: usize = 60_000;

fuzz_target!(|profile: &[u8]| {
    let (start, rest) = PHOTO.split_at(2);
    let mut photo = start.to_vec();
    let pieces = profile.chunks(PIECE).len().max(1);
    for (at, piece) in profile.chunks(PIECE).enumerate() {
        // ICC.1:2022, annex B.4: a name, the number of this segment, their count.
        let length = u16::try_from(piece.len() + 16).expect("a short piece");
        photo.extend([0xff, 0xe2]);
        photo.extend(length.to_be_bytes());
        photo.extend(b"ICC_PROFILE\0");
        photo.extend([at as u8 + 1, pieces as u8]);
        photo.extend(piece);
    }
    photo.extend(rest);
    let picture = decode(&photo, &Limits::default())
        .expect("the photo itself is sound")
        .value;
    let light = picture.light_of(&[[0.0; 3], [0.5; 3], [1.0, 0.2, 0.0]]);
    let _ = (light.len(), picture.profile.to_string());
});
