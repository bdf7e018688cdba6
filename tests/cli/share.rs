//! Sharing: a received schedule solved again, schedules held against each other, open data.

use crate::workbench::Workbench;
use hillwash::colour::{LabD65, delta_e00};
use hillwash::scene::MayName;
use hillwash::tones::Role;
use serde_json::Value;

/// Twelve invented paints of another builder.
const TWELVE: &str = "\
name,hex,medium,opacity
chalk,#f3f2ee,acrylic,opaque
soot,#252428,acrylic,opaque
rust,#8c4a38,acrylic,opaque
straw,#c09a4c,acrylic,semi-opaque
sand,#cdbb93,acrylic,opaque
leaf,#4f6b35,acrylic,opaque
bottle,#2c4236,acrylic,semi-transparent
stone,#9a9788,acrylic,opaque
gunmetal,#4a4f55,acrylic,opaque
chestnut,#5a3626,acrylic,opaque
harbour,#3d5f86,acrylic,semi-opaque
lemon,#d9cf55,acrylic,semi-transparent
";
const DATED: [&str; 2] = ["--date", "2026-03-01"];

/// A schedule made here, and nothing else of the bench but another builder's list.
fn received() -> Workbench {
    let made = Workbench::with_scene();
    made.run(["plan", "scene.toml"].into_iter().chain(DATED))
        .done();
    let theirs = Workbench::new();
    theirs.write("post/schedule.html", made.bytes("schedule/schedule.html"));
    theirs.write("post/plan.json", made.bytes("schedule/plan.json"));
    theirs.write("mine.csv", TWELVE);
    theirs
}

fn tones(plan: &Value) -> Vec<Value> {
    let surfaces = plan["surfaces"].as_array().cloned().unwrap_or_default();
    surfaces
        .iter()
        .flat_map(|s| s["tones"].as_array().cloned().unwrap_or_default())
        .collect()
}

fn lab(entry: &Value) -> LabD65 {
    let at = |i: usize| entry["lab"][i].as_f64().unwrap_or(f64::NAN);
    LabD65 {
        l: at(0),
        a: at(1),
        b: at(2),
    }
}

#[test]
fn a_received_schedule_is_solved_again_without_its_photos() {
    let bench = received();
    let ran = bench.run(
        ["plan", "post/schedule.html", "--paints", "mine.csv"]
            .into_iter()
            .chain(DATED),
    );
    ran.done()
        .says("How close these mixes will be to those of \"Hop yard\"");
    ran.says("Kiln wall: ").says("real pots ±");
    let theirs = bench.json("post/plan.json");
    let ours = bench.json("post/schedule-for-mine/plan.json");
    assert_eq!(ours["photos"].as_array().map(Vec::len), Some(0));
    let (theirs, ours_tones) = (tones(&theirs), tones(&ours));
    assert_eq!(theirs.len(), ours_tones.len());
    let compared = ours["compared"]["surfaces"][0]["tones"].as_array().unwrap();
    assert_eq!(compared.len(), theirs.len());
    for ((their, our), pair) in theirs.iter().zip(&ours_tones).zip(compared) {
        assert_eq!(their["planned"], our["planned"], "planned colours are kept");
        let first = &our["recipes"][0];
        for paint in first["paints"].as_array().unwrap() {
            assert!(TWELVE.contains(paint["name"].as_str().unwrap()), "{paint}");
        }
        // What is told is the CIEDE2000 (ISO/CIE 11664-6) of the two predicted mixes; errors of two pots add as squares.
        let apart = delta_e00(lab(&their["recipes"][0]), lab(first)).0;
        assert!(
            (pair["mixes_de"].as_f64().unwrap() - apart).abs() < 2e-3,
            "{pair}"
        );
        let off = |mix: &Value| mix["uncertainty_de"].as_f64().unwrap();
        let both = off(&their["recipes"][0]).hypot(off(first));
        assert!((pair["uncertainty_de"].as_f64().unwrap() - both).abs() < 2e-3);
    }
    let page = bench.text("post/schedule-for-mine/schedule.html");
    assert!(
        page.contains("The two builders&#x27; mixes")
            || page.contains("The two builders&#39; mixes")
    );
    assert!(!page.contains("data:image/"), "no photo is there to show");
}

