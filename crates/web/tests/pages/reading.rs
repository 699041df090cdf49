//! Reading by keys: F18 to F24.

use crossread_journal::Event;
use rstest::rstest;

use crate::browser::{Served, id};

const AUTO: &str = "recipient_auto|warm_37c|-|";
const MAJOR: &str = "major|warm_37c|-|D-091";

fn opened(served: &Served, more: &[(&str, &str)]) {
    served.sit("KT").open("WS-1", &[("D-091", "U-5512"), ("D-092", "U-5513")], more);
}

/// F18: the controls first; a donor's mixture before them only with a reason.
#[test]
fn f18_controls_first() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let page = browser.get("/worksheets/WS-1/read");
    assert!(page.part("bench").contains("data-cell=\"recipient_auto|warm_37c|-|\""));
    let head = served.journal().head().unwrap();
    let refused = browser.keys("WS-1", MAJOR, "h0");
    assert!(refused.text().contains("First read: recipient autocontrol at 37 °C"));
    assert_eq!(served.journal().head().unwrap(), head, "nothing is recorded without a reason");
    let path = "/worksheets/WS-1/read";
    let fields = [("cell", MAJOR), ("key", "h0"), ("reason", "the control tube broke")];
    let told = browser.send(path, &fields);
    assert_eq!(told.line(), "D-091 major at 37 °C: hemolysis 0 …");
    // The reason is asked once for a look, and it is on the record.
    let written = browser.keys("WS-1", MAJOR, "0 enter");
    assert_eq!(written.line(), "Written: D-091 major at 37 °C: 0, hemolysis 0");
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    assert!(sheet.notes[0].value.text.as_str().contains("the control tube broke"));
    assert_eq!(sheet.readings.len(), 1);
}

/// F18: hemolysis before agglutination; one key a grade; unreadable is one key.
#[test]
fn f18_hemolysis_is_asked_for() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let asked = browser.keys("WS-1", AUTO, "2 enter");
    assert!(asked.text().contains("Hemolysis not entered"), "{}", asked.text());
    assert!(served.journal().sheet(&id("WS-1")).unwrap().readings.is_empty());
    let written = browser.keys("WS-1", AUTO, "h1 enter");
    assert_eq!(written.line(), "Written: recipient autocontrol at 37 °C: 2+, hemolysis 1");
    // And it goes on to the next in the order of reading.
    assert!(written.part("bench").contains("data-cell=\"major|warm_37c|-|D-091\""));
    let written = browser.keys("WS-1", MAJOR, "x h-");
    assert_eq!(written.line(), "Written: D-091 major at 37 °C: unreadable");
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    assert!(sheet.readings[1].value.reading.hemolysis.is_none());
}

/// F19: the same cell entered twice is two readings, the first unchanged.
#[test]
fn f19_a_second_look_is_a_second_reading() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    browser.keys("WS-1", AUTO, "h0 0 enter");
    let first = served.journal().sheet(&id("WS-1")).unwrap().readings[0].clone();
    browser.keys("WS-1", AUTO, "h0 1 enter");
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings.len(), 2);
    assert_eq!(sheet.readings[0], first);
    let page = browser.get("/worksheets/WS-1/read");
    let cells = page.part("grid");
    assert!(cells.contains("<b>0, hemolysis 0</b>") && cells.contains("<b>1+, hemolysis 0</b>"));
}

/// F20: at the limit a look is in time, a second later it is not. The clock runs from the spin.
#[rstest]
#[case("03:05:00", false)]
#[case("03:05:01", true)]
fn f20_reading_window(#[case] looked: &str, #[case] late: bool) {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    served.set_clock("03:00:00");
    let step = [("step", "spun|warm_37c"), ("cell", AUTO)];
    let clocks = browser.send("/worksheets/WS-1/step", &step);
    assert!(clocks.text().contains("Read until 03:05:00"), "{}", clocks.text());
    served.set_clock("03:01:00");
    browser.keys("WS-1", AUTO, "h0 0 enter");
    served.set_clock(looked);
    browser.keys("WS-1", MAJOR, "h0 0");
    // When it was seen counts, not when it was written down.
    served.set_clock("03:30:00");
    browser.keys("WS-1", MAJOR, "enter");
    let interpretation = served.journal().interpretation(&id("WS-1")).unwrap();
    let found = interpretation.pairs[0].findings.iter().any(|f| f.slug == "reading-delayed");
    assert_eq!(found, late, "{:?}", interpretation.pairs[0].findings);
}

