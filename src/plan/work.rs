//! One order of work across all surfaces: it puts together what can be done together, so that you wait for drying
//! only once.
//!
//! In: the steps of each surface, each list in its own order. Out: [`Sitting`]s, between which something dries. A surface's
//! own order is never changed. All of it is common practice, no source.

use super::cautions::Caution;
use super::dirt::DirtStep;
use super::ids::{PotId, SurfaceId};
use super::steps::{Step, StepKind};
use crate::paint::{Grain, MixingFamily};
use crate::rock::RockRole;
use crate::scene::Technique;

/// What is done, in the order in which a surface meets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Grease and shine come off.
    Clean,
    /// The ground coat.
    Prime,
    /// Patches of every mix on scrap.
    Try,
    /// Bodies, undercoats and grounds: all over.
    FirstColours,
    /// Further tones over parts of them.
    SecondColours,
    /// Washes and filters over whole surfaces.
    Washes,
    /// Thin dirt in places.
    Stains,
    /// Dabs of opaque paint in places.
    Dabs,
    /// A matt ground for powder.
    SealBeforePowder,
    /// Dry pigment.
    Powder,
    /// Fixing it.
    SealAfterPowder,
    /// The nearly dry brush.
    DryBrush,
    /// Glue and scatter.
    Strew,
    /// Taking off what does not hold.
    Tidy,
    /// The last coat.
    Varnish,
}

impl Stage {
    /// Its word in data files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::Prime => "prime",
            Self::Try => "try",
            Self::FirstColours => "first-colours",
            Self::SecondColours => "second-colours",
            Self::Washes => "washes",
            Self::Stains => "stains",
            Self::Dabs => "dabs",
            Self::SealBeforePowder => "seal-before-powder",
            Self::Powder => "powder",
            Self::SealAfterPowder => "seal-after-powder",
            Self::DryBrush => "dry-brush",
            Self::Strew => "strew",
            Self::Tidy => "tidy",
            Self::Varnish => "varnish",
        }
    }
}

/// How long to wait, the longest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wait {
    /// Half an hour.
    HalfHour,
    /// Until it is dry to the touch: an hour or two.
    Hours,
    /// As long as the label says.
    Label,
    /// Overnight.
    Overnight,
    /// A day, until it is hard all through.
    Day,
    /// Several days.
    Days,
}

/// A step on one surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnSurface {
    /// The surface.
    pub surface: SurfaceId,
    /// The step, as a place in [`super::SurfacePlan::steps`].
    pub step: usize,
}

/// One thing to do, on one surface or on several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkStep {
    /// What kind of work it is.
    pub stage: Stage,
    /// Its pot, when it takes one.
    pub pot: Option<PotId>,
    /// Where; at least one.
    pub on: Vec<OnSurface>,
}

/// Work that can be done in one go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sitting {
    /// What to wait for before it; `None` when nothing must dry.
    pub wait: Option<Wait>,
    /// What to do.
    pub steps: Vec<WorkStep>,
    /// What can hurt in it.
    pub cautions: Vec<Caution>,
}

/// The steps of each surface.
struct Steps<'a>(&'a [Vec<Step>]);

impl<'a> Steps<'a> {
    fn on(&self, surface: SurfaceId) -> &'a [Step] {
        &self.0[surface.place()]
    }

    fn kind(&self, at: OnSurface) -> &'a StepKind {
        &self.on(at.surface)[at.step].kind
    }
}

