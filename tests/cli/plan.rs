//! `plan`: a scene to its colour schedule.

use crate::contract::{self, list, number, text};
use crate::pictures::{BRICK, SLATE, exif_body, jpeg, stripes, telling_exif, with_segments};
use crate::workbench::Workbench;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

const OUTPUTS: [&str; 5] = [
    "schedule.html",
    "plan.json",
    "schedule.csv",
    "palette.svg",
    "palette.tokens.json",
];
/// The same date in every run, so that outputs can be compared.
const DATED: [&str; 2] = ["--date", "2026-03-01"];
/// A flat colour, photographed without loss, is planned from itself: what is left is the rounding of the answer.
const FLAT: f64 = 0.1;

fn planned(bench: &Workbench, more: &[&str]) {
    bench
        .run(["plan", "scene.toml"].iter().chain(&DATED).chain(more))
        .done();
}

fn outputs(bench: &Workbench, folder: &str) -> BTreeMap<&'static str, Vec<u8>> {
    OUTPUTS
        .into_iter()
        .map(|name| (name, bench.bytes(&format!("{folder}/{name}"))))
        .collect()
}

/// The plan that a page carries, still with its escapes.
fn data_block(page: &str) -> &str {
    let (_, rest) = page
        .split_once("<script type=\"application/json\" id=\"plan\">")
        .unwrap_or(("", page));
    rest.split_once("</script>").map_or("", |(data, _)| data)
}

fn table(bench: &Workbench, name: &str) -> (csv::StringRecord, Vec<csv::StringRecord>) {
    let bytes = bench.bytes(name);
    let mut reader = csv::Reader::from_reader(&bytes[..]);
    let header = reader.headers().cloned().unwrap_or_default();
    (header, reader.records().filter_map(Result::ok).collect())
}

#[test]
fn three_files_are_written_beside_the_scene_and_nothing_else() {
    let bench = Workbench::with_scene();
    let before = bench.contents();
    let ran = bench.run(["plan", "scene.toml"]);
    ran.done().says("First colours").says("schedule.html");
    let mut expected: Vec<String> = before.keys().cloned().collect();
    expected.push("schedule/".to_owned());
    expected.extend(OUTPUTS.map(|name| format!("schedule/{name}")));
    expected.sort();
    assert_eq!(bench.names(), expected, "{ran}");
    for (name, bytes) in before {
        assert_eq!(bench.bytes(&name), bytes, "{name} is as it was");
    }
}

#[test]
fn another_folder_can_be_asked_for() {
    let bench = Workbench::with_scene();
    bench.make_folder("club");
    planned(&bench, &["--out", "club/march 2026"]);
    for name in OUTPUTS {
        assert!(bench.path("club/march 2026").join(name).is_file(), "{name}");
    }
    assert!(!bench.path("schedule").exists());
}

#[test]
fn a_scene_in_another_folder_keeps_its_outputs_there() {
    let bench = Workbench::with_scene_in_yard();
    bench.run(["plan", "yard/scene.toml"]).done();
    assert!(bench.path("yard/schedule/schedule.html").is_file());
    assert!(!bench.path("schedule").exists());
}