/// F21: stacks open a recheck beside the first look, which stays.
#[test]
fn f21_saline_recheck_opens_beside() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let first = browser.keys("WS-1", AUTO, "h0 2 pattern:stacks enter");
    let recheck = "recipient_auto|warm_37c|saline_replacement|";
    assert!(first.part("grid").contains(&format!("data-cell=\"{recheck}\"")));
    served.set_clock("02:52:00");
    browser.keys("WS-1", recheck, "h0 0 enter");
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings.len(), 2);
    assert!(sheet.readings.iter().all(crossread_journal::Entered::stands));
    let interpretation = served.journal().interpretation(&id("WS-1")).unwrap();
    let found = interpretation.pairs[0].findings.iter().any(|f| f.slug == "rouleaux-dispersed");
    assert!(found, "{:?}", interpretation.pairs[0].findings);
}

/// F21: on a slide the dilution is asked for, and a look without it is not written down.
#[test]
fn f21_dilution_is_asked_for_on_a_slide() {
    let served = Served::new();
    opened(&served, &[("method", "slide")]);
    let browser = served.sit("KT");
    let auto = "recipient_auto|room|-|";
    let first = browser.keys("WS-1", auto, "2 pattern:both enter");
    assert!(first.line().starts_with("Written"), "{}", first.text());
    let recheck = "recipient_auto|room|saline_dilution|";
    let asked = browser.keys("WS-1", recheck, "0 enter");
    assert!(asked.text().contains("parts of saline"), "{}", asked.text());
    let path = "/worksheets/WS-1/read";
    browser.send(path, &[("cell", recheck), ("key", "parts"), ("parts", "4")]);
    let written = browser.keys("WS-1", recheck, "enter");
    assert_eq!(
        written.line(),
        "Written: recipient autocontrol at room temperature, after saline dilution: 0, 4:1 saline"
    );
}

/// F22: the second reader's pages say nothing of what the first one saw, until both have read.
#[test]
fn f22_blind_second_reader() {
    let served = Served::new();
    opened(&served, &[("second_reader", "yes")]);
    let (first, second) = (served.sit("KT"), served.sit("LM"));
    first.keys("WS-1", AUTO, "h3 3 s");
    let pages = || {
        let pages = ["/read", "/verdict", "/entries", "/read/since?seen=0", "/paper/report"];
        let all = pages.map(|page| second.get(&format!("/worksheets/WS-1{page}")).body);
        let sheet = served.journal().sheet(&id("WS-1")).unwrap();
        let last = sheet.last.to_string();
        let entries =
            (1..=sheet.last).map(|seq| second.get(&format!("/worksheets/WS-1/entries/{seq}")).body);
        // The form of a correction offers every grade there is.
        let said = format!("{}{}{last}", all.concat(), entries.collect::<String>());
        said.replace("<option value=\"3+s\">3+s</option>", "")
    };
    // Neither while it is begun nor when it is written; `3+s` stands nowhere else on these pages.
    let seen = |pages: String| pages.find("3+s").map(|at| pages[at - 80..at + 40].to_owned());
    assert_eq!(seen(pages()), None);
    let mine = first.get("/worksheets/WS-1/read");
    assert!(mine.body.contains("3+s, hemolysis 3 …"), "the first reader sees what is begun");
    first.keys("WS-1", AUTO, "enter");
    assert_eq!(seen(pages()), None);
    // The second reader is led to the same mixture, finds it empty, and disagrees.
    let page = second.get("/worksheets/WS-1/read");
    assert!(page.part("bench").contains("data-cell=\"recipient_auto|warm_37c|-|\""));
    let told = second.keys("WS-1", AUTO, "h0 0 enter");
    assert!(told.text().contains("look at the mixture itself a third time"), "{}", told.text());
    assert!(second.get("/worksheets/WS-1/read").body.contains("3+s, hemolysis 3"));
    assert!(second.get("/").text().contains("a third time"));
}

/// F24: whoever comes back lands on the same cell, with what was seen so far.
#[test]
fn f24_interruption() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    browser.keys("WS-1", AUTO, "h0 0 enter");
    browser.keys("WS-1", "major|warm_37c|-|D-092", "h1 2");
    let page = served.sit("KT").get("/worksheets/WS-1/read");
    assert!(page.part("bench").contains("data-cell=\"major|warm_37c|-|D-092\""));
    assert!(page.part("grid").contains("2+, hemolysis 1 …"));
    // Somebody else sees that it is begun, and is led to what waits.
    let other = served.sit("LM").get("/worksheets/WS-1/read");
    assert!(other.part("grid").contains("KT is reading"));
}

/// Undo takes back what is begun, and then what was written; both stay on the record.
#[test]
fn undo_keeps_both() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let undone = browser.keys("WS-1", AUTO, "h0 3 u");
    assert_eq!(undone.line(), "recipient autocontrol at 37 °C: taken back");
    browser.keys("WS-1", AUTO, "h0 3 enter");
    let undone = browser.keys("WS-1", AUTO, "u");
    assert!(undone.line().contains("both stay on the record"));
    browser.keys("WS-1", AUTO, "h0 0 enter");
    let sheet = served.journal().sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings.len(), 2);
    assert!(!sheet.readings[0].stands() && sheet.readings[1].stands());
    // Nobody takes back what somebody else wrote.
    let other = served.sit("LM").keys("WS-1", AUTO, "u");
    assert!(other.text().contains("nothing of yours"), "{}", other.text());
}

