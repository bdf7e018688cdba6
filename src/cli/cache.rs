//! Where answers are kept from one run to the next.

use super::args::CacheArgs;
use hillwash::files::CacheFolder;
use std::env;
use std::ffi::OsString;
use std::path::PathBuf;

/// The variable that names another folder; empty, nothing is kept.
const VARIABLE: &str = "HILLWASH_CACHE";

impl CacheArgs {
    /// The folder, unless the user wants nothing kept or the system has no place for it.
    pub(crate) fn folder(self) -> Option<CacheFolder> {
        if self.no_cache {
            return None;
        }
        let folder = match env::var_os(VARIABLE) {
            Some(named) => Some(PathBuf::from(named)).filter(|path| !path.as_os_str().is_empty()),
            None => usual(|name| env::var_os(name)),
        };
        Some(CacheFolder::new(folder?, program()?))
    }
}

/// The folder for such things, as the system has it.
///
/// # Source
/// XDG Base Directory Specification 0.8: a path that is not absolute does not count. The folders of macOS and Windows by
/// their makers' guides for programs.
fn usual(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let path = |name: &str| {
        variable(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    let folder = if cfg!(windows) {
        path("LOCALAPPDATA")?.join("hillwash").join("cache")
    } else if cfg!(target_os = "macos") {
        path("HOME")?.join("Library/Caches/hillwash")
    } else {
        path("XDG_CACHE_HOME")
            .or_else(|| Some(path("HOME")?.join(".cache")))?
            .join("hillwash")
    };
    Some(folder)
}

/// What distinguishes this program from any other build: its version, and size and date of its file.
fn program() -> Option<String> {
    let about = env::current_exe().ok()?.metadata().ok()?;
    Some(format!(
        "{} {} {:?}",
        env!("CARGO_PKG_VERSION"),
        about.len(),
        about.modified().ok()?
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    #[cfg(all(unix, not(target_os = "macos")))]
    use std::path::Path;

    #[cfg(all(unix, not(target_os = "macos")))]
    #[test]
    fn the_folder_is_where_the_system_has_such_things() {
        let of = |xdg: Option<&Path>, home: Option<&Path>| {
            usual(|name| match name {
                "XDG_CACHE_HOME" => xdg.map(OsString::from),
                "HOME" => home.map(OsString::from),
                _ => None,
            })
        };
        let (home, other) = (Path::new("/builder"), Path::new("/elsewhere"));
        let at_home = Some(home.join(".cache/hillwash"));
        assert_eq!(of(Some(other), Some(home)), Some(other.join("hillwash")));
        assert_eq!(of(None, Some(home)), at_home);
        assert_eq!(of(Some(Path::new("c")), Some(home)), at_home);
        assert_eq!(of(None, None), None);
    }
}
