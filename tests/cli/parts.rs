//! Parts of the page, each held against the one that was looked at and found good: `cargo insta review` shows changes.
//!
//! One small drawn scene; pictures are left out, so that a snapshot changes only when words, numbers or markup do.

use crate::workbench::Workbench;

/// The page of the small scene.
fn page(more: &[&str]) -> String {
    let bench = Workbench::with_scene();
    bench
        .run(
            ["plan", "scene.toml", "--date", "2026-03-01"]
                .iter()
                .chain(more),
        )
        .done();
    bench.text("schedule/schedule.html")
}

/// From `begin` to the first `end` after it, both with; encoded pictures as a word.
fn part(page: &str, begin: &str, end: &str) -> String {
    let (_, rest) = page.split_once(begin).unwrap_or(("", ""));
    let (inside, _) = rest.split_once(end).unwrap_or((rest, ""));
    assert!(!inside.is_empty(), "the page has {begin}");
    let mut kept = String::new();
    for (at, piece) in format!("{begin}{inside}{end}")
        .split("data:image/jpeg;base64,")
        .enumerate()
    {
        let piece = if at == 0 {
            piece
        } else {
            kept.push_str("(picture)");
            &piece[piece.find('"').unwrap_or(0)..]
        };
        kept.push_str(piece);
    }
    kept
}

#[test]
fn the_title_block() {
    insta::assert_snapshot!(part(&page(&[]), "<header", "</header>"));
}

#[test]
fn the_pots() {
    insta::assert_snapshot!(part(&page(&[]), "<section id=\"pots\"", "</section>"));
}

#[test]
fn a_sheet() {
    insta::assert_snapshot!(part(&page(&[]), "<section class=\"sheet\"", "</section>"));
}

#[test]
fn a_bench_card() {
    insta::assert_snapshot!(part(
        &page(&[]),
        "<section class=\"bench-card",
        "</section>"
    ));
}

#[test]
fn a_jar_label() {
    insta::assert_snapshot!(part(
        &page(&[]),
        "<article class=\"jar-label\"",
        "</article>"
    ));
}

#[test]
fn what_changed() {
    let bench = Workbench::with_scene();
    bench
        .run(["plan", "scene.toml", "--date", "2026-03-01"])
        .done();
    bench.change("paints.csv", "brick red,#93503d", "brick red,#a3604d");
    bench.change("scene.toml", "view   = \"0.9 m\"", "view   = \"4 m\"");
    bench
        .run([
            "plan",
            "scene.toml",
            "--date",
            "2026-03-02",
            "--compare",
            "schedule/plan.json",
        ])
        .done();
    let page = bench.text("schedule/schedule.html");
    insta::assert_snapshot!(part(&page, "<section id=\"compared\"", "</section>"));
}
