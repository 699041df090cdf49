//! A server on a journal of its own with a clock that the test sets, and what a browser sends it.

use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::sync::{Arc, Mutex};

use crossread_core::document::{Id, Time};
use crossread_core::protocol::Protocols;
use crossread_journal::{Journal, Location, Writer};
use crossread_web::{Bench, Server};
use tempfile::TempDir;

/// A server, its journal and its clock.
pub(crate) struct Served {
    pub(crate) place: Location,
    pub(crate) address: String,
    clock: Arc<Mutex<String>>,
    _folder: TempDir,
}

/// One browser with its cookies, in which somebody said who they are.
pub(crate) struct Browser<'s> {
    served: &'s Served,
    cookies: String,
    form_token: String,
}

/// An answer.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (of, value) = line.split_once(": ")?;
            of.eq_ignore_ascii_case(name).then_some(value)
        })
    }

    /// The text of the page, without its tags.
    pub(crate) fn text(&self) -> String {
        let mut text = String::new();
        let mut in_tag = false;
        for c in self.body.chars() {
            match c {
                '<' => in_tag = true,
                '>' => {
                    in_tag = false;
                    text.push(' ');
                }
                c if !in_tag => text.push(c),
                _ => {}
            }
        }
        let text = text.replace("&amp;", "&").replace("&lt;", "<").replace("&gt;", ">");
        text.replace("&quot;", "\"").split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// What stands in the element with an id, up to the end of its kind of tag.
    pub(crate) fn part(&self, id: &str) -> &str {
        let at = self.body.find(&format!("id=\"{id}\"")).unwrap_or_else(|| panic!("no {id}"));
        &self.body[at..]
    }

    /// The large line.
    pub(crate) fn line(&self) -> &str {
        let line = self.part("line");
        &line[line.find('>').unwrap() + 1..line.find("</p>").unwrap()]
    }
}

impl Served {
    /// A server over an empty journal, at 02:40 of a night.
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let place = Location::from(folder.path().join("night.journal").as_path());
        let clock = Arc::new(Mutex::new("02:40:00".to_owned()));
        let shown = Arc::clone(&clock);
        let now = move || Time::new(&format!("2026-03-01T{}+01:00", shown.lock().unwrap()));
        let writer = Writer::new("KT", now().unwrap());
        let journal = Journal::create(&place, "Brindlemoor Animal Hospital", &writer).unwrap();
        let bench = Bench::new(journal, Protocols::shipped().clone(), Box::new(now)).unwrap();
        let server = Server::bind(bench, 0).unwrap();
        let address = server.address();
        std::thread::spawn(move || server.run());
        Self { place, address, clock, _folder: folder }
    }

    pub(crate) fn set_clock(&self, clock: &str) {
        clock.clone_into(&mut self.clock.lock().unwrap());
    }

    /// Host and port.
    pub(crate) fn host(&self) -> &str {
        let (host, _) = self.address.trim_start_matches("http://").split_once('/').unwrap();
        host
    }

    /// Sends a request as it is.
    pub(crate) fn ask(&self, request: &str, body: &str) -> Answer {
        let mut stream = TcpStream::connect(self.host()).unwrap();
        let length = body.len();
        let request =
            format!("{request}content-length: {length}\r\nconnection: close\r\n\r\n{body}");
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        let (head, body) = answer.split_once("\r\n\r\n").unwrap_or((&answer, ""));
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        Answer { status, head: head.to_owned(), body: body.to_owned() }
    }

    /// A browser that opened the printed address, without a name.
    pub(crate) fn browser(&self) -> Browser<'_> {
        let (_, path) = self.address.split_once("//").unwrap().1.split_once('/').unwrap();
        let first = self.ask(&format!("GET /{path} HTTP/1.1\r\nhost: {}\r\n", self.host()), "");
        let cookie = first.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
        let mut browser = Browser { served: self, cookies: cookie, form_token: String::new() };
        let page = browser.get("/who");
        let token = page.body.split("name=\"form_token\" value=\"").nth(1).unwrap();
        token.split('"').next().unwrap().clone_into(&mut browser.form_token);
        browser
    }

    /// A browser of somebody.
    pub(crate) fn sit(&self, name: &str) -> Browser<'_> {
        let mut browser = self.browser();
        let named = browser.post("/who", &[("name", name), ("to", "/")]);
        assert_eq!(named.status, 303, "{named:?}");
        let cookie = named.header("set-cookie").unwrap().split(';').next().unwrap();
        browser.cookies.push_str("; ");
        browser.cookies.push_str(cookie);
        browser
    }

    /// The journal, as another program opens it.
    pub(crate) fn journal(&self) -> Journal {
        Journal::open(&self.place).unwrap()
    }
}

