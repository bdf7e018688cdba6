//! What was seen before is found again and changes no answer; what it takes is told.

use crate::pictures::{BRICK, SLATE, png, stripes};
use crate::workbench::Workbench;
use std::collections::BTreeMap;

const CACHE: &str = "kept";
const DATED: [&str; 4] = ["plan", "scene.toml", "--date", "2026-03-01"];

/// A scene with a second surface, washed, in a second photo.
fn two_walls() -> Workbench {
    let bench = Workbench::with_scene();
    let photo = stripes(40, &[(SLATE, 50), (BRICK, 30)]);
    bench.write("yard.png", png(&photo));
    bench.change(
        "scene.toml",
        "[[surface]]",
        "[photos.yard]\nfile = \"yard.png\"\n\n[[surface]]",
    );
    let mut scene = bench.text("scene.toml");
    scene.push_str(
        "\n[[surface]]\nname = \"Yard wall\"\nphoto = \"yard\"\nregion = [[0, 0], [1, 0], [1, 0.9], [0, 0.9]]\narea = \"90 cm2\"\nwash = { grime = 1.0 }\n",
    );
    bench.write("scene.toml", scene);
    bench
}

/// All files of the schedule, with what was kept and without.
fn both(bench: &Workbench) -> [BTreeMap<String, Vec<u8>>; 2] {
    let cache = bench.path(CACHE);
    let cache = cache.to_string_lossy();
    [&*cache, ""].map(|cache| {
        let out = ["--out", "out", "--force"];
        bench
            .run_with(&[("HILLWASH_CACHE", cache)], DATED.iter().chain(&out))
            .done();
        let mut files = bench.contents();
        files.retain(|name, _| name.starts_with("out/"));
        files
    })
}

/// The entries that are kept.
fn kept(bench: &Workbench) -> BTreeMap<String, Vec<u8>> {
    let mut files = bench.contents();
    files.retain(|name, _| name.starts_with(CACHE) && name.contains(".kept"));
    files
}

#[test]
fn a_plan_with_what_was_kept_is_the_plan_without_whatever_changed() {
    let bench = two_walls();
    let mut entries = 0;
    let mut step = |what: &str, further: usize| {
        let [with, without] = both(&bench);
        assert!(with.len() > 4 && with == without, "{what}");
        let now = kept(&bench).len();
        assert_eq!(now, entries + further, "{what}");
        entries = now;
    };
    // Two photos, two surfaces, all that is mixed from the paints, and what its searches passed.
    step("first", 6);
    step("nothing changed", 0);
    bench.change("paints.csv", "#93503d", "#8f4c3a");
    step("a paint", 1);
    bench.change("scene.toml", "310 cm2", "320 cm2");
    step("an area", 0);
    bench.change("scene.toml", "grime = 1.0", "grime = 0.5");
    step("the grime of a wash", 0);
    bench.change("scene.toml", "[1, 0.9], [0, 0.9]", "[1, 0.8], [0, 0.8]");
    step("a region", 1);
    bench.change("scene.toml", "area   = \"320", "tones  = 3\narea   = \"320");
    step("a number of tones", 1);
    let yard = "file = \"yard.png\"";
    bench.change("scene.toml", yard, &format!("{yard}\nlight = \"estimate\""));
    step("a light", 2);
    let photo = stripes(40, &[(BRICK, 30), (SLATE, 40)]);
    bench.write("kiln.png", png(&photo));
    step("a photo", 2);
    bench.change("scene.toml", "Yard wall", "Yard brick wall");
    step("a name, which may tell what it is made of", 1);
}

#[test]
fn damaged_answers_are_found_and_mended() {
    let bench = two_walls();
    let first = both(&bench);
    for (name, mut bytes) in kept(&bench) {
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        bench.write(&name, bytes);
    }
    let whole = kept(&bench);
    assert_eq!(both(&bench), first);
    let mended = kept(&bench);
    assert_eq!(mended.len(), whole.len());
    assert!(mended.iter().all(|(name, bytes)| whole[name] != *bytes));
}

#[test]
fn nothing_is_kept_where_that_is_not_wanted() {
    let bench = two_walls();
    let cache = bench.path(CACHE);
    let cache = [("HILLWASH_CACHE", &*cache.to_string_lossy())];
    let no_cache = ["--no-cache"];
    bench.run_with(&cache, DATED.iter().chain(&no_cache)).done();
    assert!(kept(&bench).is_empty());
    // A file in the place of the folder: the plan is made all the same.
    bench.write(CACHE, "a letter");
    bench.run_with(&cache, DATED).done();
    assert_eq!(bench.text(CACHE), "a letter");
}

#[test]
fn where_the_time_went_is_told_beside_the_answer() {
    let bench = Workbench::with_scene();
    let told = |arguments: &[&str]| {
        let plain = bench.run(arguments);
        let run = bench.run(arguments.iter().chain(&["--timings"]));
        run.done().tells("in all").tells(" s");
        assert_eq!(plain.stdout(), run.stdout(), "{arguments:?}");
        assert!(!plain.stderr().contains("in all"), "{arguments:?}");
        run.stderr()
    };
    assert!(told(&["plan", "scene.toml", "--json"]).contains("decoding"));
    assert!(told(&["look", "kiln.png", "--json"]).contains("decoding"));
    assert!(told(&["mix", "#7a5b48", "--paints", "paints.csv", "--json"]).contains("mixes"));
    assert!(told(&["trim", "scene.toml", "--within", "20", "--json"]).contains("fewest"));
}
