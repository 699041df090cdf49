//! Who is let in: only a browser on this machine, with the token of the printed address, asking
//! the page that the server itself sent.

use axum::http::{HeaderMap, Method, header};

use crate::bench::Bench;

/// Why a request is turned away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum TurnedAway {
    /// It was sent to another name than this machine's own.
    Host,
    /// Another page sent it.
    Origin,
    /// It does not carry the session's token.
    Session,
    /// The form is not one of this session.
    Form,
}

impl TurnedAway {
    /// What to tell.
    pub(crate) fn told(self) -> &'static str {
        match self {
            Self::Host => "This server answers to 127.0.0.1 and localhost only.",
            Self::Origin => "Another page sent this. Nothing was recorded.",
            Self::Session => {
                "Open the address that the command printed when it started. It carries the key to \
                 this session."
            }
            Self::Form => "This form is from an earlier start of the server. Reload the page.",
        }
    }
}

/// The name of a cookie of the server at this port: cookies are shared by all ports of a machine.
pub(crate) fn cookie(name: &str, port: u16) -> String {
    format!("crossread-{name}-{port}")
}

/// The value of a cookie.
pub(crate) fn cookie_of<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
    let pairs = all.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.filter(|(of, _)| *of == name).map(|(_, value)| value).next()
}

/// Whether a request comes from a page of this server, to this machine.
pub(crate) fn is_local(headers: &HeaderMap, method: &Method, port: u16) -> Result<(), TurnedAway> {
    let hosts = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok());
    let host = host.filter(|host| hosts.iter().any(|own| own == host)).ok_or(TurnedAway::Host)?;
    let own = format!("http://{host}");
    match headers.get(header::ORIGIN).map(header::HeaderValue::to_str) {
        Some(Ok(origin)) if origin == own => Ok(()),
        // A browser names the origin of whatever it posts.
        None if method == Method::GET => Ok(()),
        _ => Err(TurnedAway::Origin),
    }
}

/// Whether a request belongs to the session.
pub(crate) fn is_of_session(headers: &HeaderMap, bench: &Bench, port: u16) -> bool {
    cookie_of(headers, &cookie("session", port)).is_some_and(|value| same(value, &bench.token))
}

/// Whether two secrets are the same, in a time that does not tell where they differ.
pub(crate) fn same(one: &str, other: &str) -> bool {
    one.len() == other.len()
        && one.bytes().zip(other.bytes()).fold(0, |seen, (a, b)| seen | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use axum::http::{HeaderMap, Method};

    use super::{TurnedAway, cookie_of, is_local, same};

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(*name, value.parse().expect("a header"));
        }
        headers
    }

    #[test]
    fn only_this_machine_and_only_its_own_pages() {
        let post = |pairs: &[_]| is_local(&headers(pairs), &Method::POST, 8080);
        let own = ("host", "127.0.0.1:8080");
        assert_eq!(post(&[own, ("origin", "http://127.0.0.1:8080")]), Ok(()));
        assert_eq!(
            post(&[("host", "localhost:8080"), ("origin", "http://localhost:8080")]),
            Ok(())
        );
        assert_eq!(post(&[own]), Err(TurnedAway::Origin));
        assert_eq!(post(&[own, ("origin", "null")]), Err(TurnedAway::Origin));
        assert_eq!(post(&[own, ("origin", "http://127.0.0.1:9090")]), Err(TurnedAway::Origin));
        assert_eq!(post(&[own, ("origin", "http://localhost:8080")]), Err(TurnedAway::Origin));
        for host in
            ["example.org:8080", "127.0.0.1:9090", "127.0.0.1", "127.0.0.1:8080.example.org"]
        {
            assert_eq!(
                is_local(&headers(&[("host", host)]), &Method::GET, 8080),
                Err(TurnedAway::Host)
            );
        }
        assert_eq!(is_local(&headers(&[]), &Method::GET, 8080), Err(TurnedAway::Host));
        assert_eq!(is_local(&headers(&[own]), &Method::GET, 8080), Ok(()));
    }

    #[test]
    fn a_cookie_is_found_by_its_whole_name() {
        let headers = headers(&[("cookie", "x-a=1; a=2; b=3"), ("cookie", "c=4")]);
        assert_eq!(cookie_of(&headers, "a"), Some("2"));
        assert_eq!(cookie_of(&headers, "c"), Some("4"));
        assert_eq!(cookie_of(&headers, "d"), None);
    }

    #[test]
    fn secrets_are_compared_whole() {
        assert!(same("abc", "abc"));
        assert!(!same("abc", "abd") && !same("abc", "ab") && !same("", "a"));
    }
}
