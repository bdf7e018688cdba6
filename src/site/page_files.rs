//! The files the page of a layout is made of.

/// A file of the page.
#[derive(Debug, Clone, Copy)]
pub struct PageFile {
    /// Its name; the page itself has none.
    pub name: &'static str,
    /// Its media type.
    pub kind: &'static str,
    /// What it holds.
    pub content: &'static str,
}

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SVG: &str = "image/svg+xml";
const SCRIPT: &str = "text/javascript; charset=utf-8";

macro_rules! page_file {
    ($name:literal, $file:literal, $kind:expr) => {
        PageFile {
            name: $name,
            kind: $kind,
            content: include_str!(concat!("../../report-templates/desk/", $file)),
        }
    };
    ($file:literal, $kind:expr) => {
        page_file!($file, $file, $kind)
    };
}

/// All of them; the page itself has no name.
pub const PAGE_FILES: &[PageFile] = &[
    page_file!("", "page.html", HTML),
    page_file!("desk.css", CSS),
    page_file!("icon.svg", SVG),
    page_file!("main.js", SCRIPT),
    page_file!("ask.js", SCRIPT),
    page_file!("engine.js", SCRIPT),
    page_file!("layout.js", SCRIPT),
    page_file!("work.js", SCRIPT),
    page_file!("stage.js", SCRIPT),
    page_file!("lie.js", SCRIPT),
    page_file!("marks.js", SCRIPT),
    page_file!("beside.js", SCRIPT),
    page_file!("rub.js", SCRIPT),
    page_file!("schedule.js", SCRIPT),
    page_file!("paints.js", SCRIPT),
    page_file!("swatches.js", SCRIPT),
    page_file!("bench.js", SCRIPT),
    page_file!("spine.js", SCRIPT),
    page_file!("tones.js", SCRIPT),
    page_file!("wall.js", SCRIPT),
    page_file!("card.js", SCRIPT),
    page_file!("clean.js", SCRIPT),
    page_file!("leaves.js", SCRIPT),
    page_file!("loupe.js", SCRIPT),
    page_file!("adding.js", SCRIPT),
    page_file!("keeping.js", SCRIPT),
    page_file!("materials.js", SCRIPT),
    page_file!("make.js", SCRIPT),
    page_file!("shapes.js", SCRIPT),
];
