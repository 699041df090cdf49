//! Finding entries, tasks and worksheets.

use crossread_core::document::{Date, Id, Text, Time};
use serde::{Deserialize, Serialize};

use crate::books::Books;
use crate::entry::Seq;
use crate::error::JournalError;
use crate::event::{Event, Kind, TaskRaised};
use crate::frame::Frame;
use crate::journal::Journal;
use crate::sheet::{Entered, Readings};
use crate::store::{Found, Range};
use crate::terms::Field;

/// One thing that is looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Wanted {
    field: Field,
    range: Range,
}

impl Wanted {
    /// Exactly this: for a name or a person without case and diacritics, for ids, numbers, dates
    /// and verdicts character by character.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// // A name is found without case.
    /// let hits = journal.search(&Query::of(Wanted::exactly(Field::Name, "JUNIPER")))?;
    /// assert_eq!(hits[0].worksheet, Some(id("WS-1")));
    /// assert!(journal.search(&Query::of(Wanted::exactly(Field::Recipient, "r-3107")))?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn exactly(field: Field, value: &str) -> Self {
        Self { field, range: Range::Exactly(field.fold(value)) }
    }

    /// What begins with this; no more than its first 512 bytes are looked at.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let hits = read().search(&Query::of(Wanted::beginning(Field::Unit, "U-55")))?;
    /// assert_eq!(hits[0].worksheet, Some(id("WS-1")));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn beginning(field: Field, value: &str) -> Self {
        Self { field, range: Range::Prefix(field.fold_beginning(value)) }
    }

    /// What was opened, issued or released on these days, both included.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::document::Date;
    /// let day = |text| Date::new(text).ok_or("no day");
    /// let mut journal = opened();
    /// let on = Query::of(Wanted::between(day("2026-03-01")?, day("2026-03-01")?));
    /// assert_eq!(journal.search(&on)?.len(), 1);
    /// let after = Query::of(Wanted::between(day("2026-03-02")?, day("2026-03-31")?));
    /// assert!(journal.search(&after)?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn between(from: Date, to: Date) -> Self {
        Self { field: Field::Date, range: Range::Between(from.to_string(), to.to_string()) }
    }
}

/// What is looked for: everything in it together.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Query {
    /// What is wanted, at least one thing.
    pub wanted: Vec<Wanted>,
    /// Only worksheets that were last found before this entry, to go on from an earlier answer: the
    /// `seq` of its last hit.
    pub before: Option<Seq>,
    /// At most so many worksheets.
    pub limit: u32,
}

impl Query {
    /// The newest 50 worksheets with one thing.
    ///
    /// ```
    /// # use crossread_journal::{Field, Query, Wanted};
    /// let mut query = Query::of(Wanted::exactly(Field::Reader, "KT"));
    /// assert_eq!(query.limit, 50);
    /// // What KT read of this unit.
    /// query.wanted.push(Wanted::exactly(Field::Unit, "U-5512"));
    /// assert_eq!(query.wanted.len(), 2);
    /// ```
    pub fn of(wanted: Wanted) -> Self {
        Self { wanted: vec![wanted], before: None, limit: 50 }
    }
}

/// A worksheet, or an entry without one, that was found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Hit {
    /// The worksheet, if the entry belongs to one.
    pub worksheet: Option<Id>,
    /// The newest entry by which it was found.
    pub seq: Seq,
    /// When that was written.
    pub at: Text,
    /// By whom.
    pub by: Text,
    /// What kind of entry it is.
    pub kind: &'static str,
    /// For an interpretation: whether a later one replaces it, or something was entered since that
    /// could change it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub superseded: Option<bool>,
}

/// A task that is open.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct OpenTask {
    /// The entry that raised it.
    pub seq: Seq,
    /// Since when.
    pub since: Text,
    /// The worksheet.
    pub worksheet: Id,
    /// What is to be done.
    #[serde(flatten)]
    pub task: TaskRaised,
}

