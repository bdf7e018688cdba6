//! What is answered: each question of the page put to the desk, off the thread that serves.

use super::shared::{Here, Shared};
use crate::desk::{
    AskColour, AskCut, AskKeep, AskLight, AskPaints, AskPatch, AskPieces, AskRecipes, AskRub,
    AskSave, AskSchedule, AskTones, Desk, Kind, Lane, Refused,
};
use crate::photo::SmallJpeg;
use axum::body::{Body, Bytes};
use axum::extract::rejection::JsonRejection;
use axum::extract::{Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Instant;

/// The addresses of questions.
pub(super) fn routes() -> Router<Arc<Shared>> {
    Router::new()
        .route("/{token}/view", get(view))
        .route("/{token}/raw", get(raw))
        .route("/{token}/cut", get(cut))
        .route("/{token}/hello", post(hello))
        .route("/{token}/alive", post(alive))
        .route("/{token}/gone", post(gone))
        .route("/{token}/light", post(light))
        .route("/{token}/tones", post(tones))
        .route("/{token}/recipes", post(recipes))
        .route("/{token}/colour", post(colour))
        .route("/{token}/suggest", post(suggest))
        .route("/{token}/rub", post(rub))
        .route("/{token}/pieces", post(pieces))
        .route("/{token}/paints", post(paints))
        .route("/{token}/paste", post(paste))
        .route("/{token}/schedule", post(schedule))
        .route("/{token}/schedule.html", get(schedule_page))
        .route("/{token}/keep", post(keep))
        .route("/{token}/save", post(save))
}

/// The addresses that take whole files.
pub(super) fn large_routes() -> Router<Arc<Shared>> {
    Router::new()
        .route("/{token}/photo", post(photo))
        .route("/{token}/friend", post(friend))
        .route("/{token}/patch", post(patch))
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        match self {
            Self::Stale => StatusCode::NO_CONTENT.into_response(),
            Self::Changed => {
                (StatusCode::CONFLICT, Json(json!({ "changed": true }))).into_response()
            }
            Self::Problem { words, hint } => (
                StatusCode::UNPROCESSABLE_ENTITY,
                Json(json!({ "problem": words, "hint": hint })),
            )
                .into_response(),
        }
    }
}

/// What every question carries.
#[derive(Debug, Deserialize)]
struct Asked<T> {
    /// The page that asks.
    page: String,
    /// Counts up, so that the newest is known.
    #[serde(default)]
    number: u64,
    #[serde(flatten)]
    what: T,
}

type Asking<T> = Result<Json<Asked<T>>, JsonRejection>;

/// Longest name a page may give itself.
const LONGEST_NAME: usize = 64;

/// Works off the thread that serves, so that newer questions come in meanwhile. The answer tells how long the work took.
async fn worked<T: IntoResponse + Send + 'static>(
    shared: &Arc<Shared>,
    work: impl FnOnce(&Desk) -> Result<T, Refused> + Send + 'static,
) -> Response {
    let shared = Arc::clone(shared);
    let timed = move || {
        let begun = Instant::now();
        (work(&shared.desk), begun.elapsed())
    };
    match tokio::task::spawn_blocking(timed).await {
        Ok((answer, took)) => {
            let took = format!("work;dur={:.1}", took.as_secs_f64() * 1e3);
            ([("server-timing", took)], answer).into_response()
        }
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// Answers a question, or refuses one that cannot be read.
async fn answered<Q: Send + 'static>(
    shared: &Arc<Shared>,
    asking: Asking<Q>,
    answer: impl FnOnce(&Desk, Asked<Q>) -> Result<Value, Refused> + Send + 'static,
) -> Response {
    match asking {
        Ok(Json(asked)) if asked.page.len() <= LONGEST_NAME => {
            worked(shared, move |desk| answer(desk, asked).map(Json)).await
        }
        Ok(_) => StatusCode::BAD_REQUEST.into_response(),
        Err(rejection) => rejection.into_response(),
    }
}

/// Answers a question if it is still the newest of its kind when its turn comes.
async fn newest<Q: Send + 'static>(
    shared: &Arc<Shared>,
    kind: Kind,
    asking: Asking<Q>,
    answer: fn(&Desk, &Q, &Lane, u64) -> Result<Value, Refused>,
) -> Response {
    let lane = match &asking {
        Ok(Json(asked)) if asked.page.len() <= LONGEST_NAME => {
            let lane = shared.pages().lane(&asked.page, kind, Instant::now());
            lane.arrived(asked.number);
            lane
        }
        _ => Arc::default(),
    };
    answered(shared, asking, move |desk, asked| {
        answer(desk, &asked.what, &lane, asked.number)
    })
    .await
}

/// A question without more to it.
#[derive(Debug, Deserialize)]
struct Nothing {}

