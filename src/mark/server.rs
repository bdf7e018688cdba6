//! The server: addresses, limits, and when it ends.

use super::desk::{AskColour, AskCut, AskLight, AskSave, Desk, Refused, Settings};
use super::gate::Gate;
use super::guests::{Guest, Guests};
use super::live::{AskRecipes, AskTones};
use super::pages::{Kind, Lane};
use super::start::{SCENE, scene_of_folder};
use crate::files::{FileError, Opening};
use crate::photo::{Limits, SmallJpeg};
use crate::problem::{Explain, Place};
use axum::body::Body;
use axum::extract::rejection::JsonRejection;
use axum::extract::{DefaultBodyLimit, Path as UrlPath, Query, Request, State};
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Extension, Json, Router};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use serde::Deserialize;
use serde_json::{Value, json};
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::Notify;

/// Largest request: a drawing of a few hundred outlines is far below.
const MOST_BYTES: usize = 1 << 20;
/// How often it looks whether it has been left alone.
const LOOK_EVERY: Duration = Duration::from_secs(5);
/// How long a request may take to say what it wants, and a connection may stay without one.
const HEADERS_WITHIN: Duration = Duration::from_secs(15);
/// Most lines a request may say it in.
const MOST_HEADERS: usize = 64;
/// How long open connections are waited for at the end.
const LAST_ORDERS: Duration = Duration::from_secs(2);

const PAGE: &str = include_str!("../../report-templates/mark/page.html");
const STYLE: &str = include_str!("../../report-templates/mark/mark.css");
const ICON: &str = include_str!("../../report-templates/mark/icon.svg");
/// The page's scripts, by name.
const SCRIPTS: [(&str, &str); 7] = [
    (
        "main.js",
        include_str!("../../report-templates/mark/main.js"),
    ),
    ("ask.js", include_str!("../../report-templates/mark/ask.js")),
    (
        "work.js",
        include_str!("../../report-templates/mark/work.js"),
    ),
    (
        "stage.js",
        include_str!("../../report-templates/mark/stage.js"),
    ),
    (
        "column.js",
        include_str!("../../report-templates/mark/column.js"),
    ),
    (
        "materials.js",
        include_str!("../../report-templates/mark/materials.js"),
    ),
    (
        "shapes.js",
        include_str!("../../report-templates/mark/shapes.js"),
    ),
];

/// Only what this program serves itself runs, shows or is asked.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Why the page cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum MarkError {
    /// A folder without photos.
    #[error("found no photo in \"{}\", expected a scene file, or a folder with photos", .0.display())]
    NoPhotos(PathBuf),
    /// The folder or the file cannot be read.
    #[error("{0}")]
    File(FileError),
    /// The scene is faulty.
    #[error("{0}")]
    Scene(Box<dyn Explain>),
    /// No port is to be had, and the like.
    #[error("could not serve the page: {0}")]
    System(io::Error),
}

impl Explain for MarkError {
    fn place(&self) -> Place {
        match self {
            Self::File(cause) => cause.place(),
            Self::Scene(cause) => cause.place(),
            Self::NoPhotos(_) | Self::System(_) => Place::default(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::NoPhotos(_) => Some(
                "copy photos into the folder; JPEG, PNG and TIFF are read, among others".to_owned(),
            ),
            Self::File(cause) => cause.hint(),
            Self::Scene(cause) => cause.hint(),
            Self::System(_) => None,
        }
    }
}

/// How it ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// The user stopped it.
    Stopped,
    /// Nobody had used the page for a while.
    LeftAlone,
    /// The page was done, and this is the text of the scene.
    Printed(String),
}

impl Settings {
    /// What to draw on: a scene file, or a folder with a `scene.toml` or with photos.
    ///
    /// # Errors
    /// [`MarkError`] for a folder that holds neither.
    pub fn of(
        path: &Path,
        allow_outside: bool,
        limits: Limits,
        starter_paints: &'static [u8],
    ) -> Result<Self, MarkError> {
        let mut settings = Self {
            scene: path.to_owned(),
            new_scene: None,
            allow_outside,
            limits,
            print_only: false,
            starter_paints,
        };
        if path.is_dir() {
            settings.scene = path.join(SCENE);
            if !settings.scene.exists() {
                let new = scene_of_folder(path).map_err(MarkError::File)?;
                let new = new.ok_or_else(|| MarkError::NoPhotos(path.to_owned()))?;
                settings.new_scene = Some(new);
            }
        }
        Ok(settings)
    }
}

/// A page that is ready to be served.
#[derive(Debug)]
pub struct Mark {
    listener: TcpListener,
    gate: Gate,
    desk: Desk,
    patience: Duration,
}