/// A received schedule has no scene: with `--scatter` there is a list, without it there is none, and each is told as it is.
#[test]
fn a_received_hill_is_strewn_from_the_list_that_is_given() {
    const NONE: &str = "there is no scatter list";
    let made = Workbench::with_scene();
    made.change(
        "scene.toml",
        "area   = ",
        "treatment = \"scatter\"\narea   = ",
    );
    made.run(["plan", "scene.toml"]).done();
    let bench = Workbench::new();
    bench.write("schedule.html", made.bytes("schedule/schedule.html"));
    bench.write("mine.csv", TWELVE);
    bench.write(
        "scatter.csv",
        "name,hex,grain\nrust crumb,#8c4a38,medium\nmeadow crumb,#58813a,fine\n",
    );
    let plan = ["plan", "schedule.html", "--paints", "mine.csv"];
    let bare = bench.run(plan.into_iter().chain(["--out", "bare", "--full"]));
    bare.done().says("--scatter");
    let strewn = bench.run(plan.into_iter().chain([
        "--out",
        "strewn",
        "--full",
        "--scatter",
        "scatter.csv",
    ]));
    strewn.done();
    let layers = |folder: &str| {
        let plan = bench.json(&format!("{folder}/plan.json"));
        let layers = plan["surfaces"][0]["scatter"]["layers"].as_array();
        layers.map_or(0, Vec::len)
    };
    assert_eq!(layers("bare"), 0);
    assert!(layers("strewn") > 0);
    for (folder, told) in [("bare", true), ("strewn", false)] {
        for file in ["plan.json", "schedule.html"] {
            let text = bench.text(&format!("{folder}/{file}"));
            assert_eq!(text.contains(NONE), told, "{folder}/{file}");
            assert!(!text.contains("names no scatter"), "{folder}/{file}");
        }
    }
    assert!(!strewn.stdout().contains(NONE), "{strewn}");
}

#[test]
fn page_and_data_are_solved_alike() {
    let bench = received();
    for (file, out) in [("post/schedule.html", "a"), ("post/plan.json", "b")] {
        bench
            .run(
                ["plan", file, "--paints", "mine.csv", "--out", out]
                    .into_iter()
                    .chain(DATED),
            )
            .done();
    }
    for name in [
        "schedule.html",
        "plan.json",
        "schedule.csv",
        "palette.svg",
        "palette.tokens.json",
    ] {
        assert_eq!(
            bench.bytes(&format!("a/{name}")),
            bench.bytes(&format!("b/{name}")),
            "{name}"
        );
    }
}

#[test]
fn solved_for_the_same_paints_a_schedule_is_the_same() {
    let bench = received();
    bench.write("paints.csv", Workbench::with_scene().bytes("paints.csv"));
    bench
        .run([
            "plan",
            "post/plan.json",
            "--paints",
            "paints.csv",
            "--out",
            "again",
        ])
        .done()
        .says("0.0 apart by area, 0.0 at worst");
    let (theirs, ours) = (bench.json("post/plan.json"), bench.json("again/plan.json"));
    for (their, our) in tones(&theirs).iter().zip(&tones(&ours)) {
        assert_eq!(their["recipes"][0]["paints"], our["recipes"][0]["paints"]);
    }
    assert_eq!(theirs["pots"], ours["pots"]);
}

#[test]
fn a_received_schedule_wants_a_list_and_is_not_written_over() {
    let bench = received();
    let before = bench.contents();
    bench
        .run(["plan", "post/schedule.html"])
        .refused()
        .tells("--paints")
        .tells("add --paints mine.csv");
    bench
        .run([
            "plan",
            "post/schedule.html",
            "--paints",
            "mine.csv",
            "--out",
            "post",
            "--force",
        ])
        .refused()
        .tells("both read and written");
    assert_eq!(bench.contents(), before);
}

