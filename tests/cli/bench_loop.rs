//! `patch`, `trim` and `paints read`: the loop between plan, pot and list.

use crate::pictures::{Colour, png, stripes};
use crate::workbench::Workbench;
use image::{Rgb, RgbImage};
use serde_json::Value;

/// A grey card of reflectance 0.18 as an sRGB photo has it.
const GREY_CARD: Colour = [118, 118, 118];

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

/// A dried patch between a bench of another colour and a grey card.
fn patch_photo(colour: Colour) -> Vec<u8> {
    png(&stripes(
        60,
        &[
            ([70, 92, 120], 25),
            (colour, 40),
            ([70, 92, 120], 15),
            (GREY_CARD, 20),
        ],
    ))
}

const GREY: [&str; 4] = ["--neutral", "0.9,0.5", "--reflectance", "0.18"];

fn patched(bench: &Workbench, more: &[&str]) -> Value {
    let mut arguments = vec!["patch", "scene.toml", "patch.png", "--surface", "kiln wall"];
    arguments.extend(GREY);
    arguments.extend(["--date", "2026-11-25", "--json"]);
    arguments.extend(more);
    bench.run(arguments).done().json()
}

#[test]
fn a_patch_that_dried_too_light_is_told_mended_and_logged() {
    let bench = Workbench::with_scene();
    // Brick is #93503d here; this patch came out lighter and more colourful, and no more brick mends that.
    bench.write("patch.png", patch_photo([0xb0, 0x5a, 0x47]));
    let told = patched(&bench, &[]);
    assert_eq!(text(&told, "format"), "hillwash.patch/1");
    assert_eq!(text(&told, "surface"), "Kiln wall");
    assert_eq!(text(&told, "verdict"), "add");
    assert!(text(&told, "direction").contains("lighter"), "{told:#}");
    assert_eq!(
        told["seen"]["hex"], "#af5a47",
        "the patch is found by itself"
    );
    let add = &told["add"];
    assert!(add["per_parts"].as_u64().is_some_and(|n| n > 0), "{told:#}");
    assert!(!list(add, "paints").is_empty(), "{told:#}");
    assert!(add["de2000"].as_f64() < told["de2000"].as_f64(), "{told:#}");

    let log = bench.text("scene.patches.jsonl");
    assert_eq!(log.lines().count(), 1);
    patched(&bench, &[]);
    let longer = bench.text("scene.patches.jsonl");
    assert!(longer.starts_with(&log), "the log only grows");
    assert_eq!(longer.lines().count(), 2);
    patched(&bench, &["--no-log"]);
    assert_eq!(bench.text("scene.patches.jsonl"), longer);

    bench.run(["plan", "scene.toml"]).done();
    let page = bench.text("schedule/schedule.html");
    assert!(page.contains("As built") && page.contains("2026-11-25"));
    let plan = bench.json("schedule/plan.json");
    assert_eq!(list(&plan["surfaces"][0], "as_built").len(), 2);
}

#[test]
fn what_patches_teach_is_offered_and_never_done_by_itself() {
    let bench = Workbench::with_scene();
    let before = bench.text("paints.csv");
    // The white is three times as strong as the list lets one take: what such pots dry to is what three times the white is
    // foretold to give.
    let dried = |white: u32, red: u32| -> Colour {
        let pot = format!("{} titanium white, {red} brick red", 3 * white);
        let tried = bench
            .run([
                "mix",
                "--try",
                pot.as_str(),
                "--paints",
                "paints.csv",
                "--json",
            ])
            .done()
            .json();
        let hex = u32::from_str_radix(&text(&tried, "hex")[1..], 16).unwrap_or_default();
        let [_, r, g, b] = hex.to_be_bytes();
        [r, g, b]
    };
    let patch = |white: u32, red: u32, more: &[&str]| {
        bench.write("patch.png", patch_photo(dried(white, red)));
        let pot = format!("{white} titanium white, {red} brick red");
        let asked = ["--mixed", pot.as_str(), "--region", "0.3,0.1,0.6,0.9"];
        patched(&bench, &[&asked[..], more].concat())
    };
    let first = patch(1, 2, &[]);
    assert!(
        list(&first, "offered_changes").is_empty(),
        "one patch is not enough"
    );
    for (white, red) in [(1, 4), (1, 1), (1, 3)] {
        patch(white, red, &[]);
    }
    let second = patch(1, 5, &["--write-list", "learnt.csv"]);
    let offered = list(&second, "offered_changes");
    assert!(!offered.is_empty(), "{second:#}");
    assert_eq!(bench.text("paints.csv"), before, "the list stays as it is");
    let learnt = bench.text("learnt.csv");
    assert!(learnt.starts_with("name,hex,medium,opacity,on_hand_ml,pot_ml,price,strength\n"));
    bench.run(["paints", "check", "learnt.csv"]).done();
    // A name that is taken is told before anything is logged.
    let log = bench.text("scene.patches.jsonl");
    let mut again = vec!["patch", "scene.toml", "patch.png", "--surface", "kiln wall"];
    again.extend(GREY);
    again.extend(["--write-list", "learnt.csv"]);
    bench.run(again).refused().tells("learnt.csv");
    assert_eq!(bench.text("scene.patches.jsonl"), log);
}

