//! What an hour of attack broke: bombs in photos, full disks, damaged measurements, pipes and links in the way. Each was
//! a failure once.

#![expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::format_collect,
    reason = "tests lay out their own files here, and stop at the first thing that is not as it should be"
)]

use crate::pictures::{BRICK, bomb_of_zeros, png, png_chunk, stripes, with_chunk};
use crate::workbench::Workbench;

/// Runs the program with at most so many kilobytes of memory to its name.
#[cfg(target_os = "linux")]
fn within(bench: &Workbench, kilobytes: u32, arguments: &[&str]) -> std::process::Output {
    let program = bench.program();
    std::process::Command::new("sh")
        .args(["-c", &format!("ulimit -v {kilobytes}; exec \"$0\" \"$@\"")])
        .arg(program.get_program())
        .args(arguments)
        .env("NO_COLOR", "1")
        .env("RAYON_NUM_THREADS", "2")
        .current_dir(bench.path("."))
        .output()
        .unwrap()
}

/// Memory of the whole process, code and stacks included; what is read and refused takes a small part of it.
#[cfg(target_os = "linux")]
const A_GIGABYTE: u32 = 1 << 20;

#[cfg(target_os = "linux")]
#[test]
fn a_profile_that_inflates_without_end_is_left_alone() {
    let bench = Workbench::new();
    let photo = png(&stripes(40, &[(BRICK, 40)]));
    // Named, method 0, then what inflates to 2 GB.
    let mut profile = b"icc\0\0".to_vec();
    profile.extend(bomb_of_zeros(2 << 30));
    bench.write("bomb.png", with_chunk(&photo, *b"iCCP", &profile));
    let output = within(&bench, A_GIGABYTE, &["look", "bomb.png"]);
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{told}");
    let said = String::from_utf8_lossy(&output.stdout) + told;
    assert!(said.contains("profile cannot be used"), "{said}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_picture_with_more_notes_than_any_camera_writes_is_refused() {
    let bench = Workbench::new();
    let photo = png(&stripes(40, &[(BRICK, 40)]));
    let mut notes = Vec::new();
    for _ in 0..400_000 {
        notes.extend(png_chunk(*b"tEXt", b"k\0"));
    }
    let mut bytes = photo[..33].to_vec();
    bytes.extend(notes);
    bytes.extend(&photo[33..]);
    bench.write("notes.png", bytes);
    bench
        .run(["look", "notes.png"])
        .refused()
        .tells("400000 notes")
        .tells("hint: ");
}

/// A patch in front of a bench of another colour.
fn patch_bench() -> Workbench {
    let bench = Workbench::with_scene();
    let photo = stripes(
        60,
        &[
            ([70, 92, 120], 25),
            ([0xb0, 0x5a, 0x47], 40),
            ([70, 92, 120], 15),
        ],
    );
    bench.write("patch.png", png(&photo));
    bench
}

const PATCH: [&str; 7] = [
    "patch",
    "scene.toml",
    "patch.png",
    "--surface",
    "Kiln wall",
    "--date",
    "2026-11-25",
];

/// A limit on the size of files stands for a disk that fills up in the middle of a line.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_log_as_it_was_and_the_reading_is_told() {
    let bench = patch_bench();
    bench.run(PATCH).done();
    let line = bench.text("scene.patches.jsonl");
    // Entries up to 300 bytes before the limit of 16 blocks of 512 bytes, so that the next is cut through.
    let mut log = line.clone();
    while log.len() + line.len() <= 16 * 512 {
        log.push_str(&line);
    }
    bench.write("scene.patches.jsonl", &log);
    // With and without a shell that has the signal of such a limit ignored.
    for shell in ["trap '' XFSZ; ulimit -f 16", "ulimit -f 16"] {
        let program = bench.program();
        let output = std::process::Command::new("sh")
            .args(["-c", &format!("{shell}; exec \"$0\" \"$@\"")])
            .arg(program.get_program())
            .args(PATCH)
            .current_dir(bench.path("."))
            .output()
            .unwrap();
        let (said, told) = (
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr),
        );
        assert_eq!(output.status.code(), Some(2), "{shell}: {told}");
        assert!(told.contains("scene.patches.jsonl"), "{shell}: {told}");
        assert!(
            said.contains("ΔE00"),
            "{shell}: the reading is told all the same: {said}"
        );
        assert_eq!(
            bench.text("scene.patches.jsonl"),
            log,
            "{shell}: nothing half-written"
        );
    }
    bench.run(PATCH).done();
}

