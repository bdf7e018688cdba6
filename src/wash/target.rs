//! The colours wanted of a wash: grime as photographed or by choice, with the shadow of recesses taken out.

use crate::colour::{LabD65, Xyz};
use crate::tones::{Likeness, likeness};

/// The share of the flats' light that we assume for a recess; the rest of its darkness is dirt. Our
/// choice, no source.
pub const LIGHT_IN_RECESSES: f64 = 0.6;
/// We assume that dirt darkens a photographed recess by at most this much below the flats, L*. Our choice, no source.
pub const MOST_DARKER: f64 = 25.0;
/// How much darker than the flats, L*, a recess is planned when the photo shows none. Our choice, no source.
pub const DEFAULT_DARKER: f64 = 12.0;
/// What such a recess keeps of the chroma of the flats. Our choice, no source.
const KEPT_CHROMA: f64 = 0.85;

/// What counted as shadow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShadeTaken {
    /// Nothing: the recess is as light as the flats, or lighter.
    Nothing,
    /// All of it: flats and recess lie on one shading line, with enough hue to be sure. The photo shows no dirt.
    OneMaterial,
    /// A usual share: both lie on one shading line, but with too little hue or light to separate shadow from dirt.
    Doubtful,
    /// A usual share: the recess is of another colour than shadow alone would make it.
    Usual,
    /// More than that, because the rest would have been darker than [`MOST_DARKER`] allows.
    Capped,
    /// All of it: the rest is no darker than the flats, so the photo shows no dirt there.
    All,
}

/// A photographed recess without its shadow.
///
/// A recess on the shading line of the flats is the same material in shadow, and the whole shadow is taken out. If
/// that is uncertain (greys, near-black), or if there is dirt as well, nobody can say how much of the darkness is
/// shadow: the plan assumes that the recess gets [`LIGHT_IN_RECESSES`] of the flats' light, and never counts it
/// darker than [`MOST_DARKER`] below them.
#[must_use]
pub fn without_shade(flat: LabD65, recess: LabD65) -> (LabD65, ShadeTaken) {
    if recess.l >= flat.l - 1.0 {
        return (recess, ShadeTaken::Nothing);
    }
    let alike = likeness(flat, recess);
    if let Some((Likeness::OneMaterial, line)) = alike {
        return (line.as_if_lit(recess), ShadeTaken::OneMaterial);
    }
    let seen = Xyz::from(recess);
    let lit = seen.blend(1.0 / LIGHT_IN_RECESSES, seen, 0.0);
    let flat_y = Xyz::from(flat).y;
    if lit.y >= flat_y {
        let as_light = seen.blend(flat_y / seen.y.max(1e-6), seen, 0.0);
        return (as_light.into(), ShadeTaken::All);
    }
    let lit = LabD65::from(lit);
    if lit.l < flat.l - MOST_DARKER {
        let l = flat.l - MOST_DARKER;
        let kept = Xyz::from(LabD65::new(l, 0.0, 0.0)).y / seen.y.max(1e-6);
        return (seen.blend(kept, seen, 0.0).into(), ShadeTaken::Capped);
    }
    let taken = match alike {
        Some(_) => ShadeTaken::Doubtful,
        None => ShadeTaken::Usual,
    };
    (lit, taken)
}

impl ShadeTaken {
    /// True when nothing of the darkness is left to be dirt.
    #[must_use]
    pub fn is_all(self) -> bool {
        matches!(self, Self::OneMaterial | Self::All)
    }
}

/// The recess to plan for if nothing shows it.
#[must_use]
pub fn default_recess(flat: LabD65) -> LabD65 {
    LabD65::new(
        (flat.l - DEFAULT_DARKER).max(5.0),
        KEPT_CHROMA * flat.a,
        KEPT_CHROMA * flat.b,
    )
}

/// More or less grime: 0 is the base, 1 as photographed, above 1 the same way further. A straight line in CIELAB, held
/// within L* 3 to 98. Our choice.
#[must_use]
pub fn with_grime(base: LabD65, seen: LabD65, grime: f64) -> LabD65 {
    let at = |from: f64, to: f64| from + grime * (to - from);
    LabD65::new(
        at(base.l, seen.l).clamp(3.0, 98.0),
        at(base.a, seen.a),
        at(base.b, seen.b),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dial_runs_from_the_base_through_the_photo_and_beyond() {
        let (base, seen) = (LabD65::new(45.0, 25.0, 24.0), LabD65::new(35.0, 13.0, 14.0));
        assert_eq!(with_grime(base, seen, 0.0), base);
        assert_eq!(with_grime(base, seen, 1.0), seen);
        assert!(with_grime(base, seen, 1.5).l < seen.l);
        assert!(with_grime(base, LabD65::new(4.0, 0.0, 0.0), 1.5).l >= 3.0);
    }

    #[test]
    fn a_recess_loses_its_shadow_but_never_becomes_lighter_than_the_flats() {
        let flat = LabD65::new(50.0, 15.0, 15.0);
        let (usual, taken) = without_shade(flat, LabD65::new(30.0, 2.0, 6.0));
        assert_eq!(taken, ShadeTaken::Usual, "soot in the joints");
        assert!(usual.l > 30.0 && usual.l < flat.l);
        let (none, taken) = without_shade(flat, LabD65::new(47.0, 14.0, 14.0));
        assert_eq!(taken, ShadeTaken::All);
        assert!((none.l - flat.l).abs() < 1e-6);
        let (capped, taken) = without_shade(flat, LabD65::new(5.0, 0.0, 0.0));
        assert_eq!(taken, ShadeTaken::Capped);
        assert!((capped.l - (flat.l - MOST_DARKER)).abs() < 1e-6);
    }

    #[test]
    fn shadow_alone_is_no_dirt_and_what_cannot_be_told_is_said() {
        let shaded = |flat: LabD65| {
            let seen = Xyz::from(flat);
            LabD65::from(seen.blend(0.4, seen, 0.0))
        };
        let brick = LabD65::new(48.0, 26.0, 24.0);
        let (lit, taken) = without_shade(brick, shaded(brick));
        assert_eq!(taken, ShadeTaken::OneMaterial);
        assert!(crate::colour::delta_e00(lit, brick).0 < 0.5, "{lit:?}");
        let grey = LabD65::new(60.0, 0.0, 3.0);
        let (lit, taken) = without_shade(grey, shaded(grey));
        assert_eq!(taken, ShadeTaken::Doubtful);
        assert!(lit.l < grey.l && lit.l > shaded(grey).l);
    }

    #[test]
    fn a_recess_lighter_than_the_flats_is_left_as_it_is() {
        let pale = LabD65::new(66.0, 0.0, 6.0);
        let (left, taken) = without_shade(LabD65::new(50.0, 0.0, 3.0), pale);
        assert_eq!((left, taken), (pale, ShadeTaken::Nothing));
    }
}
