//! Who may ask: only the page this program has opened, from this machine.

use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};

/// What a request must know and say.
#[derive(Debug, Clone)]
pub(super) struct Gate {
    /// Made anew at each start, part of the address.
    token: String,
    port: u16,
}

/// Why a request is refused.
pub(super) type Refusal = (StatusCode, &'static str);

impl Gate {
    /// A gate with a token of 128 random bits.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub(super) fn new(port: u16) -> Result<Self, getrandom::Error> {
        use std::fmt::Write;
        let mut random = [0_u8; 16];
        getrandom::fill(&mut random)?;
        let mut token = String::with_capacity(32);
        for byte in random {
            let _ = write!(token, "{byte:02x}");
        }
        Ok(Self { token, port })
    }

    /// The address to open.
    pub(super) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// Checks a request before anything of its body is read.
    ///
    /// # Errors
    /// The status and words to refuse it with.
    pub(super) fn check(
        &self,
        method: &Method,
        path: &str,
        headers: &HeaderMap,
    ) -> Result<(), Refusal> {
        let said = |name: header::HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
        let hosts = ["127.0.0.1", "localhost"].map(|name| format!("{name}:{}", self.port));
        if !said(header::HOST).is_some_and(|host| hosts.iter().any(|own| own == host)) {
            return Err((
                StatusCode::MISDIRECTED_REQUEST,
                "found another host in the request, expected the address this program has printed",
            ));
        }
        if path.split('/').nth(1) != Some(self.token.as_str()) {
            return Err((
                StatusCode::FORBIDDEN,
                "found no valid token in the address, expected the whole address this program has printed",
            ));
        }
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        if !matches!(site, None | Some(b"same-origin" | b"none")) {
            return Err((
                StatusCode::FORBIDDEN,
                "found a request from another page, expected one from this program's own",
            ));
        }
        match *method {
            Method::GET | Method::HEAD => Ok(()),
            Method::POST => {
                let own =
                    |origin: &str| hosts.iter().any(|host| origin == format!("http://{host}"));
                if !said(header::ORIGIN).is_some_and(own) {
                    return Err((
                        StatusCode::FORBIDDEN,
                        "found a request from another page, expected one from this program's own",
                    ));
                }
                let json = |kind: &str| kind.split(';').next() == Some("application/json");
                if !said(header::CONTENT_TYPE).is_some_and(json) {
                    return Err((
                        StatusCode::UNSUPPORTED_MEDIA_TYPE,
                        "found something else, expected JSON",
                    ));
                }
                Ok(())
            }
            _ => Err((
                StatusCode::METHOD_NOT_ALLOWED,
                "found another method, expected GET or POST",
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(method: &Method, path: &str, said: &[(&'static str, &str)]) -> Option<u16> {
        let gate = Gate {
            token: "abc".to_owned(),
            port: 4000,
        };
        let mut headers = HeaderMap::new();
        for (name, value) in said {
            headers.insert(*name, value.parse().unwrap());
        }
        gate.check(method, path, &headers)
            .err()
            .map(|(status, _)| status.as_u16())
    }

    #[test]
    fn only_the_own_page_passes() {
        let host = ("host", "127.0.0.1:4000");
        assert_eq!(refused(&Method::GET, "/abc/", &[host]), None);
        assert_eq!(refused(&Method::GET, "/abc/", &[]), Some(421));
        let foreign = ("host", "layout.example:4000");
        assert_eq!(refused(&Method::GET, "/abc/", &[foreign]), Some(421));
        assert_eq!(refused(&Method::GET, "/abd/", &[host]), Some(403));
        assert_eq!(refused(&Method::GET, "/../abc/", &[host]), Some(403));
        let cross = ("sec-fetch-site", "cross-site");
        assert_eq!(refused(&Method::GET, "/abc/", &[host, cross]), Some(403));
        assert_eq!(refused(&Method::PUT, "/abc/", &[host]), Some(405));
    }

    #[test]
    fn what_changes_something_needs_origin_and_kind() {
        let host = ("host", "localhost:4000");
        let own = ("origin", "http://localhost:4000");
        let json = ("content-type", "application/json; charset=utf-8");
        let post = |said: &[(&'static str, &str)]| refused(&Method::POST, "/abc/save", said);
        assert_eq!(post(&[host, own, json]), None);
        assert_eq!(post(&[host, json]), Some(403));
        let other = ("origin", "http://127.0.0.1:4001");
        assert_eq!(post(&[host, other, json]), Some(403));
        assert_eq!(
            post(&[host, own, ("content-type", "text/plain")]),
            Some(415)
        );
    }
}
