//! `patch`: a photo of a dried test patch against the plan.

use super::patch_log::{self, add, entry, log_name, patch_log};
use super::patch_photo::{PatchPhoto, TypedLight, Unlit};
use super::patch_text::{offered_text, patch_text};
use super::patch_wash;
use crate::cli::args::{PatchArgs, PatchVerb};
use crate::cli::request::{ArgumentError, MOST_TEXT, bad, date, listed, lists, parts, region};
use crate::cli::terminal::{Talk, answer, plain, say};
use crate::cli::watch::Watch;
use crate::cli::{Problems, boxed};
use hillwash::colour::{LabD65, delta_e00};
use hillwash::files::{SceneFolder, free_to_write, read_file, write_file};
use hillwash::mix::{PaintId, Shelf};
use hillwash::paint::{ListChange, PaintList, with_changes};
use hillwash::patch::{
    DriedPatch, OfferedChange, PatchReport, judge, offered_changes, read_before,
};
use hillwash::plan::{AsBuilt, FilmRead, PatchLog, Plan, SurfaceId, SurfacePlan, TonePlan, Wishes};
use hillwash::problem::{Place, nearest_word};
use hillwash::region::Region;
use hillwash::scene::Scene;
use hillwash::workshop::{OwnLists, Workshop};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// False if the user asked for a list with truer strengths and the patches support none.
pub(crate) fn run(args: &PatchArgs, talk: Talk) -> Result<bool, Problems> {
    if let Some(PatchVerb::Undo(undo)) = &args.verb {
        return patch_log::undo(undo).map(|()| true);
    }
    let limits = args.photo_limits.limits();
    if let Some(out) = &args.write_list {
        free_to_write(out).map_err(|e| boxed([e]))?;
    }
    let workshop = opened(args, talk)?;
    let (shelf, paints, folder) = (&workshop.shelf, &workshop.paints, &workshop.folder);
    // A log that cannot be read keeps no reading back; it is told with whatever else goes wrong.
    let mut problems: Problems = Vec::new();
    let log = patch_log(args.scene(), folder).map_err(|found| problems.extend(found));
    // What was typed is checked before the long work.
    let at = surface(&workshop.scene, args.surface())?;
    let told = args.mixed.as_deref();
    let told = told.map(|text| mixed(text, paints, shelf)).transpose()?;
    let light = TypedLight::typed(args, paints)?;
    region(args.region.as_deref())?;
    let photo = Unlit::read(args, &limits)?;
    let films = log.as_ref().map_or(&[][..], |log| &log.films);
    let plan = planned_again(&workshop, args, films, talk)?;
    let surface = &plan.surfaces[at];
    let tone = tone(surface, args.tone)?;
    let photo = photo.lit(args, light, tone.wanted.moved.colour)?;
    if args.wash {
        let patch = patch_wash::PhotographedPatch {
            args,
            scene: &workshop.scene,
            shelf,
            surface,
            photo: &photo,
            mixed: told,
            log: log.as_ref().ok(),
            folder,
        };
        patch_wash::run(&patch, talk)?;
        return all_well(problems).map(|()| true);
    }
    let entries = log.as_ref().map_or(&[][..], |log| log.entries.as_slice());
    let held = PatchOfTone {
        args,
        shelf,
        plan: &plan,
        at,
        tone,
        photo: &photo,
    };
    let judged = held.judged(told, entries)?;
    let new = NewEntry {
        entry: entry(args, &date(args.date)?, &judged.report, shelf, &photo),
        may_be_logged: !judged.asked,
    };
    let kept = keep(args, &workshop, new, log.ok(), &mut problems);
    if args.json {
        say(&answer(judged.json(&kept)))?;
    } else {
        say(judged.words(&kept, talk).trim_end())?;
    }
    all_well(problems).map(|()| args.write_list.is_none() || kept.written.is_some())
}

/// The scene with all it names.
fn opened(args: &PatchArgs, talk: Talk) -> Result<Workshop, Problems> {
    let own = OwnLists {
        paints: args.paints.as_deref(),
        scatter: None,
        how: lists(&args.list, talk)?,
    };
    let limits = args.photo_limits.limits();
    Workshop::open(args.scene(), args.outside.may_name(), own, limits)
}

