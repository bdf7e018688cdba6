//! Nothing is lost, mixed up or left to chance: killed runs, two runs at once, full disks, threads and dates.

use crate::workbench::Workbench;
use std::collections::BTreeMap;
use std::time::Instant;

const OUTPUTS: [&str; 5] = [
    "palette.svg",
    "palette.tokens.json",
    "plan.json",
    "schedule.csv",
    "schedule.html",
];
/// 2026-11-04 12:00 UTC.
const MOMENT: (&str, &str) = ("SOURCE_DATE_EPOCH", "1793793600");

/// A bench with two scenes that differ in every output.
fn two_scenes() -> Workbench {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    bench.write(
        "other.toml",
        scene
            .replace("Hop yard", "Malt house")
            .replace("Kiln wall", "Malt floor"),
    );
    bench
}

/// What `scene` gives, file by file.
fn outputs_of(bench: &Workbench, scene: &str) -> BTreeMap<&'static str, Vec<u8>> {
    bench
        .run(["plan", scene, "--out", "alone", "--date", "2026-11-04"])
        .done();
    OUTPUTS
        .iter()
        .map(|name| (*name, bench.bytes(&format!("alone/{name}"))))
        .collect()
}

#[test]
fn the_same_scene_gives_the_same_bytes_on_one_thread_and_on_two() {
    let bench = Workbench::new();
    let yard = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-photos/brewery-yard");
    bench.copy_folder(&yard, "yard");
    for threads in ["1", "2"] {
        bench
            .run_with(
                &[("RAYON_NUM_THREADS", threads), MOMENT],
                ["plan", "yard/scene.toml", "--out", threads, "--quiet"],
            )
            .done();
    }
    for name in OUTPUTS {
        assert!(
            bench.bytes(&format!("1/{name}")) == bench.bytes(&format!("2/{name}")),
            "{name} differs between one thread and two"
        );
    }
    assert!(bench.text("1/schedule.html").contains("2026-11-04"));
    // A plan with hills, scatter, materials and dirt: all words of the user's in it are of a kind that is listed.
    let plan: hillwash::share::PlanFile =
        serde_json::from_slice(&bench.bytes("1/plan.json")).expect("a plan");
    let listed = hillwash::share::ListedNames {
        paints: &["brick dust, powder", "no such paint"],
        ..Default::default()
    };
    let travelling =
        hillwash::share::what_travels(&plan, &listed).expect("a plan of finite numbers");
    let kinds: Vec<&str> = travelling.iter().map(|one| one.kind).collect();
    assert!(
        kinds.contains(&"scatter") && !kinds.contains(&"else"),
        "{travelling:?}"
    );
    // A powder that takes no part is named by a sentence alone.
    let paints = travelling.iter().find(|one| one.kind == "paints");
    let names = paints.map(|one| one.texts.join("; ")).unwrap_or_default();
    assert!(
        names.contains("brick dust, powder") && !names.contains("no such paint"),
        "{names}"
    );
}

#[test]
fn a_moment_that_is_no_number_is_refused_before_the_work() {
    let bench = Workbench::with_scene();
    bench
        .run_with(
            &[("SOURCE_DATE_EPOCH", "yesterday")],
            ["plan", "scene.toml"],
        )
        .refused()
        .tells("SOURCE_DATE_EPOCH: found \"yesterday\", expected whole seconds");
    assert!(!bench.path("schedule").exists());
}

