//! What kind of file the bytes are, by content.

use image::ImageFormat;

/// A kind of picture that is recognised and not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsupported {
    /// AVIF.
    Avif,
    /// JPEG XL.
    JpegXl,
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
            Self::CameraRaw => "a camera raw file",
            Self::Svg => "an SVG drawing",
            Self::Pdf => "a PDF document",
        }
    }

    /// How to get a file that can be read.
    #[must_use]
    pub fn advice(self) -> &'static str {
        match self {
            Self::Avif | Self::JpegXl => {
                "open it in an image viewer or a browser and save it as PNG or JPEG"
            }
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
pub(super) enum Kind {
    Read(ImageFormat),
    /// HEIC or HEIF, which most phones store.
    Heic,
    Refuse(Unsupported),
    Unknown,
}

/// Looks at the first bytes.
pub(super) fn kind_of(bytes: &[u8]) -> Kind {
    let starts = |magic: &[u8]| bytes.starts_with(magic);
    if bytes.get(4..8) == Some(b"ftyp") {
        let brands = bytes.get(8..bytes.len().min(64)).unwrap_or_default();
        let has = |wanted: &[&[u8]]| brands.chunks(4).any(|brand| wanted.contains(&brand));
        if has(&[b"avif", b"avis"]) {
            return Kind::Refuse(Unsupported::Avif);
        }
        if has(&[
            b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1",
        ]) {
            return Kind::Heic;
        }
        if has(&[b"crx "]) {
            return Kind::Refuse(Unsupported::CameraRaw);
        }
    }
    if starts(b"\xff\x0a") || starts(b"\0\0\0\x0cJXL ") {
        return Kind::Refuse(Unsupported::JpegXl);
    }
    if starts(b"FUJIFILMCCD-RAW")
        || starts(b"IIRO")
        || starts(b"IIU\0")
        || starts(b"\0MRM")
        || starts(b"FOVb")
    {
        return Kind::Refuse(Unsupported::CameraRaw);
    }
    if starts(b"II*\0") && bytes.get(8..10) == Some(b"CR") {
        return Kind::Refuse(Unsupported::CameraRaw);
    }
    if starts(b"%PDF") {
        return Kind::Refuse(Unsupported::Pdf);
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
        return Kind::Read(format);
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(512)]);
    if head.contains("<svg") {
        return Kind::Refuse(Unsupported::Svg);
    }
    Kind::Unknown
}
