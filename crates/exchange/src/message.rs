//! What is sent of a crossmatch: the interpretation, the animals, and every reading as written.

use std::collections::BTreeMap;
use std::num::NonZeroU32;

use crossread_core::document::{Digest, Id};
use crossread_core::interpretation::Issued;
use crossread_core::words::Verdict;
use crossread_core::worksheet::{MAX_DONORS, draft};
use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::record::{Kind, Record, Scalar};
use crate::wrong::{CannotConvert, Wrong, Wrongs};

/// The format of a message as a document of this project.
pub const FORMAT: &str = "crossread.exchange/1";

/// What is sent of a crossmatch.
///
/// It holds the whole interpretation, the recipient's and donors' ids, names, species and breeds,
/// the units, and every reading as it was written down, retracted ones too. Samples, histories,
/// blood types and how the mixtures were made are not in it, so **it cannot be interpreted again**:
/// without what is known of an animal a verdict could come out better than it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Message {
    format: &'static str,
    revision: NonZeroU32,
    recipient: draft::Recipient,
    donors: Vec<draft::Donor>,
    readings: Vec<draft::Reading>,
    #[serde(serialize_with = "document_of")]
    interpretation: Issued,
}

fn document_of<S: serde::Serializer>(issued: &Issued, serializer: S) -> Result<S::Ok, S::Error> {
    issued.document().serialize(serializer)
}

impl Message {
    /// The message of a worksheet and what was issued for it.
    ///
    /// ```standalone_crate
    /// # use crossread_core::interpretation::Issued;
    /// # use crossread_exchange::Message;
    /// let worksheet = include_bytes!("../../../examples/clean-run/worksheet.json");
    /// let answer = include_bytes!("../../../examples/clean-run/interpretation.json");
    /// let issued = Issued::from_json(answer).map_err(|faults| faults.to_string())?;
    /// let message = Message::new(worksheet, issued.clone()).map_err(|wrongs| wrongs.to_string())?;
    /// assert_eq!(message.interpretation().pairs()[0].verdict.word(), "compatible");
    /// assert_eq!((message.donors().len(), message.readings().len()), (1, 12));
    /// // The answer to another worksheet does not go with this one.
    /// let other = include_bytes!("../../../examples/major-2-plus/worksheet.json");
    /// let refused = Message::new(other, issued).unwrap_err();
    /// assert_eq!(refused.as_slice()[0].place, "worksheet");
    /// # Ok::<_, String>(())
    /// ```
    ///
    /// # Errors
    /// If the interpretation is not of this very document, byte for byte, or the document is no
    /// worksheet.
    pub fn new(worksheet: &[u8], interpretation: Issued) -> Result<Self, CannotConvert> {
        let mut wrongs = Wrongs::default();
        let hash = Digest::of(worksheet);
        let of = interpretation.worksheet().sha256;
        if hash != of {
            let expected = format!("the worksheet that was interpreted, with the SHA-256 {of}");
            wrongs.add("worksheet", expected, format!("one with {hash}"));
        }
        let sheet = draft::Worksheet::from_json(worksheet)
            .map_err(|faults| wrongs.faults("worksheet", &faults))
            .ok();
        let message = sheet.and_then(|sheet| {
            let recipient = sheet.recipient?;
            Some(Self {
                format: FORMAT,
                revision: NonZeroU32::MIN,
                recipient: draft::Recipient {
                    id: recipient.id,
                    species: recipient.species,
                    name: recipient.name,
                    breed: recipient.breed,
                    ..draft::Recipient::default()
                },
                donors: sheet.donors?.iter().map(|(_, donor)| sent(donor)).collect(),
                readings: sheet.readings?.iter().map(|(_, reading)| seen(reading)).collect(),
                interpretation,
            })
        });
        if let Some(message) = &message {
            message.agrees(&mut wrongs);
        }
        wrongs.or(message)
    }

    /// The same, as the so manieth message that is sent of this worksheet. The first is 1; any later
    /// one is sent as a correction, so that whoever receives it puts it in place of those before.
    ///
    /// ```standalone_crate
    /// # use std::num::NonZeroU32;
    /// # use crossread_core::{document::Time, interpretation::Issued};
    /// # use crossread_exchange::{Message, to_fhir};
    /// # let worksheet = include_bytes!("../../../examples/clean-run/worksheet.json");
    /// # let answer = include_bytes!("../../../examples/clean-run/interpretation.json");
    /// # let message = Message::new(worksheet, Issued::from_json(answer)?)?;
    /// # let at = Time::new("2026-03-13T21:30:00+01:00").ok_or("no time")?;
    /// let second = NonZeroU32::new(2).ok_or("no revision")?;
    /// let bundle = to_fhir(&message.revised(second), at)?;
    /// assert_eq!(bundle["entry"][0]["resource"]["status"], "corrected");
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn revised(self, revision: NonZeroU32) -> Self {
        Self { revision, ..self }
    }

