//! Taking back and amending what was entered: the first stays on the record, with who took it back,
//! when and why.

use crossread_core::document::{FaultCode, Id, Text};

use crate::bench::identified;
use crate::books::{Books, Writer};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{Event, Known, Retraction, Task, TaskClosed, TaskRaised};
use crate::journal::{Journal, Written};
use crate::known::Past;
use crate::sheet::{Entered, Readings, Sheet, View, cell};

impl Journal {
    /// Takes an entry back. It stays on the record and no longer counts; a reading stays on the
    /// worksheet, marked as retracted. Everyone who was given an interpretation that rested on it
    /// becomes a task.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let reading = journal.sheet(&id("WS-1"))?.readings[1].seq;
    /// let written = journal.retract(&kt("03:36"), reading, "it was the tube beside")?;
    /// // Dr Vane holds an interpretation that rested on it.
    /// assert_eq!(written.raised.len(), 1);
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert!(!sheet.readings[1].stands());
    /// assert!(journal.retract(&kt("03:37"), reading, "once more").is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the entry is of a kind that is not taken back, was taken back already, or others rest on
    /// it.
    pub fn retract(
        &mut self,
        writer: &Writer,
        of: Seq,
        reason: &str,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let worksheet = books.retractable(of, reason)?;
            let written = books.take_back(writer, worksheet.as_ref(), of, reason)?;
            if let Some(id) = &worksheet {
                books.still_stands(id, of)?;
            }
            Ok(written)
        })
    }

    /// Takes an entry back and writes another in its place, both or neither. A reading that waits for
    /// the second reader is not amended: whoever does it does not see what they leave out.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::Verdict;
    /// let mut journal = read();
    /// let major = journal.seq;
    /// journal.amend(&kt("03:31"), major, "misread the scale", look(Some("D-091"), "1+"))?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert_eq!(sheet.readings.len(), 3);
    /// assert_eq!(journal.interpretation(&id("WS-1"))?.pairs[0].verdict, Verdict::Incompatible);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// As for [`Journal::retract`] and [`Journal::enter`], if the new entry is of another kind or
    /// about another thing, and [`Refusal::AmendsSealed`].
    pub fn amend(
        &mut self,
        writer: &Writer,
        of: Seq,
        reason: &str,
        event: impl Into<Event>,
    ) -> Result<Written, JournalError> {
        let event = event.into();
        self.write(|books| {
            let Some(worksheet) = books.retractable(of, reason)? else {
                return Err(Refusal::NotAnAmendment(of).into());
            };
            let old = books.entry(of)?.event;
            if !is_about_the_same(&old, &event) {
                return Err(Refusal::NotAnAmendment(of).into());
            }
            books.with_sheet(&worksheet, |_, sheet| {
                let sealed = sheet.is_entry_sealed(of);
                if sealed { Err(Refusal::AmendsSealed(of).into()) } else { Ok(()) }
            })?;
            let first = books.take_back(writer, Some(&worksheet), of, reason)?;
            let event = as_amended(&old, event.clone());
            let mut written = match event {
                // Opened again with what the journal knew the first time.
                Event::WorksheetOpened(ref opened) => {
                    let recipient = &opened.recipient;
                    let name = recipient.name.as_ref().map(Text::as_str);
                    identified(recipient.id.as_ref(), name, None, opened.overridden.as_ref())?;
                    Written::new(books.append(writer, Some(&worksheet), Some(of), event)?.seq)
                }
                _ => books.enter(writer, &worksheet, Some(of), event)?,
            };
            written.raised.extend(first.raised);
            written.notices.extend(first.notices);
            books.still_stands(&worksheet, of)?;
            Ok(written)
        })
    }

    /// Closes a task: it was done, or the person was told.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let reading = journal.sheet(&id("WS-1"))?.readings[1].seq;
    /// let task = journal.retract(&kt("03:36"), reading, "it was the tube beside")?.raised[0];
    /// assert!(journal.close_task(&kt("03:38"), task, "").is_err());
    /// journal.close_task(&kt("03:38"), task, "told Dr Vane by telephone")?;
    /// assert!(journal.open_tasks()?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such task, it is closed already, or nobody says what was done.
    pub fn close_task(
        &mut self,
        writer: &Writer,
        task: Seq,
        text: &str,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let entry = books.entry(task)?;
            let (Event::TaskRaised(_), Some(worksheet)) = (&entry.event, &entry.worksheet) else {
                return Err(JournalError::unknown("task", &task));
            };
            let answered = books.rows.has_term(crate::terms::Field::Answers, &task.to_string())?;
            if answered {
                return Err(Refusal::TaskClosed(task).into());
            }
            says(text, "what was done or who was told")?;
            let event = TaskClosed { task, text: Text::from(text) };
            let entry = books.append(writer, Some(worksheet), None, event.into())?;
            Ok(Written::new(entry.seq))
        })
    }
}

