//! What the bench is told is true there: pots hold what they serve, cards show what is brushed, shortages are told, one
//! order of work holds for all surfaces.

use crate::contract::{lab, list, number, text};
use crate::pictures::{png, stripes};
use crate::workbench::Workbench;
use hillwash::colour::delta_e00;
use serde_json::Value;
use std::path::Path;

/// Tones further from a pot's colour than this do not share it (CIEDE2000): the program's own stated rule.
const SHARED: f64 = 2.0;
/// What rounding to three decimals leaves.
const ROUNDING: f64 = 0.01;

/// A kiln wall that is painted clean and washed, and a shed of the same colours.
fn yard() -> Workbench {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    bench.write(
        "scene.toml",
        format!(
            "{scene}\n[surface.wash]\nbase = \"#a4523a\"\nflat = \"#7d4a38\"\nrecess = \"#41362f\"\n\n[[surface]]\nname = \"Shed\"\nphoto = \"kiln\"\nregion = [[0, 0], [1, 0], [1, 1], [0, 1]]\narea = \"90 cm2\"\n"
        ),
    );
    bench
}

fn plan_of(bench: &Workbench, more: &[&str]) -> Value {
    let ran = bench.run(["plan", "scene.toml"].iter().chain(more));
    ran.done();
    bench.json("schedule/plan.json")
}

fn sample_yard() -> Workbench {
    let bench = Workbench::new();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard");
    bench.copy_folder(&sample, ".");
    bench
}

/// Every tone that has a pot, with the pot.
fn potted(plan: &Value) -> Vec<(&Value, &Value)> {
    let pots = list(plan, "pots");
    let tones = list(plan, "surfaces").iter().flat_map(|s| list(s, "tones"));
    tones
        .filter_map(|tone| {
            let number = tone.get("pot")?.as_u64();
            Some((tone, pots.iter().find(|p| p["number"].as_u64() == number)?))
        })
        .collect()
}

#[test]
fn a_pot_serves_only_tones_that_lie_close_to_its_colour() {
    // With one paint on the list every colour comes out as the same mix; that makes no common pot of brick and slate.
    let bench = Workbench::with_scene();
    bench.write("paints.csv", "name,hex\ndull brown,#6b5245\n");
    for (plan, least) in [
        (plan_of(&bench, &[]), 2),
        (plan_of(&sample_yard(), &[]), 10),
    ] {
        let potted = potted(&plan);
        assert!(potted.len() >= least);
        for (tone, pot) in potted {
            let apart = delta_e00(lab(&tone["planned"]), lab(pot)).0;
            assert!(apart <= SHARED + ROUNDING, "{apart}: {tone:#} {pot:#}");
            // Its difference is from its own planned colour, whoever else shares the pot.
            let first = &tone["recipes"][0];
            let own = delta_e00(lab(&tone["planned"]), lab(first)).0;
            assert!((number(first, "de2000") - own).abs() < 0.01, "{tone:#}");
            assert_eq!(
                first["paints"].as_array().map(Vec::len),
                pot["paints"].as_array().map(Vec::len)
            );
        }
    }
}

#[test]
fn a_patch_is_judged_by_the_colour_of_its_own_surface() {
    let bench = Workbench::with_scene();
    bench.write("paints.csv", "name,hex\ndull brown,#6b5245\n");
    let plan = plan_of(&bench, &[]);
    for (at, tone) in list(&plan["surfaces"][0], "tones").iter().enumerate() {
        let planned = text(&tone["planned"], "hex").trim_start_matches('#');
        let channel = |i: usize| u8::from_str_radix(&planned[2 * i..2 * i + 2], 16).unwrap();
        let dried = stripes(40, &[([channel(0), channel(1), channel(2)], 40)]);
        bench.write("dried.png", png(&dried));
        let ran = bench.run([
            "patch",
            "scene.toml",
            "dried.png",
            "--surface",
            "Kiln wall",
            "--tone",
            &(at + 1).to_string(),
            "--json",
        ]);
        let told = ran.json();
        assert!(number(&told, "de2000") < 0.6, "tone {}: {ran}", at + 1);
    }
}

#[test]
fn trim_counts_a_surface_by_its_own_colour() {
    // Two greys 1.9 apart share a pot. A paint 1.5 from the one and 3.4 from the other serves one of them within 2, not both.
    let bench = Workbench::with_scene();
    let ran = bench.run(["trim", "scene.toml", "--within", "30", "--json"]);
    let told = ran.json();
    let words = told.to_string();
    assert!(words.contains("pot"), "{ran}");
    let scene = bench.text("scene.toml");
    bench.write(
        "scene.toml",
        format!(
            "{scene}\n[[surface]]\nname = \"Shed\"\nphoto = \"shed\"\nregion = [[0, 0], [1, 0], [1, 1], [0, 1]]\narea = \"90 cm2\"\n"
        )
        .replace("[[surface]]\nname   = \"Kiln wall\"", "[photos.shed]\nfile = \"shed.png\"\nfrom = \"8 m\"\n\n[[surface]]\nname   = \"Kiln wall\""),
    );
    bench.write("kiln.png", png(&stripes(40, &[([0x80, 0x80, 0x80], 80)])));
    bench.write("shed.png", png(&stripes(40, &[([0x84, 0x84, 0x84], 80)])));
    bench.write("paints.csv", "name,hex\ngrey,#7d7d7d\n");
    let ran = bench.run(["trim", "scene.toml", "--within", "2", "--json"]);
    let told = ran.json();
    let jobs: usize = told["tones"].as_array().map_or(0, Vec::len);
    assert_eq!(jobs, 2, "one for each surface that shares the pot: {ran}");
}