    /// The how manieth message it is that was sent of the worksheet, from 1.
    pub fn revision(&self) -> NonZeroU32 {
        self.revision
    }

    /// The SHA-256 of all that is sent, as its JSON document has it. It shows loss and change on
    /// the way. It is no signature: whoever changes a message can work it out anew.
    pub(crate) fn sha256(&self) -> Option<Digest> {
        serde_json::to_vec(self).ok().map(|document| Digest::of(&document))
    }

    /// How far the work is that a record tells of, or the whole message.
    pub(crate) fn stage(&self, record: Option<&Record>) -> Stage {
        let of = |number: usize| self.interpretation.pairs().get(number);
        let incomplete = match record {
            Some(of) if of.kind == Kind::Reading => false,
            Some(Record { answer: Some(number), .. }) => {
                of(*number).is_some_and(|pair| pair.verdict == Verdict::Incomplete)
            }
            Some(_) | None => self.has_incomplete(),
        };
        if record.is_some_and(|record| record.text("retracted.at").is_some()) {
            Stage::TakenBack
        } else if self.revision > NonZeroU32::MIN {
            // Also if it is not complete: what was sent before must not stay.
            Stage::Corrected
        } else if incomplete {
            Stage::Incomplete
        } else {
            Stage::Final
        }
    }

    fn has_incomplete(&self) -> bool {
        self.interpretation.pairs().iter().any(|pair| pair.verdict == Verdict::Incomplete)
    }

    /// The recipient: its id, name, species and breed.
    pub fn recipient(&self) -> &draft::Recipient {
        &self.recipient
    }

    /// The donors in the order of the worksheet: id, name, species, breed, product and unit.
    pub fn donors(&self) -> &[draft::Donor] {
        &self.donors
    }

    /// Every reading as it was written down, in the order of the worksheet.
    pub fn readings(&self) -> &[draft::Reading] {
        &self.readings
    }

    /// What was issued. Only its verdicts say what may be released.
    pub fn interpretation(&self) -> &Issued {
        &self.interpretation
    }

    /// Whether the animals are those that the interpretation speaks of.
    fn agrees(&self, wrongs: &mut Wrongs) {
        let id = |id: Option<&Id>| id.map_or("", Id::as_str).to_owned();
        let mut same = |place: String, expected: &str, found: &str| {
            if expected != found {
                wrongs.add(place, format!("`{expected}`"), format!("`{found}`"));
            }
        };
        let recipient = self.interpretation.recipient().as_str();
        same("run/0/recipient".to_owned(), recipient, &id(self.recipient.id.as_ref()));
        let pairs = self.interpretation.pairs();
        let counts = (pairs.len().to_string(), self.donors.len().to_string());
        same("donors".to_owned(), &counts.0, &counts.1);
        for (number, (pair, donor)) in pairs.iter().zip(&self.donors).enumerate() {
            let at = |field: &str| format!("answer/{number}/{field}");
            same(at("donor"), pair.donor.as_str(), &id(donor.id.as_ref()));
            let product = donor.product.map_or("", |product| product.word());
            same(at("product"), pair.product.word(), product);
        }
        let known = |donor: &Id| pairs.iter().any(|pair| pair.donor == *donor);
        for (number, reading) in self.readings.iter().enumerate() {
            if let Some(donor) = reading.donor.as_ref().filter(|donor| !known(donor)) {
                let place = format!("reading/{number}/donor");
                wrongs.add(place, "the id of a donor of the message", donor.as_str());
            }
        }
    }

