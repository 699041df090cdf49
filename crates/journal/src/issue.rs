//! Issuing what a worksheet came to, and showing it later beside today's.

use crossread_core::Interpretation;
use crossread_core::document::{Id, Text};
use crossread_core::protocol::{Protocol, Protocols};
use crossread_core::words::Verdict;
use serde_json::Value;

use crate::books::{Books, Writer, come_to};
use crate::difference::{Difference, differences, pairs, text_at};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{
    EmergencyReleased, Handed, Issued, Known, Released, Task, TaskClosed, TaskRaised,
};
use crate::journal::{Journal, Written};
use crate::sheet::{Entered, Readings, Sheet};

/// What a worksheet came to when it was issued, beside what it comes to today.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Shown {
    /// The last interpretation that was issued, with its entry.
    pub issued: Option<(Seq, Issued)>,
    /// What the worksheet comes to today, under the protocol that was asked for, or the one it was
    /// opened with.
    pub today: Interpretation,
    /// The protocol of today's answer.
    pub protocol: Protocol,
    /// How they differ.
    pub differences: Vec<Difference>,
    /// Whether something was entered since, that could change it.
    pub changed_since_issue: bool,
}

/// Who was given which revision of a worksheet's interpretation, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Told {
    /// The revision.
    pub revision: u32,
    /// The entry by which it was given.
    pub seq: Seq,
    /// Who got it.
    pub to: Text,
}

impl Journal {
    /// What a worksheet comes to as it stands. While readings wait for the second reader it is
    /// computed without them, and no donor that they bear on is releasable.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::Verdict;
    /// let mut journal = read();
    /// let today = journal.interpretation(&id("WS-1"))?;
    /// assert_eq!(today.pairs[0].verdict, Verdict::Compatible);
    /// // What has no donor is nothing to interpret.
    /// assert!(opened().interpretation(&id("WS-1")).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or it has no donor yet.
    pub fn interpretation(&mut self, worksheet: &Id) -> Result<Interpretation, JournalError> {
        self.read(|books| {
            books.with_sheet(worksheet, |books, sheet| {
                books.interpretation(sheet, Readings::GivenOut)
            })
        })
    }

    /// Issues what a worksheet comes to, with protocol, engine and hashes, to a person. Who holds an
    /// earlier revision with another verdict becomes a task; so does the veterinarian of a unit that
    /// was released before, if it should not have been. A notice says where the release of a pair
    /// ends before the time that is issued, by what the journal knows today.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let written = journal.issue(&kt("03:34"), &id("WS-1"), "Dr Vane")?;
    /// let Event::Issued(issued) = journal.entry(written.seq)?.event else { panic!() };
    /// assert_eq!((issued.revision, issued.to.as_str()), (1, "Dr Vane"));
    /// assert_eq!(issued.interpretation["pairs"][0]["verdict"], "compatible");
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is nothing to interpret, or readings wait for the second reader.
    pub fn issue(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        to: &str,
    ) -> Result<Written, JournalError> {
        says(to, "who it is issued to")?;
        self.write(|books| {
            let (issued, tasks, finished, interpretation) =
                books.with_sheet(worksheet, |books, sheet| {
                    let awaited = sheet.awaited();
                    if !awaited.is_empty() {
                        let awaited = awaited.iter().map(ToString::to_string).collect();
                        return Err(Refusal::SecondReaderMissing(awaited).into());
                    }
                    sheet.all_looks_finished(None)?;
                    let interpretation = books.interpretation(sheet, Readings::All)?;
                    let document =
                        serde_json::to_value(&interpretation).map_err(JournalError::Unwritable)?;
                    let last = sheet.last_issued();
                    let issued = Issued {
                        revision: last.map_or(1, |last| last.value.revision.saturating_add(1)),
                        to: Text::from(to),
                        replaces: last.map(|last| last.seq),
                        interpretation: document,
                    };
                    let mut tasks = to_tell(sheet, &issued);
                    tasks.extend(to_inform(sheet, &interpretation));
                    Ok((issued, tasks, finished(sheet, &interpretation), interpretation))
                })?;
            let entry = books.append(writer, Some(worksheet), None, issued.into())?;
            let mut written = Written::new(entry.seq);
            for mut task in tasks {
                task.about = entry.seq;
                written.notices.push(task.text.clone());
                written.raised.push(books.raise(writer, worksheet, task)?);
            }
            written.notices.extend(books.ends_sooner(worksheet, &interpretation)?);
            for open in finished {
                let text = Text::from("the crossmatch was finished");
                let closed = TaskClosed { task: open, text };
                books.append(writer, Some(worksheet), None, closed.into())?;
            }
            Ok(written)
        })
    }

