//! A missing file, and the file that the user may mean.

use crate::problem::nearest_word;
use std::fs;
use std::path::{Path, PathBuf};

/// The path nearest to one that is not there: of its folder, if that is not there either, and then of its name.
pub(super) fn nearest_path(path: &Path) -> Option<PathBuf> {
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty());
    let path = match folder {
        Some(folder) if !folder.is_dir() => {
            let named = folder.with_file_name(nearest_name(folder)?);
            named.join(path.file_name()?)
        }
        _ => path.to_owned(),
    };
    let nearest = if path.exists() {
        path
    } else {
        path.with_file_name(nearest_name(&path)?)
    };
    Some(
        nearest
            .strip_prefix(".")
            .map_or(nearest.clone(), Path::to_owned),
    )
}

/// The name in the same folder that is nearest to one that is not there: blanks, case and endings first.
fn nearest_name(path: &Path) -> Option<String> {
    const MOST_LETTERS: usize = 200;
    let wanted = path.file_name()?.to_str()?;
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let plain = |name: &str| -> String {
        let name = name.to_lowercase().replace(".jpeg", ".jpg");
        name.chars()
            .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'))
            .collect()
    };
    let names: Vec<String> = fs::read_dir(folder)
        .ok()?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.len() <= MOST_LETTERS)
        .collect();
    names
        .iter()
        .find(|name| plain(name) == plain(wanted))
        // Some systems hide endings: "wall" is "wall.jpg".
        .or_else(|| {
            let stem = |name: &str| {
                name.rsplit_once('.')
                    .map_or(plain(name), |(stem, _)| plain(stem))
            };
            names
                .iter()
                .find(|name| !wanted.contains('.') && stem(name) == plain(wanted))
        })
        .map(String::as_str)
        .or_else(|| {
            (wanted.len() <= MOST_LETTERS)
                .then(|| nearest_word(wanted, names.iter().map(String::as_str)))
                .flatten()
        })
        .map(str::to_owned)
}
