//! Writing FHIR.

use crossread_core::document::{Digest, Id, Text, Time};
use crossread_core::words::Species;
use serde_json::{Map, Value, json};

use super::{ANIMAL, FIELD, RECORD, WORD, read};
use crate::message::{Message, Stage, read_back};
use crate::record::{Form, Kind, Record, Scalar, spoken};
use crate::wrong::{CannotConvert, Wrongs};

/// The message as a FHIR R5 Bundle of the type `collection`, issued at `at`. The same message gives
/// the same document. It is read back before it is given out.
///
/// The report is `partial` if any answer is incomplete, `corrected` if it is not the first of its
/// worksheet ([`Message::revised`]), and `final` otherwise.
///
/// ```standalone_crate
/// # use crossread_core::{document::Time, interpretation::Issued};
/// # use crossread_exchange::{Message, to_fhir};
/// # let worksheet = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// # let answer = include_bytes!("../../../../examples/clean-run/interpretation.json");
/// # let message = Message::new(worksheet, Issued::from_json(answer)?)?;
/// let at = Time::new("2026-03-13T21:30:00+01:00").ok_or("no time")?;
/// let bundle = to_fhir(&message, at)?;
/// assert_eq!((&bundle["resourceType"], &bundle["type"]), (&"Bundle".into(), &"collection".into()));
/// assert_eq!(bundle["entry"][0]["resource"]["resourceType"], "DiagnosticReport");
/// assert_eq!(bundle["entry"][0]["resource"]["status"], "final");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If something in it cannot be written in FHIR as it is: an empty text, a control character, a
/// number over 2147483647, an offset of more than 14 hours. Also if the same could not be read
/// back.
pub fn to_fhir(message: &Message, at: Time) -> Result<Value, CannotConvert> {
    let mut wrongs = Wrongs::default();
    let bundle = bundle(message, &at.to_string(), &mut wrongs);
    let bundle = wrongs.or(Some(bundle))?;
    read_back(message, &read::read(&bundle)?)?;
    Ok(bundle)
}

/// The Bundle, whatever cannot be written being added to the wrongs.
pub(super) fn bundle(message: &Message, at: &str, wrongs: &mut Wrongs) -> Value {
    time("timestamp", at, wrongs);
    let records = message.records();
    let urls = Urls(message.sha256());
    let mut entries = vec![entry(&urls, "report", &report(message, &records, &urls, at))];
    let recipient = message.recipient();
    let animals = message.donors().iter().map(|donor| {
        animal(donor.id.as_ref(), donor.species, donor.name.as_ref(), donor.breed.as_ref())
    });
    let animals = std::iter::once(animal(
        recipient.id.as_ref(),
        recipient.species,
        recipient.name.as_ref(),
        recipient.breed.as_ref(),
    ))
    .chain(animals);
    entries.extend(animals.map(|animal| entry(&urls, &name(&animal), &animal)));
    for record in &records {
        let observation = observation(message, record, &records, &urls, wrongs);
        entries.push(entry(&urls, &record.name(), &observation));
    }
    json!({ "resourceType": "Bundle", "type": "collection", "timestamp": at, "entry": entries })
}

/// The name of a resource within its Bundle: `report`, `animal/` and its id, or a record's name.
pub(super) fn name(resource: &Value) -> String {
    let kind = resource.get("resourceType").and_then(Value::as_str).unwrap_or_default();
    let identifier = resource.pointer("/identifier/0/value").and_then(Value::as_str);
    match kind {
        "DiagnosticReport" => "report".to_owned(),
        "Patient" => format!("animal/{}", identifier.unwrap_or_default()),
        _ => identifier.unwrap_or_default().to_owned(),
    }
}

/// Addresses that follow from the hash of all that is sent, so that the same message has the same,
/// and no other has.
struct Urls(Option<Digest>);

