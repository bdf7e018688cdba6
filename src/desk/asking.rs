//! The page's questions, each an address and a body, and their answers. A server over HTTP, or a browser that runs
//! the desk itself, passes them on unchanged.

use super::desk::Desk;
use super::lane::{QuestionKind, QuestionLane};
use super::refused::Refused;
use super::{
    AskCard, AskColour, AskCut, AskDabs, AskKeep, AskLight, AskList, AskPaints, AskPatch,
    AskPieces, AskRecipes, AskRub, AskSave, AskSchedule, AskTones, AskWashed,
};
use crate::report::with_solver;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::fmt;

/// Addresses of pictures and pages, each a question without a body.
pub const SHOWN: &[&str] = &["view", "raw", "cut", "schedule.html"];
/// Addresses of questions with a body of JSON.
pub const ASKED: &[&str] = &[
    "hello", "alive", "gone", "light", "tones", "pieces", "recipes", "colour", "suggest", "rub",
    "paints", "paste", "missing", "schedule", "washed", "dabs", "keep", "save", "unlog",
];
/// Addresses that take whole files: their bytes are the body.
pub const GIVEN: &[&str] = &[
    "photo", "friend", "patch", "card", "list", "scatter", "ticks",
];

/// Longest name a page may give itself.
const LONGEST_NAME: usize = 64;

/// What a page is answered, as HTTP would say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// 200 for an answer, 204 for none, 400 for a question that cannot be read, 409 and 422 for one that is refused.
    pub status: u16,
    /// The media type of what follows.
    pub kind: &'static str,
    /// The answer.
    pub bytes: Vec<u8>,
}

/// The media type of JSON.
const JSON: &str = "application/json";
/// The media type of a page.
pub const HTML: &str = "text/html; charset=utf-8";

impl Reply {
    fn json(status: u16, value: &Value) -> Self {
        Self {
            status,
            kind: JSON,
            bytes: value.to_string().into_bytes(),
        }
    }

    fn nothing(status: u16) -> Self {
        Self {
            status,
            kind: "text/plain; charset=utf-8",
            bytes: Vec::new(),
        }
    }
}

/// What a question is answered.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// In words and numbers.
    Told(Value),
    /// As a file of a media type.
    Shown(&'static str, Vec<u8>),
    /// There is nothing to show.
    Nothing,
}

impl From<Result<Answer, Refused>> for Reply {
    fn from(answer: Result<Answer, Refused>) -> Self {
        match answer {
            Ok(Answer::Told(value)) => Self::json(200, &value),
            Ok(Answer::Shown(kind, bytes)) => Self {
                status: 200,
                kind,
                bytes,
            },
            Ok(Answer::Nothing) | Err(Refused::Stale) => Self::nothing(204),
            Err(Refused::Changed) => Self::json(409, &json!({ "changed": true })),
            Err(Refused::Problem { words, hint }) => {
                Self::json(422, &json!({ "problem": words, "hint": hint }))
            }
        }
    }
}

type Work = Box<dyn FnOnce(&Desk, &QuestionLane) -> Result<Answer, Refused> + Send>;

/// A question that makes sense.
pub struct Question {
    /// The page that asks; nameless for pictures and pages.
    pub page: String,
    /// Counts up, so that the newest is known.
    pub number: u64,
    /// Whether the page has unsaved work.
    pub unsaved: Option<bool>,
    /// Of which only the newest is worth an answer.
    pub kind: Option<QuestionKind>,
    work: Work,
}

impl fmt::Debug for Question {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Question")
            .field("page", &self.page)
            .field("number", &self.number)
            .field("kind", &self.kind)
            .finish_non_exhaustive()
    }
}

/// What every question in JSON carries.
#[derive(Debug, Deserialize)]
struct AskedWith<T> {
    page: String,
    #[serde(default)]
    number: u64,
    #[serde(default)]
    unsaved: Option<bool>,
    #[serde(flatten)]
    what: T,
}

/// A question without more to it.
#[derive(Debug, Deserialize)]
struct Nothing {}

/// The scene as a page has read it.
#[derive(Debug, Deserialize)]
struct OfBase {
    base: String,
}

/// A photo.
#[derive(Debug, Deserialize)]
struct OfPhoto {
    photo: String,
}

/// The schedule that was made last; one to be handed on may carry what solves it again.
#[derive(Debug, Deserialize)]
struct OfSchedule {
    solver: Option<String>,
}

/// A file's name.
#[derive(Debug, Deserialize)]
struct Named {
    name: String,
}

/// A file's name, and today as the page's clock has it.
#[derive(Debug, Deserialize)]
struct Dated {
    name: String,
    date: String,
}