#[test]
fn a_list_with_nothing_new_in_it_is_not_written() {
    let bench = Workbench::with_scene();
    bench.write("patch.png", patch_photo([0x93, 0x50, 0x3d]));
    let mut asked = vec!["patch", "scene.toml", "patch.png", "--surface", "kiln wall"];
    asked.extend(GREY);
    asked.extend(["--write-list", "learnt.csv"]);
    let ran = bench.run(&asked);
    assert_eq!(ran.code(), Some(1), "short of what was asked: {ran}");
    ran.says("learnt.csv was not written");
    assert!(!bench.names().contains(&"learnt.csv".to_owned()));
    asked.push("--json");
    let told = bench.run(&asked).json();
    assert!(told["list_written"].is_null() && told.get("list_written").is_some());
}

#[test]
fn a_patch_that_cannot_be_of_its_pot_is_told_and_teaches_nothing() {
    let bench = Workbench::with_scene();
    // Green, where white and brick red were said to be mixed: no strength explains that.
    bench.write("patch.png", patch_photo([0x3f, 0x7a, 0x52]));
    let mixed = [
        "--mixed",
        "1 titanium white, 2 brick red",
        "--region",
        "0.3,0.1,0.6,0.9",
    ];
    let asked = patched(&bench, &mixed);
    assert_eq!(asked["logged"], false, "{asked:#}");
    assert!(!bench.names().contains(&"scene.patches.jsonl".to_owned()));
    let anyway = [&mixed[..], &["--log-anyway"]].concat();
    for _ in 0..3 {
        let told = patched(&bench, &anyway);
        assert_eq!(told["doubtful"], true, "{told:#}");
        assert_eq!(text(&told, "verdict"), "not this pot");
        assert!(list(&told["add"], "paints").is_empty(), "{told:#}");
        assert!(list(&told, "offered_changes").is_empty(), "{told:#}");
    }
    assert!(
        bench
            .text("scene.patches.jsonl")
            .lines()
            .all(|line| line.contains("\"doubtful\":true"))
    );
    let mut asked = vec!["patch", "scene.toml", "patch.png", "--surface", "kiln wall"];
    asked.extend(GREY.iter().chain(&mixed));
    bench
        .run(asked)
        .done()
        .says("this patch cannot be of that pot")
        .says("Is this the right surface")
        .says("The program learns nothing from it");
    bench.run(["plan", "scene.toml"]).done();
    let page = bench.text("schedule/schedule.html");
    assert!(page.contains("cannot be of this pot"));
    // The same pot, a little lighter: a strength explains it, and there is no doubt.
    bench.write("patch.png", patch_photo([0xbe, 0x7a, 0x62]));
    assert_eq!(patched(&bench, &mixed)["doubtful"], false);
}