#[test]
fn a_last_line_that_was_cut_short_is_told_and_kept_aside() {
    let bench = patch_bench();
    bench.run(PATCH).done();
    let line = bench.text("scene.patches.jsonl");
    bench.write("scene.patches.jsonl", format!("{line}{}", &line[..60]));
    bench
        .run(["plan", "scene.toml"])
        .done()
        .tells("scene.patches.jsonl:2: the last line is cut short");
    bench.run(PATCH).done().tells("cut short");
    assert_eq!(bench.text("scene.patches.jsonl").lines().count(), 2);
    assert_eq!(
        bench.text("scene.patches.cut-short"),
        format!("{}\n", &line[..60])
    );
    let plan = bench.run(["plan", "scene.toml"]).done().stderr();
    assert!(!plan.contains("cut short"), "{plan}");
}

#[test]
fn a_log_that_cannot_be_read_does_not_keep_the_reading_back() {
    let bench = patch_bench();
    bench.write("scene.patches.jsonl", "nonsense\nmore of it\n");
    bench
        .run(PATCH)
        .refused()
        .says("ΔE00")
        .tells("scene.patches.jsonl:1");
    assert_eq!(bench.text("scene.patches.jsonl"), "nonsense\nmore of it\n");
}

/// A measured red, one row every 10 nm.
fn red_spectrum() -> String {
    (38..=73)
        .map(|nm| {
            let value = if nm < 58 {
                0.06
            } else {
                0.06 + f64::from(nm - 57) * 0.035
            };
            format!("{nm}0,{value:.3}\n")
        })
        .collect()
}

fn with_measured(spectrum: &str) -> Workbench {
    let bench = Workbench::new();
    bench.write("red.csv", spectrum);
    bench.write(
        "paints.csv",
        "name,hex,spectrum\nwhite,#f2f1ec,\nred,,red.csv\n",
    );
    bench
}

#[test]
fn rows_of_a_measurement_are_read_or_told_and_never_passed_over() {
    let sound = format!(
        "# measured in October\nwavelength_nm,reflectance\n{}",
        red_spectrum()
    );
    with_measured(&sound)
        .run(["paints", "check", "paints.csv"])
        .done();

    let stray = sound
        .replace("600,0.165", "6OO,0.165")
        .replace("610,0.200", "610,0.2OO");
    with_measured(&stray)
        .run(["paints", "check", "paints.csv"])
        .refused()
        .tells("red.csv:25: found \"6OO,0.165\"")
        .tells("red.csv:26: found \"610,0.2OO\"")
        .tells("2 problems in all");

    let below = sound.replace("400,0.060", "400,-0.060");
    with_measured(&below)
        .run(["paints", "check", "paints.csv"])
        .refused()
        .tells("red.csv:5: found -0.06");

    let twice = format!("{sound}{}", red_spectrum().replace("0.060", "0.300"));
    with_measured(&twice)
        .run(["paints", "check", "paints.csv"])
        .refused()
        .tells("red.csv:39: found 380 nm a second time");
}

#[test]
fn several_samples_of_an_exchange_text_are_told() {
    let text = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SPECTRAL_NM400 SPECTRAL_NM500 SPECTRAL_NM600 SPECTRAL_NM700\n\
                END_DATA_FORMAT\nBEGIN_DATA\nA1 0.1 0.1 0.4 0.5\nA2 0.3 0.3 0.3 0.3\nEND_DATA\n";
    with_measured(text)
        .run(["paints", "check", "paints.csv"])
        .refused()
        .tells("2 samples");
}

/// A pipe that nobody writes into.
#[cfg(unix)]
fn make_pipe(bench: &Workbench, name: &str) {
    let made = std::process::Command::new("mkfifo")
        .arg(bench.path(name))
        .status();
    assert!(made.unwrap().success());
}

#[cfg(unix)]
#[test]
fn a_pipe_in_the_place_of_an_output_or_of_the_lock_is_refused_at_once() {
    let bench = Workbench::with_scene();
    bench.make_folder("schedule");
    make_pipe(&bench, "schedule/plan.json");
    for force in [
        &["plan", "scene.toml"][..],
        &["plan", "scene.toml", "--force"],
    ] {
        bench.run_alone(force).refused().tells("plan.json");
    }
    std::fs::remove_file(bench.path("schedule/plan.json")).unwrap();
    make_pipe(&bench, "schedule/.hillwash-turn");
    bench
        .run_alone(["plan", "scene.toml"])
        .refused()
        .tells("not a plain file");
}