    /// The message as flat records.
    pub(crate) fn records(&self) -> Vec<Record> {
        let document = json!(self.interpretation.document());
        let list = |of: &Value, field: &str| -> Vec<Value> {
            of.get(field).and_then(Value::as_array).cloned().unwrap_or_default()
        };
        let mut run = document.clone();
        put(&mut run, "recipient", json!(self.recipient));
        let mut records = vec![Record::of(Kind::Run, None, &run)];
        for (number, (mut pair, donor)) in
            list(&document, "pairs").into_iter().zip(&self.donors).enumerate()
        {
            put(&mut pair, "donor", json!(donor));
            put(&mut pair, "unit", json!(donor.unit));
            records.push(Record::of(Kind::Answer, Some(number), &pair));
            let of = |kind, parts: Vec<Value>| -> Vec<Record> {
                parts.iter().map(|part| Record::of(kind, Some(number), part)).collect()
            };
            records.extend(of(Kind::Finding, list(&pair, "findings")));
            records.extend(of(Kind::OfRecord, list(&pair, "readings_of_record")));
        }
        let panel = list(&document, "panel");
        records.extend(panel.iter().map(|part| Record::of(Kind::Finding, None, part)));
        for reading in &self.readings {
            let donor = reading.donor.as_ref().and_then(|donor| {
                self.interpretation.pairs().iter().position(|pair| pair.donor == *donor)
            });
            records.push(Record::of(Kind::Reading, donor, &json!(reading)));
        }
        let all = u64::try_from(records.len()).unwrap_or(u64::MAX);
        if let Some(run) = records.first_mut() {
            let mut put = |path, value| {
                run.values.extend(Kind::Run.field(path).map(|field| (field, value)));
            };
            put("revision", Scalar::Whole(self.revision.get().into()));
            put("records", Scalar::Whole(all));
            if let Some(sha256) = self.sha256() {
                put("sha256", Scalar::Text(sha256.to_string()));
            }
        }
        for kind in Kind::ALL {
            for (number, record) in records.iter_mut().filter(|of| of.kind == kind).enumerate() {
                record.number = number;
            }
        }
        records
    }

    /// The message that records stand for, if nothing of it is missing or unknown.
    pub(crate) fn of(mut records: Vec<Record>, mut wrongs: Wrongs) -> Result<Self, CannotConvert> {
        records.sort_by_key(|record| (record.kind, record.number));
        complete(&records, &mut wrongs);
        let mut answers: Vec<(&Record, Value)> = Vec::new();
        let mut seen: Vec<(&Record, Value)> = Vec::new();
        let mut runs = Vec::new();
        let mut parts: BTreeMap<(Kind, Option<usize>), Vec<Value>> = BTreeMap::new();
        for record in &records {
            let part = record.part(&mut wrongs);
            match record.kind {
                Kind::Run => runs.push((record, part)),
                Kind::Answer => answers.push((record, part)),
                Kind::Reading => seen.push((record, part)),
                Kind::Finding | Kind::OfRecord => {
                    parts.entry((record.kind, record.answer)).or_default().push(part);
                }
            }
        }
        let mut belonging =
            |kind: Kind, answer: Option<usize>| parts.remove(&(kind, answer)).unwrap_or_default();
        let mut pairs = Vec::new();
        let mut donors = Vec::new();
        for (record, part) in &answers {
            let mut donor = part.get("donor").cloned().unwrap_or_default();
            let id = donor.get("id").cloned();
            for field in ["product", "unit"] {
                if let Some(value) = part.get(field) {
                    put(&mut donor, field, value.clone());
                }
            }
            donors.extend(taken(&record.name(), &donor, draft::Donor::from_json, &mut wrongs));
            let mut pair = part.clone();
            if let Value::Object(fields) = &mut pair {
                fields.remove("unit");
                fields.remove("donor");
                fields.extend(id.map(|id| ("donor".to_owned(), id)));
            }
            put(&mut pair, "findings", belonging(Kind::Finding, Some(record.number)).into());
            let of_record = belonging(Kind::OfRecord, Some(record.number));
            put(&mut pair, "readings_of_record", of_record.into());
            pairs.push(pair);
        }
        let mut readings = Vec::new();
        for (record, part) in &seen {
            readings.extend(taken(&record.name(), part, draft::Reading::from_json, &mut wrongs));
        }
        let message = runs.first().and_then(|(record, run)| {
            let mut document = run.clone();
            let recipient = run.get("recipient").cloned().unwrap_or_default();
            let id = recipient.get("id").cloned().unwrap_or_default();
            put(&mut document, "recipient", id);
            put(&mut document, "format", crossread_core::interpretation::FORMAT.into());
            put(&mut document, "pairs", pairs.into());
            put(&mut document, "panel", belonging(Kind::Finding, None).into());
            if let Value::Object(fields) = &mut document {
                for of_message in ["revision", "records", "sha256"] {
                    fields.remove(of_message);
                }
            }
            let revision = record.whole("revision").and_then(|of| u32::try_from(of).ok());
            let revision = revision.and_then(NonZeroU32::new);
            if revision.is_none() {
                wrongs.add("run/0/revision", "a whole number from 1", "none");
            }
            let recipient =
                taken("run/0/recipient", &recipient, draft::Recipient::from_json, &mut wrongs);
            let interpretation = taken("interpretation", &document, Issued::from_json, &mut wrongs);
            Some(Self {
                format: FORMAT,
                revision: revision?,
                recipient: recipient?,
                donors,
                readings,
                interpretation: interpretation?,
            })
        });
        if let Some(message) = &message {
            message.agrees(&mut wrongs);
            // Whatever else is wrong shows itself; that something is lost may show here only.
            let told = runs.first().and_then(|(record, _)| record.text("sha256"));
            let found = message.sha256().map(|sha256| sha256.to_string());
            if wrongs.is_empty() && (told.is_none() || told != found.as_deref()) {
                let expected =
                    format!("what was sent, with the SHA-256 {}", told.unwrap_or("none"));
                let found = found.unwrap_or_else(|| "none".to_owned());
                wrongs.add("run/0/sha256", expected, format!("one with {found}"));
            }
        }
        wrongs.or(message)
    }
}