/// The stage of a step; `None` for a wait, which stands between stages.
fn stage(kind: &StepKind) -> Option<Stage> {
    Some(match kind {
        StepKind::Clean | StepKind::Dust => Stage::Clean,
        StepKind::Prime { .. } => Stage::Prime,
        StepKind::TestPatch => Stage::Try,
        StepKind::Body { .. } | StepKind::Ground { .. } => Stage::FirstColours,
        StepKind::PickOut(_) | StepKind::Tone { .. } => Stage::SecondColours,
        StepKind::Strew { .. } => Stage::Strew,
        StepKind::Tidy => Stage::Tidy,
        StepKind::Varnish { .. } => Stage::Varnish,
        StepKind::Dirt(step) => match step {
            DirtStep::Harden { .. } => return None,
            DirtStep::Wash { .. } => Stage::Washes,
            DirtStep::Rock { role, .. } => match role {
                RockRole::Undercoat => Stage::FirstColours,
                RockRole::MidTint => Stage::SecondColours,
                RockRole::DarkWash => Stage::Washes,
                RockRole::Light => Stage::DryBrush,
            },
            DirtStep::Place { technique, .. } => match technique {
                Technique::Wash | Technique::PinWash | Technique::Filter | Technique::Streak => {
                    Stage::Stains
                }
                Technique::Stipple => Stage::Dabs,
                Technique::Powder => Stage::Powder,
                Technique::DryBrush => Stage::DryBrush,
            },
            DirtStep::SealBeforePowder => Stage::SealBeforePowder,
            DirtStep::SealAfterPowder => Stage::SealAfterPowder,
        },
    })
}

/// The pot of a step.
fn pot_of(kind: &StepKind) -> Option<PotId> {
    match kind {
        StepKind::Body { pot, .. } | StepKind::Tone { pot, .. } | StepKind::Ground { pot, .. } => {
            Some(*pot)
        }
        StepKind::PickOut(picked) => Some(picked.pot),
        StepKind::Dirt(DirtStep::Rock { pot, .. }) => *pot,
        _ => None,
    }
}

/// What two steps have in common when one tick does for both: the same pot, or nothing that would set them apart.
fn alike(one: &StepKind, other: &StepKind) -> bool {
    // Each surface's own units, each in its own mix.
    if [one, other]
        .iter()
        .any(|kind| matches!(kind, StepKind::PickOut(_)))
    {
        return false;
    }
    match (pot_of(one), pot_of(other)) {
        (Some(one), Some(other)) => one == other,
        (None, None) => matches!(
            (one, other),
            (StepKind::Clean, StepKind::Clean)
                | (StepKind::Dust, StepKind::Dust)
                | (StepKind::Prime { .. }, StepKind::Prime { .. })
                | (StepKind::TestPatch, StepKind::TestPatch)
                | (StepKind::Tidy, StepKind::Tidy)
                | (StepKind::Varnish { .. }, StepKind::Varnish { .. })
                | (
                    StepKind::Dirt(DirtStep::SealBeforePowder),
                    StepKind::Dirt(DirtStep::SealBeforePowder)
                )
                | (
                    StepKind::Dirt(DirtStep::SealAfterPowder),
                    StepKind::Dirt(DirtStep::SealAfterPowder)
                )
        ),
        _ => false,
    }
}

/// The steps of all surfaces as one list.
fn merged(steps: &Steps<'_>) -> Vec<WorkStep> {
    let mut queues: Vec<std::collections::VecDeque<(Stage, OnSurface)>> =
        SurfaceId::all(steps.0.len())
            .zip(steps.0)
            .map(|(surface, own)| {
                let own = own.iter().enumerate();
                own.filter_map(|(step, s)| Some((stage(&s.kind)?, OnSurface { surface, step })))
                    .collect()
            })
            .collect();
    let kind = |at: OnSurface| steps.kind(at);
    let mut all = Vec::new();
    loop {
        let heads: Vec<(Stage, OnSurface)> =
            queues.iter().filter_map(|q| q.front().copied()).collect();
        let Some(now) = heads.iter().map(|(stage, _)| *stage).min() else {
            return all;
        };
        let ready: Vec<OnSurface> = heads
            .iter()
            .filter(|(stage, _)| *stage == now)
            .map(|(_, at)| *at)
            .collect();
        // A pot that another surface will come to later in this stage waits for it, where something else can be done.
        let waits = |at: &OnSurface| {
            queues.iter().any(|queue| {
                let later = queue.iter().skip(1).take_while(|(stage, _)| *stage == now);
                later
                    .into_iter()
                    .any(|(_, other)| other.surface != at.surface && alike(kind(*at), kind(*other)))
            })
        };
        let first = ready.iter().find(|at| !waits(at)).or(ready.first());
        let Some(first) = first.copied() else {
            return all;
        };
        let on: Vec<OnSurface> = ready
            .into_iter()
            .filter(|at| *at == first || alike(kind(first), kind(*at)))
            .collect();
        for at in &on {
            queues[at.surface.place()].pop_front();
        }
        all.push(WorkStep {
            stage: now,
            pot: pot_of(kind(first)),
            on,
        });
    }
}

