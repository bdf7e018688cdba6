//! What a JPEG's markers show before it is decoded: how many colour components, and whether it is whole.

/// Facts read from the marker segments.
///
/// # Source
/// ITU-T T.81 (1992), annex B: marker syntax.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct JpegFacts {
    /// Components of the frame, when its header was found: 1 grey, 3 colour, 4 printing inks.
    pub(super) components: Option<u8>,
    /// True when the end marker was reached.
    pub(super) whole: bool,
    /// Bytes a decoder keeps of each pixel besides the picture itself: the coefficients of one in several passes.
    pub(super) kept_per_pixel: u64,
    /// Width and height of the frame, when its header was found.
    pub(super) size: [u32; 2],
    /// Tables and other segments that are no notes, a table counted for every 17 bytes: none is shorter (B.2.4.2).
    pub(super) tables: u64,
    /// Bytes of its notes and profiles, and how many there are.
    pub(super) beside: (u64, u64),
    /// True when it names a colour profile: a segment APP2 that begins `ICC_PROFILE` (ICC.1:2022, annex B.5).
    pub(super) profile: bool,
    /// Where the picture itself begins: notes and profiles stand before it.
    pub(super) notes_end: usize,
    /// Where the file goes on behind the end marker; its length where it does not.
    pub(super) end: usize,
    /// The mean step to which lightness is rounded, in 8-bit levels, when its table was found.
    pub(super) step: Option<f64>,
}

/// How far the markers of a file are walked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum WalkTo {
    /// The picture itself: quick, and enough to know its frame.
    Picture,
    /// The end marker.
    End,
}

/// Walks all markers; never reads outside `bytes`.
pub(super) fn survey(bytes: &[u8]) -> JpegFacts {
    walk(bytes, WalkTo::End)
}

/// Walks the markers before the picture itself: quick, and enough to know its frame.
pub(super) fn survey_head(bytes: &[u8]) -> JpegFacts {
    walk(bytes, WalkTo::Picture)
}

fn walk(bytes: &[u8], to: WalkTo) -> JpegFacts {
    let mut facts = JpegFacts {
        components: None,
        whole: false,
        kept_per_pixel: 0,
        size: [0; 2],
        tables: 0,
        beside: (0, 0),
        profile: false,
        notes_end: bytes.len(),
        end: bytes.len(),
        step: None,
    };
    let mut at = 2;
    while at + 1 < bytes.len() {
        if bytes[at] != 0xff {
            // Entropy-coded data, or rubbish between segments: go to the next marker.
            let Some(next) = memchr::memchr(0xff, &bytes[at..]) else {
                return facts;
            };
            at += next;
            continue;
        }
        let marker = bytes[at + 1];
        at += 2;
        match marker {
            0xd9 => {
                facts.whole = true;
                facts.end = at;
                return facts;
            }
            // A stuffed zero, a fill byte, restart markers, stand-alone markers.
            0x00 | 0x01 | 0xd0..=0xd8 => {}
            0xff => at -= 1,
            _ => {
                let segment = &bytes[at..];
                let Some(&[high, low]) = segment.first_chunk::<2>() else {
                    return facts;
                };
                let length = usize::from(u16::from_be_bytes([high, low])).max(2);
                if marker == 0xda {
                    facts.notes_end = facts.notes_end.min(at);
                    if to == WalkTo::Picture {
                        return facts;
                    }
                }
                facts.take_segment(marker, segment, length);
                at += length;
            }
        }
    }
    facts
}

impl JpegFacts {
    /// What a segment behind its marker tells; it begins with its length.
    fn take_segment(&mut self, marker: u8, segment: &[u8], length: usize) {
        let frame = matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc);
        if frame && self.components.is_none() {
            self.take_frame(marker, segment);
        }
        if marker == 0xdb && self.step.is_none() {
            self.step = segment.get(2..).and_then(mean_step);
        }
        if matches!(marker, 0xe0..=0xef | 0xfe) {
            self.beside.0 += length as u64;
            self.beside.1 += 1;
            self.profile |= marker == 0xe2
                && segment
                    .get(2..)
                    .is_some_and(|data| data.starts_with(b"ICC_PROFILE\0"));
        } else {
            self.tables += 1 + length as u64 / 17;
        }
    }

    /// Size and components of the first frame.
    fn take_frame(&mut self, marker: u8, frame: &[u8]) {
        self.components = frame.get(7).copied();
        if let Some(&[y, below, x, after]) = frame.get(3..).and_then(|b| b.first_chunk::<4>()) {
            self.size = [[x, after], [y, below]].map(|b| u16::from_be_bytes(b).into());
        }
        if matches!(marker, 0xc2 | 0xc6 | 0xca | 0xce) {
            self.kept_per_pixel = coefficients(frame);
        }
    }
}

/// The mean of a quantisation table of 8-bit steps, the first of its segment; the first of a file is that of lightness.
fn mean_step(table: &[u8]) -> Option<f64> {
    let (kind, steps) = table.split_first()?;
    let steps = steps.get(..64).filter(|_| *kind < 16)?;
    Some(steps.iter().map(|step| f64::from(*step)).sum::<f64>() / 64.0)
}

/// Bytes of coefficients of each pixel, two for each of them; `frame` is a frame header behind its marker.
fn coefficients(frame: &[u8]) -> u64 {
    let sampling: Vec<(u64, u64)> = frame
        .get(8..)
        .unwrap_or_default()
        .chunks_exact(3)
        .take(frame.get(7).copied().unwrap_or(3).into())
        .map(|component| (u64::from(component[1] >> 4), u64::from(component[1] & 15)))
        .collect();
    let most = |of: fn(&(u64, u64)) -> u64| sampling.iter().map(of).max().unwrap_or(1).max(1);
    let whole = most(|s| s.0) * most(|s| s.1);
    let sum: u64 = sampling.iter().map(|(across, down)| across * down).sum();
    (2 * sum).div_ceil(whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_end_marker_inside_a_segment_does_not_end_the_file() {
        // SOI, APP1 of length 6 that holds FF D9, frame header with 3 components, cut off.
        let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1, 0, 6, 0xff, 0xd9, 0, 0];
        bytes.extend([0xff, 0xc0, 0, 11, 8, 0, 1, 0, 1, 3, 1, 0x11, 0]);
        let facts = survey(&bytes);
        assert_eq!(facts.components, Some(3));
        assert!(!facts.whole && facts.kept_per_pixel == 0);
        assert_eq!(facts.beside, (6, 1));
        bytes.extend([0xff, 0xd9]);
        assert!(survey(&bytes).whole);
        bytes.splice(
            bytes.len() - 2..,
            [0xff, 0xda, 0, 2, 1, 0xff, 0xfe, 0, 4, 0, 0, 0xff, 0xd9],
        );
        assert_eq!(survey(&bytes).beside, (10, 2));
        let head = survey_head(&bytes);
        assert_eq!(
            (head.components, head.beside, head.whole),
            (Some(3), (6, 1), false)
        );
    }

    #[test]
    fn what_is_kept_of_a_picture_in_passes_follows_its_sampling() {
        // Three components, the first at 2 x 2: one and a half coefficients a pixel.
        let frame = [
            0, 17, 8, 0, 16, 0, 16, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1,
        ];
        assert_eq!(coefficients(&frame), 3);
        assert_eq!(coefficients(&frame[..9]), 0);
    }
}
