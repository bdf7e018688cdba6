//! A scene, its photos and its paints, and the page's first questions about them.

use super::drawing::{Drawing, DrawnPhoto, DrawnSurface};
use super::gallery::Gallery;
use super::keeper::{FileKind, Keeper};
use super::refused::Refused;
use super::seen::{SeenIn, Surveyed};
use super::start::NewScene;
use crate::colour::LabD65;
use crate::materials::{MATERIALS, Material};
use crate::mix::Shelf;
use crate::paint::{ListReading, PaintList};
use crate::photo::Limits;
use crate::problem::{Explain, Place};
use crate::scene::{MayName, Scene, SceneError, parse_scene_to_draw};
use crate::tones::Count;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::sync::{Arc, Mutex, OnceLock, PoisonError, RwLock};

/// How a desk is set up.
#[derive(Debug)]
pub struct Settings {
    /// The scene as the user named it, for messages.
    pub name: String,
    /// The scene's file name.
    pub file: String,
    /// The text of a scene that is not written yet.
    pub new_scene: Option<NewScene>,
    /// Which files the scene may name.
    pub may_name: MayName,
    /// Limits of photos.
    pub limits: Limits,
    /// Give the text at the end instead of writing it.
    pub print_only: bool,
    /// The list that comes with a new scene, and that mixes use until the scene has its own.
    pub starter_paints: &'static [u8],
    /// The core for browsers, packed, where a schedule may carry it.
    pub core: Option<Vec<u8>>,
}

/// The scene as it was read last.
#[derive(Debug)]
pub(super) struct Opened {
    pub(super) scene: Scene,
    pub(super) digest: String,
    pub(super) text: Vec<u8>,
}

/// Everything the page can show.
#[derive(Debug)]
pub struct Desk {
    pub(super) settings: Settings,
    pub(super) keeper: Box<dyn Keeper>,
    /// The text that will become the scene, until it is written.
    pub(super) new_scene: Mutex<Option<NewScene>>,
    opened: RwLock<Arc<Opened>>,
    /// The light each photo is seen in, as the page has it.
    pub(super) lights: RwLock<Vec<(String, SeenIn)>>,
    pub(super) gallery: Gallery,
    shelf: RwLock<Arc<Paints>>,
    /// The text to print, when that is all that is wanted.
    pub(super) printed: Mutex<Option<String>>,
    /// One saving at a time.
    pub(super) saving: Mutex<()>,
    /// What the photos showed for the last schedule.
    pub(super) surveyed: Mutex<Option<Surveyed>>,
    /// The same for a single surface whose dial of grime the user turns.
    pub(super) surveyed_alone: Mutex<Option<Surveyed>>,
    /// The schedule that is looked at.
    shown: Mutex<String>,
}

/// The scene's paints, or words on why there are none.
pub(super) type Paints = Result<ListToPrepare, String>;

/// A list, whose paints are made ready when something is first mixed from them: a page opens sooner than that.
#[derive(Debug)]
pub(super) struct ListToPrepare {
    pub(super) list: PaintList,
    shelf: OnceLock<Shelf>,
}

impl ListToPrepare {
    pub(super) fn shelf(&self) -> &Shelf {
        self.shelf.get_or_init(|| Shelf::new(&self.list))
    }
}

/// Most faults of a scene that the page is told at once.
const MOST_TOLD: usize = 3;

pub(super) fn digest(bytes: &[u8]) -> String {
    use std::fmt::Write;
    Sha256::digest(bytes)
        .iter()
        .fold(String::new(), |mut text, byte| {
            let _ = write!(text, "{byte:02x}");
            text
        })
}

impl Desk {
    /// Reads the scene and its paints.
    ///
    /// # Errors
    /// All faults of the scene. The page reports a paint list that cannot be read: drawing needs none.
    pub fn new(
        mut settings: Settings,
        keeper: Box<dyn Keeper>,
    ) -> Result<Self, Vec<Box<dyn Explain>>> {
        let new_scene = settings.new_scene.take();
        let bytes = match (keeper.scene().map_err(|e| vec![e])?, &new_scene) {
            (Some(bytes), _) => bytes,
            (None, Some(new)) => new.text.clone().into_bytes(),
            (None, None) => Vec::new(),
        };
        let opened = opened(&settings, bytes).map_err(|faults| {
            let boxed = |fault| Box::new(fault) as Box<dyn Explain>;
            faults.into_iter().map(boxed).collect::<Vec<_>>()
        })?;
        let desk = Self {
            gallery: Gallery::new(settings.limits),
            keeper,
            new_scene: Mutex::new(new_scene),
            opened: RwLock::new(Arc::new(opened)),
            lights: RwLock::default(),
            shelf: RwLock::new(Arc::new(Err(String::new()))),
            printed: Mutex::default(),
            saving: Mutex::default(),
            surveyed: Mutex::default(),
            surveyed_alone: Mutex::default(),
            shown: Mutex::default(),
            settings,
        };
        desk.read_paints();
        Ok(desk)
    }

