//! What a received plan keeps.

use crate::bench::{BRICK, Drawn, PAINTS, WHOLE, paint_list, stripes, times};
use hillwash::mix::Shelf;
use hillwash::plan::{Kit, Wishes};
use hillwash::report::plan_file;
use hillwash::share::{read_plan, received};

#[test]
fn a_shadow_that_was_left_to_the_lamps_is_not_painted_by_whoever_receives_the_plan() {
    let picture = stripes(&[(BRICK, 70), (times(BRICK, [0.45; 3]), 30)]);
    let drawn = Drawn {
        surfaces: WHOLE,
        ..Drawn::new(picture)
    };
    let (left, json) = drawn.plan(|plan| {
        let left: Vec<bool> = plan.surfaces[0]
            .tones
            .iter()
            .map(|t| t.wanted.left_to_lamps)
            .collect();
        (left, plan_file(plan, "2026-03-01").to_json().unwrap())
    });
    assert_eq!(left, [false, true], "the shade is left to the lamps");
    let file = read_plan("plan.json", json.as_bytes()).unwrap();
    let received = received(&file).unwrap();
    let paints = paint_list(PAINTS);
    let shelf = Shelf::new(&paints);
    let kit = Kit {
        lamp: received.lamp,
        ..Kit::new(&paints, &shelf)
    };
    let again = received.toned.planned(kit, &Wishes::default());
    let tones = &again.surfaces[0].tones;
    let still: Vec<bool> = tones.iter().map(|tone| tone.wanted.left_to_lamps).collect();
    assert_eq!(still, left);
    assert!(tones[0].pot.is_some() && tones[1].pot.is_none());
}
