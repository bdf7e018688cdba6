//! Tones: the few colours a builder sees in a surface, with the share of its area that each covers.
//!
//! In: a picture and a region of it. Out: [`Tones`], sorted by share, the same for the same input. It refuses to know
//! of paint, scale and files.
//!
//! The way: a colour histogram of 6 bits a channel that keeps the true mean of each bin; profile and colour conversion
//! a bin, not a pixel. If the user gives a number: weighted k-means in Oklab with a and b doubled. Otherwise the
//! program looks at a region twice. From afar, in small blocks, tones are heaps of colour that stand apart; if these
//! do not explain the colours, the fewest groups that do. From near, grain is smoothed, blurred borders do not count
//! and joints have their own colour; here tones get their colours, and new ones are added until nearly everything
//! lies within a painter's tolerance of its tone. Then it separates light and shade of one material from two
//! materials, and gives each tone its name and role.

mod choose;
mod count;
mod describe;
mod follow;
mod group;
mod together;

pub use choose::joined::{JoinedTone, NotFound};
pub use choose::making::{ChoiceStep, MOST_CHOSEN, StepTaken};
pub use count::afar::{bins_and_windows, bins_for};
pub use count::histogram::{Bin, Counted, bins_of};
pub use count::near::mixed_share;
pub use describe::map::{ColourGrid, PANEL, ToneMap, map_of, map_sheet, mixed_panel};
pub use describe::roles::Role;
pub use describe::shade::{Likeness, ShadeOf, ShadingLine, likeness, shading_line};
pub use describe::side_by_side::{Side, SideBySide, side_by_side};
pub use describe::variety::{TENTH, Variety, WindowColours, Wish};
pub use describe::whereabouts::{Third, Whereabouts};
pub use follow::region::Moving;
pub use follow::sorted_colours::SortedColours;
pub use follow::tiles::Tiles;
pub use group::k_means::{Clustering, Grouped, group};
pub use group::rounds::WeightedColour;
pub use together::{Part, PartNote, Together, together};

use crate::colour::{DeltaE00, LabD65, LinearSrgb, OklabPoint, Xyz, delta_e00, plain_name};
use crate::photo::Picture;
use crate::problem::Explain;
use crate::region::Region;
use crate::units::Share;
use choose::joined::Grouping;
use choose::sorting::Sorting;
use group::cells::merged;
use group::k_means::{MOST_CELLS, group_from};
use serde::{Deserialize, Serialize};

/// One tone of a surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tone {
    /// Its mean colour (the mean is taken in Oklab); of an accent the mean of its core, clear of blurred edges.
    pub colour: LabD65,
    /// Its share of the pixels that count.
    pub share: Share,
    /// Mean CIEDE2000 of its pixels from its colour: how varied it is.
    pub spread: DeltaE00,
    /// Nine in ten of its pixels lie within this much of its colour.
    pub spread_90: DeltaE00,
    /// ISCC–NBS name; it follows from the colour and is not kept with it.
    #[serde(skip)]
    pub name: &'static str,
    /// The part it plays.
    pub role: Role,
    /// The lit tone whose shade it is, or may be.
    pub shade_of: Option<ShadeOf>,
    /// True when most of it lies in thin things, such as joints.
    pub thin: bool,
    /// The tones it was joined from, largest first; empty for one that is as it was found.
    #[serde(default)]
    pub joined: Vec<JoinedTone>,
    /// Places of the groups that name it, among the joined colours.
    #[serde(default)]
    pub named_by: Vec<usize>,
}

/// Nine in ten pixels within this much: a mix may be kept even. Our choice.
const EVEN: f64 = 6.0;

impl Tone {
    /// True when nine in ten of its pixels lie near its colour.
    #[must_use]
    pub fn is_even(&self) -> bool {
        self.spread_90.0 <= EVEN
    }

    /// How the mix wants to be kept, by how varied the tone is.
    #[must_use]
    pub fn keep(&self) -> &'static str {
        if self.is_even() {
            "keep it even"
        } else {
            "keep the mix loose"
        }
    }
}

/// The tones of a region: the body first, the others by share; shares sum to 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tones {
    /// At least one.
    pub tones: Vec<Tone>,
    /// Mean CIEDE2000 of all pixels from their tones.
    pub mean_spread: DeltaE00,
    /// Joined colours that are not all there.
    #[serde(default)]
    pub not_found: Vec<NotFound>,
}

impl Tones {
    /// These tones as those of leaves and grass, where a dark and dull tone is shade and no dirt.
    #[must_use]
    pub fn of_foliage(mut self) -> Self {
        for tone in &mut self.tones {
            if tone.role == Role::Recess {
                tone.role = Role::Shade;
            }
        }
        self
    }
}

/// Tones, and which of them each bin belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Sorted {
    /// The tones.
    pub tones: Tones,
    /// For each bin its tone, as a place in the list of tones.
    pub of_bin: Vec<usize>,
    /// How their number was chosen; empty when it was given.
    pub steps: Vec<ChoiceStep>,
    /// True if they were found from near, where mixed places do not count; false of clouds and of a given number.
    pub from_near: bool,
}