/// A worksheet that is not finished: nothing was issued since it last changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct OpenWorksheet {
    /// Its id.
    pub worksheet: Id,
    /// The recipient.
    pub recipient: Option<Id>,
    /// Since when.
    pub opened: Text,
    /// When something was last entered that can change it.
    pub changed: Text,
    /// What is missing, by donor.
    pub missing: Vec<(Id, Vec<String>)>,
}

/// A worksheet that is old enough to be looked at for retention.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct OldWorksheet {
    /// Its id.
    pub worksheet: Id,
    /// Its last entry.
    pub seq: Seq,
    /// When that was written.
    pub last: Text,
}

impl Journal {
    /// Finds worksheets, and entries that belong to none, the newest first.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = released();
    /// let verdict = Wanted::exactly(Field::Verdict, "compatible");
    /// let wanted = vec![Wanted::exactly(Field::Donor, "D-091"), verdict];
    /// let hits = journal.search(&Query { wanted, before: None, limit: 10 })?;
    /// assert_eq!(hits.len(), 1);
    /// assert_eq!(hits[0].worksheet, Some(id("WS-1")));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn search(&mut self, query: &Query) -> Result<Vec<Hit>, JournalError> {
        self.read(|books| books.search(query))
    }

    /// The tasks that are open, the oldest first.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let reading = journal.sheet(&id("WS-1"))?.readings[1].seq;
    /// journal.retract(&kt("03:36"), reading, "it was the tube beside")?;
    /// let open = journal.open_tasks()?;
    /// assert_eq!(open[0].task.task, Task::TellOfAmendment);
    /// assert_eq!(open[0].task.tell, Some("Dr Vane".into()));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn open_tasks(&mut self) -> Result<Vec<OpenTask>, JournalError> {
        self.read(|books| {
            let mut raised = Vec::new();
            books.rows.with_term(Field::Listed, Kind::TaskRaised.word(), 0, &mut |row| {
                raised.push(row.entry()?);
                Ok(())
            })?;
            let mut open = Vec::new();
            for entry in raised {
                let closed = books.rows.has_term(Field::Answers, &entry.seq.to_string())?;
                if let (false, Event::TaskRaised(task), Some(worksheet)) =
                    (closed, entry.event, entry.worksheet)
                {
                    let since = text(entry.at);
                    open.push(OpenTask { seq: entry.seq, since, worksheet, task });
                }
            }
            Ok(open)
        })
    }

    /// The worksheets opened on or after a day that are not finished, the oldest first.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::document::Date;
    /// let today = Date::new("2026-03-01").ok_or("no day")?;
    /// let open = read().open_worksheets(today)?;
    /// assert_eq!(open[0].worksheet, id("WS-1"));
    /// // What was issued and not touched since is finished.
    /// assert!(issued().open_worksheets(today)?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn open_worksheets(&mut self, since: Date) -> Result<Vec<OpenWorksheet>, JournalError> {
        let last = Date::new("9999-12-31").unwrap_or(since);
        self.read(|books| {
            let wanted = vec![Wanted::between(since, last)];
            let hits = books.search(&Query { wanted, before: None, limit: u32::MAX })?;
            let mut open = Vec::new();
            for id in hits.into_iter().filter_map(|hit| hit.worksheet) {
                open.extend(books.with_sheet(&id, |books, sheet| {
                    if !sheet.changed_since_issue() {
                        return Ok(None);
                    }
                    let opened = sheet.opened.first().filter(|opened| opened.at.date() >= since);
                    let Some(opened) = opened else { return Ok(None) };
                    let missing = match sheet.donors().next() {
                        None => Vec::new(),
                        Some(_) => books.missing(sheet)?,
                    };
                    let changed = books.entry(sheet.changed)?.at;
                    let listed = OpenWorksheet {
                        worksheet: id.clone(),
                        recipient: sheet.recipient().cloned(),
                        opened: text(opened.at),
                        changed: text(changed),
                        missing,
                    };
                    Ok(Some((opened.seq, listed)))
                })?);
            }
            open.sort_by_key(|(seq, _)| *seq);
            Ok(open.into_iter().map(|(_, listed)| listed).collect())
        })
    }

    /// The worksheets whose last entry was written before a day, the oldest first. Nothing is
    /// removed; what is kept for how long is the hospital's rule.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::document::Date;
    /// let old = read().older_than(Date::new("2026-04-01").ok_or("no day")?)?;
    /// assert_eq!(old[0].worksheet, id("WS-1"));
    /// assert!(read().older_than(Date::new("2026-03-01").ok_or("no day")?)?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn older_than(&mut self, day: Date) -> Result<Vec<OldWorksheet>, JournalError> {
        let first = Date::new("0001-01-01").unwrap_or(day);
        self.read(|books| {
            let wanted = vec![Wanted::between(first, day)];
            let hits = books.search(&Query { wanted, before: None, limit: u32::MAX })?;
            let mut old = Vec::new();
            for id in hits.into_iter().filter_map(|hit| hit.worksheet) {
                let seq = books.with_sheet(&id, |_, sheet| Ok(sheet.last))?;
                let at = books.entry(seq)?.at;
                if at.date() < day {
                    old.push(OldWorksheet { worksheet: id, seq, last: text(at) });
                }
            }
            old.sort_by_key(|old| old.seq);
            Ok(old)
        })
    }
}