/// What a page says of itself.
#[derive(Debug, Deserialize)]
struct Alive {
    unsaved: bool,
    base: String,
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

/// A photo.
#[derive(Debug, Deserialize)]
struct OfPhoto {
    photo: String,
}

async fn hello(State(shared): Here, asking: Asking<Nothing>) -> Response {
    let pages = Arc::clone(&shared);
    answered(&shared, asking, move |desk, asked| {
        let mut told = desk.hello()?;
        let now = Instant::now();
        let mut pages = pages.pages();
        pages.used(&asked.page, now);
        told["later"] = pages.is_later(&asked.page, now).into();
        Ok(told)
    })
    .await
}

async fn alive(State(shared): Here, asking: Asking<Alive>) -> Response {
    let pages = Arc::clone(&shared);
    answered(&shared, asking, move |desk, asked| {
        let now = Instant::now();
        let later = {
            let mut pages = pages.pages();
            pages.alive(&asked.page, asked.what.unsaved, now);
            pages.is_later(&asked.page, now)
        };
        let changed = desk.has_changed(&asked.what.base);
        Ok(json!({ "later": later, "changed": changed }))
    })
    .await
}

async fn gone(State(shared): Here, asking: Asking<Nothing>) -> Response {
    let pages = Arc::clone(&shared);
    answered(&shared, asking, move |_, asked| {
        pages.pages().gone(&asked.page);
        Ok(Value::Null)
    })
    .await
}

async fn light(State(shared): Here, asking: Asking<AskLight>) -> Response {
    answered(&shared, asking, |desk, asked| desk.light(asked.what)).await
}

async fn tones(State(shared): Here, asking: Asking<AskTones>) -> Response {
    let kind = match &asking {
        Ok(Json(asked)) if asked.what.is_rough() => Kind::Moving,
        _ => Kind::Settled,
    };
    newest(&shared, kind, asking, Desk::tones).await
}

async fn pieces(State(shared): Here, asking: Asking<AskPieces>) -> Response {
    newest(&shared, Kind::Settled, asking, Desk::pieces).await
}

async fn recipes(State(shared): Here, asking: Asking<AskRecipes>) -> Response {
    newest(&shared, Kind::Recipes, asking, Desk::recipes).await
}

async fn colour(State(shared): Here, asking: Asking<AskColour>) -> Response {
    newest(&shared, Kind::Colour, asking, Desk::colour).await
}

async fn rub(State(shared): Here, asking: Asking<AskRub>) -> Response {
    newest(&shared, Kind::Rub, asking, Desk::rub).await
}

async fn suggest(State(shared): Here, asking: Asking<OfPhoto>) -> Response {
    answered(&shared, asking, |desk, asked| {
        desk.suggest(&asked.what.photo)
    })
    .await
}

async fn save(State(shared): Here, asking: Asking<AskSave>) -> Response {
    let response = answered(&shared, asking, |desk, asked| desk.save(asked.what)).await;
    if shared.desk.is_done() {
        shared.done.notify_one();
    }
    response
}

async fn keep(State(shared): Here, asking: Asking<AskKeep>) -> Response {
    answered(&shared, asking, |desk, asked| desk.keep(&asked.what)).await
}

async fn paints(State(shared): Here, asking: Asking<Nothing>) -> Response {
    answered(&shared, asking, |desk, _| desk.paint_list()).await
}

async fn paste(State(shared): Here, asking: Asking<AskPaints>) -> Response {
    answered(&shared, asking, |desk, asked| desk.take_paints(&asked.what)).await
}

/// Makes the schedule of what is drawn; it is shown by its own address.
async fn schedule(State(shared): Here, asking: Asking<AskSchedule>) -> Response {
    let lane = match &asking {
        Ok(Json(asked)) if asked.page.len() <= LONGEST_NAME => {
            let lane = shared
                .pages()
                .lane(&asked.page, Kind::Schedule, Instant::now());
            lane.arrived(asked.number);
            lane
        }
        _ => Arc::default(),
    };
    let all = Arc::clone(&shared);
    answered(&shared, asking, move |desk, asked| {
        let page = desk.schedule(asked.what, &lane, asked.number)?;
        *all.schedule() = page;
        Ok(json!({ "made": true }))
    })
    .await
}

/// The schedule that was made last. It brings a policy of its own; besides, only this page may frame it.
async fn schedule_page(State(shared): Here) -> Response {
    let page = shared.schedule().clone();
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (
            header::CONTENT_SECURITY_POLICY,
            "connect-src 'none'; form-action 'none'; base-uri 'none'; frame-ancestors 'self'",
        ),
    ];
    (headers, page).into_response()
}

/// A photo that comes in: its name in the address, its bytes as they are.
async fn photo(State(shared): Here, Query(named): Query<Named>, bytes: Bytes) -> Response {
    worked(&shared, move |desk| {
        desk.add_photo(&named.name, &bytes).map(Json)
    })
    .await
}

/// A schedule from a friend: solved again, and shown by its own address.
async fn friend(State(shared): Here, Query(named): Query<Dated>, bytes: Bytes) -> Response {
    let all = Arc::clone(&shared);
    worked(&shared, move |desk| {
        let (page, told) = desk.friend(&named.name, &bytes, &named.date)?;
        *all.schedule() = page;
        Ok(Json(told))
    })
    .await
}

/// A photo of a dried patch: what is asked in the address, its bytes as they are.
async fn patch(State(shared): Here, Query(ask): Query<AskPatch>, bytes: Bytes) -> Response {
    worked(&shared, move |desk| desk.patch(&ask, &bytes).map(Json)).await
}

/// A photo as its file is, where browsers show such files themselves.
async fn raw(State(shared): Here, Query(asked): Query<OfPhoto>) -> Response {
    worked(&shared, move |desk| {
        let bytes = desk.raw(&asked.photo)?;
        Ok(match shown_by_browsers(&bytes) {
            Some(kind) => ([(header::CONTENT_TYPE, kind)], bytes).into_response(),
            None => StatusCode::NO_CONTENT.into_response(),
        })
    })
    .await
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

fn jpeg(bytes: Vec<u8>) -> Response {
    ([(header::CONTENT_TYPE, "image/jpeg")], Body::from(bytes)).into_response()
}

async fn view(State(shared): Here, Query(asked): Query<OfPhoto>) -> Response {
    worked(&shared, move |desk| {
        desk.view(&asked.photo)
            .map(|small| jpeg(small.bytes.clone()))
    })
    .await
}

async fn cut(State(shared): Here, Query(asked): Query<AskCut>) -> Response {
    worked(&shared, move |desk| {
        desk.cut(&asked).map(|SmallJpeg { bytes, .. }| jpeg(bytes))
    })
    .await
}