impl Browser<'_> {
    pub(crate) fn cookies(&self) -> &str {
        &self.cookies
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        let host = self.served.host();
        let cookies = &self.cookies;
        let request = format!("GET {path} HTTP/1.1\r\nhost: {host}\r\ncookie: {cookies}\r\n");
        self.served.ask(&request, "")
    }

    /// Sends a form as the page's script does.
    pub(crate) fn send(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.posted(path, fields, "x-crossread: 1\r\n")
    }

    /// Sends a form.
    pub(crate) fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.posted(path, fields, "")
    }

    fn posted(&self, path: &str, fields: &[(&str, &str)], more: &str) -> Answer {
        let host = self.served.host();
        let cookies = &self.cookies;
        let mut body = format!("form_token={}", self.form_token);
        for (name, value) in fields {
            body.push_str(&format!("&{}={}", escaped(name), escaped(value)));
        }
        let request = format!(
            "POST {path} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncookie: {cookies}\r\n\
             content-type: application/x-www-form-urlencoded\r\n{more}"
        );
        self.served.ask(&request, &body)
    }

    /// Opens a worksheet for a dog that was never transfused, with donors of packed cells.
    pub(crate) fn open(&self, worksheet: &str, donors: &[(&str, &str)], more: &[(&str, &str)]) {
        let mut fields = vec![
            ("worksheet", worksheet),
            ("id", "R-3107"),
            ("name", "Juniper"),
            ("species", "dog"),
            ("types/0/system", "DEA 1"),
            ("types/0/result", "negative"),
            ("history/transfused", "never"),
            ("history/pregnant", "never"),
            ("history/reaction", "never"),
            ("method", "tube"),
        ];
        fields.retain(|(name, _)| !more.iter().any(|(other, _)| other == name));
        fields.extend_from_slice(more);
        let opened = self.post("/start", &fields);
        assert_eq!(opened.status, 303, "{}", opened.text());
        for (donor, unit) in donors {
            let added = self.post(
                &format!("/worksheets/{worksheet}/add/donor"),
                &[
                    ("id", donor),
                    ("species", "dog"),
                    ("product", "packed_cells"),
                    ("types/0/system", "DEA 1"),
                    ("types/0/result", "negative"),
                    ("unit/number", unit),
                    ("unit/expires_on", "2026-03-20"),
                    ("unit/inspection", "normal"),
                ],
            );
            assert_eq!(added.status, 303, "{}", added.text());
        }
    }

    /// Serum of the recipient, drawn at 01:10 in the time zone of the server.
    pub(crate) fn sample(&self, worksheet: &str) {
        let added = self.post(
            &format!("/worksheets/{worksheet}/add/sample"),
            &[
                ("id", "S-1"),
                ("of", "R-3107"),
                ("label_id", "R-3107"),
                ("role", "both"),
                ("tube", "serum"),
                ("drawn_at", "2026-03-01T01:10:00+01:00"),
                ("stored", "fridge"),
                ("hemolysis", "0"),
                ("lipemia", "0"),
                ("icterus", "0"),
                ("clots", "no"),
                ("agglutinated", "no"),
            ],
        );
        assert_eq!(added.status, 303, "{}", added.text());
    }

    /// Presses keys in a cell, one after the other. The last answer.
    pub(crate) fn keys(&self, worksheet: &str, cell: &str, keys: &str) -> Answer {
        let path = format!("/worksheets/{worksheet}/read");
        let mut last = None;
        for key in keys.split(' ') {
            last = Some(self.send(&path, &[("cell", cell), ("key", key)]));
        }
        last.unwrap()
    }
}

pub(crate) fn escaped(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}

pub(crate) fn id(text: &str) -> Id {
    Id::new(text).unwrap()
}
