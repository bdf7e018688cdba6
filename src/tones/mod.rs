//! Tones: the few colours a builder sees in a surface, with the share of its area that each covers.
//!
//! In: a picture and a region of it. Out: [`Tones`], sorted by share, the same for the same input. It refuses to know
//! of paint, scale and files.
//!
//! The way: a colour histogram of 6 bits a channel that keeps the true mean of each bin; profile and colour conversion
//! a bin, not a pixel; grouping by weighted k-means in Oklab with a and b doubled; the number of tones from the
//! density of the colours as the floor, then from what a painter can use.

mod cluster;
mod count;
mod histogram;
mod tiles;

pub use cluster::{Clustering, Grouped, WeightedColour, group};
pub use count::separate_peaks;
pub use histogram::{Bin, Counted, bins_of};
pub use tiles::Tiles;

use crate::colour::{DeltaE00, LabD65, LinearSrgb, OklabPoint, delta_e00, plain_name};
use crate::photo::Picture;
use crate::problem::Explain;
use crate::region::Region;
use crate::units::Share;
use cluster::{MOST_CELLS, group_from, merged, nearest_of};
use serde::Serialize;

/// What part a tone plays in its surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// The colour most of the surface has.
    Body,
    /// Lighter than the body.
    Light,
    /// Darker than the body.
    Shade,
    /// As light as the body, another colour.
    Variation,
    /// A small part, far from all others.
    Accent,
}

impl Role {
    /// The word users see.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Light => "light",
            Self::Shade => "shade",
            Self::Variation => "variation",
            Self::Accent => "accent",
        }
    }
}

/// One tone of a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Tone {
    /// Its mean colour (the mean is taken in Oklab).
    pub colour: LabD65,
    /// Its share of the pixels that count.
    pub share: Share,
    /// Mean CIEDE2000 of its pixels from its colour: how varied it is.
    pub spread: DeltaE00,
    /// ISCC–NBS name.
    pub name: &'static str,
    /// The part it plays.
    pub role: Role,
}

/// The tones of a region, largest share first; shares sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Tones {
    /// At least one.
    pub tones: Vec<Tone>,
    /// Mean CIEDE2000 of all pixels from their tones.
    pub mean_spread: DeltaE00,
}

/// How many tones are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Count {
    /// As many as the colours themselves and a painter's patience suggest.
    #[default]
    Chosen,
    /// Exactly so many (1 to 24), fewer only if the region has fewer colours.
    Exactly(usize),
}

/// Most tones that may be asked for.
pub const MOST_TONES: usize = 24;
/// Most tones chosen unasked, whatever the density says: a painter's patience. Our choice.
const MOST_CHOSEN: usize = 8;
/// Unasked, tones are added above the density's floor only up to here. Our choice.
const ENOUGH: usize = 5;
/// Tones closer than this are one to a painter. Our choice.
const DISTINCT: f64 = 7.0;
/// A tone of less than this share is not worth a pot, unless it is an accent. Our choice.
const SMALLEST_SHARE: f64 = 0.05;
/// Where one tone more must lower the mean difference by at least this fraction. Our choice.
const WORTHWHILE: f64 = 0.08;
/// Mean difference below which nothing more is gained. Our choice.
const CLOSE_ENOUGH: f64 = 2.5;
/// Lightness by which a tone counts as lighter or darker than the body. Our choice.
const LIGHTER: f64 = 4.0;

/// Why no tones can be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TonesError {
    /// No pixel lies inside, or all are transparent.
    #[error("found no pixel inside the region that counts, expected at least one")]
    NoPixels,
}

impl Explain for TonesError {
    fn hint(&self) -> Option<String> {
        Some("make the region larger, or leave less out of it".to_owned())
    }
}

/// The tones of a region of a picture.
///
/// # Errors
/// [`TonesError::NoPixels`] when nothing in the region counts.
pub fn tones_of(picture: &Picture, region: &Region, count: Count) -> Result<Tones, TonesError> {
    tones_of_bins(&bins_of(picture, region).bins, count)
}

/// The tones of a histogram.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn tones_of_bins(bins: &[Bin], count: Count) -> Result<Tones, TonesError> {
    let total: f64 = bins.iter().map(|bin| bin.pixels).sum();
    if total <= 0.0 {
        return Err(TonesError::NoPixels);
    }
    let points: Vec<WeightedColour> = bins
        .iter()
        .map(|bin| WeightedColour::new(OklabPoint::from(bin.light).grouping(), bin.pixels / total))
        .collect();
    let cells = merged(&points, MOST_CELLS);
    let count = match count {
        Count::Exactly(n) => n.clamp(1, MOST_TONES),
        Count::Chosen => chosen(&cells),
    };
    let grouped = group_from(&cells, &points, &Clustering::of(count));
    Ok(described(&points, &cells, &grouped))
}

