//! What a JPEG's markers tell before it is decoded: how many colour components, and whether it is whole.

/// Facts read from the marker segments.
///
/// # Source
/// ITU-T T.81 (1992), annex B: marker syntax.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct JpegFacts {
    /// Components of the frame, when its header was found: 1 grey, 3 colour, 4 printing inks.
    pub(super) components: Option<u8>,
    /// True when the end marker was reached.
    pub(super) whole: bool,
}

/// Walks the markers; never reads outside `bytes`.
pub(super) fn survey(bytes: &[u8]) -> JpegFacts {
    let mut facts = JpegFacts {
        components: None,
        whole: false,
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
                return facts;
            }
            // A stuffed zero, a fill byte, restart markers, stand-alone markers.
            0x00 | 0x01 | 0xd0..=0xd8 => {}
            0xff => at -= 1,
            _ => {
                let Some(&[high, low]) = bytes.get(at..at + 2).and_then(|b| b.first_chunk::<2>())
                else {
                    return facts;
                };
                let frame = matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc);
                if frame && facts.components.is_none() {
                    facts.components = bytes.get(at + 7).copied();
                }
                at += usize::from(u16::from_be_bytes([high, low])).max(2);
            }
        }
    }
    facts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_end_marker_inside_a_segment_does_not_end_the_file() {
        // SOI, APP1 of length 6 that holds FF D9, frame header with 3 components, cut off.
        let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1, 0, 6, 0xff, 0xd9, 0, 0];
        bytes.extend([0xff, 0xc0, 0, 11, 8, 0, 1, 0, 1, 3, 1, 0x11, 0]);
        assert_eq!(
            survey(&bytes),
            JpegFacts {
                components: Some(3),
                whole: false
            }
        );
        bytes.extend([0xff, 0xd9]);
        assert!(survey(&bytes).whole);
    }
}