    /// Writes down that an issued interpretation was given to a further person.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// assert!(read().hand(&kt("03:35"), &id("WS-1"), "LM").is_err());
    /// let mut journal = issued();
    /// journal.hand(&kt("03:35"), &id("WS-1"), "LM")?;
    /// let told = journal.sheet(&id("WS-1"))?.told();
    /// assert_eq!(told.iter().map(|of| of.to.as_str()).collect::<Vec<_>>(), ["Dr Vane", "LM"]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If none was issued, or nobody is named.
    pub fn hand(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        to: &str,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let issued = books.with_sheet(worksheet, |_, sheet| {
                says(to, "who it is given to")?;
                let last = sheet.last_issued().map(|issued| issued.seq);
                last.ok_or_else(|| Refusal::NotIssued(worksheet.clone()).into())
            })?;
            let event = Handed { issued, to: Text::from(to) };
            let entry = books.append(writer, Some(worksheet), None, event.into())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// What a worksheet came to when it was issued, beside what it comes to today, under `protocol`
    /// or, without one, under the one it was opened with.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let reading = journal.sheet(&id("WS-1"))?.readings[1].seq;
    /// journal.retract(&kt("03:36"), reading, "it was the tube beside")?;
    /// let shown = journal.show(&id("WS-1"), None)?;
    /// assert!(shown.changed_since_issue);
    /// let verdict = shown.differences.iter().find(|of| of.what == "verdict").ok_or("no change")?;
    /// assert_eq!((verdict.first.as_str(), verdict.second.as_str()), ("compatible", "incomplete"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, it has no donor, or it is at fault under `protocol`.
    pub fn show(
        &mut self,
        worksheet: &Id,
        protocol: Option<&Protocol>,
    ) -> Result<Shown, JournalError> {
        self.read(|books| {
            books.with_sheet(worksheet, |books, sheet| {
                let recorded = books.protocol_of(sheet)?;
                let rules = protocol.or_else(|| recorded.iter().next());
                let rules = rules.ok_or_else(|| JournalError::unknown("protocol of", worksheet))?;
                let today = match protocol {
                    None => books.interpretation(sheet, Readings::GivenOut)?,
                    Some(protocol) => under(sheet, protocol)?,
                };
                let document = serde_json::to_value(&today).map_err(JournalError::Unwritable)?;
                let issued = sheet.last_issued();
                let differences = issued.map_or_else(Vec::new, |issued| {
                    differences(&issued.value.interpretation, &document)
                });
                Ok(Shown {
                    issued: issued.map(|issued| (issued.seq, issued.value.clone())),
                    today,
                    protocol: rules.clone(),
                    differences,
                    changed_since_issue: sheet.changed_since_issue(),
                })
            })
        })
    }
}

/// What a worksheet comes to under another protocol than the one it names.
fn under(sheet: &Sheet, protocol: &Protocol) -> Result<Interpretation, JournalError> {
    let mut sheet = sheet.clone();
    for opened in &mut sheet.opened {
        opened.value.protocol = crate::event::ProtocolOf {
            id: protocol.id().clone(),
            version: protocol.version().clone(),
            sha256: protocol.digest(),
        };
    }
    let protocols = Protocols::new([protocol.clone()]);
    let none = |_: &Id| Known::default();
    come_to(&sheet, &Known::default(), &none, Readings::GivenOut, &protocols)
}

impl Books<'_> {
    /// The pairs of an issued interpretation whose release ends before the time that it says, or
    /// that may not be released at all, by what the journal knows today.
    fn ends_sooner(
        &mut self,
        worksheet: &Id,
        issued: &Interpretation,
    ) -> Result<Vec<Text>, JournalError> {
        self.with_sheet(worksheet, |books, sheet| {
            let mut notices = Vec::new();
            for pair in issued.pairs.iter().filter(|pair| pair.releasable) {
                let now = books.answer_now(sheet, &pair.donor)?;
                let donor = pair.donor.as_str();
                let said = match (now.releasable, now.valid_until, pair.valid_until) {
                    (false, ..) => format!(
                        "{donor} is not releasable by what this journal knows: {}",
                        now.headline
                    ),
                    (true, Some(until), Some(written)) if until < written => format!(
                        "{donor} can be released until {until}, not until {written}: by what this \
                         journal knows, the samples keep for a shorter time"
                    ),
                    _ => continue,
                };
                notices.push(Text::from(said.as_str()));
            }
            Ok(notices)
        })
    }
}

/// Who holds a revision whose verdicts were others.
fn to_tell(sheet: &Sheet, issued: &Issued) -> Vec<TaskRaised> {
    let verdicts = |document: &Value| -> Vec<(Value, Value)> {
        let of = |pair: &Value, what: &str| pair.get(what).cloned().unwrap_or_default();
        pairs(document).map(|pair| (of(pair, "donor"), of(pair, "verdict"))).collect()
    };
    let now = verdicts(&issued.interpretation);
    let asked = |name: &Text| {
        sheet.open_tasks().any(|task| {
            task.value.task == Task::TellOfAmendment && task.value.tell.as_ref() == Some(name)
        })
    };
    // Who gets the new one by this very act need not be told of it.
    let held = sheet.held().into_iter().filter(|(name, before)| {
        *name != issued.to && !asked(name) && verdicts(&before.value.interpretation) != now
    });
    let told = |(name, before): (Text, &Entered<Issued>)| {
        let text = format!(
            "tell {} that revision {} of worksheet {} is replaced by revision {}, with another \
             verdict",
            name.as_str(),
            before.value.revision,
            sheet.id.as_str(),
            issued.revision
        );
        TaskRaised {
            task: Task::TellOfAmendment,
            text: Text::from(text.as_str()),
            about: before.seq,
            donor: None,
            tell: Some(name),
            cell: None,
        }
    };
    held.map(told).collect()
}

