//! All files of a schedule, by their names.

use crate::plan::Plan;
use crate::report::ReportError;
use crate::report::csv_file::schedule_csv;
use crate::report::page::schedule::schedule_html;
use crate::report::page::view::View;
use crate::report::palette_files::{design_tokens, palette_svg};
use crate::share::PlanFile;

/// A plan with what is told of it.
struct ToldPlan<'a> {
    plan: &'a Plan<'a>,
    view: &'a View,
    data: &'a PlanFile,
}

/// A kind of file that a plan is written as.
struct Exporter {
    /// The file's name.
    name: &'static str,
    bytes: fn(&ToldPlan<'_>) -> Result<Vec<u8>, ReportError>,
}

/// All files of a schedule, the page first.
const EXPORTERS: [Exporter; 5] = [
    Exporter {
        name: "schedule.html",
        bytes: |told| Ok(schedule_html(told.view, told.data)?.into_bytes()),
    },
    Exporter {
        name: "plan.json",
        bytes: |told| Ok(format!("{}\n", told.data.to_readable_json()?).into_bytes()),
    },
    Exporter {
        name: "schedule.csv",
        bytes: |told| schedule_csv(told.plan),
    },
    Exporter {
        name: "palette.svg",
        bytes: |told| Ok(palette_svg(told.plan)?.into_bytes()),
    },
    Exporter {
        name: "palette.tokens.json",
        bytes: |told| Ok(design_tokens(told.plan)?.into_bytes()),
    },
];

/// Their names.
pub const OUTPUTS: [&str; 5] = {
    let [page, data, table, picture, tokens] = EXPORTERS;
    [page.name, data.name, table.name, picture.name, tokens.name]
};

/// The files of a schedule, each with its name; `view` and `data` are those of the plan.
///
/// # Errors
/// [`ReportError`] when a template or the data fails.
pub fn outputs(
    plan: &Plan<'_>,
    view: &View,
    data: &PlanFile,
) -> Result<Vec<(&'static str, Vec<u8>)>, ReportError> {
    let told = ToldPlan { plan, view, data };
    EXPORTERS
        .iter()
        .map(|file| Ok((file.name, (file.bytes)(&told)?)))
        .collect()
}