#[cfg(unix)]
#[test]
fn links_lead_nothing_outside_unwarned() {
    use std::os::unix::fs::symlink;
    let bench = Workbench::with_scene_in_yard();
    bench.make_folder("yard/schedule");
    bench.make_folder("elsewhere");
    symlink(
        bench.path("elsewhere/made"),
        bench.path("yard/schedule/.hillwash-turn"),
    )
    .unwrap();
    bench
        .run_alone(["plan", "yard/scene.toml"])
        .refused()
        .tells("not a plain file");
    assert!(!bench.path("elsewhere/made").exists());

    std::fs::remove_dir_all(bench.path("yard/schedule")).unwrap();
    symlink(bench.path("elsewhere"), bench.path("yard/schedule")).unwrap();
    bench
        .run(["plan", "yard/scene.toml"])
        .refused()
        .tells("a link that leads to")
        .tells("hint: if you mean that folder, name it with --out");
    assert_eq!(bench.path("elsewhere").read_dir().unwrap().count(), 0);
    bench
        .run(["plan", "yard/scene.toml", "--out", "yard/schedule"])
        .done();
    assert!(bench.path("elsewhere/plan.json").is_file());
}

#[test]
fn signs_that_turn_the_direction_of_writing_are_refused_wherever_they_come_in() {
    let bench = Workbench::with_scene();
    let scene = bench.text("scene.toml");
    for spelt in ["\u{202e}", "\\u202E", "\\U00002067"] {
        bench.write(
            "scene.toml",
            scene.replace("Hop yard", &format!("Hop {spelt}yard")),
        );
        bench
            .run(["plan", "scene.toml"])
            .refused()
            .tells("scene.toml:1")
            .tells("reverses the direction");
    }
    bench.write("scene.toml", &scene);
    bench.run(["plan", "scene.toml"]).done();
    let list = bench.text("paints.csv");
    bench.write(
        "turned.csv",
        list.replace("ivory black", "ivory \u{2066}black"),
    );
    bench
        .run(["paints", "check", "turned.csv"])
        .refused()
        .tells("turned.csv:3");
    let page = bench.text("schedule/schedule.html");
    bench.write("received.html", page.replace("Hop yard", "Hop \\u202eyard"));
    bench
        .run(["plan", "received.html", "--paints", "paints.csv"])
        .refused()
        .tells("reverses the direction");
}

#[test]
fn full_width_signs_begin_no_formula_either() {
    let bench = Workbench::with_scene();
    bench.change("paints.csv", "brick red", "＝brick red");
    bench.run(["plan", "scene.toml"]).done();
    let table = bench.text("schedule/schedule.csv");
    assert!(
        table.contains("'＝brick red") && !table.contains(",＝"),
        "{table}"
    );
}

#[cfg(target_os = "linux")]
#[test]
fn a_gigabyte_is_enough_for_any_list_or_scene_within_limits() {
    let bench = Workbench::with_scene();
    bench.write("commas.csv", "x,".repeat(4_000_000));
    bench.write("brackets.toml", format!("a = [{}]", "[],".repeat(690_000)));
    bench.write(
        "rows.csv",
        format!("name,hex\n{}", ",x\n".repeat(2_000_000)),
    );
    let keys: String = (0..170_000).map(|n| format!("a{n}.b=1\n")).collect();
    bench.write("keys.toml", keys);
    bench.write("large.csv", ",".repeat(9 << 20));
    for (arguments, told) in [
        (&["paints", "check", "commas.csv"][..], "4000001 columns"),
        (&["paints", "check", "rows.csv"], "more"),
        (&["plan", "brackets.toml"], "brackets.toml"),
        (&["plan", "keys.toml"], "keys.toml:1"),
        (&["mark", "brackets.toml", "--no-browser"], "brackets.toml"),
        (
            &["paints", "check", "large.csv"],
            "expected at most 8388608",
        ),
    ] {
        let output = within(&bench, A_GIGABYTE, arguments);
        let found = String::from_utf8_lossy(&output.stderr);
        let start: String = found.chars().take(2000).collect();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {start}");
        assert!(found.contains(told), "{arguments:?}: {start}");
        assert!(found.lines().count() < 1000, "{arguments:?}");
    }
}

#[cfg(unix)]
#[test]
fn what_a_killed_run_left_beside_a_scene_is_swept() {
    let bench = Workbench::with_scene();
    bench.write(".hillwash-Ab12Cd.part", "half a scene");
    bench.write("mine.part", "not ours");
    bench.run(["plan", "scene.toml"]).done();
    assert!(!bench.path(".hillwash-Ab12Cd.part").exists());
    assert!(bench.path("mine.part").exists());
}

/// Words that must not travel, and words that may.
const SECRET: &str = "Secret7319";

