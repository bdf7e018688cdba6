//! What a list can mix at all: the span of a* and b* at several lightnesses.

use super::Shelf;
use crate::colour::LabD65;
use crate::linear::{area_within, convex_hull, is_within};
use crate::paint::{MixingFamily, Prepared, opaque_mix};
use crate::work::Meter;
use rayon::prelude::*;

/// What paints of one medium reach.
#[derive(Debug, Clone)]
pub struct Reach {
    /// Paints that may be stirred together.
    pub family: MixingFamily,
    /// How many they are.
    pub paints: usize,
    /// By lightness, the darkest first.
    pub slices: Vec<Slice>,
}

/// What is reached about one lightness.
#[derive(Debug, Clone)]
pub struct Slice {
    /// Middle lightness; colours within 5 of it count.
    pub lightness: f64,
    /// Corners of the span of a* and b*.
    pub hull: Vec<[f64; 2]>,
    /// Its area, in a* b* units squared.
    pub area: f64,
}

/// Half the thickness of a slice.
const HALF: f64 = 5.0;
/// Parts of pairs and triples that are tried.
const PAIRS: [[f64; 2]; 7] = [
    [8.0, 1.0],
    [4.0, 1.0],
    [2.0, 1.0],
    [1.0, 1.0],
    [1.0, 2.0],
    [1.0, 4.0],
    [1.0, 8.0],
];
const TRIPLES: [[f64; 3]; 4] = [
    [1.0, 1.0, 1.0],
    [2.0, 1.0, 1.0],
    [1.0, 2.0, 1.0],
    [1.0, 1.0, 2.0],
];
/// Longer lists are tried in pairs only: triples fill the inside more than they widen it.
const MOST_FOR_TRIPLES: usize = 60;
/// Of longer lists this many paints are tried with each other: those nearest to the edge of what paints of their lightness
/// span. What lies well within it hardly widens it: of 1,000 drawn paints the span is 97 to 100 % of that of all pairs. Our
/// choice.
const MOST_IN_PAIRS: usize = 300;

/// Where the slices lie, the darkest first.
fn lightnesses() -> impl Iterator<Item = f64> {
    (1..=9).map(|tenth| 10.0 * f64::from(tenth))
}

/// Whether a colour counts to the slice about a lightness.
fn is_about(colour: LabD65, lightness: f64) -> bool {
    (colour.l - lightness).abs() <= HALF
}

/// The outlines that colours span, slice by slice.
fn outlines(colours: &[LabD65]) -> Vec<Vec<[f64; 2]>> {
    lightnesses()
        .map(|lightness| {
            let inside = colours.iter().filter(|c| is_about(**c, lightness));
            convex_hull(inside.map(|c| [c.a, c.b]).collect())
        })
        .collect()
}

/// The outlines about two each.
fn joined(one: Vec<Vec<[f64; 2]>>, other: Vec<Vec<[f64; 2]>>) -> Vec<Vec<[f64; 2]>> {
    one.into_iter()
        .zip(other)
        .map(|(mut one, other)| {
            one.extend(other);
            convex_hull(one)
        })
        .collect()
}

/// Places of the paints that are tried with each other, in list order: all of a list that is not too long, else of each
/// slice in turn those on its edge, then those on the edge of what is left of it. The darkest and the lightest go with
/// the slice next to them.
fn near_the_edge(colours: &[LabD65], most: usize) -> Vec<usize> {
    if colours.len() <= most {
        return (0..colours.len()).collect();
    }
    let mut slices: Vec<Vec<usize>> = vec![Vec::new(); lightnesses().count()];
    for (at, colour) in colours.iter().enumerate() {
        let away = |lightness: f64| (lightness - colour.l).abs();
        let nearest = lightnesses()
            .enumerate()
            .min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
        if let Some((slice, _)) = nearest {
            slices[slice].push(at);
        }
    }
    let mut taken: Vec<usize> = Vec::new();
    loop {
        for slice in &mut slices {
            let flat = |at: usize| [colours[at].a, colours[at].b];
            let edge = convex_hull(slice.iter().map(|at| flat(*at)).collect());
            let (on_it, within): (Vec<usize>, Vec<usize>) =
                slice.iter().partition(|at| edge.contains(&flat(**at)));
            *slice = within;
            taken.extend(on_it);
            if taken.len() >= most {
                taken.truncate(most);
                taken.sort_unstable();
                return taken;
            }
        }
    }
}

/// The reach of the largest family of a shelf, by mixes of up to three paints, with its progress reported to
/// `watched`; `None` when nothing mixes.
///
/// The hull is of the mixes that were tried: a little within what is possible, and hollows of the true span are filled.
#[must_use]
pub fn reach(shelf: &Shelf, watched: Option<&Meter>) -> Option<Reach> {
    reach_of(shelf, MOST_IN_PAIRS, watched)
}