impl Mark {
    /// Reads the scene and takes a free port of this machine; left unused for `patience`, the page stops by itself.
    ///
    /// # Errors
    /// All faults of the scene; or [`MarkError::System`].
    pub fn open(settings: Settings, patience: Duration) -> Result<Self, Vec<MarkError>> {
        let system = |error: io::Error| vec![MarkError::System(error)];
        let desk = Desk::new(settings, Instant::now())
            .map_err(|faults| faults.into_iter().map(MarkError::Scene).collect::<Vec<_>>())?;
        let listener =
            TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, 0))).map_err(system)?;
        listener.set_nonblocking(true).map_err(system)?;
        let port = listener.local_addr().map_err(system)?.port();
        let gate = Gate::new(port).map_err(|e| vec![no_random(e)])?;
        Ok(Self {
            listener,
            gate,
            desk,
            patience,
        })
    }

    /// An address that opens the page once; whoever reads it may open the page before you do.
    ///
    /// # Errors
    /// [`MarkError::System`] when there are no random numbers to be had.
    pub fn address(&self) -> Result<String, MarkError> {
        self.gate.address().map_err(no_random)
    }

    /// A file that opens the page once and that only its owner can read: what a browser is to be started with, for its
    /// address shows in no list of processes.
    ///
    /// # Errors
    /// [`MarkError`] when it cannot be written.
    pub fn opening(&self) -> Result<Opening, MarkError> {
        Opening::to(&self.address()?, self.desk.folder()).map_err(MarkError::File)
    }

    /// How many further names the scene file has on its disk; saving leaves them with what was there before.
    #[must_use]
    pub fn other_names(&self) -> u64 {
        self.desk.other_names()
    }

    /// Serves the page until it is stopped, done with, or left alone. When an address has been used, `tell` is given the
    /// next.
    ///
    /// # Errors
    /// [`MarkError::System`].
    pub fn serve(self, tell: impl Fn(&str) + Send + Sync + 'static) -> Result<Ended, MarkError> {
        tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .and_then(|runtime| runtime.block_on(self.served(Box::new(tell))))
            .map_err(MarkError::System)
    }

    async fn served(self, tell: Tell) -> io::Result<Ended> {
        let listener = tokio::net::TcpListener::from_std(self.listener)?;
        let shared = Arc::new(Shared {
            desk: self.desk,
            gate: self.gate,
            done: Notify::new(),
            tell,
        });
        let stop = Arc::new(Notify::new());
        let served = tokio::spawn(doorkeeper(listener, routes(&shared), Arc::clone(&stop)));
        let ended = tokio::select! {
            pressed = tokio::signal::ctrl_c() => {
                pressed?;
                Ended::Stopped
            }
            () = shared.done.notified() => {
                let mut printed = shared.desk.printed.lock().unwrap_or_else(PoisonError::into_inner);
                printed.take().map_or(Ended::Stopped, Ended::Printed)
            }
            () = left_alone(&shared.desk, self.patience) => Ended::LeftAlone,
        };
        stop.notify_one();
        let _ = served.await;
        Ok(ended)
    }
}

fn no_random(error: getrandom::Error) -> MarkError {
    MarkError::System(io::Error::other(error.to_string()))
}

/// Lets connections in until it is told to stop; then answers on their way are waited for a while, and no longer.
async fn doorkeeper(listener: tokio::net::TcpListener, router: Router, stop: Arc<Notify>) {
    let guests = Arc::new(Guests::default());
    let graceful = GracefulShutdown::new();
    loop {
        let stream = tokio::select! {
            accepted = listener.accept() => {
                let Ok((stream, _)) = accepted else {
                    // Out of handles, for example: others may leave meanwhile.
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                };
                stream
            }
            () = stop.notified() => break,
        };
        let guest = guests.enter();
        let service = router.clone().layer(Extension(Arc::clone(&guest)));
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(HEADERS_WITHIN)
            .max_headers(MOST_HEADERS)
            .serve_connection(TokioIo::new(stream), TowerToHyperService::new(service));
        let connection = graceful.watch(connection);
        let guests = Arc::clone(&guests);
        tokio::spawn(async move {
            tokio::select! {
                _ = connection => {}
                () = guest.sent_away() => {}
            }
            guests.leave(&guest);
        });
    }
    let _ = tokio::time::timeout(LAST_ORDERS, graceful.shutdown()).await;
}

async fn left_alone(desk: &Desk, patience: Duration) {
    loop {
        tokio::time::sleep(LOOK_EVERY.min(patience)).await;
        let pages = desk.pages.lock().unwrap_or_else(PoisonError::into_inner);
        if pages.left_alone(patience, Instant::now()) {
            return;
        }
    }
}

/// Tells the user something.
type Tell = Box<dyn Fn(&str) + Send + Sync>;

struct Shared {
    desk: Desk,
    gate: Gate,
    done: Notify,
    tell: Tell,
}

type Here = State<Arc<Shared>>;