#[test]
fn what_is_short_is_told_in_summary_page_data_and_table() {
    let bench = Workbench::with_scene();
    // 8 ml are on the shelf, more is needed, and nobody said how large a pot is.
    bench.change(
        "paints.csv",
        "brick red,#93503d,acrylic,opaque,,20,2.40",
        "brick red,#93503d,acrylic,opaque,3,,",
    );
    let ran = bench.run(["plan", "scene.toml"]);
    let plan = bench.json("schedule/plan.json");
    let line = list(&plan, "shopping")
        .iter()
        .find(|line| text(line, "paint") == "brick red")
        .unwrap();
    let short = number(line, "short_ml");
    assert!(
        (short - (number(line, "needed_ml") - 3.0)).abs() < 0.11 && short > 1.0,
        "{line:#}"
    );
    let told = format!("{short:.1} ml");
    ran.done().says(&format!("Short: brick red {told}"));
    assert!(
        bench
            .text("schedule/schedule.html")
            .contains(&format!("{told} short"))
    );
    let table = bench.text("schedule/schedule.csv");
    assert!(table.lines().next().unwrap().contains("short_ml"));
    assert!(
        table
            .lines()
            .any(|row| row.contains("brick red") && row.contains(&format!(",{short:.1},"))),
        "{table}"
    );
}

#[test]
fn pots_to_buy_are_rounded_up() {
    let bench = Workbench::with_scene();
    bench.change(
        "paints.csv",
        "brick red,#93503d,acrylic,opaque,,20,2.40",
        "brick red,#93503d,acrylic,opaque,0,7,2.40",
    );
    let plan = plan_of(&bench, &[]);
    let line = list(&plan, "shopping")
        .iter()
        .find(|line| text(line, "paint") == "brick red")
        .unwrap();
    // 8.1 ml are short: two pots of 7 ml, one and a bit is none.
    assert!(
        number(line, "short_ml") > 7.0 && number(line, "short_ml") < 10.4,
        "{line:#}"
    );
    assert_eq!(line["pots_to_buy"], 2, "{line:#}");
}

#[test]
#[expect(
    clippy::too_many_lines,
    reason = "one plan and its whole order of work"
)]
fn one_order_of_work_holds_for_all_surfaces_and_keeps_each_one_s_own() {
    let bench = yard();
    let plan = plan_of(&bench, &[]);
    let sittings = list(&plan, "order_of_work");
    let names: Vec<&str> = sittings
        .iter()
        .map(|sitting| text(sitting, "name"))
        .collect();
    assert_eq!(
        names,
        [
            "Clean",
            "Prime",
            "First colours",
            "Second colours",
            "Washes",
            "Seal"
        ]
    );
    assert!(sittings[0].get("wait").is_none());
    assert_eq!(text(&sittings[4], "wait"), "overnight");
    let steps: Vec<&Value> = sittings
        .iter()
        .flat_map(|sitting| list(sitting, "steps"))
        .collect();
    assert_eq!(
        list(steps[0], "surfaces"),
        &["Kiln wall", "Shed"],
        "one cleaning does for both"
    );
    assert_eq!(
        steps
            .iter()
            .filter(|step| text(step, "stage") == "prime")
            .count(),
        1
    );
    // The wall is washed, the shed is not; the wash is laid when both are painted.
    let wash = steps
        .iter()
        .position(|step| text(step, "stage") == "washes")
        .unwrap();
    assert_eq!(list(steps[wash], "surfaces"), &["Kiln wall"]);
    let last_paint = steps
        .iter()
        .rposition(|step| text(step, "stage").ends_with("colours"))
        .unwrap();
    assert!(last_paint < wash);
    // The clean base under the wash is what the wall is brushed with, and stands in the order.
    let base = &plan["surfaces"][0]["wash"]["base"]["pot"];
    assert!(
        steps.iter().any(
            |step| &step["pot"] == base && list(step, "surfaces").contains(&"Kiln wall".into())
        )
    );
    // Pots are numbered as work needs them, mixes before bottles.
    let straight: Vec<bool> = list(&plan, "pots")
        .iter()
        .map(|pot| pot["straight"] == true)
        .collect();
    assert!(straight.is_sorted());
    for (at, pot) in list(&plan, "pots").iter().enumerate() {
        assert_eq!(pot["number"], at + 1);
        assert_eq!(pot["straight"] == true, list(pot, "paints").len() == 1);
    }
}

