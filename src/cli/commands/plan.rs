//! `plan`: a scene to its colour schedule.

use super::issue::{OUTPUTS, earlier, issue};
use super::patch::patch_log;
use super::trim::closeness;
use crate::cli::args::PlanArgs;
use crate::cli::request::{MOST_TEXT, paint_list, parsed_list, scatter_list};
use crate::cli::terminal::{Talk, plain, swatch};
use crate::cli::{Problems, boxed};
use hillwash::colour::LabD65;
use hillwash::files::{FileError, OutputFolder, SceneFolder, read_file};
use hillwash::lamps::Lamp;
use hillwash::mix::{Closeness, Shelf};
use hillwash::paint::{PaintList, ScatterList};
use hillwash::photo::Limits;
use hillwash::plan::{FewestPaints, Plan, SurfacePlan, check_dirt, plan, survey, weighable};
use hillwash::problem::{Explain, Place};
use hillwash::report::{blend_words, grain_word, note_hint, note_text, technique_words};
use hillwash::scene::{Lamps, Scene, parse_scene};
use hillwash::share::{MOST_BYTES, looks_received};
use std::fmt::Write;
use std::path::Path;

/// Most bytes of all photos of a scene together. Our choice: some hundred photos as cameras write them.
const MOST_PHOTO_BYTES: u64 = 2 << 30;

pub(crate) fn run(args: &PlanArgs, talk: Talk) -> Result<(), Problems> {
    let bytes = read_file(
        &args.scene,
        &Place::default(),
        "a scene file, or a schedule you received",
        MOST_BYTES,
    )
    .map_err(|e| boxed([e]))?;
    if looks_received(&bytes) {
        return super::resolve::run(args, &bytes, talk);
    }
    let limits = args.photo_limits.limits();
    let folder = SceneFolder::of(&args.scene, args.allow_outside);
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| folder.path().join("schedule"));
    let name = args.scene.display().to_string();
    let scene = parse_scene(&name, &bytes, args.allow_outside).map_err(boxed)?;
    let output = OutputFolder::check(&out, &OUTPUTS, args.force).map_err(|e| boxed([e]))?;
    let Materials {
        paints,
        scatter,
        photos,
        lamp,
    } = materials(
        OwnLists {
            paints: args.paints.as_deref(),
            scatter: args.scatter.as_deref(),
        },
        &scene,
        &folder,
        &limits,
    )?;
    check_dirt(&scene, &paints).map_err(boxed)?;
    let earlier = earlier(args)?;
    let shelf = Shelf::new(&paints);
    talk.tell(&format!(
        "reading {}, mixing from {}",
        counted(photos.len(), "photo"),
        counted(paints.paints().len(), "paint")
    ));
    let mut seen = survey(&scene, &photos, &limits).map_err(boxed)?;
    if args.no_photos {
        seen = seen.without_pictures();
    }
    let mut plan = plan(
        &scene,
        seen,
        &paints,
        &shelf,
        scatter.as_ref(),
        lamp,
        &args.search.search(),
    );
    plan.as_built = patch_log(&args.scene, &folder)?;
    if let Some(within) = args.trim {
        let within = closeness("--trim", within)?;
        let pots: Vec<LabD65> = plan.pots.iter().map(|pot| pot.colour).collect();
        let trim = shelf.trimmed(&pots, within, &args.search.search(), &[]);
        plan.fewest = Some(FewestPaints { within, trim });
    }
    issue(&plan, args, earlier.as_ref(), &output, talk)
}

/// Reads and checks a scene file.
pub(super) fn scene(path: &Path, allow_outside: bool) -> Result<Scene, Problems> {
    let name = path.display().to_string();
    let bytes =
        read_file(path, &Place::default(), "a scene file", MOST_TEXT).map_err(|e| boxed([e]))?;
    parse_scene(&name, &bytes, allow_outside).map_err(boxed)
}

/// Everything a scene names, read.
pub(super) struct Materials {
    pub(super) paints: PaintList,
    pub(super) scatter: Option<ScatterList>,
    pub(super) photos: Vec<Vec<u8>>,
    pub(super) lamp: Option<Lamp>,
}

/// A lamp's spectrum that cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {detail}")]
struct BadLamp {
    place: Place,
    file: String,
    detail: String,
}

impl Explain for BadLamp {
    fn place(&self) -> Place {
        self.place.clone()
    }

    fn hint(&self) -> Option<String> {
        Some(
            "write one row a wavelength: nanometres, relative power; every 5 nm is best".to_owned(),
        )
    }
}

