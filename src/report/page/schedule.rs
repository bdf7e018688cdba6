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

/// What a content security policy names an inline block by.
fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

#[derive(Template)]
#[template(path = "page/schedule.html", config = "report-templates/askama.toml")]
struct Page<'a> {
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

/// Renders the page, which carries `plan` along.
///
/// # Errors
/// [`ReportError`] when a template fails.
pub fn schedule_html(view: &View, plan: &PlanFile) -> Result<String, ReportError> {
    let [light, dark] = &view.accents;
    let style = format!(
        "{STYLE}@media screen {{ :root {{ --accent: {light}; }} }}\n@media screen and (prefers-color-scheme: dark) {{ :root {{ --accent: {dark}; }} }}\n"
    );
    let page = Page {
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
