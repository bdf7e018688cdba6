//! The parts of a HEIC file, counted before its decoder parses or decodes it.
//!
//! A picture may be derived from others, these from others again, and name each of them any number of times (ISO/IEC
//! 23008-12, 6.6.2); a decoder decodes them as often. Phones save one coded picture, or one grid of them; all else is refused.
//! The sizes that count are those in the coded pictures themselves, not those written beside them.

use super::limits::Limits;
use super::photo_error::{MOST_NOTES, PhotoError};
use heifer::heifer_hevc_dec::nal::NalUnit;
use heifer::heifer_hevc_dec::params::Sps;
use heifer::heifer_isobmff::boxes::Property;
use heifer::heifer_isobmff::{BoxIter, HeifFile, ItemId};
use memchr::memmem;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// Most bytes of the boxes that describe the pictures, profiles and notes included: their parser keeps each of them.
const MOST_META_BYTES: usize = 32 << 20;
/// Most bytes of the lists among them: of pictures, places, links, properties and decoder settings. Phones write a few
/// thousand; a hundred megapixels in tiles of 512 take some 20 kB.
const MOST_LIST_BYTES: usize = 256 << 10;
/// Most tiles decoded side by side.
const MOST_THREADS: u64 = 8;

/// What decoding the picture takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct CodedParts {
    /// Width and height according to the file, before it is turned.
    pub(super) size: [u32; 2],
    /// Pixels of the coded pictures, each as often as it is decoded.
    pub(super) pixels: u64,
    /// How many coded pictures are decoded.
    pub(super) count: u64,
    /// Most bytes that are held at once.
    pub(super) need: u64,
    /// How many tiles may be decoded side by side.
    pub(super) threads: usize,
}

/// The picture that is shown, and its mask.
fn shown_and_mask(file: &HeifFile) -> Result<Vec<ItemId>, PhotoError> {
    let mask = mask_of(file, file.primary_id);
    if mask.is_some_and(|mask| mask_of(file, mask).is_some()) {
        return Err(PhotoError::PutTogether {
            found: "masked by pictures that are themselves masked".to_owned(),
        });
    }
    Ok(std::iter::once(file.primary_id).chain(mask).collect())
}

/// Rows of all tiles of a grid together.
fn rows_of(file: &HeifFile, tiles: &[ItemId]) -> u64 {
    let first = tiles.first().and_then(|tile| told_size(file, *tile));
    let height = first.map_or(0, |[_, height]| u64::from(height));
    tiles.len() as u64 * height
}

impl CodedParts {
    /// # Errors
    /// [`PhotoError`] of a picture beyond the limits, in its size or in what it is put together from.
    pub(super) fn check(&self, limits: &Limits) -> Result<(), PhotoError> {
        limits.check_size(self.size[0], self.size[1], self.need)?;
        if self.pixels > limits.pixels {
            return Err(PhotoError::TooManyParts {
                parts: self.count,
                found: self.pixels,
                pixels: limits.pixels,
            });
        }
        Ok(())
    }
}

fn damaged(error: impl std::fmt::Display) -> PhotoError {
    PhotoError::Damaged {
        detail: error.to_string(),
    }
}

/// Bounds the lists of the file before they are parsed.
///
/// # Source
/// ISO/IEC 14496-12, 8.11, and ISO/IEC 23008-12, 9.3: the boxes of pictures, their places and properties.
pub(super) fn lists_within(bytes: &[u8]) -> Result<(), PhotoError> {
    for outer in BoxIter::new(bytes).map_while(Result::ok) {
        let kind = outer.header.box_type.0;
        if matches!(&kind, b"meta" | b"ftyp") && outer.content.len() > MOST_META_BYTES {
            return Err(damaged("its notes and profiles are larger than 32 MB"));
        }
        if kind != *b"meta" {
            continue;
        }
        let mut lists = 0;
        let mut entries = 0;
        let meta = outer.content.get(4..).unwrap_or_default();
        for list in BoxIter::new(meta).map_while(Result::ok) {
            match &list.header.box_type.0 {
                b"iloc" => {
                    lists += list.content.len();
                    entries += places(list.content);
                }
                b"iinf" | b"iref" => lists += list.content.len(),
                b"iprp" => {
                    for inner in BoxIter::new(list.content).map_while(Result::ok) {
                        if inner.header.box_type.0 != *b"ipco" {
                            lists += inner.content.len();
                            continue;
                        }
                        for property in BoxIter::new(inner.content).map_while(Result::ok) {
                            entries += 1;
                            if property.header.box_type.0 == *b"hvcC" {
                                lists += property.content.len();
                            }
                        }
                    }
                }
                _ => {}
            }
        }
        if lists > MOST_LIST_BYTES || entries > MOST_NOTES {
            return Err(damaged("it lists more parts than a photo is made of"));
        }
    }
    Ok(())
}

