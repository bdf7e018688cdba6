//! Tones of any small picture.

use crate::cases;
use hillwash::photo::Picture;
use hillwash::region::Region;
use hillwash::tones::{Count, MOST_TONES, Role, tones_of};
use proptest::prelude::*;

/// Shares are sums of at most a few hundred pixels in double precision.
const ROUNDING: f64 = 1e-9;

/// Up to 16 by 16 pixels, of a few colours or of many.
fn picture() -> impl Strategy<Value = (usize, usize, Vec<u8>)> {
    (1..=16_usize, 1..=16_usize).prop_flat_map(|(width, height)| {
        let pixels = width * height;
        let many = prop::collection::vec(any::<u8>(), 3 * pixels);
        let few = (
            prop::collection::vec(any::<[u8; 3]>(), 1..5),
            prop::collection::vec(any::<prop::sample::Index>(), pixels),
        )
            .prop_map(|(colours, choice)| {
                choice
                    .iter()
                    .flat_map(|index| *index.get(&colours))
                    .collect::<Vec<u8>>()
            });
        (Just(width), Just(height), prop_oneof![many, few])
    })
}

fn count() -> impl Strategy<Value = Count> {
    prop_oneof![Just(Count::Chosen), (0..=30_usize).prop_map(Count::Exactly)]
}

proptest! {
    #![proptest_config(cases(400))]

    #[test]
    fn shares_of_tones_sum_to_one(drawn in picture(), count in count()) {
        let (width, height, rgb) = drawn;
        let picture = Picture::from_srgb8(width, height, rgb).unwrap();
        let found = tones_of(&picture, &Region::whole(), count).unwrap();
        let tones = &found.tones;
        let sum: f64 = tones.iter().map(|tone| tone.share.value()).sum();
        prop_assert!((sum - 1.0).abs() < ROUNDING, "{sum}");
        let most = match count {
            Count::Exactly(n) => n.clamp(1, MOST_TONES),
            Count::Chosen => 8,
        };
        prop_assert!((1..=most).contains(&tones.len()), "{} tones for {count:?}", tones.len());
        prop_assert!(tones[1..].windows(2).all(|pair| pair[0].share >= pair[1].share), "{tones:?}");
        let bodies = tones.iter().filter(|tone| tone.role == Role::Body).count();
        prop_assert_eq!(bodies, 1);
        for shade in tones.iter().filter_map(|tone| tone.shade_of) {
            prop_assert!(tones[shade.lit].shade_of.is_none(), "{:?}", tones);
        }
        prop_assert_eq!(tones[0].role, Role::Body);
        for tone in tones {
            let numbers = [tone.colour.l, tone.colour.a, tone.colour.b, tone.spread.0];
            prop_assert!(numbers.iter().all(|v| v.is_finite()) && tone.spread.0 >= 0.0, "{tone:?}");
        }
        // The mean over all pixels is the mean over tones, each by its share.
        let mean: f64 = tones.iter().map(|tone| tone.share.value() * tone.spread.0).sum();
        prop_assert!((mean - found.mean_spread.0).abs() < ROUNDING, "{mean} for {:?}", found.mean_spread);
    }

    #[test]
    fn the_same_picture_gives_the_same_tones(drawn in picture(), count in count()) {
        let (width, height, rgb) = drawn;
        let picture = Picture::from_srgb8(width, height, rgb).unwrap();
        let once = tones_of(&picture, &Region::whole(), count).unwrap();
        let again = tones_of(&picture, &Region::whole(), count).unwrap();
        prop_assert_eq!(once, again);
    }
}