/// A question in JSON, of a kind of which the newest counts.
fn of_kind<T: DeserializeOwned + Send + 'static>(
    body: &[u8],
    kind: impl FnOnce(&T) -> Option<QuestionKind>,
    work: impl FnOnce(&Desk, T, &QuestionLane, u64) -> Result<Value, Refused> + Send + 'static,
) -> Result<Question, Reply> {
    let asked: AskedWith<T> = serde_json::from_slice(body).map_err(|fault| unread(&fault))?;
    if asked.page.len() > LONGEST_NAME {
        return Err(unread(&"found a page with too long a name"));
    }
    let (number, what) = (asked.number, asked.what);
    Ok(Question {
        page: asked.page,
        number,
        unsaved: asked.unsaved,
        kind: kind(&what),
        work: Box::new(move |desk, lane| work(desk, what, lane, number).map(Answer::Told)),
    })
}

/// A question in JSON.
fn plain<T: DeserializeOwned + Send + 'static>(
    body: &[u8],
    work: impl FnOnce(&Desk, T) -> Result<Value, Refused> + Send + 'static,
) -> Result<Question, Reply> {
    of_kind(body, |_| None, |desk, what, _, _| work(desk, what))
}

/// A question whose words are in the address.
fn in_address<T: DeserializeOwned + Send + 'static>(
    about: &str,
    work: impl FnOnce(&Desk, T) -> Result<Answer, Refused> + Send + 'static,
) -> Result<Question, Reply> {
    let what: T = serde_urlencoded::from_str(about).map_err(|fault| unread(&fault))?;
    Ok(Question {
        page: String::new(),
        number: 0,
        unsaved: None,
        kind: None,
        work: Box::new(move |desk, _| work(desk, what)),
    })
}

fn unread(fault: &dyn fmt::Display) -> Reply {
    let words = format!("found a question that cannot be read: {fault}");
    Reply::json(400, &json!({ "problem": words, "hint": null }))
}

fn jpeg(bytes: Vec<u8>) -> Answer {
    Answer::Shown("image/jpeg", bytes)
}

/// The kind of a picture that every browser shows.
fn shown_by_browsers(bytes: &[u8]) -> Option<&'static str> {
    let kinds: [(&[u8], &str); 5] = [
        (b"\xff\xd8\xff", "image/jpeg"),
        (b"\x89PNG\r\n", "image/png"),
        (b"RIFF", "image/webp"),
        (b"BM", "image/bmp"),
        (b"GIF8", "image/gif"),
    ];
    let kind = kinds.iter().find(|(start, _)| bytes.starts_with(start));
    kind.map(|(_, kind)| *kind)
}

