//! `guide`: a page that a modeller reads.

use crate::cli::args::GuideArgs;
use crate::cli::terminal::{Talk, plain, say};
use crate::cli::{Problems, boxed};
use hillwash::files::write_file;
use hillwash::site::guide;

pub(crate) fn run(args: &GuideArgs, talk: Talk) -> Result<(), Problems> {
    write_file(&args.out, guide().as_bytes()).map_err(|e| boxed([e]))?;
    say(&plain(&args.out.display().to_string()))?;
    talk.tell("open it in any browser");
    Ok(())
}