fn reach_of(shelf: &Shelf, most_in_pairs: usize, watched: Option<&Meter>) -> Option<Reach> {
    let (family, members) = shelf.families().first()?;
    let colours: Vec<LabD65> = members.iter().map(|at| shelf[*at].prepared.lab).collect();
    let paints: Vec<&Prepared> = near_the_edge(&colours, most_in_pairs)
        .into_iter()
        .map(|at| &shelf[members[at]].prepared)
        .collect();
    if let Some(meter) = watched {
        meter.begin("mixing all with all", paints.len());
    }
    let of_mixes: Vec<Vec<Vec<[f64; 2]>>> = (0..paints.len())
        .into_par_iter()
        .map(|first| {
            let outlines = outlines(&mixes_with(&paints, first));
            if let Some(meter) = watched {
                meter.did_one();
            }
            outlines
        })
        .collect();
    let hulls = of_mixes.into_iter().fold(outlines(&colours), joined);
    let slices = lightnesses()
        .zip(hulls)
        .map(|(lightness, hull)| Slice {
            lightness,
            area: area_within(&hull),
            hull,
        })
        .collect();
    Some(Reach {
        family: *family,
        paints: members.len(),
        slices,
    })
}

/// The colours of the mixes of one paint with those after it.
fn mixes_with(paints: &[&Prepared], first: usize) -> Vec<LabD65> {
    let mut colours = Vec::new();
    let mut mix = |parts: &[(&Prepared, f64)]| colours.extend(opaque_mix(parts).map(LabD65::from));
    let one = paints[first];
    for (second, two) in paints.iter().enumerate().skip(first + 1) {
        for [p, q] in PAIRS {
            mix(&[(one, p), (two, q)]);
        }
        if paints.len() > MOST_FOR_TRIPLES {
            continue;
        }
        for three in &paints[second + 1..] {
            for [p, q, r] in TRIPLES {
                mix(&[(one, p), (two, q), (three, r)]);
            }
        }
    }
    colours
}

impl Reach {
    /// The slice that a colour falls into.
    #[must_use]
    pub fn slice_of(&self, colour: LabD65) -> Option<&Slice> {
        self.slices.iter().min_by(|a, b| {
            let away = |slice: &Slice| (slice.lightness - colour.l).abs();
            away(a).total_cmp(&away(b))
        })
    }

    /// True when the span at the colour's lightness holds it.
    #[must_use]
    pub fn holds(&self, colour: LabD65) -> bool {
        self.slice_of(colour).is_some_and(|slice| {
            (slice.lightness - colour.l).abs() <= HALF
                && is_within(&slice.hull, [colour.a, colour.b])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paint::PaintList;
    use std::fmt::Write;

    #[test]
    fn greys_reach_greys_and_no_red() {
        let text = "name,hex,medium\nblack,#222222,acrylic\nwhite,#f0f0f0,acrylic\nochre,#b58a3c,acrylic\nblue,#2f4f7f,acrylic\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let reach = reach(&Shelf::new(&list), None).unwrap();
        assert!(reach.holds(LabD65::new(50.0, 0.0, 0.0)));
        assert!(!reach.holds(LabD65::new(50.0, 60.0, 30.0)));
        assert!(!reach.holds(LabD65::new(3.0, 0.0, 0.0)));
    }
    /// Paints over the whole of screen colours, by a fixed rule.
    fn long_list(count: u32) -> Shelf {
        let mut text = "name,hex,medium\n".to_owned();
        for i in 0..count {
            let part = |by: f64| (f64::from(i) * by).fract();
            let colour = LabD65::new(
                8.0 + 84.0 * part(0.618),
                90.0 * part(0.414) - 45.0,
                90.0 * part(0.732) - 45.0,
            );
            let _ = writeln!(text, "paint {i},{},acrylic", colour.to_srgb8());
        }
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        Shelf::new(&list)
    }

    #[test]
    fn the_reach_of_a_long_list_is_nearly_that_of_all_its_pairs() {
        let shelf = long_list(600);
        let [whole, narrowed] =
            [usize::MAX, MOST_IN_PAIRS].map(|most| reach_of(&shelf, most, None).unwrap());
        for (whole, narrowed) in whole.slices.iter().zip(&narrowed.slices) {
            assert!(
                narrowed.area >= 0.97 * whole.area,
                "L* {}: {} of {}",
                whole.lightness,
                narrowed.area,
                whole.area
            );
        }
    }

    #[test]
    fn the_reach_of_thousands_of_paints_is_no_more_work_than_of_hundreds() {
        let meter = Meter::new(None);
        let found = reach(&long_list(2_000), Some(&meter)).unwrap();
        assert_eq!(found.paints, 2_000);
        let told = meter.progress();
        assert_eq!((told.done, told.expected), (300, Some(300)));
    }
}
