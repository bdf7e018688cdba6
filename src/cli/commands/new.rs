//! `new`: a starter scene that `plan` accepts unchanged.

use crate::cli::args::NewArgs;
use crate::cli::terminal::{Talk, plain, say};
use crate::cli::{Problems, boxed};
use hillwash::desk::STARTER;
use hillwash::files::write_new;
use hillwash::scene::scene_schema;

pub(crate) fn run(args: &NewArgs, talk: Talk) -> Result<(), Problems> {
    let schema = format!("{:#}\n", scene_schema());
    let mut files = STARTER.to_vec();
    files.insert(1, ("scene.schema.json", schema.as_bytes()));
    let written = write_new(&args.folder, &files).map_err(|e| boxed([e]))?;
    for path in &written {
        say(&plain(&path.display().to_string()))?;
    }
    talk.tell(&format!(
        "the lists are invented: replace them with your own paints. Next: hillwash plan \"{}\"",
        plain(&args.folder.join("scene.toml").display().to_string())
    ));
    Ok(())
}
