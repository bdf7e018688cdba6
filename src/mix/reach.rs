//! What a list can mix at all: the span of a* and b* at several lightnesses.

use super::Shelf;
use crate::colour::LabD65;
use crate::linear::{area_within, convex_hull, is_within};
use crate::paint::{MixingFamily, Prepared, opaque_mix};

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

/// The reach of the largest family of a shelf, by mixes of up to three paints; `None` when nothing mixes.
///
/// The hull is of the mixes that were tried: a little within what is possible, and hollows of the true span are filled.
#[must_use]
pub fn reach(shelf: &Shelf) -> Option<Reach> {
    let (family, members) = shelf.families().first()?;
    let paints: Vec<&Prepared> = members
        .iter()
        .map(|at| &shelf.stocks()[*at].prepared)
        .collect();
    let mut colours: Vec<LabD65> = paints.iter().map(|paint| paint.lab).collect();
    let mut mix = |parts: &[(&Prepared, f64)]| colours.extend(opaque_mix(parts).map(LabD65::from));
    for (i, one) in paints.iter().enumerate() {
        for (j, two) in paints.iter().enumerate().skip(i + 1) {
            for [p, q] in PAIRS {
                mix(&[(one, p), (two, q)]);
            }
            if paints.len() > MOST_FOR_TRIPLES {
                continue;
            }
            for three in &paints[j + 1..] {
                for [p, q, r] in TRIPLES {
                    mix(&[(one, p), (two, q), (three, r)]);
                }
            }
        }
    }
    let slices = (1..=9)
        .map(|tenth| {
            let lightness = 10.0 * f64::from(tenth);
            let inside = colours.iter().filter(|c| (c.l - lightness).abs() <= HALF);
            let hull = convex_hull(inside.map(|c| [c.a, c.b]).collect());
            Slice {
                lightness,
                area: area_within(&hull),
                hull,
            }
        })
        .collect();
    Some(Reach {
        family: *family,
        paints: paints.len(),
        slices,
    })
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

    #[test]
    fn greys_reach_greys_and_no_red() {
        let text = "name,hex,medium\nblack,#222222,acrylic\nwhite,#f0f0f0,acrylic\nochre,#b58a3c,acrylic\nblue,#2f4f7f,acrylic\n";
        let list = PaintList::parse("p.csv", text.as_bytes(), &|_| Err(String::new())).unwrap();
        let reach = reach(&Shelf::new(&list)).unwrap();
        assert!(reach.holds(LabD65::new(50.0, 0.0, 0.0)));
        assert!(!reach.holds(LabD65::new(50.0, 60.0, 30.0)));
        assert!(!reach.holds(LabD65::new(3.0, 0.0, 0.0)));
    }
}
