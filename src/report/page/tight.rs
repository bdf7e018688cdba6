//! Drawings without white space: templates have a line and an indentation for each part, which no reader of a page
//! needs.

/// A page or drawing whose `<svg>` elements stand on one line each: a line break and its indentation vanish between
/// tags, and become one space between words or attributes. What lies outside `<svg>` is left alone.
pub(in crate::report) fn with_tight_drawings(page: &str) -> String {
    let mut tight = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(start) = rest.find("<svg") {
        let end = end_of_drawing(&rest[start..]).map_or(rest.len(), |length| start + length);
        tight.push_str(&rest[..start]);
        push_on_one_line(&rest[start..end], &mut tight);
        rest = &rest[end..];
    }
    tight.push_str(rest);
    tight
}

/// The length of the drawing that `text` begins with, drawings within it included; `None` when it is not closed.
fn end_of_drawing(text: &str) -> Option<usize> {
    const CLOSING: &str = "</svg>";
    let mut open = 0_usize;
    let mut at = 0;
    loop {
        let close = at + text[at..].find(CLOSING)?;
        open += text[at..close].matches("<svg").count();
        open = open.checked_sub(1)?;
        at = close + CLOSING.len();
        if open == 0 {
            return Some(at);
        }
    }
}

fn push_on_one_line(drawing: &str, tight: &mut String) {
    let mut ended_with_tag = true;
    for line in drawing
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
    {
        if !(ended_with_tag && line.starts_with('<')) {
            tight.push(' ');
        }
        tight.push_str(line);
        ended_with_tag = line.ends_with('>');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_lose_their_line_breaks_and_the_page_keeps_its_own() {
        let page = "<p>a\n  b</p>\n<svg a=\"1\"\n  b=\"2\">\n  <svg>\n\n    <text>one\n two</text>\n  </svg>\n</svg>\n<p>";
        assert_eq!(
            with_tight_drawings(page),
            "<p>a\n  b</p>\n<svg a=\"1\" b=\"2\"><svg><text>one two</text></svg></svg>\n<p>"
        );
        assert_eq!(
            with_tight_drawings("no drawing\n at all"),
            "no drawing\n at all"
        );
        assert_eq!(with_tight_drawings("<svg>\n <g/>"), "<svg><g/>");
    }
}