/// Which stages share a sitting: within one, nothing waits for another surface to dry.
fn sitting_of(stage: Stage) -> u8 {
    match stage {
        Stage::Clean => 0,
        Stage::Prime => 1,
        Stage::Try | Stage::FirstColours => 2,
        Stage::SecondColours => 3,
        Stage::Washes => 4,
        Stage::Stains | Stage::Dabs => 5,
        Stage::SealBeforePowder => 6,
        Stage::Powder | Stage::SealAfterPowder => 7,
        Stage::DryBrush => 8,
        Stage::Strew => 9,
        Stage::Tidy => 10,
        Stage::Varnish => 11,
    }
}

/// How long paint of a family takes.
fn drying(family: Option<MixingFamily>) -> Wait {
    match family {
        Some(MixingFamily::Lacquer) => Wait::HalfHour,
        Some(MixingFamily::WaterBorne | MixingFamily::Watercolour | MixingFamily::Ink) => {
            Wait::Hours
        }
        Some(MixingFamily::Enamel) => Wait::Day,
        Some(MixingFamily::Oil) => Wait::Days,
        Some(MixingFamily::Unknown) | None => Wait::Label,
    }
}

/// What a step is painted with, when it is paint.
fn family_of(kind: &StepKind) -> Option<MixingFamily> {
    match kind {
        StepKind::Body { family, .. }
        | StepKind::Tone { family, .. }
        | StepKind::Ground { family, .. } => *family,
        StepKind::Dirt(
            DirtStep::Wash { blend, .. }
            | DirtStep::Rock {
                blend: Some(blend), ..
            }
            | DirtStep::Place {
                blend: Some(blend), ..
            },
        ) => blend.family,
        _ => None,
    }
}

/// How long what lies beneath a wash must harden.
fn hardening(base: Option<MixingFamily>, wash: MixingFamily) -> Wait {
    match base {
        Some(MixingFamily::WaterBorne | MixingFamily::Watercolour | MixingFamily::Ink) => {
            if wash.is_solvent_borne() {
                Wait::Day
            } else {
                Wait::Overnight
            }
        }
        Some(MixingFamily::Enamel | MixingFamily::Oil) => Wait::Days,
        Some(MixingFamily::Lacquer | MixingFamily::Unknown) | None => Wait::Day,
    }
}

/// What must have dried before a sitting, after the steps of the one before.
fn wait_before(
    first: Stage,
    before: &[WorkStep],
    now: &[WorkStep],
    steps: &Steps<'_>,
) -> Option<Wait> {
    let kind = |at: &OnSurface| steps.kind(*at);
    let met = |at: &&OnSurface| {
        let mut next = now.iter().flat_map(|step| &step.on);
        next.any(|other| other.surface == at.surface)
    };
    let painted = before
        .iter()
        .flat_map(|step| &step.on)
        .filter(met)
        .filter_map(|at| family_of(kind(at)))
        .map(|family| drying(Some(family)))
        .max();
    match first {
        Stage::Clean | Stage::Strew => None,
        Stage::Prime | Stage::Powder => Some(Wait::Hours),
        Stage::Try | Stage::FirstColours => before
            .iter()
            .any(|step| step.stage == Stage::Prime)
            .then_some(Wait::Label),
        Stage::Washes => now
            .iter()
            .flat_map(|step| &step.on)
            .flat_map(|at| steps.on(at.surface))
            .filter_map(|step| match step.kind {
                StepKind::Dirt(DirtStep::Harden { base, wash }) => Some(hardening(base, wash)),
                _ => None,
            })
            .chain(painted)
            .max(),
        Stage::Tidy => Some(Wait::Overnight),
        Stage::Varnish => Some(painted.map_or(Wait::Day, |wait| wait.max(Wait::Day))),
        _ => painted,
    }
}

