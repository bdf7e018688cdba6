//! One picture, many files.

use super::{bytes, read};
use hillwash::colour::{LabD65, delta_e00};
use hillwash::photo::{
    Damage, KnownLight, Limits, PhotoError, PhotoWarning, Picture, decode, memory_needed, too_large,
};
use hillwash::region::{Outline, Region};
use hillwash::tones::{Count, Tones, bins_of, tones_of};

/// Left, top, right, bottom of four parts of the upright picture: sky, crag, autumn trees, grass.
const PARTS: [(&str, [f64; 4]); 4] = [
    ("sky", [0.30, 0.02, 0.60, 0.08]),
    ("crag", [0.45, 0.20, 0.75, 0.28]),
    ("trees", [0.10, 0.40, 0.30, 0.52]),
    ("grass", [0.10, 0.75, 0.90, 0.95]),
];

/// The files promise the same picture to about 1.5 codes a channel; this is that as a colour difference of a mean.
const SAME_MEAN: f64 = 1.0;
/// Tones of the same picture, by the acceptance of the photo work.
const SAME_TONES: f64 = 0.5;

/// The rounded constants of Oklab leave a grey this much chroma.
const NO_CHROMA: f64 = 1e-4;

fn part([l, t, r, b]: [f64; 4]) -> Region {
    Region {
        outline: Outline::new(vec![[l, t], [r, t], [r, b], [l, b]]).unwrap(),
        leave_out: Vec::new(),
    }
}

fn mean(picture: &Picture, region: &Region) -> LabD65 {
    tones_of(picture, region, Count::Exactly(1)).unwrap().tones[0].colour
}

