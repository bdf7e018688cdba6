//! `new`: a starter scene that `plan` accepts unchanged.

use crate::cli::args::NewArgs;
use crate::cli::request::STARTER_PAINTS;
use crate::cli::terminal::{Talk, plain, say};
use crate::cli::{Problems, boxed};
use hillwash::files::write_new;
use hillwash::share::scene_schema;

const SCENE: &[u8] = include_bytes!("../../../sample-photos/starter/scene.toml");
const CREDITS: &[u8] = include_bytes!("../../../sample-photos/starter/photo-credits.txt");
const SCATTER: &[u8] = include_bytes!("../../../sample-photos/brewery-yard/scatter.csv");
const PHOTO: &[u8] = include_bytes!("../../../sample-photos/brewery-yard/rubble-stone-wall.jpg");

pub(crate) fn run(args: &NewArgs, talk: Talk) -> Result<(), Problems> {
    let schema = format!("{:#}\n", scene_schema());
    let files: [(&str, &[u8]); 6] = [
        ("scene.toml", SCENE),
        ("scene.schema.json", schema.as_bytes()),
        ("paints.csv", STARTER_PAINTS),
        ("scatter.csv", SCATTER),
        ("stone-wall.jpg", PHOTO),
        ("photo-credits.txt", CREDITS),
    ];
    let written = write_new(&args.folder, &files).map_err(|e| boxed([e]))?;
    for path in &written {
        say(&plain(&path.display().to_string()))?;
    }
    talk.tell(&format!(
        "the lists are invented: put your own paints in. Next: hillwash plan \"{}\"",
        plain(&args.folder.join("scene.toml").display().to_string())
    ));
    Ok(())
}
