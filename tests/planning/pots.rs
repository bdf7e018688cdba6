//! Shared pots and let-downs.

use crate::bench::{BRICK, Drawn, LEAF, paint_list, stripes};
use hillwash::colour::{Srgb8, delta_e00};
use hillwash::mix::{Recipe, Shelf};
use hillwash::plan::{POT_WITHIN, Pot};
use image::{Rgb, RgbImage};

#[test]
fn tones_that_share_a_pot_are_each_told_how_near_it_comes_to_them() {
    const NEAR_BRICK: Srgb8 = Srgb8([0xa0, 0x5f, 0x4a]);
    assert!((0.8..2.0).contains(&delta_e00(BRICK.into(), NEAR_BRICK.into()).0));
    let half = |name: &str, left: f64, area: u32| {
        let right = left + 0.5;
        format!(
            "[[surface]]\nname = \"{name}\"\nphoto = \"drawn\"\narea = \"{area} cm2\"\n\
             region = [[{left}, 0], [{right}, 0], [{right}, 1], [{left}, 1]]\n"
        )
    };
    let surfaces = half("Large", 0.0, 300) + &half("Small", 0.5, 50);
    let drawn = Drawn {
        surfaces: &surfaces,
        ..Drawn::new(stripes(&[(BRICK, 60), (NEAR_BRICK, 60)]))
    };
    drawn.plan(|plan| {
        assert_eq!(plan.pots.len(), 1, "one pot for both");
        for surface in &plan.surfaces {
            let tone = &surface.tones[0];
            assert_eq!(tone.pot, plan.pots.first().map(|pot| pot.id));
            let recipe = &tone.recipes[0];
            let own = delta_e00(tone.wanted.moved.colour, recipe.colour).0;
            assert!(
                (recipe.difference.0 - own).abs() < 1e-9,
                "{}: {own}",
                surface.wanted.name
            );
        }
        let told = |at: usize| plan.surfaces[at].tones[0].recipes[0].difference.0;
        assert!(
            (told(0) - told(1)).abs() > 0.5,
            "the pot is nearer to one of them"
        );
    });
}

#[test]
fn a_tone_is_offered_the_mix_of_its_pot_first_then_others_and_none_twice() {
    let drawn = Drawn::new(stripes(&[(BRICK, 60), (LEAF, 60)]));
    drawn.plan(|plan| {
        for tone in &plan.surfaces[0].tones {
            let of_pot = plan.pots[tone.pot.unwrap()].recipe.as_ref().unwrap();
            assert_eq!(tone.recipes[0].parts, of_pot.parts);
            assert!(tone.recipes.len() > 1, "a list of six paints has others");
            for (at, recipe) in tone.recipes.iter().enumerate() {
                let same = |other: &&Recipe| other.parts == recipe.parts;
                assert_eq!(tone.recipes.iter().filter(same).count(), 1, "mix {at}");
            }
        }
    });
}

/// Courses of a colour with grain, and joints of three rows of another between them, softened as a lens does.
fn courses(brick: Srgb8, joint: Srgb8) -> RgbImage {
    RgbImage::from_fn(420, 420, |x, y| {
        let grain = (u64::from(x) * 7919 + u64::from(y) * 104_729).wrapping_mul(0x9e37_79b9) >> 20;
        Rgb(std::array::from_fn(|c| match y % 14 {
            0..3 => joint.0[c],
            3 | 13 => u8::midpoint(brick.0[c], joint.0[c]),
            _ => brick.0[c] + u8::try_from(grain % 9).unwrap() - 4,
        }))
    })
}

