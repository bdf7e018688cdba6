//! The strips or tiles of a TIFF, looked at before they are decoded: each is a picture of its own, and may claim to be larger
//! than the whole.
//!
//! Source: TIFF 6.0 (1992), sections 3 and 15; its JPEG, Adobe's TIFF Technical Note 2 (1995).

use super::jpeg;
use super::limits::Limits;
use super::photo_error::{MOST_NOTES, PhotoError};
use std::io::Cursor;
use tiff::decoder::{ChunkType, Decoder};
use tiff::tags::{CompressionMethod, Tag};

/// Most tables of codes in one strip or tile; encoders write a handful.
const MOST_TABLES: u64 = 100;

/// Most bytes held of one strip or tile besides the picture; if it is not a readable TIFF, its decoder will say so.
///
/// # Errors
/// [`PhotoError::Damaged`] of strips or tiles that are larger than they may be.
pub(super) fn held(bytes: &[u8], limits: &Limits) -> Result<u64, PhotoError> {
    let Ok(mut file) = Decoder::new(Cursor::new(bytes)) else {
        return Ok(0);
    };
    let damaged = |detail: &str| {
        Err(PhotoError::Damaged {
            detail: detail.to_owned(),
        })
    };
    let (width, height) = file.chunk_dimensions();
    let tiled = file.get_chunk_type() == ChunkType::Tile;
    if tiled && width.max(height) > limits.side {
        return damaged("its tiles are longer than a photo may be");
    }
    let method = file.find_tag_unsigned::<u16>(Tag::Compression).ok();
    if method.flatten() != Some(CompressionMethod::ModernJPEG.to_u16()) {
        return Ok(0);
    }
    let (places, lengths) = if tiled {
        (Tag::TileOffsets, Tag::TileByteCounts)
    } else {
        (Tag::StripOffsets, Tag::StripByteCounts)
    };
    let mut numbers = |tag| file.find_tag_unsigned_vec::<u64>(tag).ok().flatten();
    let (places, lengths) = (numbers(places), numbers(lengths));
    let common = file.get_tag_u8_vec(Tag::JPEGTables).unwrap_or_default();
    let (places, lengths) = (places.unwrap_or_default(), lengths.unwrap_or_default());
    if lengths
        .iter()
        .fold(0, |sum: u64, more| sum.saturating_add(*more))
        > 2 * bytes.len() as u64
    {
        return damaged("many of its strips are the same bytes");
    }
    let mut most = 0;
    let mut tables = MOST_NOTES;
    let parts = places.iter().zip(&lengths).filter_map(|(at, length)| {
        let at = usize::try_from(*at).ok()?;
        let end = at.checked_add(usize::try_from(*length).ok()?)?;
        bytes.get(at..end.min(bytes.len()))
    });
    for part in std::iter::once(common.as_slice()).chain(parts) {
        let facts = jpeg::survey_head(part);
        let [across, down] = facts.size;
        if across > width || down > height {
            return damaged("one of its strips holds a larger picture than it says");
        }
        if facts.tables > tables + MOST_TABLES {
            return damaged("its strips hold more tables than pictures need");
        }
        tables = tables + MOST_TABLES - facts.tables;
        let pixels = u64::from(across) * u64::from(down);
        most = u64::max(
            most,
            pixels * (4 + facts.kept_per_pixel) + 2 * part.len() as u64,
        );
    }
    Ok(most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{GrayImage, ImageFormat};

    /// A grey TIFF in one strip of JPEG, or in one tile: entries of tag, type, count and value, in order.
    fn tiff(side: u16, jpeg: &[u8], tile: Option<u32>) -> Vec<u8> {
        let length = u32::try_from(jpeg.len()).unwrap();
        let side = u32::from(side);
        let mut entries = vec![
            (256, side),
            (257, side),
            (258, 8),
            (259, if tile.is_some() { 1 } else { 7 }),
            (262, 1),
        ];
        match tile {
            Some(tile) => {
                entries.extend([(277, 1), (322, tile), (323, 16), (324, 8), (325, length)]);
            }
            None => entries.extend([(273, 8), (277, 1), (278, side), (279, length)]),
        }
        let mut file = b"II*\0".to_vec();
        file.extend((8 + length).to_le_bytes());
        file.extend(jpeg);
        file.extend(u16::try_from(entries.len()).unwrap().to_le_bytes());
        for (tag, value) in entries {
            file.extend(u16::to_le_bytes(tag));
            file.extend([4, 0, 1, 0, 0, 0]);
            file.extend(u32::to_le_bytes(value));
        }
        file.extend([0; 4]);
        file
    }

    fn jpeg(side: u32) -> Vec<u8> {
        let mut jpeg = Cursor::new(Vec::new());
        GrayImage::new(side, side)
            .write_to(&mut jpeg, ImageFormat::Jpeg)
            .unwrap();
        jpeg.into_inner()
    }

    #[test]
    fn a_tiff_whose_strip_holds_a_larger_jpeg_than_it_tells_is_refused() {
        let limits = Limits::default();
        let sound = jpeg(16);
        let told = held(&tiff(16, &sound, None), &limits).unwrap();
        assert_eq!(told, 4 * 16 * 16 + 2 * sound.len() as u64);
        assert!(super::super::decode::decode(&tiff(16, &sound, None), &limits).is_ok());
        let refused = held(&tiff(16, &jpeg(200), None), &limits).unwrap_err();
        assert!(refused.to_string().contains("larger picture"), "{refused}");
        let wide = held(&tiff(16, &[0; 16], Some(1 << 30)), &limits).unwrap_err();
        assert!(wide.to_string().contains("tiles are longer"), "{wide}");
    }
}
