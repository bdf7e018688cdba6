//! A grid of places with their colours, and the lines on it.

use std::ops::Range;

/// A grid of colours; of each place red, green and blue, and how many pixels it represents (0: none, it does not
/// count). [`PAD`] places all round belong to no window's middle, those left and right do not count: steps of up to
/// this many places need not be watched.
#[derive(Debug, Clone)]
pub(in crate::tones) struct Grid {
    pub(in crate::tones) width: usize,
    pub(in crate::tones) at: Vec<[f32; 4]>,
}

/// Places all round that are only looked at for the sake of others.
pub(in crate::tones) const PAD: usize = 7;

impl Grid {
    /// Steps along four lines, to the next place: right, down, and both ways aslant.
    pub(in crate::tones) fn lines(&self) -> [GridLine; 4] {
        let down = self.width.cast_signed();
        let aslant = std::f32::consts::SQRT_2;
        [
            (1, down, 1.0),
            (down, 1, 1.0),
            (down + 1, down - 1, aslant),
            (down - 1, down + 1, aslant),
        ]
        .map(|(along, across, long)| GridLine {
            along,
            across,
            long,
        })
    }

    /// Red, green and blue of all places, each in its own list. What does not count is no number, and so no comparison holds.
    pub(super) fn counting_planes(&self) -> [Vec<f32>; 3] {
        std::array::from_fn(|c| {
            let at = self.at.iter();
            at.map(|place| if place[3] > 0.0 { place[c] } else { f32::NAN })
                .collect()
        })
    }

    /// The colour of a place this many steps away, if it counts.
    #[inline]
    pub(in crate::tones) fn seen(&self, place: usize, steps: isize) -> Option<[f32; 3]> {
        let [r, g, b, n] = self.at[place.wrapping_add_signed(steps)];
        (n > 0.0).then_some([r, g, b])
    }
}

/// Of planes of a grid the stretch that lies so many steps aside of these places.
pub(super) fn aside<'p>(
    planes: &'p [Vec<f32>; 3],
    places: &Range<usize>,
    steps: isize,
) -> [&'p [f32]; 3] {
    let first = places.start.wrapping_add_signed(steps);
    planes
        .each_ref()
        .map(|plane| &plane[first..][..places.len()])
}

/// A line on a grid.
#[derive(Debug, Clone, Copy)]
pub(in crate::tones) struct GridLine {
    /// From a place to the next on it.
    pub(in crate::tones) along: isize,
    /// From a place to the next at right angles to it.
    pub(in crate::tones) across: isize,
    /// How long that step is, in places.
    pub(in crate::tones) long: f32,
}
