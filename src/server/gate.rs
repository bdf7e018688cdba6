//! Who may ask: only the page that this program opened, on this machine.
//!
//! An address that opens the page holds a key that works once: other users of the machine may read addresses in the
//! list of processes, but these are already used. The key is exchanged for a cookie, which no list shows and no other
//! page gets. Every other request needs the cookie, and the token in its path as well, because browsers send a cookie
//! to every port of a machine.

use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use std::fmt::Write;
use std::sync::{Mutex, PoisonError};

/// What a request must know and say.
#[derive(Debug)]
pub(super) struct Gate {
    /// Made new at each start, part of the page's address.
    token: String,
    /// Made new at each start, in the cookie.
    secret: String,
    /// Keys that were given out and not used yet.
    keys: Mutex<Vec<String>>,
    port: u16,
}

/// Why a request is refused.
pub(super) type Refusal = (StatusCode, &'static str);

/// 128 random bits in hex.
fn random() -> Result<String, getrandom::Error> {
    let mut random = [0_u8; 16];
    getrandom::fill(&mut random)?;
    Ok(random
        .iter()
        .fold(String::with_capacity(32), |mut text, byte| {
            let _ = write!(text, "{byte:02x}");
            text
        }))
}

/// Compares in a time that does not reveal where the first difference is.
fn same(one: &str, other: &str) -> bool {
    one.len() == other.len()
        && one
            .bytes()
            .zip(other.bytes())
            .fold(0, |off, (a, b)| off | (a ^ b))
            == 0
}

impl Gate {
    /// A gate with a token and a secret of 128 random bits each.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub(super) fn new(port: u16) -> Result<Self, getrandom::Error> {
        Ok(Self {
            token: random()?,
            secret: random()?,
            keys: Mutex::default(),
            port,
        })
    }

    /// An address that opens the page once.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub(super) fn address(&self) -> Result<String, getrandom::Error> {
        let key = random()?;
        let mut keys = self.keys.lock().unwrap_or_else(PoisonError::into_inner);
        keys.push(key.clone());
        Ok(format!("http://127.0.0.1:{}/open/{key}", self.port))
    }

    /// Takes a key for the way to the page and the cookie that goes with it; the key is good no more.
    pub(super) fn exchange(&self, key: &str) -> Option<(String, String)> {
        let mut keys = self.keys.lock().unwrap_or_else(PoisonError::into_inner);
        let at = keys.iter().position(|known| same(known, key))?;
        keys.swap_remove(at);
        let (path, secret) = (format!("/{}/", self.token), &self.secret);
        let cookie = format!("hillwash={secret}; Path={path}; HttpOnly; SameSite=Strict");
        Some((path, cookie))
    }

    /// Checks that a request names this program and nobody else as its host.
    ///
    /// # Errors
    /// The status and words to refuse it with.
    pub(super) fn check_host(&self, uri: &Uri, headers: &HeaderMap) -> Result<(), Refusal> {
        let own = |host: &str| self.hosts().iter().any(|known| known == host);
        if uri.authority().is_some_and(|named| !own(named.as_str()))
            || headers.get_all(header::HOST).iter().count() > 1
        {
            return Err((
                StatusCode::BAD_REQUEST,
                "found several hosts or a wrong one in the request, expected the one this program printed",
            ));
        }
        if !said(headers, &header::HOST).is_some_and(own) {
            return Err((
                StatusCode::MISDIRECTED_REQUEST,
                "found another host in the request, expected the address this program has printed",
            ));
        }
        Ok(())
    }

    fn hosts(&self) -> [String; 2] {
        ["127.0.0.1", "localhost"].map(|name| format!("{name}:{}", self.port))
    }

    /// Checks a request to the page before anything of its body is read.
    ///
    /// # Errors
    /// The status and words to refuse it with.
    pub(super) fn check(
        &self,
        method: &Method,
        uri: &Uri,
        headers: &HeaderMap,
    ) -> Result<(), Refusal> {
        self.check_host(uri, headers)?;
        let token = uri.path().split('/').nth(1).unwrap_or_default();
        if !same(token, &self.token) || !self.has_cookie(headers) {
            return Err((
                StatusCode::FORBIDDEN,
                "found no valid token in the request, expected the page that the printed address opened; each address opens it once, and the terminal shows the next one",
            ));
        }
        let mut sites = headers.get_all("sec-fetch-site").iter();
        if !sites.all(|site| matches!(site.as_bytes(), b"same-origin" | b"none")) {
            return Err((
                StatusCode::FORBIDDEN,
                "found a request from another page, expected one from this program's own",
            ));
        }
        match *method {
            Method::GET | Method::HEAD => Ok(()),
            Method::POST => self.check_post(headers),
            _ => Err((
                StatusCode::METHOD_NOT_ALLOWED,
                "found another method, expected GET or POST",
            )),
        }
    }

    /// Whether the cookie is among those sent.
    fn has_cookie(&self, headers: &HeaderMap) -> bool {
        headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|all| all.split(';'))
            .filter_map(|one| one.trim().strip_prefix("hillwash="))
            .any(|secret| same(secret, &self.secret))
    }

    fn check_post(&self, headers: &HeaderMap) -> Result<(), Refusal> {
        let hosts = self.hosts();
        let own = |origin: &str| hosts.iter().any(|host| origin == format!("http://{host}"));
        let once = headers.get_all(header::ORIGIN).iter().count() == 1;
        if !once || !said(headers, &header::ORIGIN).is_some_and(own) {
            return Err((
                StatusCode::FORBIDDEN,
                "found a request from another page, expected one from this program's own",
            ));
        }
        // Neither can be sent by a form of another page.
        let known = |kind: &str| {
            let kind = kind.split(';').next();
            matches!(kind, Some("application/json" | "application/octet-stream"))
        };
        if !said(headers, &header::CONTENT_TYPE).is_some_and(known) {
            return Err((
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "found something else, expected JSON or the bytes of a file",
            ));
        }
        Ok(())
    }
}

