//! After a reaction: the pair tested again, every identifier compared, and all units of the donor.

use crossread_core::document::{Id, Text};
use crossread_core::words::Answer as Told;
use serde::{Deserialize, Serialize};

use crate::bench::{Opening, ProtocolName};
use crate::books::Writer;
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{
    ClericallyChecked, Compared, DonorAdded, Event, Place, Reacted, Retest, RetestSample, Task,
    TaskClosed, Transfused, Typed,
};
use crate::journal::{Journal, Written};
use crate::known::is_after;
use crate::sheet::Sheet;
use crate::terms::Field;

/// An identifier as it was read off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct ReadOff {
    /// Where.
    pub place: Place,
    /// What it is: `recipient`, `recipient name`, `unit`, `donor` or `worksheet`.
    pub what: Text,
    /// As it was read.
    pub read: Text,
}

/// Two worksheets of one pair side by side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct SideBySide {
    /// Which mixture or answer.
    pub what: String,
    /// On the first worksheet.
    pub first: String,
    /// On the second.
    pub second: String,
    /// Whether they differ. Why they do is not said: the order of two results is no cause.
    pub changed: bool,
}

/// A unit of a donor, and where it went.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct UnitOf {
    /// The unit's number, if there is one.
    pub unit: Option<Id>,
    /// The entry.
    pub seq: Seq,
    /// The worksheet.
    pub worksheet: Option<Id>,
    /// The recipient.
    pub recipient: Option<Id>,
    /// What happened to it there: the kind of the entry.
    pub what: &'static str,
}

impl Journal {
    /// Writes down that an animal was transfused.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::Product;
    /// let mut journal = begun();
    /// let elsewhere = Transfused {
    ///     animal: id("R-3107"), at: time("01:00"), product: Product::PackedCells,
    ///     donor: None, unit: None, text: Some("by the practice that sent her".into()),
    /// };
    /// journal.transfused(&kt("02:41"), &elsewhere)?;
    /// assert_eq!(journal.animal(&id("R-3107"))?.0.transfusions.len(), 1);
    /// let tomorrow = Transfused { at: time("09:00"), ..elsewhere };
    /// let refused = journal.transfused(&kt("02:42"), &tomorrow);
    /// assert!(matches!(refused, Err(JournalError::Refused(Refusal::InTheFuture(_)))));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If it lies in the future.
    pub fn transfused(
        &mut self,
        writer: &Writer,
        event: &Transfused,
    ) -> Result<Written, JournalError> {
        if is_after(event.at, writer.at) {
            return Err(Refusal::InTheFuture("the transfusion").into());
        }
        self.of_animal(writer, &event.clone().into())
    }

    /// Writes down that an animal reacted to a transfusion.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = begun();
    /// let reacted = Reacted {
    ///     animal: id("R-3107"), at: time("01:20"), text: "hives".into(), donor: None, unit: None,
    /// };
    /// journal.reacted(&kt("02:41"), &reacted)?;
    /// let (_, warnings) = journal.animal(&id("R-3107"))?;
    /// assert!(matches!(warnings[0], Warning::Reaction(_)));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If it lies in the future.
    pub fn reacted(&mut self, writer: &Writer, event: &Reacted) -> Result<Written, JournalError> {
        if is_after(event.at, writer.at) {
            return Err(Refusal::InTheFuture("the reaction").into());
        }
        self.of_animal(writer, &event.clone().into())
    }