#[test]
fn a_reading_is_taken_back_and_a_mended_pot_is_reckoned_from_the_log() {
    let bench = Workbench::with_scene();
    let added = ["--added"];
    let mut asked = vec!["patch", "scene.toml", "patch.png", "--surface", "Kiln wall"];
    asked.extend(added);
    bench.write("patch.png", patch_photo([0xb0, 0x5a, 0x47]));
    bench.run(asked).refused().tells("--added");
    let told = patched(&bench, &[]);
    let log = bench.text("scene.patches.jsonl");
    assert!(
        told["add"]["chance"].as_f64().is_some_and(|c| c > 0.5),
        "{told:#}"
    );
    bench.write("patch.png", patch_photo([0x9a, 0x55, 0x42]));
    let mended = patched(&bench, &added);
    let pot: Vec<&str> = list(&mended, "pot")
        .iter()
        .map(|p| text(p, "name"))
        .collect();
    for paint in list(&told["add"], "paints") {
        assert!(pot.contains(&text(paint, "name")), "{mended:#}");
    }
    assert!(
        mended["nearer_than_last_de"]
            .as_f64()
            .is_some_and(|by| by > 0.0),
        "{mended:#}"
    );
    bench
        .run(["patch", "undo", "scene.toml"])
        .done()
        .says("1 left");
    assert_eq!(bench.text("scene.patches.jsonl"), log);
    bench.run(["patch", "undo", "scene.toml"]).done();
    bench
        .run(["patch", "undo", "scene.toml"])
        .done()
        .says("nothing to take back");
    // A mistyped scene is told, not taken for one without patches.
    bench
        .run(["patch", "undo", "scne.toml"])
        .refused()
        .tells("scne.toml");
    bench.run(["patch", "scene.toml"]).refused();
}

/// A bench card photographed by a warm lamp: on grey the printed swatch, then the dab beside it.
fn card_photo(printed: Colour, dab: Colour) -> Vec<u8> {
    const GREY: Colour = [119, 119, 119];
    let warm = |colour: Colour| {
        let [r, g, b] = colour.map(f64::from);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "less than a byte holds"
        )]
        let dimmed = [r * 0.95, g * 0.85, b * 0.65].map(|v| v.round() as u8);
        dimmed
    };
    png(&stripes(
        60,
        &[
            (warm(GREY), 15),
            (warm(printed), 40),
            (warm(dab), 40),
            (warm(GREY), 15),
        ],
    ))
}

const BESIDE: [&str; 4] = [
    "--beside-at",
    "0.16,0.1,0.47,0.9",
    "--region",
    "0.53,0.1,0.83,0.9",
];

#[test]
#[expect(clippy::too_many_lines, reason = "one evening, step by step")]
fn a_patch_is_held_beside_the_printed_swatch_of_its_card() {
    let bench = Workbench::with_scene();
    bench.run(["plan", "scene.toml"]).done();
    let plan = bench.json("schedule/plan.json");
    let tone = &plan["surfaces"][0]["tones"][0];
    let hex = text(&tone["planned"], "hex").to_owned();
    let planned: u32 = u32::from_str_radix(&hex[1..], 16).unwrap_or_default();
    let [_, r, g, b] = planned.to_be_bytes();
    let patched = |colour: Colour, more: &[&str]| {
        bench.write("card.png", card_photo([r, g, b], colour));
        let mut asked = vec!["patch", "scene.toml", "card.png", "--surface", "Kiln wall"];
        asked.extend(BESIDE);
        asked.extend(more);
        bench.run(asked)
    };
    let printed = ["--beside", "printed", "--json"];
    // As planned, under a lamp that makes it look quite different.
    let told = patched([r, g, b], &printed).done().json();
    assert!(
        told["de2000"].as_f64().is_some_and(|de| de < 1.5),
        "{told:#}"
    );
    assert_eq!(text(&told, "verdict"), "as planned");
    assert_eq!(text(&told["beside"], "what"), "printed swatch");
    assert_eq!(text(&told["beside"], "hex"), hex);
    assert!(
        told["uncertainty_de"]
            .as_f64()
            .is_some_and(|u| (6.0..8.0).contains(&u))
    );
    // Darker than the swatch beside it.
    let darker = [r, g, b].map(|v| v - v / 4);
    let told = patched(darker, &printed).done().json();
    assert!(text(&told, "direction").contains("darker"), "{told:#}");
    patched(darker, &["--beside", "printed", "-q"])
        .done()
        .says("compared with the printed swatch")
        .says("what your printer did");
    assert!(
        bench
            .text("scene.patches.jsonl")
            .contains("\"beside\":\"printed swatch\"")
    );
    bench.run(["plan", "scene.toml"]).done();
    assert!(
        bench
            .text("schedule/schedule.html")
            .contains("beside a printed swatch")
    );
    // The same with its colour stated, or a listed paint of that name.
    let told = patched(darker, &["--beside", &hex, "--json"]).done().json();
    assert_eq!(text(&told["beside"], "what"), "known colour");
    assert!(
        told["uncertainty_de"]
            .as_f64()
            .is_some_and(|u| (4.5..6.5).contains(&u))
    );
    let told = patched(darker, &["--beside", "Brick Red", "--json"])
        .done()
        .json();
    assert_eq!(text(&told["beside"], "hex"), "#93503d");

    patched(darker, &["--beside", "brik red"])
        .refused()
        .tells("did you mean \"brick red\"");
    patched(darker, &["--beside", "printed", "--wash"])
        .refused()
        .tells("bench cards print no swatch of a wash");
    patched(darker, &["--beside", "printed", "--neutral", "0.05,0.5"])
        .refused()
        .tells("--neutral");
    bench
        .run([
            "patch",
            "scene.toml",
            "card.png",
            "--surface",
            "Kiln wall",
            "--beside",
            "printed",
        ])
        .refused()
        .tells("--beside-at");
    bench.write("card.png", card_photo([255, 255, 255], darker));
    let mut blown = vec!["patch", "scene.toml", "kiln.png", "--surface", "Kiln wall"];
    bench.write(
        "kiln.png",
        png(&stripes(60, &[([255, 255, 255], 50), (darker, 50)])),
    );
    blown.extend(["--beside", "printed", "--beside-at", "0.1,0.1,0.4,0.9"]);
    blown.extend(["--region", "0.6,0.1,0.9,0.9"]);
    bench.run(blown).refused().tells("blown out");
}