#[test]
fn the_plan_keeps_its_contract() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    let plan = bench.json("schedule/plan.json");
    assert_eq!(text(&plan, "format"), "hillwash.plan/1");
    let scene = &plan["scene"];
    for (key, written) in [("title", "Hop yard"), ("scale", "1:87")] {
        assert_eq!(text(scene, key), written);
    }
    for key in ["view", "lamps", "scale_colour"] {
        assert!(scene.get(key).is_some(), "no {key} in {scene:#}");
    }
    let [surface] = &list(&plan, "surfaces")[..] else {
        panic!("the scene has one surface: {plan:#}");
    };
    assert_eq!(text(surface, "name"), "Kiln wall");
    assert_eq!(text(surface, "treatment"), "coat");
    assert!(
        (number(surface, "area_cm2") - 310.0).abs() < 1e-9,
        "{surface:#}"
    );
    contract::tones(list(surface, "tones"));
    for tone in list(surface, "tones") {
        contract::colour(&tone["planned"]);
        assert!(!list(tone, "recipes").is_empty(), "{tone:#}");
        contract::recipes(list(tone, "recipes"));
    }
    for key in ["steps", "cautions"] {
        let said = list(surface, key);
        assert!(
            !said.is_empty() && said.iter().all(Value::is_string),
            "{key}: {said:?}"
        );
    }
    for key in ["wash", "rock", "bands", "places", "scatter"] {
        assert!(
            surface.get(key).is_none(),
            "{key} does not apply: {surface:#}"
        );
    }
    let pots = list(&plan, "pots");
    assert!(!pots.is_empty(), "{plan:#}");
    for pot in pots {
        assert!(!text(pot, "name").is_empty(), "{pot:#}");
        contract::lab(pot);
        contract::paints(list(pot, "paints"));
        assert!(number(pot, "ml") > 0.0, "{pot:#}");
        assert_eq!(list(pot, "surfaces"), &["Kiln wall"], "{pot:#}");
    }
    assert!(!list(&plan, "shopping").is_empty(), "{plan:#}");
}

#[test]
fn a_plan_begins_with_its_format() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    contract::begins_with_format(&bench.text("schedule/plan.json"), "hillwash.plan/1");
}

#[test]
fn the_plan_on_standard_output_is_the_plan_in_the_file() {
    let bench = Workbench::with_scene();
    let ran = bench.run(["plan", "scene.toml", "--json"]);
    assert_eq!(ran.done().json(), bench.json("schedule/plan.json"), "{ran}");
}

#[test]
fn the_colours_planned_are_those_that_were_drawn() {
    let bench = Workbench::with_scene();
    bench.change(
        "scene.toml",
        "view   =",
        "scale_colour = { rule = \"none\" }\nview   =",
    );
    planned(&bench, &[]);
    let plan = bench.json("schedule/plan.json");
    let [brick, slate] = &list(&plan["surfaces"][0], "tones")[..] else {
        panic!("two colours were drawn: {plan:#}");
    };
    for (tone, drawn, share, paint) in [
        (brick, BRICK, 0.75, "brick red"),
        (slate, SLATE, 0.25, "slate grey"),
    ] {
        assert!(contract::difference(tone, drawn) < FLAT, "{tone:#}");
        assert!(
            contract::difference(&tone["planned"], drawn) < FLAT,
            "{tone:#}"
        );
        assert!((number(tone, "share") - share).abs() < 1e-6, "{tone:#}");
        let first = list(&tone["recipes"][0], "paints");
        assert_eq!(
            (first.len(), text(&first[0], "name")),
            (1, paint),
            "{tone:#}"
        );
    }
}

#[test]
fn the_table_has_a_header_and_the_mark_in_every_row() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    let (header, rows) = table(&bench, "schedule/schedule.csv");
    for column in ["format", "surface", "paint", "parts", "share", "planned"] {
        assert!(
            header.iter().any(|c| c == column),
            "no column {column}: {header:?}"
        );
    }
    let plan = bench.json("schedule/plan.json");
    let paints: usize = list(&plan["surfaces"][0], "tones")
        .iter()
        .map(|tone| list(&tone["recipes"][0], "paints").len())
        .sum();
    assert_eq!(
        rows.len(),
        paints,
        "one row for each paint of each tone's first mix"
    );
    for row in &rows {
        assert_eq!(row.get(0), Some("hillwash.schedule/1"), "{row:?}");
        assert_eq!(row.get(1), Some("Kiln wall"), "{row:?}");
        assert_eq!(row.len(), header.len(), "{row:?}");
    }
}