#[test]
fn a_received_tone_may_play_any_role() {
    let bench = received();
    let plan = bench.text("post/plan.json");
    for role in Role::ALL {
        let to = format!("\"role\": \"{}\"", role.word());
        bench.write(
            "post/role.json",
            plan.replacen("\"role\": \"body\"", &to, 1),
        );
        bench
            .run(["plan", "post/role.json", "--paints", "mine.csv", "--force"])
            .done();
        let ours = bench.json("post/schedule-for-mine/plan.json");
        assert_eq!(ours["surfaces"][0]["tones"][0]["role"], role.word());
    }
}

/// A green with a* −90 is none of sRGB's (IEC 61966-2-1): its swatch is the nearest one, and that is said.
#[test]
fn a_planned_colour_that_no_screen_shows_is_told() {
    let bench = received();
    let mut plan = bench.json("post/plan.json");
    plan["surfaces"][0]["tones"][0]["planned"]["lab"] = serde_json::json!([60.0, -90.0, 40.0]);
    bench.write("post/green.json", plan.to_string());
    let solve = |file: &str| {
        let ran = bench.run(["plan", file, "--paints", "mine.csv", "--force"]);
        ran.done();
        bench.json("post/schedule-for-mine/plan.json")["notes"].to_string()
    };
    let told = "planned colour of tone 1 lies outside what screens show";
    assert!(solve("post/green.json").contains(told));
    assert!(!solve("post/plan.json").contains("outside what screens show"));
}

#[test]
#[expect(clippy::too_many_lines, reason = "one table of forged files")]
fn a_received_file_is_not_trusted() {
    let bench = received();
    let plan = bench.text("post/plan.json");
    let deep = format!(
        "{{\"format\": \"hillwash.plan/1\", \"more\": {}{}}}",
        "[".repeat(100_000),
        "]".repeat(100_000)
    );
    let changed = |from: &str, to: &str| {
        assert!(plan.contains(from), "{from}");
        plan.replacen(from, to, 1)
    };
    let page = bench.text("post/schedule.html");
    let cases: Vec<(String, &str)> = vec![
        (deep, "recursion limit exceeded"),
        ("{".to_owned(), "EOF"),
        ("{}".to_owned(), "missing field"),
        (
            changed("hillwash.plan/1", "hillwash.plan/9"),
            "found the format \"hillwash.plan/9\"",
        ),
        (
            changed("\"scale_n\": 87.0", "\"scale_n\": -1"),
            "scene.scale_n: found -1, expected a number from 1 to 10000",
        ),
        (
            changed("\"scale_n\": 87.0", "\"scale_n\": 1e999"),
            "number out of range",
        ),
        (
            changed("\"scale_n\": 87.0", "\"scale_n\": \"87\""),
            "scene.scale_n: found string \"87\", expected f64",
        ),
        (
            changed("\"tones\": [", "\"tones\": 7, \"was\": ["),
            "surfaces[0].tones: found integer `7`, expected a sequence",
        ),
        (
            changed("\"role\": \"body\"", "\"role\": \"boss\""),
            "surfaces[0].tones[0].role: found \"boss\"",
        ),
        (
            changed("\"treatment\": \"coat\"", "\"treatment\": \"glaze\""),
            "surfaces[0].treatment: found \"glaze\"",
        ),
        (
            changed("\"name\": \"Kiln wall\"", "\"name\": \" \""),
            "surfaces[0].name: found an empty text",
        ),
        (
            changed("Hop yard", &"x".repeat(5000)),
            "scene.title: found a text of 5000 characters",
        ),
        (
            format!("{page}{page}"),
            "found 2 plans inside the page, expected one",
        ),
        (
            "<!DOCTYPE html><p>Nothing".to_owned(),
            "found 0 plans inside the page",
        ),
    ];
    for (text, told) in cases {
        bench.write("bad.json", &text);
        bench
            .run(["plan", "bad.json", "--paints", "mine.csv", "--out", "bad"])
            .refused()
            .tells("bad.json")
            .tells(told);
        assert!(!bench.path("bad").exists(), "{told}");
    }
    bench.write(
        "bad.json",
        [b"{\"format\": \"".as_slice(), &[0xff, 0xfe], b"\"}"].concat(),
    );
    bench
        .run(["plan", "bad.json", "--paints", "mine.csv"])
        .refused()
        .tells("not UTF-8");
    bench.write("bad.json", format!("{{{}", " ".repeat(33 << 20)));
    bench
        .run(["plan", "bad.json", "--paints", "mine.csv"])
        .refused()
        .tells("expected at most 33554432");
}