#[test]
fn a_patch_that_cannot_be_judged_is_refused_and_nothing_logged() {
    let bench = Workbench::with_scene();
    bench.write("patch.png", patch_photo([0x93, 0x50, 0x3d]));
    for (arguments, words) in [
        (vec!["--surface", "Kiln wal"], "did you mean"),
        (vec!["--surface", "Kiln wall", "--tone", "9"], "tone 9"),
        (
            vec!["--surface", "Kiln wall", "--mixed", "2 plaid"],
            "plaid",
        ),
        (
            vec!["--surface", "Kiln wall", "--mixed", "brick red"],
            "--mixed: found \"brick red\"",
        ),
        (
            vec!["--surface", "Kiln wall", "--region", "0.1,0.1"],
            "--region",
        ),
    ] {
        let mut all = vec!["patch", "scene.toml", "patch.png"];
        all.extend(arguments);
        bench.run(all).refused().tells(words);
    }
    bench.write("scene.patches.jsonl", "not a log\n");
    bench
        .run(["patch", "scene.toml", "patch.png", "--surface", "Kiln wall"])
        .refused()
        .tells("scene.patches.jsonl:1");
    assert_eq!(bench.text("scene.patches.jsonl"), "not a log\n");
}

#[test]
fn the_fewest_paints_are_told_with_what_each_is_for() {
    let bench = Workbench::with_scene();
    let told = bench
        .run(["trim", "scene.toml", "--within", "3", "--json"])
        .done()
        .json();
    assert_eq!(text(&told, "format"), "hillwash.trim/1");
    assert_eq!(told["exact"], true);
    let paints = list(&told, "paints");
    assert!(
        (1..=2).contains(&paints.len()),
        "brick and slate are both listed: {told:#}"
    );
    for paint in paints {
        assert!(!list(paint, "used_for").is_empty(), "{told:#}");
    }
    for tone in list(&told, "tones") {
        assert!(
            tone["recipe"]["de2000"].as_f64().is_some_and(|d| d <= 3.0),
            "{told:#}"
        );
    }
    bench
        .run(["trim", "scene.toml"])
        .done()
        .says("No smaller set will do")
        .says("brick red");
    bench
        .run(["trim", "scene.toml", "--within", "0"])
        .refused()
        .tells("--within");
}

