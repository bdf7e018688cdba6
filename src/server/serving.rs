//! The server: addresses, limits, and when it ends.

use super::answers;
use super::error::ServeError;
use super::folder::OpenedFolder;
use super::gate::Gate;
use super::guests::{Guest, Guests};
use super::pages::Pages;
use super::shared::{Here, Shared, Tell};
use crate::desk::{Desk, HTML};
use crate::files::OwnersFile;
use crate::site::{PAGE_FILES, PageFile, guide};
use axum::extract::{DefaultBodyLimit, Path as UrlPath, Request, State};
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Extension, Router};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
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

/// A page may run, show and ask only what this program serves.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The guide is a page of words and pictures.
const GUIDE_POLICY: (header::HeaderName, &str) = (
    header::CONTENT_SECURITY_POLICY,
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
);

/// How it ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// The user stopped it; what was drawn and is kept, in words.
    Stopped(Option<String>),
    /// Nobody had used the page for a while; what was drawn and is kept, in words.
    LeftAlone(Option<String>),
    /// The page was done, and this is the text of the scene.
    Printed(String),
}

/// A page that is ready to be served.
#[derive(Debug)]
pub struct Served {
    listener: TcpListener,
    gate: Gate,
    desk: Desk,
    folder: PathBuf,
    patience: Duration,
}

impl Served {
    /// Reads the scene and takes a free port of this machine; left unused for `patience`, the page stops by itself.
    ///
    /// # Errors
    /// All faults of the scene; or [`ServeError::System`].
    pub fn open(layout: OpenedFolder, patience: Duration) -> Result<Self, Vec<ServeError>> {
        let system = |error: io::Error| vec![ServeError::System(error)];
        let (settings, keeper) = layout.taken_apart();
        let folder = keeper.path().to_owned();
        let desk = Desk::new(settings, Box::new(keeper)).map_err(|faults| {
            faults
                .into_iter()
                .map(ServeError::Scene)
                .collect::<Vec<_>>()
        })?;
        let listener =
            TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, 0))).map_err(system)?;
        listener.set_nonblocking(true).map_err(system)?;
        let port = listener.local_addr().map_err(system)?.port();
        let gate = Gate::new(port).map_err(|e| vec![no_random(e)])?;
        Ok(Self {
            listener,
            gate,
            desk,
            folder,
            patience,
        })
    }

    /// An address that opens the page once; anybody who reads it may open the page before you do.
    ///
    /// # Errors
    /// [`ServeError::System`] if the system gives no random numbers.
    pub fn address(&self) -> Result<String, ServeError> {
        self.gate.address().map_err(no_random)
    }

    /// A file that opens the page once and that only its owner can read: start a browser with it, for its
    /// address shows in no list of processes.
    ///
    /// # Errors
    /// [`ServeError`] when it cannot be written.
    pub fn opening(&self) -> Result<OwnersFile, ServeError> {
        OwnersFile::to(&self.address()?, &self.folder).map_err(ServeError::File)
    }

    /// Serves the page until it is stopped, done with, or left alone. When an address has been used, `tell` gets the
    /// next one.
    ///
    /// # Errors
    /// [`ServeError::System`].
    pub fn serve(self, tell: impl Fn(&str) + Send + Sync + 'static) -> Result<Ended, ServeError> {
        tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .and_then(|runtime| runtime.block_on(self.served(Box::new(tell))))
            .map_err(ServeError::System)
    }

    async fn served(self, tell: Tell) -> io::Result<Ended> {
        let listener = tokio::net::TcpListener::from_std(self.listener)?;
        let shared = Arc::new(Shared {
            desk: self.desk,
            pages: Mutex::new(Pages::new(Instant::now())),
            gate: self.gate,
            done: Notify::new(),
            tell,
        });
        let stop = Arc::new(Notify::new());
        let served = tokio::spawn(doorkeeper(listener, routes(&shared), Arc::clone(&stop)));
        let ended = tokio::select! {
            pressed = tokio::signal::ctrl_c() => {
                pressed?;
                Ended::Stopped(None)
            }
            () = shared.done.notified() => {
                shared.desk.take_printed().map_or(Ended::Stopped(None), Ended::Printed)
            }
            () = left_alone(&shared, self.patience) => Ended::LeftAlone(None),
        };
        stop.notify_one();
        let _ = served.await;
        // Told last, so that what was on its way counts.
        let kept = shared.desk.kept_words();
        Ok(match ended {
            Ended::Stopped(_) => Ended::Stopped(kept),
            Ended::LeftAlone(_) => Ended::LeftAlone(kept),
            printed @ Ended::Printed(_) => printed,
        })
    }
}

fn no_random(error: getrandom::Error) -> ServeError {
    ServeError::System(io::Error::other(error.to_string()))
}

/// Accepts connections until it must stop; then answers on their way are waited for a while, and no longer.
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
        // Who has asked already is heard before the next comes in: a crowd does not send away the page itself.
        tokio::task::yield_now().await;
    }
    let _ = tokio::time::timeout(LAST_ORDERS, graceful.shutdown()).await;
}

async fn left_alone(shared: &Shared, patience: Duration) {
    loop {
        tokio::time::sleep(LOOK_EVERY.min(patience)).await;
        if shared.pages().left_alone(patience, Instant::now()) {
            return;
        }
    }
}

fn routes(shared: &Arc<Shared>) -> Router {
    let mut router = Router::new().route("/open/{key}", get(open));
    for &PageFile {
        name,
        kind,
        content,
    } in PAGE_FILES
    {
        router = router.route(
            &format!("/{{token}}/{name}"),
            get(move || async move { ([(header::CONTENT_TYPE, kind)], content) }),
        );
    }
    let guide = || async { ([(header::CONTENT_TYPE, HTML), GUIDE_POLICY], guide()) };
    router = router.route("/{token}/guide.html", get(guide));
    let limit = shared.desk.photo_bytes();
    router
        .merge(answers::routes())
        .fallback(|| async { plain(StatusCode::NOT_FOUND, "found nothing at this address") })
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .merge(answers::large_routes().layer(DefaultBodyLimit::max(limit)))
        .layer(from_fn_with_state(Arc::clone(shared), guarded))
        .with_state(Arc::clone(shared))
}

/// Opens the page for anybody with a key that still works: gives the cookie, and leads to the page.
async fn open(State(shared): Here, UrlPath(key): UrlPath<String>) -> Response {
    let Some((path, cookie)) = shared.gate.exchange(&key) else {
        return plain(
            StatusCode::FORBIDDEN,
            "found an address that is wrong or already used: each opens the page once, and the terminal shows the next one",
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

/// Refuses what may not ask, before its body is read; and tells the browser what it may do with the answer.
async fn guarded(
    State(shared): Here,
    Extension(guest): Extension<Arc<Guest>>,
    request: Request,
    next: Next,
) -> Response {
    let (method, uri, headers) = (request.method(), request.uri(), request.headers());
    let key = uri.path().strip_prefix("/open/");
    let opens =
        *method == Method::GET && key.is_some_and(|key| !key.is_empty() && !key.contains('/'));
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
        // An answer that brings its own keeps it.
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    response
}

fn plain(status: StatusCode, words: &'static str) -> Response {
    (status, format!("{words}\n")).into_response()
}
