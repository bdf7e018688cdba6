//! `paints`: looking after a list.

use crate::cli::Problems;
use crate::cli::args::PaintsCommand;
use crate::cli::request::paint_list;
use crate::cli::terminal::{Talk, plain, say};
use hillwash::mix::Shelf;
use hillwash::paint::advice;
use hillwash::report::check_json;
use std::fmt::Write;

pub(crate) fn run(command: &PaintsCommand, talk: Talk) -> Result<(), Problems> {
    let PaintsCommand::Check { list: path, json } = command;
    let list = paint_list(path)?;
    let shelf = Shelf::new(&list);
    let advice = advice(&list);
    if *json {
        say(&check_json(&list, &shelf, &advice).to_string());
        return Ok(());
    }
    let mut text = format!(
        "{}: {} paints, no fault\n",
        plain(&list.file),
        list.paints().len()
    );
    for (family, members) in shelf.families() {
        let _ = writeln!(text, "  {:>3} {}", members.len(), family.words());
    }
    for (paint, reason) in shelf.left_out() {
        let _ = writeln!(text, "      {}: not mixed, {reason}", plain(paint));
    }
    for report in shelf.let_downs() {
        let _ = writeln!(
            text,
            "      {}: strength {:.2} of the white's by its let-down, {:.2} without",
            plain(&report.paint),
            report.after,
            report.before
        );
    }
    if talk == Talk::Usual || !advice.is_empty() {
        text.push_str(if advice.is_empty() {
            "nothing to mend\n"
        } else {
            "worth a look:\n"
        });
    }
    for line in &advice {
        let _ = writeln!(text, "  - {}", plain(&line.to_string()));
    }
    text.truncate(text.trim_end().len());
    say(&text);
    Ok(())
}