/// A photographed patch, and the tone of the plan that it is compared with.
struct PatchOfTone<'a> {
    args: &'a PatchArgs,
    shelf: &'a Shelf,
    plan: &'a Plan<'a>,
    at: SurfaceId,
    tone: &'a TonePlan,
    photo: &'a PatchPhoto,
}

impl<'a> PatchOfTone<'a> {
    /// Reads and judges it. The pot is what the user said, or what was planned.
    fn judged(
        &self,
        told: Option<Vec<(PaintId, f64)>>,
        entries: &[AsBuilt],
    ) -> Result<JudgedPatch<'a>, Problems> {
        let (args, shelf, photo) = (self.args, self.shelf, self.photo);
        let surface = &self.plan.surfaces[self.at];
        let planned = self.plan.brushed_colour(self.at, self.tone);
        let pot = match told {
            Some(told) => told,
            None if args.added => added_pot(entries, surface, self.tone, shelf)?,
            None => planned_pot(self.plan, self.at, self.tone)?,
        };
        let (read_at, doubtful) = photo.region(args, planned)?;
        let reading = photo.reading(args, &read_at)?;
        let tone = self.tone.wanted.tone.name;
        let before = read_before(
            shelf,
            entries,
            (&surface.wanted.name, tone),
            (photo.light_word(), &photo.content),
        );
        let patch = DriedPatch {
            surface: &surface.wanted.name,
            tone,
            pot: &pot,
            planned,
            seen: reading,
            uncertainty: photo.uncertainty(reading.colour),
            before: &before,
        };
        let report = judge(shelf, &patch)
            .map_err(|e| bad("--mixed", ArgumentError::Mixture(e)))?
            .after(entries, photo.light_word());
        Ok(JudgedPatch {
            args,
            shelf,
            photo,
            read_at,
            doubtful,
            asked: report.doubt.is_some() && !args.log_anyway,
            fits: (report.doubt).and_then(|_| nearest_of(self.plan, report.seen.colour)),
            report,
        })
    }
}

/// A patch that was read and judged.
struct JudgedPatch<'a> {
    args: &'a PatchArgs,
    shelf: &'a Shelf,
    photo: &'a PatchPhoto,
    report: PatchReport,
    /// The part of the photo that was read.
    read_at: Region,
    /// Another part may be meant.
    doubtful: bool,
    /// It is asked, before it is logged, whether it is of this pot.
    asked: bool,
    /// The surface and tone it comes nearest to, where it cannot be of this pot.
    fits: Option<(&'a str, &'a str, f64)>,
}

impl JudgedPatch<'_> {
    fn json(&self, kept: &LoggedReading<'_>) -> Value {
        let mut value = with_photo(self.report.json(self.shelf), self.photo, &self.read_at);
        value["offered_changes"] = changes(&kept.offered);
        value["logged"] = json!(kept.logged);
        value["nearest_surface"] = json!(self.fits.map(|(surface, _, _)| surface));
        if self.args.write_list.is_some() {
            value["list_written"] = json!(kept.written.map(|out| out.display().to_string()));
        }
        value
    }

    fn words(&self, kept: &LoggedReading<'_>, talk: Talk) -> String {
        let mut text = patch_text(
            &self.report,
            self.shelf,
            &self.photo.warnings,
            self.doubtful.then_some(&self.read_at),
        );
        text.push_str(&where_read(&self.read_at, self.photo, talk));
        offered_text(&kept.offered, self.args, &mut text);
        if self.asked && !self.args.no_log {
            text.push_str(&question(self.fits));
        }
        if kept.logged {
            text.push_str(&logged_text(self.args.scene()));
        }
        text
    }
}

/// The plan as it was made before the patch: of the log only films have a say in it.
fn planned_again<'a>(
    workshop: &'a Workshop,
    args: &PatchArgs,
    films: &[FilmRead],
    talk: Talk,
) -> Result<Plan<'a>, Problems> {
    talk.tell("working the plan out again, to compare the patch with it");
    let watch = Watch::begin(None, talk);
    let wishes = Wishes::from(watch.search(&args.search));
    workshop.plan_again(args.cache.folder().as_ref(), films.to_vec(), &wishes)
}

