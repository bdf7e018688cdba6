//! The terminal: swatches, colour choice, and text freed of control characters.

use anstyle::{Color, RgbColor, Style};
use hillwash::colour::{LabD65, Srgb8};
use hillwash::problem::turns_writing;
use std::io::Write;

/// An answer could not be written, to a full disk for example.
#[derive(Debug, thiserror::Error)]
#[error("could not write the answer: {0}")]
struct NotSaid(std::io::Error);

impl hillwash::problem::Explain for NotSaid {}

/// An answer: to standard output. A reader that went away is no error.
pub(crate) fn say(text: &str) -> Result<(), super::Problems> {
    let mut out = anstream::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(super::boxed([NotSaid(error)]))
        }
        _ => Ok(()),
    }
}

/// Progress, hints, problems: to standard error.
pub(crate) fn tell(text: &str) {
    let mut err = anstream::stderr().lock();
    let _ = writeln!(err, "{text}");
}

/// How much to print besides answers and problems.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Talk {
    /// Answers and problems only.
    Quiet,
    /// Progress and hints too.
    Usual,
}

impl Talk {
    /// Says something that quiet users do without.
    pub(crate) fn tell(self, text: &str) {
        if self == Self::Usual {
            tell(text);
        }
    }
}

/// A swatch of `width` blanks on a coloured ground.
pub(crate) fn swatch(colour: Srgb8, width: usize) -> String {
    let [r, g, b] = colour.0;
    let style = Style::new().bg_color(Some(Color::Rgb(RgbColor(r, g, b))));
    format!("{style}{}{style:#}", " ".repeat(width))
}

/// A JSON answer on one line, its format first: the reader sees at once what it is.
pub(crate) fn answer(mut value: serde_json::Value) -> String {
    let Some(format) = value.as_object_mut().and_then(|all| all.remove("format")) else {
        return escaped(&value.to_string());
    };
    let rest = escaped(&value.to_string());
    match rest.strip_prefix('{') {
        Some("}") | None => format!("{{\"format\":{format}}}"),
        Some(rest) => format!("{{\"format\":{format},{rest}"),
    }
}

/// JSON whose strings spell what turns the direction of writing, and control characters of any kind: it reads as it is.
fn escaped(json: &str) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(json.len());
    for c in json.chars() {
        if turns_writing(c) || c.is_control() {
            let _ = write!(text, "\\u{:04x}", u32::from(c));
        } else {
            text.push(c);
        }
    }
    text
}

/// "#7a5b48  L* 42 a* 12 b* 16".
pub(crate) fn lab_text(colour: LabD65) -> String {
    let whole = |v: f64| v.round() + 0.0;
    format!(
        "{}  L* {:>3} a* {:>3} b* {:>3}",
        colour.to_srgb8(),
        whole(colour.l),
        whole(colour.a),
        whole(colour.b)
    )
}

/// Text of users' files without control characters (line breaks stay) and without the signs that turn the direction of
/// writing: it cannot move the cursor, change colours, or read otherwise than it is.
pub(crate) fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| (!c.is_control() && !turns_writing(*c)) || *c == '\n')
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escape_sequences_do_not_pass() {
        assert_eq!(plain("wall\u{1b}[2J\u{7}\nend"), "wall[2J\nend");
        assert_eq!(plain("wall\u{202e}gpj.exe\u{2066}"), "wallgpj.exe");
    }

    #[test]
    fn an_answer_begins_with_its_format() {
        let value = serde_json::json!({"add": 1, "format": "hillwash.patch/1", "seen": [2]});
        assert_eq!(
            answer(value),
            r#"{"format":"hillwash.patch/1","add":1,"seen":[2]}"#
        );
        let name = serde_json::json!({"format": "a", "file": "wall\u{202e}gpj.png\u{9b}"});
        let text = answer(name);
        assert_eq!(text, r#"{"format":"a","file":"wall\u202egpj.png\u009b"}"#);
        assert!(serde_json::from_str::<serde_json::Value>(&text).is_ok());
    }
}