/// The largest difference of a part's mean from the reference's.
fn worst_mean(picture: &Picture, reference: &Picture) -> (f64, &'static str) {
    PARTS
        .iter()
        .map(|(name, bounds)| {
            let region = part(*bounds);
            (
                delta_e00(mean(picture, &region), mean(reference, &region)).0,
                *name,
            )
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap()
}

fn tones(picture: &Picture) -> Tones {
    tones_of(picture, &Region::whole(), Count::Exactly(5)).unwrap()
}

/// The largest distance of a tone from the nearest of the other picture's.
fn worst_tone(picture: &Picture, reference: &Picture) -> f64 {
    let (ours, theirs) = (tones(picture), tones(reference));
    ours.tones
        .iter()
        .map(|tone| {
            theirs
                .tones
                .iter()
                .map(|other| delta_e00(tone.colour, other.colour).0)
                .fold(f64::INFINITY, f64::min)
        })
        .fold(0.0, f64::max)
}

#[test]
fn one_picture_gives_the_same_tones_from_every_file() {
    let reference = read("00-reference.png").unwrap().value;
    let same = [
        "exif-orientation-2.jpg",
        "exif-orientation-3.jpg",
        "exif-orientation-4.jpg",
        "exif-orientation-5.jpg",
        "exif-orientation-6.jpg",
        "exif-orientation-7.jpg",
        "exif-orientation-8.jpg",
        "exif-orientation-6.png",
        "icc-display-p3.jpg",
        "icc-display-p3.png",
        "icc-adobe-rgb.jpg",
        "exif-adobe-rgb-no-icc.jpg",
        "icc-broken.jpg",
        "progressive.jpg",
    ];
    let mut failed = Vec::new();
    for name in same {
        let picture = read(name).unwrap_or_else(|e| panic!("{name}: {e}")).value;
        assert_eq!(
            (picture.width, picture.height),
            (reference.width, reference.height),
            "{name}"
        );
        let (worst, part) = worst_mean(&picture, &reference);
        let tone = worst_tone(&picture, &reference);
        println!("{name:<28} means {worst:.2} ({part})  tones {tone:.2}");
        if worst > SAME_MEAN || tone > SAME_TONES {
            failed.push(name);
        }
    }
    assert!(failed.is_empty(), "{failed:?}");
}

#[test]
fn smaller_copies_and_stronger_compression_keep_the_means() {
    let reference = read("00-reference.png").unwrap().value;
    for name in [
        "progressive-420-q60.jpg",
        "rgb-16bit.png",
        "rgb-16bit-lzw.tif",
        "photo.bmp",
        "jpeg-in-tiff.tif",
        "really-a-png.jpg",
        "animated-3-frames.gif",
        "lossy.webp",
        "palette-256.png",
    ] {
        let Ok(read) = read(name) else {
            // A TIFF that holds JPEG may be refused, but not read wrong.
            assert_eq!(name, "jpeg-in-tiff.tif");
            continue;
        };
        let (worst, part) = worst_mean(&read.value, &reference);
        println!("{name:<28} means {worst:.2} ({part})");
        assert!(worst < 1.5, "{name}: {part} off by {worst}");
    }
}

#[test]
fn sixteen_bits_are_kept() {
    let picture = read("rgb-16bit.png").unwrap().value;
    assert!(matches!(
        picture.samples,
        hillwash::photo::Samples::Rgb16(_)
    ));
}

#[test]
fn grey_pictures_stay_grey() {
    for name in [
        "grey-8bit.jpg",
        "grey-8bit.png",
        "grey-16bit.png",
        "grey-brick-texture.png",
    ] {
        let mut read = read(name).unwrap();
        assert!(read.warnings.contains(&PhotoWarning::Grey), "{name}");
        read.value.correct(&KnownLight::Estimate).unwrap();
        for tone in tones(&read.value).tones {
            assert!(
                tone.colour.chroma() < NO_CHROMA,
                "{name}: {:?}",
                tone.colour
            );
        }
    }
}

#[test]
fn a_sepia_print_keeps_its_lightness_and_gets_no_colour() {
    // Drawn: the reference's luminance, tinted as a smooth function of lightness.
    let reference = read("00-reference.png").unwrap().value;
    let hillwash::photo::Samples::Rgb8(rgb) = &reference.samples else {
        panic!("8 bits")
    };
    let toned: Vec<u8> = rgb
        .chunks_exact(3)
        .flat_map(|p| {
            let y = (u32::from(p[0]) * 299 + u32::from(p[1]) * 587 + u32::from(p[2]) * 114) / 1000;
            let tint = |full: u32| u8::try_from(y * full / 255).unwrap();
            [tint(255), tint(232), tint(196)]
        })
        .collect();
    let mut picture = Picture::from_srgb8(reference.width, reference.height, toned).unwrap();
    picture.correct(&KnownLight::Nothing).unwrap();
    for tone in tones(&picture).tones {
        assert!(tone.colour.chroma() < NO_CHROMA, "{:?}", tone.colour);
    }
}

#[test]
fn a_colour_photo_is_not_taken_for_grey() {
    let mut picture = read("00-reference.png").unwrap().value;
    picture.correct(&KnownLight::Nothing).unwrap();
    assert!(
        tones(&picture)
            .tones
            .iter()
            .any(|tone| tone.colour.chroma() > 10.0)
    );
}

#[test]
fn hidden_colours_of_clear_pixels_reach_no_tone() {
    let picture = read("alpha-sky-cut-out.png").unwrap();
    assert!(picture.warnings.contains(&PhotoWarning::Transparency));
    // Magenta has a chroma of 115; nothing in the picture comes near half of that.
    for bin in bins_of(&picture.value, &Region::whole()).bins {
        let colour = LabD65::from(bin.light);
        assert!(colour.chroma() < 60.0, "{colour:?}");
    }
}

#[test]
fn only_the_first_frame_of_an_animation_counts() {
    let picture = read("animated-3-frames.gif").unwrap();
    assert!(picture.warnings.contains(&PhotoWarning::FirstFrame));
    for (name, code) in [("magenta", [255, 0, 255]), ("cyan", [0, 255, 255])] {
        let strange = LabD65::from(hillwash::colour::Srgb8(code));
        for tone in tones(&picture.value).tones {
            assert!(delta_e00(tone.colour, strange).0 > 20.0, "{name}");
        }
    }
}

#[test]
fn one_pixel_is_a_palette_of_one() {
    let picture = read("one-pixel.png").unwrap().value;
    let tones = tones_of(&picture, &Region::whole(), Count::Chosen)
        .unwrap()
        .tones;
    assert_eq!(tones.len(), 1);
    assert_eq!(tones[0].colour.to_srgb8().0, [139, 69, 19]);
}

/// A JPEG of the sample picture, `width` pixels across, as common encoders write quality `quality`.
fn saved(width: u32, height: u32, quality: u8) -> Vec<u8> {
    let picture = image::load_from_memory(&bytes("00-reference.png")).unwrap();
    let small = picture.resize_exact(width, height, image::imageops::FilterType::Triangle);
    let mut file = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, quality)
        .encode_image(&small.into_rgb8())
        .unwrap();
    file
}

#[test]
fn what_phones_and_chats_do_to_pictures_is_told() {
    let warnings = |file: &[u8]| decode(file, &Limits::default()).unwrap().warnings;
    let plain = saved(320, 240, 92);
    assert_eq!(warnings(&plain), []);
    assert_eq!(warnings(&saved(320, 240, 70)), [PhotoWarning::PassedOn]);
    assert_eq!(warnings(&saved(640, 200, 92)), [PhotoWarning::Panorama]);
    // ISO/IEC 14496-12: a film begins with a box of the kind "ftyp".
    let film = [&plain[..], b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom"].concat();
    assert_eq!(warnings(&film), [PhotoWarning::ShortFilm]);
    // A second picture behind the first, as cameras put it, is no film.
    assert_eq!(warnings(&[&plain[..], &plain[..]].concat()), []);
}

#[test]
fn profiles_that_are_broken_or_only_named_are_warned_about() {
    let warned =
        |name: &str, warning: PhotoWarning| read(name).unwrap().warnings.contains(&warning);
    assert!(warned("icc-broken.jpg", PhotoWarning::ProfileUnusable));
    assert!(warned(
        "exif-adobe-rgb-no-icc.jpg",
        PhotoWarning::SpaceUnknown
    ));
}

#[test]
fn what_cannot_be_read_is_refused_by_its_name() {
    let refused = |name: &str| read(name).map(|_| ()).unwrap_err();
    assert_eq!(
        refused("cmyk-no-profile-adobe-inverted.jpg"),
        PhotoError::PrintingInks
    );
    assert_eq!(refused("empty.jpg"), PhotoError::Empty);
    assert_eq!(refused("text-not-a-picture.jpg"), PhotoError::NotAPicture);
    let huge = refused("huge-header-60000x60000.png").to_string();
    assert!(
        huge.contains("60000 x 60000") && huge.contains("20000"),
        "{huge}"
    );
}

#[test]
fn formats_that_are_not_read_are_refused_with_advice_that_works() {
    use hillwash::problem::Explain;
    let error = read("photo.avif").map(|_| ()).unwrap_err();
    assert!(matches!(error, PhotoError::Unsupported(_)), "{error}");
    assert!(error.hint().is_some_and(|hint| hint.contains("JPEG")));
}

#[test]
fn photos_as_phones_save_them_are_read() {
    let reference = read("00-reference.png").unwrap().value;
    for name in ["photo.heic", "icc-display-p3.heic"] {
        let picture = read(name).unwrap_or_else(|e| panic!("{name}: {e}")).value;
        let (worst, part) = worst_mean(&picture, &reference);
        println!("{name:<28} means {worst:.2} ({part})");
        assert!(worst < 1.5, "{name}: {part} off by {worst}");
    }
    let whole = bytes("photo.heic");
    for end in [20, 400, whole.len() / 2] {
        let cut = decode(&whole[..end], &Limits::default());
        assert!(cut.is_err(), "cut at {end}");
    }
}

#[test]
fn a_heic_that_is_too_large_is_told_by_its_header() {
    let limits = Limits::default();
    let mut heic = bytes("photo.heic");
    assert_eq!(too_large(&heic, &limits), None);
    assert!(memory_needed(&heic, &limits) > heic.len() as u64 + 3 * 640 * 426);
    // ISO/IEC 14496-12 and 23008-12, 6.5.3: the box `ispe` holds version and flags, width, height.
    let at = heic.windows(4).position(|name| name == b"ispe").unwrap() + 8;
    heic[at..at + 4].copy_from_slice(&20_000_u32.to_be_bytes());
    heic[at + 4..at + 8].copy_from_slice(&15_000_u32.to_be_bytes());
    assert_eq!(too_large(&heic, &limits), Some([20_000, 15_000]));
    assert_eq!(memory_needed(&heic, &limits), heic.len() as u64);
    assert!(decode(&heic, &limits).is_err());
}

#[test]
fn a_file_that_is_cut_short_is_refused() {
    for name in [
        "truncated-baseline-60pc.jpg",
        "truncated-progressive-55pc.jpg",
        "truncated-header-200b.jpg",
    ] {
        assert_eq!(
            read(name).map(|_| ()).unwrap_err(),
            PhotoError::CutShort,
            "{name}"
        );
    }
    let png = bytes("00-reference.png");
    assert!(decode(&png[..png.len() / 2], &Limits::default()).is_err());
}

#[test]
fn the_readable_rows_of_a_cut_jpeg_are_used_when_asked() {
    let limits = Limits {
        damage: Damage::ReadableRows,
        ..Limits::default()
    };
    let reference = read("00-reference.png").unwrap().value;
    let read = decode(&bytes("truncated-baseline-60pc.jpg"), &limits).unwrap();
    let Some(PhotoWarning::CutShort { rows, of }) = read.warnings.first() else {
        panic!("{:?}", read.warnings)
    };
    assert_eq!(*of, reference.height);
    assert_eq!(*rows, read.value.height);
    assert!(
        (200..300).contains(rows),
        "60 % of the bytes hold about 60 % of 426 rows: {rows}"
    );
    // The crag lies within the rows that are left: the same part of it, by rows of the whole picture.
    let share = reference.height as f64 / read.value.height as f64;
    let there = part([0.45, 0.20 * share, 0.75, 0.28 * share]);
    let off = delta_e00(
        mean(&read.value, &there),
        mean(&reference, &part([0.45, 0.20, 0.75, 0.28])),
    )
    .0;
    assert!(off < SAME_MEAN, "{off}");
}