    /// Writes down a typing result. With `settled_by`, it settles a disagreement of earlier ones,
    /// which stay on the record, and the tasks to type again are closed.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// let result = br#"{ "system": "DEA 1", "result": "positive" }"#;
    /// let result = draft::BloodType::from_json(result)?;
    /// journal.typed(&kt("03:00"), &Typed { animal: id("R-3107"), result, settled_by: None })?;
    /// // The opening of the worksheet tells that she is negative.
    /// let (_, warnings) = journal.animal(&id("R-3107"))?;
    /// assert!(matches!(warnings[0], Warning::TypesDisagree { .. }));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the result is not one of its system, or `settled_by` names no sample.
    pub fn typed(&mut self, writer: &Writer, event: &Typed) -> Result<Written, JournalError> {
        if let Some(sample) = &event.settled_by {
            says(sample.as_str(), "the new sample that settles it")?;
        }
        let (system, result) = (event.result.system, event.result.result);
        match (system, result) {
            (Some(system), Some(result)) if system.results().contains(&result) => {}
            (Some(system), _) => {
                return Err(JournalError::unknown("result in the system", system.word()));
            }
            (None, _) => {
                return Err(JournalError::unknown("blood group system", "that is not named"));
            }
        }
        let (animal, settles) = (event.animal.clone(), event.settled_by.is_some());
        let asked = if settles { self.open_tasks()? } else { Vec::new() };
        let asked = asked.into_iter().filter(|open| {
            open.task.task == Task::TypeAgain && open.task.donor.as_ref() == Some(&animal)
        });
        let asked: Vec<_> = asked.collect();
        self.write(|books| {
            let entry = books.append(writer, None, None, event.clone().into())?;
            for open in &asked {
                let text = Text::from(format!("typed again, entry {}", entry.seq).as_str());
                let closed = TaskClosed { task: open.seq, text };
                books.append(writer, Some(&open.worksheet), None, closed.into())?;
            }
            Ok(Written::new(entry.seq))
        })
    }