#[test]
fn the_page_carries_the_plan() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    let page = bench.text("schedule/schedule.html");
    let carried: Value = serde_json::from_str(data_block(&page)).unwrap();
    assert_eq!(carried, bench.json("schedule/plan.json"));
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let bench = Workbench::with_scene();
    planned(&bench, &["--out", "first"]);
    planned(&bench, &["--out", "second"]);
    for (name, bytes) in outputs(&bench, "first") {
        assert!(
            bytes == bench.bytes(&format!("second/{name}")),
            "{name} differs"
        );
    }
}

#[test]
fn the_date_is_the_one_that_was_given() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    assert_eq!(
        bench.json("schedule/plan.json")["scene"]["date"],
        "2026-03-01"
    );
    assert!(bench.text("schedule/schedule.html").contains("2026-03-01"));
}

#[test]
fn a_second_run_replaces_its_own_files() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    bench.write("schedule/notes.txt", "the kiln wants a second coat");
    let names = bench.names();
    bench.change("scene.toml", "Hop yard", "Malt yard");
    bench.change("scene.toml", "Kiln wall", "Malting wall");
    planned(&bench, &[]);
    assert_eq!(bench.names(), names, "nothing more lies there");
    assert_eq!(
        bench.text("schedule/notes.txt"),
        "the kiln wants a second coat"
    );
    for (name, bytes) in outputs(&bench, "schedule") {
        let text = String::from_utf8(bytes).unwrap();
        assert!(
            text.contains("Malting wall") && !text.contains("Kiln wall"),
            "{name}"
        );
    }
}

#[test]
fn a_second_run_replaces_a_table_without_a_mix() {
    let bench = Workbench::with_scene();
    bench.write(
        "paints.csv",
        "name,hex,medium\nclear coat,#eeeeee,varnish\n",
    );
    planned(&bench, &[]);
    planned(&bench, &[]);
}

#[test]
fn a_file_of_someone_else_is_left_alone_and_named() {
    for foreign in OUTPUTS {
        let bench = Workbench::with_scene();
        bench.write(&format!("schedule/{foreign}"), "<p>my own notes</p>");
        let before = bench.contents();
        bench
            .run(["plan", "scene.toml"])
            .refused()
            .tells(foreign)
            .tells("which this program did not write")
            .tells("hint: move it away")
            .tells("--force");
        assert_eq!(bench.contents(), before, "{foreign}");
    }
}

#[test]
fn force_writes_over_a_file_of_someone_else() {
    let bench = Workbench::with_scene();
    for foreign in OUTPUTS {
        bench.write(&format!("schedule/{foreign}"), "<p>my own notes</p>");
    }
    planned(&bench, &["--force"]);
    for (name, bytes) in outputs(&bench, "schedule") {
        let text = String::from_utf8(bytes).unwrap();
        assert!(
            text.contains("Kiln wall") && !text.contains("my own notes"),
            "{name}"
        );
    }
}

#[test]
fn a_run_that_fails_leaves_the_earlier_outputs_and_nothing_else() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    let whole = bench.bytes("kiln.png");
    for broken in [&whole[..whole.len() / 2], b"a shopping list", b""] {
        bench.write("kiln.png", broken);
        let before = bench.contents();
        bench
            .run(["plan", "scene.toml"])
            .refused()
            .tells("kiln.png");
        assert_eq!(bench.contents(), before);
    }
}

#[test]
fn a_run_that_cannot_write_one_output_replaces_none() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    bench.remove("schedule/schedule.csv");
    bench.write("schedule/schedule.csv/notes.txt", "a folder in the way");
    bench.change("scene.toml", "Hop yard", "Malt yard");
    let before = bench.contents();
    for more in [&[][..], &["--force"]] {
        let ran = bench.run(["plan", "scene.toml"].iter().chain(more));
        ran.refused().tells("schedule.csv");
        let now = bench.contents();
        assert!(now.keys().eq(before.keys()), "{ran}");
        for (name, bytes) in &before {
            assert!(now[name] == *bytes, "{name} was changed{ran}");
        }
    }
}