#[test]
fn what_changed_between_two_plans_is_told() {
    let bench = Workbench::with_scene();
    let planned = |more: &[&str]| {
        let mut words = vec!["plan", "scene.toml"];
        words.extend(more);
        words.extend(DATED);
        bench.run(words)
    };
    planned(&[]).done();
    planned(&["--compare", "schedule/schedule.html"])
        .done()
        .says("What changed since \"Hop yard\", 2026-03-01")
        .says("nothing that a brush would notice");
    bench.change("scene.toml", "view   = \"0.9 m\"", "view   = \"40 m\"");
    planned(&["--compare", "schedule/plan.json"])
        .done()
        .says("seen from: 900 mm -> 40000 mm")
        .says("planned colour moved by ΔE00");
    let plan = bench.json("schedule/plan.json");
    assert_eq!(plan["compared"]["relation"], "earlier");
    let page = bench.text("schedule/schedule.html");
    assert!(page.contains("What changed"));
    bench.change("scene.toml", "\"Kiln wall\"", "\"Malting wall\"");
    planned(&["--compare", "schedule/plan.json"])
        .done()
        .says("Kiln wall: gone")
        .says("Malting wall: new");
    planned(&["--compare", "missing.json"])
        .refused()
        .tells("missing.json");
}

#[test]
fn a_schedule_without_photos_holds_no_picture() {
    let bench = Workbench::with_scene();
    bench.run(["plan", "scene.toml", "--no-photos"]).done();
    let page = bench.text("schedule/schedule.html");
    assert!(!page.contains("data:image/"));
    assert!(page.contains("Kiln wall"));
    let with = Workbench::with_scene();
    with.run(["plan", "scene.toml"]).done();
    assert!(with.text("schedule/schedule.html").contains("data:image/"));
    // Only pictures are left out: what was seen is the same.
    let plan = "schedule/plan.json";
    assert_eq!(bench.text(plan), with.text(plan));
}

/// A validator of JSON Schema (draft 2020-12) from outside the project judges both files by both schemas.
#[test]
fn plans_and_scenes_fit_their_schemas() {
    let bench = received();
    let schema = |of: &str| bench.run(["schema", of]).done().json();
    let plans = jsonschema::validator_for(&schema("plan")).unwrap();
    bench
        .run([
            "plan",
            "post/plan.json",
            "--paints",
            "mine.csv",
            "--out",
            "again",
        ])
        .done();
    for plan in [bench.json("post/plan.json"), bench.json("again/plan.json")] {
        let faults: Vec<String> = plans.iter_errors(&plan).map(|e| e.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new());
    }
    let mut wrong = bench.json("post/plan.json");
    wrong["surfaces"][0]["tones"][0]["share"] = "half".into();
    assert!(!plans.is_valid(&wrong));
    let scenes = jsonschema::validator_for(&schema("scene")).unwrap();
    for text in [
        include_str!("../../sample-photos/brewery-yard/scene.toml"),
        include_str!("../../sample-photos/starter/scene.toml"),
    ] {
        let mut scene: Value = toml::from_str(text).unwrap();
        let faults: Vec<String> = scenes.iter_errors(&scene).map(|e| e.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new());
        scene["veiw"] = "0.9 m".into();
        assert!(!scenes.is_valid(&scene));
    }
}

