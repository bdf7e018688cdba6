//! Requests of the worker: the page's questions, and questions about a layout as a whole.

use super::files::{Files, MOST_PHOTO};
use crate::desk::{
    Desk, HTML, NewScene, Question, QuestionKind, QuestionLane, Refused, Reply, SCENE,
    STARTER_PAINTS, Settings, pack, solved_again, unpack,
};
use crate::mix::Shelf;
use crate::paint::{ListReading, PaintList};
use crate::photo::{Damage, Limits, too_large};
use crate::plan::Kit;
use crate::scene::MayName;
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// What is refused in a browser: it has less memory than a program of its own. Our choice.
const LIMITS: Limits = Limits {
    file_bytes: MOST_PHOTO,
    side: 20_000,
    pixels: 40_000_000,
    decoded_bytes: 320 << 20,
    damage: Damage::Refuse,
};

/// What came in, what goes out, and the desk.
#[derive(Default)]
pub(super) struct Core {
    request: Vec<u8>,
    reply: Vec<u8>,
    files: Files,
    desk: Option<Desk>,
    /// This core itself, packed, for schedules that are to carry it.
    packed: Option<Vec<u8>>,
    lanes: Option<[Arc<QuestionLane>; QuestionKind::COUNT]>,
}

/// An address, what stands behind its question mark, and a body.
pub(super) struct Request {
    address: String,
    about: String,
    body: Vec<u8>,
}

impl From<Vec<u8>> for Request {
    fn from(mut bytes: Vec<u8>) -> Self {
        let line = bytes
            .iter()
            .position(|b| *b == b'\n')
            .unwrap_or(bytes.len());
        let first = String::from_utf8_lossy(&bytes[..line]).into_owned();
        bytes.drain(..bytes.len().min(line + 1));
        let (address, about) = first.split_once('?').unwrap_or((&first, ""));
        Self {
            address: address.to_owned(),
            about: about.to_owned(),
            body: bytes,
        }
    }
}

/// How a layout is opened where it has no scene yet.
#[derive(Deserialize)]
struct NewLayout {
    title: String,
    names: Vec<String>,
}

/// Which files of a layout are wanted.
#[derive(Deserialize)]
struct Packing {
    names: Vec<String>,
    /// Today, as the page's clock has it.
    date: String,
}

fn json_reply(status: u16, value: &Value) -> Reply {
    Reply {
        status,
        kind: "application/json",
        bytes: value.to_string().into_bytes(),
    }
}

fn refused(words: impl Into<String>, hint: Option<String>) -> Reply {
    json_reply(422, &json!({ "problem": words.into(), "hint": hint }))
}

fn parsed<T: serde::de::DeserializeOwned>(body: &[u8]) -> Result<T, Reply> {
    serde_json::from_slice(body).map_err(|fault| {
        refused(
            format!("found a request that cannot be read: {fault}"),
            None,
        )
    })
}

/// A plan to be solved again: how many bytes of the body it takes, the list after it, and today's date.
#[derive(Deserialize)]
struct Solving {
    plan: usize,
    list: String,
    date: String,
}

/// Solves a received plan again for a list; gives the page.
fn solve(request: &Request) -> Result<Reply, Reply> {
    let asked: Solving = serde_urlencoded::from_str(&request.about).map_err(|fault| {
        refused(
            format!("found a request that cannot be read: {fault}"),
            None,
        )
    })?;
    let (plan, list) = request
        .body
        .split_at_checked(asked.plan)
        .ok_or_else(|| refused("found a request that is cut short", None))?;
    let spectra = |_: &str| Err("a file of its own, which a single list does not hold".to_owned());
    let paints = PaintList::read(&asked.list, list, &spectra, &ListReading::default()).map_err(
        |faults| {
            let words: Vec<String> = faults
                .iter()
                .take(8)
                .map(|fault| format!("{}: {fault}", crate::problem::Explain::place(fault)))
                .collect();
            refused(
                words.join("; "),
                faults.iter().find_map(crate::problem::Explain::hint),
            )
        },
    )?;
    let shelf = Shelf::new(&paints);
    let kit = Kit::new(&paints, &shelf);
    match solved_again("the schedule", plan, &kit, &asked.date) {
        Ok((page, told)) => {
            let mut bytes = told.to_string().into_bytes();
            bytes.push(b'\n');
            bytes.extend_from_slice(page.as_bytes());
            Ok(Reply {
                status: 200,
                kind: HTML,
                bytes,
            })
        }
        Err(fault) => Err(Reply::from(Err::<crate::desk::Answer, Refused>(fault))),
    }
}

impl Core {
    /// Makes room for a request and says where.
    pub(super) fn room(&mut self, bytes: usize) -> *mut u8 {
        self.reply = Vec::new();
        self.request = vec![0; bytes];
        self.request.as_mut_ptr()
    }

    /// The request that was put there.
    pub(super) fn taken(&mut self) -> Vec<u8> {
        std::mem::take(&mut self.request)
    }