#[test]
#[expect(
    clippy::too_many_lines,
    reason = "one scene and all its washes and places"
)]
fn no_paint_is_left_out_that_a_wash_or_a_place_needs() {
    let bench = Workbench::with_scene();
    // A clean base in red oxide, a dark blue wash that no pot has paint for, moss to stipple, a violet streak.
    bench.write(
        "paints.csv",
        bench.text("paints.csv")
            + "night blue,#1f2f5c,acrylic,transparent,,20,2.40\nred oxide,#a4523a,acrylic,opaque,,20,2.40\nbone,#ded7c0,acrylic,opaque,,20,2.40\n",
    );
    let dirt = "[surface.wash]\nbase = \"#a4523a\"\nflat = \"#7d4b48\"\nrecess = \"#33334a\"\n\n[[surface.place]]\nname = \"moss\"\ntechnique = \"stipple\"\ncolour = \"#5d5f3a\"\nshare = 0.05\n\n[[surface.place]]\nname = \"streak\"\ntechnique = \"streak\"\ncolour = \"#44415c\"\nshare = 0.02\n";
    bench.write("scene.toml", bench.text("scene.toml") + dirt);
    let ran = bench.run(["trim", "scene.toml", "--json"]);
    let told = ran.json();
    let names: Vec<&str> = list(&told, "paints")
        .iter()
        .map(|p| text(p, "name"))
        .collect();
    assert!(names.contains(&"night blue"), "{told:#}");
    assert!(names.contains(&"olive green"), "for the moss: {told:#}");
    assert!(!names.contains(&"bone"), "{told:#}");
    let used_for = |name: &str| -> String {
        let paint = list(&told, "paints")
            .iter()
            .find(|p| text(p, "name") == name);
        paint.map_or_else(String::new, |paint| paint["used_for"].to_string())
    };
    assert!(
        used_for("night blue").contains("the wash of Kiln wall"),
        "{told:#}"
    );
    assert!(
        used_for("olive green").contains("moss on Kiln wall"),
        "{told:#}"
    );
    let films = list(&told, "films");
    assert_eq!(films.len(), 2, "{told:#}");
    for film in films {
        for paint in list(film, "paints") {
            assert!(
                names.contains(&paint.as_str().unwrap_or_default()),
                "{told:#}"
            );
        }
    }
    let short = |value: &Value| {
        list(value, "films").iter().any(|f| f["within"] == false)
            || list(value, "tones").iter().any(|t| t["within"] == false)
    };
    assert_eq!(ran.code(), Some(i32::from(short(&told))), "{ran}");
    let words = bench.run(["trim", "scene.toml"]);
    words
        .says("1 wash, 1 stained place")
        .says("1 brushed place");

    // The schedule agrees, and its washes can be laid as well with these paints alone.
    bench.run(["plan", "scene.toml", "--trim", "3"]).done();
    let plan = bench.json("schedule/plan.json");
    assert_eq!(plan["fewest_paints"], told);
    let off = |plan: &Value| {
        let wash = &plan["surfaces"][0]["wash"];
        let of = |key: &str| wash[key].as_f64().unwrap_or(f64::NAN);
        of("flat_de2000").max(of("recess_de2000"))
    };
    let (header, rows) = bench
        .text("paints.csv")
        .split_once('\n')
        .map(|(header, rows)| (header.to_owned(), rows.to_owned()))
        .unwrap_or_default();
    let kept = rows.lines().filter(|row| {
        row.split(',')
            .next()
            .is_some_and(|name| names.contains(&name))
    });
    let trimmed: Vec<&str> = std::iter::once(header.as_str()).chain(kept).collect();
    bench.write("few.csv", trimmed.join("\n"));
    bench
        .run(["plan", "scene.toml", "--paints", "few.csv", "--out", "few"])
        .done();
    // A wash within 1 of the nearest counts as equal when it is solved; what is out of reach may lose a tenth.
    let most = (off(&plan) * 1.1).max(3.0) + 1.0;
    let now = off(&bench.json("few/plan.json"));
    assert!(
        now <= most,
        "{now} with few paints, {} with all",
        off(&plan)
    );
}

#[test]
fn a_schedule_can_show_the_fewest_paints() {
    let bench = Workbench::with_scene();
    bench.run(["plan", "scene.toml"]).done();
    assert!(
        !bench
            .text("schedule/schedule.html")
            .contains("fewest paints")
    );
    bench.run(["plan", "scene.toml", "--trim", "3"]).done();
    let page = bench.text("schedule/schedule.html");
    assert!(!page.contains("0.00 ml"), "an empty pot holds no drop");
    assert!(
        page.contains("The fewest paints that will do") && page.contains("every mix was looked at")
    );
    let plan = bench.json("schedule/plan.json");
    assert_eq!(text(&plan["fewest_paints"], "format"), "hillwash.trim/1");
    bench
        .run(["plan", "scene.toml", "--trim", "0"])
        .refused()
        .tells("--trim");
}

