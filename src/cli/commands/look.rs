//! `look`: the tones of photos.

use crate::cli::args::LookArgs;
use crate::cli::request::{ArgumentError, bad, known_things, region};
use crate::cli::terminal::{Talk, lab_text, plain, say, swatch};
use crate::cli::timings::begin;
use crate::cli::watch::Watch;
use crate::cli::{Problems, boxed};
use hillwash::colour::LabD65;
use hillwash::files::{FileError, read_file, write_file};
use hillwash::photo::{
    KnownLight, LightReport, Limits, PhotoError, Picture, before_after, decode, memory_needed,
    waves,
};
use hillwash::problem::{Explain, Place};
use hillwash::region::Region;
use hillwash::report::{LookJson, LookedAt, shade_text, step_taken_text};
use hillwash::tones::{
    Bin, Count, PANEL, Sorted, bins_for, curve, map_of, map_sheet, mixed_panel, mixed_share, sorted,
};
use hillwash::work::Timings;
use rayon::prelude::*;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Photos that each core reads before the program answers.
const BATCH: usize = 4;

/// What is wrong with one photo.
#[derive(Debug, thiserror::Error)]
#[error("{cause}")]
pub(super) struct InPhoto<E: Explain> {
    pub(super) file: String,
    /// The argument to blame, when it is not the photo itself.
    pub(super) argument: Option<&'static str>,
    pub(super) cause: E,
}

impl<E: Explain> Explain for InPhoto<E> {
    fn place(&self) -> Place {
        let place = Place::file(&self.file);
        match self.argument {
            Some(argument) => place.at_field(argument),
            None => place,
        }
    }

    fn hint(&self) -> Option<String> {
        self.cause.hint()
    }
}

pub(crate) fn run(args: &LookArgs, talk: Talk) -> Result<(), Problems> {
    let timings = begin();
    let how = LookSettings {
        timings: &timings,
        region: region(args.region.as_deref())?,
        count: args
            .tones
            .map_or(Count::Chosen, |n| Count::Exactly(usize::from(n))),
        light: known_things(&args.light, &args.material)?,
        limits: args.photo_limits.limits(),
        before_after: args.before_after.as_deref(),
        map: args.map.as_deref(),
        why: args.why,
    };
    for (argument, given) in [
        ("--before-after", how.before_after.is_some()),
        ("--map", how.map.is_some()),
    ] {
        if given && args.photos.len() > 1 {
            let found = args.photos.len();
            return Err(bad(argument, ArgumentError::OnePhoto { found }));
        }
    }
    let mut seen = Vec::new();
    let mut problems: Problems = Vec::new();
    // Where answers come one by one, they show by themselves how far it is.
    let watch = args.json.then(|| Watch::begin(None, talk));
    if let Some(watch) = &watch {
        watch.meter().begin("photos", args.photos.len());
    }
    // Side by side on all cores, answered in the given order; by the batch, so that the first answers come soon.
    for batch in args.photos.chunks(BATCH * rayon::current_num_threads()) {
        let looked = how.look_at_all(batch);
        for photo in looked {
            if let Some(watch) = &watch {
                watch.meter().did_one();
            }
            match photo {
                Ok(photo) => {
                    if !args.json {
                        say(&photo_text(&photo, talk))?;
                    }
                    seen.push(photo);
                }
                Err(found) => problems.extend(found),
            }
        }
    }
    drop(watch);
    if args.json {
        say(&LookJson(&seen).value().to_string())?;
    }
    timings.ended("photos");
    args.time.tell(&timings);
    if problems.is_empty() {
        Ok(())
    } else {
        Err(problems)
    }
}

/// Reads a photo and corrects its light by everything known of it.
pub(super) fn corrected(
    path: &Path,
    known: &KnownLight,
    limits: &Limits,
) -> Result<(Picture, LightReport, Vec<String>), Problems> {
    let (mut picture, warnings) = decoded(path, limits)?;
    let light = lit(path, &mut picture, known)?;
    Ok((picture, light, warnings))
}

