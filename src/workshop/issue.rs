//! A plan as it is handed over: its page and data files.

use crate::files::{OutputFolder, finish_set, read_file};
use crate::plan::Plan;
use crate::problem::{Place, Problems, boxed};
use crate::report::{
    ReportError, View, design_tokens, palette_svg, plan_file, schedule_csv, schedule_html,
};
use crate::share::{Comparison, MOST_BYTES, PlanFile, Relation, compare, read_plan};
use std::path::{Path, PathBuf};

const PAGE: &str = "schedule.html";
const DATA: &str = "plan.json";
const TABLE: &str = "schedule.csv";
const PALETTE: &str = "palette.svg";
const TOKENS: &str = "palette.tokens.json";

/// All that is written, the page first.
pub const OUTPUTS: [&str; 5] = [PAGE, DATA, TABLE, PALETTE, TOKENS];

/// Another plan to hold one against.
#[derive(Debug)]
pub struct Other {
    /// It.
    pub plan: PlanFile,
    /// Whose it is.
    pub relation: Relation,
}

impl Other {
    /// An earlier plan of one's own, from its page or its data.
    ///
    /// # Errors
    /// A file that cannot be read, or that holds no plan.
    pub fn earlier(path: &Path) -> Result<Self, Problems> {
        // What a killed run has left whole is put in place first, so that the plan read is the newest.
        if let Some(folder) = path.parent() {
            finish_set(folder, &OUTPUTS).map_err(|e| boxed([e]))?;
        }
        let place = Place::default();
        let bytes = read_file(path, &place, "a schedule.html or plan.json", MOST_BYTES)
            .map_err(|e| boxed([e]))?;
        let plan = read_plan(&path.display().to_string(), &bytes).map_err(boxed)?;
        Ok(Self {
            plan,
            relation: Relation::Earlier,
        })
    }
}

/// A plan with its words and figures, ready to be written.
#[derive(Debug)]
pub struct Issue<'a> {
    plan: &'a Plan<'a>,
    view: View,
    /// The plan as open data.
    pub data: PlanFile,
}

impl<'a> Issue<'a> {
    /// Of a plan, on a day, held against another one where there is one.
    #[must_use]
    pub fn of(plan: &'a Plan<'a>, date: &str, other: Option<&Other>) -> Self {
        let mut data = plan_file(plan, date);
        let mut view = View::new(plan, date);
        data.compared = other.map(|other| compare(&other.plan, &data, other.relation));
        if let Some(comparison) = &data.compared {
            view = view.held_against(comparison);
        }
        Self { plan, view, data }
    }

    /// How it lies to the other plan.
    #[must_use]
    pub fn comparison(&self) -> Option<&Comparison> {
        self.data.compared.as_ref()
    }

    /// Writes all of it, or nothing; gives the paths.
    ///
    /// # Errors
    /// What cannot be said, or cannot be written.
    pub fn write(&self, output: &OutputFolder) -> Result<Vec<PathBuf>, Problems> {
        let failed = |e: ReportError| boxed([e]);
        let page = schedule_html(&self.view, &self.data).map_err(failed)?;
        let table = schedule_csv(self.plan).map_err(failed)?;
        let palette = palette_svg(self.plan).map_err(failed)?;
        let tokens = design_tokens(self.plan).map_err(failed)?;
        let data = self.data.to_readable_json().map_err(|e| failed(e.into()))?;
        let data = format!("{data}\n");
        let files = [
            (PAGE, page.as_bytes()),
            (DATA, data.as_bytes()),
            (TABLE, &table),
            (PALETTE, palette.as_bytes()),
            (TOKENS, tokens.as_bytes()),
        ];
        output.write(&files).map_err(|e| boxed([e]))
    }
}
