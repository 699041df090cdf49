//! A set that every format can hold.

use std::collections::BTreeMap;

use super::drawing::{Size, size};
use super::refused::{CannotExport, Part, Reason, TextFault, Which};
use super::text;
use crate::question::{Choice, Drawn, Question};

/// A set whose texts, scores and pictures are good.
#[derive(Debug)]
pub(super) struct Set<'a> {
    pub(super) title: String,
    pub(super) id: String,
    pub(super) items: Vec<Item<'a>>,
}

/// A question whose texts are as they will be written.
#[derive(Debug)]
pub(super) struct Item<'a> {
    pub(super) which: Which,
    pub(super) prompt: String,
    pub(super) pictures: Vec<Picture<'a>>,
    pub(super) choices: Vec<Choice>,
    /// What the key earns, in hundredths of a mark.
    pub(super) full: u32,
    /// The id of the key.
    pub(super) key: String,
}

/// A picture that can be shown.
#[derive(Debug)]
pub(super) struct Picture<'a> {
    pub(super) name: String,
    pub(super) alt: String,
    pub(super) svg: &'a str,
    pub(super) size: Size,
}

/// Checks everything that does not depend on the format.
pub(super) fn check<'a>(
    title: &str,
    id: &str,
    questions: &'a [Question],
) -> Result<Set<'a>, CannotExport> {
    let mut reasons = Vec::new();
    let title = kept(text::title(title), |fault| Reason::Title { fault }, &mut reasons);
    let id = kept(text::name(id), |fault| Reason::SetId { fault }, &mut reasons);
    if questions.is_empty() {
        reasons.push(Reason::NoQuestions);
    }
    let items: Vec<_> =
        (1..).zip(questions).map(|(number, asked)| item(number, asked, &mut reasons)).collect();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for Item { which, .. } in &items {
        if which.id.is_empty() {
            continue; // Said already.
        }
        if let Some(&first) = seen.get(which.id.as_str()) {
            reasons.push(Reason::SameId { question: which.clone(), first });
        } else {
            seen.insert(&which.id, which.number);
        }
    }
    CannotExport::unless(reasons, Set { title, id, items })
}

/// The text, or nothing and why.
fn kept(
    text: Result<String, TextFault>,
    reason: impl FnOnce(TextFault) -> Reason,
    reasons: &mut Vec<Reason>,
) -> String {
    text.unwrap_or_else(|fault| {
        reasons.push(reason(fault));
        String::new()
    })
}

fn item<'a>(number: usize, asked: &'a Question, reasons: &mut Vec<Reason>) -> Item<'a> {
    let which = Which { number, id: asked.id.trim().to_owned() };
    let mut keep = |text, part| {
        let reason = |fault| Reason::Text { question: which.clone(), part, fault };
        kept(text, reason, reasons)
    };
    keep(text::name(&asked.id), Part::Id);
    let prompt = keep(text::paragraph(&asked.prompt), Part::Prompt);
    let named: Vec<_> = (1..)
        .zip(&asked.pictures)
        .map(|(at, drawn)| {
            let name = keep(text::line(&drawn.name), Part::PictureName(at));
            (name, keep(text::line(&drawn.alt), Part::PictureAlt(at)))
        })
        .collect();
    let choices: Vec<_> = (1..)
        .zip(&asked.choices)
        .map(|(at, choice)| Choice {
            id: keep(text::name(&choice.id), Part::ChoiceId(at)),
            text: keep(text::paragraph(&choice.text), Part::ChoiceText(at)),
            feedback: match text::paragraph(&choice.feedback) {
                Err(TextFault::Empty) => String::new(),
                feedback => keep(feedback, Part::Feedback(at)),
            },
            is_key: choice.is_key,
            score_hundredths: choice.score_hundredths,
            is_critical: choice.is_critical,
        })
        .collect();
    let pictures = pictures(&which, &asked.pictures, named, reasons);
    let (full, key) = scores(&which, &choices, reasons);
    Item { which, prompt, pictures, choices, full, key }
}

fn pictures<'a>(
    which: &Which,
    drawn: &'a [Drawn],
    named: Vec<(String, String)>,
    reasons: &mut Vec<Reason>,
) -> Vec<Picture<'a>> {
    for (first, again) in twice(named.iter().map(|(name, _)| name.as_str())) {
        reasons.push(Reason::SamePictureName { question: which.clone(), first, again });
    }
    let mut good = Vec::new();
    for (picture, (drawn, (name, alt))) in (1..).zip(drawn.iter().zip(named)) {
        match size(&drawn.svg) {
            Ok(size) => good.push(Picture { name, alt, svg: &drawn.svg, size }),
            Err(fault) => {
                reasons.push(Reason::Picture { question: which.clone(), picture, fault });
            }
        }
    }
    good
}

/// What the key earns, and its id.
fn scores(which: &Which, choices: &[Choice], reasons: &mut Vec<Reason>) -> (u32, String) {
    let question = || which.clone();
    if choices.len() < 2 {
        reasons.push(Reason::Choices { question: question(), found: choices.len() });
    }
    for (first, again) in twice(choices.iter().map(|choice| choice.id.as_str())) {
        reasons.push(Reason::SameChoiceId { question: question(), first, again });
    }
    for (first, again) in twice(choices.iter().map(|choice| choice.text.as_str())) {
        reasons.push(Reason::SameChoiceText { question: question(), first, again });
    }
    for (choice, one) in (1..).zip(choices) {
        let score = one.score_hundredths;
        if one.is_critical && !one.is_key && score > 0 {
            reasons.push(Reason::CriticalEarns { question: question(), choice, score });
        }
    }
    let mut keys = choices.iter().filter(|choice| choice.is_key);
    let (Some(key), None) = (keys.next(), keys.next()) else {
        let found = choices.iter().filter(|choice| choice.is_key).count();
        reasons.push(Reason::Keys { question: question(), found });
        return (0, String::new());
    };
    let full = key.score_hundredths;
    if key.is_critical {
        reasons.push(Reason::KeyIsCritical { question: question() });
    }
    if full == 0 {
        reasons.push(Reason::KeyEarnsNothing { question: question() });
        return (full, key.id.clone());
    }
    for (choice, one) in (1..).zip(choices) {
        let score = one.score_hundredths;
        if !one.is_key && score >= full {
            reasons.push(Reason::OutscoresKey { question: question(), choice, score, key: full });
        }
    }
    (full, key.id.clone())
}

/// The places, counted from 1, of what was there before, each with its first place. Empty texts are
/// told of elsewhere.
fn twice<'a>(texts: impl Iterator<Item = &'a str>) -> Vec<(usize, usize)> {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let mut again = Vec::new();
    for (at, text) in (1..).zip(texts).filter(|(_, text)| !text.is_empty()) {
        match seen.get(text) {
            Some(&first) => again.push((first, at)),
            None => {
                seen.insert(text, at);
            }
        }
    }
    again
}
