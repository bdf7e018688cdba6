//! Measured materials: listed, held in photos as witnesses of their light, and in place of photos.

use crate::contract::{self, difference, list, number, text};
use crate::pictures::{png, stripes};
use crate::workbench::Workbench;
use hillwash::colour::{LabD65, LinearSrgb};
use hillwash::materials::Material;
use std::path::Path;

/// The middle colour of a material under light that is `stops` stops too dark and bluish.
fn seen(name: &str, gains: [f64; 3]) -> [u8; 3] {
    let Some(material) = Material::named(name) else {
        unreachable!("{name} was not measured");
    };
    let [r, g, b] = material.log_light.mean;
    LinearSrgb {
        r: r.exp() * gains[0],
        g: g.exp() * gains[1],
        b: b.exp() * gains[2],
    }
    .encode()
    .0
}

/// Half as light as it should be, and blue.
const DARK_AND_BLUE: [f64; 3] = [0.42, 0.5, 0.58];
const TILES: &str = "clay roof tile, red";
const ASPHALT: &str = "asphalt road, worn";
const CONCRETE: &str = "concrete pavement";

/// Three materials side by side, a third of the picture each.
fn street(bench: &Workbench) {
    let of = |name: &str| (seen(name, DARK_AND_BLUE), 32);
    bench.write(
        "street.png",
        png(&stripes(32, &[of(TILES), of(ASPHALT), of(CONCRETE)])),
    );
}

/// How near the tiles come to their measured colour: they are one of two witnesses.
const NEAR: f64 = 4.0;

#[test]
fn known_materials_mend_light_and_exposure() {
    let bench = Workbench::new();
    street(&bench);
    let ran = bench.run([
        "look",
        "street.png",
        "--material",
        "clay roof tile, red=0.02,0.1,0.3,0.9",
        "--material",
        "Asphalt road, worn=0.36,0.1,0.63,0.9",
        "--region",
        "0.02,0.1,0.3,0.9",
        "--json",
    ]);
    let answer = ran.done().json();
    let photo = &list(&answer, "photos")[0];
    let wanted = LabD65::from(Material::named(TILES).unwrap().typical_light()[2]).to_srgb8();
    let off = difference(&list(photo, "tones")[0], wanted.0);
    assert!(off < NEAR, "{off}{ran}");
    let light = &photo["light"];
    assert_eq!(text(light, "corrected_by"), "materials");
    assert!(
        (-1.3..-0.6).contains(&number(light, "stops_too_light")),
        "{light:#}"
    );
    assert!(number(light, "lightness_uncertainty_de") > 0.0, "{light:#}");
    for witness in list(light, "witnesses") {
        assert_eq!(witness["fits"], true, "{witness:#}");
    }
}

#[test]
fn a_material_that_contradicts_the_others_is_named() {
    let bench = Workbench::new();
    street(&bench);
    bench
        .run([
            "look",
            "street.png",
            "--material",
            "clay roof tile, red=0.02,0.1,0.3,0.9",
            "--material",
            "asphalt road, worn=0.36,0.1,0.63,0.9",
            "--material",
            "asphalt, dark=0.7,0.1,0.98,0.9",
        ])
        .done()
        .says("as asphalt, dark this would be")
        .says("stops too light");
}

#[test]
fn a_material_that_nobody_measured_is_refused_with_the_nearest() {
    let bench = Workbench::new();
    street(&bench);
    for (given, words) in [
        (
            "clay roof tile, rde=0,0,1,1",
            "did you mean \"clay roof tile, red\"",
        ),
        ("clay roof tile, red", "a material and where it is"),
        ("bark=0,0,1", "four fractions"),
    ] {
        bench
            .run(["look", "street.png", "--material", given])
            .refused()
            .tells(words);
    }
}

#[test]
fn all_materials_are_listed() {
    let bench = Workbench::with_scene();
    let ran = bench.run(["materials", "--json", "--paints", "paints.csv"]);
    let answer = ran.done().json();
    contract::begins_with_format(&ran.stdout(), "hillwash.materials/1");
    let all = list(&answer, "materials");
    assert_eq!(all.len(), 24);
    for material in all {
        assert!(number(material, "measured") >= 9.0 && number(material, "nearest_mix_de") >= 0.0);
        assert!(
            text(material, "source").contains("earthlib"),
            "{material:#}"
        );
    }
    bench.run(["materials"]).done().says(TILES).says("n 18");
}

