//! What is on paper: the same in every form, complete, and nothing that a text could smuggle in.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::wildcard_enum_match_arm,
    reason = "a helper of a test may fail the test"
)]

use std::path::Path;

use crossread_core::care::Order;
use crossread_core::document::Time;
use crossread_core::prepare::rack;
use crossread_core::words::{Product, Verdict};
use crossread_core::{Interpretation, Protocol, Protocols, Worksheet, interpret};
use crossread_print::{
    Amendment, Block, Document, Drawing, Gave, Given, Handover, Paper, Replaced, Report, Sheet,
    TransfusionSheet, Unfinished, html, labels, text,
};
use jiff::tz::TimeZone;
use rstest::rstest;
use serde_json::{Value, json};

fn example(name: &str) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let text = std::fs::read_to_string(root.join(name).join("worksheet.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

fn checked(document: &Value) -> (Worksheet, &'static Protocol, Interpretation) {
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(document.to_string().as_bytes(), protocols).unwrap();
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).unwrap();
    let interpretation = interpret(&worksheet, protocol);
    (worksheet, protocol, interpretation)
}

/// More donors made from an example, with names of every length and script, and a mixture that
/// cannot be read.
fn many(donors: usize) -> Value {
    let mut document = example("three-donors-compared");
    let first = document["donors"][0].clone();
    let readings = document["readings"].as_array().unwrap().clone();
    let names = [
        "Дружок из Новосибирска",
        "茶太郎",
        "Bartholomew-Maximilian von und zu Langenfeld the Third of Upper Brindlemoor",
        "검둥이",
        "Ægir Þórsson",
    ];
    for number in 3..donors {
        let mut donor = first.clone();
        donor["id"] = format!("D-1{number:02}").into();
        donor["name"] = names[number % names.len()].into();
        donor["unit"]["number"] = format!("U-61{number:02}").into();
        document["donors"].as_array_mut().unwrap().push(donor.clone());
        for reading in readings.iter().filter(|reading| reading["donor"] == first["id"]) {
            let mut reading = reading.clone();
            reading["donor"] = donor["id"].clone();
            document["readings"].as_array_mut().unwrap().push(reading);
        }
    }
    let last = document["readings"].as_array_mut().unwrap().last_mut().unwrap();
    last["agglutination"] = "unreadable".into();
    document
}

/// A report with everything that can stand on it.
fn full<'a>(worksheet: &'a Worksheet, interpretation: &'a Interpretation) -> Report<'a> {
    let mut report = Report::new(worksheet, interpretation);
    report.hospital = Some("Brindlemoor Animal Hospital".to_owned());
    report.revision = 2;
    report.issued_at.push_str("2026-03-14T05:10:00+01:00");
    report.issued.push_str("by MO to Dr Vane");
    report.record = Some("entry 40, SHA-256 00ff".to_owned());
    report.replaces = vec![Replaced {
        revision: 1,
        at: "2026-03-14T03:34:00+01:00".to_owned(),
        to: vec!["Dr Vane".to_owned(), "Dr Orr".to_owned()],
        changed: vec![["D-071".to_owned(), "incompatible".to_owned(), "compatible".to_owned()]],
    }];
    report.amendments = vec![Amendment {
        what: "major of D-071 at 37 °C".to_owned(),
        old: "2+".to_owned(),
        new: "0".to_owned(),
        by: "LM, 2026-03-14T05:00:00+01:00".to_owned(),
        reason: "wrong row".to_owned(),
    }];
    report.overrides = vec!["Dr Vane: sample S-1, because: no second sample".to_owned()];
    report.transcribed =
        vec!["major of D-071: transcribed from paper, seen 03:12, entered 06:00 by KT".to_owned()];
    report.given = vec![Given {
        donor: "D-071".to_owned(),
        what: Gave::Released,
        unit: "U-5521".to_owned(),
        who: "2026-03-14T05:20:00+01:00 by MO to LM, decided by Dr Vane".to_owned(),
    }];
    report
}

fn handover() -> Handover {
    Handover {
        hospital: "Brindlemoor Animal Hospital".to_owned(),
        at: "2026-03-14T06:00:00+01:00".to_owned(),
        by: "MO".to_owned(),
        running: vec![["WS-0144", "unit U-5521 runs into R-3113"].map(str::to_owned)],
        tasks: vec![
            ["40", "2026-03-14T05:00:00+01:00", "WS-0144", "tell Dr Orr"].map(str::to_owned),
        ],
        unfinished: vec![Unfinished {
            worksheet: "WS-0145".to_owned(),
            recipient: "R-3114".to_owned(),
            opened: "05:30".to_owned(),
            changed: "05:50".to_owned(),
            missing: vec!["D-080: major not read".to_owned()],
        }],
    }
}

/// One of every kind.
fn pages(document: &Value) -> Vec<Document> {
    let (worksheet, protocol, interpretation) = checked(document);
    vec![
        Sheet::blank(&worksheet, protocol).document(),
        Sheet::filled(&worksheet, protocol).document(),
        labels(&worksheet, protocol).unwrap(),
        full(&worksheet, &interpretation).document(),
        handover().document(),
        drawings(),
    ]
}

/// A page with more drawings than stand side by side.
fn drawings() -> Document {
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" width="9" height="9"><path d="M0 0H9V9z" fill="#733"/></svg>"##;
    let drawing = |number| Drawing {
        svg: svg.to_owned(),
        caption: format!("column {number}; noted: <bubble>"),
        alt: "A triangle.".to_owned(),
    };
    let blocks = vec![Block::Drawings { drawings: (1..=5).map(drawing).collect() }];
    Document::new("Drawings", "SET-1", false, blocks)
}

/// The words of a page, in order, each separated by one space, without the marks of the text form.
fn words(text: &str) -> String {
    text.split_whitespace().filter(|word| !["*", "|"].contains(word)).collect::<Vec<_>>().join(" ")
}

/// What a browser shows: without tags and styles, entities read.
fn shown(html: &str) -> String {
    let body = html.split_once("</head>").unwrap().1;
    let mut out = String::new();
    let mut inside = false;
    for character in body.chars() {
        match character {
            '<' => inside = true,
            '>' => {
                inside = false;
                out.push(' ');
            }
            other if !inside => out.push(other),
            _ => {}
        }
    }
    let entities = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")];
    entities.iter().fold(out, |text, (entity, character)| text.replace(entity, character))
}

/// F43: field by field, every text of the content stands in every form.
#[test]
fn f43_every_form_says_the_same() {
    for document in [example("three-donors-compared"), many(12)] {
        for page in pages(&document) {
            let (html, text) = (words(&shown(&html(&page, Paper::A4))), words(&text(&page)));
            for field in page.texts() {
                let field = words(&field);
                assert!(html.contains(&field), "{}: {field}", page.title);
                assert!(text.contains(&field), "{}: {field}\n{text}", page.title);
            }
        }
    }
}

/// F14: rows in rack order, greyed where the protocol has no phase, NT in an active cell that is
/// empty, nothing on a blank one.
#[test]
fn f14_grid() {
    let (worksheet, protocol, _) = checked(&example("three-donors-compared"));
    let grid = |page: &Document| {
        let mut tables = page.blocks.iter().filter_map(|block| match block {
            Block::Table { spans, head, rows } if !spans.is_empty() => {
                Some((spans.clone(), head.clone(), rows.clone()))
            }
            _ => None,
        });
        tables.next_back().unwrap()
    };
    let (spans, head, rows) = grid(&Sheet::filled(&worksheet, protocol).document());
    assert_eq!(spans.len(), 5);
    assert_eq!(head.len(), spans.iter().map(|span| span.columns).sum::<usize>());
    assert!(rows.iter().all(|row| row.len() == head.len()));
    let room = &rows[0][2..4];
    assert!(room.iter().all(|cell| cell.lines == ["NT"]), "{room:?}");
    let (_, _, blank) = grid(&Sheet::blank(&worksheet, protocol).document());
    assert!(blank.iter().flat_map(|row| &row[2..]).all(|cell| cell.lines.is_empty()));
    // On a slide only the room is used: everything else is grey.
    let (worksheet, protocol, _) = checked(&example("slide-late-and-dried"));
    let (spans, _, rows) = grid(&Sheet::filled(&worksheet, protocol).document());
    let grey: Vec<bool> = spans.iter().map(|span| span.grey).collect();
    assert_eq!(grey, [false, false, true, true, true]);
    assert!(rows[0].last().unwrap().grey);
}

/// F15: labels in the order of the rows, and each code says what its label says.
#[test]
fn f15_labels_follow_the_rows() {
    for donors in [3, 8, 12] {
        let (worksheet, protocol, _) = checked(&many(donors));
        let page = labels(&worksheet, protocol).unwrap();
        let Block::Labels { labels } = &page.blocks[0] else { panic!("no labels") };
        let rows: Vec<String> = (1..)
            .zip(rack(&worksheet, protocol, false))
            .map(|(number, (test, donor))| {
                let of = donor.map_or_else(
                    || &worksheet.recipient().animal,
                    |donor| &worksheet.donors()[donor].animal,
                );
                format!("{} {number} {} {}", worksheet.id(), test.word(), of.id)
            })
            .collect();
        let codes: Vec<String> = labels.iter().map(|(_, code)| code.text.clone()).collect();
        assert_eq!(codes, rows);
        for (lines, code) in labels {
            assert_eq!(lines.last(), Some(&code.text));
        }
    }
}

/// F16, F17: both times of what was transcribed; an expired lot says so.
#[test]
fn f16_f17_transcribed_and_expired() {
    let mut document = example("three-donors-compared");
    document["setup"]["lots"][0]["expires_on"] = "2026-01-31".into();
    let (worksheet, protocol, _) = checked(&document);
    let mut sheet = Sheet::filled(&worksheet, protocol);
    sheet.transcribed = vec![(0, "2026-03-14T06:00:00+01:00 by KT".to_owned())];
    let page = words(&text(&sheet.document()));
    assert!(page.contains("EXPIRED 2026-01-31"), "{page}");
    let seen = worksheet.readings()[0].at.to_string();
    assert!(page.contains(&format!("read {seen}")), "{page}");
    assert!(page.contains("transcribed from paper, entered 2026-03-14T06:00:00+01:00 by KT"));
}

/// F39: what was released before it was finished says so, and never looks like a crossmatch.
#[test]
fn f39_not_completed() {
    let mut document = example("three-donors-compared");
    document["donors"].as_array_mut().unwrap().truncate(1);
    document["samples"] = json!([]);
    document["readings"] = json!([]);
    let (worksheet, _, interpretation) = checked(&document);
    assert_eq!(interpretation.pairs[0].verdict, Verdict::Incomplete);
    let mut report = Report::new(&worksheet, &interpretation);
    report.given = vec![Given {
        donor: "D-071".to_owned(),
        what: Gave::InEmergency {
            reason: "PCV 9 % and falling".to_owned(),
            not_tested: vec!["major not tested".to_owned()],
        },
        unit: "U-5521".to_owned(),
        who: "by MO to LM, decided by Dr Vane".to_owned(),
    }];
    for page in [text(&report.document()), shown(&html(&report.document(), Paper::A4))] {
        let page = words(&page);
        assert!(page.contains("CROSSMATCH NOT COMPLETED"), "{page}");
        for part in ["PCV 9 % and falling", "major not tested", "Dr Vane", "U-5521"] {
            assert!(page.contains(part), "{part}");
        }
        // The standing cautions speak of compatible crossmatches in general.
        let own = page.split("This is serology only").next().unwrap();
        assert!(!own.to_lowercase().contains("compatible"), "{own}");
    }
}

/// F41: the twelve items; H31: verdict and ids on one line.
#[test]
fn f41_twelve_items() {
    let (worksheet, protocol, interpretation) = checked(&example("three-donors-compared"));
    let document = full(&worksheet, &interpretation).document();
    let answer = &interpretation.pairs[0];
    for page in [text(&document), shown(&html(&document, Paper::A4))] {
        let page = words(&page);
        for item in [
            "COMPATIBLE: D-071 for R-3113 Pascoe (packed cells, unit U-5521)", // verdict, ids
            answer.headline.as_str(),                                          // reason
            "major crossmatch reactive (incompatible, major-reactive)",        // caveats, findings
            "minor, donor autocontrol",                                        // not tested
            "tube",                                                            // method
            &format!("{} {}", protocol.id(), protocol.version()),              // protocol
            &protocol.digest().to_string(),                                    // its hash
            crossread_core::interpretation::ENGINE,                            // engine
            "2026-03-14 03:12 MO",                                             // reader and time
            &format!("until {}", answer.valid_until.unwrap()),                 // validity
            "revision 2",                                                      // revision
        ] {
            assert!(page.contains(item), "{item}\n{page}");
        }
    }
    // The page's number: in the style of the printed page, and at the end of the text.
    let style = html(&document, Paper::A4);
    assert!(style.contains("counter(page) \" of \" counter(pages)"));
    assert!(words(&text(&document)).contains("page 1 of 1, the end"));
}

/// F42: the standing cautions; a word that is not ours stands nowhere. F36: least reactive is a
/// ranking.
#[test]
fn f42_cautions() {
    for page in pages(&many(8)) {
        for form in [text(&page), html(&page, Paper::Letter)] {
            let lower = form.to_lowercase();
            assert!(!lower.split(|c: char| !c.is_alphabetic()).any(|word| word == "safe"));
        }
    }
    let (worksheet, _, interpretation) = checked(&many(8));
    let page = words(&text(&Report::new(&worksheet, &interpretation).document()));
    assert!(page.contains("This is serology only"));
    assert!(page.contains("Local rules and the veterinarian decide"));
    assert!(page.contains("Least reactive is a ranking, never a verdict"));
}

/// F49, F51: what was amended, why, by whom; who had the earlier revision; the verdict that changed.
#[test]
fn f49_f51_amended() {
    let (worksheet, _, interpretation) = checked(&example("three-donors-compared"));
    let page = words(&text(&full(&worksheet, &interpretation).document()));
    for part in [
        "2+ → 0",
        "wrong row",
        "LM, 2026-03-14T05:00:00+01:00",
        "Replaces r1 issued 2026-03-14T03:34:00+01:00 to Dr Vane, Dr Orr",
        "D-071 was incompatible, is compatible",
        "no second sample",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
}

/// What was taken back on a worksheet is struck, and its reason told.
#[test]
fn retractions_are_struck_through() {
    let mut document = example("three-donors-compared");
    let mut again = document["readings"][1].clone();
    document["readings"][1]["agglutination"] = "2+".into();
    document["readings"][1]["retracted"] =
        json!({ "at": "2026-03-14T03:50:00+01:00", "by": "LM", "reason": "wrong row" });
    again["at"] = "2026-03-14T03:51:00+01:00".into();
    document["readings"].as_array_mut().unwrap().push(again);
    let (worksheet, protocol, _) = checked(&document);
    let page = Sheet::filled(&worksheet, protocol).document();
    assert!(html(&page, Paper::A4).contains("<s>2+</s> → "));
    assert!(
        words(&text(&page)).contains("was taken back 2026-03-14T03:50:00+01:00 by LM: wrong row")
    );
}

/// A text that looks like markup, or hides, is printed as it is, visibly.
#[rstest]
#[case("<script>alert(1)</script>")]
#[case("</style><img src=x onerror=alert(1)>")]
#[case("\"><b>&amp;")]
#[case("#read(\"secret\") $x$ *b* _i_ [c] \\ `d`")]
#[case("Wick\u{202e}et\u{0}\u{1b}[31m")]
fn injection(#[case] hostile: &str) {
    let mut document = example("three-donors-compared");
    document["id"] = format!("WS {hostile}").into();
    document["remarks"] = hostile.into();
    document["recipient"]["name"] = hostile.into();
    document["recipient"]["breed"] = hostile.into();
    document["donors"][0]["name"] = hostile.into();
    document["donors"][0]["unit"]["number"] = hostile.into();
    document["donors"][0]["decision"] = json!({ "by": hostile, "reason": hostile });
    document["setup"]["lots"][0]["what"] = hostile.into();
    for reading in document["readings"].as_array_mut().unwrap() {
        reading["by"] = hostile.into();
    }
    let (worksheet, protocol, interpretation) = checked(&document);
    let mut report = full(&worksheet, &interpretation);
    report.overrides = vec![hostile.to_owned()];
    report.hospital = Some(hostile.to_owned());
    let pages = [
        Sheet::filled(&worksheet, protocol).document(),
        labels(&worksheet, protocol).unwrap(),
        report.document(),
    ];
    for page in &pages {
        let form = html(page, Paper::A4);
        for tag in ["<script", "<img", "<b>"] {
            assert!(!form.contains(tag), "{tag}");
        }
        assert_eq!(form.matches("<style>").count(), 1);
        assert_eq!(form.matches("</style>").count(), 1);
        for hidden in ['\u{202e}', '\u{0}', '\u{1b}'] {
            assert!(!form.contains(hidden) && !text(page).contains(hidden));
        }
        #[cfg(feature = "pdf")]
        crossread_print::pdf(page, Paper::A4, &crossread_print::Fonts::default()).unwrap();
    }
}

/// Lines of the text form are at most 80 columns wide.
#[test]
fn text_is_eighty_columns_wide() {
    for page in pages(&many(12)) {
        for line in text(&page).lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}

/// The sheet of a transfusion by Central European time.
fn transfusion_sheet<'a>(order: &'a Order, protocol: &'a Protocol) -> TransfusionSheet<'a> {
    TransfusionSheet {
        hospital: "Brindlemoor Animal Hospital".to_owned(),
        worksheet: "WS-1".to_owned(),
        recipient: format!("R-3107 {}", "Juniper of the northern meadows ".repeat(2)),
        unit: "U-5512 of D-091, packed cells".to_owned(),
        release: "valid until 2026-03-08 00:10".to_owned(),
        order,
        protocol,
        zone: TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap(),
        part: 1,
    }
}

fn slow_dog(begins: &str) -> Order {
    Order {
        weight: "20".parse().unwrap(),
        pcv_now: "15".parse().unwrap(),
        pcv_target: "25".parse().unwrap(),
        product: Product::PackedCells,
        product_pcv: "60".parse().unwrap(),
        volume: Some("300".parse().unwrap()),
        slowly: true,
        drops_per_ml: Some("20".parse().unwrap()),
        begins: Time::new(begins),
    }
}

/// 300 mL for 20 kg at 1 to 2 mL/kg/h are two portions of 4 hours at most (calculated). With a
/// beginning every time is the clock's, told apart where it is set back; without one it is minutes,
/// with a place for the time. Looks beyond one page go on on a second sheet, and none is left out.
#[test]
fn a_transfusion_sheet_has_its_times() {
    let rules = Protocols::shipped().iter().find(|of| of.id().as_str() == "dog-routine").unwrap();
    let order = slow_dog("2026-10-24T22:50:00+02:00");
    let mut sheet = transfusion_sheet(&order, rules);
    let first = words(&text(&sheet.document().unwrap()));
    for said in [
        "portion 1: 155.0 mL, begins 22:50, runs 240 min",
        "portion 2: 145.0 mL, begins 02:50 (+02:00), runs 218 to 240 min",
        "the rest refrigerated, until 2026-10-25 21:50",
        "Spiked at: 2026-10-24 22:50",
        "In: 05:28 to 05:50",
        "never warmed above 37 °C?",
        "sheet 1 of 2",
        "It goes on with the look at 02:20 (+01:00), on sheet 2 of 2.",
        "due 2026-10-25 00:05 seen at",
        "due 02:05 (+01:00) seen at",
    ] {
        assert!(first.contains(said), "{said} in {first}");
    }
    sheet.part = 2;
    let second = words(&text(&sheet.document().unwrap()));
    assert!(second.contains("due 02:20 (+01:00)") && second.contains("due 05:50"), "{second}");
    assert!(second.contains("Any sign: stop first.") && second.contains("PCV 24 h after it"));
    let rows = |said: &str| said.matches("seen at ____").count();
    // 0, 5, 10, 15, then every 15 minutes to 480.
    assert_eq!(rows(&first) + rows(&second), 35);
    let order = Order { begins: None, ..order };
    let sheet = transfusion_sheet(&order, rules);
    let blank = words(&text(&sheet.document().unwrap()));
    for said in [
        "portion 2: 145.0 mL, begins +240 min, runs",
        "the rest refrigerated, 24 h at most from the spiking on",
        "Spiked at: ____",
        "+min +15 due ____ seen at",
        "In: +458 min to +480 min",
    ] {
        assert!(blank.contains(said), "{said} in {blank}");
    }
    // A small volume: the fine filters, at a volume and about a time.
    let small = Order { volume: Some("60".parse().unwrap()), slowly: false, ..order };
    let small = words(&text(&transfusion_sheet(&small, rules).document().unwrap()));
    assert!(small.contains("changed after 50 mL (+28 min to +42 min)"), "{small}");
}

/// A name that turns round or hides what stands beside it is made fit for paper.
#[test]
fn a_name_cannot_hide_on_a_transfusion_sheet() {
    let rules = Protocols::shipped().iter().find(|of| of.id().as_str() == "dog-routine").unwrap();
    let order = slow_dog("2026-10-24T22:50:00+02:00");
    let mut sheet = transfusion_sheet(&order, rules);
    sheet.recipient = "R-3107 Wick\u{202E}et".to_owned();
    let document = sheet.document().unwrap();
    assert!(document.texts().iter().any(|text| text.contains("Wick‹U+202E›et")));
    assert!(!document.texts().iter().any(|text| text.contains('\u{202E}')));
}

#[cfg(feature = "pdf")]
mod pdf {
    use std::path::Path;
    use std::process::Command;

    use crossread_core::care::Order;
    use crossread_core::document::Time;
    use crossread_core::words::Product;
    use crossread_print::{CannotTypeset, Fonts, Paper, pdf};

    use super::{example, many, pages, words};

    /// What a program from outside says of a PDF; none, said aloud, if it is not there.
    fn said(program: &str, arguments: &[&str], file: &Path) -> Option<String> {
        let mut command = Command::new(program);
        command.args(arguments).arg(file);
        if program == "pdftotext" {
            command.arg("-");
        }
        if let Ok(output) = command.output() {
            return Some(String::from_utf8_lossy(&output.stdout).into_owned());
        }
        let told = format!("SKIPPED, not passed: {program} is not installed\n");
        std::io::Write::write_all(&mut std::io::stderr(), told.as_bytes()).unwrap();
        None
    }

    /// The pages of a PDF, which is tagged for readers that do not see.
    fn count(file: &Path) -> Option<usize> {
        let said = said("pdfinfo", &[], file)?;
        assert!(said.contains("Tagged:          yes"), "{said}");
        let line = said.lines().find(|line| line.starts_with("Pages:")).unwrap();
        line.split_whitespace().nth(1).unwrap().parse().ok()
    }

    /// F43: field by field in the PDF too; F14: eight donors on one page of either paper.
    #[test]
    fn f43_f14_the_pdf_says_the_same() {
        let folder = tempfile::tempdir().unwrap();
        let fonts = Fonts::default();
        let mut eight = many(8);
        for donor in eight["donors"].as_array_mut().unwrap() {
            // The fonts that ship have no Chinese, Japanese or Korean letters.
            let name = donor["name"].as_str().unwrap_or_default();
            if name.chars().any(|letter| u32::from(letter) > 0x2000) {
                donor["name"] = "Chataro".into();
            }
        }
        for paper in [Paper::A4, Paper::Letter] {
            for (number, page) in pages(&eight).iter().enumerate() {
                let bytes = pdf(page, paper, &fonts).unwrap();
                assert_eq!(bytes, pdf(page, paper, &fonts).unwrap(), "the same bytes every time");
                let file = folder.path().join(format!("{number}.pdf"));
                std::fs::write(&file, bytes).unwrap();
                let Some(read) = said("pdftotext", &["-layout"], &file) else { return };
                let read = words(&read);
                for field in page.texts() {
                    // A cell's lines are read beside those of the next, and a long word is broken.
                    for word in words(&field).split(' ') {
                        let beginning: String = word.chars().take(5).collect();
                        assert!(read.contains(&beginning), "{}: {word} of {field}", page.title);
                    }
                }
                if number < 2 {
                    assert_eq!(count(&file), Some(1), "{} on {paper:?}", page.title);
                }
            }
        }
    }

    /// Each sheet of a transfusion is one page of either paper: few looks and many, split or with every
    /// caution, with and without a beginning, for a name as long as they come.
    #[test]
    fn a_transfusion_sheet_is_one_page() {
        let folder = tempfile::tempdir().unwrap();
        let fonts = Fonts::default();
        let shipped = |id: &str| {
            let mut protocols = crossread_core::Protocols::shipped().iter();
            protocols.find(|protocol| protocol.id().as_str() == id).unwrap()
        };
        let mut local = serde_json::to_value(shipped("cat-routine").document()).unwrap();
        local["care"]["start_ml_per_kg"]["value"] = 3.into();
        local["care"]["rate_ml_per_kg_h"]["value"] = serde_json::json!({ "lo": 1, "hi": 2.5 });
        let local = crossread_core::Protocol::from_json(local.to_string().as_bytes()).unwrap();
        let (dog, cat) = (shipped("dog-routine"), shipped("cat-routine"));
        for (rules, weight, target, pcv, volume, slowly, parts) in [
            (dog, "20", "25", "60", "300", false, 1),
            (dog, "20", "25", "60", "300", true, 2),
            (cat, "4", "20", "55", "60", true, 2),
            (&local, "10", "50", "45", "100", false, 1),
        ] {
            for begins in [None, Time::new("2026-03-01T22:00:00+01:00")] {
                let order = Order {
                    weight: weight.parse().unwrap(),
                    pcv_now: "12".parse().unwrap(),
                    pcv_target: target.parse().unwrap(),
                    product: Product::PackedCells,
                    product_pcv: pcv.parse().unwrap(),
                    volume: Some(volume.parse().unwrap()),
                    slowly,
                    drops_per_ml: Some("20".parse().unwrap()),
                    begins,
                };
                let mut sheet = super::transfusion_sheet(&order, rules);
                assert_eq!(sheet.parts().unwrap(), parts);
                for (part, paper) in
                    (1..=parts).flat_map(|part| [(part, Paper::A4), (part, Paper::Letter)])
                {
                    sheet.part = part;
                    let file = folder.path().join("sheet.pdf");
                    std::fs::write(&file, pdf(&sheet.document().unwrap(), paper, &fonts).unwrap())
                        .unwrap();
                    let Some(pages) = count(&file) else { return };
                    assert_eq!(pages, 1, "{weight} kg, {volume} mL, sheet {part} on {paper:?}");
                }
            }
        }
    }

    /// A name that no font has is not left out silently.
    #[test]
    fn a_missing_letter_is_named() {
        let pages = pages(&many(8));
        let error = pdf(&pages[0], Paper::A4, &Fonts::default()).unwrap_err();
        let CannotTypeset::FontMissing(missing) = error else { panic!("{error}") };
        assert!(missing.contains(&'茶'), "{missing:?}");
        assert!(Fonts::default().with(b"no font".to_vec()).is_none());
        let mut cyrillic = example("three-donors-compared");
        cyrillic["recipient"]["name"] = "Мурзик".into();
        for page in super::pages(&cyrillic) {
            pdf(&page, Paper::A4, &Fonts::default()).unwrap();
        }
    }
}

/// F15: a reader from outside reads each code, and reads what its label says.
#[test]
fn f15_codes_are_read_back() {
    const MODULE: usize = 4;
    const QUIET: usize = 4;
    let (worksheet, protocol, _) = checked(&many(8));
    let page = labels(&worksheet, protocol).unwrap();
    let Block::Labels { labels } = &page.blocks[0] else { panic!("no labels") };
    for (_, code) in labels {
        let modules: Vec<&[u8]> = code.modules.iter().map(String::as_bytes).collect();
        let side = (modules.len() + 2 * QUIET) * MODULE;
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
            let at = |pixel: usize| (pixel / MODULE).checked_sub(QUIET);
            let module = at(x).zip(at(y)).and_then(|(x, y)| modules.get(y)?.get(x));
            if module == Some(&b'1') { 0 } else { 255 }
        });
        let grids = image.detect_grids();
        let (_, read) = grids[0].decode().unwrap();
        assert_eq!(read, code.text);
    }
}