    fn of_animal(&mut self, writer: &Writer, event: &Event) -> Result<Written, JournalError> {
        self.write(|books| {
            let entry = books.append(writer, None, None, event.clone())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Opens a worksheet that tests a pair of an earlier one again: same recipient, same donor, same
    /// unit, same rules. The samples are entered anew: those from before the transfusion on one
    /// worksheet, those from after it on another.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = ended();
    /// let sample = RetestSample::BeforeTransfusion;
    /// let again = Retest { worksheet: id("WS-1"), donor: id("D-091"), sample };
    /// let refused = journal.retest(&kt("06:00"), &id("WS-2"), &again, &[]);
    /// let Err(JournalError::Refused(Refusal::Warnings(warnings))) = refused else { panic!() };
    /// let noted: Vec<_> = warnings.iter().map(|of| of.to_string().as_str().into()).collect();
    /// journal.retest(&kt("06:00"), &id("WS-2"), &again, &noted)?;
    /// let sheet = journal.sheet(&id("WS-2"))?;
    /// assert!(sheet.donor(&id("D-091")).is_some());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// As for [`Journal::open_worksheet`], and if the earlier worksheet has no such donor.
    pub fn retest(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        again: &Retest,
        acknowledged: &[Text],
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let (opening, donor, protocols) =
                books.with_sheet(&again.worksheet, |books, sheet| {
                    let (Some(opened), Some(donor)) = (sheet.opening(), sheet.donor(&again.donor))
                    else {
                        return Err(JournalError::unknown("donor", &again.donor));
                    };
                    let mut recipient = opened.value.recipient.clone();
                    if again.sample == RetestSample::AfterTransfusion {
                        recipient.history.get_or_insert_default().transfused = Some(Told::Yes);
                    }
                    let opening = Opening {
                        worksheet: worksheet.clone(),
                        protocol: ProtocolName {
                            id: opened.value.protocol.id.clone(),
                            version: opened.value.protocol.version.clone(),
                        },
                        method: opened.value.method,
                        recipient,
                        request: opened.value.request.clone(),
                        acknowledged: acknowledged.to_vec(),
                        second_reader: opened.value.second_reader,
                        overridden: opened.value.overridden.clone(),
                    };
                    let protocols = books.protocol_of(sheet)?;
                    let donor = DonorAdded {
                        donor: donor.value.donor.clone(),
                        known: crate::event::Known::default(),
                        overridden: donor.value.overridden.clone(),
                    };
                    Ok((opening, donor, protocols))
                })?;
            let mut written = books.open(writer, &opening, &protocols, Some(again))?;
            let added = books.enter(writer, worksheet, None, donor.into())?;
            written.notices.extend(added.notices);
            Ok(written)
        })
    }

    /// Compares every identifier that was read off with the record, character by character, and
    /// writes the comparison down.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let read = [
    ///     ReadOff { place: Place::Unit, what: "unit".into(), read: "U-5512".into() },
    ///     ReadOff { place: Place::Sample, what: "recipient".into(), read: "R-3701".into() },
    /// ];
    /// let checked = journal.clerical_check(&kt("04:10"), &id("WS-1"), &id("D-091"), &read)?;
    /// let agrees: Vec<_> = checked.compared.iter().map(|of| of.agrees).collect();
    /// assert_eq!(agrees, [true, false]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet or donor, or nothing was read off.
    pub fn clerical_check(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        donor: &Id,
        read: &[ReadOff],
    ) -> Result<ClericallyChecked, JournalError> {
        self.write(|books| {
            let checked = books.with_sheet(worksheet, |_, sheet| {
                if sheet.donor(donor).is_none() {
                    return Err(JournalError::unknown("donor", donor));
                }
                if read.is_empty() {
                    return Err(Refusal::NameMissing("what was read off").into());
                }
                let compared = read.iter().map(|off| compare(sheet, donor, off)).collect();
                Ok(ClericallyChecked { donor: donor.clone(), compared })
            })?;
            books.append(writer, Some(worksheet), None, checked.clone().into())?;
            Ok(checked)
        })
    }

    /// The same pair on two worksheets, side by side: each reading of record, each answer. It says
    /// what changed and claims no cause.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// // The same pair on another worksheet, read with a reaction.
    /// journal.open_worksheet(&kt("04:00"), &opening("WS-2", false), Protocols::shipped())?;
    /// journal.enter(&kt("04:01"), &id("WS-2"), donor())?;
    /// journal.enter(&kt("04:40"), &id("WS-2"), look(Some("D-091"), "2+"))?;
    /// let rows = journal.side_by_side(&id("WS-1"), &id("WS-2"), &id("D-091"))?;
    /// let major = rows.iter().find(|row| row.what == "major at 37 °C").ok_or("no major")?;
    /// assert_eq!(major.second, "2+, hemolysis 0, reactive");
    /// assert!(major.changed);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If a worksheet is not known or has not the donor.
    pub fn side_by_side(
        &mut self,
        first: &Id,
        second: &Id,
        donor: &Id,
    ) -> Result<Vec<SideBySide>, JournalError> {
        let mut of = |worksheet: &Id| -> Result<Vec<(String, String)>, JournalError> {
            let interpretation = self.interpretation(worksheet)?;
            let sample = self.sheet(worksheet)?;
            let pair = interpretation.pairs.into_iter().find(|pair| pair.donor == *donor);
            let pair = pair.ok_or_else(|| JournalError::unknown("donor", donor))?;
            let mut lines = vec![
                ("recipient sample".to_owned(), drawn(&sample)),
                ("verdict".to_owned(), pair.verdict.spoken().to_owned()),
            ];
            for record in &pair.readings_of_record {
                let grade = record.grade.map_or("no grade", |grade| grade.word());
                let hemolysis = record.hemolysis.map_or_else(
                    || "hemolysis not looked for".to_owned(),
                    |h| format!("hemolysis {h}"),
                );
                lines.push((
                    format!("{} {}", record.test.spoken(), record.phase.spoken()),
                    format!("{grade}, {hemolysis}, {}", record.state.word()),
                ));
            }
            Ok(lines)
        };
        let (first, second) = (of(first)?, of(second)?);
        let mut names: Vec<&String> = first.iter().map(|(name, _)| name).collect();
        for (name, _) in &second {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let said = |lines: &[(String, String)], name: &String| {
            let found = lines.iter().find(|(other, _)| other == name);
            found.map_or_else(|| "not read".to_owned(), |(_, said)| said.clone())
        };
        Ok(names
            .into_iter()
            .map(|name| {
                let (first, second) = (said(&first, name), said(&second, name));
                let changed = first != second;
                SideBySide { what: name.clone(), first, second, changed }
            })
            .collect())
    }

    /// Every unit of a donor that stands in the journal, and where it went, in order.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let units = released().units_of(&id("D-091"))?;
    /// let last = units.last().ok_or("no unit")?;
    /// assert_eq!((last.what, last.unit.as_ref()), ("release", Some(&id("U-5512"))));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn units_of(&mut self, donor: &Id) -> Result<Vec<UnitOf>, JournalError> {
        self.read(|books| {
            let mut found = Vec::new();
            for field in [Field::Animal, Field::Donor] {
                let mut entries = Vec::new();
                books.rows.with_term(field, donor.as_str(), 0, &mut |row| {
                    entries.push(row.entry()?);
                    Ok(())
                })?;
                for entry in entries {
                    found.extend(books.unit_of(donor, &entry)?);
                }
            }
            // What was written of a unit by somebody who did not write whose it was.
            let units: Vec<Id> = found.iter().filter_map(|of: &UnitOf| of.unit.clone()).collect();
            for unit in units {
                books.rows.with_term(Field::Unit, unit.as_str(), 0, &mut |row| {
                    let entry = row.entry()?;
                    let animal = match &entry.event {
                        Event::Transfused(of) if of.donor.is_none() => &of.animal,
                        Event::Reacted(of) if of.donor.is_none() => &of.animal,
                        _ => return Ok(()),
                    };
                    found.push(UnitOf {
                        unit: Some(unit.clone()),
                        seq: entry.seq,
                        worksheet: entry.worksheet.clone(),
                        recipient: Some(animal.clone()),
                        what: entry.event.kind().word(),
                    });
                    Ok(())
                })?;
            }
            found.sort_by_key(|unit| unit.seq);
            found.dedup();
            Ok(found)
        })
    }
}

impl crate::books::Books<'_> {
    fn unit_of(
        &mut self,
        donor: &Id,
        entry: &crate::entry::Entry,
    ) -> Result<Option<UnitOf>, JournalError> {
        let is = |id: &Option<Id>| id.as_ref() == Some(donor);
        let (unit, recipient) = match &entry.event {
            Event::DonorAdded(added) if is(&added.donor.id) => {
                let unit = added.donor.unit.as_ref().and_then(|unit| unit.number.clone());
                let recipient = match &entry.worksheet {
                    Some(id) => self.with_sheet(id, |_, sheet| Ok(sheet.recipient().cloned()))?,
                    None => None,
                };
                (unit, recipient)
            }
            Event::Released(released) if released.donor == *donor => {
                (Some(released.unit.clone()), Some(released.recipient.clone()))
            }
            Event::EmergencyReleased(released) if released.donor == *donor => {
                (Some(released.unit.clone()), Some(released.recipient.clone()))
            }
            Event::Transfused(transfused) if is(&transfused.donor) => {
                (transfused.unit.clone(), Some(transfused.animal.clone()))
            }
            Event::Reacted(reacted) if is(&reacted.donor) => {
                (reacted.unit.clone(), Some(reacted.animal.clone()))
            }
            _ => return Ok(None),
        };
        let (seq, worksheet) = (entry.seq, entry.worksheet.clone());
        Ok(Some(UnitOf { unit, seq, worksheet, recipient, what: entry.event.kind().word() }))
    }
}

