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
    let address = mark.address();
    // The address is the answer, but where the scene itself is asked for.
    if args.print_only {
        tell(&address);
    } else {
        say(&address)?;
    }
    talk.tell("only this machine can see it, and only by this address; Ctrl-C stops it");
    if !args.no_browser && open::that_detached(&address).is_err() {
        tell("no browser could be opened: open the address above in one");
    }
    match mark.serve().map_err(|e| boxed([e]))? {
        Ended::Printed(text) => say(text.trim_end())?,
        Ended::LeftAlone => talk.tell("stopped, for nobody has used the page for a while"),
        Ended::Stopped => {}
    }
    if !args.print_only {
        talk.tell(&format!("next: hillwash plan \"{scene}\""));
    }
    Ok(())
}
