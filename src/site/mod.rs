//! The page of a layout without a program behind it: everything in one file, or the files of a web space.
//!
//! In: the core for browsers, packed by `src/web/build.sh`. Out: pages and files as bytes. It writes nothing.

mod bundle;
mod page_files;

use crate::desk::{STARTER, pack};
use crate::report::schedule_script_hash;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

pub use page_files::{PAGE_FILES, PageFile};

/// The core beside the page of a web space.
const CORE: &str = "hillwash.core";
/// What runs the core.
const WORKER: &str = concat!(
    include_str!("../../report-templates/web/host.js"),
    include_str!("../../report-templates/web/worker.js")
);
/// Keeps a web space's files, so that it works without a network.
const SERVICE_WORKER: &str = include_str!("../../report-templates/web/sw.js");
/// What a browser installs.
const MANIFEST: &str = include_str!("../../report-templates/web/manifest.webmanifest");

/// Whether bytes can be the core, packed: a gzip file.
#[must_use]
pub fn looks_packed(core: &[u8]) -> bool {
    core.starts_with(b"\x1f\x8b")
}

fn content(name: &str) -> &'static str {
    let file = PAGE_FILES.iter().find(|file| file.name == name);
    file.map_or("", |file| file.content)
}

fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

/// The starter scene as a layout file.
fn example() -> Vec<u8> {
    let files = STARTER.map(|(name, bytes)| (name.to_owned(), bytes.to_vec()));
    pack(&files).unwrap_or_default()
}

/// The page; `core` stands inside it, or beside it where it is empty.
fn page(core: &[u8]) -> String {
    let script = bundle::script();
    let inside = !core.is_empty();
    let own = if inside { "" } else { " 'self'" };
    let connect = if inside { "'none'" } else { "'self'" };
    // A schedule is shown in a frame that is bound by this policy and by its own; its style is made anew each time.
    let policy = format!(
        "default-src 'none'; script-src 'sha256-{}' 'sha256-{}' 'wasm-unsafe-eval'; style-src 'unsafe-inline'; img-src blob: data:{own}; worker-src blob:{own}; manifest-src{own_or_none}; connect-src {connect}; base-uri 'none'; form-action 'none'",
        hash(&script),
        schedule_script_hash(),
        own_or_none = if inside { " 'none'" } else { own },
    );
    let icon = STANDARD.encode(content("icon.svg"));
    let head = format!(
        "<meta charset=\"utf-8\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">{}",
        if inside {
            ""
        } else {
            "\n<link rel=\"manifest\" href=\"manifest.webmanifest\">"
        }
    );
    let parts = format!(
        "<script type=\"text/plain\" id=\"worker\">{WORKER}</script>\n<script type=\"text/plain\" id=\"guide-page\">{}</script>\n<script type=\"text/plain\" id=\"example\">{}</script>\n<script type=\"text/plain\" id=\"core\">{}</script>\n<script>{script}</script>\n</body>",
        guide(),
        STANDARD.encode(example()),
        STANDARD.encode(core)
    );
    content("")
        .replacen("<meta charset=\"utf-8\">", &head, 1)
        .replacen("<title>A layout</title>", "<title>Hillwash</title>", 1)
        .replacen(
            "href=\"icon.svg\"",
            &format!("href=\"data:image/svg+xml;base64,{icon}\""),
            1,
        )
        .replacen(
            "<link rel=\"stylesheet\" href=\"desk.css\">",
            &format!("<style>{}</style>", content("desk.css")),
            1,
        )
        .replacen("<script type=\"module\" src=\"main.js\"></script>\n", "", 1)
        .replacen("</body>", &parts, 1)
}

/// The guide.
const GUIDE: &str = include_str!("../../report-templates/guide.html");

/// Its pictures, made from the bundled scene by `tests/web/guide.mjs`, which also finds out when they no longer show it.
const GUIDE_PICTURES: [(&str, &[u8]); 3] = [
    (
        "desk.jpg",
        include_bytes!("../../report-templates/guide/desk.jpg"),
    ),
    (
        "schedule.jpg",
        include_bytes!("../../report-templates/guide/schedule.jpg"),
    ),
    (
        "card.jpg",
        include_bytes!("../../report-templates/guide/card.jpg"),
    ),
];

/// The guide: a page that a modeller reads, its pictures in it.
#[must_use]
pub fn guide() -> String {
    GUIDE_PICTURES
        .iter()
        .fold(GUIDE.to_owned(), |page, (name, bytes)| {
            let whole = format!("src=\"data:image/jpeg;base64,{}\"", STANDARD.encode(bytes));
            page.replacen(&format!("src=\"{name}\""), &whole, 1)
        })
}

/// The whole program as one page.
#[must_use]
pub fn one_file(core: &[u8]) -> String {
    page(core)
}

/// The files of a web space, by their names, the page last: what it needs is there before it is.
#[must_use]
pub fn web_space(core: &[u8]) -> Vec<(&'static str, Vec<u8>)> {
    let page = page(&[]);
    let mut whole = Sha256::new();
    whole.update(&page);
    whole.update(core);
    let version = STANDARD.encode(whole.finalize());
    vec![
        (CORE, core.to_vec()),
        ("icon.svg", content("icon.svg").into()),
        ("manifest.webmanifest", MANIFEST.into()),
        ("sw.js", SERVICE_WORKER.replace("VERSION", &version).into()),
        ("index.html", page.into()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_file_asks_nobody_for_anything() {
        let page = one_file(b"\x1f\x8bcore");
        assert!(page.contains("connect-src 'none'"));
        let page = page.replace("src=\"data:", "");
        for part in [
            "src=\"",
            "href=\"desk.css\"",
            "href=\"icon.svg\"",
            "<link rel=\"manifest\"",
        ] {
            assert!(!page.contains(part), "{part}");
        }
        assert!(page.contains(&STANDARD.encode(b"\x1f\x8bcore")));
        let files = crate::desk::unpack(&example()).unwrap();
        assert_eq!(files.len(), STARTER.len());
        assert!(page.contains(&STANDARD.encode(example())));
        let guide = guide();
        assert!(guide.matches("src=\"data:image/jpeg").count() == GUIDE_PICTURES.len());
        assert!(!guide.contains("</script") && !guide.contains("src=\"desk"));
    }

    #[test]
    fn a_web_space_has_a_new_version_when_its_core_is_new() {
        let worker = |core: &[u8]| {
            let files = web_space(core);
            files
                .iter()
                .find(|(name, _)| *name == "sw.js")
                .unwrap()
                .1
                .clone()
        };
        assert_eq!(worker(b"one"), worker(b"one"));
        assert_ne!(worker(b"one"), worker(b"two"));
    }
}
