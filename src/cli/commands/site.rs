//! `site`: the page that needs no program, for a web space or as one file.

use super::core_file::core_wanted;
use crate::cli::args::SiteArgs;
use crate::cli::terminal::{Talk, plain, say};
use crate::cli::{Problems, boxed};
use hillwash::files::write_new;
use hillwash::site::{one_file, web_space};

pub(crate) fn run(args: &SiteArgs, talk: Talk) -> Result<(), Problems> {
    let core = core_wanted(&args.core)?;
    let files = if args.one_file {
        vec![("hillwash.html", one_file(&core).into_bytes())]
    } else {
        web_space(&core)
    };
    let contents: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, bytes)| (*name, bytes.as_slice()))
        .collect();
    let written = write_new(&args.folder, &contents).map_err(|e| boxed([e]))?;
    for path in &written {
        say(&plain(&path.display().to_string()))?;
    }
    talk.tell(if args.one_file {
        "open it in any browser, from a disk or a memory stick: it needs no network"
    } else {
        "put these on a web space; once opened, the page works without a network"
    });
    Ok(())
}