    pub(super) fn opened(&self) -> Arc<Opened> {
        Arc::clone(&self.opened.read().unwrap_or_else(PoisonError::into_inner))
    }

    pub(super) fn paints(&self) -> Arc<Paints> {
        Arc::clone(&self.shelf.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// The scene's paints as they are now, or the starter list where a new scene will get it.
    pub(super) fn read_paints(&self) {
        let paints = self.paints_now(&self.opened().scene);
        *self.shelf.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(paints);
    }

    fn paints_now(&self, scene: &Scene) -> Paints {
        let bytes = if self.will_get_paints() {
            self.settings.starter_paints.to_vec()
        } else {
            self.keeper
                .read(&scene.paints, &scene.paints_place, FileKind::Paints)
                .map_err(|e| e.to_string())?
        };
        let spectrum = |name: &str| self.spectrum(name);
        let how = ListReading {
            medium: scene.paints_medium,
            ..ListReading::default()
        };
        let list = PaintList::read(&scene.paints, &bytes, &spectrum, &how).map_err(|faults| {
            let first = faults.first().map(ToString::to_string).unwrap_or_default();
            format!("{}: {first}", scene.paints)
        })?;
        Ok(ListToPrepare {
            list,
            shelf: OnceLock::new(),
        })
    }

    /// A spectrum that a list names.
    pub(super) fn spectrum(&self, name: &str) -> Result<String, String> {
        self.keeper
            .read(name, &Place::default(), FileKind::Spectrum)
            .map_err(|e| e.to_string())
            .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "not UTF-8 text".to_owned()))
    }

    /// Whether a new scene will get the starter list.
    pub(super) fn will_get_paints(&self) -> bool {
        let new = self
            .new_scene
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let scene = self.opened();
        new.is_some() && !self.keeper.has(&scene.scene.paints)
    }

    /// Whether the scene file is still to be made.
    pub(super) fn unwritten(&self) -> bool {
        self.new_scene
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .is_some()
    }

    /// The scene as it is now, or the text that will become it; one that was taken away is what was read last.
    pub(super) fn scene_bytes(&self) -> Result<Vec<u8>, Refused> {
        let there = self.keeper.scene().map_err(|e| Refused::of_problem(&*e))?;
        let mut new = self
            .new_scene
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        match (there, &*new) {
            (Some(bytes), _) => {
                *new = None;
                Ok(bytes)
            }
            (None, Some(new)) => Ok(new.text.clone().into_bytes()),
            (None, None) => Ok(self.opened().text.clone()),
        }
    }

    /// Takes in what the scene is now.
    pub(super) fn reopen(&self, bytes: Vec<u8>) -> Result<Arc<Opened>, Refused> {
        let opened = opened(&self.settings, bytes).map_err(|faults| self.unreadable(&faults))?;
        let opened = Arc::new(opened);
        *self.opened.write().unwrap_or_else(PoisonError::into_inner) = Arc::clone(&opened);
        Ok(opened)
    }

    /// The scene was changed elsewhere, and is none now.
    fn unreadable(&self, faults: &[SceneError]) -> Refused {
        let told = faults.iter().map(|fault| {
            let line = fault.place().line;
            line.map_or_else(|| fault.to_string(), |line| format!("line {line}: {fault}"))
        });
        let told = told.take(MOST_TOLD).collect::<Vec<_>>().join("; ");
        let mend = "it was changed outside this page: mend it there, or put an older copy in its place; what is drawn here is kept";
        let hint = faults.iter().find_map(Explain::hint);
        Refused::Problem {
            words: format!(
                "{} cannot be read as it is now ({told})",
                self.settings.file
            ),
            hint: Some(hint.map_or_else(|| mend.to_owned(), |hint| format!("{hint}; {mend}"))),
        }
    }

