//! CSV of items and of keys: RFC 4180 in UTF-8 with a header: comma, `"` doubled within `"`, lines
//! end with CR LF. Answers are read by [`crate::marking::Responses`].

use csv::{Terminator, WriterBuilder};

use super::checked::check;
use super::marks::two_places;
use super::refused::CannotExport;
use crate::question::Question;

/// What the students see, one row a choice: `set`, `title`, `question`, `prompt`, `pictures`,
/// `descriptions`, `choice`, `text`. Nothing of it tells the answer.
///
/// `pictures` and `descriptions` hold one name, one description a line, in order.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::export::items_csv;
/// let file = String::from_utf8(items_csv("A night's questions", "set1", &[question()])?)?;
/// let mut lines = file.split("\r\n");
/// assert_eq!(lines.next(), Some("set,title,question,prompt,pictures,descriptions,choice,text"));
/// assert!(lines.next().ok_or("no row")?.ends_with(",no,No"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
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
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::export::keys_csv;
/// let file = String::from_utf8(keys_csv("A night's questions", "set1", &[question()])?)?;
/// let mut lines = file.split("\r\n");
/// assert_eq!(lines.next(), Some("set,question,choice,key,critical,score,feedback"));
/// assert_eq!(lines.next(), Some("set1,q1,no,yes,no,1.00,"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
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

fn written(rows: &[Vec<String>]) -> Result<Vec<u8>, CannotExport> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).map_err(|error| CannotExport::not_written(&error))?;
    }
    writer.into_inner().map_err(|error| CannotExport::not_written(&error))
}
