//! What the page may ask, and the answers: a scene, its photos, its paints.

use super::drawing::{Drawing, DrawnKnown, DrawnLight, DrawnPhoto, DrawnSurface, DrawnZone, Point};
use super::edit::{EditError, drawn_into};
use super::gallery::{Gallery, Loaded};
use super::pages::{Kind, Lane, Pages};
use super::start::{NewScene, PAINTS};
use crate::colour::{LabD65, LinearSrgb, plain_name};
use crate::files::{
    FileError, MOST_SCENE, MOST_TEXT, SceneFolder, other_names, read_file, replace_file, sweep,
    write_file,
};
use crate::materials::{MATERIALS, Material};
use crate::mix::Shelf;
use crate::photo::{Crop, KnownLight, Limits, SmallJpeg, small_jpeg};
use crate::problem::{Explain, Place};
use crate::scene::{PhotoSource, Scene, parse_scene_to_draw};
use crate::tones::Count;
use serde::Deserialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::Instant;

/// Half the side of the square of pixels in the loupe.
const LOUPE: usize = 7;
/// Half the side of the square whose mean the loupe tells.
const POINTED_AT: usize = 1;
/// Long sides that a cut may be asked for.
const CUT_SIDES: std::ops::RangeInclusive<u32> = 16..=4096;

/// What is drawn on, and with which paints.
#[derive(Debug)]
pub struct Settings {
    /// The scene file; it need not be there yet when the scene is new.
    pub scene: PathBuf,
    /// The text of a scene that is not written yet.
    pub(super) new_scene: Option<NewScene>,
    /// Whether the scene may name files outside its folder.
    pub allow_outside: bool,
    /// Limits of photos.
    pub limits: Limits,
    /// Give the text at the end instead of writing it.
    pub print_only: bool,
    /// The list that is written beside a new scene, and mixed from until the scene has one.
    pub starter_paints: &'static [u8],
}

/// Why something asked for is not to be had: words for the page, and whether the file has changed.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Refused {
    /// It makes no sense, or cannot be done.
    Problem { words: String, hint: Option<String> },
    /// The file is not as the page has read it.
    Changed,
    /// A newer question has overtaken it.
    Stale,
}

impl Refused {
    pub(super) fn of(problem: &dyn Explain) -> Self {
        let place = problem.place().to_string();
        Self::Problem {
            words: if place.is_empty() {
                problem.to_string()
            } else {
                format!("{place}: {problem}")
            },
            hint: problem.hint(),
        }
    }

    pub(super) fn words(words: impl Into<String>) -> Self {
        Self::Problem {
            words: words.into(),
            hint: None,
        }
    }
}

/// The scene as it was read last.
#[derive(Debug)]
pub(super) struct Opened {
    pub(super) scene: Scene,
    digest: String,
    text: Vec<u8>,
}

/// Everything the page can be told.
#[derive(Debug)]
pub(super) struct Desk {
    settings: Settings,
    folder: SceneFolder,
    opened: RwLock<Arc<Opened>>,
    /// The light each photo is seen in, as the page has it.
    lights: RwLock<Vec<(String, SeenIn)>>,
    gallery: Gallery,
    pub(super) shelf: Result<Shelf, String>,
    pub(super) pages: Mutex<Pages>,
    /// The text to print, when that is all that is wanted.
    pub(super) printed: Mutex<Option<String>>,
    /// One saving at a time.
    saving: Mutex<()>,
}

/// A question about the colour at a point.
#[derive(Debug, Deserialize)]
pub(super) struct AskColour {
    photo: String,
    at: Point,
}

/// A photo and the light to see it in.
#[derive(Debug, Deserialize)]
pub(super) struct AskLight {
    photo: String,
    #[serde(flatten)]
    seen_in: SeenIn,
}

/// What the page says of a photo's light.
#[derive(Debug, Clone, Default, Deserialize)]
struct SeenIn {
    light: DrawnLight,
    /// What its surfaces are made of, as drawn; as in the file where the page has not said.
    #[serde(default)]
    known: Option<Vec<DrawnKnown>>,
}