fn text(time: Time) -> Text {
    Text::from(time.to_string().as_str())
}

impl Books<'_> {
    fn search(&mut self, query: &Query) -> Result<Vec<Hit>, JournalError> {
        let Some((first, others)) = query.wanted.split_first() else { return Ok(Vec::new()) };
        let limit = usize::try_from(query.limit).unwrap_or(usize::MAX);
        if limit == 0 {
            return Ok(Vec::new());
        }
        let mut hits: Vec<Hit> = Vec::new();
        let mut known = std::collections::BTreeSet::new();
        let mut before = query.before.unwrap_or(Seq::MAX);
        // One worksheet has many entries, so pages are read until there are enough worksheets. All
        // entries with the id of a worksheet are of that one, and the newest is the hit.
        let one = first.field == Field::Worksheet && matches!(first.range, Range::Exactly(_));
        let page = if one { 1 } else { query.limit.clamp(16, 4096) };
        loop {
            let mut found: Vec<Hit> = Vec::new();
            self.rows.find(first.field, &first.range, before, page, &mut |row| {
                found.push(hit(row)?);
                Ok(())
            })?;
            let Some(last) = found.last() else { break };
            before = last.seq;
            let full = !one && u32::try_from(found.len()).is_ok_and(|found| found == page);
            for hit in found {
                let new = hit.worksheet.as_ref().is_none_or(|id| known.insert(id.clone()));
                if new
                    && !self.is_found_since(&hit, first, query.before)?
                    && self.has_all(&hit, others)?
                {
                    hits.push(self.with_state(hit)?);
                    if hits.len() >= limit {
                        return Ok(hits);
                    }
                }
            }
            if !full {
                break;
            }
        }
        Ok(hits)
    }

    /// Whether the worksheet of a hit was found by a later entry too, and so stood in an answer
    /// before.
    fn is_found_since(
        &mut self,
        hit: &Hit,
        wanted: &Wanted,
        before: Option<Seq>,
    ) -> Result<bool, JournalError> {
        let (Some(id), Some(before)) = (&hit.worksheet, before) else { return Ok(false) };
        let mut found = false;
        self.rows.with_term(
            Field::Worksheet,
            id.as_str(),
            before.saturating_sub(1),
            &mut |row| {
                crate::terms::terms(&row.entry()?, &mut |field, value| {
                    found |= field == wanted.field && wanted.range.has(value);
                });
                Ok(())
            },
        )?;
        Ok(found)
    }

    /// Whether the worksheet of a hit has everything else that is wanted.
    fn has_all(&mut self, hit: &Hit, others: &[Wanted]) -> Result<bool, JournalError> {
        if others.is_empty() {
            return Ok(true);
        }
        let Some(id) = &hit.worksheet else { return Ok(false) };
        let mut missing: Vec<&Wanted> = others.iter().collect();
        self.rows.with_term(Field::Worksheet, id.as_str(), 0, &mut |row| {
            crate::terms::terms(&row.entry()?, &mut |field, value| {
                missing.retain(|wanted| wanted.field != field || !wanted.range.has(value));
            });
            Ok(())
        })?;
        Ok(missing.is_empty())
    }

    /// A hit, with whether an interpretation still stands.
    fn with_state(&mut self, mut hit: Hit) -> Result<Hit, JournalError> {
        if let (true, Some(id)) = (hit.kind == Kind::Issued.word(), &hit.worksheet) {
            let mut superseded = false;
            self.rows.with_term(Field::Worksheet, id.as_str(), hit.seq, &mut |row| {
                let later = Outline::of(row)?.kind;
                superseded |= later == Kind::Issued || later.changes();
                Ok(())
            })?;
            hit.superseded = Some(superseded);
        }
        Ok(hit)
    }

    /// What keeps each pair of a worksheet from being finished.
    fn missing(
        &mut self,
        sheet: &crate::sheet::Sheet,
    ) -> Result<Vec<(Id, Vec<String>)>, JournalError> {
        let interpretation = self.interpretation(sheet, Readings::GivenOut)?;
        let awaited = sheet.awaited();
        let pairs = interpretation.pairs.into_iter().map(|pair| {
            let mut missing: Vec<String> = pair
                .findings
                .iter()
                .filter(|finding| finding.effect == crossread_core::words::Effect::Incomplete)
                .map(|finding| finding.title.to_owned())
                .collect();
            let waits = awaited
                .iter()
                .filter(|cell| cell.donor.as_ref().is_none_or(|donor| *donor == pair.donor));
            missing.extend(waits.map(|cell| format!("second reader: {cell}")));
            (pair.donor, missing)
        });
        Ok(pairs.collect())
    }
}

