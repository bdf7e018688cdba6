//! What a received plan keeps.

use crate::bench::{BRICK, Drawn, LEAF, PAINTS, WHOLE, paint_list, stripes, times};
use hillwash::colour::Srgb8;
use hillwash::mix::Shelf;
use hillwash::plan::{BaseFrom, Kit, Plan, Wishes};
use hillwash::problem::Explain;
use hillwash::report::plan_file;
use hillwash::scene::Technique;
use hillwash::share::{Keeping, PlanFile, ReceivedError, Relation, compare, read_plan, received};
use hillwash::work::Timings;
use serde_json::{Value, json};

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
    solved_again(&json, |again| {
        let tones = &again.surfaces[0].tones;
        let still: Vec<bool> = tones.iter().map(|tone| tone.wanted.left_to_lamps).collect();
        assert_eq!(still, left);
        assert!(tones[0].pot.is_some() && tones[1].pot.is_none());
    });
}

/// A plan as it was sent, planned again with the paints of these tests.
fn solved_again(json: &str, look: impl FnOnce(&Plan<'_>)) {
    let file = read_plan("plan.json", json.as_bytes()).unwrap();
    let received = received(&file).unwrap();
    let paints = paint_list(PAINTS);
    let shelf = Shelf::new(&paints);
    let kit = Kit::new(&paints, &shelf);
    look(&received.planned(&kit, &Wishes::default(), &Timings::default()));
}

/// A washed wall with a place of dirt, and a hill in two bands where leaves are allowed.
const WALL_AND_HILL: &str = "[[surface]]\nname = \"Wall\"\nphoto = \"drawn\"\narea = \"100 cm2\"\n\
    region = [[0, 0], [0.5, 0], [0.5, 1], [0, 1]]\n\
    [surface.wash]\nflat = \"#8a523e\"\nrecess = \"#4a3228\"\n\
    [[surface.place]]\nname = \"sill\"\ncolour = \"#4a3228\"\ntechnique = \"streak\"\nshare = 0.1\n\
    [[surface]]\nname = \"Hill\"\nphoto = \"drawn\"\ntreatment = \"scatter\"\narea = \"16 dm2\"\nallow = [\"leaf\"]\n\
    region = [[0.5, 0], [1, 0], [1, 1], [0.5, 1]]\n\
    [[surface.band]]\nname = \"near\"\nregion = [[0.5, 0], [0.75, 0], [0.75, 1], [0.5, 1]]\nfrom = \"100 m\"\n\
    [[surface.band]]\nname = \"far\"\nregion = [[0.75, 0], [1, 0], [1, 1], [0.75, 1]]\nfrom = \"4 km\"\n";

fn wall_and_hill<T>(look: impl FnOnce(&Plan<'_>) -> T) -> T {
    let drawn = Drawn {
        surfaces: WALL_AND_HILL,
        ..Drawn::new(stripes(&[(BRICK, 80), (LEAF, 40), (BRICK, 40)]))
    };
    drawn.plan(look)
}

fn json_of(plan: &Plan<'_>) -> String {
    plan_file(plan, "2026-03-01").to_json().unwrap()
}

/// Fields of [`WALL_AND_HILL`]'s plan, and what none can hold.
fn impossible(sound: &Value) -> Vec<(&'static str, Value)> {
    let many = json!(vec![sound["surfaces"][0]["tones"][0].clone(); 500]);
    vec![
        ("scene.title", json!("x".repeat(100_000))),
        ("scene.view_mm", json!(-1.0)),
        ("scene.scale_colour.visibility_m", json!(0.0)),
        (
            "scene.scale_colour.air",
            json!({"lab": [50.0, 900.0, 0.0], "hex": "#ffffff"}),
        ),
        ("shopping[0].needed_ml", json!(-1.0)),
        ("surfaces[0].area_cm2", json!(-1.0)),
        ("surfaces[0].coats", json!(1000)),
        ("surfaces[0].spread_de", json!(-1.0)),
        ("surfaces[0].tones", many),
        ("surfaces[0].tones[0].lab", json!([500.0, 0.0, 0.0])),
        ("surfaces[0].tones[0].lab", json!([50.0, -900.0, 0.0])),
        ("surfaces[0].tones[0].lab", json!([50.0, 0.0, -900.0])),
        ("surfaces[0].tones[0].share", json!(2.0)),
        ("surfaces[0].tones[0].spread_de", json!(-1.0)),
        ("surfaces[0].tones[0].target_uncertainty_de", json!(1e9)),
        ("surfaces[0].tones[0].planned.lab", json!([500.0, 0.0, 0.0])),
        (
            "surfaces[0].tones[0].recipes[0].lab",
            json!([500.0, 0.0, 0.0]),
        ),
        ("surfaces[0].tones[0].recipes[0].de2000", json!(-1.0)),
        ("surfaces[0].tones[0].recipes[0].uncertainty_de", json!(1e9)),
        (
            "surfaces[0].wash.flat",
            json!({"lab": [500.0, 0.0, 0.0], "hex": "#ffffff"}),
        ),
        ("surfaces[0].wash.grime", json!(9.0)),
        ("surfaces[0].wash.pool", json!(0.0)),
        ("surfaces[0].places[0].share", json!(2.0)),
        ("surfaces[0].places[0].technique", json!("hurl")),
        ("surfaces[1].bands[0].stands_for_m", json!(-1.0)),
        ("surfaces[1].bands[1].scale_n", json!(0.1)),
        ("surfaces[1].bands[1].share", json!(2.0)),
        ("surfaces[1].bands[1].air", json!(2.0)),
        ("surfaces[1].bands[1].from_m", json!(-1.0)),
        ("surfaces[1].bands[1].area_cm2", json!(0.0)),
        ("surfaces[1].bands[1].tones", json!([1])),
    ]
}

#[test]
fn a_received_plan_with_an_impossible_number_or_an_endless_text_names_the_field() {
    let sound = wall_and_hill(json_of);
    assert!(read_plan("plan.json", sound.as_bytes()).is_ok());
    let sound: Value = serde_json::from_str(&sound).unwrap();
    for (field, bad) in impossible(&sound) {
        let pointer = format!("/{}", field.replace(['.', '['], "/").replace(']', ""));
        let mut plan = sound.clone();
        let at = plan.pointer_mut(&pointer);
        *at.unwrap_or_else(|| unreachable!("{field} is not in the plan")) = bad.clone();
        let faults = read_plan("plan.json", plan.to_string().as_bytes()).unwrap_err();
        let told: Vec<String> = faults
            .iter()
            .filter(|fault| matches!(fault, ReceivedError::OutOfRange { .. }))
            .map(|fault| fault.place().to_string())
            .collect();
        let short = bad.to_string().chars().take(40).collect::<String>();
        assert!(
            told.contains(&format!("plan.json, {field}")),
            "{field} as {short}: {faults:?}"
        );
    }
}

#[test]
fn a_text_of_4000_characters_a_paint_a_little_below_black_and_deep_blues_are_received() {
    // A mix may come out at L* a little below 0; what is asked for is refused only beyond what an error explains.
    let sound: Value = serde_json::from_str(&wall_and_hill(json_of)).unwrap();
    for (pointer, good) in [
        ("/scene/title", json!("x".repeat(4000))),
        ("/surfaces/0/tones/0/lab", json!([-0.5, 0.0, 0.0])),
        ("/surfaces/0/tones/0/lab", json!([50.0, -60.0, -60.0])),
    ] {
        let mut plan = sound.clone();
        *plan.pointer_mut(pointer).unwrap() = good;
        let read = read_plan("plan.json", plan.to_string().as_bytes());
        assert!(read.is_ok(), "{pointer}: {:?}", read.err());
    }
}

#[test]
fn parts_that_only_readers_need_travel_untouched_whatever_a_later_version_writes_there() {
    let sound: Value = serde_json::from_str(&wall_and_hill(json_of)).unwrap();
    let mut later = sound.clone();
    later["weather"] = json!("rain");
    later["fewest_paints"] = json!(7);
    later["surfaces"][0]["weather"] = json!({ "rain": true });
    later["surfaces"][0]["wash"]["washes"] = json!("two");
    later["surfaces"][0]["places"][0]["paints"] = json!(false);
    later["surfaces"][0]["tones"][0]["under_lamps"] = json!([]);
    later["surfaces"][1]["scatter"] = json!("grass");
    later["photos"][0]["light"]["witnesses"] = json!(1);
    let read = |plan: &Value| read_plan("plan.json", plan.to_string().as_bytes()).unwrap();
    assert_eq!(serde_json::to_value(read(&later)).unwrap(), later);
    assert_eq!(serde_json::to_value(read(&sound)).unwrap(), sound);
    // A part that is solved from must be sound.
    later["surfaces"][0]["wash"]["pool"] = json!("deep");
    assert!(read_plan("plan.json", later.to_string().as_bytes()).is_err());
}

#[test]
fn who_receives_a_plan_washes_over_the_same_base_streaks_the_same_place_and_strews_what_was_allowed()
 {
    let told = |plan: &Plan<'_>| {
        let [wall, hill] = [0, 1].map(|at| &plan.surfaces[at]);
        let wash = wall.dirt.wash.as_ref().unwrap();
        (
            matches!(wash.base_from, BaseFrom::OwnBody),
            wall.dirt
                .places
                .iter()
                .map(|place| place.technique)
                .collect::<Vec<_>>(),
            hill.wanted.wish.allow.clone(),
        )
    };
    let (sent, json) = wall_and_hill(|plan| (told(plan), json_of(plan)));
    assert!(sent.0, "over its own body");
    assert_eq!(sent.1, [Technique::Streak]);
    assert_eq!(sent.2.len(), 1);
    solved_again(&json, |again| assert_eq!(told(again), sent));
}

#[test]
fn a_paint_whose_amount_moved_by_half_is_told_and_one_that_stayed_is_not() {
    let sent = wall_and_hill(json_of);
    let theirs = read_plan("plan.json", sent.as_bytes()).unwrap();
    let mut more: Value = serde_json::from_str(&sent).unwrap();
    let needed = more.pointer_mut("/shopping/0/needed_ml").unwrap();
    let was = needed.as_f64().unwrap();
    *needed = json!(was + 5.0);
    let ours = read_plan("plan.json", more.to_string().as_bytes()).unwrap();
    let told = compare(&theirs, &ours, Relation::Earlier).shopping;
    let told: Vec<_> = told.iter().map(|c| (c.theirs_ml, c.ours_ml)).collect();
    assert_eq!(told, [(Some(was), Some(was + 5.0))]);
    assert!(
        compare(&theirs, &theirs, Relation::Earlier)
            .shopping
            .is_empty()
    );
}

#[test]
fn whoever_planned_anew_is_told_which_mixed_pots_they_may_keep_and_for_what() {
    let planned = |wall: Srgb8| {
        let drawn = Drawn::new(stripes(&[(wall, 60)]));
        read_plan("plan.json", drawn.plan(json_of).as_bytes()).unwrap()
    };
    let (then, moved) = (planned(BRICK), planned(times(BRICK, [0.7; 3])));
    let told = |now: &PlanFile| -> Vec<(Keeping, Vec<String>, Vec<String>)> {
        let pots = compare(&then, now, Relation::Earlier).pots.into_iter();
        pots.map(|pot| (pot.keeping, pot.serves, pot.no_longer))
            .collect()
    };
    let wall = || vec!["Wall".to_owned()];
    assert_eq!(told(&then), [(Keeping::Keep, wall(), Vec::new())]);
    assert_eq!(told(&moved), [(Keeping::MixAnew, Vec::new(), wall())]);
}
