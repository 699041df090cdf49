//! Work within one transaction: rows, the worksheets that were read before, and appending.

use std::collections::BTreeMap;
use std::sync::Arc;

use crossread_core::document::{Digest, Id, Text, Time};
use crossread_core::interpret;
use crossread_core::interpretation::Interpretation;
use crossread_core::protocol::{Protocol, Protocols};
use crossread_core::words::{Summary, Verdict};

use crate::difference::{pairs, text_at};
use crate::entry::{Entry, Head, Seq};
use crate::error::{JournalError, Refusal, says};
use crate::event::{Event, Kind, Known, ProtocolOf};
use crate::known::{Incompatible, Past};
use crate::sheet::{Readings, Sheet, View};
use crate::store::{Rows, Store};
use crate::terms::{Field, Term, terms};

/// How many worksheets are kept in memory.
const KEPT: usize = 16;

/// Who writes, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Writer {
    /// Who: a name or initials that mean one person here.
    pub by: Text,
    /// When, by the clock of who writes.
    pub at: Time,
}

impl Writer {
    /// A person and the time of writing.
    ///
    /// ```
    /// # use crossread_core::document::Time;
    /// # use crossread_journal::Writer;
    /// let kt = Writer::new("KT", Time::new("2026-03-01T02:40:00+01:00").unwrap());
    /// assert_eq!(kt.by.as_str(), "KT");
    /// ```
    pub fn new(by: &str, at: Time) -> Self {
        Self { by: Text::from(by), at }
    }
}

/// What was read before, so that it need not be read again.
#[derive(Debug, Default)]
pub(crate) struct Memory {
    /// Worksheets, the last used last. They hold no more than what is in the journal.
    sheets: Vec<Sheet>,
    /// Protocols by the hash of their document.
    protocols: BTreeMap<Digest, Arc<Protocols>>,
}

impl Memory {
    /// Forgets worksheets: a transaction failed, and they may hold what was not written.
    pub(crate) fn forget(&mut self) {
        self.sheets.clear();
    }

    /// Takes a worksheet out of memory.
    fn take(&mut self, id: &Id) -> Option<Sheet> {
        let at = self.sheets.iter().position(|sheet| sheet.id == *id)?;
        Some(self.sheets.remove(at))
    }

    fn keep(&mut self, sheet: Sheet) {
        if self.sheets.len() >= KEPT {
            self.sheets.remove(0);
        }
        self.sheets.push(sheet);
    }
}

/// One transaction.
pub(crate) struct Books<'t> {
    pub(crate) rows: &'t mut dyn Rows,
    pub(crate) memory: &'t mut Memory,
    head: Option<Head>,
}