impl SeenIn {
    /// What is known of the light of a photo.
    fn of(&self, source: &PhotoSource) -> Result<KnownLight, Refused> {
        let known = self.light.known().map_err(|e| Refused::of(&e))?;
        let drawn = match &self.known {
            Some(drawn) if source.heeds_surfaces() && !self.light.estimate => {
                drawn.iter().filter_map(DrawnKnown::known).collect()
            }
            Some(_) => Vec::new(),
            None => return Ok(known.with_materials(&source.materials)),
        };
        Ok(known.with_materials(&[source.known.clone(), drawn].concat()))
    }
}

/// A wish to save.
#[derive(Debug, Deserialize)]
pub(super) struct AskSave {
    /// Digest of the file the page has read.
    base: String,
    drawing: Drawing,
    /// Put the drawing into the file although it has changed: what others wrote stays, but for what is drawn.
    #[serde(default)]
    over: bool,
}

/// A part of a photo to show.
#[derive(Debug, Deserialize)]
pub(super) struct AskCut {
    photo: String,
    l: f64,
    t: f64,
    r: f64,
    b: f64,
    side: u32,
}

pub(super) fn lab(colour: LabD65) -> [f64; 3] {
    [colour.l, colour.a, colour.b]
}

fn digest(bytes: &[u8]) -> String {
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
    /// All faults of the scene. A paint list that cannot be read is told on the page: drawing needs none.
    pub(super) fn new(settings: Settings, now: Instant) -> Result<Self, Vec<Box<dyn Explain>>> {
        let folder = SceneFolder::of(&settings.scene, settings.allow_outside);
        sweep(folder.path());
        let bytes = scene_bytes(&settings).map_err(|e| vec![Box::new(e) as Box<dyn Explain>])?;
        let opened = opened(&settings, &bytes).map_err(|faults| {
            let boxed = |fault| Box::new(fault) as Box<dyn Explain>;
            faults.into_iter().map(boxed).collect::<Vec<_>>()
        })?;
        let shelf = shelf(&settings, &folder, &opened.scene);
        Ok(Self {
            gallery: Gallery::new(settings.limits),
            folder,
            opened: RwLock::new(Arc::new(opened)),
            lights: RwLock::default(),
            shelf,
            pages: Mutex::new(Pages::new(now)),
            printed: Mutex::default(),
            saving: Mutex::default(),
            settings,
        })
    }

    pub(super) fn opened(&self) -> Arc<Opened> {
        Arc::clone(&self.opened.read().unwrap_or_else(PoisonError::into_inner))
    }

    pub(super) fn lane(&self, page: &str, kind: Kind) -> Arc<Lane> {
        self.pages
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .lane(page, kind, Instant::now())
    }

    /// The scene as it is now, for a page that opens.
    pub(super) fn hello(&self, page: &str) -> Result<Value, Refused> {
        let bytes = scene_bytes(&self.settings).map_err(|e| Refused::of(&e))?;
        let opened = opened(&self.settings, &bytes).map_err(|faults| Refused::Problem {
            words: faults
                .iter()
                .map(|fault| format!("{}: {fault}", fault.place()))
                .collect::<Vec<_>>()
                .join("; "),
            hint: faults.iter().find_map(Explain::hint),
        })?;
        let drawing = Drawing::of(&opened.scene);
        let scene = &opened.scene;
        let photos: Vec<Value> = scene
            .photos
            .iter()
            .zip(&drawing.photos)
            .map(|(source, drawn)| json!({ "key": source.key, "file": source.file, "light": drawn.light }))
            .collect();
        let surfaces: Vec<Value> = scene
            .surfaces
            .iter()
            .zip(&drawing.surfaces)
            .map(|(surface, drawn)| described(surface, drawn))
            .collect();
        let later = {
            let mut pages = self.pages.lock().unwrap_or_else(PoisonError::into_inner);
            pages.used(page, Instant::now());
            pages.is_later(page, Instant::now())
        };
        let answer = json!({
            "title": scene.title,
            "scale": scene.scale.to_string(),
            "file": file_name(&self.settings),
            "digest": opened.digest,
            "unwritten": self.unwritten(),
            "print_only": self.settings.print_only,
            "photos": photos,
            "surfaces": surfaces,
            "materials": drawer(),
            "later": later,
            "mixes": self.shelf.as_ref().err(),
        });
        let lights = drawing
            .photos
            .into_iter()
            .map(|DrawnPhoto { key, light }| (key, SeenIn { light, known: None }))
            .collect();
        *self.lights.write().unwrap_or_else(PoisonError::into_inner) = lights;
        *self.opened.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(opened);
        Ok(answer)
    }

    /// The scene's folder.
    pub(super) fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// How many further names the scene file has on its disk.
    pub(super) fn other_names(&self) -> u64 {
        other_names(&self.settings.scene)
    }

    /// Whether the scene file is still to be made.
    fn unwritten(&self) -> bool {
        self.settings.new_scene.is_some() && !self.settings.scene.exists()
    }

    /// Whether another page was there first, and whether the file is still as `base` says.
    pub(super) fn alive(&self, page: &str, unsaved: bool, base: &str) -> Value {
        let now = Instant::now();
        let mut pages = self.pages.lock().unwrap_or_else(PoisonError::into_inner);
        pages.alive(page, unsaved, now);
        let later = pages.is_later(page, now);
        drop(pages);
        let changed = scene_bytes(&self.settings).map_or(true, |bytes| digest(&bytes) != base);
        json!({ "later": later, "changed": changed })
    }

    /// Works with a photo under the light the page has chosen.
    pub(super) fn with_photo<T>(
        &self,
        key: &str,
        work: impl FnOnce(&Loaded, &PhotoSource) -> T,
    ) -> Result<T, Refused> {
        let opened = self.opened();
        let source = opened
            .scene
            .photos
            .iter()
            .find(|photo| photo.key == key)
            .ok_or_else(|| {
                Refused::words(format!("found no photo named \"{key}\" in the scene"))
            })?;
        let light = self
            .lights
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, light)| light.clone())
            .unwrap_or_default();
        let light = light.of(source)?;
        let limit = self.settings.limits.file_bytes;
        let bytes = || {
            self.folder
                .read(&source.file, &source.place, "a photo", limit)
                .map_err(|e| e.to_string())
        };
        self.gallery
            .with(key, &light, bytes, |loaded| work(loaded, source))
            .map_err(|words| Refused::words(format!("{}: {words}", source.file)))
    }

    /// Sets the light a photo is seen in, and tells what that did.
    pub(super) fn light(&self, ask: AskLight) -> Result<Value, Refused> {
        let old = self.set_light(&ask.photo, ask.seen_in);
        let told = self.with_photo(&ask.photo, |loaded, _| {
            json!({
                "width": loaded.picture.width,
                "height": loaded.picture.height,
                "words": loaded.report.to_string(),
                "uncertainty": loaded.report.uncertainty.0,
                "warnings": warnings_of(loaded),
            })
        });
        if told.is_err() {
            self.set_light(&ask.photo, old);
        }
        told
    }

    fn set_light(&self, photo: &str, light: SeenIn) -> SeenIn {
        let mut lights = self.lights.write().unwrap_or_else(PoisonError::into_inner);
        match lights.iter_mut().find(|(name, _)| name == photo) {
            Some((_, old)) => std::mem::replace(old, light),
            None => SeenIn::default(),
        }
    }

    /// The colour at a point, and the pixels about it.
    pub(super) fn colour(
        &self,
        ask: &AskColour,
        lane: &Lane,
        number: u64,
    ) -> Result<Value, Refused> {
        let _turn = lane.turn_of(number).ok_or(Refused::Stale)?;
        self.with_photo(&ask.photo, |loaded, _| pointed_at(loaded, ask.at))
    }

    /// Regions that may be surfaces.
    pub(super) fn suggest(&self, photo: &str) -> Result<Value, Refused> {
        self.with_photo(photo, |_, _| ())?;
        let found = self.gallery.suggestions(photo).unwrap_or_default();
        let told: Vec<Value> = found
            .iter()
            .map(|one| {
                json!({
                    "outline": one.region.outline,
                    "leave_out": one.region.leave_out,
                    "hex": one.colour.to_srgb8().to_string(),
                    "name": one.name,
                    "share": one.share,
                })
            })
            .collect();
        Ok(json!({ "suggestions": told }))
    }

    /// The whole photo, small.
    pub(super) fn view(&self, photo: &str) -> Result<Arc<SmallJpeg>, Refused> {
        self.with_photo(photo, |_, _| ())?;
        self.gallery
            .view(photo)
            .ok_or_else(|| Refused::words("found nothing to show"))
    }

    /// A part of the photo, as fine as it is or as asked for.
    pub(super) fn cut(&self, ask: &AskCut) -> Result<SmallJpeg, Refused> {
        let side = ask.side.clamp(*CUT_SIDES.start(), *CUT_SIDES.end());
        let span = [ask.l, ask.t, ask.r, ask.b];
        if span.iter().any(|v| !(0.0..=1.0).contains(v)) || ask.l >= ask.r || ask.t >= ask.b {
            return Err(Refused::words("found a part outside the photo"));
        }
        self.with_photo(&ask.photo, |loaded, _| {
            small_jpeg(&loaded.picture, Crop(span), side)
        })?
        .ok_or_else(|| Refused::words("found nothing to show"))
    }

    /// Puts a drawing into the scene file, or keeps it to be printed.
    pub(super) fn save(&self, ask: &AskSave) -> Result<Value, Refused> {
        let _one = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let bytes = match scene_bytes(&self.settings) {
            // Taken away while the page was open: what was read last is written anew, with the drawing.
            Err(FileError::Missing { .. }) => self.opened().text.clone(),
            read => read.map_err(|e| Refused::of(&e))?,
        };
        if digest(&bytes) != ask.base && !ask.over {
            return Err(Refused::Changed);
        }
        if ask.drawing.surfaces.is_empty() {
            return Err(Refused::words("found no surface, expected at least one"));
        }
        let edited = |e: EditError| Refused::of(&e);
        let name = self.settings.scene.display().to_string();
        let text =
            drawn_into(&name, &bytes, self.settings.allow_outside, &ask.drawing).map_err(edited)?;
        if self.settings.print_only {
            *self.printed.lock().unwrap_or_else(PoisonError::into_inner) = Some(text);
            return Ok(json!({ "printed": true }));
        }
        let wrote = self.write(&bytes, text.as_bytes()).map_err(|e| match e {
            FileError::Changed { .. } | FileError::Occupied { .. } => Refused::Changed,
            other => Refused::of(&other),
        })?;
        // Where the zones stand in the file now: those without an outline are not drawn, but count.
        let zones: BTreeMap<String, Vec<DrawnZone>> = opened(&self.settings, text.as_bytes())
            .map(|now| now.scene.surfaces)
            .unwrap_or_default()
            .iter()
            .map(|surface| (surface.name.clone(), DrawnZone::all_of(surface)))
            .collect();
        Ok(json!({
            "digest": digest(text.as_bytes()),
            "wrote": wrote,
            "scene": self.settings.scene.display().to_string(),
            "zones": zones,
        }))
    }

    /// Writes the scene; a new one gets its paint list first, so that a scene that is there can be planned.
    fn write(&self, before: &[u8], text: &[u8]) -> Result<Vec<String>, FileError> {
        let mut wrote = vec![file_name(&self.settings)];
        if self.settings.scene.exists() {
            replace_file(&self.settings.scene, before, text)?;
            return Ok(wrote);
        }
        let needs_paints = self.unwritten()
            && self
                .settings
                .new_scene
                .as_ref()
                .is_some_and(|n| n.needs_paints);
        let paints = self.folder.path().join(PAINTS);
        if needs_paints && !paints.exists() {
            write_file(&paints, self.settings.starter_paints)?;
            wrote.push(PAINTS.to_owned());
        }
        write_file(&self.settings.scene, text)?;
        Ok(wrote)
    }
}