/// How many tones are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Count {
    /// As many as the colours themselves and a painter's patience suggest.
    #[default]
    Chosen,
    /// Exactly this many (1 to 24), fewer only if the region has fewer colours.
    Exactly(usize),
}

/// The largest number of tones that a user may ask for.
pub const MOST_TONES: usize = 24;

/// Why there are no tones.
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
    tones_of_bins(&bins_for(picture, region, count).bins, count)
}

/// The tones of a histogram.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn tones_of_bins(bins: &[Bin], count: Count) -> Result<Tones, TonesError> {
    sorted(bins, count).map(|sorted| sorted.tones)
}

/// The tones of a histogram, with the tone of each bin.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn sorted(bins: &[Bin], count: Count) -> Result<Sorted, TonesError> {
    sorted_to_hold(bins, count, &[]).map(|(sorted, _)| sorted)
}

/// Sorts as [`sorted`] does, and says how, so that it can be done again with bins that differ little.
///
/// `alike` are colours that the user joined, one group for each tone: every one of them names the tone nearest to it.
///
/// # Errors
/// [`TonesError::NoPixels`] when it is empty.
pub fn sorted_to_hold(
    bins: &[Bin],
    count: Count,
    alike: &[Vec<LabD65>],
) -> Result<(Sorted, SortedColours), TonesError> {
    let points = points_of(bins)?;
    let mut sorting = match count {
        Count::Exactly(n) => {
            let cells = merged(&points, MOST_CELLS);
            let how = Clustering::into_groups(n.clamp(1, MOST_TONES));
            Sorting::nearest(group_from(&cells, &points, &how).centres)
        }
        Count::Chosen => {
            let near = weighed_by(bins, &points, |bin| bin.unmixed);
            choose::unasked::choose(near.as_deref(), &points)
        }
    };
    let of_point: Vec<usize> = points.iter().map(|p| sorting.tone(p.at())).collect();
    let steps = std::mem::take(&mut sorting.steps);
    let seen_near = weighed_by(bins, &points, |bin| bin.near).filter(|_| sorting.from_near);
    let from_near = seen_near.is_some();
    let shares = seen_near.unwrap_or_else(|| points.clone());
    let held = SortedColours::of_sorting(sorting, alike, &points, &of_point);
    let sorted = described(&shares, held.centres(), of_point, (held.accents(), alike));
    let sorted = Sorted {
        steps,
        from_near,
        ..sorted
    };
    let sorted = thin_told(sorted, bins);
    Ok((sorted, held))
}

/// Bins as places in the grouping space; their weights sum to 1.
fn points_of(bins: &[Bin]) -> Result<Vec<WeightedColour>, TonesError> {
    let total: f64 = bins.iter().map(|bin| bin.pixels).sum();
    if total <= 0.0 {
        return Err(TonesError::NoPixels);
    }
    let point =
        |bin: &Bin| WeightedColour::new(OklabPoint::from(bin.light).grouping(), bin.pixels / total);
    Ok(bins.iter().map(point).collect())
}

/// The places with weights as seen from near, which sum to 1; `None` where too little is seen from there.
fn weighed_by(
    bins: &[Bin],
    points: &[WeightedColour],
    weight: impl Fn(&Bin) -> f64,
) -> Option<Vec<WeightedColour>> {
    let (sum, near) = bins
        .iter()
        .fold((0.0, 0.0), |(u, n), bin| (u + weight(bin), n + bin.near));
    if near <= 0.0 || sum <= LEAST_UNMIXED * near {
        return None;
    }
    let points = points.iter().zip(bins);
    let weighed = points.map(|(point, bin)| WeightedColour::new(point.at(), weight(bin) / sum));
    Some(weighed.collect())
}

/// If less than this part is unmixed, the look from near shows nothing.
const LEAST_UNMIXED: f64 = 0.05;

/// Most tones the curve of [`curve`] goes up to.
const CURVE: usize = 10;

/// For each number of tones from 1 on the mean CIEDE2000 of the pixels from their tones, grouped by k-means.
#[must_use]
pub fn curve(bins: &[Bin]) -> Vec<(usize, DeltaE00)> {
    (1..=CURVE)
        .filter_map(|count| {
            let tones = tones_of_bins(bins, Count::Exactly(count)).ok()?;
            (tones.tones.len() == count).then_some((count, tones.mean_spread))
        })
        .collect()
}

fn lab_of(at: [f64; 3]) -> LabD65 {
    LinearSrgb::from(OklabPoint::from_grouping(at)).into()
}

fn place_of(colour: LabD65) -> [f64; 3] {
    OklabPoint::from(Xyz::from(colour).to_linear_srgb()).grouping()
}

/// Points this light are passed over when differences are measured: together they are a thousandth.
const NEGLIGIBLE: f64 = 1e-3;