#[test]
#[expect(clippy::too_many_lines, reason = "one file and all that it may hold")]
fn what_travels_is_listed_and_nothing_else_travels() {
    let bench = Workbench::with_scene();
    let photo = stripes(40, &[(BRICK, 60), ([0x56, 0x5b, 0x60], 20)]);
    let exif = crate::pictures::telling_exif(SECRET);
    let mut secret = with_chunk(&png(&photo), *b"eXIf", &exif);
    secret = with_chunk(&secret, *b"tEXt", format!("Author\0{SECRET}").as_bytes());
    bench.write(&format!("{SECRET}/{SECRET}.png"), secret);
    bench.write(
        &format!("{SECRET}/lamp-K1.csv"),
        "400,1\n500,1\n600,1\n700,1\n",
    );
    let list = bench
        .text("paints.csv")
        .replace("price\n", "price,note\n")
        .replace("2.40\n", &format!("2.40,{SECRET}\n"));
    bench.write(
        &format!("{SECRET}/paints-K2.csv"),
        list.replace("brick red", "brick K3"),
    );
    let folder = bench.path(SECRET).display().to_string().replace('\\', "/");
    bench.write(
        "scene.toml",
        format!(
            "# {SECRET}\ntitle = \"yard K4\"\nscale = \"1:87\"\nview = \"0.9 m\"\npaints = \"{folder}/paints-K2.csv\"\n\
             lamps = \"{folder}/lamp-K1.csv\"\n[photos.K5]\nfile = \"{folder}/{SECRET}.png\"\ncredit = \"K6\"\n\
             [[surface]]\nname = \"wall K7\"\nphoto = \"K5\"\nregion = [[0, 0], [1, 0], [1, 1], [0, 1]]\narea = \"310 cm2\"\n\
             [[surface.place]]\nname = \"sill K8\"\ntechnique = \"pin-wash\"\ncolour = \"#33302c\"\n"
        ),
    );
    let asked = bench
        .run(["plan", "scene.toml", "--allow-outside", "--what-travels"])
        .done()
        .stdout();
    assert!(!bench.path("schedule").exists(), "nothing is written");
    let words = [
        "lamp-K1.csv",
        "paints-K2.csv",
        "brick K3",
        "yard K4",
        "K5",
        "K6",
        "wall K7",
        "sill K8",
    ];
    for word in words {
        assert!(asked.contains(&format!("    {word}\n")), "{word}:\n{asked}");
    }
    assert!(!asked.contains("  else:"), "{asked}");
    bench.run(["plan", "scene.toml", "--allow-outside"]).done();
    bench
        .run([
            "plan",
            "schedule/schedule.html",
            "--paints",
            "paints.csv",
            "--out",
            "again",
        ])
        .done();
    for folder in ["schedule", "again"] {
        for name in [
            "schedule.html",
            "plan.json",
            "schedule.csv",
            "palette.svg",
            "palette.tokens.json",
        ] {
            let text = bench.text(&format!("{folder}/{name}"));
            assert!(!text.contains(SECRET), "{folder}/{name}");
            assert!(!text.contains(&bench.mark()), "{folder}/{name}");
        }
    }
}

/// A schedule of 500 surfaces, each with colours of its own.
fn schedule_of_500_surfaces(bench: &Workbench) {
    bench.run(["plan", "scene.toml"]).done();
    let mut plan = bench.json("schedule/plan.json");
    let surface = plan["surfaces"][0].clone();
    let surfaces = (0..500).map(|n| {
        let mut surface = surface.clone();
        surface["name"] = format!("wall {n}").into();
        let tone = surface["tones"][0].clone();
        let tones = (0..8).map(|t| {
            let mut tone = tone.clone();
            let at = f64::from(n * 8 + t);
            let lab = [
                20.0 + at % 70.0,
                -60.0 + (at * 7.3) % 120.0,
                -60.0 + (at * 3.1) % 120.0,
            ];
            tone["planned"]["lab"] = lab.to_vec().into();
            tone["share"] = 0.125.into();
            tone
        });
        surface["tones"] = tones.collect::<Vec<_>>().into();
        surface
    });
    plan["surfaces"] = surfaces.collect::<Vec<_>>().into();
    bench.write("received.json", plan.to_string());
}

#[test]
fn a_received_schedule_that_would_take_too_long_is_refused_soon() {
    let bench = Workbench::with_scene();
    schedule_of_500_surfaces(&bench);
    let paints: String = (0..400)
        .map(|n| {
            format!(
                "paint {n},#{:02x}{:02x}{:02x}\n",
                n * 37 % 256,
                n * 91 % 256,
                n * 53 % 256
            )
        })
        .collect();
    bench.write("many.csv", format!("name,hex\n{paints}"));
    let begun = std::time::Instant::now();
    bench
        .run(["plan", "received.json", "--paints", "many.csv"])
        .refused()
        .tells("received.json: found work for about")
        .tells("--patient");
    assert!(begun.elapsed() < std::time::Duration::from_mins(1));
    assert!(!bench.path("schedule-for-many").exists());
}
