//! Answers: puts each question of the page to the desk, off the thread that serves.

use super::shared::{Here, Shared};
use crate::desk::{ASKED, Answer, GIVEN, HTML, Question, Reply, SHOWN};
use axum::Router;
use axum::body::Bytes;
use axum::extract::{RawQuery, State};
use axum::http::{StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use serde_json::Value;
use std::sync::Arc;
use std::time::Instant;

/// The addresses of questions and of pictures.
pub(super) fn routes() -> Router<Arc<Shared>> {
    let asked = ASKED.iter().fold(Router::new(), |router, name| {
        router.route(&format!("/{{token}}/{name}"), post(answered))
    });
    SHOWN.iter().fold(asked, |router, name| {
        router.route(&format!("/{{token}}/{name}"), get(answered))
    })
}

/// The addresses that take whole files.
pub(super) fn large_routes() -> Router<Arc<Shared>> {
    GIVEN.iter().fold(Router::new(), |router, name| {
        router.route(&format!("/{{token}}/{name}"), post(answered))
    })
}

/// A schedule brings a policy of its own; besides, only this page may frame it.
const SCHEDULE_POLICY: &str =
    "connect-src 'none'; form-action 'none'; base-uri 'none'; frame-ancestors 'self'";

impl IntoResponse for Reply {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let kind = [(header::CONTENT_TYPE, self.kind)];
        if self.kind == HTML {
            let policy = [(header::CONTENT_SECURITY_POLICY, SCHEDULE_POLICY)];
            return (status, kind, policy, self.bytes).into_response();
        }
        (status, kind, self.bytes).into_response()
    }
}

/// Answers a question, or refuses one that cannot be read. The desk works off the thread that serves, so that newer
/// questions come in meanwhile; the answer says how long the work took.
async fn answered(
    State(shared): Here,
    uri: Uri,
    RawQuery(about): RawQuery,
    body: Bytes,
) -> Response {
    let name = uri.path().rsplit('/').next().unwrap_or_default().to_owned();
    let question = match Question::read(&name, &about.unwrap_or_default(), &body) {
        Ok(question) => question,
        Err(reply) => return reply.into_response(),
    };
    drop(body);
    let now = Instant::now();
    let lane = question.kind.map_or_else(Arc::default, |kind| {
        let lane = shared.pages().lane(&question.page, kind, now);
        lane.arrived(question.number);
        lane
    });
    let (page, unsaved) = (question.page.clone(), question.unsaved);
    let desks = Arc::clone(&shared);
    let timed = move || {
        let begun = Instant::now();
        (question.answer(&desks.desk, &lane), begun.elapsed())
    };
    let Ok((mut answer, took)) = tokio::task::spawn_blocking(timed).await else {
        return StatusCode::INTERNAL_SERVER_ERROR.into_response();
    };
    if let Ok(Answer::Told(told)) = &mut answer {
        of_pages(&shared, &name, &page, unsaved, told);
    }
    if shared.desk.is_done() {
        shared.done.notify_one();
    }
    let took = format!("work;dur={:.1}", took.as_secs_f64() * 1e3);
    ([("server-timing", took)], Reply::from(answer)).into_response()
}

/// What several pages of one layout must know of each other, added to the desk's answer.
fn of_pages(shared: &Shared, name: &str, page: &str, unsaved: Option<bool>, told: &mut Value) {
    let now = Instant::now();
    let mut pages = shared.pages();
    match name {
        "hello" => {
            pages.used(page, now);
            // What an open window draws is not offered to another.
            if let Some(drafts) = told["drafts"].as_array_mut() {
                drafts.retain(|draft| {
                    !draft["page"]
                        .as_str()
                        .is_some_and(|by| pages.is_of_open(by))
                });
            }
        }
        "alive" if unsaved == Some(true) => pages.alive_unsaved(page, now),
        "alive" => pages.alive(page, now),
        "gone" => return pages.gone(page),
        _ => return,
    }
    told["later"] = pages.is_later(page, now).into();
}