#[test]
fn a_card_with_let_downs_fills_in_the_strength() {
    let bench = Workbench::new();
    // Two paints, each beside its mix with three parts of white.
    let cells: [Colour; 4] = [
        [0x93, 0x50, 0x3d],
        [0xc9, 0xa3, 0x97],
        [0x32, 0x46, 0x72],
        [0x9a, 0xa6, 0xbe],
    ];
    let card = RgbImage::from_fn(260, 260, |x, y| {
        let (column, row) = (x.saturating_sub(30) / 100, y.saturating_sub(30) / 100);
        let (dx, dy) = (x.saturating_sub(30) % 100, y.saturating_sub(30) % 100);
        let in_cell = (15..85).contains(&dx) && (15..85).contains(&dy);
        Rgb(if in_cell && x >= 30 && y >= 30 && column < 2 && row < 2 {
            usize::try_from(row * 2 + column).map_or([0; 3], |at| cells[at])
        } else {
            [236, 236, 236]
        })
    });
    bench.write("card.png", png(&card));
    bench.write("names.txt", "brick\nblue\n");
    bench
        .run([
            "paints",
            "read",
            "card.png",
            "--grid",
            "2x2",
            "--names",
            "names.txt",
            "--with-white",
            "--out",
            "mine.csv",
        ])
        .done()
        .says("strength of blue");
    let written = bench.text("mine.csv");
    assert!(
        written.contains("let_down_hex,let_down_parts_white"),
        "{written}"
    );
    let brick: Vec<&str> = written
        .lines()
        .nth(1)
        .unwrap_or_default()
        .split(',')
        .collect();
    let strength: f64 = brick[4].parse().unwrap_or(f64::NAN);
    assert!((0.05..20.0).contains(&strength), "{written}");
    bench
        .run(["paints", "check", "mine.csv"])
        .done()
        .says("by its let-down its tinting strength is");
}

/// Two paints, each beside a coat over black card and one over white: an ochre that lets the card through, a red that hides.
#[test]
#[expect(clippy::too_many_lines, reason = "one card, read in several ways")]
fn a_card_with_coats_over_black_and_white_fills_in_the_strength() {
    let bench = Workbench::new();
    let cells: [Colour; 6] = [
        [0xb0, 0x86, 0x48],
        [0x7c, 0x64, 0x42],
        [0xc0, 0x98, 0x58],
        [0x93, 0x50, 0x3d],
        [0x93, 0x50, 0x3d],
        [0x94, 0x51, 0x3e],
    ];
    let card = RgbImage::from_fn(360, 260, |x, y| {
        let (column, row) = (x.saturating_sub(30) / 100, y.saturating_sub(30) / 100);
        let (dx, dy) = (x.saturating_sub(30) % 100, y.saturating_sub(30) % 100);
        let in_cell = (15..85).contains(&dx) && (15..85).contains(&dy);
        Rgb(if in_cell && x >= 30 && y >= 30 && column < 3 && row < 2 {
            usize::try_from(row * 3 + column).map_or([0; 3], |at| cells[at])
        } else {
            [236, 236, 236]
        })
    });
    bench.write("card.png", png(&card));
    bench.write("names.txt", "ochre\nred\n");
    let read = |grid: &str| {
        let names = ["--names", "names.txt", "--over-cards", "--out", "mine.csv"];
        bench.run(
            ["paints", "read", "card.png", "--grid", grid]
                .into_iter()
                .chain(names),
        )
    };
    read("2x3").refused().tells("divides by 3");
    read("3x2").done().says("ochre, over black");
    let written = bench.text("mine.csv");
    assert!(
        written.contains("strength,over_black_hex,over_white_hex"),
        "{written}"
    );
    let strength = |line: usize| -> f64 {
        let row = written.lines().nth(line).unwrap_or_default();
        row.split(',')
            .nth(4)
            .and_then(|cell| cell.parse().ok())
            .unwrap_or(f64::NAN)
    };
    assert!(
        strength(1) < strength(2),
        "what hides scatters more: {written}"
    );
    bench
        .run(["paints", "check", "mine.csv"])
        .done()
        .says("by its coats over black and white its tinting strength is");
    bench.run(["paints", "tidy", "mine.csv", "tidy.csv"]).done();
    assert!(bench.text("tidy.csv").contains("over_black_hex"));
    bench.write(
        "half.csv",
        "name,hex,over_black_hex\nochre,#b08648,#7c6442\n",
    );
    bench
        .run(["paints", "check", "half.csv"])
        .refused()
        .tells("expected over_white_hex as well");
    bench.write(
        "swapped.csv",
        "name,hex,over_black_hex,over_white_hex\nochre,#b08648,#c09858,#7c6442\n",
    );
    bench
        .run(["paints", "check", "swapped.csv"])
        .done()
        .says("were the two swapped?");
}

