//! Pictures drawn by code, with known colours, and the few bytes of file formats that tests write by hand.

#![expect(
    clippy::expect_used,
    reason = "a picture that cannot be drawn is a fault of the test itself"
)]

use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage, Rgba, RgbaImage};
use std::io::Cursor;

/// An encoded sRGB colour.
pub(crate) type Colour = [u8; 3];

pub(crate) const BRICK: Colour = [0x93, 0x50, 0x3d];
pub(crate) const SLATE: Colour = [0x56, 0x5b, 0x60];
pub(crate) const MOSS: Colour = [0x72, 0x76, 0x41];

/// Upright stripes from left to right, each a colour and its width in pixels.
pub(crate) fn stripes(height: u32, stripes: &[(Colour, u32)]) -> RgbImage {
    let columns: Vec<Colour> = stripes
        .iter()
        .flat_map(|(colour, width)| (0..*width).map(|_| *colour))
        .collect();
    let width = u32::try_from(columns.len()).expect("a narrow picture");
    RgbImage::from_fn(width, height, |x, _| {
        Rgb(columns[usize::try_from(x).expect("a narrow picture")])
    })
}

/// Stored without loss.
pub(crate) fn png(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    picture
        .write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png)
        .expect("a PNG in memory");
    bytes
}

/// A PNG whose right half is fully transparent.
pub(crate) fn half_transparent_png(
    width: u32,
    height: u32,
    shown: Colour,
    hidden: Colour,
) -> Vec<u8> {
    let picture = RgbaImage::from_fn(width, height, |x, _| {
        let ([r, g, b], alpha) = if x < width / 2 {
            (shown, 255)
        } else {
            (hidden, 0)
        };
        Rgba([r, g, b, alpha])
    });
    let mut bytes = Vec::new();
    picture
        .write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png)
        .expect("a PNG in memory");
    bytes
}

/// Stored with the small losses of a camera's best setting.
pub(crate) fn jpeg(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 95)
        .encode_image(picture)
        .expect("a JPEG in memory");
    bytes
}

/// A JPEG with marker segments put in right after its first marker.
///
/// # Source
/// ITU-T T.81 (1992), annex B: a marker, then a length that counts itself, then the body.
pub(crate) fn with_segments(jpeg: &[u8], segments: &[(u8, Vec<u8>)]) -> Vec<u8> {
    let (start, rest) = jpeg.split_at(2);
    let mut bytes = start.to_vec();
    for (marker, body) in segments {
        let length = u16::try_from(body.len() + 2).expect("a short segment");
        bytes.extend([0xff, *marker]);
        bytes.extend(length.to_be_bytes());
        bytes.extend(body);
    }
    bytes.extend(rest);
    bytes
}

/// The body of a JPEG's Exif segment.
pub(crate) fn exif_body(tiff: &[u8]) -> Vec<u8> {
    [b"Exif\0\0".as_slice(), tiff].concat()
}

/// An entry of a TIFF directory: tag, kind, count, value bytes.
type Entry = (u16, u16, u32, Vec<u8>);

const ASCII: u16 = 2;
const SHORT: u16 = 3;
const LONG: u16 = 4;
const RATIONAL: u16 = 5;
/// Where the first directory begins: right after the TIFF header.
const FIRST_DIRECTORY: u32 = 8;

/// A directory that begins at offset `at`; values of more than four bytes follow it.
///
/// # Source
/// TIFF revision 6.0 (1992), section 2.
fn directory(at: u32, entries: &[Entry]) -> Vec<u8> {
    let count = u16::try_from(entries.len()).expect("few entries");
    let mut bytes = count.to_le_bytes().to_vec();
    let mut behind = at + 2 + 12 * u32::from(count) + 4;
    let mut values: Vec<u8> = Vec::new();
    for (tag, kind, number, value) in entries {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(number.to_le_bytes());
        if value.len() <= 4 {
            let mut padded = value.clone();
            padded.resize(4, 0);
            bytes.extend(padded);
        } else {
            bytes.extend(behind.to_le_bytes());
            values.extend(value);
            behind += u32::try_from(value.len()).expect("a short value");
        }
    }
    bytes.extend(0_u32.to_le_bytes());
    bytes.extend(values);
    bytes
}

fn tiff(directories: &[Vec<u8>]) -> Vec<u8> {
    [
        b"II*\0".to_vec(),
        FIRST_DIRECTORY.to_le_bytes().to_vec(),
        directories.concat(),
    ]
    .concat()
}

fn ascii(tag: u16, text: &str) -> Entry {
    let value = format!("{text}\0").into_bytes();
    let count = u32::try_from(value.len()).expect("a short text");
    (tag, ASCII, count, value)
}