/// How many places the box `iloc` names. Where its fields are empty, they take no bytes: many are told by few.
///
/// # Source
/// ISO/IEC 14496-12, 8.11.3.
fn places(iloc: &[u8]) -> u64 {
    let mut rest = iloc;
    let mut number = |bytes: u64| {
        let (field, behind) = rest.split_at_checked(usize::try_from(bytes).ok()?)?;
        rest = behind;
        Some(
            field
                .iter()
                .fold(0_u64, |sum, byte| (sum << 8) | u64::from(*byte)),
        )
    };
    let mut sum = 0_u64;
    let mut walk = || {
        let version = number(4)? >> 24;
        let sizes = number(2)?;
        let [offset, length, base, index] = [12, 8, 4, 0].map(|bits| (sizes >> bits) & 15);
        let index = if version == 0 { 0 } else { index };
        let (wide, method) = (
            if version < 2 { 2 } else { 4 },
            if version == 0 { 0 } else { 2 },
        );
        for _ in 0..number(wide)? {
            number(wide + method + 2 + base)?;
            let count = number(2)?;
            sum += count;
            number(count * (index + offset + length))?;
        }
        Some(())
    };
    // A box that ends too soon is refused by its parser; what it tells till then counts.
    let _ = walk();
    sum
}

/// One coded picture: its pixels, and the bytes held while it is decoded.
#[derive(Clone, Copy, Default)]
struct Coded {
    pixels: u64,
    need: u64,
    bytes: u64,
}

/// The size of an item as the property beside it tells, in pixels.
fn told_size(file: &HeifFile, id: ItemId) -> Option<[u32; 2]> {
    let (width, height) = file.image_size(id).ok()??;
    Some([width, height])
}

/// In pixels; a size beyond any picture counts as 2^40, so that sums stay in range.
fn area([width, height]: [u32; 2]) -> u64 {
    (u64::from(width) * u64::from(height)).min(1 << 40)
}

impl Coded {
    /// Reads the sizes in its parameter sets; a size given beside them counts if it is larger.
    ///
    /// # Source
    /// ITU-T H.265 (2021), 7.3.1.2 and table 7-1 (a sequence parameter set is of type 33), annex B.
    fn of_item(file: &HeifFile, id: ItemId) -> Result<(Self, Option<[u32; 2]>), PhotoError> {
        let stream = file.hevc_bitstream(id).map_err(damaged)?;
        let bytes = stream.len() as u64;
        let beside = told_size(file, id);
        let mut coded = Self {
            pixels: beside.map_or(0, area),
            need: beside.map_or(0, |size| 8 * area(size)),
            bytes,
        };
        let mut size = beside;
        for (units, at) in memmem::find_iter(&stream, &[0, 0, 1]).enumerate() {
            if units as u64 > MOST_NOTES {
                return Err(damaged(
                    "a part of it is cut into more pieces than a photo is",
                ));
            }
            let unit = &stream[at + 3..];
            if unit.first().is_none_or(|first| (first >> 1) & 63 != 33) {
                continue;
            }
            let unit = &unit[..memmem::find(unit, &[0, 0, 1]).unwrap_or(unit.len())];
            let Some(set) = NalUnit::parse(unit)
                .ok()
                .and_then(|unit| Sps::parse(&unit.rbsp).ok())
            else {
                continue;
            };
            let pixels = area([
                set.pic_width_in_luma_samples,
                set.pic_height_in_luma_samples,
            ]);
            let (across, down) = set.chroma_subsampling();
            let chroma = if set.chroma_format_idc == 0 {
                0
            } else {
                2 * pixels / u64::from(across * down)
            };
            // Its samples in two bytes, once more while they are filtered or trimmed, and what is kept of each block.
            coded.need = coded.need.max(4 * (pixels + chroma) + 2 * pixels);
            coded.pixels = coded.pixels.max(pixels);
            let (width, height) = set.output_size();
            size.get_or_insert([width, height]);
        }
        // Its bytes are copied twice.
        coded.need += 2 * bytes;
        Ok((coded, size))
    }

    /// What a tile of a grid holds, together with its mask.
    fn of_tile(file: &HeifFile, id: ItemId) -> Result<(Self, Option<[u32; 2]>), PhotoError> {
        let (mut coded, size) = Self::of_item(file, id)?;
        if let Some(mask) = mask_of(file, id) {
            let (mask, _) = Self::of_item(file, mask)?;
            coded.pixels += mask.pixels;
            coded.need += mask.need;
            coded.bytes += mask.bytes;
        }
        Ok((coded, size))
    }
}