#[test]
fn a_surface_without_a_photo_is_planned_by_what_was_measured() {
    let bench = Workbench::with_scene();
    let mut scene = bench.text("scene.toml");
    scene.push_str("\n[[surface]]\nname = \"Old lane\"\nlike = { from = \"asphalt, dark\", to = \"asphalt road, worn\" }\narea = \"90 cm2\"\n");
    bench.write("scene.toml", scene);
    let ran = bench.run(["plan", "scene.toml"]);
    ran.done();
    let plan = bench.json("schedule/plan.json");
    let lane = list(&plan, "surfaces")
        .iter()
        .find(|s| s["name"] == "Old lane")
        .unwrap();
    let tones = list(lane, "tones");
    assert!(tones.len() >= 2, "{lane:#}");
    assert!(
        bench
            .text("schedule/schedule.html")
            .contains("no photo; its tones are those of")
    );
}

#[test]
fn what_is_known_in_the_demos_street_brings_its_roof_and_wall_into_daylight() {
    let bench = Workbench::new();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard");
    bench.copy_folder(&sample, "yard");
    let ran = bench.run(["plan", "yard/scene.toml", "--full"]);
    let said = ran.done().stdout();
    assert!(!said.contains("photo is dark and nothing"), "{ran}");
    let plan = bench.json("yard/schedule/plan.json");
    let body = |name: &str| {
        let surfaces = list(&plan, "surfaces");
        let surface = surfaces.iter().find(|s| s["name"] == name).unwrap();
        list(&list(surface, "tones")[0], "lab")[0].as_f64().unwrap()
    };
    // As photographed 19 and 26. Two standard deviations of 18 measured tiles: L* 33 to 44; of 13 masonries: 41 to 57,
    // and the joints of this wall are dark.
    let (roof, wall) = (body("Brewhouse roof"), body("Brewhouse wall"));
    assert!((32.5..44.0).contains(&roof), "{roof}");
    assert!((37.0..57.0).contains(&wall), "{wall}");
}

/// A scene with one wall in the street, and what else a beginner may write.
fn written(bench: &Workbench, photo: &str, surface: &str) {
    street(bench);
    bench.write(
        "scene.toml",
        format!(
            "title = \"t\"\nscale = \"1:87\"\npaints = \"paints.csv\"\n[photos.street]\nfile = \"street.png\"\n{photo}\n[[surface]]\n{surface}\n"
        ),
    );
}

const ROOF: &str = "name = \"Clay tile roof\"\nphoto = \"street\"\nregion = [[0.02, 0.1], [0.3, 0.1], [0.3, 0.9], [0.02, 0.9]]\n";

#[test]
fn mistakes_in_what_is_known_are_named_with_their_line() {
    let bench = Workbench::with_scene();
    let known = |keys: &str| format!("[[photos.street.known]]\n{keys}");
    let with = |more: &str| format!("{ROOF}{more}");
    let asphalt = "material = \"asphalt road, worn\"\n";
    let cases = [
        (String::new(), with("material = \"clay rof tile red\""), "did you mean \"clay roof tile, red\""),
        (String::new(), with("material = \"slate\""), "scene.toml:11, surface 1.material: found \"slate\""),
        (String::new(), with("material = 3"), "`hillwash materials` lists them"),
        (known(asphalt), with(""), "found no region"),
        (known("region = [[0, 0], [1, 0], [1, 1]]"), with(""), "found no material"),
        (
            known(&format!("{asphalt}region = [[0.5, 0.5], [1.4, 0.5], [1.4, 0.9]]")),
            with(""),
            "found the point [1.4, 0.5] outside the photo",
        ),
        ("light = \"materials\"".to_owned(), with(""), "photos.street.known"),
        (String::new(), with("like = \"bark\""), "found both like and photo"),
        (
            String::new(),
            "name = \"Lane\"\nlike = { from = \"asphalt, dark\", to = \"asphalt road, worn\", at = 1.5 }".to_owned(),
            "0.5 is half-way",
        ),
    ];
    for (photo, surface, words) in cases {
        written(&bench, &photo, &surface);
        let ran = bench.run(["plan", "scene.toml"]);
        ran.refused().tells(words);
        assert!(!ran.stderr().contains("found the key"), "{ran}");
    }
}

