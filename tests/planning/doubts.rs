//! Which doubt is told first: the one that could change most of the layout.

use crate::bench::{BRICK, Drawn, LEAF, stripes, times};
use hillwash::colour::Srgb8;
use hillwash::plan::{Plan, PlanNote, TonesNote};
use image::RgbImage;

/// No paint of the list comes near these; the second is farther off than the first.
const SLATE_BLUE: Srgb8 = Srgb8([0x48, 0x68, 0x98]);
const MAGENTA: Srgb8 = Srgb8([0xd0, 0x10, 0xa0]);

/// A wall over the left four fifths of the picture, and a door of a hundredth of its area over the rest.
fn wall_and_door<T>(picture: RgbImage, keys: &str, look: impl FnOnce(&Plan<'_>) -> T) -> T {
    let surfaces = format!(
        "[[surface]]\nname = \"Wall\"\nphoto = \"drawn\"\narea = \"1000 cm2\"\n{keys}\n\
         region = [[0, 0], [0.8, 0], [0.8, 1], [0, 1]]\n\
         [[surface]]\nname = \"Door\"\nphoto = \"drawn\"\narea = \"10 cm2\"\n\
         region = [[0.8, 0], [1, 0], [1, 1], [0.8, 1]]\n"
    );
    let drawn = Drawn {
        surfaces: &surfaces,
        ..Drawn::new(picture)
    };
    drawn.plan(look)
}

#[test]
fn a_colour_out_of_reach_is_told_first_where_it_covers_most() {
    // 85 of 100 parts of the wall a little out of reach, 15 far out of reach, and so the small door.
    let picture = stripes(&[(SLATE_BLUE, 136), (MAGENTA, 24), (MAGENTA, 40)]);
    wall_and_door(picture, "", |plan| {
        let told: Vec<(&str, f64)> = plan
            .doubts()
            .into_iter()
            .filter_map(|note| match note {
                PlanNote::OutOfReach {
                    surface,
                    difference,
                    ..
                } => Some((surface.as_str(), difference.0)),
                _ => None,
            })
            .collect();
        let on: Vec<&str> = told.iter().map(|(surface, _)| *surface).collect();
        assert_eq!(on, ["Wall", "Wall", "Door"], "{told:?}");
        // By hand: 0.85 of the wall times its difference is more than 0.15 times the other.
        assert!(told[0].1 + 5.0 < told[1].1, "{told:?}");
        assert!(0.85 * told[0].1 > 0.15 * told[1].1 + 1.0, "{told:?}");
    });
}

#[test]
fn a_shadow_to_decide_about_on_a_large_wall_is_told_before_a_small_door_out_of_reach() {
    let picture = stripes(&[(BRICK, 100), (times(BRICK, [0.45; 3]), 60), (MAGENTA, 40)]);
    wall_and_door(picture, "shade = \"ask\"", |plan| {
        let told = plan.doubts();
        let place = |of: &dyn Fn(&PlanNote) -> bool| told.iter().position(|note| of(note));
        let shade = place(&|note| matches!(note, PlanNote::Tones(TonesNote::ShadeAsked { .. })));
        let door = place(&|note| matches!(note, PlanNote::OutOfReach { .. }));
        assert!(shade.is_some() && door.is_some(), "{told:?}");
        assert!(shade < door, "{told:?}");
    });
}

#[test]
fn what_drying_may_be_off_is_the_mean_over_what_was_wet() {
    let drawn = Drawn {
        photo: "wet = true",
        ..Drawn::new(stripes(&[(BRICK, 50), (LEAF, 30)]))
    };
    drawn.plan(|plan| {
        let dried = plan.surfaces[0].tones.iter();
        let dried: Vec<_> = dried.map(|tone| tone.wanted.dried.unwrap()).collect();
        assert!(dried.len() > 1);
        let (by, uncertainty) = plan
            .notes
            .iter()
            .find_map(|note| match note {
                PlanNote::Dried {
                    by, uncertainty, ..
                } => Some((by.0, uncertainty.0)),
                _ => None,
            })
            .unwrap();
        // A mean lies between the least and the most.
        let within = |mean: f64, of: Vec<f64>| {
            let least = of.iter().copied().fold(f64::INFINITY, f64::min);
            let most = of.iter().copied().fold(0.0, f64::max);
            assert!((least..=most).contains(&mean), "{mean} of {of:?}");
        };
        within(by, dried.iter().map(|dry| dry.by.0).collect());
        within(
            uncertainty,
            dried.iter().map(|dry| dry.uncertainty.0).collect(),
        );
    });
}
