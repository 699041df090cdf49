//! Whatever is written comes back the same, read by another reader.

use crossread_teach::export::{gift, items_csv, keys_csv, moodle_xml, qti21, qti30};
use crossread_teach::question::{Choice, Question};
use proptest::prelude::*;
use proptest::sample::select;

use super::gift::imported;
use super::moodle::paragraph;
use super::unpacked::{Element, delivered, files, id};

/// What some format gives a meaning, what looks like it, and letters of other scripts.
const PIECES: &[&str] = &[
    "<",
    "&",
    ">",
    "\"",
    "'",
    "{",
    "}",
    "=",
    "~",
    "#",
    ":",
    "::",
    "\\",
    "\\n",
    "\\:",
    "%",
    "%50%",
    "[",
    "]",
    "[html]",
    "[plain]",
    "->",
    "####",
    "//",
    "$CATEGORY:",
    "]]>",
    "<![CDATA[",
    "<!--",
    "&amp;",
    "&#65;",
    "&&05",
    "8;",
    "<br/>",
    "<p>",
    ",",
    ";",
    "\t",
    " ",
    "  ",
    "@",
    "-",
    "0",
    "2+",
    "agglutination",
    "µL",
    "37 °C",
    "赤血球",
    "凝集なし",
    "عيّنة",
    "דם",
    "\u{200f}",
    "\u{202e}",
    "e\u{301}",
    "🐈",
    "\u{a0}",
    "\u{2028}",
    "\u{10ffff}",
    "\u{fffd}",
];

fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => select(PIECES).prop_map(str::to_owned),
        1 => any::<char>().prop_filter("no control", |c| {
            !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}')
        }).prop_map(String::from),
    ]
}

/// A text without white space at its ends, on one line or several.
fn text(lines: bool) -> impl Strategy<Value = String> {
    let piece = piece().prop_union_line(lines);
    prop::collection::vec(piece, 1..12)
        .prop_map(|pieces| pieces.concat().trim().to_owned())
        .prop_filter("not empty", |text| !text.is_empty())
        .prop_filter("what GIFT replaces is refused", |text| {
            !["&&058;"].iter().any(|mark| text.contains(mark))
        })
}

trait Lines {
    fn prop_union_line(self, lines: bool) -> BoxedStrategy<String>;
}

impl<S: Strategy<Value = String> + 'static> Lines for S {
    fn prop_union_line(self, lines: bool) -> BoxedStrategy<String> {
        if lines {
            prop_oneof![9 => self, 1 => Just("\n".to_owned())].boxed()
        } else {
            self.boxed()
        }
    }
}

fn no_tab(text: &str) -> String {
    text.replace('\t', "").trim().to_owned()
}

/// A question in words whose scores every format takes.
fn question() -> impl Strategy<Value = Question> {
    let choice = (text(false), text(true), prop::option::of(text(true)), 0..3_u8);
    (text(false), text(true), prop::collection::vec(choice, 1..5), text(true)).prop_map(
        |(id, prompt, others, key)| {
            let mut choices = vec![Choice {
                id: "key".to_owned(),
                text: format!("{key} (key)"),
                is_key: true,
                score_hundredths: 100,
                is_critical: false,
                feedback: String::new(),
            }];
            for (number, (id, text, feedback, kind)) in others.into_iter().enumerate() {
                choices.push(Choice {
                    id: format!("{}-{number}", no_tab(&id)),
                    text: format!("{text} ({number})"),
                    is_key: false,
                    score_hundredths: if kind == 1 { 50 } else { 0 },
                    is_critical: kind == 2,
                    feedback: feedback.unwrap_or_default(),
                });
            }
            choices.reverse();
            Question { id: format!("q{}", no_tab(&id)), prompt, pictures: Vec::new(), choices }
        },
    )
}

fn told(choice: &Choice) -> String {
    match (choice.is_critical, choice.feedback.as_str()) {
        (true, "") => "Critical error.".to_owned(),
        (true, feedback) => format!("Critical error: {feedback}"),
        (false, feedback) => feedback.to_owned(),
    }
}