#[test]
fn another_list_of_paints_can_be_mixed_from() {
    let bench = Workbench::with_scene();
    bench.write(
        "club.csv",
        "name,hex\nclub brown,#7a5b48\nclub grey,#8a8c89\n",
    );
    planned(&bench, &["--paints", "club.csv"]);
    let plan = bench.json("schedule/plan.json");
    for line in list(&plan, "shopping") {
        let mixed = text(line, "purpose") == "paint";
        assert_eq!(mixed, text(line, "paint").starts_with("club "), "{line:#}");
    }
    assert!(
        bench
            .text("schedule/schedule.html")
            .contains("club.csv, 2 paints")
    );
    assert_eq!(
        text(&plan["scene"], "paints"),
        "club.csv",
        "the list that was used is named"
    );
}

/// Names that would do harm where they are taken for anything but text.
fn hostile_names() -> Vec<String> {
    [
        "</script><img src=x onerror=alert(1)>",
        "\" onmouseover=\"alert(2)",
        "' onfocus='alert(3)' x='",
        "</title></style><script>alert(4)</script>",
        "{{ 7 * 7 }} {% raw %} <!-- ]]> &lt;b&gt;",
        "llaw nlik\u{200f} \u{2028}\u{2029}",
        "🧱🧱🏽‍♂️ e\u{301}",
    ]
    .map(str::to_owned)
    .into_iter()
    .chain([format!("{}>", "<b".repeat(150))])
    .collect()
}

/// As a TOML text.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

/// A scene with a surface for each name; its title and its photo bear all of them.
fn scene_of(names: &[String]) -> String {
    let all = quoted(&names.join(" "));
    let mut scene = format!(
        "title = {all}\nscale = \"1:87\"\nlamps = \"LED-B3\"\npaints = \"paints.csv\"\n\
         [photos.{all}]\nfile = \"kiln.png\"\n"
    );
    for name in names {
        scene.extend([
            "[[surface]]\nname = ",
            &quoted(name),
            "\nphoto = ",
            &all,
            "\n",
        ]);
    }
    scene
}

/// The two paints that the drawn wall needs and one that is not mixed; each bears all names.
fn paints_of(names: &[String]) -> String {
    let all = names.join(" ").replace('"', "\"\"");
    format!(
        "name,hex,effect\n\"{all}, one\",#93503d,\n\"{all}, two\",#565b60,\n\"{all}, three\",#888888,metallic\n"
    )
}

/// Every tag of a page with the names of its attributes: what a browser would build, whatever the texts between.
fn skeleton(page: &str) -> Vec<String> {
    let mut tags = Vec::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let mut tag = String::new();
        let mut quote = None;
        let mut end = rest.len();
        for (at, c) in rest.char_indices() {
            match (quote, c) {
                (None, '>') => {
                    end = at;
                    break;
                }
                (None, '"' | '\'') => quote = Some(c),
                (None, _) => tag.push(c),
                (Some(open), _) if open == c => quote = None,
                (Some(_), _) => {}
            }
        }
        tags.push(tag);
        rest = &rest[end..];
    }
    tags
}

#[test]
fn hostile_names_are_text_and_nothing_else() {
    let names = hostile_names();
    let harmless: Vec<String> = (1..=names.len()).map(|i| format!("name {i}")).collect();
    let mut skeletons = Vec::new();
    for names in [&harmless, &names] {
        let bench = Workbench::with_scene();
        bench.write("scene.toml", scene_of(names));
        bench.write("paints.csv", paints_of(names));
        planned(&bench, &[]);
        let page = bench.text("schedule/schedule.html");
        let carried: Value = serde_json::from_str(data_block(&page)).unwrap();
        let plan = bench.json("schedule/plan.json");
        assert_eq!(carried, plan);
        let found: Vec<&str> = list(&plan, "surfaces")
            .iter()
            .map(|s| text(s, "name"))
            .collect();
        assert_eq!(found, names.iter().map(|n| n.trim()).collect::<Vec<_>>());
        assert_eq!(
            page.matches("</script").count(),
            2,
            "one block of data, one of script"
        );
        let (_, rows) = table(&bench, "schedule/schedule.csv");
        assert!(rows.len() >= names.len(), "every surface has its rows");
        skeletons.push(skeleton(&page));
    }
    for (harmless, hostile) in skeletons[0].iter().zip(&skeletons[1]) {
        assert_eq!(hostile, harmless, "a name became markup");
    }
    assert_eq!(skeletons[0].len(), skeletons[1].len());
}

