//! GIFT, read as Moodle's import reads it.

use crossread_teach::export::gift;

use super::sample::{SET, TITLE, in_words};

/// A question as Moodle would hold it: name, text, and of every answer its text, its part of the
/// mark in percent, its feedback.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Imported {
    pub(crate) name: String,
    pub(crate) text: String,
    pub(crate) answers: Vec<(String, String, String)>,
}

/// The path of the category and the questions.
///
/// Written from what the import does, step by step in its order, so that what would trip it trips
/// this: comments, escaped characters set aside, the name, the braces, the answers, the formats,
/// and only then the escaped characters put back.
pub(crate) fn imported(file: &str) -> (String, Vec<Imported>) {
    let mut category = String::new();
    let mut questions = Vec::new();
    let lines: Vec<&str> =
        file.lines().map(|line| if line.trim().starts_with("//") { " " } else { line }).collect();
    let lines: Vec<&str> =
        lines.iter().map(|line| if line.trim() == "" { "" } else { *line }).collect();
    for block in lines.join("\n").split("\n\n") {
        let text = set_aside(block.trim());
        if text.is_empty() {
            continue;
        }
        if let Some(path) = text.strip_prefix("$CATEGORY:") {
            path.trim().clone_into(&mut category);
            continue;
        }
        let (name, text) = text.strip_prefix("::").unwrap().split_once("::").unwrap();
        let (asked, rest) = text.split_once('{').unwrap();
        let (answers, after) = rest.split_once('}').unwrap();
        assert_eq!(after.trim(), "");
        assert!(!answers.contains("####"), "general feedback in {answers}");
        let answers = answers.trim().replace('=', "~=");
        let mut answers = answers.split('~');
        assert_eq!(answers.next(), Some(""));
        questions.push(Imported {
            name: put_back(name).trim().to_owned(),
            text: formatted(asked),
            answers: answers.map(answer).collect(),
        });
    }
    (category, questions)
}

const MARKS: [(&str, &str, &str); 7] = [
    ("\\:", "&&058;", ":"),
    ("\\#", "&&035;", "#"),
    ("\\=", "&&061;", "="),
    ("\\{", "&&123;", "{"),
    ("\\}", "&&125;", "}"),
    ("\\~", "&&126;", "~"),
    ("\\n", "&&010;", "\n"),
];

fn set_aside(text: &str) -> String {
    let text = text.replace("\\\\", "&&092;");
    MARKS.iter().fold(text, |text, (from, to, _)| text.replace(from, to)).replace("&&092;", "\\")
}

fn put_back(text: &str) -> String {
    MARKS.iter().fold(text.to_owned(), |text, (_, from, to)| text.replace(from, to))
}

/// A text with its format, which must be plain; the first text of a question must say so.
fn formatted(text: &str) -> String {
    let text = text.trim();
    let text = match text.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some(("plain", rest)) => rest,
        Some((format, rest)) => panic!("format {format} before {rest}"),
        None => text,
    };
    put_back(text).trim().to_owned()
}

fn answer(answer: &str) -> (String, String, String) {
    let answer = answer.trim();
    let (part, answer) = if let Some(key) = answer.strip_prefix('=') {
        ("100", key)
    } else if let Some((part, rest)) = weight(answer) {
        (part, rest)
    } else {
        ("0", answer)
    };
    let (text, feedback) = answer.split_once('#').unwrap_or((answer, ""));
    (formatted(text), part.to_owned(), formatted(feedback))
}

/// What begins with a number of one or two digits between two `%` is a part of the mark.
fn weight(answer: &str) -> Option<(&str, &str)> {
    let (number, rest) = answer.strip_prefix('%')?.split_once('%')?;
    let (whole, places) = number.split_once('.').unwrap_or((number, ""));
    let whole = whole.trim_start_matches('-');
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    (matches!(whole.len(), 1 | 2) && digits(whole) && digits(places)).then_some((number, rest))
}

#[test]
fn a_set_reads_well_by_eye() {
    let written = String::from_utf8(gift(TITLE, SET, &in_words()).unwrap()).unwrap();
    assert_eq!(
        written,
        r"// reading-1
$CATEGORY: $course$/top/Graded reading at Brindlemoor Animal Hospital

::q1::[plain]The major is 2+ at 37 °C.\nThe autocontrol is 0.\n\nMay the unit be given? {
	=No\: incompatible#Right.
	~Yes#Critical error\: An incompatible unit would be given.
	~%50%Repeat the test first
}

::q_2+::[plain]Which grade is a single solid clump? {
	~0#Critical error.
	~%25%3+#Nearly\: count the clumps.
	=4+
}
"
    );
}

#[test]
fn moodle_reads_the_same_questions() {
    let written = String::from_utf8(gift("A/B: \\C{}", SET, &in_words()).unwrap()).unwrap();
    let (category, questions) = imported(&written);
    assert_eq!(category, "$course$/top/A//B: \\C{}");
    let expected = |name: &str, text: &str, answers: &[(&str, &str, &str)]| Imported {
        name: name.to_owned(),
        text: text.to_owned(),
        answers: answers
            .iter()
            .map(|(text, part, told)| ((*text).to_owned(), (*part).to_owned(), (*told).to_owned()))
            .collect(),
    };
    assert_eq!(
        questions,
        [
            expected(
                "q1",
                "The major is 2+ at 37 °C.\nThe autocontrol is 0.\n\nMay the unit be given?",
                &[
                    ("No: incompatible", "100", "Right."),
                    ("Yes", "0", "Critical error: An incompatible unit would be given."),
                    ("Repeat the test first", "50", ""),
                ]
            ),
            expected(
                "q_2+",
                "Which grade is a single solid clump?",
                &[
                    ("0", "0", "Critical error."),
                    ("3+", "25", "Nearly: count the clumps."),
                    ("4+", "100", ""),
                ]
            ),
        ]
    );
}