/// How many times a run is killed; more by `HILLWASH_KILLS`.
fn kills() -> u32 {
    std::env::var("HILLWASH_KILLS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(24)
}

#[test]
#[expect(clippy::too_many_lines, reason = "one run, killed again and again")]
fn a_killed_run_leaves_each_file_old_or_new() {
    let bench = two_scenes();
    let scenes = ["scene.toml", "other.toml"];
    let started = Instant::now();
    let whole = scenes.map(|scene| outputs_of(&bench, scene));
    let usual = started.elapsed() / 2;
    bench
        .run([
            "plan",
            "scene.toml",
            "--out",
            "kept",
            "--date",
            "2026-11-04",
        ])
        .done();
    let (mut unfinished, mut changed) = (0, 0);
    for n in 0..kills() {
        let before = bench.bytes("kept/plan.json");
        let mut run = bench
            .program()
            .args(["plan", scenes[(n as usize + 1) % 2], "--out", "kept"])
            .args(["--date", "2026-11-04"])
            .spawn()
            .unwrap();
        // Kills are spread evenly from the start to a little beyond a usual run's end.
        std::thread::sleep(usual.mul_f64(1.2 * f64::from(n) / f64::from(kills())));
        run.kill().unwrap();
        run.wait().unwrap();
        for name in OUTPUTS {
            let found = bench.bytes(&format!("kept/{name}"));
            assert!(
                whole.iter().any(|set| set[name] == found),
                "{name} is neither old nor new after kill {n}"
            );
        }
        changed += u32::from(before != bench.bytes("kept/plan.json"));
        unfinished += bench
            .names()
            .iter()
            .filter(|name| name.starts_with("kept/.hillwash-"))
            .count();
    }
    println!(
        "{} kills: {changed} after the files were in place, {unfinished} unfinished parts left for the next run",
        kills()
    );
    bench
        .run([
            "plan",
            "other.toml",
            "--out",
            "kept",
            "--date",
            "2026-11-04",
        ])
        .done();
    let left: Vec<String> = bench
        .names()
        .into_iter()
        .filter(|name| name.starts_with("kept/") && name != "kept/")
        .collect();
    assert_eq!(
        left,
        OUTPUTS.map(|name| format!("kept/{name}")),
        "the next run clears away what killed runs left"
    );
}

#[test]
fn two_runs_into_one_folder_leave_the_files_of_one() {
    let bench = two_scenes();
    let whole = ["scene.toml", "other.toml"].map(|scene| outputs_of(&bench, scene));
    for round in 0..8 {
        let runs = ["scene.toml", "other.toml"].map(|scene| {
            bench
                .program()
                .args(["plan", scene, "--out", "shared", "--date", "2026-11-04"])
                .spawn()
                .unwrap()
        });
        for mut run in runs {
            assert!(run.wait().unwrap().success(), "round {round}");
        }
        assert!(
            whole.iter().any(|set| OUTPUTS
                .iter()
                .all(|name| set[name] == bench.bytes(&format!("shared/{name}")))),
            "round {round} mixed the files of two runs"
        );
    }
}

/// A limit on the size of files stands for a disk that fills up in the middle of a file.
#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_is_told_and_what_was_there_stays() {
    let bench = two_scenes();
    bench
        .run([
            "plan",
            "scene.toml",
            "--out",
            "kept",
            "--date",
            "2026-11-04",
        ])
        .done();
    let before = bench.contents();
    let program = bench.program();
    let output = std::process::Command::new("sh")
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f 8; exec \"$0\" plan other.toml --out kept",
        ])
        .arg(program.get_program())
        .current_dir(bench.path("."))
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("error: ") && told.contains("write"), "{told}");
    assert!(
        before == bench.contents(),
        "a failed run changed the folder"
    );
}

/// The system's own listing of processes is a folder in which nobody may write, the administrator included.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_is_told_before_the_work() {
    let bench = Workbench::with_scene();
    bench.write(
        "kiln.png",
        "a photo that would be told if the work had begun",
    );
    bench
        .run(["plan", "scene.toml", "--out", "/proc/schedule"])
        .refused()
        .tells("/proc")
        .tells("write into");
}

#[test]
fn a_scene_larger_than_any_layout_is_refused() {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    let surface = &scene[scene.find("[[surface]]").unwrap()..];
    bench.write("scene.toml", format!("{scene}{}", surface.repeat(501)));
    bench
        .run(["plan", "scene.toml"])
        .refused()
        .tells("surface: found 502 entries, expected at most 500");
    let photos: Vec<String> = (0..501)
        .map(|n| format!("[photos.p{n}]\nfile = \"kiln.png\"\n"))
        .collect();
    bench.write(
        "scene.toml",
        scene.replace(
            "[photos.kiln]",
            &format!("{}[photos.kiln]", photos.concat()),
        ),
    );
    bench
        .run(["plan", "scene.toml"])
        .refused()
        .tells("photos: found 502 entries, expected at most 500");
    bench.write(
        "scene.toml",
        scene.replace(
            "area   =",
            &format!(
                "leave_out = [{}]\narea   =",
                "[[0.1,0.1],[0.2,0.1],[0.2,0.2]],".repeat(501)
            ),
        ),
    );
    bench
        .run(["plan", "scene.toml"])
        .refused()
        .tells("leave_out: found 501 entries, expected at most 500");
}