/// The part of the photo that was read, and by what light.
fn where_read(read_at: &Region, photo: &PatchPhoto, talk: Talk) -> String {
    let [left, top, right, bottom] = read_at.outline.bounds();
    let mut text = format!(
        "read at {left:.2},{top:.2},{right:.2},{bottom:.2} of the photo; --region chooses another part\n"
    );
    if talk == Talk::Usual || photo.reference().is_some() {
        let _ = writeln!(text, "light: {}", photo.light);
    }
    text
}

fn logged_text(scene: &Path) -> String {
    let log = log_name(scene);
    format!("logged in {}: plan shows it as built\n", plain(&log))
}

/// What became of a reading.
struct LoggedReading<'a> {
    logged: bool,
    /// Strengths that the patches support.
    offered: Vec<OfferedChange>,
    /// The list that was written with them.
    written: Option<&'a PathBuf>,
}

/// A reading as it is logged.
struct NewEntry {
    entry: AsBuilt,
    /// False until somebody says that it is of this pot.
    may_be_logged: bool,
}

/// Logs a reading where the log can be read, and writes the list that was asked for. It records what goes wrong, but
/// the user always gets the reading.
fn keep<'a>(
    args: &'a PatchArgs,
    workshop: &Workshop,
    new: NewEntry,
    log: Option<PatchLog>,
    problems: &mut Problems,
) -> LoggedReading<'a> {
    let NewEntry {
        entry,
        may_be_logged,
    } = new;
    let folder = &workshop.folder;
    let mut logged = false;
    if let Some(log) = log.as_ref().filter(|_| !args.no_log && may_be_logged) {
        let line = entry.line().unwrap_or_default();
        match add(args.scene(), folder, &line, log) {
            Ok(()) => logged = true,
            Err(cause) => problems.extend(boxed([cause])),
        }
    }
    let mut entries = log.unwrap_or_default().entries;
    entries.push(entry);
    let offered = offered_changes(&workshop.shelf, &workshop.paints, &entries);
    let mut written = args.write_list.as_ref().filter(|_| !offered.is_empty());
    if let Some(out) = written
        && let Err(found) = write_changed(args, &workshop.scene.paints, folder, &offered, out)
    {
        problems.extend(found);
        written = None;
    }
    LoggedReading {
        logged,
        offered,
        written,
    }
}

/// Whether nothing went wrong on the way.
fn all_well(problems: Problems) -> Result<(), Problems> {
    if problems.is_empty() {
        Ok(())
    } else {
        Err(problems)
    }
}

/// The surface and tone, of those that are brushed, whose planned colour comes nearest to what was read.
fn nearest_of<'a>(plan: &'a Plan<'_>, seen: LabD65) -> Option<(&'a str, &'a str, f64)> {
    SurfaceId::all(plan.surfaces.len())
        .flat_map(|at| plan.surfaces[at].tones.iter().map(move |tone| (at, tone)))
        .filter(|(at, tone)| plan.brushed_parts(*at, tone).is_some())
        .map(|(at, tone)| (&plan.surfaces[at], tone))
        .map(|(surface, tone)| {
            let off = delta_e00(tone.wanted.moved.colour, seen).0;
            (surface.wanted.name.as_str(), tone.wanted.tone.name, off)
        })
        .min_by(|a, b| a.2.total_cmp(&b.2))
}

/// The question before logging a patch that no mixture of its pot comes near.
fn question(fits: Option<(&str, &str, f64)>) -> String {
    let nearest = fits.map_or_else(String::new, |(surface, tone, off)| {
        format!(
            " Nearest to it is {}, {tone} (ΔE00 {off:.0}).",
            plain(surface)
        )
    });
    format!(
        "Is this the right surface, and the right pot?{nearest} It is not logged. If both are right, use --log-anyway.\n"
    )
}

/// What is in the pot of a tone's last patch after the advised addition.
fn added_pot(
    log: &[AsBuilt],
    surface: &SurfacePlan,
    tone: &TonePlan,
    shelf: &Shelf,
) -> Result<Vec<(PaintId, f64)>, Problems> {
    let of_tone = |entry: &&AsBuilt| {
        entry.surface == surface.wanted.name && entry.tone == tone.wanted.tone.name
    };
    let pot = log
        .iter()
        .rev()
        .find(of_tone)
        .and_then(AsBuilt::after_adding)
        .and_then(|pot| {
            let place = |name: &str| shelf.find(|stock| stock.name == name);
            pot.iter()
                .map(|paint| Some((place(&paint.name)?, paint.parts)))
                .collect::<Option<Vec<_>>>()
        });
    pot.ok_or_else(|| {
        bad(
            "--added",
            ArgumentError::NothingAdded {
                found: surface.wanted.name.clone(),
            },
        )
    })
}

