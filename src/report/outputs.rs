//! All files of a schedule, by their names.

use crate::plan::Plan;
use crate::report::ReportError;
use crate::report::csv_file::schedule_csv;
use crate::report::page::schedule::schedule_html;
use crate::report::page::view::View;
use crate::report::palette_files::{design_tokens, palette_svg};
use crate::share::PlanFile;

/// Names of the files of a schedule, the page first.
pub const OUTPUTS: [&str; 5] = [
    "schedule.html",
    "plan.json",
    "schedule.csv",
    "palette.svg",
    "palette.tokens.json",
];

/// The files of a schedule, each with its name; `view` and `data` are those of the plan.
///
/// # Errors
/// [`ReportError`] when a template or the data fails.
pub fn outputs(
    plan: &Plan<'_>,
    view: &View,
    data: &PlanFile,
) -> Result<[(&'static str, Vec<u8>); 5], ReportError> {
    let [page, json, table, palette, tokens] = OUTPUTS;
    Ok([
        (page, schedule_html(view, data)?.into_bytes()),
        (json, format!("{}\n", data.to_readable_json()?).into_bytes()),
        (table, schedule_csv(plan)?),
        (palette, palette_svg(plan)?.into_bytes()),
        (tokens, design_tokens(plan)?.into_bytes()),
    ])
}
