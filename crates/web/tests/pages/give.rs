//! Verdict, issue, release: F35 to F40 from the page.

use crate::browser::{Served, id};

const AUTO: &str = "recipient_auto|warm_37c|-|";

/// A run with a compatible, a reactive and an unread donor.
fn run(served: &Served) {
    let browser = served.sit("KT");
    browser.open("WS-1", &[("D-1", "U-5511"), ("D-2", "U-5512"), ("D-3", "U-5513")], &[]);
    browser.sample("WS-1");
    browser.keys("WS-1", AUTO, "h0 0 enter");
    browser.keys("WS-1", "major|warm_37c|-|D-1", "h0 2 enter");
    browser.keys("WS-1", "major|warm_37c|-|D-2", "h0 0 enter");
}

fn order(page: &str, words: &[&str]) {
    let places: Vec<_> = words.iter().map(|word| page.find(word).unwrap()).collect();
    assert!(places.is_sorted(), "{words:?} {places:?}");
}

/// F35: sorted by verdict and reactivity; the label says reactivity.
#[test]
fn f35_donors_side_by_side() {
    let served = Served::new();
    run(&served);
    let page = served.sit("KT").get("/worksheets/WS-1/verdict");
    let tiles = page.text();
    assert!(tiles.contains("Compared by reactivity, which says nothing of risk."));
    order(&tiles, &["COMPATIBLE", "INCOMPLETE", "INCOMPATIBLE D-1"]);
    order(&tiles, &["D-2: packed cells", "D-3: packed cells", "D-1: packed cells"]);
    assert!(!page.body.to_lowercase().contains("safe"));
}

/// F36: where every donor reacts, no donor is called compatible.
#[test]
fn f36_least_reactive_is_no_verdict() {
    let served = Served::new();
    let browser = served.sit("KT");
    browser.open("WS-1", &[("D-1", "U-5511"), ("D-2", "U-5512")], &[]);
    browser.keys("WS-1", AUTO, "h0 0 enter");
    browser.keys("WS-1", "major|warm_37c|-|D-1", "h0 1 enter");
    browser.keys("WS-1", "major|warm_37c|-|D-2", "h0 3 enter");
    let page = browser.get("/worksheets/WS-1/verdict").text();
    let tiles = &page[..page.find("This is serology only").unwrap()];
    assert!(!tiles.replace("INCOMPATIBLE", "").contains("COMPATIBLE"), "{tiles}");
}

/// F38: a release is refused with the reason until everything it needs is there.
#[test]
fn f38_release_from_the_page() {
    let served = Served::new();
    run(&served);
    let browser = served.sit("KT");
    served.set_clock("03:40:00");
    let release = |donor: &str, unit: &str| {
        browser.post(
            &format!("/worksheets/WS-1/release/{donor}"),
            &[
                ("typed_recipient", "3107"),
                ("typed_unit", unit),
                ("to", "LM"),
                ("veterinarian", "Dr Vane"),
            ],
        )
    };
    let refused = release("D-2", "5512");
    assert_eq!(refused.status, 200);
    assert!(
        refused.text().contains("no interpretation was issued")
            || refused.text().contains("No interpretation was issued")
    );
    // What was filled in is still there.
    assert!(refused.body.contains("value=\"Dr Vane\""));
    assert_eq!(browser.post("/worksheets/WS-1/issue", &[("to", "Dr Vane")]).status, 303);
    assert!(release("D-1", "5511").text().contains("is incompatible"));
    assert!(release("D-2", "5512").text().contains("at its segment first"));
    let typed = [("donor", "D-2"), ("typed", "5512")];
    assert_eq!(browser.post("/worksheets/WS-1/segment", &typed).status, 303);
    assert!(release("D-2", "5521").text().contains("do not agree"));
    assert_eq!(release("D-2", "5512").status, 303);
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.releases.len(), 1);
    let page = browser.get("/worksheets/WS-1/verdict").text();
    assert!(page.contains("unit U-5512 of D-2 to LM"), "{page}");
}

/// F39, F40: an emergency release says what was not tested and leaves a task; what was found
/// incompatible does not leave this way.
#[test]
fn f39_emergency_release_from_the_page() {
    let served = Served::new();
    run(&served);
    let browser = served.sit("KT");
    let release = |donor: &str, unit: &str, reason: &str| {
        browser.post(
            &format!("/worksheets/WS-1/release/{donor}"),
            &[
                ("typed_recipient", "3107"),
                ("typed_unit", unit),
                ("to", "LM"),
                ("veterinarian", "Dr Vane"),
                ("reason", reason),
                ("emergency", "yes"),
            ],
        )
    };
    assert!(release("D-1", "5511", "bleeding").text().contains("incompatible"));
    assert_eq!(release("D-3", "5513", "").status, 200, "a reason is asked for");
    assert_eq!(release("D-3", "5513", "bleeding").status, 303);
    let page = browser.get("/worksheets/WS-1/verdict").text();
    assert!(page.contains("CROSSMATCH NOT COMPLETED: unit U-5513 of D-3"), "{page}");
    assert!(browser.get("/").text().contains("finish the crossmatch of D-3"));
}

/// F20 and F49 to F51: what is amended after issue becomes a new revision, and a task to tell.
#[test]
fn f51_who_had_the_earlier_revision_is_told() {
    let served = Served::new();
    run(&served);
    let browser = served.sit("KT");
    browser.post("/worksheets/WS-1/issue", &[("to", "Dr Vane")]);
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    let seq = sheet.readings[2].seq;
    let path = format!("/worksheets/WS-1/entries/{seq}");
    let amended = [("agglutination", "2+"), ("hemolysis", "0"), ("reason", "misread")];
    assert_eq!(browser.post(&path, &amended).status, 303);
    let page = browser.get("/worksheets/WS-1/verdict").text();
    assert!(page.contains("Something was entered since: issue it again."), "{page}");
    assert!(page.contains("Revision 1 said otherwise"), "{page}");
    let today = browser.get("/");
    assert!(today.text().contains("Dr Vane"), "{}", today.text());
    let task = today.body.split("action=\"/tasks/").nth(1).unwrap().split('"').next().unwrap();
    assert_eq!(browser.post(&format!("/tasks/{task}"), &[("text", "telephoned")]).status, 303);
    assert!(browser.get("/").text().contains("No task is open"));
    browser.post("/worksheets/WS-1/issue", &[("to", "Dr Vane")]);
    let report = browser.get("/worksheets/WS-1/paper/report").text();
    assert!(report.contains("revision 2") || report.contains("Revision 2"), "{report}");
}