#[test]
fn a_guess_is_offered_by_name_and_colour_and_never_used_unasked() {
    let bench = Workbench::with_scene();
    written(&bench, "", ROOF);
    bench.run(["plan", "scene.toml", "--full"]).done();
    let plan = bench.json("schedule/plan.json");
    assert_eq!(
        text(&list(&plan, "photos")[0]["light"], "corrected_by"),
        "nothing"
    );
    let notes = plan["notes"].to_string();
    assert!(
        notes.contains("if these are red clay tiles, the photo is "),
        "{notes}"
    );
    assert!(
        notes.contains("stops too dark") && notes.contains("say material"),
        "{notes}"
    );
    // What it says is heeded once it is said, and each tone is then held against what was measured.
    written(
        &bench,
        "",
        &format!("{ROOF}material = \"clay roof tile, red\""),
    );
    bench.run(["plan", "scene.toml"]).done();
    let plan = bench.json("schedule/plan.json");
    assert_eq!(
        text(&list(&plan, "photos")[0]["light"], "corrected_by"),
        "materials"
    );
    let notes = plan["notes"].to_string();
    assert!(
        notes.contains("within the range of 18 measured: clay roof tile, red"),
        "{notes}"
    );
    assert!(!notes.contains("say material"), "{notes}");
}

#[test]
fn one_witness_in_the_shade_is_named_and_does_little_harm() {
    let bench = Workbench::with_scene();
    let of = |name: &str, light: f64| (seen(name, [light; 3]), 32);
    // All in full light but for the concrete, which lies in the shade of something.
    bench.write(
        "shade.png",
        png(&stripes(
            32,
            &[
                of(TILES, 1.0),
                of(ASPHALT, 1.0),
                of("wood shingle, weathered", 1.0),
                of(CONCRETE, 0.12),
            ],
        )),
    );
    let place = |at: usize| {
        let left = 0.25 * f64::from(u8::try_from(at).unwrap());
        format!("{},0.1,{},0.9", left + 0.02, left + 0.23)
    };
    let names = [TILES, ASPHALT, "wood shingle, weathered", CONCRETE];
    let mut arguments = vec![
        "look".to_owned(),
        "shade.png".to_owned(),
        "--region".to_owned(),
        place(0),
        "--json".to_owned(),
    ];
    for (at, name) in names.iter().enumerate() {
        arguments.extend(["--material".to_owned(), format!("{name}={}", place(at))]);
    }
    let ran = bench.run(&arguments);
    let answer = ran.done().json();
    let photo = &list(&answer, "photos")[0];
    let wanted = LabD65::from(Material::named(TILES).unwrap().typical_light()[2]).to_srgb8();
    let off = difference(&list(photo, "tones")[0], wanted.0);
    assert!(off < NEAR, "{off}{ran}");
    let fits: Vec<bool> = list(&photo["light"], "witnesses")
        .iter()
        .map(|w| w["fits"] == true)
        .collect();
    assert_eq!(fits, [true, true, true, false], "{ran}");
    bench
        .run(arguments.iter().filter(|a| *a != "--json"))
        .done()
        .says("as concrete pavement this would be")
        .says("in shade");
}

/// Air is taken out of a photo only where somebody has said how clear the day was.
#[test]
fn haze_stays_in_where_nobody_knows_the_visibility() {
    let bench = Workbench::with_scene();
    let planned = |more: &str| {
        written(
            &bench,
            "from = \"200 m\"",
            &format!("{ROOF}area = \"1 dm2\""),
        );
        bench.change("scene.toml", "[photos", &format!("{more}\n[photos"));
        bench.run(["plan", "scene.toml"]).done();
        let plan = bench.json("schedule/plan.json");
        let tone = list(&list(&plan, "surfaces")[0], "tones")[0].clone();
        (
            number(&tone, "target_uncertainty_de"),
            text(&tone["planned"], "hex").to_owned(),
            plan["notes"].to_string(),
        )
    };
    let unknown = planned("");
    let stated = planned("scale_colour = { visibility = \"10 km\" }");
    assert!(
        unknown.2.contains("nobody knows how clear that day was"),
        "{}",
        unknown.2
    );
    assert!(!stated.2.contains("nobody knows how clear"), "{}", stated.2);
    assert!(unknown.0 > stated.0, "{} {}", unknown.0, stated.0);
    assert_ne!(unknown.1, stated.1);
}