/// A report, and what is known of its photo.
fn with_photo(mut report: Value, photo: &PatchPhoto, read_at: &Region) -> Value {
    report["region"] = json!(read_at.outline.points());
    report["light"] = json!(photo.light.to_string());
    report["beside"] = photo.reference().map_or(Value::Null, |reference| {
        json!({
            "what": reference.known.word(), "hex": reference.colour.to_srgb8(),
            "region": reference.region.outline.points(),
        })
    });
    report
}

/// Offered strengths as JSON.
fn changes(offered: &[OfferedChange]) -> Value {
    offered
        .iter()
        .map(|change| {
            json!({
                "paint": change.paint, "strength_now": change.from, "strength_offered": change.to,
                "hex_offered": change.hex, "patches": change.patches,
            })
        })
        .collect()
}

/// The surface's place in the scene, and in its plan.
fn surface(scene: &Scene, name: &str) -> Result<SurfaceId, Problems> {
    let wanted = name.trim().to_lowercase();
    let names = || scene.surfaces.iter().map(|s| s.name.as_str());
    SurfaceId::all(scene.surfaces.len())
        .find(|at| scene.surfaces[at.place()].name.to_lowercase() == wanted)
        .ok_or_else(|| {
            bad(
                "--surface",
                ArgumentError::UnknownSurface {
                    found: name.to_owned(),
                    known: names().collect::<Vec<_>>().join(", "),
                    nearest: nearest_word(name, names()).map(str::to_owned),
                },
            )
        })
}

fn tone(surface: &SurfacePlan, number: usize) -> Result<&TonePlan, Problems> {
    number
        .checked_sub(1)
        .and_then(|at| surface.tones.get(at))
        .ok_or_else(|| {
            bad(
                "--tone",
                ArgumentError::NoSuchTone {
                    found: number,
                    most: surface.tones.len(),
                },
            )
        })
}

/// What was in the pot, as the user gave it.
fn mixed(text: &str, list: &PaintList, shelf: &Shelf) -> Result<Vec<(PaintId, f64)>, Problems> {
    parts("--mixed", text, |name| list.named(name).is_some())?
        .into_iter()
        .map(|(count, name)| {
            let index = listed(list, "--mixed", &name)?;
            let at = shelf.find(|stock| stock.index == index);
            at.map(|at| (at, count)).ok_or_else(|| {
                bad(
                    "--mixed",
                    ArgumentError::NotMixed {
                        found: name.clone(),
                        reason: "it is kept apart from mixes".to_owned(),
                    },
                )
            })
        })
        .collect()
}

/// What was to be in the pot.
fn planned_pot(
    plan: &Plan<'_>,
    surface: SurfaceId,
    tone: &TonePlan,
) -> Result<Vec<(PaintId, f64)>, Problems> {
    plan.brushed_parts(surface, tone).ok_or_else(|| {
        bad(
            "--surface",
            ArgumentError::Mixture(hillwash::paint::MixtureError::Empty),
        )
    })
}

/// Writes a copy of the list with the strengths offered.
fn write_changed(
    args: &PatchArgs,
    named: &str,
    folder: &SceneFolder,
    offered: &[OfferedChange],
    out: &Path,
) -> Result<(), Problems> {
    let place = Place::default();
    let bytes = match &args.paints {
        Some(path) => read_file(path, &place, "a paint list", MOST_TEXT),
        None => folder.read(named, &place, "a paint list", MOST_TEXT),
    }
    .map_err(|e| boxed([e]))?;
    let changes: Vec<ListChange> = offered
        .iter()
        .map(|change| ListChange {
            name: change.paint.clone(),
            strength: change.to,
            hex: change.hex,
        })
        .collect();
    let changed = with_changes(&bytes, &changes).map_err(|e| boxed([e]))?;
    write_file(out, &changed).map_err(|e| boxed([e]))
}