/// The lamp over the layout; none for daylight and where the scene is silent.
pub(super) fn lamp(scene: &Scene, folder: &SceneFolder) -> Result<Option<Lamp>, Problems> {
    Ok(match &scene.lamps {
        None | Some(Lamps::Daylight) => None,
        Some(Lamps::Illuminant(name)) => Lamp::named(name),
        Some(Lamps::Kelvin(kelvin)) => Some(Lamp::of_temperature(*kelvin)),
        Some(Lamps::Spectrum(file)) => {
            let bytes = folder
                .read(file, &scene.lamps_place, "a lamp's spectrum", MOST_TEXT)
                .map_err(|e| boxed([e]))?;
            let lamp = Lamp::from_spectrum(file, &String::from_utf8_lossy(&bytes));
            Some(lamp.map_err(|detail| {
                boxed([BadLamp {
                    place: scene.lamps_place.clone(),
                    file: file.clone(),
                    detail,
                }])
            })?)
        }
    })
}

/// Lists that are used instead of the scene's own.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct OwnLists<'a> {
    pub(super) paints: Option<&'a Path>,
    pub(super) scatter: Option<&'a Path>,
}

/// Reads everything a scene names, and tells everything that is wrong with it at once.
pub(super) fn materials(
    lists: OwnLists<'_>,
    scene: &Scene,
    folder: &SceneFolder,
    limits: &Limits,
) -> Result<Materials, Problems> {
    let mut problems: Problems = Vec::new();
    let mut keep = |fault: FileError| problems.extend(boxed([fault]));
    let mut photos = Vec::new();
    let mut room = MOST_PHOTO_BYTES;
    for photo in &scene.photos {
        match folder.read(&photo.file, &photo.place, "a photo", limits.file_bytes) {
            Ok(bytes) if bytes.len() as u64 > room => {
                keep(FileError::TooMuch {
                    place: photo.place.clone(),
                    limit: MOST_PHOTO_BYTES,
                });
                break;
            }
            Ok(bytes) => {
                room -= bytes.len() as u64;
                photos.push(bytes);
            }
            Err(fault) => keep(fault),
        }
    }
    let own = scene.scatter.as_ref().filter(|_| lists.scatter.is_none());
    let scatter_bytes = own.and_then(|name| {
        folder
            .read(name, &scene.scatter_place, "a scatter list", MOST_TEXT)
            .map_err(&mut keep)
            .ok()
            .map(|bytes| (name, bytes))
    });
    let paints = match lists.paints {
        Some(path) => paint_list(path),
        None => folder
            .read(
                &scene.paints,
                &scene.paints_place,
                "a paint list",
                MOST_TEXT,
            )
            .map_err(|e| boxed([e]))
            .and_then(|bytes| parsed_list(&scene.paints, &bytes, folder)),
    };
    let scatter = match (lists.scatter, scatter_bytes) {
        (Some(path), _) => scatter_list(path).map(Some),
        (None, bytes) => bytes
            .map(|(name, bytes)| ScatterList::parse(name, &bytes).map_err(boxed))
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

/// "1 photo", "6 photos".
pub(super) fn counted(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

/// The blends of all strewn zones.
fn blends_text(plan: &Plan<'_>) -> String {
    let mut text = String::new();
    for surface in &plan.surfaces {
        for zone in &surface.zones {
            let Some((strewn, blend)) = zone
                .strewn
                .as_ref()
                .and_then(|strewn| Some((strewn, strewn.blend.as_ref()?)))
            else {
                continue;
            };
            let name = zone.band.as_ref().map_or_else(
                || plain(&surface.name),
                |band| format!("{}, {}", plain(&surface.name), plain(&band.name)),
            );
            let _ = writeln!(
                text,
                "\nScatter for {name}: {} {} wanted, blend ΔE00 {:.1} ± {:.0}",
                swatch(strewn.wanted.to_srgb8(), 3),
                swatch(blend.judged.colour.to_srgb8(), 3),
                blend.judged.difference.0,
                strewn.uncertainty.0
            );
            for layer in &strewn.layers {
                for (at, grams) in &layer.kinds {
                    let (kind, parts) = blend.parts[*at];
                    let grams =
                        grams.map_or_else(String::new, |g| format!(", {} g", weighable(g).value()));
                    let _ = writeln!(
                        text,
                        "  {:<12} {parts} {}{grams}",
                        grain_word(layer.grain),
                        plain(&plan.kinds[kind].name)
                    );
                }
            }
        }
    }
    text
}

/// Washes, the rock scheme and places of one surface.
fn dirt_summary(surface: &SurfacePlan, text: &mut String) {
    let rock_wash = surface.rock.iter().filter_map(|rock| rock.wash.as_ref());
    for wash in surface.wash.iter().chain(rock_wash) {
        for film in &wash.washes {
            let _ = writeln!(
                text,
                "  {}{}{}  {}: {}",
                swatch(wash.base.to_srgb8(), 2),
                swatch(wash.flat.to_srgb8(), 2),
                swatch(wash.recess.to_srgb8(), 2),
                technique_words(film.technique),
                plain(&blend_words(&film.blend)),
            );
        }
        let _ = writeln!(
            text,
            "          flats {} (ΔE00 {:.1}), recesses {} (ΔE00 {:.1}), real wash ± {:.0}",
            wash.flat.to_srgb8(),
            wash.flat_off.0,
            wash.recess.to_srgb8(),
            wash.recess_off.0,
            wash.washes
                .last()
                .map_or(0.0, |film| film.recess_uncertainty.0),
        );
    }
    for step in surface.rock.iter().flat_map(|rock| &rock.steps) {
        let blend = step
            .blend
            .as_ref()
            .map_or_else(|| "nothing on the list mixes".to_owned(), blend_words);
        let _ = writeln!(
            text,
            "  {} {}: {}",
            swatch(step.planned.to_srgb8(), 6),
            step.role.words(),
            plain(&blend)
        );
    }
    for place in &surface.places {
        let blend = place
            .blend()
            .map_or_else(|| "nothing on the list will do".to_owned(), blend_words);
        let _ = writeln!(
            text,
            "  {} {}, {}: {}",
            swatch(place.wanted.to_srgb8(), 6),
            plain(&place.name),
            technique_words(place.technique),
            plain(&blend)
        );
    }
}

/// The plan in words.
pub(super) fn summary(plan: &Plan<'_>, talk: Talk) -> String {
    let mut text = format!("{}, {}\n", plain(&plan.scene.title), plan.scene.scale);
    for surface in &plan.surfaces {
        let area = surface
            .area
            .map_or_else(String::new, |a| format!(", {:.0} cm2", a.value()));
        let _ = writeln!(
            text,
            "\n{} ({}{area})",
            plain(&surface.name),
            surface.treatment.word()
        );
        for tone in &surface.tones {
            let planned = tone.moved.colour.to_srgb8();
            let _ = write!(text, "  {}", swatch(planned, 3));
            match tone.recipes.first() {
                Some(recipe) => {
                    let names: Vec<String> = recipe
                        .parts
                        .iter()
                        .map(|(at, parts)| {
                            format!("{parts} {}", plain(&plan.shelf.stocks()[*at].name))
                        })
                        .collect();
                    let pot = tone.pot.map_or_else(
                        || "      ".to_owned(),
                        |pot| format!("pot {:<2}", plan.pots[pot].number),
                    );
                    let _ = writeln!(
                        text,
                        "{} {planned} {:>3.0} %  {pot}  {}  ({}, ΔE00 {:.1}, real mix ± {:.0})",
                        swatch(recipe.colour.to_srgb8(), 3),
                        100.0 * tone.tone.share.value(),
                        names.join(" + "),
                        Closeness::of(recipe.difference).words(),
                        recipe.difference.0,
                        recipe.uncertainty.0,
                    );
                }
                None => {
                    let _ = writeln!(text, "    {planned}  nothing on the list mixes");
                }
            }
        }
        dirt_summary(surface, &mut text);
    }
    text.push_str(&blends_text(plan));
    let buying: Vec<String> = plan
        .shopping
        .iter()
        .filter_map(|line| {
            line.to_buy
                .filter(|n| *n > 0)
                .map(|n| format!("{n} x {}", plain(&line.paint)))
        })
        .collect();
    let _ = writeln!(
        text,
        "\n{} to mix; to buy: {}",
        counted(
            plan.pots.iter().filter(|pot| pot.recipe.is_some()).count(),
            "pot"
        ),
        if buying.is_empty() {
            "nothing".to_owned()
        } else {
            buying.join(", ")
        }
    );
    if talk == Talk::Usual && !plan.notes.is_empty() {
        text.push_str("\nWhat is uncertain:\n");
        for note in &plan.notes {
            let hint = note_hint(note).map_or_else(String::new, |hint| format!(" {hint}"));
            let _ = writeln!(text, "  - {}{}", plain(&note_text(note)), hint);
        }
    }
    text
}
