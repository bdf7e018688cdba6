//! `mix`: recipes for a colour, and `mix --try`: the colour of a pot.

use crate::contract::{self, list, number, text};
use crate::workbench::{Run, Workbench};
use hillwash::colour::delta_e00;
use serde_json::Value;
use std::collections::BTreeSet;

/// A listed colour is its own mix; what is left is the rounding of the answer.
const THE_SAME: f64 = 0.01;
/// What a mix and its base may differ by when they should be alike: the rounding of the answer, and no more.
const ALIKE: f64 = 0.01;

/// About the least that the eye tells apart side by side, CIEDE2000.
const HARDLY_SEEN: f64 = 1.0;
/// A pot of a strong dark paint.
const BLACK: [&str; 5] = ["mix", "--paints", "paints.csv", "--try", "1 ivory black"];
/// A pot of middling paints.
const BROWN: [&str; 5] = [
    "mix",
    "--paints",
    "paints.csv",
    "--try",
    "2 brick red, 1 slate grey",
];

/// The list that `mix` falls back on.
const STARTER_LIST: &str = include_str!("../../sample-photos/brewery-yard/paints.csv");

fn json_of(bench: &Workbench, arguments: &[&str]) -> (Value, Run) {
    let ran = bench.run(arguments.iter().copied().chain(["--json"]));
    (ran.done().json(), ran)
}

#[test]
fn the_answer_to_a_colour_keeps_its_contract() {
    let bench = Workbench::with_scene();
    let (answer, ran) = json_of(&bench, &["mix", "#7a5b48", "--paints", "paints.csv"]);
    contract::begins_with_format(&ran.stdout(), "hillwash.mix/1");
    contract::colour(&answer["target"]);
    assert_eq!(text(&answer["target"], "hex"), "#7a5b48");
    assert!(!list(&answer, "recipes").is_empty(), "{ran}");
    contract::recipes(list(&answer, "recipes"));
}

#[test]
fn the_answer_to_a_pot_keeps_its_contract() {
    let bench = Workbench::with_scene();
    let pot = "3 brick red, 1 titanium white";
    let (answer, ran) = json_of(&bench, &["mix", "--try", pot, "--paints", "paints.csv"]);
    contract::begins_with_format(&ran.stdout(), "hillwash.try/1");
    contract::colour(&answer);
    assert!(number(&answer, "uncertainty_de") > 0.0, "{ran}");
    let paints: Vec<(&str, f64)> = list(&answer, "paints")
        .iter()
        .map(|p| (text(p, "name"), number(p, "parts")))
        .collect();
    assert_eq!(paints, [("brick red", 3.0), ("titanium white", 1.0)]);
    assert!(answer.get("over").is_none(), "nothing was washed over{ran}");
}

/// A let-down bluer than any paint of that near-black can give.
const CONTRADICTED: &str = "name,hex,medium,let_down_hex,let_down_parts_white\nnight,#3b3839,acrylic,#1b4188,3\nwhite,#f2f1ec,acrylic,,\nclay,#a05040,acrylic,,\n";

const TOLD: &str = "night: no paint of this colour gives its let-down";

#[test]
fn a_mix_says_where_a_paint_and_its_let_down_contradict_each_other() {
    let bench = Workbench::with_scene();
    bench.write("p.csv", CONTRADICTED);
    for asked in [
        &["mix", "--try", "1 night, 3 white"][..],
        &["mix", "#406080"][..],
    ] {
        let asked = [asked, &["--paints", "p.csv"]].concat();
        bench.run(asked.iter().copied()).done().says(TOLD);
        let (answer, ran) = json_of(&bench, &asked);
        let told = list(&answer, "doubts")[0].as_str();
        assert!(told.is_some_and(|told| told.starts_with(TOLD)), "{ran}");
    }
    // Nothing is told of paints that are not in the pot.
    let (answer, ran) = json_of(
        &bench,
        &["mix", "--try", "1 clay, 3 white", "--paints", "p.csv"],
    );
    assert!(answer.get("doubts").is_none(), "{ran}");
}

#[test]
fn the_answer_to_a_wash_keeps_its_contract() {
    let bench = Workbench::with_scene();
    let wash = ["--over", "#a4523a", "--thin", "40", "--passes", "2"];
    let (answer, ran) = json_of(&bench, &[&BLACK[..], &wash].concat());
    let over = &answer["over"];
    assert!(
        contract::difference(&over["base"], [0xa4, 0x52, 0x3a]) < ALIKE,
        "{ran}"
    );
    let [base, flat, recess] = ["base", "flat", "recess"].map(|film| contract::lab(&over[film]));
    assert!(flat.l < base.l, "black darkens the flats{ran}");
    assert!(recess.l < flat.l, "it lies thicker in the recesses{ran}");
}