/// The tiles of a grid, or the coded picture itself.
fn tiles(file: &HeifFile, id: ItemId) -> Result<Vec<ItemId>, PhotoError> {
    let kind = |id: ItemId| Ok(file.item(id).map_err(damaged)?.item_type.0);
    let refused = |found: &str| {
        Err(PhotoError::PutTogether {
            found: found.to_owned(),
        })
    };
    match &kind(id)? {
        b"hvc1" => Ok(vec![id]),
        b"grid" => {
            let tiles = file.referenced_items(id, b"dimg");
            for tile in tiles {
                if kind(*tile)? != *b"hvc1" {
                    return refused("a grid of pictures that are themselves put together");
                }
            }
            Ok(tiles.to_vec())
        }
        b"iovl" => refused("other pictures laid over each other"),
        b"iden" => refused("another picture, changed"),
        _ => {
            let kind = file.item(id).map_err(damaged)?.item_type;
            refused(&format!("stored in the form '{kind}'"))
        }
    }
}

/// The item that holds the transparency of another.
fn mask_of(file: &HeifFile, id: ItemId) -> Option<ItemId> {
    file.referencing_items(id, b"auxl")
        .into_iter()
        .find(|mask| {
            file.item_properties(*mask).is_ok_and(|mut properties| {
                properties.any(|property| {
                    matches!(property, Property::AuxiliaryType(kind)
                    if kind.ends_with(":auxid:1") || kind.ends_with(":auxiliary:alpha"))
                })
            })
        })
}

