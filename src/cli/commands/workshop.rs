//! What a scene is worked out with: itself and all it names, read and checked.

use crate::cli::request::{
    Lists, MOST_TEXT, paint_list, parsed_list, parsed_scatter, scatter_list,
};
use crate::cli::{Problems, boxed};
use hillwash::files::{FileError, MOST_SCENE, SceneFolder, read_file, sweep};
use hillwash::lamps::Lamp;
use hillwash::mix::Shelf;
use hillwash::paint::{PaintList, ScatterList};
use hillwash::photo::Limits;
use hillwash::plan::{AsBuilt, Kit, PhotoBytes, Plan, Sighted, Unread, Wishes, check_dirt, sight};
use hillwash::problem::{Explain, Place};
use hillwash::scene::{NoLamp, Scene, parse_scene};
use std::borrow::Cow;
use std::path::Path;

/// Most bytes of all photos of a scene together. Our choice: some hundred photos as cameras write them.
const MOST_PHOTO_BYTES: u64 = 2 << 30;

/// Bytes of photos that are kept from the first reading; the others are read again when their turn comes.
const KEPT_BYTES: u64 = 64 << 20;

/// The photos of a scene: those that fit are kept, the others are read when they are wanted.
pub(super) struct ScenePhotos {
    folder: SceneFolder,
    all: Vec<OnePhoto>,
    limit: u64,
}

struct OnePhoto {
    file: String,
    place: Place,
    kept: Option<Vec<u8>>,
}

impl ScenePhotos {
    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.all.len()
    }

    /// Reads every photo once, so that all that is wrong with their files is told at once.
    fn read(
        scene: &Scene,
        folder: &SceneFolder,
        limit: u64,
        mut keep: impl FnMut(FileError),
    ) -> Self {
        let (mut room, mut room_to_keep) = (MOST_PHOTO_BYTES, KEPT_BYTES);
        let mut all = Vec::new();
        for photo in &scene.photos {
            let kept = match folder.read(&photo.file, &photo.place, "a photo", limit) {
                Ok(bytes) if bytes.len() as u64 > room => {
                    keep(FileError::TooMuch {
                        place: photo.place.clone(),
                        limit: MOST_PHOTO_BYTES,
                    });
                    break;
                }
                Ok(bytes) => {
                    let size = bytes.len() as u64;
                    room -= size;
                    let fits = size <= room_to_keep;
                    room_to_keep -= if fits { size } else { 0 };
                    fits.then_some(bytes)
                }
                Err(fault) => {
                    keep(fault);
                    None
                }
            };
            all.push(OnePhoto {
                file: photo.file.clone(),
                place: photo.place.clone(),
                kept,
            });
        }
        Self {
            folder: folder.clone(),
            all,
            limit,
        }
    }
}

impl PhotoBytes for ScenePhotos {
    fn photo(&self, at: usize) -> Result<Cow<'_, [u8]>, Unread> {
        let unread = |words: String, hint| Unread { words, hint };
        let photo = self
            .all
            .get(at)
            .ok_or_else(|| unread("found no photo, expected one".to_owned(), None))?;
        if let Some(kept) = &photo.kept {
            return Ok(Cow::Borrowed(kept));
        }
        let read = self
            .folder
            .read(&photo.file, &photo.place, "a photo", self.limit);
        read.map(Cow::Owned)
            .map_err(|fault| unread(fault.to_string(), fault.hint()))
    }
}

/// A scene with everything it names.
pub(super) struct Workshop {
    pub(super) scene: Scene,
    pub(super) folder: SceneFolder,
    pub(super) paints: PaintList,
    pub(super) shelf: Shelf,
    pub(super) photos: ScenePhotos,
    scatter: Option<ScatterList>,
    lamp: Option<Lamp>,
    limits: Limits,
}

impl Workshop {
    /// Reads a scene file and all it names.
    pub(super) fn open(
        path: &Path,
        allow_outside: bool,
        lists: OwnLists<'_>,
        limits: Limits,
    ) -> Result<Self, Problems> {
        let name = path.display().to_string();
        let bytes = read_file(path, &Place::default(), "a scene file", MOST_SCENE)
            .map_err(|e| boxed([e]))?;
        let scene = parse_scene(&name, &bytes, allow_outside).map_err(boxed)?;
        Self::of(scene, SceneFolder::of(path, allow_outside), lists, limits)
    }

