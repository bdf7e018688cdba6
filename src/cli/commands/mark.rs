//! `mark`: a page on this machine to draw regions on photos.

use crate::cli::args::MarkArgs;
use crate::cli::request::STARTER_PAINTS;
use crate::cli::terminal::{Talk, plain, say, tell};
use crate::cli::{Problems, boxed};
use hillwash::mark::{Ended, Mark, Settings};
use std::time::Duration;

pub(crate) fn run(args: &MarkArgs, talk: Talk) -> Result<(), Problems> {
    let limits = args.photo_limits.limits();
    let mut settings = Settings::of(&args.scene, args.allow_outside, limits, STARTER_PAINTS)
        .map_err(|e| boxed([e]))?;
    settings.print_only = args.print_only;
    let scene = plain(&settings.scene.display().to_string());
    let patience = Duration::from_mins(u64::from(args.stop_after));
    let mark = Mark::open(settings, patience).map_err(boxed)?;
    let address = mark.address().map_err(|e| boxed([e]))?;
    if mark.other_names() > 0 {
        tell(&format!(
            "\"{scene}\" has another name on this disk (a hard link): saving leaves that one as it is now"
        ));
    }
    // The address is the answer, but where the scene itself is asked for.
    if args.print_only {
        tell(&address);
    } else {
        say(&address)?;
    }
    talk.tell("only this machine can see it, and this address opens it once; Ctrl-C stops it");
    // The browser is given a file that leads it there: other users see what programs are started with.
    let opening = if args.no_browser {
        None
    } else {
        mark.opening().ok()
    };
    let opened = opening
        .as_ref()
        .is_some_and(|file| open::that_detached(file.path()).is_ok());
    if !args.no_browser && !opened {
        tell("no browser could be opened: open the address above in one");
    }
    let next = move |address: &str| {
        talk.tell(&format!("to open it in another browser: {address}"));
    };
    let served = mark.serve(next);
    drop(opening);
    match served.map_err(|e| boxed([e]))? {
        Ended::Printed(text) => say(text.trim_end())?,
        Ended::LeftAlone => talk.tell("stopped, for nobody has used the page for a while"),
        Ended::Stopped => {}
    }
    if !args.print_only {
        talk.tell(&format!("next: hillwash plan \"{scene}\""));
    }
    Ok(())
}