fn routes(shared: &Arc<Shared>) -> Router {
    let mut router = Router::new()
        .route("/open/{key}", get(open))
        .route(
            "/{token}/",
            get(|| async { text("text/html; charset=utf-8", PAGE) }),
        )
        .route(
            "/{token}/mark.css",
            get(|| async { text("text/css; charset=utf-8", STYLE) }),
        )
        .route(
            "/{token}/icon.svg",
            get(|| async { text("image/svg+xml", ICON) }),
        )
        .route("/{token}/view", get(view))
        .route("/{token}/cut", get(cut))
        .route("/{token}/hello", post(hello))
        .route("/{token}/alive", post(alive))
        .route("/{token}/gone", post(gone))
        .route("/{token}/light", post(light))
        .route("/{token}/tones", post(tones))
        .route("/{token}/recipes", post(recipes))
        .route("/{token}/colour", post(colour))
        .route("/{token}/suggest", post(suggest))
        .route("/{token}/save", post(save));
    for (name, script) in SCRIPTS {
        router = router.route(
            &format!("/{{token}}/{name}"),
            get(move || async move { text("text/javascript; charset=utf-8", script) }),
        );
    }
    router
        .fallback(|| async { plain(StatusCode::NOT_FOUND, "found nothing at this address") })
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(from_fn_with_state(Arc::clone(shared), guarded))
        .with_state(Arc::clone(shared))
}

/// Opens the page for whoever brings a key that is still good: gives the cookie, and leads to the page.
async fn open(State(shared): Here, UrlPath(key): UrlPath<String>) -> Response {
    let Some((path, cookie)) = shared.gate.exchange(&key) else {
        return plain(
            StatusCode::FORBIDDEN,
            "found an address that is not good, or was used already: each opens the page once, and the terminal shows the next",
        );
    };
    if let Ok(next) = shared.gate.address() {
        (shared.tell)(&next);
    }
    // A page of this very host, so that the browser sends the cookie along: it would not after a jump from elsewhere.
    let page = format!(
        "<!DOCTYPE html><meta charset=\"utf-8\"><title>hillwash</title>\
         <meta http-equiv=\"refresh\" content=\"0; url={path}\"><a href=\"{path}\">To the page</a>\n"
    );
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8".to_owned()),
        (header::SET_COOKIE, cookie),
    ];
    (headers, page).into_response()
}

/// Refuses what may not ask, before its body is read; and says to the browser what may be done with the answer.
async fn guarded(
    State(shared): Here,
    Extension(guest): Extension<Arc<Guest>>,
    request: Request,
    next: Next,
) -> Response {
    let (method, uri, headers) = (request.method(), request.uri(), request.headers());
    let opens = *method == Method::GET && uri.path().starts_with("/open/");
    let checked = if opens {
        shared.gate.check_host(uri, headers)
    } else {
        let checked = shared.gate.check(method, uri, headers);
        if checked.is_ok() {
            guest.is_known_now();
        }
        checked
    };
    let mut response = match checked {
        Ok(()) => next.run(request).await,
        Err((status, words)) => plain(status, words),
    };
    let headers = response.headers_mut();
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cache-control", "no-store"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

fn text(kind: &'static str, content: &'static str) -> Response {
    ([(header::CONTENT_TYPE, kind)], content).into_response()
}

fn plain(status: StatusCode, words: &'static str) -> Response {
    (status, format!("{words}\n")).into_response()
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
            let lane = shared.desk.lane(&asked.page, kind);
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

/// A photo.
#[derive(Debug, Deserialize)]
struct OfPhoto {
    photo: String,
}

async fn hello(State(shared): Here, asking: Asking<Nothing>) -> Response {
    answered(&shared, asking, |desk, asked| desk.hello(&asked.page)).await
}

async fn alive(State(shared): Here, asking: Asking<Alive>) -> Response {
    answered(&shared, asking, |desk, asked| {
        Ok(desk.alive(&asked.page, asked.what.unsaved, &asked.what.base))
    })
    .await
}

async fn gone(State(shared): Here, asking: Asking<Nothing>) -> Response {
    answered(&shared, asking, |desk, asked| {
        let mut pages = desk.pages.lock().unwrap_or_else(PoisonError::into_inner);
        pages.gone(&asked.page);
        Ok(Value::Null)
    })
    .await
}

async fn light(State(shared): Here, asking: Asking<AskLight>) -> Response {
    answered(&shared, asking, |desk, asked| desk.light(asked.what)).await
}

async fn tones(State(shared): Here, asking: Asking<AskTones>) -> Response {
    let kind = match &asking {
        Ok(Json(asked)) if asked.what.rough => Kind::Moving,
        _ => Kind::Settled,
    };
    newest(&shared, kind, asking, Desk::tones).await
}

async fn recipes(State(shared): Here, asking: Asking<AskRecipes>) -> Response {
    newest(&shared, Kind::Recipes, asking, Desk::recipes).await
}

async fn colour(State(shared): Here, asking: Asking<AskColour>) -> Response {
    newest(&shared, Kind::Colour, asking, Desk::colour).await
}

async fn suggest(State(shared): Here, asking: Asking<OfPhoto>) -> Response {
    answered(&shared, asking, |desk, asked| {
        desk.suggest(&asked.what.photo)
    })
    .await
}

async fn save(State(shared): Here, asking: Asking<AskSave>) -> Response {
    let response = answered(&shared, asking, |desk, asked| desk.save(&asked.what)).await;
    let printed = shared
        .desk
        .printed
        .lock()
        .unwrap_or_else(PoisonError::into_inner);
    if printed.is_some() {
        shared.done.notify_one();
    }
    response
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