#[test]
fn a_page_runs_its_own_script_only_and_asks_for_nothing() {
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    let page = bench.text("schedule/schedule.html");
    assert!(
        page.contains("default-src 'none'"),
        "its policy forbids all but its own content"
    );
    assert!(
        page.contains("script-src 'sha256-") && !page.contains("unsafe-"),
        "what runs is named by its hash"
    );
    let tags = skeleton(&page);
    assert!(tags.len() > 50, "the page was taken apart");
    for tag in &tags {
        let name = tag.split_whitespace().next().unwrap_or_default();
        assert!(
            !["iframe", "object", "embed", "link", "base", "form"].contains(&name),
            "<{tag}>"
        );
        assert!(
            !tag.split_whitespace().any(|a| a.starts_with("on")),
            "<{tag}>"
        );
    }
    for (at, _) in page
        .match_indices("href=\"")
        .chain(page.match_indices("src=\""))
    {
        let (_, address) = page[at..].split_once('"').unwrap_or_default();
        assert!(
            address.starts_with('#') || address.starts_with("data:image/"),
            "{}",
            &address[..40]
        );
    }
}

#[test]
fn a_spreadsheet_takes_no_name_for_a_formula() {
    let bench = Workbench::with_scene();
    bench.change("scene.toml", "\"Kiln wall\"", "\"=1+1\"");
    bench.change("paints.csv", "brick red", "@SUM(1)");
    planned(&bench, &[]);
    let (_, rows) = table(&bench, "schedule/schedule.csv");
    let cells: Vec<&str> = rows.iter().flat_map(csv::StringRecord::iter).collect();
    assert!(cells.contains(&"'=1+1"), "{cells:?}");
    assert!(cells.contains(&"'@SUM(1)"), "{cells:?}");
    for cell in cells {
        assert!(!cell.starts_with(['=', '@', '+']), "{cell}");
    }
}

/// The pictures a page carries.
fn pictures_of(page: &str) -> Vec<Vec<u8>> {
    page.split("data:image/jpeg;base64,")
        .skip(1)
        .map(|rest| {
            STANDARD
                .decode(rest.split('"').next().unwrap_or_default())
                .unwrap_or_default()
        })
        .collect()
}

fn holds(bytes: &[u8], part: &str) -> bool {
    bytes
        .windows(part.len())
        .any(|window| window == part.as_bytes())
}

#[test]
fn what_a_photo_tells_of_its_maker_and_its_place_never_travels() {
    let secret = "Taken-by-Mrs-Thorne-at-home";
    let photo = with_segments(
        &jpeg(&stripes(32, &[(BRICK, 96), (SLATE, 32)])),
        &[
            (0xe1, exif_body(&telling_exif(secret))),
            (
                0xe1,
                format!("http://ns.adobe.com/xap/1.0/\0<x>{secret}</x>").into_bytes(),
            ),
            (0xfe, secret.as_bytes().to_vec()),
        ],
    );
    assert!(holds(&photo, secret), "the photo does tell");
    let bench = Workbench::with_scene();
    bench.write("kiln.jpg", &photo);
    bench.change("scene.toml", "kiln.png", "kiln.jpg");
    let ran = bench.run(["plan", "scene.toml"]);
    ran.done();
    assert!(
        !ran.stdout().contains(secret) && !ran.stderr().contains(secret),
        "{ran}"
    );
    for (name, bytes) in outputs(&bench, "schedule") {
        assert!(!holds(&bytes, secret), "{name}");
    }
    let pictures = pictures_of(&bench.text("schedule/schedule.html"));
    assert!(
        pictures.len() >= 2,
        "the photo and the part of it are shown"
    );
    for picture in pictures {
        assert!(
            image::load_from_memory(&picture).is_ok(),
            "a picture that can be seen"
        );
        assert!(
            !holds(&picture, secret) && !holds(&picture, "Exif"),
            "{} bytes",
            picture.len()
        );
    }
}

