//! A set as a page to practice on, in one HTML file without a server.
//!
//! It asks for nothing from outside. It holds the keys, encoded so that nobody reads them by chance,
//! and not hidden from whoever looks for them. So the page is for practice and never for an
//! examination, and says so.

use std::collections::BTreeMap;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html as markup};
use serde::Serialize;

use super::check::Exercise;
use super::questions::{questions, with_runs};
use super::shown::Shown;
use super::{NOT_A_RECORD, WATERMARK};
use crate::marking::Options;
use crate::question::Question;

const STYLE: &str = include_str!("../../assets/exercise.css");
const SCRIPT: &str = include_str!("../../assets/exercise.js");

/// Everything that the script needs.
#[derive(Serialize)]
struct Keys {
    /// The least share of the score that passes, in hundredths.
    pass: u32,
    /// Of each item and each of its choices: the score in hundredths, whether it is critical, and
    /// what is said of it.
    items: BTreeMap<String, BTreeMap<String, (u32, bool, String)>>,
}

/// The page to practice on. The answers can be copied out of it as a file of answers.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::set::page;
/// let page = page(&drawings(), &Options::default());
/// assert!(page.contains("For practice, not for an examination"));
/// // It asks for nothing from outside.
/// assert!(!page.contains("src=\"http"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn page(exercise: &Exercise, options: &Options) -> String {
    let mut asked = questions(exercise);
    // One button that comes off before the eyes; not a whole run of them at once.
    for (question, item) in asked.iter_mut().zip(&exercise.set().items) {
        let moving = item.shown.as_ref().and_then(Shown::moving);
        if let (Some(drawn), Some(moving)) = (question.pictures.first_mut(), moving) {
            drawn.svg = moving;
        }
    }
    let keys =
        Keys { pass: options.pass_hundredths, items: asked.iter().map(of_question).collect() };
    // Numbers and text can always be written.
    let keys = STANDARD.encode(serde_json::to_vec(&keys).unwrap_or_default());
    let body = markup! {
        p {
            "For practice, not for an examination: the keys are in this file, encoded but not "
            "hidden. Nothing you choose leaves this page unless you copy it out."
        }
        form #exercise {
            p { label for="student" { "Your name " } input #student type="text" autocomplete="off"; }
            @for (question, same) in with_runs(exercise, &asked) {
                (item(question, same, &|choice, text| markup! {
                    li { label {
                        input type="radio" name=(question.id) value=(choice);
                        span { (text) }
                    } }
                }))
            }
            button type="submit" { "Mark my answers" }
        }
        p.said #told role="status" tabindex="-1" {}
        div #taken hidden {
            label for="answers" { "Your answers, as a file to hand in:" }
            textarea #answers readonly {}
        }
    };
    written(exercise, "practice", &body, Some(&keys))
}

fn of_question(question: &Question) -> (String, BTreeMap<String, (u32, bool, String)>) {
    let choices = question.choices.iter().map(|choice| {
        let told = (choice.score_hundredths, choice.is_critical, choice.feedback.clone());
        (choice.id.clone(), told)
    });
    (question.id.clone(), choices.collect())
}

/// One item; each choice as `choice` writes it, from its word and its text. What it is about is
/// left out if it is the same as before.
fn item(question: &Question, same: Option<&str>, choice: &dyn Fn(&str, &str) -> Markup) -> Markup {
    let (asked, sheet) = question.prompt.split_once("\n\n").unwrap_or((&question.prompt, ""));
    let long = if sheet.is_empty() { "item" } else { "item long" };
    let pictures = if question.pictures.len() < 3 { "pictures large" } else { "pictures" };
    markup! {
        section class=(long) aria-labelledby={ "head-" (question.id) } {
            span.mark { (WATERMARK) }
            h2 id={ "head-" (question.id) } { (question.id) }
            @if let Some(before) = same {
                p { "The same run as " (before) "." }
            } @else if !sheet.is_empty() { div.sheet { (sheet) } }
            @if same.is_none() && !question.pictures.is_empty() {
                div class=(pictures) {
                    @for drawn in &question.pictures {
                        figure role="group" aria-label=(drawn.alt) {
                            (PreEscaped(&drawn.svg))
                            figcaption { (drawn.name) }
                        }
                    }
                }
            }
            fieldset {
                legend { (asked) }
                ul.choices { @for one in &question.choices { (choice(&one.id, &one.text)) } }
            }
            p.said id={ "said-" (question.id) } {}
        }
    }
}

fn written(exercise: &Exercise, what: &str, body: &Markup, keys: Option<&str>) -> String {
    let set = exercise.set();
    // Nothing from outside may be asked for, whatever a drawing holds.
    let policy = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; \
                  img-src data:; base-uri 'none'; form-action 'none'";
    let page = markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (WATERMARK) ": " (set.title) ", " (what) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { (WATERMARK) ": " (set.title) }
                p.banner { (NOT_A_RECORD) }
                p { "Set " (set.id) ", " (what) ", " (set.items.len()) " items. Drawings are drawings." }
                (body)
                @if let Some(keys) = keys {
                    // Base64 has no character that could end a script.
                    script #keys type="text/plain" { (PreEscaped(keys)) }
                    script { (PreEscaped(SCRIPT)) }
                }
            }
        }
    };
    page.into_string()
}