#[test]
fn a_wash_over_a_listed_paint_is_one_over_its_colour() {
    let bench = Workbench::with_scene();
    let (by_name, _) = json_of(&bench, &[&BLACK[..], &["--over", "Brick red"]].concat());
    let (by_colour, _) = json_of(&bench, &[&BLACK[..], &["--over", "#93503d"]].concat());
    assert_eq!(by_name["over"], by_colour["over"]);
}

#[test]
fn a_wash_leaves_the_more_of_its_base_the_thinner_it_is() {
    let bench = Workbench::with_scene();
    let differences: Vec<f64> = ["4", "40", "1000"]
        .into_iter()
        .map(|thin| {
            let wash = ["--over", "#a4523a", "--thin", thin];
            let (answer, _) = json_of(&bench, &[&BLACK[..], &wash].concat());
            let over = &answer["over"];
            delta_e00(contract::lab(&over["base"]), contract::lab(&over["flat"])).0
        })
        .collect();
    assert!(
        differences.is_sorted_by(|more, less| more > less),
        "{differences:?}"
    );
}

#[test]
fn a_wash_of_hardly_any_paint_leaves_its_base_as_it_is() {
    let bench = Workbench::with_scene();
    // Not near-black bases: the film model ends at L* 22.
    for base in ["#a4523a", "#808080", "#d8d2c0"] {
        let wash = ["--over", base, "--thin", "1000"];
        let (answer, ran) = json_of(&bench, &[&BROWN[..], &wash].concat());
        let over = &answer["over"];
        let moved = delta_e00(contract::lab(&over["base"]), contract::lab(&over["flat"])).0;
        assert!(moved < HARDLY_SEEN, "{base} moved by {moved}{ran}");
    }
}

#[test]
fn a_wash_so_thick_that_it_hides_its_base_has_the_colour_of_its_pot() {
    let bench = Workbench::with_scene();
    let wash = [
        "--over", "#a4523a", "--thin", "0", "--passes", "20", "--pool", "32",
    ];
    for pot in [BROWN, BLACK] {
        let (answer, ran) = json_of(&bench, &[&pot[..], &wash].concat());
        let recess = contract::lab(&answer["over"]["recess"]);
        let apart = delta_e00(contract::lab(&answer), recess).0;
        assert!(apart < HARDLY_SEEN, "{apart} apart{ran}");
    }
}

#[test]
fn the_starter_list_is_named_unless_quiet_is_asked() {
    let bench = Workbench::with_scene();
    bench.run(["mix", "#7a5b48"]).done().tells("starter list");
    let quiet = bench.run(["mix", "#7a5b48", "--quiet"]);
    assert!(quiet.done().stderr().is_empty(), "{quiet}");
    quiet.says("#7a5b48");
    let own = bench.run(["mix", "#7a5b48", "--paints", "paints.csv"]);
    assert!(own.done().stderr().is_empty(), "{own}");
}

#[test]
fn quiet_does_not_silence_a_problem() {
    let bench = Workbench::new();
    bench
        .run(["mix", "brownish", "--quiet"])
        .refused()
        .tells("COLOUR: found \"brownish\"");
}

#[test]
fn enamel_and_acrylic_are_not_stirred_together() {
    let bench = Workbench::new();
    bench
        .run(["mix", "--try", "3 raw umber, 1 tile red, dark"])
        .refused()
        .tells("--try: found raw umber")
        .tells("tile red, dark (enamel) in one pot")
        .tells("expected paints that may be stirred together")
        .tells("hint: lay one over the other");
}

#[test]
fn no_recipe_stirs_enamel_with_acrylic() {
    let bench = Workbench::new();
    let media: Vec<(String, String)> = starter_paints()
        .into_iter()
        .map(|paint| (paint.name, paint.medium))
        .collect();
    // Between an enamel of the list and its acrylics, where both would help.
    for colour in ["#5d3d36", "#60443c", "#86847a", "#7f7d72"] {
        let (answer, ran) = json_of(&bench, &["mix", colour]);
        for recipe in list(&answer, "recipes") {
            let stirred: BTreeSet<bool> = list(recipe, "paints")
                .iter()
                .map(|paint| {
                    let name = text(paint, "name");
                    media
                        .iter()
                        .any(|(known, medium)| known == name && medium == "enamel")
                })
                .collect();
            assert_eq!(stirred.len(), 1, "{recipe:#}{ran}");
        }
    }
}

#[test]
fn a_paint_that_is_not_listed_gets_the_nearest_name() {
    let bench = Workbench::new();
    bench
        .run(["mix", "--try", "3 raw umbre, 1 titanium white"])
        .refused()
        .tells("--try: found the paint \"raw umbre\"")
        .tells("hint: did you mean \"raw umber\"?");
    bench
        .run(["mix", "--try", "1 raw umber", "--over", "brick rad"])
        .refused()
        .tells("--over: found the paint \"brick rad\"")
        .tells("hint: did you mean \"brick red\"?");
}

