//! `look`: the tones of photos.

use crate::cli::args::LookArgs;
use crate::cli::request::region;
use crate::cli::terminal::{Talk, lab_text, plain, say, swatch};
use crate::cli::{Problems, boxed};
use hillwash::files::read_file;
use hillwash::photo::{Limits, PhotoError, decode};
use hillwash::plan::UNCORRECTED;
use hillwash::problem::{Explain, Place};
use hillwash::region::Region;
use hillwash::report::{LookJson, LookedAt};
use hillwash::tones::{Count, TonesError, tones_of};
use std::fmt::Write;
use std::path::Path;

/// A photo that cannot be looked at.
#[derive(Debug, thiserror::Error)]
#[error("{cause}")]
struct BadPhoto {
    file: String,
    cause: PhotoError,
}

impl Explain for BadPhoto {
    fn place(&self) -> Place {
        Place::file(&self.file)
    }

    fn hint(&self) -> Option<String> {
        self.cause.hint()
    }
}

/// A region without a pixel.
#[derive(Debug, thiserror::Error)]
#[error("{cause}")]
struct EmptyRegion {
    file: String,
    cause: TonesError,
}

impl Explain for EmptyRegion {
    fn place(&self) -> Place {
        Place::file(&self.file).at_field("--region")
    }

    fn hint(&self) -> Option<String> {
        Some("make the region larger".to_owned())
    }
}

pub(crate) fn run(args: &LookArgs, talk: Talk) -> Result<(), Problems> {
    let region = region(args.region.as_deref())?;
    let count = args
        .tones
        .map_or(Count::Chosen, |n| Count::Exactly(usize::from(n)));
    let mut seen = Vec::new();
    let mut problems: Problems = Vec::new();
    for path in &args.photos {
        match look_at(path, &region, count) {
            Ok(photo) => {
                if !args.json {
                    say(&text(&photo, talk));
                }
                seen.push(photo);
            }
            Err(found) => problems.extend(found),
        }
    }
    if args.json {
        say(&LookJson(&seen).value().to_string());
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(problems)
    }
}

fn look_at(path: &Path, region: &Region, count: Count) -> Result<LookedAt, Problems> {
    let file = path.display().to_string();
    let limits = Limits::default();
    let bytes =
        read_file(path, &Place::default(), "a photo", limits.file_bytes).map_err(|e| boxed([e]))?;
    let read = decode(&bytes, &limits).map_err(|cause| {
        boxed([BadPhoto {
            file: file.clone(),
            cause,
        }])
    })?;
    let picture = read.value;
    let tones = tones_of(&picture, region, count).map_err(|cause| {
        boxed([EmptyRegion {
            file: file.clone(),
            cause,
        }])
    })?;
    Ok(LookedAt {
        file,
        width: picture.width,
        height: picture.height,
        profile: picture.profile.to_string(),
        tones: tones.tones,
        target_uncertainty: UNCORRECTED,
        warnings: read.warnings.iter().map(ToString::to_string).collect(),
    })
}

fn text(photo: &LookedAt, talk: Talk) -> String {
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
            "  {}  {}  {:>3.0} %  {:<9}  {}",
            swatch(tone.colour.to_srgb8(), 6),
            lab_text(tone.colour),
            100.0 * tone.share.value(),
            tone.role.word(),
            tone.name,
        );
    }
    if talk == Talk::Usual {
        let _ = writeln!(
            text,
            "  colours as the photo has them, ± {:.0} (CIEDE2000): nothing corrects its light",
            photo.target_uncertainty.0
        );
    }
    text.truncate(text.trim_end().len());
    text
}
