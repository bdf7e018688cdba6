//! What phones and chats do to pictures: they attach films, stitch panoramas, make small copies.

use super::jpeg::JpegFacts;
use super::photo_error::PhotoWarning;
use super::picture::Picture;
use super::profile::ProfileUsed;

/// A picture at least this many times longer than high counts as a panorama. Our choice: the longest single shots are
/// 16:9.
const PANORAMA_FROM: f64 = 2.5;
/// Pictures passed on in chats are at most so long, pixels. Our choice.
const PASSED_ON_TO: usize = 2048;
/// They are rounded at least to such a step, 8-bit levels: ITU-T T.81 (1992), table K.1, at three tenths, which common
/// encoders call quality 85. Our choice.
const PASSED_ON_STEP: f64 = 17.0;

/// What phones and chats do to pictures. `facts` are those of a JPEG.
pub(super) fn made_by_phones(
    bytes: &[u8],
    facts: Option<&JpegFacts>,
    picture: &Picture,
) -> Vec<PhotoWarning> {
    let mut warnings = Vec::new();
    let long = picture.width.max(picture.height);
    let short = picture.width.min(picture.height).max(1);
    #[expect(clippy::cast_precision_loss, reason = "sides in pixels")]
    let stretched = long as f64 / short as f64 >= PANORAMA_FROM;
    let notes = facts.map_or(&[][..], |facts| {
        bytes.get(..facts.notes_end).unwrap_or_default()
    });
    let noted = |what: &str| memchr::memmem::find(notes, what.as_bytes()).is_some();
    if stretched || noted("GPano:") {
        warnings.push(PhotoWarning::Panorama);
    }
    let film = facts.map_or_else(
        || has_box(bytes, *b"mpvd"),
        |facts| {
            let behind = bytes.get(facts.end..).unwrap_or_default();
            memchr::memmem::find(behind, b"ftyp").is_some()
        },
    );
    if film {
        warnings.push(PhotoWarning::ShortFilm);
    }
    let coarse = facts
        .and_then(|facts| facts.step)
        .is_some_and(|step| step >= PASSED_ON_STEP);
    let bare = picture.profile == ProfileUsed::Assumed && !noted("Exif\0");
    if coarse && bare && long <= PASSED_ON_TO {
        warnings.push(PhotoWarning::PassedOn);
    }
    warnings
}

/// Whether a file of boxes holds one of this kind at its top: there phones put the film of a picture that moves.
///
/// # Source
/// ISO/IEC 14496-12: size and kind in four bytes each; a size of 1 is followed by one in eight bytes, 0 reaches to the end.
fn has_box(bytes: &[u8], wanted: [u8; 4]) -> bool {
    let mut rest = bytes;
    while let (Some(size), Some(kind)) = (rest.first_chunk::<4>(), rest.get(4..8)) {
        if kind == wanted {
            return true;
        }
        let size = match (u32::from_be_bytes(*size), rest.get(8..16)) {
            (1, Some(long)) => long.iter().fold(0_u64, |all, b| all << 8 | u64::from(*b)),
            (size, _) => u64::from(size),
        };
        let Some(next) = usize::try_from(size).ok().filter(|size| *size >= 8) else {
            return false;
        };
        rest = rest.get(next..).unwrap_or_default();
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_film_is_found_at_the_top_of_a_file_of_boxes() {
        let mut file = b"\0\0\0\x0cftypheic".to_vec();
        assert!(!has_box(&file, *b"mpvd"));
        file.extend(b"\0\0\0\x01meta\0\0\0\0\0\0\0\x14mpvd");
        assert!(!has_box(&file, *b"mpvd"), "within another box");
        file.extend(b"\0\0\0\x08mpvd");
        assert!(has_box(&file, *b"mpvd"));
        assert!(!has_box(b"\0\0\0\0mpvx", *b"mpvd"));
    }
}
