//! The kind of a file, by its content.
//!
//! The first bytes: JPEG 2000, ISO/IEC 15444-1 annexes A and I; films, ISO/IEC 14496-12 (`ftyp`) and RFC 8794 (EBML); zip,
//! its APPNOTE 4.3.7; the others from memory.

use image::ImageFormat;

/// A kind of picture that is recognised and not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsupported {
    /// AVIF.
    Avif,
    /// JPEG XL.
    JpegXl,
    /// JPEG 2000.
    Jpeg2000,
    /// A film.
    Film,
    /// A picture in layers, as image editors keep it.
    Layered,
    /// A page saved from the web under a picture's name.
    WebPage,
    /// A zip archive, or a document that is one inside.
    Archive,
    /// A camera's raw file.
    CameraRaw,
    /// A drawing in SVG.
    Svg,
    /// PDF.
    Pdf,
}

impl Unsupported {
    /// The name users know.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Avif => "an AVIF picture",
            Self::JpegXl => "a JPEG XL picture",
            Self::Jpeg2000 => "a JPEG 2000 picture",
            Self::Film => "a film",
            Self::Layered => "an image editor's picture in layers (PSD)",
            Self::WebPage => "a web page",
            Self::Archive => "a zip archive or an office document",
            Self::CameraRaw => "a camera raw file",
            Self::Svg => "an SVG drawing",
            Self::Pdf => "a PDF document",
        }
    }

    /// How to get a file that can be read.
    #[must_use]
    pub fn advice(self) -> &'static str {
        match self {
            Self::Avif | Self::JpegXl | Self::Jpeg2000 => {
                "open it in an image viewer or a browser and save it as PNG or JPEG"
            }
            Self::Film => "stop it where the surface is sharp, and save that frame as PNG or JPEG",
            Self::Layered => "export it from the image editor as PNG, TIFF or JPEG, in sRGB",
            Self::WebPage => "open it in a browser and save the picture on it, not the page",
            Self::Archive => "take the photos out of it, and give those",
            Self::CameraRaw => {
                "develop it in a raw converter and export a 16-bit TIFF or PNG, or a JPEG, in sRGB"
            }
            Self::Svg | Self::Pdf => {
                "give a photograph: JPEG, PNG, TIFF, WebP, HEIC, GIF, BMP or QOI"
            }
        }
    }
}

/// What to do with the bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Handling {
    Read(ImageFormat),
    /// HEIC or HEIF, which most phones store.
    Heic,
    Refuse(Unsupported),
    Unknown,
}

/// How files begin that are known and not read.
const BEGINNINGS: [(&[u8], Unsupported); 13] = [
    (b"\0\0\0\x0cjP  ", Unsupported::Jpeg2000),
    (b"\xff\x4f\xff\x51", Unsupported::Jpeg2000),
    (b"\x1a\x45\xdf\xa3", Unsupported::Film),
    (b"8BPS", Unsupported::Layered),
    (b"PK\x03\x04", Unsupported::Archive),
    (b"\xff\x0a", Unsupported::JpegXl),
    (b"\0\0\0\x0cJXL ", Unsupported::JpegXl),
    (b"FUJIFILMCCD-RAW", Unsupported::CameraRaw),
    (b"IIRO", Unsupported::CameraRaw),
    (b"IIU\0", Unsupported::CameraRaw),
    (b"\0MRM", Unsupported::CameraRaw),
    (b"FOVb", Unsupported::CameraRaw),
    (b"%PDF", Unsupported::Pdf),
];

/// A file in boxes, by the brands it is of: HEIC, or what is not read.
fn kind_of_boxes(bytes: &[u8]) -> Handling {
    let brands = bytes.get(8..bytes.len().min(64)).unwrap_or_default();
    let has = |wanted: &[&[u8]]| brands.chunks(4).any(|brand| wanted.contains(&brand));
    if has(&[b"avif", b"avis"]) {
        Handling::Refuse(Unsupported::Avif)
    } else if has(&[
        b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1",
    ]) {
        Handling::Heic
    } else if has(&[b"crx "]) {
        Handling::Refuse(Unsupported::CameraRaw)
    } else {
        Handling::Refuse(Unsupported::Film)
    }
}

/// Looks at the first bytes.
pub(super) fn kind_of(bytes: &[u8]) -> Handling {
    if bytes.get(4..8) == Some(b"ftyp") {
        return kind_of_boxes(bytes);
    }
    let known = BEGINNINGS
        .iter()
        .find(|(magic, _)| bytes.starts_with(magic));
    if let Some((_, kind)) = known {
        return Handling::Refuse(*kind);
    }
    if bytes.starts_with(b"II*\0") && bytes.get(8..10) == Some(b"CR") {
        return Handling::Refuse(Unsupported::CameraRaw);
    }
    if let Ok(format) = image::guess_format(bytes)
        && matches!(
            format,
            ImageFormat::Jpeg
                | ImageFormat::Png
                | ImageFormat::Tiff
                | ImageFormat::WebP
                | ImageFormat::Gif
                | ImageFormat::Bmp
                | ImageFormat::Qoi
        )
    {
        return Handling::Read(format);
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(512)]);
    let small = head
        .trim_start_matches('\u{feff}')
        .trim_start()
        .to_lowercase();
    if small.starts_with("<!doctype html") || small.starts_with("<html") {
        return Handling::Refuse(Unsupported::WebPage);
    }
    if small.contains("<svg") {
        return Handling::Refuse(Unsupported::Svg);
    }
    Handling::Unknown
}
