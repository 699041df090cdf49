//! A worksheet is opened, and what is at fault is named beside what was filled in.

use crate::browser::Served;

#[test]
fn what_is_at_fault_is_named_and_nothing_is_lost() {
    let served = Served::new();
    let browser = served.sit("KT");
    let head = served.journal().head().unwrap();
    let page = browser.post(
        "/start",
        &[
            ("worksheet", "WS-1"),
            ("id", "R-3107"),
            ("name", "Juniper"),
            ("species", "dog"),
            ("weight_kg", "a lot"),
            ("method", "tube"),
        ],
    );
    assert_eq!(page.status, 200);
    assert!(page.text().contains("Weight, kg : expected"), "{}", page.text());
    for kept in ["value=\"R-3107\"", "value=\"Juniper\"", "value=\"a lot\"", "value=\"WS-1\""] {
        assert!(page.body.contains(kept), "{kept}");
    }
    assert_eq!(served.journal().head().unwrap(), head);
}

/// F54: what the journal knows of an animal comes first, and each of it is taken note of by name.
#[test]
fn f54_history_warnings() {
    let served = Served::new();
    let browser = served.sit("KT");
    let again = [("history/transfused", "yes"), ("history/last_transfused_on", "2026-02-20")];
    browser.open("WS-1", &[("D-091", "U-5512")], &again);
    browser.keys("WS-1", "recipient_auto|warm_37c|-|", "h0 0 enter");
    browser.keys("WS-1", "major|warm_37c|-|D-091", "h0 2 enter");
    let fields = [
        ("worksheet", "WS-2"),
        ("id", "R-3107"),
        ("name", "Juniper"),
        ("species", "dog"),
        ("method", "tube"),
    ];
    let page = browser.post("/start", &fields);
    assert_eq!(page.status, 200);
    let text = page.text();
    assert!(text.contains("D-091") && text.contains("KT"), "{text}");
    let warnings: Vec<&str> = page
        .body
        .split("name=\"noted\" value=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap())
        .collect();
    assert!(!warnings.is_empty(), "{text}");
    // One that is not ticked, and it is shown again.
    let mut noted: Vec<_> = fields.to_vec();
    let all: Vec<String> = warnings.iter().map(|warning| warning.replace("&amp;", "&")).collect();
    noted.extend(all.iter().skip(1).map(|warning| ("noted", warning.as_str())));
    assert_eq!(browser.post("/start", &noted).status, 200);
    noted.push(("noted", all[0].as_str()));
    let opened = browser.post("/start", &noted);
    assert_eq!(opened.status, 303, "{}", opened.text());
}

#[test]
fn a_segment_typed_wrong_twice_locks_the_row() {
    let served = Served::new();
    let browser = served.sit("KT");
    browser.open("WS-1", &[("D-091", "U-5512")], &[]);
    let typed = |text: &str| {
        browser.post("/worksheets/WS-1/segment", &[("donor", "D-091"), ("typed", text)])
    };
    assert_eq!(typed("5521").status, 422);
    assert_eq!(typed("5521").status, 422);
    assert!(browser.get("/worksheets/WS-1").text().contains("Locked"));
    let key = browser.keys("WS-1", "major|warm_37c|-|D-091", "h0");
    assert!(key.text().contains("locked") || key.text().contains("First read"), "{}", key.text());
    // Another person types it right.
    let other = served.sit("LM");
    let right = other.post("/worksheets/WS-1/segment", &[("donor", "D-091"), ("typed", "5512")]);
    assert_eq!(right.status, 303);
    assert!(browser.get("/worksheets/WS-1").text().contains("agrees with unit U-5512"));
}