impl Urls {
    /// A UUID of version 8, the variant for own schemes, from a SHA-256.
    ///
    /// # Source
    /// Davis, Peabody and Leach, 2024, Universally Unique `IDentifiers`, RFC 9562 section 5.8.
    fn of(&self, name: &str) -> String {
        let message = self.0.map(|sha256| sha256.to_string()).unwrap_or_default();
        let hash = Digest::of(format!("{message}/{name}").as_bytes());
        let mut bytes = hash.as_bytes().iter().copied();
        let mut hex = String::from("urn:uuid:");
        for (place, byte) in bytes.by_ref().take(16).enumerate() {
            if matches!(place, 4 | 6 | 8 | 10) {
                hex.push('-');
            }
            let byte = match place {
                6 => 0x80 | (byte & 0x0f),
                8 => 0x80 | (byte & 0x3f),
                _ => byte,
            };
            hex.push_str(&format!("{byte:02x}"));
        }
        hex
    }

    fn reference(&self, name: &str) -> Value {
        json!({ "reference": self.of(name) })
    }
}

fn entry(urls: &Urls, name: &str, resource: &Value) -> Value {
    json!({ "fullUrl": urls.of(name), "resource": resource })
}

fn id(id: Option<&Id>) -> &str {
    id.map_or("", Id::as_str)
}

fn report(message: &Message, records: &[Record], urls: &Urls, at: &str) -> Value {
    let status = match message.stage(None) {
        Stage::Incomplete => "partial",
        Stage::Final => "final",
        Stage::Corrected => "corrected",
        Stage::TakenBack => "entered-in-error",
    };
    let result: Vec<_> = records
        .iter()
        .filter(|of| match of.kind {
            Kind::Run | Kind::Answer | Kind::Reading => true,
            Kind::Finding => of.answer.is_none(),
            Kind::OfRecord => false,
        })
        .map(|record| urls.reference(&record.name()))
        .collect();
    json!({
        "resourceType": "DiagnosticReport",
        "identifier": [{
            "system": "urn:crossread:worksheet",
            "value": message.interpretation().worksheet().id,
        }],
        "status": status,
        "category": [concept("http://terminology.hl7.org/CodeSystem/v2-0074", "BLB", "Blood Bank")],
        "code": concept("urn:crossread:report", "crossmatch", "veterinary crossmatch"),
        "subject": urls.reference(&format!("animal/{}", id(message.recipient().id.as_ref()))),
        "issued": at,
        "result": result,
        "conclusion": conclusion(records),
    })
}

/// Every verdict with its sentence, and what serology does not tell.
fn conclusion(records: &[Record]) -> String {
    let mut lines = Vec::new();
    for answer in records.iter().filter(|record| record.kind == Kind::Answer) {
        let text = |path| answer.text(path).unwrap_or_default();
        let verdict = spoken(text("verdict")).to_uppercase();
        lines.push(format!("{}: {verdict}. {}", text("donor.id"), text("headline")));
    }
    let standing = records.iter().find(|record| record.text("slug") == Some("serology-only"));
    lines.extend(standing.and_then(|of| of.text("text")).map(str::to_owned));
    lines.join("\n")
}

fn concept(system: &str, code: &str, text: &str) -> Value {
    json!({ "coding": [{ "system": system, "code": code }], "text": text })
}

fn animal(
    of: Option<&Id>,
    species: Option<Species>,
    name: Option<&Text>,
    breed: Option<&Text>,
) -> Value {
    let mut about = Vec::new();
    if let Some(species) = species {
        let species = word("species", species.word());
        about.push(json!({ "url": "species", "valueCodeableConcept": species }));
    }
    if let Some(breed) = breed {
        about.push(json!({ "url": "breed", "valueCodeableConcept": { "text": breed } }));
    }
    let mut patient = json!({
        "resourceType": "Patient",
        "identifier": [{ "system": ANIMAL, "value": id(of) }],
        "extension": [{
            "url": "http://hl7.org/fhir/StructureDefinition/patient-animal",
            "extension": about,
        }],
    });
    if let (Some(name), Value::Object(fields)) = (name, &mut patient) {
        fields.insert("name".to_owned(), json!([{ "text": name }]));
    }
    patient
}

