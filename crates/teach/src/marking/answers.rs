//! Files of answers: CSV with the columns `item`, `student`, `answer`.

use std::collections::BTreeMap;

use csv::{ReaderBuilder, StringRecord, WriterBuilder};

use crate::fault::{Fault, Faults, nearest};
use crate::set::{Answer, Exercise};

/// The columns, in the order in which they are written. They may be read in any order.
const COLUMNS: [&str; 3] = ["item", "student", "answer"];

/// One answer of one student. An answer that was left empty is none.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Response {
    /// The item.
    pub item: String,
    /// The student.
    pub student: String,
    /// The answer; `None` if the field is empty.
    pub answer: Option<Answer>,
}

impl Response {
    /// An answer of a student to an item.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// # use crossread_teach::{marking::Response, set::Answer};
    /// let read = Response::new("i001", "anna", Some(Answer::Grade(Grade::G2)));
    /// let left_out = Response::new("i002", "anna", None);
    /// assert_eq!(read.answer.map(|answer| answer.word()).as_deref(), Some("2+"));
    /// assert_eq!(left_out.answer, None);
    /// ```
    pub fn new(item: &str, student: &str, answer: Option<Answer>) -> Self {
        Self { item: item.to_owned(), student: student.to_owned(), answer }
    }
}

/// The answers of all students, checked against a set.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Responses(Vec<Response>);

impl Responses {
    /// Reads a file of answers to a set.
    ///
    /// The first line names the columns. A byte order mark at the start, as spreadsheets write
    /// one, is passed over; nothing else is: no blank is taken off and no case is changed.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = drawings();
    /// let item = &exercise.set().items[0];
    /// let file = format!("student,item,answer\nanna,{},{}\n", item.id, item.key);
    /// let read = Responses::from_csv(file.as_bytes(), &exercise)?;
    /// assert_eq!(read.as_slice()[0].student, "anna");
    /// // A second answer to one item is not chosen from.
    /// let twice = format!("{file}anna,{},{}\n", item.id, item.key);
    /// assert_eq!(Responses::from_csv(twice.as_bytes(), &exercise).unwrap_err().as_slice().len(), 1);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// All faults at once, each with its line and column: a column that is missing, unknown or
    /// there twice, a line with too few or too many fields, an item that is not in the set, an
    /// answer that is none of its choices, a student without a name, a second answer to one item.
    pub fn from_csv(document: &[u8], exercise: &Exercise) -> Result<Self, Faults> {
        let document = document.strip_prefix("\u{feff}".as_bytes()).unwrap_or(document);
        let mut reader =
            ReaderBuilder::new().has_headers(false).flexible(true).from_reader(document);
        let mut records = reader.records();
        let mut read = Reading { exercise, faults: Vec::new(), seen: BTreeMap::new() };
        let head = match records.next() {
            Some(Ok(head)) => head,
            Some(Err(error)) => return Err(Faults::one(broken(&error))),
            None => {
                let hint = "the first line names the columns: item,student,answer";
                return Err(Faults::one(fault(1, 1, "", "a table", "nothing", Some(hint.into()))));
            }
        };
        let places = read.columns(&head);
        let mut responses = Vec::new();
        for record in records {
            match (record, &places) {
                (Ok(record), Some(places)) => responses.extend(read.line(&record, *places)),
                (Ok(_), None) => {}
                (Err(error), _) => read.faults.push(broken(&error)),
            }
        }
        match Faults::any(read.faults) {
            Some(faults) => Err(faults),
            None => Ok(Self(responses)),
        }
    }

    /// These answers.
    ///
    /// ```
    /// # use crossread_teach::marking::{Response, Responses};
    /// let all = Responses::new(vec![Response::new("i001", "anna", None)]);
    /// assert_eq!(all.as_slice().len(), 1);
    /// ```
    pub fn new(responses: Vec<Response>) -> Self {
        Self(responses)
    }

    /// The answers, in the order of the file.
    pub fn as_slice(&self) -> &[Response] {
        &self.0
    }

    /// The answers as a file, which is read back the same.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = drawings();
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let file = responses.to_csv();
    /// assert!(file.starts_with("item,student,answer\n"));
    /// assert_eq!(Responses::from_csv(file.as_bytes(), &exercise)?, responses);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn to_csv(&self) -> String {
        let mut writer = WriterBuilder::new().from_writer(Vec::new());
        // Writing into memory cannot fail.
        writer.write_record(COLUMNS).unwrap_or_default();
        for response in &self.0 {
            let answer = response.answer.as_ref().map(Answer::word).unwrap_or_default();
            let record = [response.item.as_str(), response.student.as_str(), answer.as_str()];
            writer.write_record(record).unwrap_or_default();
        }
        String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
    }
}

