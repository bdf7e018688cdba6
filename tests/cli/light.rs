//! Lamps: a scene's own, and mixes that hold under them.

use crate::contract::{self, list, number};
use crate::workbench::Workbench;
use std::fmt::Write as _;

/// A reflectance that rises from `low` to `high` about a wavelength, every 10 nm.
fn rising(low: f64, high: f64, about: f64) -> String {
    let mut text = "wavelength_nm,reflectance\n".to_owned();
    for step in 0..=36 {
        let nm = 380.0 + 10.0 * f64::from(step);
        let r = low + (high - low) / (1.0 + (-(nm - about) / 25.0).exp());
        let _ = writeln!(text, "{nm},{r:.4}");
    }
    text
}

/// A bench with five measured paints.
fn measured() -> Workbench {
    let bench = Workbench::new();
    let mut paints = "name,spectrum,opacity\n".to_owned();
    for (name, low, high, about) in [
        ("white", 0.80, 0.88, 420.0),
        ("black", 0.05, 0.05, 500.0),
        ("red", 0.06, 0.55, 600.0),
        ("yellow", 0.08, 0.75, 510.0),
        ("umber", 0.06, 0.25, 580.0),
    ] {
        bench.write(&format!("{name}.csv"), rising(low, high, about));
        let _ = writeln!(paints, "{name},{name}.csv,opaque");
    }
    bench.write("measured.csv", paints);
    bench.write("wanted.csv", rising(0.09, 0.40, 570.0));
    bench
}

const STEADY: [&str; 6] = [
    "mix",
    "--steady",
    "--paints",
    "measured.csv",
    "--spectrum",
    "wanted.csv",
];

#[test]
fn steady_mixes_tell_how_far_they_part_under_the_lamp() {
    let bench = measured();
    let ran = bench.run(STEADY.iter().chain(&["--lamps", "FL11", "--json"]));
    let answer = ran.done().json();
    contract::begins_with_format(&ran.stdout(), "hillwash.mix/1");
    contract::recipes(list(&answer, "recipes"));
    for recipe in list(&answer, "recipes") {
        assert!(number(recipe, "drift_de") >= 0.0, "{ran}");
    }
    bench
        .run(STEADY)
        .done()
        .says("under LED-B1")
        .says("special metamerism index");
}

#[test]
fn steady_is_refused_where_spectra_are_made_up() {
    let bench = Workbench::with_scene();
    bench.write("wanted.csv", rising(0.09, 0.40, 570.0));
    bench
        .run([
            "mix",
            "--steady",
            "--paints",
            "paints.csv",
            "--spectrum",
            "wanted.csv",
        ])
        .refused()
        .tells("known by colour alone")
        .tells("cannot show which mix still matches");
    let bench = measured();
    bench
        .run(["mix", "#7a5b48", "--steady", "--paints", "measured.csv"])
        .refused()
        .tells("expected --spectrum");
    bench
        .run(STEADY.iter().chain(&["--lamps", "LED-B9"]))
        .refused()
        .tells("LED-B9")
        .tells("did you mean");
}

#[test]
fn a_measured_colour_can_be_asked_for_without_a_lamp() {
    let bench = measured();
    let asked = [
        "mix",
        "--spectrum",
        "wanted.csv",
        "--paints",
        "measured.csv",
    ];
    assert!(
        !list(
            &bench.run(asked.iter().chain(&["--json"])).done().json(),
            "recipes"
        )
        .is_empty()
    );
}

#[test]
fn a_scene_may_name_its_lamps_by_a_spectrum_file() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "view   =", "lamps = \"hall.csv\"\nview   =");
    bench
        .run(["plan", "scene.toml"])
        .refused()
        .tells("hall.csv");
    bench.write("hall.csv", "380,1\n500,-1\n600,2\n780,3\n");
    bench
        .run(["plan", "scene.toml"])
        .refused()
        .tells("hall.csv:2: found -1 at 500 nm");
    bench.write("hall.csv", "380,0.2\n500,0.6\n600,1.4\n780,2.8\n");
    bench.run(["plan", "scene.toml"]).done();
    let plan = bench.json("schedule/plan.json");
    let tone = &plan["surfaces"][0]["tones"][0];
    contract::colour(&tone["under_lamps"]["tone"]);
    assert!(
        bench
            .text("schedule/schedule.html")
            .contains("under the lamps (hall.csv)")
    );
}

#[test]
fn measured_lamps_travel_with_the_schedule() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "view   =", "lamps = \"hall.csv\"\nview   =");
    bench.write("hall.csv", "380,0.2\n500,0.6\n600,1.4\n780,2.8\n");
    bench.run(["plan", "scene.toml"]).done();
    let theirs = Workbench::new();
    theirs.write("plan.json", bench.bytes("schedule/plan.json"));
    theirs.write("paints.csv", bench.bytes("paints.csv"));
    theirs
        .run([
            "plan",
            "plan.json",
            "--paints",
            "paints.csv",
            "--out",
            "ours",
        ])
        .done();
    let lit = |plan: &serde_json::Value| {
        plan["surfaces"][0]["tones"][0]["under_lamps"]["tone"]["lab"]
            .as_array()
            .map(|lab| lab.iter().filter_map(serde_json::Value::as_f64).collect())
    };
    let (here, there): (Option<Vec<f64>>, Option<Vec<f64>>) = (
        lit(&bench.json("schedule/plan.json")),
        lit(&theirs.json("ours/plan.json")),
    );
    let (here, there) = (here.unwrap(), there.unwrap());
    assert_eq!(here.len(), 3);
    for (one, other) in here.iter().zip(&there) {
        // Planned colours travel at three decimals.
        assert!((one - other).abs() < 0.02, "{here:?} {there:?}");
    }

    theirs.change(
        "plan.json",
        "\"lamp_weights\": [",
        "\"lamp_weights\": [[1, 1, 1],",
    );
    theirs
        .run(["plan", "plan.json", "--paints", "paints.csv"])
        .refused()
        .tells("scene.lamp_weights")
        .tells("36 rows");
}

#[test]
fn daylight_and_silence_show_no_shift() {
    for lamps in ["", "lamps = \"daylight\"\n"] {
        let bench = Workbench::with_scene();
        bench.change("scene.toml", "view   =", &format!("{lamps}view   ="));
        bench.run(["plan", "scene.toml"]).done();
        let plan = bench.json("schedule/plan.json");
        assert!(plan["surfaces"][0]["tones"][0].get("under_lamps").is_none());
    }
}

#[test]
fn a_temperature_alone_is_told_as_such() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "view   =", "lamps = \"2700 K\"\nview   =");
    bench
        .run(["plan", "scene.toml"])
        .done()
        .says("Only the temperature of the lamps is known");
}