impl Books<'_> {
    /// The worksheet of an entry that can be taken back.
    fn retractable(&mut self, of: Seq, reason: &str) -> Result<Option<Id>, JournalError> {
        says(reason, "the reason")?;
        let entry = self.entry(of)?;
        match entry.event {
            Event::WorksheetOpened(_)
            | Event::SampleAdded(_)
            | Event::DonorAdded(_)
            | Event::SetupNoted(_)
            | Event::ControlsNoted(_)
            | Event::ReadingEntered(_)
            | Event::LookBegun(_)
            | Event::Transfused(_)
            | Event::Reacted(_)
            | Event::Typed(_) => {}
            _ => {
                return Err(Refusal::NotRetractable(of, "it says what was done").into());
            }
        }
        if self.rows.has_term(crate::terms::Field::Answers, &of.to_string())? {
            return Err(Refusal::NotRetractable(of, "that was done before").into());
        }
        Ok(entry.worksheet)
    }

    /// Writes the retraction, and a task for everyone who holds an interpretation of before.
    fn take_back(
        &mut self,
        writer: &Writer,
        worksheet: Option<&Id>,
        of: Seq,
        reason: &str,
    ) -> Result<Written, JournalError> {
        let event = Retraction { of, reason: Text::from(reason), told: None };
        let entry = self.append(writer, worksheet, None, event.into())?;
        let mut written = Written::new(entry.seq);
        if let Some(id) = worksheet {
            let tell = self.with_sheet(id, |_, sheet| Ok(to_tell(sheet, entry.seq)))?;
            for task in tell {
                written.notices.push(task.text.clone());
                written.raised.push(self.raise(writer, id, task)?);
            }
        }
        Ok(written)
    }

    /// Whether the worksheet is still without fault after an entry was taken back.
    fn still_stands(&mut self, id: &Id, of: Seq) -> Result<(), JournalError> {
        self.with_sheet(id, |books, sheet| {
            if sheet.opening().is_none() {
                return Err(Refusal::RestsOnIt(of).into());
            }
            let protocols = books.protocol_of(sheet)?;
            // Also what waits for the second reader: it rests on other entries like any reading.
            let none = |_: &Id| Known::default();
            let document = sheet.document(&Known::default(), &none, Readings::All)?;
            let Err(faults) = View::of(document, &protocols) else { return Ok(()) };
            // That no donor is left is no fault of the others.
            let none_left = sheet.donors().next().is_none().then_some(FaultCode::NoDonors);
            match faults.of_part("", none_left) {
                Some(_) => Err(Refusal::RestsOnIt(of).into()),
                None => Ok(()),
            }
        })
    }
}

/// Who holds an interpretation that an amendment has overtaken, and was not yet made a task.
fn to_tell(sheet: &Sheet, about: Seq) -> Vec<TaskRaised> {
    let Some(issued) = sheet.last_issued() else { return Vec::new() };
    let asked = |name: &Text| {
        sheet.open_tasks().any(|task| {
            task.value.task == Task::TellOfAmendment
                && task.value.tell.as_ref() == Some(name)
                && task.seq > issued.seq
        })
    };
    sheet
        .held()
        .into_iter()
        .filter(|(name, _)| !asked(name))
        .map(|(name, held)| {
            let text = format!(
                "tell {} that revision {} of worksheet {} was amended",
                name.as_str(),
                held.value.revision,
                sheet.id.as_str()
            );
            TaskRaised {
                task: Task::TellOfAmendment,
                text: Text::from(text.as_str()),
                about,
                donor: None,
                tell: Some(name),
                cell: None,
            }
        })
        .collect()
}

/// Whether a new entry can stand in the place of an old one.
fn is_about_the_same(old: &Event, new: &Event) -> bool {
    match (old, new) {
        (Event::ReadingEntered(old), Event::ReadingEntered(new)) => {
            cell(&old.reading) == cell(&new.reading)
        }
        (Event::SampleAdded(_), Event::SampleAdded(_))
        | (Event::DonorAdded(_), Event::DonorAdded(_))
        | (Event::SetupNoted(_), Event::SetupNoted(_))
        | (Event::ControlsNoted(_), Event::ControlsNoted(_)) => true,
        (Event::WorksheetOpened(old), Event::WorksheetOpened(new)) => {
            // Which animal it is, and by which rules, is not mended but opened anew.
            old.recipient.id == new.recipient.id
                && old.recipient.species == new.recipient.species
                && old.protocol == new.protocol
                && old.method == new.method
                && old.known == new.known
                && old.second_reader == new.second_reader
        }
        _ => false,
    }
}

/// The new entry, with what an amendment keeps of the old one.
fn as_amended(old: &Event, new: Event) -> Event {
    match (old, new) {
        (Event::ReadingEntered(old), Event::ReadingEntered(mut new)) => {
            // An amended reading is of the same look, unless it says when it was looked again.
            if new.reading.at.is_none() {
                new.reading.at = old.reading.at;
                if new.reading.by.is_none() {
                    new.reading.by.clone_from(&old.reading.by);
                }
                new.transcribed = true;
            }
            Event::ReadingEntered(new)
        }
        (_, new) => new,
    }
}

impl<T> Entered<T> {
    /// What it was amended to, among the entries of its kind.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let major = journal.seq;
    /// journal.amend(&kt("03:31"), major, "misread the scale", look(Some("D-091"), "1+"))?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// let first = sheet.readings.iter().find(|of| of.seq == major).ok_or("no reading")?;
    /// let second = first.amended_to(&sheet.readings).ok_or("not amended")?;
    /// assert_eq!(second.replaces, Some(major));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn amended_to<'e>(&self, all: &'e [Self]) -> Option<&'e Self> {
        let by = self.taken_back.as_ref()?.replaced_by?;
        all.iter().find(|entered| entered.seq == by)
    }
}

impl Past {
    /// Whether nothing at all is known.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
