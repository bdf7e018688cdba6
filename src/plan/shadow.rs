//! Shadow is not paint: which tones the lamps will make, and which pairs the user must decide.

use super::zones::Zoned;
use crate::scene::ShadeWish;
use crate::tones::{Likeness, ShadeOf};

/// What a wish makes of a pair of light and shade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PairVerdict {
    LeftToLamps,
    Painted,
    PaintedAndAsked,
}

pub(super) fn verdict(wish: Option<ShadeWish>, shade: &ShadeOf) -> PairVerdict {
    match (wish, shade.likeness) {
        (Some(ShadeWish::Keep), _) => PairVerdict::Painted,
        (Some(ShadeWish::Join), _) | (None, Likeness::OneMaterial) => PairVerdict::LeftToLamps,
        (Some(ShadeWish::Ask), _) | (None, Likeness::Doubtful) => PairVerdict::PaintedAndAsked,
    }
}

/// Whether a shade is left to the lamps under a wish of the user, or none.
#[must_use]
pub fn is_left_to_lamps(wish: Option<ShadeWish>, shade: &ShadeOf) -> bool {
    verdict(wish, shade) == PairVerdict::LeftToLamps
}

/// Marks the tones that are left to the lamps. A tone's lit reading is counted among all tones of the surface.
pub(super) fn leave_to_lamps(zoned: &mut Zoned, wish: Option<ShadeWish>) {
    for zone in &zoned.zones {
        for tone in &mut zoned.tones[zone.tones.clone()] {
            if let Some(shade) = &mut tone.tone.shade_of {
                shade.lit += zone.tones.start;
                tone.left_to_lamps = is_left_to_lamps(wish, shade);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::LabD65;
    use crate::tones::likeness;

    fn pair(lit: LabD65) -> ShadeOf {
        let line =
            crate::tones::shading_line(lit, LabD65::new(0.7 * lit.l, 0.7 * lit.a, 0.7 * lit.b));
        let shaded = line.unwrap().shaded(lit);
        let (likeness, line) = likeness(lit, shaded).unwrap();
        ShadeOf {
            lit: 0,
            likeness,
            line,
        }
    }

    #[test]
    fn a_sure_shadow_is_left_to_the_lamps_unless_the_user_keeps_it() {
        let brick = pair(LabD65::new(50.0, 26.0, 24.0));
        assert_eq!(verdict(None, &brick), PairVerdict::LeftToLamps);
        assert_eq!(
            verdict(Some(ShadeWish::Join), &brick),
            PairVerdict::LeftToLamps
        );
        assert_eq!(verdict(Some(ShadeWish::Keep), &brick), PairVerdict::Painted);
        assert_eq!(
            verdict(Some(ShadeWish::Ask), &brick),
            PairVerdict::PaintedAndAsked
        );
    }

    #[test]
    fn a_doubtful_grey_is_painted_and_put_to_the_user() {
        let grey = pair(LabD65::new(70.0, 1.0, 3.0));
        assert_eq!(verdict(None, &grey), PairVerdict::PaintedAndAsked);
        assert_eq!(
            verdict(Some(ShadeWish::Join), &grey),
            PairVerdict::LeftToLamps
        );
        assert_eq!(verdict(Some(ShadeWish::Keep), &grey), PairVerdict::Painted);
    }
}
