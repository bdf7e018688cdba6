//! Whatever bytes are given as a photo, they are a whole picture or are refused.
#![expect(
    clippy::unwrap_used,
    reason = "a drawn picture that cannot be encoded is a fault of the test"
)]

use crate::cases;
use hillwash::photo::{Crop, Damage, Limits, Samples, decode, small_jpeg};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use proptest::prelude::*;
use std::io::Cursor;
use std::sync::LazyLock;

/// Small, so that a header that lies about the size cannot make the test slow.
const LIMITS: Limits = Limits {
    file_bytes: 1 << 20,
    side: 2000,
    pixels: 1_000_000,
    decoded_bytes: 16 << 20,
    damage: Damage::Refuse,
};

/// A drawn picture of 9 by 7 pixels in a file format.
fn drawn(format: ImageFormat) -> Vec<u8> {
    let codes = |x: u32, y: u32| [x * 28, y * 36, (x * y) * 4].map(|v| u8::try_from(v).unwrap());
    let picture = RgbImage::from_fn(9, 7, |x, y| Rgb(codes(x, y)));
    let mut bytes = Vec::new();
    DynamicImage::from(picture)
        .write_to(&mut Cursor::new(&mut bytes), format)
        .unwrap();
    bytes
}

static PNG: LazyLock<Vec<u8>> = LazyLock::new(|| drawn(ImageFormat::Png));
static JPEG: LazyLock<Vec<u8>> = LazyLock::new(|| drawn(ImageFormat::Jpeg));
static OTHERS: LazyLock<Vec<Vec<u8>>> = LazyLock::new(|| {
    [
        ImageFormat::Tiff,
        ImageFormat::WebP,
        ImageFormat::Bmp,
        ImageFormat::Gif,
        ImageFormat::Qoi,
    ]
    .map(drawn)
    .into()
});

/// Up to eight bytes changed, then perhaps cut short or lengthened.
fn damaged(whole: &'static [u8]) -> impl Strategy<Value = Vec<u8>> {
    let changes = prop::collection::vec((0..whole.len(), any::<u8>()), 0..8);
    let cut = prop_oneof![3 => Just(usize::MAX), 1 => 0..whole.len()];
    let more = prop::collection::vec(any::<u8>(), 0..6);
    (changes, cut, more).prop_map(|(changes, cut, more)| {
        let mut bytes = whole.to_vec();
        for (at, value) in changes {
            bytes[at] = value;
        }
        bytes.truncate(cut);
        bytes.extend(more);
        bytes
    })
}

/// Decodes; what comes out must be a whole picture, from which a small copy can be made.
fn is_whole_or_refused(bytes: &[u8]) -> Result<(), TestCaseError> {
    if let Ok(read) = decode(bytes, &LIMITS) {
        let picture = read.value;
        let samples = match &picture.samples {
            Samples::Rgb8(values) => values.len(),
            Samples::Rgb16(values) => values.len(),
        };
        prop_assert_eq!(samples, 3 * picture.pixel_count());
        prop_assert!(picture.pixel_count() <= 1_000_000);
        if let Some(alpha) = &picture.alpha {
            prop_assert_eq!(alpha.len(), picture.pixel_count());
        }
        let small = small_jpeg(&picture, Crop::WHOLE, 16);
        prop_assert_eq!(small.is_some(), picture.pixel_count() > 0);
    }
    Ok(())
}

#[test]
fn the_drawn_files_themselves_are_read() {
    for bytes in [&*PNG, &*JPEG].into_iter().chain(&*OTHERS) {
        let picture = decode(bytes, &LIMITS).unwrap().value;
        assert_eq!((picture.width, picture.height), (9, 7));
    }
}

#[test]
fn a_gif_whose_screen_has_no_width_or_no_height_is_refused() {
    // GIF89a specification (CompuServe 1990, from memory), logical screen descriptor: width at byte 6, height at byte 8.
    for at in [6, 8] {
        let mut bytes = drawn(ImageFormat::Gif);
        bytes[at] = 0;
        let read = decode(&bytes, &LIMITS).map(|read| (read.value.width, read.value.height));
        assert!(read.is_err(), "byte {at} is 0: {read:?}");
    }
}

proptest! {
    #![proptest_config(cases(2000))]

    #[test]
    fn any_bytes_are_a_picture_or_are_refused(
        start in prop::sample::select(vec![
            &b""[..], b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*", b"GIF89a", b"BM", b"qoif",
            b"RIFF\x20\0\0\0WEBPVP8 ", b"\0\0\0\x18ftypheic", b"\xff\x0a", b"%PDF-1.7", b"<svg",
        ]),
        rest in prop::collection::vec(any::<u8>(), 0..120),
    ) {
        is_whole_or_refused(&[start, &rest].concat())?;
    }

    #[test]
    fn a_damaged_png_is_a_picture_or_is_refused(bytes in damaged(&PNG)) {
        is_whole_or_refused(&bytes)?;
    }

    #[test]
    fn a_damaged_jpeg_is_a_picture_or_is_refused(bytes in damaged(&JPEG)) {
        is_whole_or_refused(&bytes)?;
    }

    #[test]
    fn a_damaged_file_of_another_kind_is_a_picture_or_is_refused(
        bytes in (0..OTHERS.len()).prop_flat_map(|i| damaged(&OTHERS[i])),
    ) {
        is_whole_or_refused(&bytes)?;
    }
}