#[test]
fn purchases_are_chosen_from_a_second_list_and_what_is_out_of_reach_is_told() {
    let bench = Workbench::with_scene();
    bench.write(
        "own.csv",
        "name,hex,medium\nwhite,#f2f1ec,acrylic\nblack,#262524,acrylic\n",
    );
    bench.write(
        "shop.csv",
        "name,hex,medium,price\nred oxide,#93503d,acrylic,2.40\nviolet,#6a3a7a,acrylic,2.40\nslate grey,#565b60,acrylic,2.40\n",
    );
    let from_shop = [
        "trim",
        "scene.toml",
        "--paints",
        "own.csv",
        "--from",
        "shop.csv",
        "--json",
    ];
    let told = bench.run(from_shop).done().json();
    let bought: Vec<&str> = list(&told, "paints")
        .iter()
        .filter(|paint| paint["to_buy"] == true)
        .map(|paint| text(paint, "name"))
        .collect();
    assert!(
        bought.contains(&"red oxide") && !bought.contains(&"violet"),
        "{told:#}"
    );

    let run = bench.run(["trim", "scene.toml", "--paints", "own.csv", "--within", "2"]);
    assert_eq!(run.code(), Some(1), "greys alone do not make brick");
    assert!(
        run.stdout().contains("out of reach of the whole list"),
        "{}",
        run.stdout()
    );
}

/// A card of three by two cells on white, with a grey card below.
fn card() -> RgbImage {
    let colours: [Colour; 6] = [
        [0x93, 0x50, 0x3d],
        [0x56, 0x5b, 0x60],
        [0x72, 0x76, 0x41],
        [0xbc, 0x91, 0x45],
        [0x32, 0x46, 0x72],
        [0x26, 0x25, 0x24],
    ];
    RgbImage::from_fn(360, 330, |x, y| {
        let on_card = (20..340).contains(&x) && (20..310).contains(&y);
        let (column, row) = (x.saturating_sub(30) / 100, y.saturating_sub(30) / 100);
        let (dx, dy) = (x.saturating_sub(30) % 100, y.saturating_sub(30) % 100);
        let in_cell = (15..85).contains(&dx) && (15..85).contains(&dy);
        let colour = if !on_card {
            [60, 45, 35]
        } else if (150..210).contains(&x) && (250..300).contains(&y) {
            GREY_CARD
        } else if column < 3 && row < 2 && in_cell && x >= 30 && y >= 30 {
            usize::try_from(row * 3 + column).map_or([0; 3], |at| colours[at])
        } else {
            [238, 238, 238]
        };
        Rgb(colour)
    })
}

#[test]
fn a_photographed_card_becomes_a_list() {
    let bench = Workbench::new();
    bench.write("card.png", png(&card()));
    bench.write(
        "names.txt",
        "brick\nslate\n-\nochre\n\"blue\", deep\nblack\n",
    );
    let read = [
        "paints",
        "read",
        "card.png",
        "--grid",
        "3x2",
        "--names",
        "names.txt",
        "--neutral",
        "0.5,0.83",
        "--reflectance",
        "0.18",
        "--out",
        "mine.csv",
    ];
    bench.run(read).done().says("brick");
    let written = bench.text("mine.csv");
    assert!(written.starts_with("name,hex,"), "{written}");
    assert_eq!(
        written.lines().count(),
        6,
        "five paints and a header: {written}"
    );
    assert!(
        written.contains("brick,#93503d") || written.contains("brick,#92503d"),
        "{written}"
    );
    let seen = bench.text("mine-seen.svg");
    assert!(
        seen.contains("<svg") && seen.contains("\"blue\", deep")
            || seen.contains("&#34;blue&#34;, deep")
    );
    bench.run(["paints", "check", "mine.csv"]).done();
    // Nothing is written over.
    bench.run(read).refused().tells("mine.csv");
    assert_eq!(bench.text("mine.csv"), written);
}

