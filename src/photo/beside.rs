//! What a file carries besides its pixels: notes, profiles, Exif. It is counted from the headers, before anything is
//! unpacked or copied.

use super::jpeg;
use super::photo_error::{MOST_NOTE_BYTES, MOST_NOTES, MOST_PROFILE_BYTES, PhotoError};
use image::ImageFormat;
use std::io::Cursor;

/// What a file carries besides its pixels, according to its headers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct FileHeaders {
    /// How many notes; in a JPEG its tables too, each of which takes its decoder some time.
    pub(super) notes: u64,
    /// Their bytes as they are stored.
    pub(super) bytes: u64,
    /// Whether a colour profile is among them, if the headers say so.
    pub(super) profile: bool,
}

impl FileHeaders {
    /// Walks the headers; never reads outside `bytes`.
    pub(super) fn read_from(bytes: &[u8], format: ImageFormat) -> Self {
        match format {
            ImageFormat::Png => png(bytes),
            ImageFormat::WebP => webp(bytes),
            ImageFormat::Jpeg => {
                let facts = jpeg::survey(bytes);
                Self {
                    notes: facts.beside.1 + facts.tables,
                    bytes: facts.beside.0,
                    profile: facts.profile,
                }
            }
            _ => Self::default(),
        }
    }

    /// # Errors
    /// [`PhotoError::TooMuchBeside`].
    pub(super) fn check(&self) -> Result<(), PhotoError> {
        if self.notes > MOST_NOTES || self.bytes > MOST_NOTE_BYTES {
            return Err(PhotoError::TooMuchBeside {
                notes: self.notes,
                bytes: self.bytes,
            });
        }
        Ok(())
    }

    fn add(&mut self, length: u32) {
        self.notes += 1;
        self.bytes += u64::from(length);
    }
}

/// # Source
/// W3C PNG (third edition), sections 5.2 to 5.4: signature, then chunks of length, kind, data, CRC; a small first letter
/// marks a chunk that is not needed for the pixels.
fn png(bytes: &[u8]) -> FileHeaders {
    let mut beside = FileHeaders::default();
    let mut rest = bytes.get(8..).unwrap_or_default();
    while let Some((length, kind)) = header(rest, u32::from_be_bytes) {
        if kind == *b"IEND" {
            break;
        }
        if kind[0].is_ascii_lowercase() {
            beside.add(length);
            beside.profile |= kind == *b"iCCP";
        }
        rest = after(rest, 12, length);
    }
    beside
}

/// # Source
/// Google, "WebP Container Specification" (RFC 9649): "RIFF", size, "WEBP", then chunks of kind, length and data, padded
/// to even lengths.
fn webp(bytes: &[u8]) -> FileHeaders {
    let mut beside = FileHeaders::default();
    let mut rest = bytes.get(12..).unwrap_or_default();
    while let Some((kind, length)) = header(rest, |kind| kind) {
        let length = u32::from_le_bytes(length);
        if !matches!(
            &kind,
            b"VP8 " | b"VP8L" | b"VP8X" | b"ALPH" | b"ANIM" | b"ANMF"
        ) {
            beside.add(length);
            beside.profile |= kind == *b"ICCP";
        }
        rest = after(rest, 8 + (length as usize & 1), length);
    }
    beside
}

/// The two fields of four bytes that a chunk begins with.
fn header<T>(rest: &[u8], first: impl Fn([u8; 4]) -> T) -> Option<(T, [u8; 4])> {
    let one = rest.first_chunk::<4>()?;
    let other = rest.get(4..)?.first_chunk::<4>()?;
    Some((first(*one), *other))
}

/// What follows a chunk of this many bytes with this many around them.
fn after(rest: &[u8], around: usize, length: u32) -> &[u8] {
    let whole = (length as usize).saturating_add(around);
    rest.get(whole..).unwrap_or_default()
}

/// The colour profile of a TIFF. The decoder that reads the pixels would bound it by their number, and so lose it in
/// small pictures.
///
/// # Source
/// ICC.1:2022, annex B.4: tag 34675, type undefined.
pub(super) fn tiff_profile(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut limits = tiff::decoder::Limits::default();
    // The decoder keeps 32 bytes for each byte of a tag.
    limits.decoding_buffer_size = 32 * MOST_PROFILE_BYTES;
    limits.ifd_value_size = MOST_PROFILE_BYTES;
    tiff::decoder::Decoder::new(Cursor::new(bytes))
        .ok()?
        .with_limits(limits)
        .get_tag_u8_vec(tiff::tags::Tag::IccProfile)
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_are_counted_and_lengths_that_lie_end_the_walk() {
        let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
        bytes.extend(*b"\0\0\0\x02tEXtk\0\0\0\0\0");
        bytes.extend(*b"\0\0\0\0IDAT\0\0\0\0");
        bytes.extend(*b"\xff\xff\xff\xffiCCP");
        let beside = FileHeaders::read_from(&bytes, ImageFormat::Png);
        assert_eq!((beside.notes, beside.profile), (2, true));
        assert!(beside.check().is_err());
        let webp = b"RIFF\x20\0\0\0WEBPVP8 \x01\0\0\0v\0EXIF\xff\xff\xff\x7f";
        let beside = FileHeaders::read_from(webp, ImageFormat::WebP);
        assert_eq!((beside.notes, beside.profile), (1, false));
        assert!(beside.check().is_err());
        assert_eq!(
            FileHeaders::read_from(b"\x89PNG", ImageFormat::Png),
            FileHeaders::default()
        );
    }
}
