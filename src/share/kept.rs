//! "May I keep my mixed pots?": compares each pot of another plan with this plan.

use super::pairs::pairs;
use super::{Keeping, KeptPot, PlanFile, PotEntry, SurfaceEntry, ToneEntry, rounded};
use crate::colour::delta_e00;

/// You may keep a pot that misses the planned colour by no more than this (CIEDE2000). The measure for sharing a pot.
const MAY_MISS: f64 = 2.0;
/// Or by no more than this much beyond what a new mix would miss. Our choice: about the least difference seen side by side.
const HARDLY_WORSE: f64 = 1.0;

/// Each pot of `theirs`, in the order of its numbers.
pub(super) fn kept_pots(theirs: &PlanFile, ours: &PlanFile) -> Vec<KeptPot> {
    theirs
        .pots
        .iter()
        .filter(|pot| !pot.paints.is_empty())
        .map(|pot| kept(pot, theirs, ours))
        .collect()
}

/// Uses of a pot: the surface, their tone, and ours where there still is one.
fn uses<'a>(
    pot: &PotEntry,
    theirs: &'a PlanFile,
    ours: &'a PlanFile,
) -> Vec<(&'a SurfaceEntry, &'a ToneEntry, Option<&'a ToneEntry>)> {
    let mut uses = Vec::new();
    for surface in &theirs.surfaces {
        let now = ours.surfaces.iter().find(|s| s.name == surface.name);
        let paired = now.map_or_else(Vec::new, |now| pairs(&surface.tones, &now.tones));
        for (t, tone) in surface.tones.iter().enumerate() {
            if tone.pot == Some(pot.number) {
                let ours = paired.iter().find(|(their, _)| *their == Some(t));
                let ours = ours.and_then(|(_, o)| now?.tones.get((*o)?));
                uses.push((surface, tone, ours));
            }
        }
    }
    uses
}

fn kept(pot: &PotEntry, theirs: &PlanFile, ours: &PlanFile) -> KeptPot {
    let (mut serves, mut no_longer, mut worst) = (Vec::new(), Vec::new(), None::<f64>);
    for (surface, tone, now) in uses(pot, theirs, ours) {
        let name = surface.name.clone();
        // A surface that is brushed otherwise now, or not at all, needs this pot no more.
        let Some(now) = now.filter(|now| now.pot.is_some()) else {
            continue;
        };
        let mixed = |tone: &ToneEntry| tone.recipes.as_ref().and_then(|all| all.first().cloned());
        let Some((old, planned)) = mixed(tone).zip(now.planned.as_ref()) else {
            continue;
        };
        let off = delta_e00(old.colour(), planned.colour()).0;
        let anew = mixed(now).map_or(0.0, |mix| mix.de2000);
        worst = Some(worst.map_or(off, |worst| worst.max(off)));
        let list = if off <= MAY_MISS.max(anew + HARDLY_WORSE) {
            &mut serves
        } else {
            &mut no_longer
        };
        if !list.contains(&name) {
            list.push(name);
        }
    }
    no_longer.retain(|name| !serves.contains(name));
    let keeping = match (serves.is_empty(), no_longer.is_empty()) {
        (false, true) => Keeping::Keep,
        (false, false) => Keeping::KeepForSome,
        (true, false) => Keeping::MixAnew,
        (true, true) => Keeping::NotNeeded,
    };
    KeptPot {
        pot: pot.number,
        name: pot.name.clone(),
        straight: pot.straight || pot.paints.len() == 1,
        keeping,
        serves,
        no_longer,
        worst_de: worst.map(rounded),
    }
}

impl KeptPot {
    /// The answer in words: "keep it for Yard wall", "keep it for Yard wall; mix anew for Shed".
    #[must_use]
    pub fn words(&self) -> String {
        let (serves, no_longer) = (self.serves.join(", "), self.no_longer.join(", "));
        let off = self.worst_de.map_or_else(String::new, |off| {
            format!(" (it would miss by ΔE00 {off:.1})")
        });
        match self.keeping {
            Keeping::Keep => format!("yes, for {serves}"),
            Keeping::KeepForSome => {
                format!("yes, for {serves}; mix anew for {no_longer}{off}")
            }
            Keeping::MixAnew => format!("no: mix anew for {no_longer}{off}"),
            Keeping::NotNeeded => "no longer needed".to_owned(),
        }
    }
}
