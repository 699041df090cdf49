//! Who is let in, and what is shown as text.

use rstest::rstest;

use crate::browser::Served;

#[test]
fn without_the_printed_address_nothing_is_shown() {
    let served = Served::new();
    let host = served.host().to_owned();
    for path in ["/", "/who", "/style.css", "/worksheets/WS-1", "/?key=0123456789abcdef"] {
        let answer = served.ask(&format!("GET {path} HTTP/1.1\r\nhost: {host}\r\n"), "");
        assert_eq!(answer.status, 403, "{path}");
        assert!(!answer.body.contains("Brindlemoor"));
    }
}

#[test]
fn another_page_can_send_nothing() {
    let served = Served::new();
    let host = served.host().to_owned();
    let browser = served.sit("KT");
    let head = served.journal().head().unwrap();
    let ask = |origin: &str| {
        let request = format!(
            "POST /start HTTP/1.1\r\nhost: {host}\r\n{origin}cookie: {}\r\n",
            browser.cookies()
        );
        served.ask(&request, "worksheet=WS-1&id=R-1&name=A&species=dog&method=tube").status
    };
    assert_eq!(ask(""), 403);
    assert_eq!(ask("origin: http://example.org\r\n"), 403);
    assert_eq!(ask("origin: null\r\n"), 403);
    // From the right page, but without the form's token.
    assert_eq!(ask(&format!("origin: http://{host}\r\n")), 403);
    assert_eq!(served.journal().head().unwrap(), head);
}

#[test]
fn every_answer_says_what_a_page_may_load() {
    let served = Served::new();
    let browser = served.sit("KT");
    browser.open("WS-1", &[("D-091", "U-5512")], &[]);
    for path in [
        "/",
        "/start",
        "/grades",
        "/worksheets/WS-1/read",
        "/worksheets/WS-1/paper/report",
        "/none",
    ] {
        let answer = browser.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'self'"), "{path}: {policy}");
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.body.contains("<style>"), policy.contains("'sha256-"), "{path}");
        assert!(!answer.body.contains(" style="), "{path}");
    }
}

#[rstest]
#[case("<script>alert(1)</script>")]
#[case("\" onmouseover=alert(1) x=\"")]
#[case("'); DROP TABLE entries; --")]
fn what_people_write_is_text(#[case] text: &str) {
    let served = Served::new();
    let browser = served.sit(text);
    let (donor, unit) = (format!("D-1{text}"), format!("U-1{text}"));
    let more = [("name", text), ("breed", text), ("request/text", text)];
    browser.open("WS-1", &[(&donor, &unit)], &more);
    let noted = browser.post("/worksheets/WS-1/note", &[("text", text)]);
    assert_eq!(noted.status, 303);
    for path in ["", "/plan", "/read", "/verdict", "/entries", "/paper/report", "/paper/sheet"] {
        let page = browser.get(&format!("/worksheets/WS-1{path}"));
        assert_eq!(page.status, 200, "{path}");
        assert!(!page.body.contains("<script>alert"), "{path}");
        assert!(!page.body.contains("\" onmouseover"), "{path}");
    }
    let page = browser.get("/worksheets/WS-1");
    assert!(page.text().contains(text), "{}", page.text());
    assert!(served.journal().verify(None).unwrap().is_good());
}

#[test]
fn who_writes_is_asked_first_and_leads_back() {
    let served = Served::new();
    let browser = served.browser();
    let sent = browser.get("/worksheets/WS-1/read");
    assert_eq!(sent.status, 303);
    assert_eq!(sent.header("location"), Some("/who?to=%2Fworksheets%2FWS-1%2Fread"));
    let nameless = browser.post("/who", &[("name", " - "), ("to", "/")]);
    assert_eq!(nameless.status, 422);
    let elsewhere = browser.post("/who", &[("name", "KT"), ("to", "//example.org")]);
    assert_eq!(elsewhere.header("location"), Some("/"));
}