/// When the recipient's plasma was drawn.
fn drawn(sheet: &Sheet) -> String {
    let recipient = sheet.recipient();
    let drawn: Vec<String> = sheet
        .samples
        .iter()
        .filter(|sample| sample.stands() && sample.value.sample.of.as_ref() == recipient)
        .map(|entered| {
            let sample = &entered.value.sample;
            let id = sample.id.as_ref().map_or("", |id| id.as_str());
            match sample.drawn_at {
                Some(at) => format!("{id} drawn {at}"),
                None => format!("{id}, nobody wrote when it was drawn"),
            }
        })
        .collect();
    if drawn.is_empty() { "none".to_owned() } else { drawn.join("; ") }
}

/// An identifier that was read off, beside the record's.
fn compare(sheet: &Sheet, donor: &Id, off: &ReadOff) -> Compared {
    let opened = sheet.opening().map(|opened| &opened.value);
    let id = |id: Option<&Id>| id.map(|id| id.as_str().to_owned());
    let recorded = match off.what.as_str() {
        "recipient" if off.place == Place::Request => {
            // What the request said, if it was written down; else the recipient's own id.
            let request = opened.and_then(|opened| opened.request.as_ref());
            id(request.and_then(|request| request.recipient.as_ref()))
                .or_else(|| id(sheet.recipient()))
        }
        "recipient" => id(sheet.recipient()),
        "recipient name" => opened
            .and_then(|opened| opened.recipient.name.as_ref())
            .map(|name| name.as_str().to_owned()),
        "unit" => id(sheet.unit(donor).and_then(|unit| unit.number.as_ref())),
        "donor" => id(Some(donor)),
        "worksheet" => id(Some(&sheet.id)),
        _ => None,
    };
    let agrees = recorded.as_deref() == Some(off.read.as_str());
    Compared {
        place: off.place,
        what: off.what.clone(),
        recorded: recorded.as_deref().map(Text::from),
        read: off.read.clone(),
        agrees,
    }
}
