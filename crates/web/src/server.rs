//! The server: bound to the loopback address, one router, the headers that every answer carries.

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{DefaultBodyLimit, State};
use axum::http::{HeaderMap, Method, Response, StatusCode, Uri, header};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use crossread_journal::JournalError;
use maud::{Markup, html};
use percent_encoding::percent_decode_str;
use sha2::{Digest as _, Sha256};
use thiserror::Error;
use tokio::net::TcpListener;

use crate::answer::{Answer, Problem};
use crate::ask::{Ask, Fields};
use crate::bench::Bench;
use crate::guard::{self, TurnedAway};
use crate::{address, route, shell};

/// The largest form that is taken, in bytes.
const LARGEST_FORM: usize = 1 << 20;

/// Why the server does not start, or stopped.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum CannotServe {
    /// The port is taken, or may not be used.
    #[error("cannot listen on 127.0.0.1: {0}")]
    Listen(#[source] io::Error),
    /// Serving broke off.
    #[error("serving broke off: {0}")]
    Serve(#[source] io::Error),
    /// The machine gives no random numbers, without which there is no session.
    #[error("the machine gives no random numbers: {0}")]
    Random(String),
    /// The journal cannot be read.
    #[error(transparent)]
    Journal(JournalError),
}

/// A server that listens on 127.0.0.1 and has not begun to answer.
#[derive(Debug)]
pub struct Server {
    bench: Bench,
    listener: std::net::TcpListener,
    port: u16,
}

impl Server {
    /// Listens on a port of 127.0.0.1; 0 is any free one.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_web::{Bench, CannotServe, Server};
    /// # let folder = tempfile::tempdir()?;
    /// # let bench = |name: &str| {
    /// #     let place = Location::from(folder.path().join(name).as_path());
    /// #     let journal = Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:40")).unwrap();
    /// #     Bench::new(journal, Protocols::shipped().clone(), Bench::system_clock()).unwrap()
    /// # };
    /// let first = Server::bind(bench("a.journal"), 0)?;
    /// let port = first.address().split(['/', ':', '?']).find_map(|part| part.parse::<u16>().ok());
    /// let second = Server::bind(bench("b.journal"), port.ok_or("no port")?);
    /// assert!(matches!(second, Err(CannotServe::Listen(_))));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the port is taken or may not be used.
    pub fn bind(bench: Bench, port: u16) -> Result<Self, CannotServe> {
        let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
        let listener = std::net::TcpListener::bind(address).map_err(CannotServe::Listen)?;
        listener.set_nonblocking(true).map_err(CannotServe::Listen)?;
        let port = listener.local_addr().map_err(CannotServe::Listen)?.port();
        Ok(Self { bench, listener, port })
    }

    /// The address to open, with the key to the session.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/?key={}", self.port, self.bench.token)
    }

    /// Answers until the process is told to end.
    ///
    /// # Errors
    /// If serving breaks off.
    pub fn run(self) -> Result<(), CannotServe> {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .map_err(CannotServe::Serve)?;
        runtime.block_on(async {
            let listener = TcpListener::from_std(self.listener).map_err(CannotServe::Listen)?;
            let held = Arc::new(Held { bench: self.bench, port: self.port });
            let router = Router::new()
                .fallback(answer)
                .layer(DefaultBodyLimit::max(LARGEST_FORM))
                .with_state(held);
            let end = async {
                if tokio::signal::ctrl_c().await.is_err() {
                    std::future::pending::<()>().await;
                }
            };
            axum::serve(listener, router)
                .with_graceful_shutdown(end)
                .await
                .map_err(CannotServe::Serve)
        })
    }
}

#[derive(Debug)]
struct Held {
    bench: Bench,
    port: u16,
}

async fn answer(
    State(held): State<Arc<Held>>,
    method: Method,
    uri: Uri,
    headers: HeaderMap,
    body: Bytes,
) -> Response<Body> {
    // The journal waits for the disk; the other browsers' pages must not wait with it.
    let work = move || one(&held, &method, &uri, &headers, &body);
    let done = tokio::task::spawn_blocking(work).await;
    done.unwrap_or_else(|_panicked| {
        plain(StatusCode::INTERNAL_SERVER_ERROR, "This is a fault of the program.")
    })
}

fn one(
    held: &Held,
    method: &Method,
    uri: &Uri,
    headers: &HeaderMap,
    body: &[u8],
) -> Response<Body> {
    let Held { bench, port } = held;
    if method != Method::GET && method != Method::POST {
        return plain(StatusCode::METHOD_NOT_ALLOWED, "Only GET and POST are answered.");
    }
    if let Err(away) = guard::is_local(headers, method, *port) {
        return plain(StatusCode::FORBIDDEN, away.told());
    }
    let query = Fields::read(uri.query().unwrap_or_default());
    if method == Method::GET && guard::same(query.get("key"), &bench.token) {
        return entered(bench, *port);
    }
    if !guard::is_of_session(headers, bench, *port) {
        return plain(StatusCode::FORBIDDEN, TurnedAway::Session.told());
    }
    let form = Fields::read(str::from_utf8(body).unwrap_or_default());
    if method == Method::POST && !guard::same(form.get("form_token"), &bench.form_token) {
        return plain(StatusCode::FORBIDDEN, TurnedAway::Form.told());
    }
    let person = guard::cookie_of(headers, &guard::cookie("person", *port));
    let decoded = |text: &str| percent_decode_str(text).decode_utf8_lossy().into_owned();
    let ask = Ask {
        bench,
        posts: method == Method::POST,
        path: uri.path().split('/').filter(|part| !part.is_empty()).map(decoded).collect(),
        query,
        form,
        person: person.map(decoded).filter(|name| name.chars().any(char::is_alphanumeric)),
        by_script: headers.contains_key("x-crossread"),
    };
    match route::answer(&ask) {
        Ok(answer) => sent(&ask, answer, *port),
        Err(Problem::WhoIsThere) if !ask.by_script => {
            let to = format!("/who?to={}", address::value(&ask.address()));
            sent(&ask, Answer::GoTo(to), *port)
        }
        Err(problem) => trouble(&ask, &problem),
    }
}

