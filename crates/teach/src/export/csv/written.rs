//! CSV as it is written.

use std::collections::BTreeSet;

use csv::{Terminator, WriterBuilder};

use super::responses::Response;
use crate::export::checked::{Item, check};
use crate::export::marks::two_places;
use crate::export::refused::{CannotExport, Reason};
use crate::export::shown::shown;
use crate::export::text;
use crate::question::Question;

/// The columns of responses.
pub(super) const COLUMNS: [&str; 4] = ["set", "reader", "question", "choice"];

/// What the students see, one row a choice: `set`, `title`, `question`, `prompt`, `pictures`,
/// `descriptions`, `choice`, `text`. Nothing of it tells the answer.
///
/// `pictures` and `descriptions` hold one name, one description a line, in order.
///
/// # Errors
/// If a question cannot be exported; all reasons at once.
///
/// # Source
/// RFC 4180.
pub fn items_csv(title: &str, id: &str, questions: &[Question]) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let mut rows = vec![
        ["set", "title", "question", "prompt", "pictures", "descriptions", "choice", "text"]
            .map(str::to_owned)
            .to_vec(),
    ];
    for item in &set.items {
        let names: Vec<&str> = item.pictures.iter().map(|picture| &*picture.name).collect();
        let described: Vec<&str> = item.pictures.iter().map(|picture| &*picture.alt).collect();
        for choice in &item.choices {
            rows.push(vec![
                set.id.clone(),
                set.title.clone(),
                item.which.id.clone(),
                item.prompt.clone(),
                names.join("\n"),
                described.join("\n"),
                choice.id.clone(),
                choice.text.clone(),
            ]);
        }
    }
    written(&rows)
}

/// The answers, one row a choice: `set`, `question`, `choice`, `key` and `critical` (`yes` or
/// `no`), `score` in marks with two decimals, `feedback` as it was given.
///
/// # Errors
/// If a question cannot be exported; all reasons at once.
///
/// # Source
/// RFC 4180.
pub fn keys_csv(title: &str, id: &str, questions: &[Question]) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let mut rows = vec![
        ["set", "question", "choice", "key", "critical", "score", "feedback"]
            .map(str::to_owned)
            .to_vec(),
    ];
    let said = |is: bool| if is { "yes" } else { "no" }.to_owned();
    for item in &set.items {
        for choice in &item.choices {
            rows.push(vec![
                set.id.clone(),
                item.which.id.clone(),
                choice.id.clone(),
                said(choice.is_key),
                said(choice.is_critical),
                two_places(choice.score_hundredths),
                choice.feedback.clone(),
            ]);
        }
    }
    written(&rows)
}

/// Responses, one row each: `set`, `reader`, `question`, `choice`, the last one empty where a
/// question was left open. [`read_responses`](super::read_responses) reads it back.
///
/// Written with open questions only, it is a form to be filled in.
///
/// # Errors
/// If the questions or the responses are at fault; all reasons at once.
///
/// # Source
/// RFC 4180.
pub fn responses_csv(
    title: &str,
    id: &str,
    questions: &[Question],
    responses: &[Response],
) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let mut rows = vec![COLUMNS.map(str::to_owned).to_vec()];
    let mut reasons = Vec::new();
    let mut seen = BTreeSet::new();
    for (number, response) in (1..).zip(responses) {
        match row(&set.id, &set.items, response) {
            Ok(row) if seen.insert(row.get(1..3).map(<[String]>::to_vec)) => rows.push(row),
            Ok(_) => {
                let (question, reader) = (shown(&response.question), shown(&response.reader));
                let fault = format!("{reader} answers {question} a second time");
                reasons.push(Reason::Response { number, fault });
            }
            Err(fault) => reasons.push(Reason::Response { number, fault }),
        }
    }
    CannotExport::unless(reasons, ())?;
    written(&rows)
}

fn row(set: &str, items: &[Item<'_>], response: &Response) -> Result<Vec<String>, String> {
    let reader = text::name(&response.reader).map_err(|fault| format!("reader: {fault}"))?;
    let question = response.question.trim();
    let item = items.iter().find(|item| item.which.id == question);
    let item = item.ok_or_else(|| format!("the set has no question {}", shown(question)))?;
    let choice = response.choice.as_deref().unwrap_or_default().trim();
    let known = choice.is_empty() || item.choices.iter().any(|known| known.id == choice);
    if !known {
        let (question, choice) = (shown(question), shown(choice));
        return Err(format!("question {question} has no choice {choice}"));
    }
    Ok(vec![set.to_owned(), reader, question.to_owned(), choice.to_owned()])
}

fn written(rows: &[Vec<String>]) -> Result<Vec<u8>, CannotExport> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).map_err(|error| CannotExport::not_written(&error))?;
    }
    writer.into_inner().map_err(|error| CannotExport::not_written(&error))
}
