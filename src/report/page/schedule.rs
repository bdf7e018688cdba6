//! The schedule: one self-contained page.

use crate::report::dirt::view::DirtView;
use crate::report::page::tight::with_tight_drawings;
use crate::report::page::view::View;
use crate::report::{ReportError, STYLE};
use crate::share::PlanFile;
use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::fmt::Write;

const SCRIPT: &str = include_str!("../../../report-templates/script.js");
const SOLVER: &str = include_str!("../../../report-templates/solver.js");
const SOLVER_PART: &str = include_str!("../../../report-templates/solver.html");
/// What runs the core in a browser.
const WORKER: &str = concat!(
    include_str!("../../../report-templates/web/host.js"),
    include_str!("../../../report-templates/web/solving.js")
);

/// What a content security policy names an inline block by.
fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

#[derive(Template)]
#[template(path = "page/schedule.html", config = "report-templates/askama.toml")]
struct SchedulePage<'a> {
    view: &'a View,
    style: String,
    style_hash: String,
    script: &'a str,
    script_hash: String,
    data: String,
}

/// JSON that can stand inside a page: `<`, `>`, `&`, U+2028 and U+2029 as escapes, so that nothing in it can end the
/// block or be taken for markup.
fn for_page(json: &str) -> String {
    let mut safe = String::new();
    for c in json.chars() {
        match c {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => {
                let _ = write!(safe, "\\u{:04x}", u32::from(c));
            }
            _ => safe.push(c),
        }
    }
    safe
}

/// What a content security policy names the script of a schedule by.
#[must_use]
pub fn schedule_script_hash() -> String {
    hash(SCRIPT)
}

/// A schedule with the packed core for browsers inside, so that the file itself can solve it again.
#[must_use]
pub fn with_solver(page: &str, core: &[u8]) -> String {
    let (own, rest) = page.split_once("script-src '").unwrap_or((page, ""));
    let (style, own) = own
        .rsplit_once("style-src '")
        .and_then(|(before, hash)| Some((hash.split_once('\'')?.1, before)))
        .map_or(("", own), |(after, before)| (after, before));
    let (body, end) = rest.rsplit_once("</body>").unwrap_or((rest, ""));
    // The page that comes of it is shown inside this one and is bound by its policy too; its style is made anew.
    format!(
        "{own}style-src 'unsafe-inline'{style}script-src 'sha256-{}' 'wasm-unsafe-eval' '{}</body>{end}",
        hash(SOLVER),
        body.replacen(
            "; base-uri 'none'",
            "; worker-src blob:; base-uri 'none'",
            1
        ) + &format!(
            "{SOLVER_PART}<script type=\"text/plain\" id=\"worker\">{WORKER}</script>\n<script type=\"text/plain\" id=\"core\">{}</script>\n<script>{SOLVER}</script>\n",
            STANDARD.encode(core)
        )
    )
}

/// Renders the page, which carries `plan` along.
///
/// # Errors
/// [`ReportError`] when a template fails.
pub fn schedule_html(view: &View, plan: &PlanFile) -> Result<String, ReportError> {
    let [light, dark] = &view.accents;
    let style = format!(
        "{STYLE}@media screen {{ :root {{ --accent: {light}; }} }}\n@media screen and (prefers-color-scheme: dark) {{ :root {{ --accent: {dark}; }} }}\n"
    );
    let page = SchedulePage {
        view,
        style_hash: hash(&style),
        style,
        script: SCRIPT,
        script_hash: hash(SCRIPT),
        data: for_page(&plan.to_json()?),
    };
    Ok(with_tight_drawings(&page.render()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_in_a_page_cannot_end_its_block() {
        let json = serde_json::json!({ "name": "</script><img onerror=x>\u{2028}&" });
        let text = for_page(&json.to_string());
        assert!(!text.contains(['<', '>', '&', '\u{2028}']));
        assert_eq!(
            serde_json::from_str::<serde_json::Value>(&text).unwrap()["name"],
            "</script><img onerror=x>\u{2028}&"
        );
    }
}