    /// Where the answer is.
    pub(super) fn out(&self) -> *const u8 {
        self.reply.as_ptr()
    }

    /// Lets go of the answer.
    pub(super) fn done(&mut self) {
        self.reply = Vec::new();
    }

    /// Answers and says how many bytes the answer takes.
    pub(super) fn answer(&mut self, request: &Request) -> usize {
        let reply = self.replied(request).unwrap_or_else(|refused| refused);
        let written = self.files.take();
        let wrote: Vec<Value> = written
            .iter()
            .map(|(name, bytes)| json!({ "name": name, "length": bytes.as_ref().map(Vec::len) }))
            .collect();
        let head = json!({
            "status": reply.status,
            "kind": reply.kind,
            "length": reply.bytes.len(),
            "wrote": wrote,
        });
        let mut out = head.to_string().into_bytes();
        out.push(b'\n');
        out.extend_from_slice(&reply.bytes);
        drop(reply);
        for bytes in written.into_values().flatten() {
            out.extend_from_slice(&bytes);
        }
        self.reply = out;
        self.reply.len()
    }

    fn replied(&mut self, request: &Request) -> Result<Reply, Reply> {
        match request.address.as_str() {
            "open" => self.open(&parsed(&request.body)?),
            "pack" => self.pack(&parsed(&request.body)?),
            "unpack" => self.unpack(&request.body),
            "core" => {
                self.packed = Some(request.body.clone());
                Ok(json_reply(200, &json!({})))
            }
            "fits" => Ok(json_reply(
                200,
                &too_large(&request.body, &LIMITS).map_or_else(
                    || json!({ "fits": true }),
                    |[width, height]| json!({ "fits": false, "width": width, "height": height }),
                ),
            )),
            "solve" => solve(request),
            _ => self.asked(request),
        }
    }

    fn asked(&self, request: &Request) -> Result<Reply, Reply> {
        let desk = self
            .desk
            .as_ref()
            .ok_or_else(|| refused("found no layout", None))?;
        let question = Question::read(&request.address, &request.about, &request.body)?;
        let lane = match (question.kind, &self.lanes) {
            (Some(kind), Some(lanes)) => Arc::clone(&lanes[kind as usize]),
            _ => Arc::default(),
        };
        lane.arrived(question.number);
        Ok(Reply::from(question.answer(desk, &lane)))
    }

    /// Opens the layout that the worker holds, or begins one.
    fn open(&mut self, opening: &NewLayout) -> Result<Reply, Reply> {
        let settings = Settings {
            name: SCENE.to_owned(),
            file: SCENE.to_owned(),
            new_scene: Some(NewScene::of_photos(&opening.title, &opening.names)),
            may_name: MayName::ItsFolder,
            limits: LIMITS,
            print_only: false,
            starter_paints: STARTER_PAINTS,
            core: self.packed.clone(),
        };
        self.desk = None;
        let desk = Desk::new(settings, Box::new(self.files.clone())).map_err(|faults| {
            let words: Vec<String> = faults
                .iter()
                .map(|fault| format!("{}: {fault}", fault.place()))
                .collect();
            let hint = faults.iter().find_map(|fault| fault.hint());
            let mend = "mend it where it was changed, or load another layout";
            refused(
                format!("this layout cannot be read ({})", words.join("; ")),
                Some(hint.map_or_else(|| mend.to_owned(), |hint| format!("{hint}; {mend}"))),
            )
        })?;
        self.desk = Some(desk);
        self.lanes = Some(QuestionLane::of_page());
        Ok(json_reply(200, &json!({})))
    }

    /// The layout as one file, its schedule in it where one can be made.
    fn pack(&self, packing: &Packing) -> Result<Reply, Reply> {
        let mut files: Vec<(String, Vec<u8>)> = Vec::new();
        for name in &packing.names {
            let bytes = self.files.get(name);
            files.push((
                name.clone(),
                bytes.ok_or_else(|| {
                    refused(
                        format!("could not read \"{name}\" from the browser's storage"),
                        None,
                    )
                })?,
            ));
        }
        let made = self
            .desk
            .as_ref()
            .map(|desk| desk.plan_files(&packing.date));
        if let Some(Ok(made)) = made {
            files.retain(|(name, _)| !name.starts_with("schedule/"));
            files.extend(
                made.into_iter()
                    .map(|(name, bytes)| (format!("schedule/{name}"), bytes)),
            );
        }
        let bytes = pack(&files).map_err(|fault| refused(fault.to_string(), None))?;
        Ok(Reply {
            status: 200,
            kind: "application/zip",
            bytes,
        })
    }

    /// Takes a layout apart; its files are handed back as written.
    fn unpack(&self, bytes: &[u8]) -> Result<Reply, Reply> {
        let files = unpack(bytes).map_err(|fault| {
            use crate::problem::Explain;
            refused(fault.to_string(), fault.hint())
        })?;
        let names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
        for (name, bytes) in files {
            self.files.put(name, Some(bytes));
        }
        Ok(json_reply(200, &json!({ "names": names })))
    }
}