/// The tasks of crossmatches owed for units that were released before, and are finished now.
fn finished(sheet: &Sheet, now: &Interpretation) -> Vec<Seq> {
    let concluded = now.pairs.iter().filter(|pair| is_concluded(pair.verdict));
    concluded.flat_map(|pair| sheet.open_tasks_of(Task::FinishCrossmatch, &pair.donor)).collect()
}

/// Whether a verdict finishes a crossmatch. A run that cannot be used finishes nothing: it is still
/// owed.
fn is_concluded(verdict: Verdict) -> bool {
    match verdict {
        Verdict::Compatible
        | Verdict::CompatibleWithCaveats
        | Verdict::Indeterminate
        | Verdict::Incompatible => true,
        Verdict::Incomplete | Verdict::Invalid => false,
    }
}

/// Who decided to give a unit that has left and has not come back, and that would not be released
/// now. What was released in an emergency is owed until its crossmatch is concluded.
fn to_inform(sheet: &Sheet, now: &Interpretation) -> Vec<TaskRaised> {
    let ordinary = sheet.releases.iter().map(|of| {
        let Released { donor, unit, veterinarian, .. } = &of.value;
        (of.seq, donor, unit, veterinarian, true)
    });
    let emergency = sheet.emergency_releases.iter().map(|of| {
        let EmergencyReleased { donor, unit, veterinarian, .. } = &of.value;
        (of.seq, donor, unit, veterinarian, false)
    });
    let back = |seq: Seq| sheet.returned.iter().any(|back| back.value.release == seq);
    let before = |donor: &Id| {
        let issued = &sheet.last_issued()?.value.interpretation;
        let pair = pairs(issued).find(|pair| text_at(pair, "/donor") == donor.as_str())?;
        Some(text_at(pair, "/verdict").to_owned())
    };
    let mut found = Vec::new();
    for (seq, donor, unit, veterinarian, is_ordinary) in ordinary.chain(emergency) {
        let pair = now.pairs.iter().find(|pair| pair.donor == *donor);
        let is_wrong =
            pair.is_none_or(|pair| !pair.releasable && (is_ordinary || is_concluded(pair.verdict)));
        if back(seq) || !is_wrong {
            continue;
        }
        let said = match pair {
            Some(pair) => format!("is {}: {}", pair.verdict.spoken(), pair.headline),
            None => "stands on the worksheet no more: its entry was taken back".to_owned(),
        };
        let text = format!(
            "inform the veterinarian, {}: {}, unit {}, was released (entry {seq}) and {said}",
            veterinarian.as_str(),
            donor.as_str(),
            unit.as_str(),
        );
        let verdict = pair.map(|pair| pair.verdict.word().to_owned());
        let told = sheet.tasks.iter().any(|(task, closed)| {
            task.value.text.as_str() == text && (closed.is_none() || before(donor) == verdict)
        });
        if !told {
            found.push(TaskRaised {
                task: Task::InformVeterinarian,
                text: Text::from(text.as_str()),
                about: seq,
                donor: Some(donor.clone()),
                tell: Some(veterinarian.clone()),
                cell: None,
            });
        }
    }
    found
}

impl Sheet {
    /// Everyone who holds a revision, each with the last that they were given.
    pub(crate) fn held(&self) -> Vec<(Text, &Entered<Issued>)> {
        let mut held: Vec<(Text, &Entered<Issued>)> = Vec::new();
        for Told { revision, to, .. } in self.told() {
            let of = self.issued.iter().find(|issued| issued.value.revision == revision);
            let Some(of) = of else { continue };
            match held.iter_mut().find(|(name, _)| *name == to) {
                Some((_, last)) => *last = of,
                None => held.push((to, of)),
            }
        }
        held
    }

    /// Everyone who was given an interpretation of the worksheet, in order.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let told = issued().sheet(&id("WS-1"))?.told();
    /// assert_eq!((told[0].revision, told[0].to.as_str()), (1, "Dr Vane"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn told(&self) -> Vec<Told> {
        let mut told: Vec<Told> = self
            .issued
            .iter()
            .map(|issued| Told {
                revision: issued.value.revision,
                seq: issued.seq,
                to: issued.value.to.clone(),
            })
            .collect();
        for handed in &self.handed {
            let of = self.issued.iter().find(|issued| issued.seq == handed.value.issued);
            told.extend(of.map(|issued| Told {
                revision: issued.value.revision,
                seq: handed.seq,
                to: handed.value.to.clone(),
            }));
        }
        told.sort_by_key(|told| told.seq);
        told
    }
}
