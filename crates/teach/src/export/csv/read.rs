//! CSV of responses, read.

use std::collections::BTreeMap;

use super::near::meant;
use super::records::{Cell, records};
use super::responses::{Response, ResponseFault, ResponseFaultCode, ResponseFaults};
use super::written::COLUMNS;
use crate::export::shown::shown;
use crate::export::text;
use crate::question::{Choice, Question};

/// More choices than this are not all listed in a message.
const LISTED: usize = 15;

/// Reads the responses to the questions of the set `id`, in the order of the file.
///
/// The first line names the columns `set`, `reader`, `question` and `choice`, in any order. White
/// space at the ends of a cell, empty lines, a byte order mark and any kind of line end are taken.
/// An empty `choice` is a question left open. A question that a reader has no row for is not a
/// fault.
///
/// # Errors
/// If anything is wrong with the file: every fault, with its line and column, what was expected,
/// what was found and a hint. Nothing is guessed, and no row is taken from a file with a fault.
pub fn read_responses(
    file: &[u8],
    id: &str,
    questions: &[Question],
) -> Result<Vec<Response>, ResponseFaults> {
    let text = match utf8(file) {
        Ok(text) => text,
        Err(fault) => return ResponseFaults::unless(vec![fault], Vec::new()),
    };
    let (records, mut faults) = records(text);
    let mut records = records.into_iter();
    let header = records.next().unwrap_or_default();
    let mut responses = Vec::new();
    if let Some(columns) = columns(&header, &mut faults) {
        let mut rows = Rows { set: id.trim(), questions, seen: BTreeMap::new(), faults };
        for record in records {
            responses.extend(rows.row(&record, header.len(), columns));
        }
        faults = rows.faults;
    }
    ResponseFaults::unless(faults, responses)
}

fn utf8(file: &[u8]) -> Result<&str, ResponseFault> {
    let file = file.strip_prefix(b"\xef\xbb\xbf").unwrap_or(file);
    std::str::from_utf8(file).map_err(|error| {
        let good = file.get(..error.valid_up_to()).unwrap_or_default();
        let good = String::from_utf8_lossy(good);
        let last = good.rsplit(['\n']).next().unwrap_or_default();
        let found = file.get(error.valid_up_to()).copied().unwrap_or_default();
        ResponseFault {
            code: ResponseFaultCode::InvalidUtf8,
            line: good.matches('\n').count().saturating_add(1),
            column: last.chars().count().saturating_add(1),
            expected: "UTF-8".to_owned(),
            found: format!("the byte 0x{found:02X}"),
            hint: Some("save the file as CSV in UTF-8".to_owned()),
        }
    })
}

/// Where each of [`COLUMNS`] stands, if all do.
fn columns(header: &[Cell], faults: &mut Vec<ResponseFault>) -> Option<[usize; 4]> {
    let before = faults.len();
    let mut places = [None; 4];
    for (at, cell) in header.iter().enumerate() {
        let name = cell.text.trim();
        let known = COLUMNS.iter().position(|column| *column == name);
        let place = known.and_then(|known| places.get_mut(known));
        let (code, expected, hint) = match place {
            Some(place @ None) => {
                *place = Some(at);
                continue;
            }
            Some(Some(_)) => (ResponseFaultCode::DuplicateColumn, "each column once".into(), None),
            None => {
                let expected = format!("a column of the name {}", listed(COLUMNS.into_iter()));
                (ResponseFaultCode::UnknownColumn, expected, meant(name, COLUMNS.into_iter()))
            }
        };
        faults.push(at_cell(cell, code, expected, hint));
    }
    let first = header.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(",");
    let (line, column) = header.first().map_or((1, 1), |cell| (cell.line, cell.column));
    for (name, _) in COLUMNS.iter().zip(places).filter(|(_, place)| place.is_none()) {
        let separated = header.len() == 1 && first.contains([';', '\t']);
        let hint = if separated {
            "separate the cells by commas: save the file as comma-separated CSV"
        } else {
            "the first line names the columns: set,reader,question,choice"
        };
        faults.push(ResponseFault {
            code: ResponseFaultCode::MissingColumn,
            line,
            column,
            expected: format!("a column {}", shown(name)),
            found: if header.is_empty() { "nothing".to_owned() } else { shown(&first) },
            hint: Some(hint.to_owned()),
        });
    }
    match places {
        [Some(set), Some(reader), Some(question), Some(choice)] if faults.len() == before => {
            Some([set, reader, question, choice])
        }
        _ => None,
    }
}

/// The rows read so far.
struct Rows<'a> {
    set: &'a str,
    questions: &'a [Question],
    /// The line in which a reader answered a question.
    seen: BTreeMap<(String, String), usize>,
    faults: Vec<ResponseFault>,
}