fn said<'h>(headers: &'h HeaderMap, name: &header::HeaderName) -> Option<&'h str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    const COOKIE: (&str, &str) = ("cookie", "other=1; hillwash=secret");

    fn refused(method: &Method, uri: &str, said: &[(&'static str, &str)]) -> Option<u16> {
        let gate = Gate {
            token: "abc".to_owned(),
            secret: "secret".to_owned(),
            keys: Mutex::default(),
            port: 4000,
        };
        let mut headers = HeaderMap::new();
        for (name, value) in said {
            headers.append(*name, value.parse().unwrap());
        }
        gate.check(method, &uri.parse().unwrap(), &headers)
            .err()
            .map(|(status, _)| status.as_u16())
    }

    #[test]
    fn only_the_own_page_passes() {
        let host = ("host", "127.0.0.1:4000");
        let get = |uri: &str, said: &[(&'static str, &str)]| refused(&Method::GET, uri, said);
        assert_eq!(get("/abc/", &[host, COOKIE]), None);
        assert_eq!(get("/abc/", &[COOKIE]), Some(421));
        assert_eq!(get("/abc/", &[host]), Some(403));
        assert_eq!(
            get("/abc/", &[host, ("cookie", "hillwash=secret2")]),
            Some(403)
        );
        assert_eq!(
            get("/abc/", &[("host", "layout.example:4000"), COOKIE]),
            Some(421)
        );
        assert_eq!(get("/abd/", &[host, COOKIE]), Some(403));
        assert_eq!(get("/../abc/", &[host, COOKIE]), Some(403));
        let cross = ("sec-fetch-site", "cross-site");
        assert_eq!(get("/abc/", &[host, COOKIE, cross]), Some(403));
        let none = ("sec-fetch-site", "none");
        assert_eq!(get("/abc/", &[host, COOKIE, none, cross]), Some(403));
        assert_eq!(get("/open/", &[host]), Some(403));
        assert_eq!(refused(&Method::PUT, "/abc/", &[host, COOKIE]), Some(405));
    }

    #[test]
    fn two_hosts_or_a_foreign_one_in_the_address_are_a_bad_request() {
        let host = ("host", "127.0.0.1:4000");
        let get = |uri: &str, said: &[(&'static str, &str)]| refused(&Method::GET, uri, said);
        assert_eq!(get("/abc/", &[host, host, COOKIE]), Some(400));
        assert_eq!(
            get("/abc/", &[host, ("host", "layout.example"), COOKIE]),
            Some(400)
        );
        assert_eq!(
            get("http://layout.example/abc/", &[host, COOKIE]),
            Some(400)
        );
        assert_eq!(get("http://127.0.0.1:4000/abc/", &[host, COOKIE]), None);
    }

    #[test]
    fn what_changes_something_needs_origin_and_kind() {
        let host = ("host", "localhost:4000");
        let own = ("origin", "http://localhost:4000");
        let json = ("content-type", "application/json; charset=utf-8");
        let post = |said: &[(&'static str, &str)]| {
            refused(&Method::POST, "/abc/save", &[said, &[COOKIE]].concat())
        };
        assert_eq!(post(&[host, own, json]), None);
        assert_eq!(post(&[host, json]), Some(403));
        let other = ("origin", "http://127.0.0.1:4001");
        assert_eq!(post(&[host, other, json]), Some(403));
        assert_eq!(post(&[host, own, other, json]), Some(403));
        assert_eq!(
            post(&[host, own, ("content-type", "text/plain")]),
            Some(415)
        );
    }

    #[test]
    fn a_key_opens_once() {
        let gate = Gate::new(4000).unwrap();
        let address = gate.address().unwrap();
        let (_, key) = address.rsplit_once('/').unwrap();
        assert_eq!(gate.exchange(&key[1..]), None);
        let (path, cookie) = gate.exchange(key).unwrap();
        assert!(path.len() == 34 && cookie.ends_with("HttpOnly; SameSite=Strict"));
        assert!(!cookie.contains(key) && !path.contains(key));
        assert_eq!(gate.exchange(key), None);
    }
}