proptest! {
    #[test]
    fn qti(title in text(false), set in text(false), question in question()) {
        let (title, set) = (no_tab(&title), no_tab(&set));
        prop_assume!(!title.is_empty() && !set.is_empty());
        for write in [qti21, qti30] {
            let (_, contents) = files(&write(&title, &set, std::slice::from_ref(&question)).unwrap());
            let test = Element::read(&contents["test.xml"]);
            prop_assert_eq!(test.get("title"), &title);
            prop_assert_eq!(id(test.get("identifier")), &*set);
            let item = Element::read(&contents["items/0001.xml"]);
            prop_assert_eq!(item.get("title"), format!("{title} (1)"));
            prop_assert_eq!(id(item.get("identifier")), &*question.id);
            let asked = item.one("itemBody").one("choiceInteraction");
            prop_assert_eq!(&asked.one("prompt").text, &question.prompt);
            let choices = asked.all("simpleChoice");
            prop_assert_eq!(choices.len(), question.choices.len());
            for (read, choice) in choices.into_iter().zip(&question.choices) {
                prop_assert_eq!(id(read.get("identifier")), &*choice.id);
                prop_assert_eq!(&read.text, &choice.text);
                let outcomes = delivered(&item, Some(read.get("identifier")));
                let feedback: String = item
                    .all("modalFeedback")
                    .into_iter()
                    .filter(|one| outcomes["FEEDBACK"].as_deref() == Some(one.get("identifier")))
                    .map(|one| one.every("p")[0].text.clone())
                    .collect();
                prop_assert_eq!(feedback, told(choice));
            }
        }
    }

    #[test]
    fn moodle(question in question()) {
        let quiz = Element::read(
            &moodle_xml("T", "S", std::slice::from_ref(&question)).unwrap(),
        );
        let read = quiz.all("question")[1];
        prop_assert_eq!(read.one("name").one("text").text.trim(), &question.id);
        prop_assert_eq!(paragraph(read.one("questiontext")), &*question.prompt);
        let answers = read.all("answer");
        prop_assert_eq!(answers.len(), question.choices.len());
        for (answer, choice) in answers.into_iter().zip(&question.choices) {
            prop_assert_eq!(paragraph(answer), &*choice.text);
            prop_assert_eq!(paragraph(answer.one("feedback")), told(choice));
            prop_assert_eq!(answer.get("fraction"), choice.score_hundredths.to_string());
        }
    }

    #[test]
    fn gift_as_moodle_reads_it(first in question(), second in question()) {
        let second = Question { id: format!("{}'", second.id), ..second };
        let set = [Question { id: format!("{}.", first.id), ..first }, second];
        let written = String::from_utf8(gift("T", "S", &set).unwrap()).unwrap();
        let (category, read) = imported(&written);
        prop_assert_eq!(category, "$course$/top/T");
        prop_assert_eq!(read.len(), 2);
        for (read, question) in read.into_iter().zip(&set) {
            prop_assert_eq!(read.name, &*question.id);
            prop_assert_eq!(read.text, &*question.prompt);
            prop_assert_eq!(read.answers.len(), question.choices.len());
            for (answer, choice) in read.answers.into_iter().zip(&question.choices) {
                let expected =
                    (choice.text.clone(), choice.score_hundredths.to_string(), told(choice));
                prop_assert_eq!(answer, expected);
            }
        }
    }

    #[test]
    fn csv(question in question()) {
        let set = [question];
        let read = |file: Vec<u8>| -> Vec<Vec<String>> {
            let mut reader = ::csv::Reader::from_reader(&*file);
            reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
        };
        let items = read(items_csv("T", "S", &set).unwrap());
        let keys = read(keys_csv("T", "S", &set).unwrap());
        prop_assert_eq!(items.len(), set[0].choices.len());
        for ((item, key), choice) in items.into_iter().zip(keys).zip(&set[0].choices) {
            prop_assert_eq!(&item[2..4], [set[0].id.as_str(), &set[0].prompt]);
            prop_assert_eq!(&item[6..], [choice.id.as_str(), &choice.text]);
            prop_assert_eq!(&key[6], &choice.feedback);
        }
    }
}