/// Reads a photo; with what is doubtful about it.
pub(super) fn decoded(path: &Path, limits: &Limits) -> Result<(Picture, Vec<String>), Problems> {
    let bytes =
        read_file(path, &Place::default(), "a photo", limits.file_bytes).map_err(|e| boxed([e]))?;
    let read = decode(&bytes, limits).map_err(|cause| in_photo(path, cause))?;
    let warnings = read.warnings.iter().map(ToString::to_string).collect();
    Ok((read.value, warnings))
}

/// Corrects the light of a photo that was read.
pub(super) fn lit(
    path: &Path,
    picture: &mut Picture,
    known: &KnownLight,
) -> Result<LightReport, Problems> {
    picture
        .correct(known)
        .map_err(|cause| in_photo(path, cause))
}

fn in_photo<E: Explain + 'static>(path: &Path, cause: E) -> Problems {
    boxed([InPhoto {
        argument: None,
        file: path.display().to_string(),
        cause,
    }])
}

/// The tones of a whole photo as it is, for other commands.
pub(super) fn tones_of_photo(path: &Path) -> Result<Vec<LabD65>, Problems> {
    let how = LookSettings {
        timings: &Timings::default(),
        region: Region::whole(),
        count: Count::Chosen,
        light: KnownLight::Nothing,
        limits: Limits::default(),
        before_after: None,
        map: None,
        why: false,
    };
    Ok(how
        .look_at(path)?
        .tones
        .iter()
        .map(|tone| tone.colour)
        .collect())
}

/// Why a picture asked for was not written.
enum Unwritten {
    Picture(PhotoError),
    File(FileError),
}

/// How photos are looked at.
struct LookSettings<'a> {
    timings: &'a Timings,
    region: Region,
    count: Count,
    light: KnownLight,
    limits: Limits,
    before_after: Option<&'a Path>,
    map: Option<&'a Path>,
    why: bool,
}

impl LookSettings<'_> {
    /// Side by side as far as the photos fit into memory together.
    fn look_at_all(&self, paths: &[PathBuf]) -> Vec<Result<LookedAt, Problems>> {
        let need = |path: &PathBuf| {
            let limit = self.limits.file_bytes;
            let bytes = read_file(path, &Place::default(), "a photo", limit);
            bytes.map_or(0, |bytes| memory_needed(&bytes, &self.limits))
        };
        // What is wrong with a file is told when its turn comes.
        let needs: Vec<u64> = match paths {
            [_] => vec![0],
            several => several.iter().map(need).collect(),
        };
        let mut looked = Vec::with_capacity(paths.len());
        for wave in waves(&needs, self.limits.decoded_bytes) {
            looked.par_extend(paths[wave].par_iter().map(|path| self.look_at(path)));
        }
        looked
    }

    fn look_at(&self, path: &Path) -> Result<LookedAt, Problems> {
        let file = path.display().to_string();
        let read = || decoded(path, &self.limits);
        let (mut picture, mut warnings) = self.timings.part("reading, decoding", read)?;
        let light = lit(path, &mut picture, &self.light)?;
        let counted = bins_for(&picture, &self.region, self.count);
        let found = sorted(&counted.bins, self.count).map_err(|cause| {
            boxed([InPhoto {
                argument: Some("--region"),
                file: file.clone(),
                cause,
            }])
        })?;
        self.write_pictures(&picture, &counted.bins, &found)
            .map_err(|cause| match cause {
                Unwritten::Picture(cause) => boxed([InPhoto {
                    argument: None,
                    file: file.clone(),
                    cause,
                }]),
                Unwritten::File(cause) => boxed([cause]),
            })?;
        for (share, what) in [
            (counted.blown_out, "blown out"),
            (counted.crushed, "crushed to black"),
        ] {
            if share >= 0.02 {
                warnings.push(format!(
                    "{:.0} % is {what} and left out of the tones",
                    100.0 * share
                ));
            }
        }
        warnings.extend(light.contradictions());
        let in_two_lights = light.witnesses.iter().filter(|witness| witness.two_lights);
        warnings.extend(in_two_lights.map(|witness| {
            format!(
                "{}: it is in sun and in shade; only its sunlit part was used",
                witness.material.name
            )
        }));
        Ok(LookedAt {
            file,
            width: picture.width,
            height: picture.height,
            profile: picture.profile.to_string(),
            mixed: mixed_share(&counted.bins).filter(|_| self.why && found.from_near),
            curve: self.why.then(|| curve(&counted.bins)),
            steps: if self.why { found.steps } else { Vec::new() },
            tones: found.tones.tones,
            light,
            warnings,
        })
    }

    /// The pictures asked for beside the answer.
    fn write_pictures(
        &self,
        picture: &Picture,
        bins: &[Bin],
        found: &Sorted,
    ) -> Result<(), Unwritten> {
        if let Some(out) = self.before_after {
            let png = before_after(picture).map_err(Unwritten::Picture)?;
            write_file(out, &png).map_err(Unwritten::File)?;
        }
        if let Some(out) = self.map {
            let map = map_of(picture, &self.region, bins, found, PANEL);
            let colours: Vec<LabD65> = found.tones.tones.iter().map(|t| t.colour).collect();
            let mixed = found
                .from_near
                .then(|| mixed_panel(picture, &self.region, &map));
            let png = map_sheet(picture, &map, &colours, mixed).map_err(Unwritten::Picture)?;
            write_file(out, &png).map_err(Unwritten::File)?;
        }
        Ok(())
    }
}

