//! Bricks that differ: some are picked out, in mixes from the body's own pot.

use crate::bench::{Drawn, PAINTS, WHOLE, paint_list};
use hillwash::colour::{LabD65, Srgb8, delta_e00};
use hillwash::mix::Shelf;
use hillwash::plan::{Kit, PickedOut, Plan, PlanNote, StepKind, TonesNote, Wishes};
use hillwash::report::{plan_file, schedule_csv};
use hillwash::share::{read_plan, received};
use hillwash::work::Timings;
use image::{Rgb, RgbImage};

/// Red of most bricks, of one in seven and of another one in seven, and of the joints.
const USUAL: Srgb8 = Srgb8([0xa5, 0x60, 0x48]);
const DARK: Srgb8 = Srgb8([0x92, 0x54, 0x40]);
const PALE: Srgb8 = Srgb8([0xb3, 0x6d, 0x55]);
const JOINT: Srgb8 = Srgb8([0xc9, 0xc2, 0xb2]);

/// A wall of bricks of 44 by 16 pixels with joints of 3; of seven bricks five are of one red, one is darker and one paler.
fn wall(dark: Srgb8, pale: Srgb8) -> RgbImage {
    RgbImage::from_fn(560, 380, |x, y| {
        let course = y / 19;
        let along = x + course % 2 * 23;
        let brick = (along / 47 * 5 + course * 3) % 7;
        let grain = i32::try_from((x * 7919 + y * 104_729) % 7).unwrap() - 3;
        let Srgb8(colour) = match brick {
            _ if y % 19 < 3 || along % 47 < 3 => JOINT,
            1 => dark,
            4 => pale,
            _ => USUAL,
        };
        Rgb(colour.map(|v| u8::try_from((i32::from(v) + grain).clamp(0, 255)).unwrap()))
    })
}

