//! Measured materials: listed, held in photos as witnesses of their light, and in place of photos.

use crate::contract::{self, difference, list, number, text};
use crate::pictures::{png, stripes};
use crate::workbench::Workbench;
use hillwash::colour::{LabD65, LinearSrgb};
use hillwash::materials::Material;

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
