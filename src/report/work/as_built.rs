//! The dried patches of a surface, as lines of its sheet and of the data.

use crate::mix::{falls_short, stirred};
use crate::plan::{AsBuilt, Plan, SurfacePlan};
use crate::report::figures::Swatches;
use crate::share::{AsBuiltEntry, LabOnly, MixedParts};

/// One patch.
#[derive(Debug)]
pub(in crate::report) struct AsBuiltView {
    pub(in crate::report) date: String,
    pub(in crate::report) tone: String,
    pub(in crate::report) mixed: String,
    pub(in crate::report) swatches: Swatches,
    pub(in crate::report) told: String,
}

fn as_built_on<'a>(
    surface: &'a SurfacePlan,
    plan: &'a Plan<'_>,
) -> impl Iterator<Item = &'a AsBuilt> {
    plan.as_built
        .iter()
        .filter(|entry| entry.surface == surface.wanted.name)
}

impl AsBuiltView {
    /// The patches of a surface, in the order they were logged.
    pub(in crate::report) fn all(surface: &SurfacePlan, plan: &Plan<'_>) -> Vec<Self> {
        as_built_on(surface, plan)
            .map(|entry| {
                let paints = entry.paints.iter();
                Self {
                    date: entry.date.clone(),
                    tone: entry.tone.clone(),
                    mixed: stirred(paints.map(|paint| (paint.parts, &paint.name))),
                    swatches: Swatches::row(
                        format!(
                            "Planned {}, dried {}",
                            entry.planned.to_srgb8(),
                            entry.seen.to_srgb8()
                        ),
                        160,
                        48,
                        &[(entry.planned, 1.0), (entry.seen, 1.0)],
                    ),
                    told: format!(
                        "{} (ΔE00 {:.1} ± {:.0}{}); {}",
                        falls_short(entry.planned, entry.seen).map_or_else(
                            || "hardly different".to_owned(),
                            |words| format!("{words} than planned")
                        ),
                        entry.de2000,
                        entry.uncertainty_de,
                        entry
                            .beside
                            .as_ref()
                            .map_or_else(String::new, |what| format!(", beside a {what}")),
                        if entry.doubtful {
                            "it cannot be of this pot: look again at what was mixed".to_owned()
                        } else {
                            format!("then: {}", entry.verdict)
                        },
                    ),
                }
            })
            .collect()
    }
}

/// The patches of a surface for the data; `None` where no patch was logged.
pub(in crate::report) fn as_built_entries(
    surface: &SurfacePlan,
    plan: &Plan<'_>,
) -> Option<Vec<AsBuiltEntry>> {
    let all: Vec<AsBuiltEntry> = as_built_on(surface, plan)
        .map(|entry| AsBuiltEntry {
            date: entry.date.clone(),
            tone: entry.tone.clone(),
            paints: (entry.paints.iter())
                .map(|paint| MixedParts {
                    name: paint.name.clone(),
                    parts: paint.parts,
                })
                .collect(),
            planned: LabOnly { lab: entry.planned },
            seen: LabOnly { lab: entry.seen },
            de2000: entry.de2000,
            uncertainty_de: entry.uncertainty_de,
            verdict: entry.verdict.clone(),
            beside: entry.beside.clone(),
            doubtful: entry.doubtful,
        })
        .collect();
    (!all.is_empty()).then_some(all)
}
