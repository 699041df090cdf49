//! Writing HL7.

use crossread_core::document::{Digest, Id, Text, Time};

use super::escape::escaped;
use super::{HERE, LOCAL, SHORT, UTF8, YES_NO, read};
use crate::message::{Message, Stage, read_back};
use crate::record::{Form, Kind, Record, Scalar, Times, spoken};
use crate::wrong::{CannotConvert, Wrongs};

/// The message as HL7 version 2.5.1, ORU^R01, in UTF-8, sent at `at`; its segments end with a
/// carriage return. The same message sent at the same time gives the same text; any other has
/// another control id. It is read back before it is given out.
///
/// What belongs to an incomplete answer has the status `P`, what is not the first of its worksheet
/// ([`Message::revised`]) the status `C`, all else `F`.
///
/// ```standalone_crate
/// # use crossread_core::{document::Time, interpretation::Issued};
/// # use crossread_exchange::{Message, to_hl7};
/// # let worksheet = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// # let answer = include_bytes!("../../../../examples/clean-run/interpretation.json");
/// # let message = Message::new(worksheet, Issued::from_json(answer)?)?;
/// let at = Time::new("2026-03-13T21:30:00+01:00").ok_or("no time")?;
/// let text = to_hl7(&message, at)?;
/// let first = text.split('\r').next().ok_or("no segment")?;
/// assert!(first.starts_with(r"MSH|^~\&|crossread|"));
/// assert!(first.contains("|20260313213000+0100|"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If something in it cannot be written in HL7 as it is: an empty text, or a time with more than
/// four digits after the second. Also if the same could not be read back.
pub fn to_hl7(message: &Message, at: Time) -> Result<String, CannotConvert> {
    let mut wrongs = Wrongs::default();
    let written = segments(message, &at.to_string(), &mut wrongs);
    let written = wrongs.or(Some(written))?;
    read_back(message, &read::from_hl7(written.as_bytes())?)?;
    Ok(written)
}

/// The segments, whatever cannot be written being added to the wrongs.
pub(super) fn segments(message: &Message, at: &str, wrongs: &mut Wrongs) -> String {
    let sha256 = message.sha256().map(|sha256| sha256.to_string()).unwrap_or_default();
    // As many characters as the field has.
    let control = Digest::of(format!("{sha256}/{at}").as_bytes()).to_string();
    let control = control.chars().take(20).collect();
    let at = time("segment 1, MSH-7", at, wrongs);
    let mut text = segment(
        "MSH|^~\\&",
        &[
            (3, HERE.to_owned()),
            (7, at.clone()),
            (9, "ORU^R01^ORU_R01".to_owned()),
            (10, control),
            (11, "P".to_owned()),
            (12, "2.5.1".to_owned()),
            (18, UTF8.to_owned()),
        ],
        2,
    );
    text.push_str(&patient(message));
    for (number, record) in message.records().iter().enumerate() {
        let status = match message.stage(Some(record)) {
            Stage::Incomplete => "P",
            Stage::Final => "F",
            Stage::Corrected => "C",
            Stage::TakenBack => "W",
        };
        observations(record, number.saturating_add(1), (&at, status), &mut text, wrongs);
    }
    text
}

/// A segment with these fields, by their numbers, which rise; the others are empty.
fn segment(start: &str, fields: &[(usize, String)], last: usize) -> String {
    let mut text = start.to_owned();
    let mut at = last;
    for (number, value) in fields {
        if value.is_empty() {
            continue;
        }
        while at < *number {
            text.push('|');
            at = at.saturating_add(1);
        }
        text.push_str(value);
    }
    text.push('\r');
    text
}

fn patient(message: &Message) -> String {
    let recipient = message.recipient();
    let id = recipient.id.as_ref().map_or("", Id::as_str);
    // A name is required; `U` says that it is not known (table 0200).
    let name = |name: &Text| format!("^{}", escaped(name.as_str()));
    let name = recipient.name.as_ref().map_or_else(|| "^^^^^^U".to_owned(), name);
    let species = recipient.species.map_or_else(String::new, |species| local(species.word()));
    let breed = recipient
        .breed
        .as_ref()
        .map_or_else(String::new, |breed| format!("^{}", escaped(breed.as_str())));
    segment(
        "PID",
        &[
            (1, "1".to_owned()),
            (3, format!("{}^^^{HERE}^PI", escaped(id))),
            (5, name),
            (35, species),
            (36, breed),
        ],
        0,
    )
}

/// A local code.
fn local(code: &str) -> String {
    format!("{}^{}^{LOCAL}", escaped(code), escaped(&spoken(code)))
}