/// Shares, spreads, names and roles of sorted points.
fn described(
    points: &[WeightedColour],
    centres: &[[f64; 3]],
    nearest: Vec<usize>,
    (accent, alike): (&[bool], &[Vec<LabD65>]),
) -> Sorted {
    let (grouping, not_found) = Grouping::new(centres, accent, nearest).with_alike(points, alike);
    let Grouping {
        centres,
        accent,
        of_point: nearest,
        mut joined,
        mut named_by,
    } = grouping;
    let colours: Vec<LabD65> = centres.iter().map(|at| lab_of(*at)).collect();
    let mut shares = vec![0.0; centres.len()];
    for (point, tone) in points.iter().zip(&nearest) {
        shares[*tone] += point.weight();
    }
    let total: f64 = shares.iter().sum();
    let spreads = spreads(points, &nearest, &colours);
    let mut order: Vec<usize> = (0..centres.len()).filter(|i| shares[*i] > 0.0).collect();
    order.sort_by(|a, b| {
        shares[*b]
            .total_cmp(&shares[*a])
            .then(colours[*b].l.total_cmp(&colours[*a].l))
            .then(a.cmp(b))
    });
    let mut tones: Vec<Tone> = order
        .iter()
        .map(|i| Tone {
            colour: colours[*i],
            share: Share::new((shares[*i] / total).min(1.0))
                .unwrap_or_else(|_| unreachable!("a part over its whole")),
            spread: spreads[*i].0,
            spread_90: spreads[*i].1,
            name: plain_name(colours[*i]),
            role: if accent[*i] {
                Role::Accent
            } else {
                Role::Variation
            },
            shade_of: None,
            thin: false,
            joined: std::mem::take(&mut joined[*i]),
            named_by: std::mem::take(&mut named_by[*i]),
        })
        .collect();
    describe::roles::give(&mut tones);
    body_first(&mut tones, &mut order);
    let mut place = vec![0; centres.len()];
    for (now, before) in order.iter().enumerate() {
        place[*before] = now;
    }
    let mean_spread = tones.iter().map(|t| t.share.value() * t.spread.0).sum();
    Sorted {
        tones: Tones {
            tones,
            mean_spread: DeltaE00(mean_spread),
            not_found,
        },
        of_bin: nearest.into_iter().map(|tone| place[tone]).collect(),
        steps: Vec::new(),
        from_near: false,
    }
}

/// Says for each tone but the body whether most of its unmixed places lie in thin things.
fn thin_told(mut sorted: Sorted, bins: &[Bin]) -> Sorted {
    let mut seen = vec![(0.0, 0.0); sorted.tones.tones.len()];
    for (bin, tone) in bins.iter().zip(&sorted.of_bin) {
        seen[*tone].0 += bin.thin;
        seen[*tone].1 += bin.unmixed;
    }
    for (tone, (thin, unmixed)) in sorted.tones.tones.iter_mut().zip(seen) {
        tone.thin = tone.role != Role::Body && 2.0 * thin > unmixed;
    }
    sorted
}

/// Moves the body to the front: a body mostly in shadow has a lit tone of less share than its shade.
fn body_first(tones: &mut [Tone], order: &mut [usize]) {
    let Some(body) = tones.iter().position(|tone| tone.role == Role::Body) else {
        return;
    };
    tones[..=body].rotate_right(1);
    order[..=body].rotate_right(1);
    for shade in tones.iter_mut().filter_map(|tone| tone.shade_of.as_mut()) {
        shade.lit = match shade.lit {
            lit if lit == body => 0,
            lit if lit < body => lit + 1,
            lit => lit,
        };
    }
}

/// For each tone the mean difference of its points, and that within which nine in ten of them lie.
fn spreads(
    points: &[WeightedColour],
    nearest: &[usize],
    colours: &[LabD65],
) -> Vec<(DeltaE00, DeltaE00)> {
    let mut off: Vec<Vec<(f64, f64)>> = vec![Vec::new(); colours.len()];
    let least = least_weight(points.iter().map(WeightedColour::weight), NEGLIGIBLE);
    for (point, tone) in points
        .iter()
        .zip(nearest)
        .filter(|(p, _)| p.weight() >= least)
    {
        let difference = delta_e00(lab_of(point.at()), colours[*tone]).0;
        off[*tone].push((difference, point.weight()));
    }
    off.into_iter()
        .map(|mut off| {
            off.sort_by(|a, b| a.0.total_cmp(&b.0));
            let weight: f64 = off.iter().map(|(_, w)| w).sum();
            if weight <= 0.0 {
                return (DeltaE00(0.0), DeltaE00(0.0));
            }
            let mean = off.iter().map(|(d, w)| d * w).sum::<f64>() / weight;
            let mut so_far = 0.0;
            let within = off.iter().find(|(_, w)| {
                so_far += w;
                so_far >= 0.9 * weight
            });
            (DeltaE00(mean), DeltaE00(within.map_or(0.0, |(d, _)| *d)))
        })
        .collect()
}

/// The weight for which all lighter items together are this part of the whole, which is 1.
fn least_weight(weights: impl Iterator<Item = f64>, part: f64) -> f64 {
    let mut weights: Vec<f64> = weights.collect();
    weights.sort_unstable_by(f64::total_cmp);
    let mut so_far = 0.0;
    weights
        .into_iter()
        .find(|w| {
            so_far += w;
            so_far > part
        })
        .unwrap_or(0.0)
}