impl<'a> Rows<'a> {
    /// The response in the row, if nothing is wrong with it.
    fn row(&mut self, record: &[Cell], width: usize, columns: [usize; 4]) -> Option<Response> {
        let [set, reader, question, choice] = columns.map(|column| record.get(column));
        let (Some(set), Some(reader), Some(question), Some(choice), true) =
            (set, reader, question, choice, record.len() == width)
        else {
            let first = record.first()?;
            self.faults.push(ResponseFault {
                code: ResponseFaultCode::CellCount,
                line: first.line,
                column: first.column,
                expected: format!("{width} cells, as in the header"),
                found: record.len().to_string(),
                hint: Some("put a cell that holds a comma in `\"`".to_owned()),
            });
            return None;
        };
        // Each is checked, so that all faults of the row are told.
        let of_set = self.is_of_set(set);
        let by = self.name(reader);
        let asked = self.asked(question);
        let chosen = asked.and_then(|asked| self.chosen(choice, asked));
        let (true, Some(reader), Some(asked), Some(chosen)) = (of_set, by, asked, chosen) else {
            return None;
        };
        let key = (reader.clone(), asked.id.trim().to_owned());
        if let Some(&line) = self.seen.get(&key) {
            let expected = format!("one answer of {} to each question", shown(&reader));
            let hint = format!("line {line} has the first; take one of the two out");
            let code = ResponseFaultCode::DuplicateResponse;
            self.faults.push(at_cell(question, code, expected, Some(hint)));
            return None;
        }
        self.seen.insert(key, question.line);
        Some(Response { reader, question: asked.id.trim().to_owned(), choice: chosen })
    }

    fn is_of_set(&mut self, cell: &Cell) -> bool {
        let same = cell.text.trim() == self.set;
        if !same {
            let expected = format!("the set {}", shown(self.set));
            let hint = "these may be the answers to another exercise".to_owned();
            let code = ResponseFaultCode::OtherSet;
            self.faults.push(at_cell(cell, code, expected, Some(hint)));
        }
        same
    }

    fn name(&mut self, cell: &Cell) -> Option<String> {
        match text::name(&cell.text) {
            Ok(name) => Some(name),
            Err(fault) => {
                let empty = cell.text.trim().is_empty();
                let code =
                    if empty { ResponseFaultCode::Empty } else { ResponseFaultCode::BadText };
                let hint = (!empty).then(|| fault.to_string());
                self.faults.push(at_cell(cell, code, "the name of a reader".to_owned(), hint));
                None
            }
        }
    }

    fn asked(&mut self, cell: &Cell) -> Option<&'a Question> {
        let ids = || self.questions.iter().map(|question| question.id.trim());
        let written = cell.text.trim();
        let known = self.questions.iter().find(|question| question.id.trim() == written);
        if known.is_none() {
            let expected = format!("a question of the set: {}", listed(ids()));
            let (code, hint) = unknown(written, ResponseFaultCode::UnknownQuestion, ids());
            self.faults.push(at_cell(cell, code, expected, hint));
        }
        known
    }

    /// The choice, or that the question was left open; `None` if it is neither.
    #[expect(clippy::option_option, reason = "no answer is not the same as a wrong one")]
    fn chosen(&mut self, cell: &Cell, asked: &Question) -> Option<Option<String>> {
        let written = cell.text.trim();
        let ids = || asked.choices.iter().map(|Choice { id, .. }| id.trim());
        if written.is_empty() {
            return Some(None);
        }
        if ids().any(|id| id == written) {
            return Some(Some(written.to_owned()));
        }
        let expected = format!("a choice of {}: {}", shown(asked.id.trim()), listed(ids()));
        let (code, hint) = unknown(written, ResponseFaultCode::UnknownChoice, ids());
        self.faults.push(at_cell(cell, code, expected, hint));
        None
    }
}

/// What is wrong with a word that is not known, and what may have been meant.
fn unknown<'a>(
    written: &str,
    code: ResponseFaultCode,
    known: impl Iterator<Item = &'a str>,
) -> (ResponseFaultCode, Option<String>) {
    if written.is_empty() {
        (ResponseFaultCode::Empty, None)
    } else {
        (code, meant(written, known))
    }
}

fn at_cell(
    cell: &Cell,
    code: ResponseFaultCode,
    expected: String,
    hint: Option<String>,
) -> ResponseFault {
    let text = cell.text.trim();
    let found = if text.is_empty() { "nothing".to_owned() } else { shown(text) };
    ResponseFault { code, line: cell.line, column: cell.column, expected, found, hint }
}

/// The words, the first of them if there are many.
fn listed<'a>(mut words: impl Iterator<Item = &'a str>) -> String {
    let first: Vec<_> = words.by_ref().take(LISTED).map(shown).collect();
    let more = if words.next().is_some() { ", …" } else { "" };
    format!("{}{more}", first.join(", "))
}