impl CodedParts {
    /// Walks from the picture that is shown to all that its decoder decodes for it.
    ///
    /// # Errors
    /// [`PhotoError::PutTogether`] of one that is no single picture and no grid of such, [`PhotoError::Damaged`] where its
    /// parts cannot be found.
    pub(super) fn of_file(
        file: &HeifFile,
        file_bytes: u64,
        limits: &Limits,
    ) -> Result<Self, PhotoError> {
        let primary = file.primary_id;
        let wholes = shown_and_mask(file)?;
        let mut known: HashMap<ItemId, Coded> = HashMap::new();
        let mut size = told_size(file, primary).unwrap_or_default();
        let (mut count, mut pixels, mut read) = (0_u64, 0_u64, 0_u64);
        // Bytes of what is held all the while, and of the largest tile.
        let (mut held, mut largest) = (0_u64, 0_u64);
        for whole in &wholes {
            let parts = tiles(file, *whole)?;
            let is_grid = parts.first() != Some(whole);
            let coded_item = if is_grid {
                Coded::of_tile
            } else {
                Coded::of_item
            };
            if is_grid {
                let grid = file.grid(*whole).map_err(damaged)?;
                let canvas = [grid.output_width, grid.output_height];
                if *whole == primary {
                    size = [size[0].max(canvas[0]), size[1].max(canvas[1])];
                }
                // Four bytes a pixel, and a list of all rows of all tiles, which grows by doubling.
                held += 4 * area(canvas) + 32 * rows_of(file, &parts);
            }
            for part in &parts {
                let coded = match known.entry(*part) {
                    Entry::Occupied(entry) => *entry.get(),
                    Entry::Vacant(entry) => {
                        let (coded, own) = coded_item(file, *part)?;
                        if *part == primary {
                            size = own.unwrap_or_default();
                        }
                        *entry.insert(coded)
                    }
                };
                count += 1;
                pixels += coded.pixels;
                read += coded.bytes;
                if is_grid {
                    largest = largest.max(coded.need);
                } else {
                    held += coded.need;
                }
                if read > 2 * limits.file_bytes {
                    return Err(damaged("many of its parts are the same bytes"));
                }
            }
        }
        let spare = limits.decoded_bytes.saturating_sub(held);
        let threads = (spare / largest.max(1)).clamp(1, MOST_THREADS.min(count.max(1)));
        // Decoded, it is turned or brought to sRGB, and loses its fourth channel: ten bytes a pixel at most.
        let need = (held + threads * largest).max(10 * area(size)) + file_bytes;
        Ok(Self {
            size,
            pixels,
            count,
            need,
            threads: usize::try_from(threads).unwrap_or(1),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::decode::{decode, memory_needed};
    use super::*;

    /// Decoder settings (`hvcC`) and the coded picture of 64 x 64 pixels of one colour, made with libheif 1.23 and x265.
    const SETTINGS: &[u8] = b"\x00\x00\x00\x78\x68\x76\x63\x43\x01\x03\x70\x00\x00\x00\x00\x00\x00\x00\x00\x00\x1e\xf0\x00\xfc\xfd\xf8\xf8\
          \x00\x00\x0f\x03\x20\x00\x01\x00\x18\x40\x01\x0c\x01\xff\xff\x03\x70\x00\x00\x03\x00\x90\x00\x00\x03\x00\x00\
          \x03\x00\x1e\xba\x02\x40\x21\x00\x01\x00\x2b\x42\x01\x01\x03\x70\x00\x00\x03\x00\x90\x00\x00\x03\x00\x00\x03\
          \x00\x1e\xa0\x20\x81\x05\x96\xea\x49\x29\xae\x6e\x04\x04\x0c\x08\x00\x00\x03\x00\x08\x00\x00\x03\x00\x08\x40\
          \x22\x00\x01\x00\x07\x44\x01\xc1\x72\xb0\x22\x40";
    const PICTURE: &[u8] = b"\x00\x00\x00\x15\x28\x01\xaf\x58\xf9\x0e\x92\x5f\xff\xe9\xfe\x7f\xfc\x95\x39\x0e\xe1\xe8\xc6\xc8\x2c";

    fn joined(parts: &[&[u8]]) -> Vec<u8> {
        parts.concat()
    }

    fn boxed(kind: &[u8], content: &[u8]) -> Vec<u8> {
        let size = u32::try_from(content.len() + 8).unwrap().to_be_bytes();
        joined(&[&size, kind, content])
    }

    /// Items of a kind, with their data, the items they are put together from and the side that is told of them.
    type Items<'i> = &'i [(&'i [u8; 4], &'i [u8], Vec<u16>, u32)];

    /// A HEIC file that shows the last of its items, which are numbered from one.
    fn heic(items: Items) -> Vec<u8> {
        let short = |number: usize| u16::try_from(number).unwrap().to_be_bytes();
        let long = |number: usize| u32::try_from(number).unwrap().to_be_bytes();
        let full = |kind: &[u8], content: &[u8]| boxed(kind, &joined(&[&[0; 4], content]));
        let kinds = boxed(b"ftyp", b"heic\0\0\0\0mif1heic");
        let count = short(items.len());
        let meta = |at: usize| {
            let mut at = at;
            let (mut infos, mut places, mut links) = (count.to_vec(), count.to_vec(), Vec::new());
            let (mut own, mut of) = (SETTINGS.to_vec(), long(items.len()).to_vec());
            for (id, (kind, data, from, side)) in (1..).zip(items) {
                let version = [2, 0, 0, 0];
                let info = joined(&[&version, &short(id), &[0; 2], *kind, &[0]]);
                infos.extend(boxed(b"infe", &info));
                places.extend(joined(&[
                    &short(id),
                    &[0, 0, 0, 1],
                    &long(at),
                    &long(data.len()),
                ]));
                at += data.len();
                if !from.is_empty() {
                    let mut link = joined(&[&short(id), &short(from.len())]);
                    link.extend(from.iter().flat_map(|id| id.to_be_bytes()));
                    links.extend(boxed(b"dimg", &link));
                }
                let side = side.to_be_bytes();
                own.extend(full(b"ispe", &joined(&[&side, &side])));
                of.extend(joined(&[
                    &short(id),
                    &[2, 1, u8::try_from(id + 1).unwrap()],
                ]));
            }
            let of = full(b"ipma", &of);
            full(
                b"meta",
                &joined(&[
                    &full(b"hdlr", b"\0\0\0\0pict\0\0\0\0\0\0\0\0\0\0\0\0\0"),
                    &full(b"pitm", &count),
                    &full(b"iloc", &joined(&[&[0x44, 0], &places])),
                    &full(b"iinf", &infos),
                    &full(b"iref", &links),
                    &boxed(b"iprp", &joined(&[&boxed(b"ipco", &own), &of])),
                ]),
            )
        };
        let start = kinds.len() + meta(0).len() + 8;
        let data: Vec<u8> = items.iter().flat_map(|item| item.1.to_vec()).collect();
        joined(&[&kinds, &meta(start), &boxed(b"mdat", &data)])
    }

    fn coded(side: u32) -> (&'static [u8; 4], &'static [u8], Vec<u16>, u32) {
        (b"hvc1", PICTURE, Vec::new(), side)
    }

    /// The data of a grid of this many rows and columns that shows 64 x 64 pixels.
    fn grid(across: u8) -> [u8; 8] {
        [0, 0, across - 1, across - 1, 0, 64, 0, 64]
    }

    fn parts(file: &[u8]) -> CodedParts {
        lists_within(file).unwrap();
        let limits = Limits::default();
        CodedParts::of_file(&HeifFile::parse(file).unwrap(), 0, &limits).unwrap()
    }

    #[test]
    fn a_picture_and_a_grid_of_tiles_as_phones_save_them_are_read() {
        let plain = heic(&[coded(64)]);
        let tiles = heic(&[
            coded(64),
            (b"grid", &[0, 0, 1, 1, 0, 120, 0, 128], vec![1; 4], 120),
        ]);
        for (file, size, count) in [(plain, [64, 64], 1), (tiles, [120, 128], 4)] {
            let read = decode(&file, &Limits::default()).unwrap().value;
            assert_eq!([read.width, read.height], size.map(|side| side as usize));
            assert_eq!((parts(&file).size[0], parts(&file).count), (size[0], count));
        }
    }

    #[test]
    fn a_heic_that_lays_one_picture_over_itself_sixty_thousand_times_is_refused_before_it_is_decoded()
     {
        let mut overlay = vec![0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff, 0, 64, 0, 64];
        overlay.resize(14 + 4 * 60_000, 0);
        let nested: Items = &[
            coded(64),
            (b"grid", &grid(2), vec![1; 4], 64),
            (b"grid", &grid(2), vec![2; 4], 64),
        ];
        for (file, told) in [
            (
                heic(&[coded(64), (b"iovl", &overlay, vec![1; 60_000], 64)]),
                "laid over each other",
            ),
            (heic(nested), "themselves put together"),
            (
                heic(&[coded(64), (b"iden", &[], vec![1], 64)]),
                "another picture, changed",
            ),
            (
                heic(&[(b"av01", &[], Vec::new(), 64)]),
                "in the form 'av01'",
            ),
        ] {
            let refused = decode(&file, &Limits::default()).unwrap_err();
            assert!(
                matches!(refused, PhotoError::PutTogether { .. }),
                "{refused}"
            );
            assert!(refused.to_string().contains(told), "{refused}");
            assert_eq!(memory_needed(&file, &Limits::default()), file.len() as u64);
        }
    }

    #[test]
    fn a_heic_whose_tiles_are_more_than_it_shows_counts_them_all() {
        let file = heic(&[coded(64), (b"grid", &grid(16), vec![1; 256], 64)]);
        assert_eq!(parts(&file).pixels, 256 * 64 * 64);
        let limits = Limits {
            pixels: 1_000_000,
            ..Limits::default()
        };
        let refused = decode(&file, &limits).unwrap_err();
        assert!(
            matches!(refused, PhotoError::TooManyParts { parts: 256, .. }),
            "{refused}"
        );
        assert_eq!(memory_needed(&file, &limits), file.len() as u64);
    }

    #[test]
    fn a_heic_that_tells_a_smaller_size_than_its_picture_has_is_counted_at_its_own() {
        let small = heic(&[coded(8)]);
        assert_eq!(
            (parts(&small).size, parts(&small).pixels),
            ([8, 8], 64 * 64)
        );
        assert!(parts(&small).need >= 8 * 64 * 64);
        // Tiles one pixel wide and very high: the rows of all of them are listed.
        let mut high = heic(&[coded(64), (b"grid", &grid(16), vec![1; 256], 64)]);
        let at = high.windows(4).position(|name| name == b"ispe").unwrap() + 8;
        high[at..at + 8].copy_from_slice(&[0, 0, 0, 1, 0, 1, 0x86, 0xa0]);
        assert!(parts(&high).need > 16 * 256 * 100_000);
        high[at..at + 8].fill(0xff);
        assert!(decode(&high, &Limits::default()).is_err());
    }

    #[test]
    fn a_heic_with_a_few_bytes_that_list_millions_of_places_is_refused() {
        // Version 0, fields of no bytes, 100 items of 65,535 places each.
        let mut list = vec![0, 0, 0, 0, 0, 0, 0, 100];
        list.extend([0, 1, 0, 0, 0xff, 0xff].repeat(100));
        assert_eq!(places(&list), 6_553_500);
        assert_eq!(places(&list[..20]), 2 * 65_535);
        let meta = boxed(b"meta", &joined(&[&[0; 4], &boxed(b"iloc", &list)]));
        let file = joined(&[&boxed(b"ftyp", b"heic\0\0\0\0heic"), &meta]);
        let refused = decode(&file, &Limits::default()).unwrap_err();
        assert!(refused.to_string().contains("more parts"), "{refused}");
    }
}
