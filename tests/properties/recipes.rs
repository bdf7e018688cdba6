//! Recipes from any shelf for any colour.

use crate::cases;
use hillwash::colour::{LabD65, Srgb8, delta_e00};
use hillwash::mix::{PaintId, Rank, Search, Shelf};
use hillwash::paint::PaintList;
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write;
use std::ops::RangeInclusive;

/// Predicted twice, by the search and by the pot: the sums run in another order.
const SAME: f64 = 1e-6;

/// Paints with what a list may say of them.
fn list(count: RangeInclusive<usize>) -> impl Strategy<Value = String> {
    let word = |words: &'static [&'static str]| prop::sample::select(words);
    let row = (
        any::<[u8; 3]>(),
        word(&[
            "", "acrylic", "acrylic", "enamel", "oil", "emulsion", "varnish",
        ]),
        word(&[
            "",
            "opaque",
            "semi-opaque",
            "semi-transparent",
            "transparent",
        ]),
        word(&["", "", "metallic"]),
        word(&["", "", "0.5", "2"]),
    );
    prop::collection::vec(row, count).prop_map(|rows| {
        let mut text = "name,hex,medium,opacity,effect,strength\n".to_owned();
        for (at, (code, medium, opacity, effect, strength)) in rows.into_iter().enumerate() {
            let hex = Srgb8(code);
            let _ = writeln!(
                text,
                "paint {at},{hex},{medium},{opacity},{effect},{strength}"
            );
        }
        text
    })
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn a_thousand_lists_and_targets_give_finite_answers(
        list in list(2..=8),
        target in any::<[u8; 3]>(),
        most_paints in 1..=4_usize,
        most_parts in 1..=12_u32,
    ) {
        let list = PaintList::parse("paints.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let search = Search { most_paints, most_parts, ..Search::default() };
        for (_, recipe) in shelf.kinds_of_answers(LabD65::from(Srgb8(target)), &search) {
            let colour: [f64; 3] = recipe.colour.into();
            let figures = [recipe.difference.0, recipe.uncertainty.0, recipe.rank];
            let mut numbers = colour.into_iter().chain(figures);
            prop_assert!(numbers.all(f64::is_finite), "{recipe:?}");
            prop_assert!(recipe.parts.len() <= most_paints, "{recipe:?}");
            prop_assert!(recipe.total_parts() <= most_parts.max(1), "{recipe:?}");
        }
    }
}

proptest! {
    #![proptest_config(cases(150))]

    #[test]
    fn recipes_are_whole_small_different_and_finite(
        list in list(2..=20),
        target in any::<[u8; 3]>(),
        rank in prop::sample::select(vec![Rank::Soundest, Rank::ClosestOnPaper]),
    ) {
        let target = LabD65::from(Srgb8(target));
        let list = PaintList::parse("paints.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        prop_assert_eq!(shelf.stocks().len() + shelf.left_out().len(), list.paints().len());
        let search = Search { rank, ..Search::default() };
        let recipes = shelf.recipes_near(target, &search);
        prop_assert_eq!(recipes.is_empty(), shelf.stocks().is_empty());
        prop_assert!(recipes.len() <= 5);
        let mut paints_of_pots = BTreeSet::new();
        for recipe in &recipes {
            let colour: [f64; 3] = recipe.colour.into();
            let figures = [recipe.difference.0, recipe.uncertainty.0, recipe.rank];
            let mut numbers = colour.into_iter().chain(figures);
            prop_assert!(numbers.all(f64::is_finite), "{recipe:?}");
            prop_assert!((1..=3).contains(&recipe.parts.len()), "{recipe:?}");
            prop_assert!(recipe.total_parts() <= 12 && recipe.parts.iter().all(|(_, p)| *p >= 1), "{recipe:?}");
            prop_assert!(recipe.parts.windows(2).all(|pair| pair[0].1 >= pair[1].1), "most parts first: {recipe:?}");
            prop_assert!(recipe.parts.iter().all(|(at, _)| shelf[*at].family == recipe.family), "{recipe:?}");
            let paints: BTreeSet<PaintId> = recipe.parts.iter().map(|(at, _)| *at).collect();
            prop_assert_eq!(paints.len(), recipe.parts.len(), "a paint twice: {:?}", recipe);
            prop_assert!(paints_of_pots.insert(paints), "the same paints twice: {recipes:?}");
            // The pot mixed by hand is the pot that was promised.
            let parts: Vec<(PaintId, f64)> = recipe.parts.iter().map(|(at, p)| (*at, f64::from(*p))).collect();
            let tried = shelf.tried(&parts).unwrap();
            prop_assert!(delta_e00(tried.colour, recipe.colour).0 < SAME, "{tried:?} for {recipe:?}");
            prop_assert!((delta_e00(target, recipe.colour).0 - recipe.difference.0).abs() < SAME, "{recipe:?}");
        }
    }

    #[test]
    fn on_paper_no_recipe_is_further_off_than_the_best_single_paint(list in list(2..=20), target in any::<[u8; 3]>()) {
        let target = LabD65::from(Srgb8(target));
        let list = PaintList::parse("paints.csv", list.as_bytes(), &|_| Err(String::new())).unwrap();
        let shelf = Shelf::new(&list);
        let search = Search { rank: Rank::ClosestOnPaper, ..Search::default() };
        let best = shelf.recipes_near(target, &search).first().map(|recipe| recipe.difference.0);
        let single = shelf.stocks().iter().map(|stock| delta_e00(target, stock.prepared.lab).0).min_by(f64::total_cmp);
        if let (Some(best), Some(single)) = (best, single) {
            prop_assert!(best <= single + 1e-3, "best recipe {best}, best paint {single}");
        }
        prop_assert_eq!(best.is_some(), single.is_some());
    }
}
