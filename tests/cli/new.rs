//! `new`: a starter scene.

use crate::workbench::Workbench;

#[test]
fn a_new_scene_is_planned_unchanged() {
    let bench = Workbench::new();
    bench
        .run(["new", "my layout, Höhe"])
        .done()
        .says("scene.toml")
        .tells("hillwash plan \"my layout, Höhe/scene.toml\"");
    let made = bench.contents();
    bench
        .run(["plan", "my layout, Höhe/scene.toml"])
        .done()
        .says("Garden wall");
    for (name, bytes) in &made {
        assert_eq!(
            &bench.contents()[name],
            bytes,
            "{name} is as `new` wrote it"
        );
    }
    for name in ["schedule.html", "plan.json", "schedule.csv"] {
        assert!(
            bench.path("my layout, Höhe/schedule").join(name).is_file(),
            "{name}"
        );
    }
}

#[test]
fn a_new_scene_says_whose_photo_it_is() {
    let bench = Workbench::new();
    bench.run(["new", "yard"]).done();
    let credits = bench.text("yard/photo-credits.txt");
    assert!(credits.contains("stone-wall.jpg"), "{credits}");
    assert!(!bench.bytes("yard/stone-wall.jpg").is_empty());
}

#[test]
fn an_empty_folder_will_do() {
    let bench = Workbench::new();
    bench.make_folder("yard");
    bench.run(["new", "yard"]).done();
    bench.run(["plan", "yard/scene.toml"]).done();
}

#[test]
fn folders_on_the_way_are_made() {
    let bench = Workbench::new();
    bench.run(["new", "layouts/2026/yard"]).done();
    assert!(bench.path("layouts/2026/yard/scene.toml").is_file());
}

#[test]
fn a_folder_with_something_in_it_is_left_alone() {
    let bench = Workbench::new();
    bench.write("yard/diary.txt", "Tuesday: glued the roof");
    let before = bench.contents();
    bench
        .run(["new", "yard"])
        .refused()
        .tells("yard")
        .tells("an empty folder")
        .tells("hint: choose another name");
    assert_eq!(bench.contents(), before);
}

#[test]
fn a_scene_is_not_made_twice() {
    let bench = Workbench::new();
    bench.run(["new", "yard"]).done();
    bench.change("yard/scene.toml", "My first wall", "My changed wall");
    let before = bench.contents();
    bench.run(["new", "yard"]).refused().tells("yard");
    assert_eq!(bench.contents(), before);
}

#[test]
fn a_file_in_the_way_is_left_alone() {
    let bench = Workbench::new();
    bench.write("yard", "not a folder");
    let before = bench.contents();
    bench.run(["new", "yard"]).refused().tells("yard");
    bench
        .run(["new", "yard/inner"])
        .refused()
        .tells("yard/inner");
    assert_eq!(bench.contents(), before);
}