    /// Reads all that a scene names.
    pub(super) fn of(
        scene: Scene,
        folder: SceneFolder,
        lists: OwnLists<'_>,
        limits: Limits,
    ) -> Result<Self, Problems> {
        sweep(folder.path());
        let Materials {
            paints,
            scatter,
            photos,
            lamp,
        } = materials(lists, &scene, &folder, &limits)?;
        check_dirt(&scene, &paints).map_err(boxed)?;
        Ok(Self {
            shelf: Shelf::new(&paints),
            scene,
            folder,
            paints,
            scatter,
            photos,
            lamp,
            limits,
        })
    }

    /// Finds the tones of its surfaces.
    pub(super) fn sighted(&self) -> Result<Sighted, Problems> {
        sight(&self.scene, &self.photos, &self.limits).map_err(boxed)
    }

    /// Plans what was sighted; `as_built` are the patches that were dried so far.
    pub(super) fn plan(
        &self,
        sighted: Sighted,
        as_built: Vec<AsBuilt>,
        wishes: &Wishes,
    ) -> Result<Plan<'_>, Problems> {
        let toned = sighted.toned(&self.scene, &self.paints).map_err(boxed)?;
        let kit = Kit {
            paints: &self.paints,
            shelf: &self.shelf,
            scatter: self.scatter.as_ref(),
            lamp: self.lamp.clone(),
            as_built,
        };
        Ok(toned.planned(kit, wishes))
    }
}

/// Everything a scene names, read.
struct Materials {
    paints: PaintList,
    scatter: Option<ScatterList>,
    photos: ScenePhotos,
    lamp: Option<Lamp>,
}

/// The lamp over the layout; none for daylight and where the scene is silent.
fn lamp(scene: &Scene, folder: &SceneFolder) -> Result<Option<Lamp>, Problems> {
    let read = |file: &str| folder.read(file, &scene.lamps_place, "a lamp's spectrum", MOST_TEXT);
    scene.lamp(read).map_err(|no| match no {
        NoLamp::Unread(fault) => boxed([fault]),
        NoLamp::Bad(faults) => boxed(faults),
    })
}

/// Lists that are used instead of the scene's own.
#[derive(Debug, Clone, Copy)]
pub(super) struct OwnLists<'a> {
    pub(super) paints: Option<&'a Path>,
    pub(super) scatter: Option<&'a Path>,
    /// How they, or the scene's own, are read.
    pub(super) how: Lists,
}

/// Reads everything a scene names, and tells everything that is wrong with it at once.
fn materials(
    lists: OwnLists<'_>,
    scene: &Scene,
    folder: &SceneFolder,
    limits: &Limits,
) -> Result<Materials, Problems> {
    let mut problems: Problems = Vec::new();
    let mut keep = |fault: FileError| problems.extend(boxed([fault]));
    let photos = ScenePhotos::read(scene, folder, limits.file_bytes, &mut keep);
    let own = scene.scatter.as_ref().filter(|_| lists.scatter.is_none());
    let scatter_bytes = own.and_then(|name| {
        folder
            .read(name, &scene.scatter_place, "a scatter list", MOST_TEXT)
            .map_err(&mut keep)
            .ok()
            .map(|bytes| (name, bytes))
    });
    let how = lists.how.or_medium(scene.paints_medium);
    let paints = match lists.paints {
        Some(path) => paint_list(path, how),
        None => folder
            .read(
                &scene.paints,
                &scene.paints_place,
                "a paint list",
                MOST_TEXT,
            )
            .map_err(|e| boxed([e]))
            .and_then(|bytes| parsed_list(&scene.paints, &bytes, folder, how)),
    };
    let scatter = match (lists.scatter, scatter_bytes) {
        (Some(path), _) => scatter_list(path, how).map(Some),
        (None, bytes) => bytes
            .map(|(name, bytes)| parsed_scatter(name, &bytes, how))
            .transpose(),
    };
    match (paints, scatter, lamp(scene, folder)) {
        (Ok(paints), Ok(scatter), Ok(lamp)) if problems.is_empty() => Ok(Materials {
            paints,
            scatter,
            photos,
            lamp,
        }),
        (paints, scatter, lamp) => {
            problems.extend(lamp.err().into_iter().flatten());
            problems.extend(paints.err().into_iter().flatten());
            problems.extend(scatter.err().into_iter().flatten());
            Err(problems)
        }
    }
}