fn file_name(settings: &Settings) -> String {
    settings
        .scene
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// The file as it is now, or the text that will become it.
fn scene_bytes(settings: &Settings) -> Result<Vec<u8>, FileError> {
    match &settings.new_scene {
        Some(new) if !settings.scene.exists() => Ok(new.text.clone().into_bytes()),
        _ => read_file(
            &settings.scene,
            &Place::default(),
            "a scene file",
            MOST_SCENE,
        ),
    }
}

fn opened(settings: &Settings, bytes: &[u8]) -> Result<Opened, Vec<crate::scene::SceneError>> {
    let name = settings.scene.display().to_string();
    Ok(Opened {
        scene: parse_scene_to_draw(&name, bytes, settings.allow_outside)?,
        digest: digest(bytes),
        text: bytes.to_vec(),
    })
}

/// The scene's paints, or the starter list where a new scene will get it; else words on why there are none.
fn shelf(settings: &Settings, folder: &SceneFolder, scene: &Scene) -> Result<Shelf, String> {
    use crate::paint::{PaintList, Reading};
    let starter = settings
        .new_scene
        .as_ref()
        .is_some_and(|new| new.needs_paints);
    let bytes = if starter {
        settings.starter_paints.to_vec()
    } else {
        folder
            .read(
                &scene.paints,
                &scene.paints_place,
                "a paint list",
                MOST_TEXT,
            )
            .map_err(|e| e.to_string())?
    };
    let spectrum = |name: &str| {
        folder
            .read(name, &Place::default(), "a spectrum", MOST_TEXT)
            .map_err(|e| e.to_string())
            .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "not UTF-8 text".to_owned()))
    };
    let how = Reading {
        medium: scene.paints_medium,
        ..Reading::default()
    };
    let list = PaintList::read(&scene.paints, &bytes, &spectrum, &how).map_err(|faults| {
        let first = faults.first().map(ToString::to_string).unwrap_or_default();
        format!("{}: {first}", scene.paints)
    })?;
    Ok(Shelf::new(&list))
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