/// What a hit shows of an entry. The rest is not looked at.
#[derive(Deserialize)]
struct Outline {
    at: Text,
    by: Text,
    kind: Kind,
    #[serde(default)]
    worksheet: Option<Id>,
}

impl Outline {
    fn of(row: &Found<'_>) -> Result<Self, JournalError> {
        let text = row.text()?;
        if let Some(outline) = Self::around(text) {
            return Ok(outline);
        }
        let read = serde_json::from_str(text);
        read.map_err(|error| JournalError::damaged(row.seq, error.to_string()))
    }

    /// What stands around the body, if that can be told without reading it.
    fn around(text: &str) -> Option<Self> {
        let Frame { at, by, kind, worksheet, .. } = Frame::of(text)?;
        let worksheet = match worksheet {
            Some(id) => Some(Id::new(id)?),
            None => None,
        };
        let kind = kind.parse().ok()?;
        Some(Self { at: Text::from(at), by: Text::from(by), kind, worksheet })
    }
}

fn hit(row: &Found<'_>) -> Result<Hit, JournalError> {
    let Outline { at, by, kind, worksheet } = Outline::of(row)?;
    Ok(Hit { worksheet, seq: row.seq, at, by, kind: kind.word(), superseded: None })
}

impl Range {
    fn has(&self, value: &str) -> bool {
        match self {
            Self::Exactly(wanted) => value == wanted,
            Self::Prefix(wanted) => value.starts_with(wanted.as_str()),
            Self::Between(from, to) => (from.as_str()..=to.as_str()).contains(&value),
        }
    }
}

impl OpenTask {
    /// The task of a worksheet's own list.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let reading = journal.sheet(&id("WS-1"))?.readings[1].seq;
    /// journal.retract(&kt("03:36"), reading, "it was the tube beside")?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// let own: Vec<_> = sheet.open_tasks().map(|task| OpenTask::of(&sheet.id, task)).collect();
    /// assert_eq!(own, journal.open_tasks()?);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn of(worksheet: &Id, task: &Entered<TaskRaised>) -> Self {
        Self {
            seq: task.seq,
            since: text(task.at),
            worksheet: worksheet.clone(),
            task: task.value.clone(),
        }
    }
}