/// Runs `work` in a transaction that may write.
pub(crate) fn write<T>(
    store: &mut dyn Store,
    memory: &mut Memory,
    mut work: impl FnMut(&mut Books<'_>) -> Result<T, JournalError>,
) -> Result<T, JournalError> {
    let mut answer = None;
    let ended = store.write(&mut |rows| {
        answer = Some(work(&mut Books { rows, memory, head: None })?);
        Ok(())
    });
    if ended.is_err() {
        memory.forget();
    }
    ended?;
    answer.ok_or_else(|| JournalError::Io(std::io::Error::other("the transaction did not run")))
}

/// Runs `work` in a transaction that only reads.
pub(crate) fn read<T>(
    store: &mut dyn Store,
    memory: &mut Memory,
    mut work: impl FnMut(&mut Books<'_>) -> Result<T, JournalError>,
) -> Result<T, JournalError> {
    let mut answer = None;
    store.read(&mut |rows| {
        answer = Some(work(&mut Books { rows, memory, head: None })?);
        Ok(())
    })?;
    answer.ok_or_else(|| JournalError::Io(std::io::Error::other("the transaction did not run")))
}

impl Books<'_> {
    pub(crate) fn head(&mut self) -> Result<Head, JournalError> {
        match self.head {
            Some(head) => Ok(head),
            None => self.rows.head(),
        }
    }

    /// Appends an entry.
    pub(crate) fn append(
        &mut self,
        writer: &Writer,
        worksheet: Option<&Id>,
        replaces: Option<Seq>,
        event: Event,
    ) -> Result<Entry, JournalError> {
        says(writer.by.as_str(), "who writes")?;
        let head = self.head()?;
        if head.seq == 0 && event.kind() != Kind::JournalOpened {
            return Err(Refusal::NotBegun.into());
        }
        let entry = Entry {
            seq: head.seq.saturating_add(1),
            at: writer.at,
            by: writer.by.clone(),
            worksheet: worksheet.cloned(),
            replaces,
            event,
            previous: head.sha256,
        };
        self.append_entry(&entry)?;
        Ok(entry)
    }

    fn append_entry(&mut self, entry: &Entry) -> Result<(), JournalError> {
        let row = entry.row()?;
        let mut found = Vec::new();
        terms(entry, &mut |field, value| {
            found.push(Term { field, value: value.to_owned(), seq: entry.seq });
        });
        self.rows.append(&row, &found)?;
        self.head = Some(Head::new(row.seq, row.sha256));
        Ok(())
    }

    /// One entry.
    pub(crate) fn entry(&mut self, seq: Seq) -> Result<Entry, JournalError> {
        let row = self.rows.row(seq)?.ok_or_else(|| JournalError::unknown("entry", &seq))?;
        row.entry()
    }

    /// Runs `work` with a worksheet as it stands.
    pub(crate) fn with_sheet<T>(
        &mut self,
        id: &Id,
        work: impl FnOnce(&mut Self, &Sheet) -> Result<T, JournalError>,
    ) -> Result<T, JournalError> {
        let Some(sheet) = self.sheet(id)? else {
            return Err(JournalError::unknown("worksheet", id));
        };
        let answer = work(self, &sheet);
        self.memory.keep(sheet);
        answer
    }

    /// A worksheet with its newest entries, taken out of memory.
    fn sheet(&mut self, id: &Id) -> Result<Option<Sheet>, JournalError> {
        let mut sheet = self.memory.take(id);
        let after = sheet.as_ref().map_or(0, |sheet| sheet.last);
        self.rows.with_term(Field::Worksheet, id.as_str(), after, &mut |row| {
            let entry = row.entry()?;
            match &mut sheet {
                Some(sheet) => sheet.apply(&entry),
                None => sheet = Sheet::open(&entry),
            }
            Ok(())
        })?;
        Ok(sheet)
    }

    /// The protocol that a worksheet was opened with, from the document that was recorded then.
    pub(crate) fn protocol(&mut self, of: &ProtocolOf) -> Result<Arc<Protocols>, JournalError> {
        if let Some(known) = self.memory.protocols.get(&of.sha256) {
            return Ok(Arc::clone(known));
        }
        let mut protocols = None;
        self.rows.with_term(Field::Protocol, &of.sha256.to_string(), 0, &mut |row| {
            let entry = row.entry()?;
            if let Event::ProtocolRecorded(recorded) = &entry.event {
                let protocol = Protocol::from_json(recorded.document.as_str().as_bytes());
                protocols = protocol.ok().map(|protocol| Protocols::new([protocol]));
            }
            Ok(())
        })?;
        let Some(protocols) = protocols else {
            let name = format!("{} {}", of.id.as_str(), of.version.as_str());
            return Err(JournalError::unknown("readable protocol", &name));
        };
        let protocols = Arc::new(protocols);
        self.memory.protocols.insert(of.sha256, Arc::clone(&protocols));
        Ok(protocols)
    }

    /// Records a protocol's document, unless it is recorded.
    pub(crate) fn record(
        &mut self,
        writer: &Writer,
        protocol: &Protocol,
    ) -> Result<ProtocolOf, JournalError> {
        let of = ProtocolOf {
            id: protocol.id().clone(),
            version: protocol.version().clone(),
            sha256: protocol.digest(),
        };
        if !self.rows.has_term(Field::Protocol, &of.sha256.to_string())? {
            let event = crate::event::ProtocolRecorded {
                protocol: of.clone(),
                document: Text::from(protocol.text()),
            };
            self.append(writer, None, None, event.into())?;
        }
        Ok(of)
    }

    /// The worksheet as it stands, with what the journal knew when it was opened.
    pub(crate) fn view(&mut self, sheet: &Sheet) -> Result<View, JournalError> {
        let protocols = self.protocol_of(sheet)?;
        let none = |_: &Id| Known::default();
        let document = sheet.document(&Known::default(), &none, Readings::GivenOut)?;
        View::of(document, &protocols).map_err(JournalError::Faults)
    }

    pub(crate) fn protocol_of(&mut self, sheet: &Sheet) -> Result<Arc<Protocols>, JournalError> {
        let Some(opened) = sheet.opening() else {
            return Err(JournalError::unknown("opening of worksheet", &sheet.id));
        };
        self.protocol(&opened.value.protocol)
    }

    /// What the worksheet comes to as it stands.
    pub(crate) fn interpretation(
        &mut self,
        sheet: &Sheet,
        readings: Readings<'_>,
    ) -> Result<Interpretation, JournalError> {
        if sheet.donors().next().is_none() {
            return Err(Refusal::NothingToInterpret.into());
        }
        let protocols = self.protocol_of(sheet)?;
        come_to(sheet, &Known::default(), &|_| Known::default(), readings, &protocols)
    }

    /// The worksheet as it stands, with everything that the journal knows today.
    pub(crate) fn interpretation_knowing(
        &mut self,
        sheet: &Sheet,
        recipient: &Known,
        donor: &Id,
        of_donor: &Known,
    ) -> Result<Interpretation, JournalError> {
        let protocols = self.protocol_of(sheet)?;
        let knows = |id: &Id| if id == donor { of_donor.clone() } else { Known::default() };
        come_to(sheet, recipient, &knows, Readings::GivenOut, &protocols)
    }

    /// An animal's past, apart from what was told of it on the worksheet `but`.
    pub(crate) fn past(&mut self, animal: &Id, but: Option<&Id>) -> Result<Past, JournalError> {
        let mut past = Past::default();
        let mut entries = Vec::new();
        self.rows.with_term(Field::Animal, animal.as_str(), 0, &mut |row| {
            entries.push(row.entry()?);
            Ok(())
        })?;
        let mut retracted = Vec::new();
        for entry in &entries {
            let told = matches!(entry.event, Event::WorksheetOpened(_) | Event::DonorAdded(_));
            if told && entry.worksheet.as_ref() == but {
                continue;
            }
            past.take(animal, entry);
            if self.is_undone(entry)? {
                retracted.push(entry.seq);
            }
        }
        past.without(&retracted);
        for id in past.worksheets.clone() {
            if Some(&id) != but {
                self.came_to(&id, animal, &mut past)?;
            }
        }
        Ok(past)
    }

    /// Whether an entry was taken back, or a released unit came back.
    fn is_undone(&mut self, entry: &Entry) -> Result<bool, JournalError> {
        match &entry.event {
            Event::WorksheetOpened(_)
            | Event::DonorAdded(_)
            | Event::Released(_)
            | Event::EmergencyReleased(_)
            | Event::Transfused(_)
            | Event::Reacted(_)
            | Event::Typed(_) => self.rows.has_term(Field::Answers, &entry.seq.to_string()),
            _ => Ok(false),
        }
    }

    /// What an earlier worksheet of the animal came to, as issued last and as it stands.
    fn came_to(&mut self, id: &Id, animal: &Id, past: &mut Past) -> Result<(), JournalError> {
        self.with_sheet(id, |books, sheet| {
            if sheet.recipient() == Some(animal) { books.came(sheet, past) } else { Ok(()) }
        })
    }

    /// Adds to its recipient's past what a worksheet came to, as issued last and as it stands.
    pub(crate) fn came(&mut self, sheet: &Sheet, past: &mut Past) -> Result<(), JournalError> {
        let (id, seq) = (&sheet.id, sheet.changed);
        for outcome in &sheet.outcomes {
            past.came_of(outcome.value.started, outcome.value.hours, outcome.value.pcv);
        }
        if !sheet.awaited().is_empty() {
            past.awaited.push((id.clone(), seq));
        }
        let mut incompatible = |donor: Id, seq: Seq| {
            let known = past
                .incompatible
                .iter()
                .any(|pair| pair.donor == donor && pair.worksheet == *id && !pair.told);
            if !known {
                let worksheet = id.clone();
                past.incompatible.push(Incompatible { donor, worksheet, seq, told: false });
            }
        };
        let mut reacted = false;
        if let Some(issued) = sheet.last_issued() {
            for pair in pairs(&issued.value.interpretation) {
                if text_at(pair, "/verdict") == Verdict::Incompatible.word()
                    && let Some(donor) = Id::new(text_at(pair, "/donor"))
                {
                    incompatible(donor, issued.seq);
                }
                let summary = text_at(pair, "/recipient_auto/summary");
                reacted |= [Summary::Reactive.word(), Summary::Doubtful.word()].contains(&summary);
            }
        }
        if sheet.changed_since_issue() && sheet.donors().next().is_some() {
            let now = self.interpretation(sheet, Readings::GivenOut)?;
            for pair in &now.pairs {
                if pair.verdict == Verdict::Incompatible {
                    incompatible(pair.donor.clone(), seq);
                }
                reacted |= match pair.recipient_auto.summary {
                    Summary::Reactive | Summary::Doubtful => true,
                    Summary::Negative | Summary::Void | Summary::NotRead => false,
                };
            }
        }
        if reacted {
            past.autocontrols.push((id.clone(), seq));
        }
        Ok(())
    }
}

/// What a worksheet comes to, under the protocol that it names. Where a look that bears on a donor
/// is not given out, the donor's major and minor are left out as well, unless it is not releasable
/// anyway: what is not told may be why the unit must not be given.
pub(crate) fn come_to(
    sheet: &Sheet,
    recipient: &Known,
    donor: &dyn Fn(&Id) -> Known,
    readings: Readings<'_>,
    protocols: &Protocols,
) -> Result<Interpretation, JournalError> {
    let of = |readings| {
        let document = sheet.document(recipient, donor, readings)?;
        interpreted(&View::of(document, protocols).map_err(JournalError::Faults)?, protocols)
    };
    let interpretation = of(readings)?;
    let Readings::GivenOut = readings else { return Ok(interpretation) };
    let releasable = interpretation.pairs.iter().filter(|pair| pair.releasable);
    let waiting: Vec<Id> =
        releasable.map(|pair| pair.donor.clone()).filter(|donor| sheet.waits(donor)).collect();
    if waiting.is_empty() { Ok(interpretation) } else { of(Readings::Without(&waiting)) }
}

/// Interprets a view under the protocol that its worksheet names.
fn interpreted(view: &View, protocols: &Protocols) -> Result<Interpretation, JournalError> {
    let named = view.worksheet.protocol();
    let Some(protocol) = protocols.get(&named.id, &named.version) else {
        let name = format!("{} {}", named.id.as_str(), named.version.as_str());
        return Err(JournalError::unknown("protocol", &name));
    };
    Ok(interpret(&view.worksheet, protocol))
}