/// What is doubtful about a photo: as read, and by what is known in it.
fn warnings_of(loaded: &Loaded) -> Vec<String> {
    let read = loaded.warnings.iter().map(ToString::to_string);
    read.chain(loaded.report.contradictions()).collect()
}

/// The pixels about a point: the mean of the innermost in words and numbers, and all of them to be shown large.
fn pointed_at(loaded: &Loaded, at: Point) -> Value {
    use std::fmt::Write;
    let picture = &loaded.picture;
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a fraction of a pixel count, clamped to it"
    )]
    let place = |v: f64, length: usize| {
        ((v.clamp(0.0, 1.0) * length as f64) as usize).min(length.saturating_sub(1))
    };
    let (x, y) = (place(at[0], picture.width), place(at[1], picture.height));
    let side = 2 * LOUPE + 1;
    let encoded: Vec<[f64; 3]> = (0..side * side)
        .map(|i| {
            let near = |v: usize, step: usize, length: usize| {
                (v + step).saturating_sub(LOUPE).min(length - 1)
            };
            let column = near(x, i % side, picture.width);
            let row = near(y, i / side, picture.height);
            picture.encoded(row, column)
        })
        .collect();
    let light = picture.light_of(&encoded);
    let inner = |i: &usize| {
        (i % side).abs_diff(LOUPE) <= POINTED_AT && (i / side).abs_diff(LOUPE) <= POINTED_AT
    };
    let within: Vec<&LinearSrgb> = (0..light.len()).filter(inner).map(|i| &light[i]).collect();
    #[expect(clippy::cast_precision_loss, reason = "nine")]
    let mean = |channel: fn(&LinearSrgb) -> f64| {
        within.iter().map(|light| channel(light)).sum::<f64>() / within.len() as f64
    };
    let colour = LabD65::from(LinearSrgb {
        r: mean(|light| light.r),
        g: mean(|light| light.g),
        b: mean(|light| light.b),
    });
    let pixels = light.iter().fold(String::new(), |mut text, light| {
        let [r, g, b] = light.encode().0;
        let _ = write!(text, "{r:02x}{g:02x}{b:02x}");
        text
    });
    json!({
        "hex": colour.to_srgb8().to_string(),
        "lab": lab(colour),
        "name": plain_name(colour),
        "side": side,
        "pixels": pixels,
        "x": x,
        "y": y,
    })
}