/// The first answer to the printed address: the session's cookie, and the address without its key.
fn entered(bench: &Bench, port: u16) -> Response<Body> {
    let cookie = format!(
        "{}={}; Path=/; HttpOnly; SameSite=Strict",
        guard::cookie("session", port),
        bench.token
    );
    // Not a redirect: a browser that came from elsewhere would not send the new cookie with it.
    let onward = html! {
        (maud::DOCTYPE)
        html lang="en" {
            head { meta charset="utf-8"; meta http-equiv="refresh" content="0; url=/"; title { "crossread" } }
            body { p { a href="/" { "Go on" } } }
        }
    };
    let mut response = page(StatusCode::OK, &onward);
    if let Ok(cookie) = cookie.parse() {
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    response
}

fn sent(ask: &Ask<'_>, answer: Answer, port: u16) -> Response<Body> {
    match answer {
        Answer::Page { title, body } => page(StatusCode::OK, &shell::page(ask, &title, &body)),
        Answer::Part(piece) => page(StatusCode::OK, &piece),
        Answer::Unchanged => build(StatusCode::NO_CONTENT, "text/plain", Body::empty()),
        Answer::GoTo(to) => redirect(&to),
        Answer::Person { name, to } => {
            let name = address::value(&name);
            let cookie = format!(
                "{}={name}; Path=/; HttpOnly; SameSite=Strict",
                guard::cookie("person", port)
            );
            let mut response = redirect(&to);
            if let Ok(cookie) = cookie.parse() {
                response.headers_mut().insert(header::SET_COOKIE, cookie);
            }
            response
        }
        Answer::Paper(paper) => {
            let policy = policy(&styles(&paper));
            let mut response = build(StatusCode::OK, "text/html; charset=utf-8", Body::from(paper));
            if let Ok(policy) = policy.parse() {
                response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
            }
            response
        }
        Answer::File(kind, text) => kept(build(StatusCode::OK, kind, Body::from(text))),
        Answer::Drawing(svg) => kept(build(StatusCode::OK, "image/svg+xml", Body::from(svg))),
    }
}

/// What a browser may keep: nothing of it is about an animal.
fn kept(mut response: Response<Body>) -> Response<Body> {
    let kept = header::HeaderValue::from_static("max-age=3600");
    response.headers_mut().insert(header::CACHE_CONTROL, kept);
    response
}

fn trouble(ask: &Ask<'_>, problem: &Problem) -> Response<Body> {
    let status =
        StatusCode::from_u16(problem.status()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    if ask.by_script {
        return page(status, &problem.shown());
    }
    let body = html! {
        h1 { "Not done" }
        (problem.shown())
        p { "Nothing was lost: go back to the page before to see what you filled in." }
        p { a.button href="/" { "Today" } }
    };
    page(status, &shell::page(ask, "Not done", &body))
}

fn page(status: StatusCode, markup: &Markup) -> Response<Body> {
    build(status, "text/html; charset=utf-8", Body::from(markup.0.clone()))
}

fn plain(status: StatusCode, text: &'static str) -> Response<Body> {
    build(status, "text/plain; charset=utf-8", Body::from(text))
}

fn redirect(to: &str) -> Response<Body> {
    let mut response = build(StatusCode::SEE_OTHER, "text/plain", Body::empty());
    if let Ok(to) = to.parse() {
        response.headers_mut().insert(header::LOCATION, to);
    }
    response
}

/// What a page may load: only what this server sends, and the styles named here.
fn policy(styles: &str) -> String {
    format!(
        "default-src 'self'; style-src 'self'{styles}; form-action 'self'; base-uri 'none'; \
         frame-ancestors 'none'; object-src 'none'"
    )
}

fn build(status: StatusCode, kind: &'static str, body: Body) -> Response<Body> {
    let mut response = Response::new(body);
    *response.status_mut() = status;
    let headers = response.headers_mut();
    let own = header::HeaderValue::from_str(&policy(""));
    for (name, value) in [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
    ] {
        headers.insert(name, header::HeaderValue::from_static(value));
    }
    if let Ok(own) = own {
        headers.insert(header::CONTENT_SECURITY_POLICY, own);
    }
    response
}

/// The hash of each style that a sheet brings, as a policy names it.
fn styles(paper: &str) -> String {
    let pieces = paper.split("<style>").skip(1).filter_map(|piece| piece.split("</style>").next());
    let hash = |style: &str| STANDARD.encode(Sha256::digest(style.as_bytes()));
    pieces.fold(String::new(), |all, style| all + " 'sha256-" + &hash(style) + "'")
}

#[cfg(test)]
mod tests {
    use super::styles;

    /// SHA-256 of nothing is e3b0c442… (NIST, test vectors to FIPS 180-4), here in base64.
    #[test]
    fn a_policy_names_a_style_by_its_hash() {
        assert_eq!(
            styles("<style></style>"),
            " 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
        );
        assert_eq!(styles("none"), "");
    }
}