#[test]
fn jars_are_named_by_surface_and_part_and_keep_their_names_when_a_colour_moves_a_little() {
    let jars = |brick: [u8; 3], joint: [u8; 3]| {
        let drawn = Drawn::new(courses(Srgb8(brick), Srgb8(joint)));
        drawn.plan(|plan| -> Vec<String> {
            let mut labels: Vec<String> = plan.pots.iter().map(Pot::label).collect();
            labels.sort();
            labels
        })
    };
    let then = jars([0xa5, 0x60, 0x48], [0xb9, 0xb0, 0x9c]);
    assert_eq!(then, ["Wall, body", "Wall, joints"]);
    let moved = ([0xa0, 0x5e, 0x48], [0xbd, 0xb2, 0x9c]);
    let by = |from: [u8; 3], to: [u8; 3]| delta_e00(Srgb8(from).into(), Srgb8(to).into()).0;
    assert!((0.8..3.0).contains(&by([0xa5, 0x60, 0x48], moved.0)));
    assert!((0.8..3.0).contains(&by([0xb9, 0xb0, 0x9c], moved.1)));
    assert_eq!(jars(moved.0, moved.1), then);
}

#[test]
fn a_let_down_of_one_part_with_three_of_white_is_foretold_as_entered() {
    // Greys, so that one strength explains a let-down whole: a weak black and a strong one.
    let list = paint_list(
        "name,hex,medium,opacity,let_down_hex,let_down_parts_white\nwhite,#f2f1ec,acrylic,opaque,,\n\
         weak,#262524,acrylic,opaque,#b4b3b0,3\nstrong,#262524,acrylic,opaque,#7d7c7a,3\n",
    );
    let shelf = Shelf::new(&list);
    let place = |name: &str| shelf.find(|stock| stock.name == name).unwrap();
    for (name, entered) in [
        ("weak", Srgb8([0xb4, 0xb3, 0xb0])),
        ("strong", Srgb8([0x7d, 0x7c, 0x7a])),
    ] {
        let off = |white: f64| {
            let pot = shelf.tried(&[(place(name), 1.0), (place("white"), white)]);
            delta_e00(pot.unwrap().colour, entered.into()).0
        };
        assert!(off(3.0) < 1.0, "{name}: {}", off(3.0));
        assert!(
            off(2.0) > 1.5 && off(4.0) > 1.5,
            "{name}: {} {}",
            off(2.0),
            off(4.0)
        );
    }
}

#[test]
fn a_few_drops_are_mixed_on_the_palette_from_pots_that_stand_open() {
    // What 2 parts of brick and 1 of green come to, on a part of one square centimetre.
    let list = paint_list(crate::bench::PAINTS);
    let shelf = Shelf::new(&list);
    let place = |name: &str| shelf.find(|stock| stock.name == name).unwrap();
    let between = shelf
        .tried(&[(place("brick"), 2.0), (place("green"), 1.0)])
        .unwrap()
        .colour
        .to_srgb8();
    let third = |name: &str, at: f64, area: u32| {
        let (left, right) = (at / 3.0, (at + 1.0) / 3.0);
        format!(
            "[[surface]]\nname = \"{name}\"\nphoto = \"drawn\"\narea = \"{area} cm2\"\n\
             region = [[{left}, 0], [{right}, 0], [{right}, 1], [{left}, 1]]\n"
        )
    };
    for (area, on_palette) in [(1, true), (200, false)] {
        let surfaces =
            third("Wall", 0.0, 300) + &third("Bank", 1.0, 300) + &third("Door", 2.0, area);
        let drawn = Drawn {
            surfaces: &surfaces,
            ..Drawn::new(stripes(&[(BRICK, 40), (LEAF, 40), (between, 40)]))
        };
        drawn.plan(|plan| {
            let door = plan.surfaces[2].tones[0].pot.unwrap();
            let pot = &plan.pots[door];
            assert!(!pot.is_straight(), "it is a mix");
            let found = plan.on_palette(pot);
            assert_eq!(found.is_some(), on_palette, "{area} cm²");
            if let Some(palette) = found {
                let off = delta_e00(pot.members[0].planned, palette.colour).0;
                assert!(off <= POT_WITHIN, "{off}");
                assert!(palette.of.iter().all(|(at, _)| *at != door));
                let names = [0, 1].map(|i| plan.pots[palette.of[i].0].is_straight());
                assert_eq!(names, [true, true], "brick and green stand open");
            }
            assert!(
                plan.pots
                    .iter()
                    .all(|other| other.id == door || plan.on_palette(other).is_none())
            );
        });
    }
}
