//! A layout's files in their folder.

use super::error::ServeError;
use crate::desk::{FileKind, Keeper, NewScene, NotKept, SCENE, Settings};
use crate::files::{
    CacheFolder, FileError, MOST_SCENE, MOST_TEXT, SceneFolder, append_line, file_names,
    other_names, read_file, remove_file, replace_file, sweep, write_file,
};
use crate::photo::Limits;
use crate::plan::AnswerStore;
use crate::problem::{Explain, Place};
use crate::scene::MayName;
use std::path::{Path, PathBuf};

/// What is opened: a scene file, or a folder with or without one.
#[derive(Debug)]
pub struct OpenedFolder {
    scene: PathBuf,
    new_scene: Option<NewScene>,
    /// Which files the scene may name.
    pub may_name: MayName,
    /// Limits of photos.
    pub limits: Limits,
    /// Give the text at the end instead of writing it.
    pub print_only: bool,
    /// The list that is written beside a new scene.
    pub starter_paints: &'static [u8],
    /// The core for browsers, packed, where a schedule may carry it.
    pub core: Option<Vec<u8>>,
    /// Where answers are kept.
    pub answers: Option<CacheFolder>,
}

impl OpenedFolder {
    /// A scene file, or a folder: with a `scene.toml`, with photos, or with nothing yet.
    ///
    /// # Errors
    /// [`ServeError::File`] where there is neither.
    pub fn at_path(path: &Path, starter_paints: &'static [u8]) -> Result<Self, ServeError> {
        let mut layout = Self {
            scene: path.to_owned(),
            new_scene: None,
            may_name: MayName::ItsFolder,
            limits: Limits::default(),
            print_only: false,
            starter_paints,
            core: None,
            answers: None,
        };
        if path.is_dir() {
            layout.scene = path.join(SCENE);
            if is_link(&layout.scene) {
                return Err(ServeError::File(FileError::NotAFile {
                    place: Place::default(),
                    path: layout.scene,
                    expected: "a scene that lies in this folder itself",
                }));
            }
            if !layout.scene.exists() {
                let names = file_names(path).map_err(ServeError::File)?;
                layout.new_scene = Some(NewScene::of_photos(&title_of(path), &names));
            }
        } else {
            read_scene(path).map_err(ServeError::File)?;
        }
        Ok(layout)
    }

    /// The scene file; it need not be there yet.
    #[must_use]
    pub fn scene(&self) -> &Path {
        &self.scene
    }

    /// How many further names the scene file has on its disk; saving leaves them with what was there before.
    #[must_use]
    pub fn other_names(&self) -> u64 {
        other_names(&self.scene)
    }

    /// What a desk is set up with, and who keeps its files.
    pub(super) fn taken_apart(self) -> (Settings, LayoutFolder) {
        let keeper = LayoutFolder {
            folder: SceneFolder::holding(&self.scene, self.may_name),
            photo_bytes: self.limits.file_bytes,
            scene: self.scene,
            answers: self.answers,
        };
        sweep(keeper.folder.path());
        let file = keeper.scene.file_name();
        let settings = Settings {
            name: keeper.scene.display().to_string(),
            file: file
                .map(|name| name.to_string_lossy().into_owned())
                .unwrap_or_default(),
            new_scene: self.new_scene,
            may_name: self.may_name,
            limits: self.limits,
            print_only: self.print_only,
            starter_paints: self.starter_paints,
            core: self.core,
        };
        (settings, keeper)
    }
}

/// What a new scene is called: its folder's name.
fn title_of(folder: &Path) -> String {
    folder
        .canonicalize()
        .ok()
        .and_then(|path| Some(path.file_name()?.to_string_lossy().into_owned()))
        .unwrap_or_else(|| "My layout".to_owned())
}

fn read_scene(path: &Path) -> Result<Vec<u8>, FileError> {
    read_file(path, &Place::default(), "a scene file", MOST_SCENE)
}

/// Keeps a layout in the folder its scene lies in.
#[derive(Debug)]
pub(super) struct LayoutFolder {
    scene: PathBuf,
    folder: SceneFolder,
    photo_bytes: u64,
    answers: Option<CacheFolder>,
}

impl LayoutFolder {
    /// The folder.
    pub(super) fn path(&self) -> &Path {
        self.folder.path()
    }

    /// The unsaved drawing is beside the scene, under its name.
    fn draft_path(&self) -> PathBuf {
        let mut name = self.scene.file_name().unwrap_or_default().to_owned();
        name.push(".unsaved.json");
        self.folder.path().join(name)
    }
}

/// A link may lead to any file of the user's; it came with the layout.
fn is_link(path: &Path) -> bool {
    path.symlink_metadata()
        .is_ok_and(|found| found.is_symlink())
}

impl From<FileError> for NotKept {
    fn from(error: FileError) -> Self {
        match error {
            FileError::Changed { .. } | FileError::Occupied { .. } => Self::Changed,
            other => Self::Other(Box::new(other)),
        }
    }
}

fn put(path: &Path, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), NotKept> {
    match before {
        Some(before) => replace_file(path, before, bytes)?,
        None => write_file(path, bytes)?,
    }
    Ok(())
}

impl Keeper for LayoutFolder {
    fn scene(&self) -> Result<Option<Vec<u8>>, Box<dyn Explain>> {
        match read_scene(&self.scene) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(FileError::Missing { .. }) => Ok(None),
            Err(other) => Err(Box::new(other)),
        }
    }

    fn write_scene(&self, before: Option<&[u8]>, text: &[u8]) -> Result<(), NotKept> {
        put(&self.scene, before, text)
    }

    fn read(&self, name: &str, place: &Place, kind: FileKind) -> Result<Vec<u8>, Box<dyn Explain>> {
        let most = match kind {
            FileKind::Photo => self.photo_bytes,
            FileKind::Paints
            | FileKind::Scatter
            | FileKind::Spectrum
            | FileKind::Patches
            | FileKind::Ticks => MOST_TEXT,
        };
        self.folder
            .read(name, place, kind.words(), most)
            .map_err(|e| Box::new(e) as Box<dyn Explain>)
    }

    fn has(&self, name: &str) -> bool {
        self.folder.path().join(name).exists()
    }

    fn write(&self, name: &str, before: Option<&[u8]>, bytes: &[u8]) -> Result<(), NotKept> {
        put(&self.folder.path().join(name), before, bytes)
    }

    fn append(&self, name: &str, line: &str, aside: Option<&str>) -> Result<(), NotKept> {
        let aside = aside.map(|aside| self.folder.path().join(aside));
        let log = self.folder.path().join(name);
        Ok(append_line(&log, line, aside.as_deref())?)
    }

    fn draft(&self) -> Option<Vec<u8>> {
        let path = self.draft_path();
        if is_link(&path) {
            return None;
        }
        read_file(&path, &Place::default(), "a drawing", MOST_TEXT).ok()
    }

    fn keep_draft(&self, draft: Option<&[u8]>) -> Result<(), NotKept> {
        let path = self.draft_path();
        if is_link(&path) {
            return Err(NotKept::from(FileError::NotAFile {
                place: Place::default(),
                path,
                expected: "a drawing that was not saved",
            }));
        }
        match draft {
            Some(bytes) => put(&path, self.draft().as_deref(), bytes),
            None => Ok(remove_file(&path)?),
        }
    }

    fn answers(&self) -> Option<&dyn AnswerStore> {
        self.answers
            .as_ref()
            .map(|folder| -> &dyn AnswerStore { folder })
    }
}