#[test]
fn a_table_row_stands_for_what_is_brushed_and_for_nothing_else() {
    let bench = yard();
    let plan = plan_of(&bench, &[]);
    let table = bench.text("schedule/schedule.csv");
    let wall: Vec<&str> = table
        .lines()
        .filter(|row| row.contains(",Kiln wall,"))
        .collect();
    assert!(wall.iter().any(|row| row.contains(",base,")), "{table}");
    let body = text(&plan["surfaces"][0]["tones"][0]["planned"], "hex");
    assert!(
        wall.iter().all(|row| !row.contains(body)),
        "the wash leads there, no brush: {table}"
    );
}

#[test]
fn a_tone_under_a_wash_says_where_the_wash_really_ends() {
    for (flat, recess, says) in [
        ("", "", "the wash leads there"),
        (
            "flat = \"#2c2622\"\n",
            "recess = \"#1c1917\"\n",
            "the wash ends darker",
        ),
        (
            "flat = \"#e6ddd0\"\n",
            "recess = \"#efe8de\"\n",
            "the wash ends lighter",
        ),
    ] {
        let bench = Workbench::with_scene();
        let scene = bench.text("scene.toml");
        let wash = format!("{scene}\n[surface.wash]\nbase = \"#a4523a\"\n{flat}{recess}");
        bench.write("scene.toml", wash);
        let plan = plan_of(&bench, &[]);
        let surface = &plan["surfaces"][0];
        let body = lab(&surface["tones"][0]["planned"]);
        let ends = ["flat", "recess"].map(|end| lab(&surface["wash"][end]));
        let nearest = ends.iter().map(|end| delta_e00(body, *end).0);
        let off = nearest.fold(f64::INFINITY, f64::min);
        assert_eq!(off <= 5.0, says.ends_with("there"), "{says}: {off}");
        let page = bench.text("schedule/schedule.html");
        assert!(
            page.contains(&format!("not painted: {says}")),
            "{says}: {off}"
        );
    }
}

#[test]
fn fewer_pots_can_be_asked_for_and_their_cost_is_told() {
    let bench = sample_yard();
    let mixes = |plan: &Value| {
        list(plan, "pots")
            .iter()
            .filter(|pot| pot["straight"] == false)
            .count()
    };
    let usual = plan_of(&bench, &[]);
    let ran = bench.run(["plan", "scene.toml", "--pots", "4"]);
    ran.done();
    let fewer = bench.json("schedule/plan.json");
    assert!(mixes(&usual) > 4);
    assert_eq!(mixes(&fewer), 4);
    let told = list(&fewer, "notes").iter().any(|note| {
        note.as_str()
            .is_some_and(|n| n.starts_with("4 mixes instead of"))
    });
    assert!(told, "{ran}");
    // Every tone keeps a pot, and its difference is its own.
    assert_eq!(potted(&usual).len(), potted(&fewer).len());
    for (tone, _) in potted(&fewer) {
        let first = &tone["recipes"][0];
        assert!(
            (number(first, "de2000") - delta_e00(lab(&tone["planned"]), lab(first)).0).abs() < 0.01
        );
    }
}

#[test]
fn the_terminal_ends_in_a_few_lines_and_tells_all_when_asked() {
    let bench = sample_yard();
    let ran = bench.run(["plan", "scene.toml"]);
    ran.done()
        .says(" mixes")
        .says("Short: ")
        .says("schedule.html");
    let lines = ran.stdout().lines().count();
    assert!(lines <= 25, "{lines} lines: {ran}");
    let full = bench.run(["plan", "scene.toml", "--full"]);
    full.done()
        .says("Order of work")
        .says("Quarry outcrop")
        .says("What is uncertain");
    assert!(full.stdout().lines().count() > 60);
}

/// What is sold thin leaves a coat that shows its ground: at most a quarter of an opaque mix is of it. Common practice, no source.
#[test]
fn what_is_sold_thin_is_at_most_a_quarter_of_an_opaque_mix() {
    let bench = Workbench::new();
    bench.write(
        "paints.csv",
        "name,hex,medium,opacity\nwash of earth,#3b2c22,acrylic wash,\nwhite,#f2f1ec,acrylic,opaque\nstone,#a39c8e,acrylic,opaque\n",
    );
    let half = ["mix", "--paints", "paints.csv", "--json", "--try"];
    let ran = bench.run([&half[..], &["1 wash of earth, 1 white"]].concat());
    let half = ran.done().json();
    let ran = bench.run([
        "mix",
        text(&half, "hex"),
        "--paints",
        "paints.csv",
        "--json",
    ]);
    let mut thinned = 0;
    for recipe in list(&ran.done().json(), "recipes") {
        let parts = |thin: bool| -> f64 {
            list(recipe, "paints")
                .iter()
                .filter(|paint| !thin || text(paint, "name") == "wash of earth")
                .map(|paint| number(paint, "parts"))
                .sum()
        };
        assert!(4.0 * parts(true) <= parts(false), "{recipe:#}");
        thinned += usize::from(parts(true) > 0.0);
    }
    assert!(thinned > 0, "a little of it may go in: {half:#}");
}
