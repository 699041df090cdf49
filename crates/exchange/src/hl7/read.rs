//! Reading HL7 back.

use crossread_core::document::Time;

use super::segment::{Segment, segments};
use super::{LOCAL, UTF8, YES_NO, write};
use crate::json::MAX_BYTES;
use crate::message::Message;
use crate::record::{Field, Form, Kind, Record, Scalar};
use crate::wrong::{CannotConvert, Wrong, Wrongs};

/// Reads back a message that [`to_hl7`](super::to_hl7) wrote, also one with other delimiters, other
/// ends of segments, or another header: sender, receiver, time and control id are not looked at.
///
/// ```standalone_crate
/// # use crossread_core::{document::Time, interpretation::Issued};
/// # use crossread_exchange::{Message, from_hl7, to_hl7};
/// # let worksheet = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// # let answer = include_bytes!("../../../../examples/clean-run/interpretation.json");
/// # let message = Message::new(worksheet, Issued::from_json(answer)?)?;
/// # let at = Time::new("2026-03-13T21:30:00+01:00").ok_or("no time")?;
/// let text = to_hl7(&message, at)?;
/// assert_eq!(from_hl7(text.as_bytes())?, message);
/// // Cut off on the way, though every segment that is left is whole.
/// let end = text.trim_end().rfind('\r').ok_or("one segment")?;
/// assert!(from_hl7(&text.as_bytes()[..=end]).is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Everything at once that is missing, unknown, contradicts something else, or is not just as it
/// would be written: nothing is guessed, and nothing is passed over. So is a message that is no
/// ORU^R01 of version 2.5.1, or not of production (MSH-11 `P`).
pub fn from_hl7(message: &[u8]) -> Result<Message, CannotConvert> {
    if message.len() > MAX_BYTES {
        let found = format!("{} bytes", message.len());
        return Err(CannotConvert::one(Wrong::new("", "at most 64 MiB", found)));
    }
    let text = str::from_utf8(message).map_err(|error| {
        let found = format!("another byte at {}", error.valid_up_to());
        CannotConvert::one(Wrong::new("", "UTF-8", found))
    })?;
    let mut wrongs = Wrongs::default();
    let found = segments(text, &mut wrongs);
    header(&found, text.is_ascii(), &mut wrongs);
    let records = records(&found, &mut wrongs);
    let message = Message::of(records, wrongs)?;
    // What was read must be what would be written, in every field but those of the header.
    let mut wrongs = Wrongs::default();
    let sent =
        found.iter().find(|segment| segment.name == "OBR").map_or("", |of| of.component(22, 1));
    let sent = time(sent).unwrap_or_default();
    if Time::new(&sent).is_none() {
        wrongs.add("OBR-22", "a time with an offset", format!("`{sent}`"));
    }
    let written = write::segments(&message, &sent, &mut wrongs);
    let wanted = segments(&written, &mut wrongs);
    for (number, (wanted, found)) in wanted.iter().zip(&found).enumerate().skip(1) {
        let place = format!("segment {}", number.saturating_add(1));
        if wanted.name != found.name {
            wrongs.add(place, wanted.name.clone(), found.name.clone());
            continue;
        }
        for field in wanted.differing(found) {
            let place = format!("{place}, {}-{field}", wanted.name);
            wrongs.add(place, wanted.shown(field), found.shown(field));
        }
    }
    if wanted.len() != found.len() {
        wrongs.add("", format!("{} segments", wanted.len()), found.len().to_string());
    }
    wrongs.or(Some(message))
}

fn header(segments: &[Segment], ascii: bool, wrongs: &mut Wrongs) {
    let Some(msh) = segments.first() else { return };
    for (field, component, wanted) in [(9, 1, "ORU"), (9, 2, "R01"), (11, 1, "P"), (12, 1, "2.5.1")]
    {
        let found = msh.component(field, component);
        if found != wanted {
            let place = format!("segment 1, MSH-{field}");
            wrongs.add(place, format!("`{wanted}`"), format!("`{found}`"));
        }
    }
    let set = msh.component(18, 1);
    if set != UTF8 && !(ascii && (set.is_empty() || set == "ASCII")) {
        wrongs.add("segment 1, MSH-18", format!("`{UTF8}`"), format!("`{set}`"));
    }
}