impl Question {
    /// Reads a question: its address, what stands behind the question mark there, and its body.
    ///
    /// # Errors
    /// The answer to one that cannot be read, or that nobody answers.
    #[expect(
        clippy::too_many_lines,
        reason = "one table: an address a row, with what answers it"
    )]
    pub fn read(address: &str, about: &str, body: &[u8]) -> Result<Self, Reply> {
        match address {
            "hello" => plain(body, |desk, Nothing {}| desk.hello()),
            "alive" => plain(body, |desk, OfBase { base }| {
                Ok(json!({ "changed": desk.has_changed(&base) }))
            }),
            "gone" => plain(body, |_, Nothing {}| Ok(Value::Null)),
            "light" => plain(body, |desk, ask: AskLight| desk.light(ask)),
            "suggest" => plain(body, |desk, OfPhoto { photo }| desk.suggest(&photo)),
            "paints" => plain(body, |desk, ask: AskList| desk.paint_list(&ask)),
            "paste" => plain(body, |desk, ask: AskPaints| desk.take_paints(&ask)),
            "missing" => plain(body, |desk, Nothing {}| desk.missing_most()),
            "dabs" => plain(body, |desk, ask: AskDabs| desk.dabs(&ask)),
            "keep" => plain(body, |desk, ask: AskKeep| desk.keep(&ask)),
            "save" => plain(body, |desk, ask: AskSave| desk.save(ask)),
            "unlog" => plain(body, |desk, Nothing {}| desk.take_back_patch()),
            "tones" => of_kind(
                body,
                |ask: &AskTones| {
                    Some(if ask.is_rough() {
                        QuestionKind::Moving
                    } else {
                        QuestionKind::Settled
                    })
                },
                |desk, ask, lane, number| desk.tones(&ask, lane, number),
            ),
            "pieces" => of_kind(
                body,
                |_| Some(QuestionKind::Settled),
                |desk, ask: AskPieces, lane, number| desk.pieces(&ask, lane, number),
            ),
            "recipes" => of_kind(
                body,
                |_| Some(QuestionKind::Recipes),
                |desk, ask: AskRecipes, lane, number| desk.recipes(&ask, lane, number),
            ),
            "colour" => of_kind(
                body,
                |_| Some(QuestionKind::Colour),
                |desk, ask: AskColour, lane, number| desk.colour(&ask, lane, number),
            ),
            "rub" => of_kind(
                body,
                |_| Some(QuestionKind::Rub),
                |desk, ask: AskRub, lane, number| desk.rub(&ask, lane, number),
            ),
            "schedule" => of_kind(
                body,
                |_| Some(QuestionKind::Schedule),
                |desk, ask: AskSchedule, lane, number| {
                    let page = desk.schedule(ask, lane, number)?;
                    desk.show(page);
                    Ok(json!({ "made": true }))
                },
            ),
            "washed" => of_kind(
                body,
                |_| Some(QuestionKind::Washed),
                |desk, ask: AskWashed, lane, number| desk.washed(ask, lane, number),
            ),
            "schedule.html" => in_address(about, |desk, OfSchedule { solver }| {
                let page = match &desk.settings.core {
                    Some(core) if solver.is_some() => with_solver(&desk.shown(), core),
                    _ => desk.shown(),
                };
                Ok(Answer::Shown(HTML, page.into_bytes()))
            }),
            "view" => in_address(about, |desk, OfPhoto { photo }| {
                desk.view(&photo).map(|small| jpeg(small.bytes.clone()))
            }),
            "raw" => in_address(about, |desk, OfPhoto { photo }| {
                let bytes = desk.raw(&photo)?;
                Ok(match shown_by_browsers(&bytes) {
                    Some(kind) => Answer::Shown(kind, bytes),
                    None => Answer::Nothing,
                })
            }),
            "cut" => in_address(about, |desk, ask: AskCut| {
                desk.cut(&ask).map(|small| jpeg(small.bytes))
            }),
            _ => Self::read_given(address, about, body),
        }
    }

    /// Reads a question whose body is a whole file.
    fn read_given(address: &str, about: &str, body: &[u8]) -> Result<Self, Reply> {
        if !GIVEN.contains(&address) {
            return Err(Reply::nothing(404));
        }
        let bytes = body.to_vec();
        match address {
            "photo" => in_address(about, move |desk, Named { name }| {
                desk.add_photo(&name, &bytes).map(Answer::Told)
            }),
            "friend" => in_address(about, move |desk, Dated { name, date }| {
                let (page, told) = desk.friend(&name, &bytes, &date)?;
                desk.show(page);
                Ok(Answer::Told(told))
            }),
            "patch" => in_address(about, move |desk, ask: AskPatch| {
                desk.patch(&ask, &bytes).map(Answer::Told)
            }),
            "card" => in_address(about, move |desk, ask: AskCard| {
                desk.card(&ask, &bytes).map(Answer::Told)
            }),
            "list" => in_address(about, move |desk, Named { name }| {
                desk.paints_given(&name, &bytes).map(Answer::Told)
            }),
            "scatter" => in_address(about, move |desk, Named { name }| {
                desk.scatter_given(&name, &bytes).map(Answer::Told)
            }),
            "ticks" => in_address(about, move |desk, Named { name }| {
                desk.keep_ticks(name, &bytes).map(Answer::Told)
            }),
            _ => Err(Reply::nothing(404)),
        }
    }

    /// Answers it; `lane` is where questions of its kind wait for their turn.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn answer(self, desk: &Desk, lane: &QuestionLane) -> Result<Answer, Refused> {
        (self.work)(desk, lane)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_address_is_known_and_no_other() {
        for address in SHOWN.iter().chain(ASKED).chain(GIVEN) {
            let read = Question::read(address, "", b"");
            assert!(
                read.is_ok_and(|_| true)
                    || Question::read(address, "", b"").is_err_and(|r| r.status == 400),
                "{address}"
            );
        }
        assert!(Question::read("open", "", b"").is_err_and(|reply| reply.status == 404));
    }

    #[test]
    fn the_newest_of_its_kind_is_told_by_what_is_asked() {
        let kind =
            |address: &str, body: &str| Question::read(address, "", body.as_bytes()).unwrap().kind;
        let tones = r#"{"page":"a","number":3,"parts":[],"tones":null,"rough":ROUGH}"#;
        assert_eq!(
            kind("tones", &tones.replace("ROUGH", "true")),
            Some(QuestionKind::Moving)
        );
        assert_eq!(
            kind("tones", &tones.replace("ROUGH", "false")),
            Some(QuestionKind::Settled)
        );
        assert_eq!(kind("hello", r#"{"page":"a"}"#), None);
        let long = format!("{{\"page\":\"{}\"}}", "a".repeat(65));
        assert!(Question::read("hello", "", long.as_bytes()).is_err());
    }
}
