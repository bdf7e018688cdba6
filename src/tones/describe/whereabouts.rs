//! Where a tone lies in its region, to put it into words.

use crate::tones::describe::map::ToneMap;

/// A third of a region, along one of its sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Third {
    /// Top, or left.
    First,
    /// The middle.
    Middle,
    /// Foot, or right.
    Last,
}

/// Where a tone lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Whereabouts {
    /// The third from top to foot that holds most of it beyond its fair share, where one does.
    pub upright: Option<Third>,
    /// Its third from left to right.
    pub across: Option<Third>,
    /// True where it lies in patches, false where it is speckled among the others.
    pub in_patches: bool,
}

/// A third stands out where it holds this many times its fair share, and at least half of the tone. Our choice.
const STANDS_OUT: f64 = 1.3;
const MOST_OF_IT: f64 = 0.5;
/// A tone lies in patches where a place beside one of its own is its own by this much of what chance leaves. Our choice.
const IN_PATCHES: f64 = 0.5;

impl ToneMap {
    /// Where a tone lies in its region; `None` where the map does not show it.
    #[must_use]
    pub fn whereabouts(&self, tone: usize) -> Option<Whereabouts> {
        let places: Vec<(usize, usize, usize)> = (0..self.height())
            .flat_map(|y| (0..self.width()).map(move |x| (x, y)))
            .filter_map(|(x, y)| Some((x, y, self.tone(x, y)?)))
            .collect();
        let span = |of: fn(&(usize, usize, usize)) -> usize| {
            let low = places.iter().map(of).min()?;
            let high = places.iter().map(of).max()?;
            Some((low, high - low + 1))
        };
        let (left, wide) = span(|place| place.0)?;
        let (top, high) = span(|place| place.1)?;
        let (mut own, mut all) = ([[0.0; 3]; 2], [[0.0; 3]; 2]);
        let (mut beside, mut alike, mut count) = (0.0, 0.0, 0.0);
        for (x, y, at) in &places {
            let thirds = [3 * (y - top) / high, 3 * (x - left) / wide];
            for (side, third) in thirds.into_iter().enumerate() {
                all[side][third] += 1.0;
                own[side][third] += f64::from(u8::from(*at == tone));
            }
            if *at == tone {
                count += 1.0;
                for next in [self.tone(x + 1, *y), self.tone(*x, y + 1)]
                    .into_iter()
                    .flatten()
                {
                    beside += 1.0;
                    alike += f64::from(u8::from(next == tone));
                }
            }
        }
        if count < 1.0 {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "a map has few places")]
        let share = count / places.len() as f64;
        Some(Whereabouts {
            upright: standing_out(own[0], all[0]),
            across: standing_out(own[1], all[1]),
            in_patches: beside > 0.0 && alike / beside > share + IN_PATCHES * (1.0 - share),
        })
    }
}

fn standing_out(own: [f64; 3], all: [f64; 3]) -> Option<Third> {
    let (of_own, of_all): (f64, f64) = (own.iter().sum(), all.iter().sum());
    [Third::First, Third::Middle, Third::Last]
        .into_iter()
        .zip(own.iter().zip(all))
        .find(|(_, (own, all))| {
            **own >= MOST_OF_IT * of_own && **own * of_all >= STANDS_OUT * of_own * all
        })
        .map(|(third, _)| third)
}
