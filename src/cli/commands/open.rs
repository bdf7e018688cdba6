//! `open`: a layout on a page that only this machine can see.

use super::core_file::core_if_there;
use crate::cli::args::OpenArgs;
use crate::cli::request::STARTER_PAINTS;
use crate::cli::terminal::{Talk, plain, say, tell};
use crate::cli::{Problems, boxed};
use hillwash::server::{Ended, OpenedFolder, Served};
use std::time::Duration;

pub(crate) fn run(args: &OpenArgs, talk: Talk) -> Result<(), Problems> {
    let mut layout = OpenedFolder::at_path(&args.layout, STARTER_PAINTS).map_err(|e| boxed([e]))?;
    layout.may_name = args.outside.may_name();
    layout.limits = args.photo_limits.limits();
    layout.print_only = args.print_only;
    layout.core = core_if_there(&args.core)?;
    layout.answers = args.cache.folder();
    let scene = plain(&layout.scene().display().to_string());
    let patience = Duration::from_mins(u64::from(args.stop_after));
    if layout.other_names() > 0 {
        tell(&format!(
            "\"{scene}\" has another name on this disk (a hard link): saving does not change the file of that name"
        ));
    }
    let page = Served::open(layout, patience).map_err(boxed)?;
    let address = page.address().map_err(|e| boxed([e]))?;
    // The address is the answer, but where the scene itself is asked for.
    if args.print_only {
        tell(&address);
    } else {
        say(&address)?;
    }
    talk.tell("only this machine can see it. This address opens it once. Ctrl-C stops it");
    // The browser is given a file that leads it there: other users see what programs are started with.
    let opening = if args.no_browser {
        None
    } else {
        page.opening().ok()
    };
    let opened = opening
        .as_ref()
        .is_some_and(|file| open::that_detached(file.path()).is_ok());
    if !args.no_browser && !opened {
        tell("no browser could be opened: open the address above yourself");
    }
    let next = move |address: &str| {
        talk.tell(&format!("to open it in another browser: {address}"));
    };
    let served = page.serve(next);
    drop(opening);
    let kept = match served.map_err(|e| boxed([e]))? {
        Ended::Printed(text) => {
            say(text.trim_end())?;
            None
        }
        Ended::LeftAlone(kept) => {
            talk.tell("stopped, because nobody has used the page for a while");
            kept
        }
        Ended::Stopped(kept) => kept,
    };
    if let Some(kept) = kept {
        talk.tell(&plain(&kept));
    }
    if !args.print_only {
        talk.tell(&format!("next: hillwash plan \"{scene}\""));
    }
    Ok(())
}