/// What can hurt in one sitting.
fn cautions(now: &[WorkStep], steps: &Steps<'_>, of_surfaces: &[Vec<Caution>]) -> Vec<Caution> {
    let mut found = Vec::new();
    for step in now {
        for at in &step.on {
            let possible = &of_surfaces[at.surface.place()];
            let own = |caution: Caution| possible.contains(&caution).then_some(caution);
            let kind = steps.kind(*at);
            if family_of(kind).is_some_and(MixingFamily::is_solvent_borne) {
                found.extend([own(Caution::Solvents), own(Caution::SolventOnFoam)]);
                if matches!(step.stage, Stage::Washes | Stage::Stains) {
                    found.extend(
                        [
                            Caution::SolventOverSame,
                            Caution::SolventOverFresh,
                            Caution::SolventOverUnknown,
                        ]
                        .map(own),
                    );
                }
            }
            match step.stage {
                Stage::Prime
                | Stage::Varnish
                | Stage::SealBeforePowder
                | Stage::SealAfterPowder => {
                    found.extend([own(Caution::Spray), own(Caution::Solvents)]);
                }
                Stage::Clean | Stage::Powder | Stage::Tidy => found.push(Some(Caution::Dust)),
                _ => {}
            }
            if let StepKind::Strew { grain, .. } = kind {
                found.push(own(Caution::Dust));
                if *grain == Grain::Fibre {
                    found.push(own(Caution::HighVoltage));
                }
            }
        }
    }
    let mut found: Vec<Caution> = found.into_iter().flatten().collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// All steps of all surfaces in one order, with what dries between them; of each surface its steps and its cautions.
pub(super) fn order(of_steps: &[Vec<Step>], of_cautions: &[Vec<Caution>]) -> Vec<Sitting> {
    let all = Steps(of_steps);
    let mut groups: Vec<Vec<WorkStep>> = Vec::new();
    for step in merged(&all) {
        match groups.last_mut() {
            Some(group) if sitting_of(group[0].stage) == sitting_of(step.stage) => group.push(step),
            _ => groups.push(vec![step]),
        }
    }
    let mut sittings: Vec<Sitting> = Vec::new();
    for steps in groups {
        let before = sittings.last().map_or(&[][..], |s| &s.steps);
        let wait = if sittings.is_empty() {
            None
        } else {
            wait_before(steps[0].stage, before, &steps, &all)
        };
        sittings.push(Sitting {
            wait,
            cautions: cautions(&steps, &all, of_cautions),
            steps,
        });
    }
    sittings
}

/// The pots in the order in which work first takes them.
pub(super) fn first_used(work: &[Sitting]) -> Vec<PotId> {
    let mut used = Vec::new();
    for pot in work
        .iter()
        .flat_map(|s| &s.steps)
        .filter_map(|step| step.pot)
    {
        if !used.contains(&pot) {
            used.push(pot);
        }
    }
    used
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tones::Role;

    fn tone(pot: usize) -> Step {
        Step {
            kind: StepKind::Tone {
                pot: PotId(pot),
                role: Role::Variation,
                share: 0.2,
                family: Some(MixingFamily::Enamel),
            },
        }
    }

    #[test]
    fn a_pot_that_two_walls_take_is_opened_once_where_something_else_can_be_done_first() {
        // The shed could take pot 0 at once; the barn comes to it after pot 1.
        let of_steps = [vec![tone(0)], vec![tone(1), tone(0)]];
        let work = order(&of_steps, &[Vec::new(), Vec::new()]);
        assert_eq!(work.len(), 1, "one sitting");
        let taken: Vec<_> = work[0].steps.iter().map(|step| step.pot).collect();
        assert_eq!(taken, [Some(PotId(1)), Some(PotId(0))]);
        assert_eq!(work[0].steps[1].on.len(), 2, "both walls in one go");
    }

    #[test]
    fn what_can_hurt_is_told_in_the_sitting_where_it_is_done() {
        let of_steps = [vec![
            Step {
                kind: StepKind::TestPatch,
            },
            tone(0),
        ]];
        let work = order(
            &of_steps,
            &[vec![Caution::Solvents, Caution::SolventOnFoam]],
        );
        let told: Vec<&[Caution]> = work.iter().map(|sitting| &sitting.cautions[..]).collect();
        assert_eq!(
            told,
            [&[][..], &[Caution::Solvents, Caution::SolventOnFoam][..]],
            "enamel is laid in the second sitting alone"
        );
    }
}