    /// The scene as it is now, for a page that opens.
    ///
    /// # Errors
    /// [`Refused`] with all faults of a scene that was changed meanwhile.
    pub fn hello(&self) -> Result<Value, Refused> {
        let opened = self.reopen(self.scene_bytes()?)?;
        self.read_paints();
        let drawing = Drawing::of_scene(&opened.scene);
        let scene = &opened.scene;
        let photos: Vec<Value> = scene
            .photos
            .iter()
            .zip(&drawing.photos)
            .map(|(source, drawn)| {
                json!({
                    "key": source.key,
                    "file": source.file,
                    "light": drawn.light,
                    "from": source.from.map(|from| from.to_string()),
                    "said": drawn.said,
                    "known": drawn.known,
                })
            })
            .collect();
        let surfaces: Vec<Value> = scene
            .surfaces
            .iter()
            .zip(&drawing.surfaces)
            .map(|(surface, drawn)| described(surface, drawn))
            .collect();
        let paints = self.paints();
        let answer = json!({
            "title": scene.title,
            "said": drawing.said,
            "scale": scene.scale.to_string(),
            "name": self.settings.name,
            "file": self.settings.file,
            "digest": opened.digest,
            "unwritten": self.unwritten(),
            "print_only": self.settings.print_only,
            "photos": photos,
            "surfaces": surfaces,
            "materials": drawer(),
            "mixes": paints.as_ref().as_ref().err(),
            "paints": paints.as_ref().as_ref().map_or(0, |listed| listed.list.paints().len()),
            "drafts": self.drafts(),
            "ticks": self.ticks(),
            "solver": self.settings.core.is_some(),
        });
        let lights = drawing
            .photos
            .into_iter()
            .map(|DrawnPhoto { key, light, .. }| (key, SeenIn::in_light(light)))
            .collect();
        *self.lights.write().unwrap_or_else(PoisonError::into_inner) = lights;
        Ok(answer)
    }

    /// Puts a schedule where it is looked at.
    pub(super) fn show(&self, page: String) {
        *self.shown.lock().unwrap_or_else(PoisonError::into_inner) = page;
    }

    /// The schedule that was made last.
    pub(super) fn shown(&self) -> String {
        self.shown
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Most bytes of a photo's file.
    #[must_use]
    pub fn photo_bytes(&self) -> usize {
        usize::try_from(self.settings.limits.file_bytes).unwrap_or(usize::MAX)
    }

    /// Whether the scene is no longer as a page has read it.
    #[must_use]
    pub fn has_changed(&self, base: &str) -> bool {
        self.scene_bytes()
            .map_or(true, |bytes| digest(&bytes) != base)
    }

    /// The text of the scene, once, when a page is done and it was to be printed.
    #[must_use]
    pub fn take_printed(&self) -> Option<String> {
        self.printed
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take()
    }

    /// Whether a page is done and the program should print the scene.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.printed
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .is_some()
    }
}

pub(super) fn opened(settings: &Settings, bytes: Vec<u8>) -> Result<Opened, Vec<SceneError>> {
    Ok(Opened {
        scene: parse_scene_to_draw(&settings.name, &bytes, settings.may_name)?,
        digest: digest(&bytes),
        text: bytes,
    })
}

/// A surface with what the page shows but does not change.
fn described(surface: &crate::scene::Surface, drawn: &DrawnSurface) -> Value {
    json!({
        "was": drawn.was,
        "name": drawn.name,
        "treatment": drawn.treatment,
        "area": surface.area.map(|area| area.to_string()),
        "tones": match surface.tones { Count::Exactly(n) => Some(n), Count::Chosen => None },
        "parts": drawn.parts,
        "zones": drawn.zones,
        "in_bands": !surface.bands.is_empty(),
        "material": drawn.material,
        "said": drawn.said,
        "like": drawn.like,
    })
}

/// The measured materials, for the page's drawer.
fn drawer() -> Vec<Value> {
    let entry = |material: &Material| {
        json!({
            "name": material.name,
            "counted": material.counted(),
            "typical": material.typical_light().map(|light| LabD65::from(light).to_srgb8().to_string()),
            "words": material.words(),
            "things": material.things(),
            "cannot_show": material.cannot_show,
        })
    };
    MATERIALS.iter().map(entry).collect()
}