/// Cells on which numbers of tones are tried out; only the chosen one is worked out on all points.
const TRIAL_CELLS: usize = 500;

/// Grows the number of tones from the floor that the density gives, while one more is worth a pot.
fn chosen(cells: &[WeightedColour]) -> usize {
    let floor = separate_peaks(cells).clamp(1, MOST_CHOSEN);
    if floor >= ENOUGH {
        return floor;
    }
    let cells = merged(cells, TRIAL_CELLS);
    let trial = |count: usize| {
        let how = Clustering {
            restarts: 3,
            ..Clustering::of(count)
        };
        Draft::new(&cells, &group_from(&cells, &cells, &how).centres)
    };
    let mut best = floor;
    let mut spread = trial(floor).mean_spread();
    for count in floor + 1..=ENOUGH {
        if spread < CLOSE_ENOUGH {
            break;
        }
        let more = trial(count);
        if !more.is_distinct() || more.mean_spread() > (1.0 - WORTHWHILE) * spread {
            break;
        }
        spread = more.mean_spread();
        best = count;
    }
    best
}

/// A grouping as colours: what is needed to judge it.
struct Draft {
    centres: Vec<LabD65>,
    shares: Vec<f64>,
    /// Weighted sum of differences of each group's points from its centre.
    spreads: Vec<f64>,
}

fn lab_of(at: [f64; 3]) -> LabD65 {
    LinearSrgb::from(OklabPoint::from_grouping(at)).into()
}

impl Draft {
    fn new(points: &[WeightedColour], centres: &[[f64; 3]]) -> Self {
        let colours: Vec<LabD65> = centres.iter().map(|at| lab_of(*at)).collect();
        let mut shares = vec![0.0; centres.len()];
        let mut spreads = vec![0.0; centres.len()];
        for point in points {
            let tone = nearest_of(point.at(), centres);
            shares[tone] += point.weight();
            spreads[tone] += point.weight() * delta_e00(lab_of(point.at()), colours[tone]).0;
        }
        Self {
            centres: colours,
            shares,
            spreads,
        }
    }

    fn mean_spread(&self) -> f64 {
        self.spreads.iter().sum::<f64>() / self.shares.iter().sum::<f64>()
    }

    fn is_distinct(&self) -> bool {
        self.shares.iter().all(|share| *share >= SMALLEST_SHARE)
            && self.centres.iter().enumerate().all(|(i, one)| {
                self.centres[..i]
                    .iter()
                    .all(|other| delta_e00(*one, *other).0 >= DISTINCT)
            })
    }
}

/// Shares, spreads, names and roles of a grouping.
fn described(points: &[WeightedColour], cells: &[WeightedColour], grouped: &Grouped) -> Tones {
    let draft = Draft::new(cells, &grouped.centres);
    let mut shares = vec![0.0; grouped.centres.len()];
    for (point, tone) in points.iter().zip(&grouped.nearest) {
        shares[*tone] += point.weight();
    }
    let total: f64 = shares.iter().sum();
    let mut tones: Vec<Tone> = (0..shares.len())
        .filter(|i| shares[*i] > 0.0)
        .map(|i| Tone {
            colour: draft.centres[i],
            share: Share::new((shares[i] / total).min(1.0))
                .unwrap_or_else(|_| unreachable!("a part over its whole")),
            spread: DeltaE00(if draft.shares[i] > 0.0 {
                draft.spreads[i] / draft.shares[i]
            } else {
                0.0
            }),
            name: plain_name(draft.centres[i]),
            role: Role::Body,
        })
        .collect();
    tones.sort_by(|a, b| {
        b.share
            .value()
            .total_cmp(&a.share.value())
            .then(b.colour.l.total_cmp(&a.colour.l))
    });
    give_roles(&mut tones);
    Tones {
        tones,
        mean_spread: DeltaE00(draft.mean_spread()),
    }
}

/// Largest share: the body. The others by how they stand to it.
fn give_roles(tones: &mut [Tone]) {
    let colours: Vec<LabD65> = tones.iter().map(|tone| tone.colour).collect();
    for (i, tone) in tones.iter_mut().enumerate().skip(1) {
        let alone = colours
            .iter()
            .enumerate()
            .all(|(j, other)| i == j || delta_e00(tone.colour, *other).0 >= 12.0);
        tone.role = if tone.share.value() <= 0.03 && alone {
            Role::Accent
        } else if tone.colour.l > colours[0].l + LIGHTER {
            Role::Light
        } else if tone.colour.l < colours[0].l - LIGHTER {
            Role::Shade
        } else {
            Role::Variation
        };
    }
}