#[test]
fn a_pot_that_cannot_be_is_refused() {
    let bench = Workbench::new();
    for (pot, told) in [
        ("raw umber", "expected parts and paints such as"),
        ("0 raw umber", "expected at least one"),
        ("2 titanium white, 1 dull steel", "its flakes do not mix"),
        (
            "2 titanium white, 1 matt varnish, clear",
            "is left out of mixes",
        ),
        ("1 brick dust, powder", "is left out of mixes"),
    ] {
        let ran = bench.run(["mix", "--try", pot]);
        ran.refused().tells("--try: found").tells(told);
        assert!(ran.stdout().is_empty(), "{ran}");
    }
}

#[test]
fn a_colour_that_cannot_be_read_is_refused() {
    let bench = Workbench::new();
    for (colour, told) in [
        ("#7a5g48", "\"g\" is not a hex digit"),
        ("#7a5b4", "it has 5 digits"),
        ("#7a5b4880", "expected an opaque colour"),
        ("brownish", "expected a colour such as #7a5b48"),
        ("", "expected a colour such as #7a5b48"),
        ("lab(48 12", "expected a colour such as #7a5b48"),
    ] {
        let ran = bench.run(["mix", colour]);
        ran.refused()
            .tells(&format!("COLOUR: found \"{colour}\""))
            .tells(told);
        assert!(ran.stdout().is_empty(), "{ran}");
    }
}

#[test]
fn with_one_paint_at_most_every_recipe_is_one_paint() {
    let bench = Workbench::new();
    let (answer, ran) = json_of(&bench, &["mix", "#7a5b48", "--most-paints", "1"]);
    let recipes = list(&answer, "recipes");
    assert!(recipes.len() > 1, "{ran}");
    let names: BTreeSet<&str> = recipes
        .iter()
        .map(|recipe| {
            let paints = list(recipe, "paints");
            assert_eq!(paints.len(), 1, "{ran}");
            text(&paints[0], "name")
        })
        .collect();
    assert_eq!(
        names.len(),
        recipes.len(),
        "each recipe is another paint{ran}"
    );
}

#[test]
fn no_recipe_has_more_parts_than_allowed() {
    let bench = Workbench::new();
    for most in [2.0, 5.0] {
        let limit = format!("{most}");
        let (answer, ran) = json_of(&bench, &["mix", "#a08a70", "--most-parts", &limit]);
        contract::recipes(list(&answer, "recipes"));
        for recipe in list(&answer, "recipes") {
            let parts: f64 = list(recipe, "paints")
                .iter()
                .map(|p| number(p, "parts"))
                .sum();
            assert!(parts <= most, "{recipe:#}{ran}");
        }
    }
}

#[test]
fn ranked_by_paper_alone_the_first_recipe_is_the_closest() {
    let bench = Workbench::new();
    let (answer, ran) = json_of(&bench, &["mix", "#7a5b48", "--exact"]);
    let differences: Vec<f64> = list(&answer, "recipes")
        .iter()
        .map(|recipe| number(recipe, "de2000"))
        .collect();
    assert!(differences.is_sorted(), "{differences:?}{ran}");
    let (soundest, _) = json_of(&bench, &["mix", "#7a5b48"]);
    for recipe in list(&soundest, "recipes") {
        assert!(
            differences[0] <= number(recipe, "de2000"),
            "{recipe:#}{ran}"
        );
    }
}

/// A paint of the starter list, as far as these tests need it.
struct Listed {
    name: String,
    hex: String,
    medium: String,
    mixed: bool,
}

fn starter_paints() -> Vec<Listed> {
    let mut table = csv::Reader::from_reader(STARTER_LIST.as_bytes());
    let header = table.headers().cloned().unwrap_or_default();
    let rows: Vec<csv::StringRecord> = table.records().filter_map(Result::ok).collect();
    assert!(rows.len() > 30, "the starter list has been read");
    rows.iter()
        .map(|row| {
            let cell = |column: &str| {
                let at = header.iter().position(|c| c == column);
                at.and_then(|at| row.get(at)).unwrap_or_default().to_owned()
            };
            let apart = ["powder", "primer", "varnish"].contains(&cell("medium").as_str());
            Listed {
                name: cell("name"),
                hex: cell("hex"),
                medium: cell("medium"),
                mixed: !apart && cell("effect").is_empty() && cell("mixable") != "no",
            }
        })
        .collect()
}