#[test]
fn no_output_tells_where_the_scene_lies() {
    let bench = Workbench::with_scene();
    let scene = bench.path("scene.toml");
    bench.run(["plan".as_ref(), scene.as_os_str()]).done();
    for (name, bytes) in outputs(&bench, "schedule") {
        assert!(!holds(&bytes, &bench.mark()), "{name}");
    }
}

#[test]
fn no_output_tells_where_the_paint_list_lies() {
    let bench = Workbench::with_scene();
    let paints = bench.path("paints.csv");
    bench
        .run([
            "plan".as_ref(),
            "scene.toml".as_ref(),
            "--paints".as_ref(),
            paints.as_os_str(),
        ])
        .done();
    for (name, bytes) in outputs(&bench, "schedule") {
        assert!(!holds(&bytes, &bench.mark()), "{name}");
    }
}

#[test]
fn the_outputs_are_the_same_however_the_scene_is_named() {
    let bench = Workbench::with_scene_in_yard();
    bench.change(
        "yard/scene.toml",
        "view   =",
        "lamps = \"LED-B3\"\nview   =",
    );
    for (scene, out) in [
        ("yard/scene.toml", "first"),
        ("yard/../yard/scene.toml", "second"),
    ] {
        bench
            .run(["plan", scene, "--out", out].iter().chain(&DATED))
            .done();
    }
    for (name, bytes) in outputs(&bench, "first") {
        assert!(
            bytes == bench.bytes(&format!("second/{name}")),
            "{name} differs"
        );
    }
}

#[test]
fn quiet_says_the_answer_alone() {
    let bench = Workbench::with_scene();
    let usual = bench.run(["plan", "scene.toml"]);
    usual
        .done()
        .tells("reading 1 photo")
        .says("What is uncertain");
    let quiet = bench.run(["plan", "scene.toml", "--quiet"]);
    quiet.done().says("First colours").says("schedule.html");
    assert!(quiet.stderr().is_empty(), "{quiet}");
    assert!(!quiet.stdout().contains("What is uncertain"), "{quiet}");
}

#[test]
fn the_brewery_yard_is_planned_with_its_eight_surfaces() {
    let bench = Workbench::new();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard");
    bench.copy_folder(&sample, "yard");
    bench.run(["plan", "yard/scene.toml"]).done().says("8");
    let plan = bench.json("yard/schedule/plan.json");
    let names: Vec<&str> = list(&plan, "surfaces")
        .iter()
        .map(|s| text(s, "name"))
        .collect();
    assert_eq!(
        names,
        [
            "Yard wall",
            "Brewhouse wall",
            "Brewhouse roof",
            "Hop store cladding",
            "Yard cobbles",
            "Quarry outcrop",
            "Hillside",
            "Trees behind the hop store",
        ]
    );
    for surface in list(&plan, "surfaces") {
        contract::tones(list(surface, "tones"));
        for tone in list(surface, "tones") {
            contract::recipes(list(tone, "recipes"));
        }
    }
    let page = bench.bytes("yard/schedule/schedule.html");
    // A schedule is passed on by message: it stays below 1.3 megabytes.
    assert!(page.len() < 1_300_000, "{} bytes", page.len());
}

#[test]
fn what_does_not_apply_is_absent_from_the_plan() {
    fn nulls(value: &Value) -> usize {
        match value {
            Value::Null => 1,
            Value::Array(all) => all.iter().map(nulls).sum(),
            Value::Object(all) => all.values().map(nulls).sum(),
            _ => 0,
        }
    }
    let bench = Workbench::with_scene();
    planned(&bench, &[]);
    let plan = bench.json("schedule/plan.json");
    assert_eq!(nulls(&plan), 0, "{plan}");
}
