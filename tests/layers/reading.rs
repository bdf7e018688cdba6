//! Paths read out of Rust source: comments and strings do not count, groups are taken apart.

/// A path as the source writes it, groups taken apart: `use a::{b, c::d}` gives `a::b` and `a::c::d`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Written {
    pub(crate) line: usize,
    pub(crate) segments: Vec<String>,
    /// How many inline modules stand around it.
    pub(crate) depth: usize,
    /// Whether it names a crate on its own: `use image;`.
    pub(crate) imported: bool,
    /// Whether it is called on a value: `path.exists()`.
    pub(crate) method: bool,
}

/// Source with comments, strings and characters blanked out, line by line as before.
///
/// Gives `None` when a string or comment is still open at the end, which would hide what follows it.
pub(crate) fn without_comments_and_strings(source: &str) -> Option<String> {
    let chars: Vec<char> = source.chars().collect();
    let mut kept = String::with_capacity(source.len());
    let mut at = 0;
    let blank = |kept: &mut String, from: usize, to: usize| {
        for c in &chars[from..to] {
            kept.push(if *c == '\n' { '\n' } else { ' ' });
        }
    };
    while at < chars.len() {
        let rest = &chars[at..];
        let after_word = at > 0 && is_word(chars[at - 1]);
        let end = match rest {
            ['/', '/', ..] => rest.iter().position(|c| *c == '\n').unwrap_or(rest.len()),
            ['/', '*', ..] => end_of_block_comment(rest)?,
            ['"', ..] => end_of_string(rest, 0)?,
            ['b', '"', ..] if !after_word => end_of_string(rest, 1)?,
            ['r', '"' | '#', ..] if !after_word => end_of_raw_string(rest, 1)?.unwrap_or(0),
            ['b', 'r', '"' | '#', ..] if !after_word => end_of_raw_string(rest, 2)?.unwrap_or(0),
            ['\'', ..] => end_of_character(rest).unwrap_or(0),
            _ => 0,
        };
        if end == 0 {
            kept.push(chars[at]);
            at += 1;
        } else {
            blank(&mut kept, at, at + end);
            at += end;
        }
    }
    Some(kept)
}

fn end_of_block_comment(rest: &[char]) -> Option<usize> {
    let mut open = 0_usize;
    let mut at = 0;
    while at < rest.len() {
        match rest[at..] {
            ['/', '*', ..] => {
                open += 1;
                at += 2;
            }
            ['*', '/', ..] => {
                open -= 1;
                at += 2;
                if open == 0 {
                    return Some(at);
                }
            }
            _ => at += 1,
        }
    }
    None
}

/// `quote` is where the opening quotation mark stands.
fn end_of_string(rest: &[char], quote: usize) -> Option<usize> {
    let mut at = quote + 1;
    while at < rest.len() {
        match rest[at] {
            '\\' => at += 2,
            '"' => return Some(at + 1),
            _ => at += 1,
        }
    }
    None
}

/// `Some(None)` when this is no raw string after all (`r#type`).
#[expect(
    clippy::option_option,
    reason = "no raw string, and one that is not closed, are two answers"
)]
fn end_of_raw_string(rest: &[char], prefix: usize) -> Option<Option<usize>> {
    let hashes = rest[prefix..].iter().take_while(|c| **c == '#').count();
    let open = prefix + hashes;
    if rest.get(open) != Some(&'"') {
        return Some(None);
    }
    let mut at = open + 1;
    while at < rest.len() {
        let closing = rest[at + 1..].iter().take(hashes);
        if rest[at] == '"' && closing.filter(|c| **c == '#').count() == hashes {
            return Some(Some(at + 1 + hashes));
        }
        at += 1;
    }
    None
}

/// A character in quotes; a lifetime is none.
fn end_of_character(rest: &[char]) -> Option<usize> {
    match rest {
        ['\'', '\\', _, ..] => rest[3..].iter().position(|c| *c == '\'').map(|n| n + 4),
        ['\'', _, '\'', ..] => Some(3),
        _ => None,
    }
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Where a path stands.
#[derive(Clone, Copy, PartialEq)]
enum ReadFrom {
    /// After `use`.
    Import,
    Code,
}

/// Reads paths out of blanked source.
struct Reader<'a> {
    chars: &'a [char],
    at: usize,
    line: usize,
    found: Vec<Written>,
    braces: usize,
    /// For each inline module around, how many braces were open outside it.
    modules: Vec<usize>,
}