fn observation(
    message: &Message,
    record: &Record,
    records: &[Record],
    urls: &Urls,
    wrongs: &mut Wrongs,
) -> Value {
    let mut fields = Map::new();
    let mut put = |field: &str, value: Value| fields.insert(field.to_owned(), value);
    put("resourceType", "Observation".into());
    put("identifier", json!([{ "system": RECORD, "value": record.name() }]));
    let status = match message.stage(Some(record)) {
        Stage::Incomplete => "preliminary",
        Stage::Final => "final",
        Stage::Corrected => "corrected",
        Stage::TakenBack => "entered-in-error",
    };
    put("status", status.into());
    let laboratory = "http://terminology.hl7.org/CodeSystem/observation-category";
    put("category", json!([concept(laboratory, "laboratory", "Laboratory")]));
    put("code", concept(RECORD, record.kind.word(), record.kind.spoken()));
    let recipient = id(message.recipient().id.as_ref());
    put("subject", urls.reference(&format!("animal/{recipient}")));
    let donor = record.answer.and_then(|number| message.donors().get(number));
    if let Some(donor) = donor {
        put("focus", json!([urls.reference(&format!("animal/{}", id(donor.id.as_ref())))]));
    }
    if let Some(at) = record.text("at") {
        put("effectiveDateTime", at.into());
    }
    if record.kind == Kind::Answer {
        let members: Vec<_> = records
            .iter()
            .filter(|of| of.answer == record.answer)
            .filter(|of| matches!(of.kind, Kind::OfRecord | Kind::Finding))
            .map(|of| urls.reference(&of.name()))
            .collect();
        put("hasMember", members.into());
    }
    let mut components = Vec::new();
    for (field, scalar) in &record.values {
        let place = format!("{}/{}", record.name(), field.path);
        let Some((key, value)) = value(&place, field.form, scalar, wrongs) else { continue };
        if record.kind.main() == Some(field.path) {
            put(key, value);
        } else {
            let code = concept(FIELD, field.path, &spoken(field.path));
            components.push(Value::Object(Map::from_iter([
                ("code".to_owned(), code),
                (key.to_owned(), value),
            ])));
        }
    }
    put("component", components.into());
    Value::Object(fields)
}

/// A word of a list.
fn word(list: &str, word: &str) -> Value {
    concept(&format!("{WORD}{list}"), word, &spoken(word))
}

fn value(
    place: &str,
    form: Form,
    scalar: &Scalar,
    wrongs: &mut Wrongs,
) -> Option<(&'static str, Value)> {
    match (form, scalar) {
        (Form::Word(list), Scalar::Text(text)) => {
            if text.split(' ').any(str::is_empty) || text.contains(['\t', '\n', '\r']) {
                wrongs.add(place, "a code without doubled or outer spaces", text);
            }
            self::text(place, text, wrongs);
            Some(("valueCodeableConcept", word(list, text)))
        }
        // The codings of one concept are translations of each other; words that hold together are
        // not, so they are written as text.
        (Form::Words | Form::Text, Scalar::Text(text)) => {
            self::text(place, text, wrongs);
            Some(("valueString", text.as_str().into()))
        }
        (Form::Time, Scalar::Text(text)) => {
            time(place, text, wrongs);
            Some(("valueDateTime", text.as_str().into()))
        }
        (Form::Date, Scalar::Text(text)) => Some(("valueDateTime", text.as_str().into())),
        (Form::Whole, Scalar::Whole(number)) => {
            if i32::try_from(*number).is_err() {
                wrongs.add(
                    place,
                    "a number up to 2147483647, the greatest of FHIR",
                    number.to_string(),
                );
            }
            Some(("valueInteger", (*number).into()))
        }
        (Form::Bool, Scalar::Bool(value)) => Some(("valueBoolean", (*value).into())),
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

/// FHIR has no empty text, and no control characters but tab and line ends.
fn text(place: &str, text: &str, wrongs: &mut Wrongs) {
    if text.trim().is_empty() {
        wrongs.add(place, "a text that is not empty, or the field left out", "an empty text");
    }
    let control = |c: &char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    if let Some(character) = text.chars().find(control) {
        wrongs.add(place, "no control characters", format!("U+{:04X}", u32::from(character)));
    }
}

/// FHIR has years from 1, and offsets up to 14 hours.
fn time(place: &str, text: &str, wrongs: &mut Wrongs) {
    if text.starts_with("0000") {
        wrongs.add(place, "a year from 1", text);
    }
    let zone = text.get(text.len().saturating_sub(6)..).unwrap_or_default();
    if zone.starts_with(['+', '-']) && zone.get(1..).is_some_and(|hours| hours > "14:00") {
        wrongs.add(place, "an offset up to 14:00", zone);
    }
}