fn photo_text(photo: &LookedAt, talk: Talk) -> String {
    let mut text = format!(
        "{}  {} x {}, {}\n",
        plain(&photo.file),
        photo.width,
        photo.height,
        plain(&photo.profile)
    );
    for warning in &photo.warnings {
        let _ = writeln!(text, "  note: {}", plain(warning));
    }
    for tone in &photo.tones {
        let _ = writeln!(
            text,
            "  {}  {}  {:>3.0} %  {:<9}  {}, {}",
            swatch(tone.colour.to_srgb8(), 6),
            lab_text(tone.colour),
            100.0 * tone.share.value(),
            tone.role.word(),
            tone.name,
            tone.keep(),
        );
    }
    for tone in &photo.tones {
        if let Some(words) = shade_text(tone, &photo.tones) {
            let _ = writeln!(text, "  note: {words}");
        }
    }
    why_text(photo, &mut text);
    if talk == Talk::Usual {
        let _ = writeln!(
            text,
            "  ± {:.0} (CIEDE2000): {}",
            photo.light.uncertainty.0, photo.light
        );
    }
    text.truncate(text.trim_end().len());
    text
}

/// How the number of tones was chosen.
fn why_text(photo: &LookedAt, text: &mut String) {
    let Some(curve) = &photo.curve else { return };
    text.push_str(
        "  how well each number of tones describes it (mean CIEDE2000 of the pixels from their tone):\n",
    );
    for (count, spread) in curve {
        let _ = writeln!(text, "  {count:>3}  {:>4.1}  {}", spread.0, bar(spread.0));
    }
    if let Some(share) = photo.mixed {
        let _ = writeln!(
            text,
            "  {:.0} % lies between two colours, blurred by lens and JPEG, and did not count (--map shows where)",
            100.0 * share
        );
    }
    if photo.steps.is_empty() {
        text.push_str("  you gave their number\n");
    } else {
        text.push_str("  how their number was chosen:\n");
    }
    for step in &photo.steps {
        let _ = writeln!(
            text,
            "  {:>3}  {:>4.1}  {}",
            step.tones,
            step.mean_spread_de.0,
            step_taken_text(step.what)
        );
    }
}

/// A bar of marks, three a unit.
fn bar(length: f64) -> String {
    let marks = (0..60).take_while(|mark| f64::from(*mark) < 3.0 * length);
    marks.map(|_| '#').collect()
}