/// Every table of a scene, each with a key that nobody knows: what the reader then offers is what the schema has.
#[test]
#[expect(clippy::too_many_lines, reason = "one table of keys")]
fn the_schema_of_scenes_has_the_keys_that_scenes_are_read_by() {
    const EVERY_TABLE: &str = r#"
title = "Yard"
scale = "1:87"
paints = "paints.csv"
scale_colour = { zzz = 1 }
zzz = 1
[photos.wall]
file = "wall.jpg"
neutral = { at = [0.5, 0.5], zzz = 1 }
zzz = 1
[[surface]]
name = "Wall"
photo = "wall"
zzz = 1
model_photo = { file = "kit.jpg", zzz = 1 }
[surface.wash]
base = { surface = "Wall", zzz = 1 }
zzz = 1
[[surface.place]]
name = "sill"
region = [[0.1, 0.1], [0.9, 0.1], [0.9, 0.9]]
zzz = 1
[[surface.band]]
name = "far"
region = [[0.1, 0.1], [0.9, 0.1], [0.9, 0.9]]
zzz = 1
[[surface]]
name = "Other"
photos = [{ photo = "wall", zzz = 1 }]
"#;
    let shapes = [
        ("zzz", ""),
        ("scale_colour.zzz", "ScaleColourShape"),
        ("photos.wall.zzz", "PhotoShape"),
        ("photos.wall.neutral.zzz", "NeutralShape"),
        ("surface 1.zzz", "SurfaceShape"),
        ("surface 1.model_photo.zzz", "ModelPhotoShape"),
        ("surface 1.wash.zzz", "WashShape"),
        ("surface 1.wash.base.zzz", "BaseSurfaceShape"),
        ("surface 1.place 1.zzz", "PlaceShape"),
        ("surface 1.band 1.zzz", "BandShape"),
        ("surface 2.photos 1.zzz", "PartShape"),
    ];
    let schema = hillwash::scene::scene_schema();
    let faults =
        hillwash::scene::parse_scene("scene.toml", EVERY_TABLE.as_bytes(), MayName::ItsFolder)
            .unwrap_err();
    let mut told = std::collections::BTreeMap::new();
    for fault in faults {
        if let hillwash::scene::SceneError::UnknownKey { place, known, .. } = fault {
            let keys: Vec<String> = known.split(", ").map(str::to_owned).collect();
            told.insert(place.field.unwrap_or_default(), keys);
        }
    }
    assert_eq!(told.len(), shapes.len(), "{:?}", told.keys());
    for (field, shape) in shapes {
        let found = if shape.is_empty() {
            &schema["properties"]
        } else {
            &schema["$defs"][shape]["properties"]
        };
        let keys: Vec<String> = found.as_object().unwrap().keys().cloned().collect();
        assert_eq!(Some(&keys), told.get(field), "{field}");
    }
}

/// W3C XML 1.0 well-formedness in small, and the token format's own rules (Design Tokens Community Group, Format and
/// Color Modules 2025.10).
#[test]
fn the_palette_is_svg_and_design_tokens() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "\"Kiln wall\"", "\"$a{b}.c </text><script>\"");
    bench.run(["plan", "scene.toml"]).done();
    let svg = bench.text("schedule/palette.svg");
    assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""));
    assert!(!svg.contains("<script"));
    let plan = bench.json("schedule/plan.json");
    let tokens = bench.json("schedule/palette.tokens.json");
    let groups: Vec<(&String, &Value)> = tokens
        .as_object()
        .unwrap()
        .iter()
        .filter(|(name, _)| !name.starts_with('$'))
        .collect();
    assert_eq!(groups.len(), 1);
    let mut found = 0;
    for (name, group) in groups {
        assert!(!name.contains(['{', '}', '.']), "{name}");
        for (_, tone) in group
            .as_object()
            .unwrap()
            .iter()
            .filter(|(n, _)| !n.starts_with('$'))
        {
            let planned = &tone["planned"];
            assert_eq!(planned["$type"], "color");
            assert_eq!(planned["$value"]["colorSpace"], "srgb");
            assert_eq!(planned["$value"]["components"].as_array().unwrap().len(), 3);
            let hex = planned["$value"]["hex"].as_str().unwrap();
            assert!(tones(&plan).iter().any(|t| t["planned"]["hex"] == hex));
            assert!(svg.contains(hex));
            found += 1;
        }
    }
    assert_eq!(found, tones(&plan).len());
}