#[test]
fn a_card_that_does_not_go_with_its_grid_or_names_is_refused() {
    let bench = Workbench::new();
    bench.write("card.png", png(&card()));
    bench.write("names.txt", "brick\nslate\n");
    for (more, words) in [
        (vec!["--grid", "3"], "4x6"),
        (vec!["--grid", "3x2", "--names", "names.txt"], "2 names"),
        (vec!["--grid", "3x2", "--with-white"], "divides by 2"),
        (vec!["--grid", "7x5"], "--corners"),
        (
            vec!["--grid", "3x2", "--corners", "0,0 2,0 2,2 0,2"],
            "--corners",
        ),
    ] {
        let mut all = vec!["paints", "read", "card.png"];
        all.extend(more);
        bench.run(all).refused().tells(words);
    }
    assert_eq!(
        bench.names(),
        ["card.png", "names.txt"],
        "nothing half-written"
    );
}

#[test]
fn a_card_read_in_another_order_than_its_names_is_refused_before_anything_is_written() {
    let bench = Workbench::new();
    bench.write("card.png", png(&card()));
    let read = |names: &str, out: &str| {
        bench.write("names.txt", names);
        bench.run([
            "paints",
            "read",
            "card.png",
            "--grid",
            "3x2",
            "--names",
            "names.txt",
            "--out",
            out,
        ])
    };
    let turned = "Iron black\nDeep blue\nField yellow\nMoss green\nSlate grey\nBrick red\n";
    let told = read(turned, "turned.csv");
    told.refused()
        .tells("Iron black is #")
        .tells("read from the bottom right");
    assert_eq!(bench.names(), ["card.png", "names.txt"]);
    // One paint that is not what it is called is worth a word, no more.
    let one = "Brick red\nSlate grey\nMoss red\nField yellow\nDeep blue\nIron black\n";
    read(one, "one.csv")
        .done()
        .says("Moss red is #")
        .says("in the right cell?");
}

#[test]
fn reach_is_a_page_a_picture_and_data() {
    let bench = Workbench::with_scene();
    let told = bench
        .run([
            "paints",
            "reach",
            "paints.csv",
            "--photo",
            "kiln.png",
            "--json",
        ])
        .done()
        .json();
    assert_eq!(text(&told, "format"), "hillwash.reach/1");
    assert_eq!(list(&told, "slices").len(), 9);
    assert!(
        list(&told, "colours")
            .iter()
            .all(|c| c["within_reach"].is_boolean())
    );
    bench
        .run(["paints", "reach", "paints.csv", "--out", "reach.html"])
        .done();
    let page = bench.text("reach.html");
    assert!(
        page.contains("<table")
            && page.contains("<svg")
            && !page.contains("http://") | page.contains("www.w3.org")
    );
    bench
        .run(["paints", "reach", "paints.csv", "--out", "reach.svg"])
        .done();
    assert!(bench.text("reach.svg").starts_with("<svg"));
}

#[test]
fn every_command_has_an_example() {
    let bench = Workbench::new();
    for command in [
        "plan",
        "open",
        "look",
        "mix",
        "patch",
        "trim",
        "new",
        "paints",
        "paints check",
        "paints read",
        "paints reach",
        "schema",
        "shell",
        "shell completions",
        "shell man",
    ] {
        let mut arguments: Vec<&str> = command.split(' ').collect();
        arguments.push("--help");
        bench
            .run(arguments)
            .done()
            .says("Example")
            .says(&format!("hillwash {command}"));
    }
}

#[test]
fn completions_and_man_pages_know_every_command() {
    let bench = Workbench::new();
    for shell in ["bash", "zsh", "fish"] {
        bench
            .run(["shell", "completions", shell])
            .done()
            .says("patch")
            .says("trim");
    }
    bench.run(["shell", "man", "--out", "man1"]).done();
    assert!(bench.text("man1/hillwash.1").contains(".TH hillwash"));
    assert!(
        bench
            .text("man1/hillwash-paints-read.1")
            .contains("with\\-white")
    );
}