fn fault(
    line: u64,
    column: usize,
    at: &str,
    expected: &str,
    found: &str,
    hint: Option<String>,
) -> Fault {
    Fault {
        line: Some(line),
        column: u64::try_from(column).ok(),
        at: at.to_owned(),
        expected: expected.to_owned(),
        found: found.to_owned(),
        hint,
    }
}

/// A line that is no line of a table at all.
fn broken(error: &csv::Error) -> Fault {
    let line = error.position().map_or(1, csv::Position::line);
    let hint = "save the file as CSV in UTF-8".to_owned();
    if let csv::ErrorKind::Utf8 { err, .. } = error.kind() {
        let column = err.field().saturating_add(1);
        return fault(line, column, "", "UTF-8", "bytes that are none", Some(hint));
    }
    fault(line, 1, "", "a line of a table", &error.to_string(), Some(hint))
}

/// Where the columns item, student and answer stand.
type Places = [usize; 3];

struct Reading<'e> {
    exercise: &'e Exercise,
    faults: Vec<Fault>,
    /// The line of each answer that was met, by student and item.
    seen: BTreeMap<(String, String), u64>,
}

impl Reading<'_> {
    fn columns(&mut self, head: &StringRecord) -> Option<Places> {
        let mut places = [None; 3];
        for (place, name) in head.iter().enumerate() {
            let column = place.saturating_add(1);
            let known = COLUMNS.iter().position(|known| *known == name);
            match known.and_then(|known| places.get_mut(known)) {
                Some(free @ None) => *free = Some(place),
                Some(Some(_)) => {
                    let found = format!("`{name}` again");
                    self.faults.push(fault(1, column, name, "each column once", &found, None));
                }
                None => {
                    let hint = nearest(name, COLUMNS).map(|near| format!("did you mean `{near}`?"));
                    let expected = "one of the columns item, student, answer";
                    self.faults.push(fault(1, column, "", expected, &format!("`{name}`"), hint));
                }
            }
        }
        for (name, place) in COLUMNS.iter().zip(places) {
            if place.is_none() {
                let hint = "the first line names the columns: item,student,answer".to_owned();
                let expected = format!("a column `{name}`");
                self.faults.push(fault(1, 1, name, &expected, "none", Some(hint)));
            }
        }
        let [item, student, answer] = places;
        Some([item?, student?, answer?])
    }

    fn line(&mut self, record: &StringRecord, places: Places) -> Option<Response> {
        let line = record.position().map_or(1, csv::Position::line);
        let fields = places.map(|place| record.get(place));
        let most = places.iter().max().map_or(0, |most| most.saturating_add(1));
        if record.len() != 3 {
            let found = format!("{} fields", record.len());
            let hint = "a field with a comma in it stands in double quotes".to_owned();
            self.faults.push(fault(
                line,
                most.min(record.len()),
                "",
                "3 fields",
                &found,
                Some(hint),
            ));
        }
        let [Some(id), Some(student), Some(answer)] = fields else { return None };
        let [item_at, student_at, answer_at] = places.map(|place| place.saturating_add(1));
        if student.trim().is_empty() {
            self.faults.push(fault(line, student_at, "student", "a student", "nothing", None));
        }
        let Some(item) = self.exercise.item(id) else {
            let ids = self.exercise.set().items.iter().map(|item| item.id.as_str());
            let hint = nearest(id, ids).map(|near| format!("did you mean `{near}`?"));
            let expected = "an item of the set";
            self.faults.push(fault(line, item_at, "item", expected, &format!("`{id}`"), hint));
            return None;
        };
        let met = self.seen.insert((student.to_owned(), id.to_owned()), line);
        if let Some(before) = met {
            let found = format!("a second one; the first stands in line {before}");
            let hint = "take one of the two lines out".to_owned();
            let expected = "one answer of each student to an item";
            self.faults.push(fault(line, item_at, "item", expected, &found, Some(hint)));
        }
        if answer.is_empty() {
            return Some(Response::new(id, student, None));
        }
        let is_choice = item.choices.iter().any(|choice| choice == answer);
        let known = item.ask.answer(answer, self.exercise.set().scale).filter(|_| is_choice);
        if known.is_none() {
            let choices = item.choices.iter().map(String::as_str);
            let hint = nearest(answer, choices).map_or_else(
                || format!("the choices of {id} are: {}", item.choices.join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            let expected = "one of the item's choices, or nothing";
            self.faults.push(fault(
                line,
                answer_at,
                "answer",
                expected,
                &format!("`{answer}`"),
                Some(hint),
            ));
        }
        Some(Response::new(id, student, Some(known?)))
    }
}
