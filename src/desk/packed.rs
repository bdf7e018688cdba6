//! A layout as one file: a zip of the files that the program uses.

use super::start::SCENE;
use crate::problem::Explain;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// Most files of a layout. Our choice.
const MOST_FILES: usize = 500;
/// Most bytes that all files of a layout may take when unpacked. Our choice.
const MOST_UNFOLDED: u64 = 512 << 20;
/// Longest name.
const LONGEST_NAME: usize = 200;

/// Why a layout file is not used.
#[derive(Debug, thiserror::Error)]
pub enum PackedError {
    /// It is no zip, or a damaged one.
    #[error("found a file that cannot be unpacked, expected a layout file (.zip): {0}")]
    Damaged(String),
    /// A name that no file of a layout has.
    #[error("found a file named \"{0}\" in it, expected plain names that stay in the layout")]
    Name(String),
    /// It has no scene.
    #[error("found no {SCENE} in it, expected one beside the photos and lists it names")]
    NoScene,
    /// It holds too many files.
    #[error("found {0} files in it, expected at most {MOST_FILES}")]
    TooMany(usize),
    /// It is larger than it may be.
    #[error("found more than {} MB in it, expected less", MOST_UNFOLDED >> 20)]
    TooLarge,
}

impl Explain for PackedError {
    fn hint(&self) -> Option<String> {
        Some(
            match self {
                Self::Damaged(_) => "save the layout again where it was made",
                Self::Name(_) => "pack the folder of the scene, and nothing outside it",
                Self::NoScene => {
                    "pack the folder that holds it, or drop the photos alone onto the page"
                }
                Self::TooMany(_) | Self::TooLarge => "leave out what the scene does not name",
            }
            .to_owned(),
        )
    }
}

/// The plain name of a file of a layout; `None` for one that would lie elsewhere.
#[must_use]
pub fn inside_name(name: &str) -> Option<String> {
    let name = name.replace('\\', "/");
    let parts: Vec<&str> = name.split('/').filter(|part| *part != ".").collect();
    let plain = |part: &&str| {
        !part.is_empty()
            && **part != *".."
            && !part.contains(':')
            && !part.contains(char::is_control)
    };
    let inside = !parts.is_empty() && parts.iter().all(plain) && name.len() <= LONGEST_NAME;
    inside.then(|| parts.join("/"))
}

/// Packs files; the same files give the same bytes.
///
/// # Errors
/// [`PackedError`] for a name outside the layout, and the writer's own errors.
pub fn pack(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, PackedError> {
    let damaged = |fault: &dyn std::fmt::Display| PackedError::Damaged(fault.to_string());
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        let inside = inside_name(name).ok_or_else(|| PackedError::Name(name.clone()))?;
        // Photos do not get smaller.
        let text = std::str::from_utf8(bytes).is_ok();
        let how = SimpleFileOptions::default()
            .last_modified_time(DateTime::default())
            .compression_method(if text {
                CompressionMethod::Deflated
            } else {
                CompressionMethod::Stored
            });
        writer.start_file(inside, how).map_err(|e| damaged(&e))?;
        writer.write_all(bytes).map_err(|e| damaged(&e))?;
    }
    let packed = writer.finish().map_err(|e| damaged(&e))?;
    Ok(packed.into_inner())
}