#[test]
fn a_listed_colour_asked_for_exactly_is_that_paint_alone() {
    let bench = Workbench::new();
    // An ink tints a coat and is none.
    let coats = |paint: &&Listed| paint.mixed && paint.medium != "ink";
    for paint in starter_paints().iter().filter(coats) {
        let (answer, ran) = json_of(&bench, &["mix", &paint.hex]);
        let recipes = list(&answer, "recipes");
        let alone = |recipe: &Value| {
            let [only] = &list(recipe, "paints")[..] else {
                return false;
            };
            text(only, "name") == paint.name && number(recipe, "de2000") < THE_SAME
        };
        // A paint of another medium than most of the list may stand behind a mix that needs no other thinner.
        let behind = usize::from(text(&recipes[0], "family") == "water-borne paint");
        let asked = match paint.medium.as_str() {
            "enamel" | "oil" | "lacquer" => &recipes[..=behind],
            _ => &recipes[..1],
        };
        assert!(asked.iter().any(alone), "{}{ran}", paint.name);
    }
}

#[test]
fn fifty_different_colours_all_get_recipes() {
    let bench = Workbench::new();
    let corners = [
        "#000000", "#ffffff", "#ff0000", "#00ff00", "#0000ff", "#ffff00", "#00ffff", "#ff00ff",
    ];
    // Steps that share no factor with 256 visit each channel evenly and repeat no colour.
    let spread = (1_u32..=42).map(|i| {
        let [r, g, b] = [37, 91, 151].map(|step| i * step % 256);
        format!("#{r:02x}{g:02x}{b:02x}")
    });
    let colours: BTreeSet<String> = corners
        .into_iter()
        .map(str::to_owned)
        .chain(spread)
        .collect();
    assert_eq!(colours.len(), 50, "fifty different colours");
    for colour in colours {
        let (answer, ran) = json_of(&bench, &["mix", &colour]);
        let recipes = list(&answer, "recipes");
        assert!(!recipes.is_empty(), "{ran}");
        contract::recipes(recipes);
        for recipe in recipes {
            let paints = list(recipe, "paints");
            let parts: f64 = paints.iter().map(|p| number(p, "parts")).sum();
            assert!(paints.len() <= 3 && parts <= 12.0, "{recipe:#}{ran}");
        }
    }
}

#[test]
fn a_spreadsheet_export_mixes_like_a_plain_table() {
    let bench = Workbench::with_scene();
    let plain = "name,hex,strength\number,#5b4b39,0.7\nwhite,#f2f1ec,\n";
    let exported = "\u{feff}name;hex;strength\r\n\r\number;#5b4b39;0,7\r\n\"white\";#f2f1ec;\r\n";
    bench.write("plain.csv", plain);
    bench.write("exported.csv", exported);
    let (from_plain, _) = json_of(&bench, &["mix", "#a09888", "--paints", "plain.csv"]);
    let (from_exported, _) = json_of(&bench, &["mix", "#a09888", "--paints", "exported.csv"]);
    assert_eq!(from_plain["recipes"], from_exported["recipes"]);
}

#[test]
fn the_same_question_gets_the_same_answer() {
    let bench = Workbench::new();
    let (first, _) = json_of(&bench, &["mix", "#7a5b48"]);
    let (second, _) = json_of(&bench, &["mix", "#7a5b48"]);
    assert_eq!(first, second);
    let (written_otherwise, _) = json_of(&bench, &["mix", " #7A5B48 "]);
    assert_eq!(
        first, written_otherwise,
        "blanks and capitals are no matter"
    );
}

#[test]
fn what_goes_with_a_pot_is_refused_with_a_colour_and_the_other_way_round() {
    let bench = Workbench::new();
    bench
        .run(["mix", "#7a5b48", "--over", "#ffffff"])
        .refused()
        .tells("--over");
    bench
        .run(["mix", "--try", "1 raw umber", "--batch", "12 ml"])
        .refused()
        .tells("--batch");
}

#[test]
fn a_batch_is_never_less_than_a_drop_a_part() {
    /// A drop, millilitres. Common practice, no source.
    const DROP: f64 = 0.05;
    let bench = Workbench::new();
    let asked = ["mix", "#7a5b48", "--batch", "0.01 ml"];
    bench
        .run(asked)
        .done()
        .says("less than one drop a part (0.05 ml, common practice)")
        .says("(0.05 ml, 1 drop,");
    let told = bench.run([&asked[..], &["--json"]].concat()).done().json();
    for recipe in told["recipes"].as_array().into_iter().flatten() {
        let paints = recipe["paints"].as_array().cloned().unwrap_or_default();
        let of = |key: &str| -> f64 { paints.iter().filter_map(|p| p[key].as_f64()).sum() };
        assert!((of("ml") - of("parts") * DROP).abs() < 1e-6, "{recipe:#}");
        assert!((of("ml") - recipe["batch_ml"].as_f64().unwrap_or(0.0)).abs() < 1e-6);
    }
    let plenty = bench.run(["mix", "#7a5b48", "--batch", "30 ml"]);
    assert!(!plenty.done().stdout().contains("less than one drop"));
}
