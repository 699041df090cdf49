//! GIFT, the plain text of Moodle for questions without pictures.

use super::checked::{Item, Set, check};
use super::fraction::percent;
use super::marks::told;
use super::moodle::{path, unknown_parts};
use super::refused::{CannotExport, Part, Reason};
use crate::question::Question;

/// What a question must be worth, in hundredths of a mark.
const ONE_MARK: u32 = 100;

/// Marks that Moodle puts in place of escaped characters while it reads, and cannot tell from the
/// same characters in a text.
const REPLACED: [&str; 7] = ["&&010;", "&&035;", "&&058;", "&&061;", "&&123;", "&&125;", "&&126;"];

/// The set as GIFT in UTF-8: a category with its title, then every question.
///
/// GIFT holds text only, so a question with pictures is refused, and so is one that is not worth
/// one mark. A choice can only earn a part of the mark that Moodle knows. The feedback of a
/// critical error says so; Moodle itself cannot fail a quiz for it.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::export::gift;
/// let file = String::from_utf8(gift("A night's questions", "set1", &[question()])?)?;
/// assert!(file.contains("May the unit be given?"));
/// // A learning system cannot fail a quiz for it; it can say so.
/// assert!(file.contains("Critical error"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a question cannot be exported; all reasons at once.
///
/// # Source
/// Moodle documentation, "GIFT format" (from memory); Moodle, `question/format/gift/format.php`
/// (read).
pub fn gift(title: &str, id: &str, questions: &[Question]) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let mut reasons = not_held(&set);
    reasons.extend(unknown_parts(&set));
    CannotExport::unless(reasons, ())?;
    // A category is read before characters are put back, so only `\` is escaped in it.
    let category = path(&set.title).replace('\\', "\\\\");
    let mut text = format!("// {}\n$CATEGORY: {category}\n", set.id);
    for item in &set.items {
        text.push('\n');
        question(&mut text, item);
    }
    Ok(text.into_bytes())
}

/// What GIFT cannot say.
fn not_held(set: &Set<'_>) -> Vec<Reason> {
    let mut reasons = Vec::new();
    for item in &set.items {
        let question = || item.which.clone();
        if !item.pictures.is_empty() {
            let found = item.pictures.len();
            reasons.push(Reason::GiftHoldsNoPicture { question: question(), found });
        }
        if item.full != ONE_MARK {
            reasons.push(Reason::GiftHoldsNoMark { question: question(), score: item.full });
        }
        let mut texts = vec![(Part::Id, &item.which.id), (Part::Prompt, &item.prompt)];
        for (at, choice) in (1..).zip(&item.choices) {
            texts.push((Part::ChoiceText(at), &choice.text));
            texts.push((Part::Feedback(at), &choice.feedback));
        }
        for (part, text) in texts {
            if let Some(found) = REPLACED.into_iter().find(|mark| text.contains(mark)) {
                reasons.push(Reason::GiftReplaces { question: question(), part, found });
            }
        }
    }
    reasons
}

/// One question, without an empty line in it: that would end it.
fn question(text: &mut String, item: &Item<'_>) {
    text.push_str(&format!("::{}::[plain]{} {{\n", escaped(&item.which.id), escaped(&item.prompt)));
    for choice in &item.choices {
        match percent(choice.score_hundredths, item.full) {
            _ if choice.is_key => text.push_str("\t="),
            None | Some("0") => text.push_str("\t~"),
            Some(part) => text.push_str(&format!("\t~%{part}%")),
        }
        text.push_str(&answer(&choice.text));
        let told = told(choice);
        if !told.is_empty() {
            text.push_str(&format!("#{}", answer(&told)));
        }
        text.push('\n');
    }
    text.push_str("}\n");
}

/// What begins like a format or a part of a mark is taken for one, unless the format stands first.
fn answer(text: &str) -> String {
    let format = if text.starts_with(['[', '%']) { "[plain]" } else { "" };
    format!("{format}{}", escaped(text))
}

/// The text with a `\` before every character that means something.
fn escaped(text: &str) -> String {
    text.chars().fold(String::new(), |mut made, c| {
        match c {
            '\n' => made.push_str("\\n"),
            '\\' | '#' | '=' | '~' | '{' | '}' | ':' => made.extend(['\\', c]),
            _ => made.push(c),
        }
        made
    })
}