/// How far the work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stage {
    /// Something was not read yet.
    Incomplete,
    /// All was read, and nothing was sent before.
    Final,
    /// It stands in place of what was sent before.
    Corrected,
    /// A reading that was retracted.
    TakenBack,
}

/// Whether what was written is read back as the very same: a field that a writer forgets is not
/// lost, but stops it.
pub(crate) fn read_back(message: &Message, read: &Message) -> Result<(), CannotConvert> {
    if read == message {
        return Ok(());
    }
    let expected = "a message that is read back as the same";
    Err(CannotConvert::one(Wrong::new("", expected, "another")))
}

/// What is sent of a donor.
fn sent(donor: &draft::Donor) -> draft::Donor {
    draft::Donor {
        id: donor.id.clone(),
        species: donor.species,
        product: donor.product,
        name: donor.name.clone(),
        breed: donor.breed.clone(),
        unit: donor.unit.clone(),
        ..draft::Donor::default()
    }
}

/// What is sent of a reading: all of it. An empty list of artefacts is none.
fn seen(reading: &draft::Reading) -> draft::Reading {
    let mut reading = reading.clone();
    reading.artefacts = reading.artefacts.filter(|artefacts| !artefacts.is_empty());
    reading
}

/// Every record is there once, and belongs to an answer that is there.
fn complete(records: &[Record], wrongs: &mut Wrongs) {
    let of = |kind: Kind| records.iter().filter(move |record| record.kind == kind);
    for kind in Kind::ALL {
        for (number, record) in of(kind).enumerate() {
            if record.number != number {
                let expected = format!("the record {}/{number}", kind.word());
                wrongs.add("", expected, record.name());
                break;
            }
        }
    }
    let answers = of(Kind::Answer).count();
    if answers > MAX_DONORS {
        wrongs.add("", format!("at most {MAX_DONORS} donors"), answers.to_string());
    }
    for record in records {
        let known = record.answer.is_none_or(|answer| answer < answers);
        let needed = matches!(record.kind, Kind::Answer | Kind::OfRecord);
        if !known || (needed && record.answer.is_none()) {
            wrongs.add(record.name(), "a donor of the message", "another, or none");
        }
        if record.kind == Kind::Answer && record.answer != Some(record.number) {
            wrongs.add(record.name(), "its own donor", "another");
        }
    }
    let told = of(Kind::Run).next().and_then(|run| run.whole("records"));
    match (of(Kind::Run).count(), told) {
        (1, Some(told)) if usize::try_from(told).is_ok_and(|told| told == records.len()) => {}
        (1, Some(told)) => {
            wrongs.add("run/0/records", told.to_string(), format!("{} records", records.len()));
        }
        (1, None) => wrongs.add("run/0/records", "how many records there are", "nothing"),
        (runs, _) => wrongs.add("", "one record `run`", runs.to_string()),
    }
}

fn put(into: &mut Value, field: &str, value: Value) {
    if let Value::Object(fields) = into {
        fields.insert(field.to_owned(), value);
    } else {
        *into = Value::Object(Map::from_iter([(field.to_owned(), value)]));
    }
}

/// A part of a document, read by the core's own check.
fn taken<T>(
    place: &str,
    part: &Value,
    read: impl FnOnce(&[u8]) -> Result<T, crossread_core::document::Faults>,
    wrongs: &mut Wrongs,
) -> Option<T> {
    read(part.to_string().as_bytes()).map_err(|faults| wrongs.faults(place, &faults)).ok()
}