fn records(segments: &[Segment], wrongs: &mut Wrongs) -> Vec<Record> {
    let mut records: Vec<Record> = Vec::new();
    for (number, segment) in segments.iter().enumerate().skip(1) {
        let place = format!("segment {}, {}", number.saturating_add(1), segment.name);
        match (segment.name.as_str(), records.last_mut()) {
            ("PID", _) => {}
            ("OBR", _) => records.extend(record(segment, &place, wrongs)),
            ("OBX", Some(record)) => {
                record.values.extend(value(segment, record.kind, &place, wrongs));
            }
            _ => wrongs.add(place, "PID, OBR, or OBX after an OBR", segment.name.clone()),
        }
    }
    records
}

fn record(segment: &Segment, place: &str, wrongs: &mut Wrongs) -> Option<Record> {
    let name = segment.component(3, 1);
    let Some((kind, number)) = Kind::named(name) else {
        let expected = "the name of a record, such as `answer/0`";
        wrongs.add(format!("{place}-3"), expected, format!("`{name}`"));
        return None;
    };
    let parent = segment.subcomponent(29, 2, 1);
    let answer = match (kind, parent) {
        (Kind::Answer, "") => Some(number),
        (_, "") => None,
        (_, parent) => {
            let of = Kind::named(parent).filter(|(kind, _)| *kind == Kind::Answer);
            if of.is_none() {
                wrongs.add(format!("{place}-29"), "the name of an answer", format!("`{parent}`"));
            }
            of.map(|(_, answer)| answer)
        }
    };
    Some(Record { kind, number, answer, values: Vec::new() })
}

fn value(
    segment: &Segment,
    kind: Kind,
    place: &str,
    wrongs: &mut Wrongs,
) -> Option<(&'static Field, Scalar)> {
    let (path, system) = (segment.component(3, 1), segment.component(3, 3));
    let Some(field) = kind.field(path).filter(|_| system == LOCAL) else {
        let expected = format!("a field of the record `{}`", kind.word());
        wrongs.add(format!("{place}-3"), expected, segment.shown(3));
        return None;
    };
    let given = segment.component(2, 1);
    let wanted: &[&str] = match field.form {
        Form::Word(_) | Form::Bool => &["CWE"],
        Form::Words | Form::Text => &["ST", "TX"],
        Form::Whole => &["NM"],
        Form::Time => &["TS"],
        Form::Date => &["DT"],
    };
    if !wanted.contains(&given) {
        wrongs.add(format!("{place}-2"), wanted.join(" or "), format!("`{given}`"));
        return None;
    }
    let (text, coded) = (segment.component(5, 1), segment.component(5, 3));
    let scalar = match field.form {
        Form::Word(_) => Some(text.to_owned()).filter(|_| coded == LOCAL).map(Scalar::Text),
        Form::Bool => match (text, coded) {
            ("Y", YES_NO) => Some(Scalar::Bool(true)),
            ("N", YES_NO) => Some(Scalar::Bool(false)),
            _ => None,
        },
        Form::Words | Form::Text => {
            Some(text.to_owned()).filter(|text| !text.is_empty()).map(Scalar::Text)
        }
        Form::Whole => text.parse().ok().map(Scalar::Whole),
        Form::Time => time(text).map(Scalar::Text),
        Form::Date => date(text).map(Scalar::Text),
    };
    if scalar.is_none() {
        let expected = format!("a value of the field `{path}`");
        wrongs.add(format!("{place}-5"), expected, segment.shown(5));
    }
    scalar.map(|scalar| (field, scalar))
}

fn date(text: &str) -> Option<String> {
    let (year, rest) = text.split_at_checked(4)?;
    let (month, day) = rest.split_at_checked(2)?;
    Some(format!("{year}-{month}-{day}"))
}

/// The time that HL7 writes so; whether there is one, the core's own check says.
fn time(text: &str) -> Option<String> {
    let (day, clock) = text.split_at_checked(8)?;
    let (clock, zone) = clock.split_at_checked(clock.len().checked_sub(5)?)?;
    let (hour, rest) = clock.split_at_checked(2)?;
    let (minute, second) = rest.split_at_checked(2)?;
    let (hours, minutes) = zone.split_at_checked(3)?;
    Some(format!("{}T{hour}:{minute}:{second}{hours}:{minutes}", date(day)?))
}
