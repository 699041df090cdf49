//! Moodle XML, read as Moodle's import reads it.

use crossread_teach::export::moodle_xml;
use crossread_teach::question::Question;

use super::sample::{SET, TITLE, all, in_words};
use super::unpacked::Element;

/// As many as this build can write.
fn questions() -> Vec<Question> {
    if cfg!(feature = "png") { all() } else { in_words() }
}

/// What Moodle keeps of an HTML text: its paragraphs and pictures.
fn html(of: &Element) -> Element {
    assert_eq!(of.get("format"), "html");
    let html = of.one("text").text.trim();
    Element::read(format!("<div>{html}</div>").as_bytes())
}

pub(crate) fn paragraph(of: &Element) -> String {
    html(of).children.first().map_or_else(String::new, |p| p.text.clone())
}

#[test]
fn moodle_reads_the_same_questions() {
    let quiz = Element::read(&moodle_xml(TITLE, SET, &questions()).unwrap());
    let read = quiz.all("question");
    let category = read[0].one("category").one("text");
    assert_eq!(category.text, format!("$course$/top/{TITLE}"));
    assert_eq!(read.len(), questions().len() + 1);
    for (read, question) in read[1..].iter().zip(questions()) {
        assert_eq!(read.get("type"), "multichoice");
        assert_eq!(read.one("name").one("text").text, question.id);
        assert_eq!(read.one("idnumber").text, question.id);
        for (setting, value) in [
            ("single", "true"),
            ("shuffleanswers", "false"),
            ("defaultgrade", "1"),
            ("penalty", "0"),
        ] {
            assert_eq!(read.one(setting).text, value);
        }
        assert_eq!(paragraph(read.one("questiontext")), question.prompt);
        let answers = read.all("answer");
        assert_eq!(answers.len(), question.choices.len());
        for (answer, choice) in answers.into_iter().zip(&question.choices) {
            assert_eq!(paragraph(answer), choice.text);
            let part: u32 = answer.get("fraction").parse().unwrap();
            assert_eq!(part, choice.score_hundredths);
            let told = paragraph(answer.one("feedback"));
            assert_eq!(told.starts_with("Critical error"), choice.is_critical);
            assert!(told.ends_with(choice.feedback.as_str()));
        }
    }
}

#[cfg(feature = "png")]
#[test]
fn every_picture_is_inside_under_the_name_that_is_shown() {
    use base64::Engine as _;
    use base64::prelude::BASE64_STANDARD;

    let quiz = Element::read(&moodle_xml(TITLE, SET, &all()).unwrap());
    let mut seen = 0;
    for (read, question) in quiz.all("question")[1..].iter().zip(all()) {
        let text = read.one("questiontext");
        let shown = html(text);
        let shown = shown.every("img");
        let files = text.all("file");
        assert_eq!((shown.len(), files.len()), (question.pictures.len(), question.pictures.len()));
        for ((img, file), drawn) in shown.into_iter().zip(files).zip(&question.pictures) {
            seen += 1;
            assert_eq!(img.get("src"), format!("@@PLUGINFILE@@/{}", file.get("name")));
            assert_eq!(img.get("alt"), drawn.alt);
            assert_eq!((file.get("path"), file.get("encoding")), ("/", "base64"));
            let png = BASE64_STANDARD.decode(&file.text).unwrap();
            assert!(png.starts_with(b"\x89PNG\r\n\x1a\n"));
        }
    }
    assert_eq!(seen, 2);
}