/// A whole look is written down when its cell is left; one that is not whole stays begun.
#[test]
fn leaving_a_cell() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let left = browser.keys("WS-1", AUTO, "h0 0 down");
    assert_eq!(left.line(), "Written: recipient autocontrol at 37 °C: 0, hemolysis 0");
    assert!(left.part("bench").contains("data-cell=\"major|warm_37c|-|D-091\""));
    let left = browser.keys("WS-1", MAJOR, "3 up");
    assert!(left.text().contains("D-091 major at 37 °C is not finished"), "{}", left.text());
    assert_eq!(served.journal().sheet(&id("WS-1")).unwrap().readings.len(), 1);
    // Without the script, the pad's buttons do the same.
    let path = "/worksheets/WS-1/read";
    let sent = browser.post(path, &[("cell", MAJOR), ("key", "h0")]);
    assert_eq!(sent.status, 303);
    browser.post(path, &[("cell", MAJOR), ("key", "enter")]);
    assert_eq!(served.journal().sheet(&id("WS-1")).unwrap().readings.len(), 2);
}

/// A key that does nothing says why and records nothing.
#[rstest]
#[case("q", "no key")]
#[case("h9", "no key")]
#[case("s", "after a digit")]
#[case("check:2+", "antiglobulin")]
#[case("d", "slide")]
#[case("enter", "")]
fn a_key_that_does_nothing(#[case] key: &str, #[case] why: &str) {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let head = served.journal().head().unwrap();
    let told = browser.keys("WS-1", AUTO, key);
    assert!(told.text().contains(why), "{}", told.text());
    assert_eq!(served.journal().head().unwrap(), head);
}

/// A reading that was wrong is amended from the page: both values, the reason, the person.
#[test]
fn f49_amended_from_the_page() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    browser.keys("WS-1", AUTO, "h0 2 enter");
    let seq = served.journal().sheet(&id("WS-1")).unwrap().readings[0].seq;
    let path = format!("/worksheets/WS-1/entries/{seq}");
    let form = browser.get(&path);
    assert!(form.body.contains("<option value=\"2+\" selected"));
    let nameless = browser.post(&path, &[("agglutination", "0"), ("hemolysis", "0")]);
    assert_eq!(nameless.status, 200, "a reason is asked for");
    let amended = [("agglutination", "0"), ("hemolysis", "0"), ("reason", "wrong tube")];
    assert_eq!(browser.post(&path, &amended).status, 303);
    let mut journal = served.journal();
    let sheet = journal.sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings[0].taken_back.as_ref().unwrap().reason.as_str(), "wrong tube");
    assert_eq!(sheet.readings[1].value.reading.at, sheet.readings[0].value.reading.at);
    let Event::ReadingEntered(new) = journal.entry(sheet.readings[1].seq).unwrap().event else {
        panic!("no reading")
    };
    assert_eq!(new.reading.agglutination.unwrap().word(), "0");
}

/// Every grade has a drawing by each method and under the microscope, and the grade that was seen
/// stands drawn beside the pad.
#[test]
fn grades_are_drawn() {
    let served = Served::new();
    opened(&served, &[]);
    let browser = served.sit("KT");
    let mut drawn = std::collections::BTreeSet::new();
    for how in ["tube", "gel", "slide", "microscope"] {
        for grade in ["0", "rough", "micro", "w", "1%2Bw", "1%2B", "1%2Bs", "2%2Bw", "2%2B"] {
            let drawing = browser.get(&format!("/drawings/{how}/{grade}"));
            assert_eq!(drawing.header("content-type"), Some("image/svg+xml"));
            assert!(drawing.body.starts_with("<svg"), "{how} {grade}");
            drawn.insert(drawing.body);
        }
    }
    // By eye, rough and micro look like 0: the same drawing three times by each method.
    assert_eq!(drawn.len(), 4 * 9 - 3 * 2);
    assert_eq!(browser.get("/drawings/tube/5%2B").status, 404);
    assert_eq!(browser.get("/drawings/bucket/0").status, 404);
    browser.keys("WS-1", AUTO, "h0");
    browser.keys("WS-1", AUTO, "2");
    let page = browser.get("/worksheets/WS-1/read");
    assert!(page.body.contains("src=\"/drawings/tube/2%2B\""), "{}", page.body);
    assert_eq!(browser.get("/grades").body.matches("class=\"drawn\"").count(), 13 * 4);
}