/// All paths of a source.
pub(crate) fn paths(blanked: &str) -> Vec<Written> {
    let chars: Vec<char> = blanked.chars().collect();
    let mut reader = Reader {
        chars: &chars,
        at: 0,
        line: 1,
        found: Vec::new(),
        braces: 0,
        modules: Vec::new(),
    };
    let mut last_word = String::new();
    while let Some(c) = reader.peek() {
        if is_word(c) {
            let from = match last_word.as_str() {
                "use" | "crate" => ReadFrom::Import,
                _ => ReadFrom::Code,
            };
            let in_module = last_word == "mod";
            let after_dot = reader.before() == Some('.');
            let before = reader.found.len();
            reader.path(&[], from);
            last_word = reader
                .found
                .get(before)
                .and_then(|path| path.segments.last().cloned())
                .unwrap_or_default();
            if after_dot {
                // A field or a method, and what belongs to it.
                reader.found.truncate(before + 1);
                for path in &mut reader.found[before..] {
                    path.method = true;
                }
            }
            reader.blanks();
            if in_module && reader.peek() == Some('{') {
                reader.modules.push(reader.braces);
            }
        } else if c == '{' && last_word == "use" {
            reader.group(&[], ReadFrom::Import);
            last_word.clear();
        } else {
            match c {
                '{' => reader.braces += 1,
                '}' => {
                    reader.braces = reader.braces.saturating_sub(1);
                    if reader.modules.last() == Some(&reader.braces) {
                        reader.modules.pop();
                    }
                }
                _ => {}
            }
            if !c.is_whitespace() && c != ':' {
                last_word.clear();
            }
            reader.step();
        }
    }
    reader.found
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    fn before(&self) -> Option<char> {
        self.at
            .checked_sub(1)
            .and_then(|i| self.chars.get(i))
            .copied()
    }

    fn step(&mut self) {
        if self.peek() == Some('\n') {
            self.line += 1;
        }
        self.at += 1;
    }

    fn blanks(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.step();
        }
    }

    /// Steps over `::` if it stands here.
    fn colons(&mut self) -> bool {
        let found = self.chars[self.at..].starts_with(&[':', ':']);
        if found {
            self.at += 2;
            self.blanks();
        }
        found
    }

    /// A path from here on, after `stem`.
    fn path(&mut self, stem: &[String], from: ReadFrom) {
        let mut segments = stem.to_vec();
        let line = self.line;
        loop {
            match self.peek() {
                Some('{') => {
                    self.group(&segments, from);
                    return;
                }
                Some('*') => {
                    self.step();
                    segments.push("*".to_owned());
                    break;
                }
                Some(c) if is_word(c) => {
                    let mut word = String::new();
                    while let Some(c) = self.peek().filter(|c| is_word(*c)) {
                        word.push(c);
                        self.step();
                    }
                    let next = self.chars.get(self.at + 1);
                    if self.peek() == Some('!') && next != Some(&'=') {
                        word.push('!');
                    }
                    segments.push(word);
                    if !self.colons() {
                        break;
                    }
                }
                // `::<`: what follows is read as paths of its own.
                _ => break,
            }
        }
        self.found.push(Written {
            line,
            segments,
            depth: self.modules.len(),
            imported: from == ReadFrom::Import,
            method: false,
        });
    }

    /// `{a, b::c, d as e}` after a stem.
    fn group(&mut self, stem: &[String], from: ReadFrom) {
        self.step();
        loop {
            self.blanks();
            match self.peek() {
                None => return,
                Some('}') => {
                    self.step();
                    return;
                }
                Some(c) if is_word(c) || c == '*' || c == '{' => {
                    self.path(stem, from);
                    self.blanks();
                    // `as name` is no path.
                    while self.peek().is_some_and(|c| c != ',' && c != '}') {
                        self.step();
                    }
                }
                Some(_) => self.step(),
            }
        }
    }
}
