//! "May I keep my mixed pots?", pot by pot, of a scene that was changed and of a schedule that was received.

use crate::workbench::Workbench;
use hillwash::colour::{LabD65, delta_e00};
use serde_json::Value;

const DATED: [&str; 2] = ["--date", "2026-03-01"];
/// As the program promises: a pot stays that misses what is planned now by no more than 2, or by no more than 1 beyond
/// what a new mix would miss (CIEDE2000).
const MAY_MISS: f64 = 2.0;
const HARDLY_WORSE: f64 = 1.0;
/// Figures of `plan.json` are rounded.
const ROUNDED: f64 = 2e-3;

/// A scene whose bottles lie off its tones.
fn mixing() -> Workbench {
    let bench = Workbench::with_scene();
    bench.change("paints.csv", "brick red,#93503d", "brick red,#b0402a");
    bench.change("paints.csv", "slate grey,#565b60", "slate grey,#33383d");
    bench
}

fn planned(bench: &Workbench, more: &[&str]) -> Value {
    let words = ["plan", "scene.toml"].iter().chain(more).chain(&DATED);
    bench.run(words).done();
    bench.json("schedule/plan.json")
}

fn entries<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

fn lab(entry: &Value) -> LabD65 {
    let at = |i: usize| entry["lab"][i].as_f64().unwrap_or(f64::NAN);
    LabD65::new(at(0), at(1), at(2))
}

/// How far each pot of `before` would miss its tone as planned in `now`, and how far a new mix misses it. Tones keep
/// their places here.
fn misses(before: &Value, now: &Value) -> Vec<(f64, f64)> {
    let tones = |plan: &Value| entries(&plan["surfaces"][0], "tones").to_vec();
    entries(before, "pots")
        .iter()
        .map(|pot| {
            let (old, new) = tones(before)
                .into_iter()
                .zip(tones(now))
                .find(|(old, _)| old["pot"] == pot["number"])
                .unwrap_or_default();
            let wanted = lab(&new["planned"]);
            let miss = |tone: &Value| delta_e00(lab(&tone["recipes"][0]), wanted).0;
            (miss(&old), miss(&new))
        })
        .collect()
}

#[test]
fn of_an_unchanged_plan_every_pot_is_kept() {
    let bench = mixing();
    let before = planned(&bench, &[]);
    assert_eq!(entries(&before, "pots").len(), 2);
    let now = planned(&bench, &["--compare", "schedule/plan.json"]);
    let kept = entries(&now["compared"], "pots");
    assert_eq!(kept.len(), 2);
    for pot in kept {
        assert_eq!(pot["keeping"], "keep", "{pot}");
        assert_eq!(pot["serves"][0], "Kiln wall", "{pot}");
    }
    let page = bench.text("schedule/schedule.html");
    assert!(page.contains("May mixed pots be kept?"));
    // A bottle is kept in any case: only mixes are asked about.
    let mixed = kept.iter().filter(|pot| pot["straight"] != true).count();
    assert!(mixed > 0);
    assert_eq!(page.matches("<td>yes, for Kiln wall</td>").count(), mixed);
}

#[test]
fn a_pot_is_mixed_anew_when_it_would_be_seen_to_miss() {
    let bench = mixing();
    for view in ["1.5 m", "6 m", "15 m", "40 m"] {
        let before = planned(&bench, &[]);
        bench.change(
            "scene.toml",
            "view   = \"0.9 m\"",
            &format!("view   = \"{view}\""),
        );
        let now = planned(&bench, &["--compare", "schedule/plan.json"]);
        let kept = entries(&now["compared"], "pots");
        let misses = misses(&before, &now);
        assert_eq!(kept.len(), misses.len());
        for (pot, (off, anew)) in kept.iter().zip(misses) {
            let told = pot["worst_de"].as_f64().unwrap_or(f64::NAN);
            assert!((told - off).abs() < ROUNDED, "{view}: {off} of {pot}");
            let limit = MAY_MISS.max(anew + HARDLY_WORSE);
            let keeping = if off <= limit { "keep" } else { "mix-anew" };
            assert_eq!(pot["keeping"], keeping, "{view}: {off}, at most {limit}");
        }
        if view == "40 m" {
            assert!(kept.iter().all(|pot| pot["keeping"] == "mix-anew"));
            let page = bench.text("schedule/schedule.html");
            assert!(page.contains("no: mix anew for Kiln wall (it would miss by"));
        }
        bench.change(
            "scene.toml",
            &format!("view   = \"{view}\""),
            "view   = \"0.9 m\"",
        );
    }
}

#[test]
fn a_pot_whose_surface_is_gone_is_no_longer_needed() {
    let bench = mixing();
    planned(&bench, &[]);
    bench.change("scene.toml", "\"Kiln wall\"", "\"Malting wall\"");
    let now = planned(&bench, &["--compare", "schedule/plan.json"]);
    for pot in entries(&now["compared"], "pots") {
        assert_eq!(pot["keeping"], "not-needed", "{pot}");
    }
    assert!(
        bench
            .text("schedule/schedule.html")
            .contains("<td>no longer needed</td>")
    );
}

#[test]
fn a_received_schedule_answers_for_the_pots_of_its_builder() {
    let bench = mixing();
    let theirs = planned(&bench, &[]);
    bench.write(
        "mine.csv",
        "name,hex,medium,opacity\nchalk,#f3f2ee,acrylic,opaque\nsoot,#252428,acrylic,opaque\nrust,#8c4a38,acrylic,opaque\n",
    );
    let words = [
        "plan",
        "schedule/schedule.html",
        "--paints",
        "mine.csv",
        "--out",
        "again",
    ];
    bench.run(words.iter().chain(&DATED)).done();
    let ours = bench.json("again/plan.json");
    let kept = entries(&ours["compared"], "pots");
    assert_eq!(kept.len(), entries(&theirs, "pots").len());
    // Planned colours are kept, so that what was right for them still is.
    for (pot, (off, _)) in kept.iter().zip(misses(&theirs, &ours)) {
        let told = pot["worst_de"].as_f64().unwrap_or(f64::NAN);
        assert!((told - off).abs() < ROUNDED, "{off} of {pot}");
    }
    assert!(
        bench
            .text("again/schedule.html")
            .contains("May mixed pots be kept?")
    );
}