/// Exif data that says how the camera was held.
///
/// # Source
/// Exif 2.32 (CIPA DC-008), tag 0x0112: 1 upright, 6 to be turned a quarter clockwise, 3 half round, 8 anticlockwise.
pub(crate) fn orientation_exif(orientation: u16) -> Vec<u8> {
    tiff(&[directory(
        FIRST_DIRECTORY,
        &[(0x0112, SHORT, 1, orientation.to_le_bytes().to_vec())],
    )])
}

/// Exif data that tells who took a photo, with what and where: `secret` stands in the description, in the maker's name
/// and in the GPS directory.
///
/// # Source
/// Exif 2.32 (CIPA DC-008): tags 0x010e, 0x010f, 0x8825, and 1 to 4 and 0x001d of the GPS directory.
pub(crate) fn telling_exif(secret: &str) -> Vec<u8> {
    let degrees = |values: [u32; 3]| -> Vec<u8> {
        values
            .iter()
            .flat_map(|v| [v.to_le_bytes(), 1_u32.to_le_bytes()].concat())
            .collect()
    };
    let first = |gps: u32| {
        directory(
            FIRST_DIRECTORY,
            &[
                ascii(0x010e, secret),
                ascii(0x010f, secret),
                (0x8825, LONG, 1, gps.to_le_bytes().to_vec()),
            ],
        )
    };
    let gps_at = FIRST_DIRECTORY + u32::try_from(first(0).len()).expect("a short directory");
    let gps = directory(
        gps_at,
        &[
            ascii(1, "N"),
            (2, RATIONAL, 3, degrees([52, 11, 17])),
            ascii(3, "W"),
            (4, RATIONAL, 3, degrees([2, 13, 19])),
            ascii(0x001d, secret),
        ],
    );
    tiff(&[first(gps_at), gps])
}

const PNG_SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";
/// Signature and IHDR.
const PNG_HEAD: usize = 33;

/// A chunk of a PNG with its right checksum.
///
/// # Source
/// PNG (W3C Recommendation 2003, ISO/IEC 15948), section 5.3 and annex D.
pub(crate) fn png_chunk(kind: [u8; 4], body: &[u8]) -> Vec<u8> {
    let length = u32::try_from(body.len()).expect("a short chunk");
    let named = [kind.as_slice(), body].concat();
    let checksum = named.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            if sum & 1 == 1 {
                (sum >> 1) ^ 0xedb8_8320
            } else {
                sum >> 1
            }
        })
    });
    [
        length.to_be_bytes().to_vec(),
        named,
        (!checksum).to_be_bytes().to_vec(),
    ]
    .concat()
}

/// A PNG with one chunk put in right after its header.
pub(crate) fn with_chunk(png: &[u8], kind: [u8; 4], body: &[u8]) -> Vec<u8> {
    let (head, rest) = png.split_at(PNG_HEAD);
    [head, &png_chunk(kind, body), rest].concat()
}

/// A PNG whose header promises so many pixels, with hardly any bytes behind it.
pub(crate) fn promising_png(width: u32, height: u32) -> Vec<u8> {
    let header = [
        &width.to_be_bytes()[..],
        &height.to_be_bytes(),
        &[8, 2, 0, 0, 0],
    ]
    .concat();
    [
        PNG_SIGNATURE.to_vec(),
        png_chunk(*b"IHDR", &header),
        png_chunk(*b"IDAT", &[0x78, 0x9c, 3, 0, 0, 0, 0, 1]),
        png_chunk(*b"IEND", &[]),
    ]
    .concat()
}

/// A zlib stream that inflates to at least so many zeros, some 160 times as short.
///
/// # Source
/// RFC 1950 and RFC 1951, section 3.2.6: one block of fixed codes, a literal 0 (8 bits 00110000), then lengths of 258
/// (8 bits 11000101) at distance 1 (5 bits 00000), codes from the most significant bit.
pub(crate) fn bomb_of_zeros(bytes: u64) -> Vec<u8> {
    let mut stream = vec![0x78, 0x9c];
    let (mut held, mut count) = (0_u8, 0);
    let mut put = |bits: &str| {
        for bit in bits.bytes() {
            held |= (bit - b'0') << count;
            count += 1;
            if count == 8 {
                stream.push(held);
                (held, count) = (0, 0);
            }
        }
    };
    put("110");
    put("00110000");
    for _ in 0..bytes.div_ceil(258) {
        put("1100010100000");
    }
    put("0000000");
    put("0000000");
    stream
}
