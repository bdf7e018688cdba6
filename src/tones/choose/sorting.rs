//! How colours are sorted into the tones that were chosen.

use super::making::{ChoiceStep, ToneInMaking};
use crate::tones::group::peaks::Heaps;
use crate::tones::group::rounds::nearest_of;

/// How colours are sorted into tones: by the cells they lie in, else to the nearest.
#[derive(Debug)]
pub(in crate::tones) struct Sorting {
    pub(super) heaps: Heaps,
    /// For each cell its tone.
    pub(super) of_cell: Vec<usize>,
    /// For each tone its colour in the grouping space.
    pub(in crate::tones) centres: Vec<[f64; 3]>,
    /// For each tone whether it is an accent.
    pub(in crate::tones) accent: Vec<bool>,
    /// How it came about.
    pub(in crate::tones) steps: Vec<ChoiceStep>,
    /// True when they were found from near.
    pub(in crate::tones) from_near: bool,
}

impl Sorting {
    /// Each colour to the nearest of some centres.
    pub(in crate::tones) fn nearest(centres: Vec<[f64; 3]>) -> Self {
        Self {
            heaps: Heaps::none(),
            of_cell: Vec::new(),
            accent: vec![false; centres.len()],
            centres,
            steps: Vec::new(),
            from_near: false,
        }
    }

    /// The tone of a place: that of its cell, else the nearest.
    pub(in crate::tones) fn tone(&self, at: [f64; 3]) -> usize {
        self.heaps
            .cell(at)
            .map_or_else(|| nearest_of(at, &self.centres), |cell| self.of_cell[cell])
    }
}

/// The sorting that some groups of cells make.
pub(in crate::tones) fn sorting(
    heaps: Heaps,
    groups: &[ToneInMaking],
    steps: Vec<ChoiceStep>,
) -> Sorting {
    let mut of_cell = vec![0; heaps.cells.len()];
    for (tone, group) in groups.iter().enumerate() {
        for cell in &group.cells {
            of_cell[*cell] = tone;
        }
    }
    Sorting {
        of_cell,
        centres: groups.iter().map(|group| group.centre).collect(),
        accent: groups.iter().map(|group| group.accent).collect(),
        steps,
        from_near: false,
        heaps,
    }
}
