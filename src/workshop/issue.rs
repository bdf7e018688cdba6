//! A plan for handing over: its page and data files.

use crate::files::{OutputFolder, finish_set, read_file};
use crate::plan::Plan;
use crate::problem::{Place, Problems, boxed};
use crate::report::{View, outputs, plan_file, with_solver};
use crate::share::{Comparison, MOST_BYTES, PlanFile, Relation, compare, read_plan};
use crate::work::Timings;
use std::path::{Path, PathBuf};

pub use crate::report::OUTPUTS;

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
    /// From a plan and a date, compared with another plan if there is one.
    #[must_use]
    pub fn of_plan(plan: &'a Plan<'a>, date: &str, other: Option<&Other>) -> Self {
        let (mut data, mut view) = rayon::join(|| plan_file(plan, date), || View::new(plan, date));
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

    /// Writes all of it, or nothing; gives the paths. With the core for browsers, packed, the page is one that can be solved
    /// again where it lies.
    ///
    /// # Errors
    /// If it cannot be put into words or written.
    pub fn write(
        &self,
        output: &OutputFolder,
        core: Option<&[u8]>,
        timings: &Timings,
    ) -> Result<Vec<PathBuf>, Problems> {
        let mut files = outputs(self.plan, &self.view, &self.data).map_err(|e| boxed([e]))?;
        if let Some(core) = core {
            let page = String::from_utf8_lossy(&files[0].1);
            files[0].1 = with_solver(&page, core).into_bytes();
        }
        timings.ended("page, tables");
        let files: Vec<(&'static str, &[u8])> = files
            .iter()
            .map(|(name, bytes)| (*name, bytes.as_slice()))
            .collect();
        let written = output.write(&files).map_err(|e| boxed([e]));
        timings.ended("writing files");
        written
    }
}