fn planned<T>(picture: RgbImage, surfaces: &str, look: impl FnOnce(&Plan<'_>) -> T) -> T {
    let drawn = Drawn {
        surfaces,
        ..Drawn::new(picture)
    };
    drawn.plan(look)
}

fn bricks() -> String {
    WHOLE.replace("Wall", "Brick wall")
}

fn colours(picked: &[PickedOut]) -> Vec<LabD65> {
    picked.iter().map(|picked| picked.addition.colour).collect()
}

#[test]
fn darker_and_paler_bricks_are_picked_out_in_mixes_from_the_pot_of_the_body() {
    planned(wall(DARK, PALE), &bricks(), |plan| {
        let surface = &plan.surfaces[0];
        let picked = &surface.picked;
        assert_eq!(picked.len(), 2, "{picked:?}");
        for truth in [DARK, PALE] {
            let all = colours(picked);
            let off = all.iter().map(|c| delta_e00(*c, truth.into()).0);
            let off = off.fold(f64::INFINITY, f64::min);
            assert!(off < 4.0, "{truth}: {off}");
        }
        for own in picked {
            assert_eq!(Some(own.pot), surface.tones[0].pot);
            assert_eq!(own.units, "bricks");
            assert!((1..=2).contains(&own.added.len()), "{:?}", own.added);
        }
    });
}

#[test]
fn bricks_of_one_colour_and_bricks_said_to_be_alike_are_not_picked_out() {
    planned(wall(USUAL, USUAL), &bricks(), |plan| {
        assert!(plan.surfaces[0].picked.is_empty());
        assert_eq!(plan.surfaces[0].wanted.variety, None);
    });
    let alike = bricks().replace("area", "variety = false\narea");
    planned(wall(DARK, PALE), &alike, |plan| {
        assert!(plan.surfaces[0].picked.is_empty());
    });
}

#[test]
fn bricks_that_hardly_differ_are_picked_out_where_the_scene_says_so() {
    let [dark, pale] = [Srgb8([0x9a, 0x59, 0x43]), Srgb8([0xae, 0x68, 0x50])];
    planned(wall(dark, pale), &bricks(), |plan| {
        assert!(plan.surfaces[0].picked.is_empty());
    });
    let said = bricks().replace("area", "variety = true\narea");
    planned(wall(dark, pale), &said, |plan| {
        let variety = plan.surfaces[0].wanted.variety.as_ref().unwrap();
        assert_eq!(variety.tenths.len(), 2, "{variety:?}");
    });
}

#[test]
fn who_asks_for_bricks_that_do_not_differ_is_told_so() {
    let said = bricks().replace("area", "variety = true\narea");
    planned(wall(USUAL, USUAL), &said, |plan| {
        let told = |note: &PlanNote| {
            matches!(
                note,
                PlanNote::Tones(TonesNote::NothingToPick { differ: false, .. })
            )
        };
        assert!(plan.notes.iter().any(told), "{:?}", plan.notes);
    });
}

#[test]
fn what_is_picked_out_stands_in_the_table_with_what_is_taken_of_the_pot() {
    planned(wall(DARK, PALE), &bricks(), |plan| {
        let table = String::from_utf8(schedule_csv(plan).unwrap()).unwrap();
        let rows: Vec<&str> = table
            .lines()
            .filter(|l| l.contains(",picked out,"))
            .collect();
        let added: usize = plan.surfaces[0].picked.iter().map(|p| p.added.len()).sum();
        assert_eq!(rows.len(), 2 + added, "{table}");
        let pot = plan.pots[plan.surfaces[0].picked[0].pot].number;
        assert!(rows[0].contains(&format!(",pot {pot},")), "{}", rows[0]);
    });
}

#[test]
fn bricks_are_picked_out_after_the_body_and_before_the_wash() {
    let washed = format!("{}[surface.wash]\nrecess = \"#4a3a30\"\n", bricks());
    planned(wall(DARK, PALE), &washed, |plan| {
        let steps = &plan.surfaces[0].steps;
        let at = |is: fn(&StepKind) -> bool| steps.iter().position(|step| is(&step.kind));
        let body = at(|kind| matches!(kind, StepKind::Body { .. })).unwrap();
        let picked = at(|kind| matches!(kind, StepKind::PickOut(_))).unwrap();
        let wash = at(|kind| matches!(kind, StepKind::Dirt(_))).unwrap();
        assert!(body < picked && picked < wash, "{steps:?}");
    });
}

#[test]
fn a_pot_holds_what_is_taken_out_of_it_and_the_list_what_is_stirred_in() {
    let amounts = |surfaces: &str| {
        planned(wall(DARK, PALE), surfaces, |plan| {
            let surface = &plan.surfaces[0];
            let aside: f64 = surface
                .picked
                .iter()
                .filter_map(|p| Some(p.aside()?.value()))
                .sum();
            let pot = surface.tones[0].pot.unwrap();
            let needed: f64 = plan
                .shopping
                .iter()
                .filter_map(|l| Some(l.needed?.value()))
                .sum();
            (aside, plan.pots[pot].volume.unwrap().value(), needed)
        })
    };
    let (none, alone, bought_alone) = amounts(&bricks().replace("area", "variety = false\narea"));
    let (aside, both, bought) = amounts(&bricks());
    assert!(none.abs() < 1e-9);
    // 100 cm2 take 1.3 ml a coat: a tenth for each of two mixes, rounded up to whole drops and to what divides well.
    assert!((0.26..=2.2).contains(&aside), "{aside}");
    assert!(
        (both - alone - aside).abs() < 0.11,
        "{both} {alone} {aside}"
    );
    assert!(
        bought > bought_alone + aside - 0.11,
        "{bought} {bought_alone}"
    );
}

#[test]
fn nothing_is_picked_out_in_a_colour_the_list_does_not_come_near() {
    // Of one paint alone nothing can be varied.
    let one = "name,hex,medium,opacity\nbrick,#a56048,acrylic,opaque\n";
    let drawn = Drawn {
        surfaces: &bricks(),
        paints: one,
        ..Drawn::new(wall(DARK, PALE))
    };
    drawn.plan(|plan| {
        assert!(plan.surfaces[0].wanted.variety.is_some());
        assert!(plan.surfaces[0].picked.is_empty());
    });
}

#[test]
fn whoever_receives_the_plan_picks_the_same_bricks_out_in_paints_of_their_own() {
    let (mine, json) = planned(wall(DARK, PALE), &bricks(), |plan| {
        let json = plan_file(plan, "2026-03-01").to_json().unwrap();
        (colours(&plan.surfaces[0].picked), json)
    });
    let file = read_plan("plan.json", json.as_bytes()).unwrap();
    let received = received(&file).unwrap();
    let theirs = PAINTS
        .replace("black,#262524", "soot,#2b2a29")
        .replace("white,#f2f1ec", "chalk,#ecebe4");
    let paints = paint_list(&theirs);
    let shelf = Shelf::new(&paints);
    let kit = Kit::new(&paints, &shelf);
    let again = received.planned(&kit, &Wishes::default(), &Timings::default());
    let picked = &again.surfaces[0].picked;
    assert_eq!(picked.len(), mine.len());
    for (one, other) in mine.iter().zip(colours(picked)) {
        assert!(delta_e00(*one, other).0 < 4.0, "{one:?} {other:?}");
    }
    let known = ["chalk", "soot", "brick", "umber", "ochre", "green"];
    let added = picked.iter().flat_map(|picked| &picked.added);
    for (name, _) in added {
        assert!(known.contains(&name.as_str()), "{name}");
    }
}
