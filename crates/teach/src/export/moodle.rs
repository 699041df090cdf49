//! Moodle XML.

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;

use super::checked::{Item, Set, check};
use super::fraction::percent;
use super::marks::{decimal, told};
use super::pictures::pngs;
use super::refused::{CannotExport, Reason};
use super::xml::Tag;
use crate::question::Question;

/// The set as Moodle XML: a category with its title, and every question with its pictures inside,
/// as PNG.
///
/// A question's name and id number are its id. A choice can only earn a part of the full mark that
/// Moodle knows; another one is refused, because Moodle would refuse the file. The feedback of a
/// critical error says so; Moodle itself cannot fail a quiz for it.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::export::moodle_xml;
/// let file = String::from_utf8(moodle_xml("A night's questions", "set1", &[question()])?)?;
/// assert!(file.contains(r#"<question type="multichoice">"#));
/// // Nothing is exported of a set in which one question has no key.
/// let mut keyless = question();
/// keyless.choices[0].is_key = false;
/// let refused = moodle_xml("A night's questions", "set1", &[question(), keyless]);
/// assert!(refused.is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a question cannot be exported; all reasons at once. With pictures, without the feature `png`.
///
/// # Source
/// Moodle documentation, "Moodle XML format" (from memory); Moodle,
/// `question/format/xml/format.php` (read).
pub fn moodle_xml(title: &str, id: &str, questions: &[Question]) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let mut reasons = unknown_parts(&set);
    let drawn = pngs(&set, &mut reasons);
    let drawn = CannotExport::unless(reasons, drawn)?;
    let said = |error: std::io::Error| CannotExport::not_written(&error);
    let mut quiz = Tag::new("quiz").tag(category(&set));
    for (item, drawn) in set.items.iter().zip(&drawn) {
        quiz = quiz.tag(question(item, drawn).map_err(said)?);
    }
    quiz.document().map_err(said)
}

/// The scores that are no part of the full mark that Moodle knows.
pub(super) fn unknown_parts(set: &Set<'_>) -> Vec<Reason> {
    let mut reasons = Vec::new();
    for item in &set.items {
        for (choice, one) in (1..).zip(&item.choices) {
            let (score, full) = (one.score_hundredths, item.full);
            if percent(score, full).is_none() {
                let question = item.which.clone();
                reasons.push(Reason::MoodleKnowsNoSuchPart { question, choice, score, full });
            }
        }
    }
    reasons
}

/// The title as a category of Moodle; `/` would begin one within it, and stands doubled.
pub(super) fn path(title: &str) -> String {
    format!("$course$/top/{}", title.replace('/', "//"))
}

fn category(set: &Set<'_>) -> Tag {
    Tag::new("question")
        .with("type", "category")
        .tag(Tag::new("category").tag(plain(path(&set.title))))
        .tag(Tag::new("info").with("format", "plain_text").tag(plain(set.id.clone())))
        .tag(Tag::new("idnumber").text(set.id.clone()))
}

fn question(item: &Item<'_>, drawn: &[Vec<u8>]) -> std::io::Result<Tag> {
    let files = (1..).zip(drawn).map(|(at, bytes): (usize, _)| {
        Tag::new("file")
            .with("name", file_name(at))
            .with("path", "/")
            .with("encoding", "base64")
            .text(BASE64_STANDARD.encode(bytes))
    });
    let setting = |name: &str, value: &str| Tag::new(name).text(value);
    let mut question = Tag::new("question")
        .with("type", "multichoice")
        .tag(Tag::new("name").tag(plain(item.which.id.clone())))
        .tag(html("questiontext", &asked(item)?).tags(files))
        .tag(html("generalfeedback", ""))
        .tag(setting("defaultgrade", &decimal(item.full)))
        .tag(setting("penalty", "0"))
        .tag(setting("hidden", "0"))
        .tag(setting("idnumber", &item.which.id))
        .tag(setting("single", "true"))
        .tag(setting("shuffleanswers", "false"))
        .tag(setting("answernumbering", "none"))
        .tag(setting("showstandardinstruction", "0"));
    for choice in &item.choices {
        let told = told(choice);
        let told = if told.is_empty() { String::new() } else { paragraph(&told)? };
        question = question.tag(
            html("answer", &paragraph(&choice.text)?)
                .with("fraction", percent(choice.score_hundredths, item.full).unwrap_or("0"))
                .tag(html("feedback", &told)),
        );
    }
    Ok(question)
}

/// What is asked and seen, as HTML.
fn asked(item: &Item<'_>) -> std::io::Result<String> {
    let mut asked = paragraph(&item.prompt)?;
    for (at, picture) in (1..).zip(&item.pictures) {
        let shown = Tag::new("img")
            .with("src", format!("@@PLUGINFILE@@/{}", file_name(at)))
            .with("alt", &picture.alt)
            .with("width", picture.size.width.to_string())
            .with("height", picture.size.height.to_string());
        asked.push_str(&Tag::new("p").tag(shown).fragment()?);
    }
    Ok(asked)
}

fn file_name(at: usize) -> String {
    format!("picture-{at}.png")
}

/// A text as HTML. A bare `0` would be taken for nothing by some versions.
fn paragraph(text: &str) -> std::io::Result<String> {
    Tag::new("p").lines(text).fragment()
}

fn html(name: &str, html: &str) -> Tag {
    Tag::new(name).with("format", "html").tag(plain(html))
}

fn plain(text: impl Into<String>) -> Tag {
    let text = text.into();
    if text.is_empty() { Tag::new("text") } else { Tag::new("text").text(text) }
}
