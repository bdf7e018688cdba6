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
    // Brick is #93503d here; this patch came out lighter and duller.
    bench.write("patch.png", patch_photo([0xa9, 0x67, 0x54]));
    let told = patched(&bench, &[]);
    assert_eq!(text(&told, "format"), "hillwash.patch/1");
    assert_eq!(text(&told, "surface"), "Kiln wall");
    assert_eq!(text(&told, "verdict"), "add");
    assert!(text(&told, "direction").contains("lighter"), "{told:#}");
    assert_eq!(
        told["seen"]["hex"], "#a96754",
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
    bench.write("patch.png", patch_photo([0xa0, 0x90, 0x86]));
    let before = bench.text("paints.csv");
    let mixed = ["--mixed", "1 titanium white, 2 brick red"];
    let first = patched(&bench, &mixed);
    assert!(
        list(&first, "offered_changes").is_empty(),
        "one patch is not enough"
    );
    let second = patched(
        &bench,
        &[&mixed[..], &["--write-list", "learnt.csv"]].concat(),
    );
    let offered = list(&second, "offered_changes");
    assert!(!offered.is_empty(), "{second:#}");
    assert_eq!(bench.text("paints.csv"), before, "the list stays as it is");
    let learnt = bench.text("learnt.csv");
    assert!(learnt.starts_with("name,hex,medium,opacity,on_hand_ml,pot_ml,price,strength\n"));
    bench.run(["paints", "check", "learnt.csv"]).done();
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
        .says("no smaller set does it")
        .says("brick red");
    bench
        .run(["trim", "scene.toml", "--within", "0"])
        .refused()
        .tells("--within");
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
        .says("by its let-down");
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
        run.stdout().contains("beyond the whole list"),
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
        (vec!["--grid", "3x2", "--with-white"], "even number"),
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
fn a_first_time_user_is_led_and_every_command_has_an_example() {
    let bench = Workbench::new();
    bench
        .run([""; 0])
        .done()
        .says("hillwash new my-layout")
        .says("schedule.html");
    for command in [
        "plan",
        "mark",
        "look",
        "mix",
        "patch",
        "trim",
        "new",
        "paints check",
        "paints read",
        "paints reach",
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