/// Unpacks a layout. Where all of it lies in one folder, that folder is left out. Hidden files are passed over, as are
/// what systems add of their own.
///
/// # Errors
/// [`PackedError`]; nothing larger than it may be is unfolded.
pub fn unpack(bytes: &[u8]) -> Result<Vec<(String, Vec<u8>)>, PackedError> {
    let damaged = |fault: &dyn std::fmt::Display| PackedError::Damaged(fault.to_string());
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| damaged(&e))?;
    if archive.len() > MOST_FILES {
        return Err(PackedError::TooMany(archive.len()));
    }
    let mut left = MOST_UNFOLDED;
    let mut files = Vec::new();
    for at in 0..archive.len() {
        let file = archive.by_index(at).map_err(|e| damaged(&e))?;
        let name = file.name().map_err(|e| damaged(&e))?.into_owned();
        // A folder is told by the sign at the end of its name (PKWARE, APPNOTE.TXT, 4.4.17).
        if name.ends_with('/') {
            continue;
        }
        let name = inside_name(&name).ok_or(PackedError::Name(name))?;
        if name
            .split('/')
            .any(|part| part.starts_with('.') || part == "__MACOSX")
        {
            continue;
        }
        let mut content = Vec::new();
        file.take(left + 1)
            .read_to_end(&mut content)
            .map_err(|e| damaged(&e))?;
        left = left
            .checked_sub(content.len() as u64)
            .ok_or(PackedError::TooLarge)?;
        files.push((name, content));
    }
    let scene = files
        .iter()
        .map(|(name, _)| name.as_str())
        .filter(|name| name.rsplit('/').next() == Some(SCENE))
        .min_by_key(|name| name.len())
        .ok_or(PackedError::NoScene)?;
    let folder = scene[..scene.len() - SCENE.len()].to_owned();
    Ok(files
        .into_iter()
        .filter_map(|(name, bytes)| Some((name.strip_prefix(&folder)?.to_owned(), bytes)))
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(names: &[&str]) -> Vec<(String, Vec<u8>)> {
        names
            .iter()
            .map(|name| ((*name).to_owned(), name.as_bytes().to_vec()))
            .collect()
    }

    #[test]
    fn what_is_packed_comes_out_again_and_the_same_twice() {
        let layout = files(&["scene.toml", "paints.csv", "lists/Höhe.csv"]);
        let packed = pack(&layout).unwrap();
        assert_eq!(unpack(&packed).unwrap(), layout);
        assert_eq!(pack(&layout).unwrap(), packed);
    }

    #[test]
    fn a_folder_around_all_of_it_is_left_out() {
        let packed = pack(&files(&[
            "yard/scene.toml",
            "yard/wall.jpg",
            "yard/.hidden",
        ]))
        .unwrap();
        let names: Vec<String> = unpack(&packed)
            .unwrap()
            .into_iter()
            .map(|(name, _)| name)
            .collect();
        assert_eq!(names, ["scene.toml", "wall.jpg"]);
    }

    #[test]
    fn hostile_files_are_refused() {
        for name in [
            "../scene.toml",
            "/etc/scene.toml",
            "C:\\scene.toml",
            "a//scene.toml",
            "",
        ] {
            assert!(inside_name(name).is_none(), "{name}");
        }
        assert!(matches!(
            unpack(b"PK\x03\x04 and no more"),
            Err(PackedError::Damaged(_))
        ));
        let packed = pack(&files(&["paints.csv"])).unwrap();
        assert!(matches!(unpack(&packed), Err(PackedError::NoScene)));
        // A name that leads out, written by hand into a sound archive.
        let mut bytes = pack(&files(&["aa/scene.toml"])).unwrap();
        let ends: Vec<usize> = (0..bytes.len() - 3)
            .filter(|i| bytes[*i..].starts_with(b"aa/"))
            .collect();
        for at in ends {
            bytes[at..at + 2].copy_from_slice(b"..");
        }
        assert!(unpack(&bytes).is_err());
    }

    #[test]
    fn what_unfolds_to_more_than_it_may_is_stopped_on_the_way() {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        let how = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
        writer.start_file("scene.toml", how).unwrap();
        let zeros = vec![0_u8; 1 << 20];
        for _ in 0..=(MOST_UNFOLDED >> 20) {
            writer.write_all(&zeros).unwrap();
        }
        let packed = writer.finish().unwrap().into_inner();
        assert!(packed.len() < 1 << 20);
        assert!(matches!(unpack(&packed), Err(PackedError::TooLarge)));
    }

    #[test]
    fn too_many_files_are_refused_before_they_are_read() {
        let many: Vec<(String, Vec<u8>)> = (0..=MOST_FILES)
            .map(|n| (format!("{n}.csv"), Vec::new()))
            .collect();
        let packed = pack(&many).unwrap();
        assert!(matches!(unpack(&packed), Err(PackedError::TooMany(_))));
    }
}