/// A record, as it was sent at this time with this status (tables 0085 and 0123).
fn observations(
    record: &Record,
    number: usize,
    (sent, status): (&str, &str),
    text: &mut String,
    wrongs: &mut Wrongs,
) {
    // `W`, what was sent was wrong, is a status of values only.
    let whole = if status == "W" { "F" } else { status };
    let at = record.text("at").map(|at| time(&format!("{}/at", record.name()), at, wrongs));
    let answer = record.answer.filter(|_| record.kind != Kind::Answer);
    // The parent's number, as it has no number of whoever ordered it.
    let parent = answer.map(|answer| format!("^{}/{answer}&{HERE}", Kind::Answer.word()));
    let code = format!("{}^{}^{LOCAL}", record.kind.word(), record.kind.spoken());
    text.push_str(&segment(
        "OBR",
        &[
            (1, number.to_string()),
            (3, format!("{}^{HERE}", record.name())),
            (4, code),
            (7, at.unwrap_or_default()),
            (22, sent.to_owned()),
            (25, whole.to_owned()),
            (29, parent.unwrap_or_default()),
        ],
        0,
    ));
    let mut before = ("", 0_usize);
    for (set, (field, scalar)) in record.values.iter().enumerate() {
        let again = if before.0 == field.path { before.1.saturating_add(1) } else { 1 };
        before = (field.path, again);
        let several = matches!(field.times, Times::Each | Times::EachIfAny);
        let place = format!("{}/{}", record.name(), field.path);
        let Some((kind, value)) = value(&place, field.form, scalar, wrongs) else { continue };
        let sub = if several { again.to_string() } else { String::new() };
        text.push_str(&segment(
            "OBX",
            &[
                (1, set.saturating_add(1).to_string()),
                (2, kind.to_owned()),
                (3, local(field.path)),
                (4, sub),
                (5, value),
                (11, status.to_owned()),
            ],
            0,
        ));
    }
}

fn value(
    place: &str,
    form: Form,
    scalar: &Scalar,
    wrongs: &mut Wrongs,
) -> Option<(&'static str, String)> {
    match (form, scalar) {
        (Form::Word(_), Scalar::Text(word)) => {
            no_empty(place, word, wrongs);
            Some(("CWE", local(word)))
        }
        (Form::Words | Form::Text, Scalar::Text(text)) => {
            no_empty(place, text, wrongs);
            let kind = if text.chars().count() <= SHORT { "ST" } else { "TX" };
            Some((kind, escaped(text)))
        }
        (Form::Time, Scalar::Text(text)) => Some(("TS", time(place, text, wrongs))),
        (Form::Date, Scalar::Text(text)) => Some(("DT", text.replace('-', ""))),
        (Form::Whole, Scalar::Whole(number)) => Some(("NM", number.to_string())),
        (Form::Bool, Scalar::Bool(value)) => {
            let (code, word) = if *value { ("Y", "Yes") } else { ("N", "No") };
            Some(("CWE", format!("{code}^{word}^{YES_NO}")))
        }
        (
            Form::Word(_)
            | Form::Words
            | Form::Text
            | Form::Whole
            | Form::Bool
            | Form::Time
            | Form::Date,
            Scalar::Text(_) | Scalar::Whole(_) | Scalar::Bool(_),
        ) => {
            wrongs.add(place, "a value of its form", format!("{scalar:?}"));
            None
        }
    }
}

fn no_empty(place: &str, text: &str, wrongs: &mut Wrongs) {
    // `""` would delete what the receiver has.
    if text.is_empty() || text == "\"\"" {
        wrongs.add(place, "a text that is not empty, or the field left out", format!("`{text}`"));
    }
}

/// A time as HL7 has it: `20260301032810.5+0100`.
fn time(place: &str, text: &str, wrongs: &mut Wrongs) -> String {
    let (date, clock) = text.split_once('T').unwrap_or_default();
    let (clock, zone) = if let Some(clock) = clock.strip_suffix('Z') {
        (clock, "+0000".to_owned())
    } else {
        let zone = clock.len().saturating_sub(6);
        let (clock, zone) = clock.split_at_checked(zone).unwrap_or_default();
        (clock, zone.replace(':', ""))
    };
    if clock.split_once('.').is_some_and(|(_, fraction)| fraction.len() > 4) {
        wrongs.add(place, "at most four digits after the second", format!("`{text}`"));
    }
    format!("{}{}{zone}", date.replace('-', ""), clock.replace(':', ""))
}
