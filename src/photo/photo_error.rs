//! Why a photo cannot be read, what is doubtful about one that was, and the limits that such words name.

use super::kind::Unsupported;
use crate::problem::Explain;
use serde::{Deserialize, Serialize};

/// Most notes, profiles, tables and the like in one file. Our choice, far beyond what cameras and editors write.
pub(super) const MOST_NOTES: u64 = 10_000;
/// Most bytes of them together, inflated. Our choice.
pub(super) const MOST_NOTE_BYTES: u64 = 32 << 20;
/// Most bytes of a colour profile. The largest in use, for printing presses, take a few megabytes.
pub(super) const MOST_PROFILE_BYTES: usize = 8 << 20;

/// Why a photo cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PhotoError {
    /// No bytes.
    #[error("found an empty file, expected a photo")]
    Empty,
    /// More bytes than the limit.
    #[error("found a file of {found} bytes, expected at most {limit}")]
    FileTooLarge {
        /// Its size.
        found: u64,
        /// The limit.
        limit: u64,
    },
    /// Recognised, not read.
    #[error("found {}, expected JPEG, PNG, TIFF, WebP, HEIC, GIF, BMP or QOI", .0.name())]
    Unsupported(Unsupported),
    /// Not recognised at all.
    #[error("found no picture in it, expected JPEG, PNG, TIFF, WebP, HEIC, GIF, BMP or QOI")]
    NotAPicture,
    /// A header beyond the limits.
    #[error(
        "found a picture of {width} x {height} pixels, expected at most {side} a side and {pixels} in all"
    )]
    TooManyPixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// Limit of a side.
        side: u32,
        /// Limit of all.
        pixels: u64,
    },
    /// A picture that takes too much while it is decoded.
    #[error("found a picture that takes {} MB while it is read, expected at most {}", .need >> 20, .limit >> 20)]
    TooMuchMemory {
        /// Bytes it takes.
        need: u64,
        /// The limit.
        limit: u64,
    },
    /// A picture whose parts are more than it shows.
    #[error(
        "found a picture made of {parts} parts of {found} pixels in all, expected at most {pixels}"
    )]
    TooManyParts {
        /// Parts, each as often as it is used.
        parts: u64,
        /// Their pixels.
        found: u64,
        /// Limit of all.
        pixels: u64,
    },
    /// A HEIC file that is not as phones save it.
    #[error(
        "found a HEIC file whose picture is {found}, expected one picture or one grid of tiles, as phones save it"
    )]
    PutTogether {
        /// What its picture is.
        found: String,
    },
    /// More besides the picture than any camera or editor writes.
    #[error("found {notes} notes or tables, with {} bytes of notes, beside the picture, expected at most {MOST_NOTES} and {} MB", .bytes, MOST_NOTE_BYTES >> 20)]
    TooMuchBeside {
        /// Notes, profiles, tables and the like.
        notes: u64,
        /// Their bytes.
        bytes: u64,
    },
    /// Four printing inks.
    #[error("found a JPEG in four printing inks (CMYK), expected red, green and blue")]
    PrintingInks,
    /// The file ends too soon.
    #[error("found a file that is cut short, expected a whole picture")]
    CutShort,
    /// Damaged some other way.
    #[error("found a damaged picture ({detail}), expected one that can be read")]
    Damaged {
        /// The decoder's words.
        detail: String,
    },
}

impl Explain for PhotoError {
    fn hint(&self) -> Option<String> {
        Some(match self {
            Self::Empty | Self::CutShort => "copy it again from the camera or phone".to_owned(),
            Self::TooMuchBeside { .. } => {
                "save a copy without its notes (metadata) from an image editor".to_owned()
            }
            Self::FileTooLarge { .. }
            | Self::TooManyPixels { .. }
            | Self::TooMuchMemory { .. } => {
                "save a smaller copy (4000 pixels on the long side are plenty for colours), or raise the limit with --megapixels"
                    .to_owned()
            }
            Self::TooManyParts { .. } | Self::PutTogether { .. } => {
                "open it in an image viewer and save it as JPEG".to_owned()
            }
            Self::Unsupported(kind) => kind.advice().to_owned(),
            Self::NotAPicture => "give a photograph".to_owned(),
            Self::PrintingInks => {
                "open it in an image editor, convert it to sRGB and save it as JPEG or PNG"
                    .to_owned()
            }
            Self::Damaged { .. } => {
                "open it in an image viewer and save it again, or copy it again".to_owned()
            }
        })
    }
}

/// What is doubtful about a photo that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum PhotoWarning {
    /// The embedded profile is broken or not for such a picture; sRGB is assumed.
    ProfileUnusable,
    /// One channel: there is no colour in it.
    Grey,
    /// Only the first of several frames was read.
    FirstFrame,
    /// Transparent pixels do not count.
    Transparency,
    /// The file is cut short; the rows that could be read are used.
    CutShort {
        /// Rows that are used.
        rows: usize,
        /// Rows the picture has.
        of: usize,
    },
    /// The file says that its colours are in another space than sRGB, without a profile.
    SpaceUnknown,
    /// Small, coarsely saved and without profile or notes: as pictures are that were passed on in a chat.
    PassedOn,
    /// The picture has a short film attached.
    ShortFilm,
    /// Stitched from several shots, or as long as if it were.
    Panorama,
    /// The part named as sky is blown out or black.
    SkyTellsNothing,
}

impl std::fmt::Display for PhotoWarning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Self::CutShort { rows, of } = self {
            return write!(
                f,
                "the file is cut short: the upper {rows} of its {of} rows are used"
            );
        }
        f.write_str(match self {
            Self::CutShort { .. } => "the file is cut short",
            Self::SpaceUnknown => {
                "it has no colour profile but says that it is not in sRGB; read as opRGB if it says so, else as sRGB"
            }
            Self::ProfileUnusable => {
                "its colour profile cannot be used; read as sRGB, so colours may be off"
            }
            Self::SkyTellsNothing => {
                "its sky is blown out or black and shows nothing of the air; draw a part of it near the horizon that is neither"
            }
            Self::Grey => "it is grey: the program reads its lightness and invents no colour",
            Self::FirstFrame => "it may hold several frames; the first was read",
            Self::Transparency => "its transparent pixels do not count",
            Self::PassedOn => {
                "it is small, coarsely saved and without a profile, like pictures that came through a chat: wide areas keep their colour (within 2 in six photos treated this way), but thin things such as joints lose part of theirs; ask for the original, sent as a file"
            }
            Self::ShortFilm => {
                "it has a short film attached, which is not used; saved as a plain picture it is smaller and loses nothing"
            }
            Self::Panorama => {
                "it is a panorama: the light may change along it, so a grey card shows the light of its own part only, and you cannot safely compare parts that are far apart"
            }
        })
    }
}
