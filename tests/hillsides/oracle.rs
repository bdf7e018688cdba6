//! The blend that is chosen against every blend of up to three kinds and eight parts.

use crate::blends::{Seeded, best_of_all, rank, wanted_of};
use hillwash::scatter::best_blend;

/// Two ranks worked out in another order of sums are equal within this.
const SAME: f64 = 1e-9;

#[test]
fn no_blend_of_three_kinds_and_eight_parts_is_better_than_the_one_chosen() {
    let mut random = Seeded(7);
    for number in 0..40 {
        let kinds = 3 + number % 12;
        let colours: Vec<_> = (0..kinds).map(|_| random.shade(0.0, &[])).collect();
        let kinds = random.kinds(&colours);
        let tones: Vec<_> = (0..=number % 5).map(|_| random.shade(4.0, &[])).collect();
        let wanted = wanted_of(&mut random, &tones);
        let chosen = best_blend(&kinds, &wanted).unwrap();
        let own = rank(&kinds, &wanted, &chosen.parts);
        assert!(
            (own - chosen.judged.rank).abs() < SAME,
            "hillside {number}: it claims {}, the documented rank is {own}",
            chosen.judged.rank
        );
        let (least, _) = best_of_all(&kinds, &wanted);
        assert!(
            own <= least + SAME,
            "hillside {number}: {:?} has {own}, the best of all {least}",
            chosen.parts
        );
        assert!((2..=5).contains(&chosen.parts.len()));
        assert!(chosen.parts.iter().map(|(_, p)| p).sum::<u32>() <= 20);
        assert!((chosen.areas.iter().sum::<f64>() - 1.0).abs() < SAME);
    }
}

#[test]
fn a_long_list_is_searched_too() {
    let mut random = Seeded(11);
    let colours: Vec<_> = (0..80).map(|_| random.shade(1.0, &[])).collect();
    let kinds = random.kinds(&colours);
    let wanted = wanted_of(&mut random, &colours[10..13]);
    let chosen = best_blend(&kinds, &wanted).unwrap();
    assert!(chosen.judged.difference.0 < 3.0, "{chosen:?}");
}
