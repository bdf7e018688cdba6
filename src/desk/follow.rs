//! What one answer of a page leaves for the next: sums that follow the outline while the user drags it, and the
//! sorting of its colours.

use super::gallery::Loaded;
use crate::colour::LabD65;
use crate::region::Region;
use crate::tones::{
    Bin, Count, Counted, Moving, Sorted, SortedColours, Tones, TonesError, sorted_to_hold,
};
use std::sync::{Arc, Mutex, PoisonError};

/// A photo's sums as they were last: its file, the picture's size, and which of the surface's parts it was.
#[derive(Debug)]
struct Followed {
    file: String,
    size: [usize; 2],
    moving: Moving,
}

/// The state of one page.
#[derive(Debug, Default)]
pub(super) struct Follow {
    /// For each part of the surface that was asked about last.
    parts: Mutex<Vec<Followed>>,
    /// How a surface's colours were sorted last, with what must be the same for them to be sorted so again.
    held: Mutex<Option<(String, Arc<SortedColours>)>>,
}

impl Follow {
    /// What a part holds, a little coarser, from the sums of a moment ago where they are of the same photo.
    pub(super) fn counted(
        &self,
        part: usize,
        file: &str,
        loaded: &Loaded,
        region: &Region,
    ) -> Counted {
        let (picture, tiles) = (&loaded.picture, &loaded.tiles);
        let size = [picture.width, picture.height];
        let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        match parts.get_mut(part) {
            Some(held) if held.file == file && held.size == size => {
                held.moving.go_to(tiles, picture, region);
                held.moving.counted_roughly(picture)
            }
            _ => {
                let moving = Moving::new(tiles, picture, region);
                let counted = moving.counted_roughly(picture);
                let held = Followed {
                    file: file.to_owned(),
                    size,
                    moving,
                };
                parts.truncate(part);
                parts.push(held);
                counted
            }
        }
    }

    /// The tones of bins, sorted as they were last if that still fits.
    pub(super) fn tones(
        &self,
        whose: String,
        bins: &[Bin],
        (count, alike): (Count, &[Vec<LabD65>]),
    ) -> Result<Tones, TonesError> {
        let held = {
            let held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
            held.as_ref()
                .filter(|(of, _)| *of == whose)
                .map(|(_, held)| Arc::clone(held))
        };
        match held.and_then(|held| held.again(bins)) {
            Some(tones) => Ok(tones),
            None => Ok(self.tones_anew(whose, bins, (count, alike))?.tones),
        }
    }

    /// The tones of bins, chosen again, and held for what comes next.
    pub(super) fn tones_anew(
        &self,
        whose: String,
        bins: &[Bin],
        (count, alike): (Count, &[Vec<LabD65>]),
    ) -> Result<Sorted, TonesError> {
        let (sorted, held) = sorted_to_hold(bins, count, alike)?;
        *self.held.lock().unwrap_or_else(PoisonError::into_inner) = Some((whose, Arc::new(held)));
        Ok(sorted)
    }
}
