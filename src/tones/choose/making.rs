//! Tones in the making, and the steps by which their number is chosen.

use crate::colour::{DeltaE00, LabD65, LinearSrgb, OklabPoint, delta_e00};
use crate::tones::group::peaks::Heaps;
use crate::tones::space::lab_of;
use serde::Serialize;
use std::cell::OnceCell;

/// Most tones chosen unasked: a painter's patience. Our choice.
pub const MOST_CHOSEN: usize = 8;
/// An accent is so far from the colours that two tones give where they blur into each other. Our choice.
const BLURRED: f64 = 4.0;

/// One step in choosing the number of tones.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChoiceStep {
    /// Tones after it.
    pub tones: usize,
    /// Mean CIEDE2000 of all pixels from their tones after it.
    pub mean_spread_de: DeltaE00,
    /// What was done, or why it ended here.
    pub what: StepTaken,
}

/// What was done in a step of choosing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepTaken {
    /// Heaps of colour that stand apart.
    Heaps,
    /// Heaps too close for two pots are one; scatter goes to its neighbours.
    Joined,
    /// The heaps do not explain the colours: all but small heaps far from others grouped again.
    Grouped,
    /// One tone more for what lay farther from every tone than a painter's tolerance.
    Uncovered,
    /// Grouped again, by one tone more.
    OneMore,
    /// Colours within the tones are alike enough.
    AlikeEnough,
    /// As many as a painter wants.
    Enough,
}

/// A tone in the making.
#[derive(Clone)]
pub(in crate::tones) struct ToneInMaking {
    pub(in crate::tones) cells: Vec<usize>,
    pub(in crate::tones) share: f64,
    pub(in crate::tones) centre: [f64; 3],
    pub(in crate::tones) colour: LabD65,
    pub(in crate::tones) accent: bool,
    /// True when its colours are so spread that those far from it are its own all the same.
    pub(in crate::tones) loose: bool,
    /// Its spread, once needed.
    spread: OnceCell<f64>,
}

impl ToneInMaking {
    pub(in crate::tones) fn new(heaps: &Heaps, cells: Vec<usize>) -> Self {
        let (centre, share) = mean(heaps, cells.iter().copied());
        Self {
            cells,
            share,
            centre,
            colour: lab_of(centre),
            accent: false,
            loose: false,
            spread: OnceCell::new(),
        }
    }

    /// Gives it a colour that is not the mean of its cells.
    pub(in crate::tones) fn recolour(&mut self, centre: [f64; 3]) {
        self.centre = centre;
        self.colour = lab_of(centre);
        self.spread.take();
    }

    /// Some cells as an accent of their mean colour.
    pub(in crate::tones) fn accent(heaps: &Heaps, cells: Vec<usize>) -> Self {
        Self {
            accent: true,
            ..Self::new(heaps, cells)
        }
    }

    /// True when every one of some groups is at least so far from it.
    pub(in crate::tones) fn is_apart_from<'a>(
        &self,
        mut others: impl Iterator<Item = &'a Self>,
        least: f64,
    ) -> bool {
        others.all(|other| delta_e00(other.colour, self.colour).0 >= least)
    }

    /// Mean difference of its cells from its colour.
    pub(in crate::tones) fn spread(&self, heaps: &Heaps) -> f64 {
        *self.spread.get_or_init(|| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for i in &self.cells {
                let cell = &heaps.cells[*i];
                if cell.weight >= heaps.least {
                    sum += cell.weight * delta_e00(heaps.lab[*i], self.colour).0;
                    weight += cell.weight;
                }
            }
            if weight > 0.0 { sum / weight } else { 0.0 }
        })
    }
}

/// The mean of some cells, and their weight.
pub(in crate::tones) fn mean(heaps: &Heaps, cells: impl Iterator<Item = usize>) -> ([f64; 3], f64) {
    let mut sum = [0.0; 3];
    let mut weight = 0.0;
    for cell in cells.map(|i| &heaps.cells[i]) {
        weight += cell.weight;
        for (total, v) in sum.iter_mut().zip(cell.mean) {
            *total += cell.weight * v;
        }
    }
    (sum.map(|v| v / weight), weight)
}

/// A step that led to some groups.
pub(in crate::tones) fn step(
    heaps: &Heaps,
    groups: &[ToneInMaking],
    what: StepTaken,
) -> ChoiceStep {
    ChoiceStep {
        tones: groups.len(),
        mean_spread_de: DeltaE00(spread(heaps, groups.iter())),
        what,
    }
}

/// Mean difference of the colours of some groups from that of their group; 0 of none.
pub(in crate::tones) fn spread<'a>(
    heaps: &Heaps,
    groups: impl Iterator<Item = &'a ToneInMaking>,
) -> f64 {
    let (sum, share) = groups.fold((0.0, 0.0), |(sum, share), group| {
        (sum + group.share * group.spread(heaps), share + group.share)
    });
    if share > 0.0 { sum / share } else { 0.0 }
}

/// True for a colour that two large tones give where they blur into each other: mixed light lies between them.
pub(in crate::tones) fn is_blur(centre: [f64; 3], mains: &[ToneInMaking]) -> bool {
    let linear = |at: [f64; 3]| {
        let light = LinearSrgb::from(OklabPoint::from_grouping(at));
        [light.r, light.g, light.b]
    };
    let (at, seen) = (linear(centre), lab_of(centre));
    mains.iter().enumerate().any(|(i, one)| {
        mains[..i].iter().any(|other| {
            let (from, to) = (linear(one.centre), linear(other.centre));
            let along: [f64; 3] = std::array::from_fn(|c| to[c] - from[c]);
            let length: f64 = along.iter().map(|v| v * v).sum();
            let part: f64 = (0..3).map(|c| along[c] * (at[c] - from[c])).sum::<f64>() / length;
            let [r, g, b] = std::array::from_fn(|c| from[c] + part.clamp(0.0, 1.0) * along[c]);
            delta_e00(LabD65::from(LinearSrgb { r, g, b }), seen).0 < BLURRED
        })
    })
}
