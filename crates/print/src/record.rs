//! What the record holds, as paper.

use crossread_core::document::{Date, Id, Text, Time};
use crossread_core::worksheet::draft;
use crossread_core::{Interpretation, Protocol, Worksheet};
use crossread_journal::{Journal, JournalError, Seq, Sheet as Entries};
use jiff::tz::TimeZone;

use crate::{
    Amendment, Document, Gave, Given, Handover, Replaced, Report, Sheet, Unfinished, labels,
};

/// A worksheet of a journal, with everything that was entered on it.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
/// # use night::*;
/// use crossread_print::{Kept, text};
///
/// // WS-1 was issued to Dr Vane.
/// let kept = Kept::of(&mut issued(), &id("WS-1"))?;
/// assert!(text(&kept.sheet(false)).contains("Juniper"));
/// assert!(text(&kept.report()).contains("revision 1"));
/// assert!(kept.labels().is_some());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Kept {
    /// The worksheet as it stands.
    pub worksheet: Worksheet,
    /// The protocol that it was opened with.
    pub protocol: Protocol,
    /// What it comes to today.
    pub interpretation: Interpretation,
    /// Whose journal it is.
    pub hospital: String,
    /// Its entries.
    pub entries: Entries,
    /// The entry of each reading of the worksheet, in its order.
    pub readings: Vec<Seq>,
    /// The last entry of the journal, and its hash.
    pub record: String,
}

impl Kept {
    /// Reads a worksheet out of a journal.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_print::Kept;
    /// let kept = Kept::of(&mut issued(), &id("WS-1"))?;
    /// assert!(kept.record.starts_with("entry 9, SHA-256 "));
    /// // Without a donor there is nothing to print.
    /// assert!(Kept::of(&mut opened(), &id("WS-1")).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, it has no donor yet, or the journal cannot be read.
    pub fn of(journal: &mut Journal, worksheet: &Id) -> Result<Self, JournalError> {
        let view = journal.view(worksheet)?;
        let shown = journal.show(worksheet, None)?;
        let head = journal.head()?;
        Ok(Self {
            hospital: journal.of()?.to_string(),
            entries: journal.sheet(worksheet)?,
            readings: view.readings,
            record: format!("entry {}, SHA-256 {}", head.seq, head.sha256),
            worksheet: view.worksheet,
            protocol: shown.protocol,
            interpretation: shown.today,
        })
    }

    /// The worksheet, filled or to be filled in.
    pub fn sheet(&self, blank: bool) -> Document {
        let mut sheet = if blank {
            Sheet::blank(&self.worksheet, &self.protocol)
        } else {
            Sheet::filled(&self.worksheet, &self.protocol)
        };
        sheet.hospital = Some(self.hospital.clone());
        let request = self.entries.opening().and_then(|opened| opened.value.request.clone());
        sheet.request = request.map(|request| {
            let parts = [request.by, request.text];
            parts.into_iter().flatten().map(|text| text.to_string()).collect::<Vec<_>>().join(", ")
        });
        sheet.transcribed = self.transcribed();
        sheet.document()
    }

    /// The labels of its mixtures; `None` if an id is too long for a scannable code.
    pub fn labels(&self) -> Option<Document> {
        labels(&self.worksheet, &self.protocol)
    }

    /// The report.
    pub fn report(&self) -> Document {
        let mut report = Report::new(&self.worksheet, &self.interpretation);
        report.hospital = Some(self.hospital.clone());
        report.record = Some(self.record.clone());
        issue(&mut report, &self.entries, &self.interpretation);
        report.amendments = amendments(&self.entries);
        report.transcribed = self
            .entries
            .readings
            .iter()
            .filter(|reading| reading.value.transcribed && reading.replaces.is_none())
            .filter_map(|reading| {
                let cell = cell(&reading.value.reading);
                let seen = reading.value.reading.at?;
                Some(format!(
                    "{cell}: transcribed from paper, seen {seen}, entered {} by {}",
                    reading.at, reading.by
                ))
            })
            .collect();
        report.given = given(&self.entries);
        report.document()
    }

    /// When and by whom each transcribed reading was entered, by its place in the worksheet.
    fn transcribed(&self) -> Vec<(usize, String)> {
        let all = self.readings.iter().enumerate().filter_map(|(place, seq)| {
            let entered = self.entries.readings.iter().find(|reading| reading.seq == *seq)?;
            let from_paper = entered.value.transcribed && entered.replaces.is_none();
            from_paper.then(|| (place, format!("{} by {}", entered.at, entered.by)))
        });
        all.collect()
    }
}

/// The revision and what it replaces.
fn issue(report: &mut Report<'_>, entries: &Entries, now: &Interpretation) {
    let told = entries.told();
    let verdict_of = |document: &serde_json::Value, donor: &str| {
        let pairs = document.get("pairs").and_then(serde_json::Value::as_array);
        let pair = pairs
            .into_iter()
            .flatten()
            .find(|pair| pair.get("donor").and_then(serde_json::Value::as_str) == Some(donor));
        pair.and_then(|pair| Some(pair.get("verdict")?.as_str()?.replace('_', " ")))
    };
    let changed = |document: &serde_json::Value| {
        let of = now.pairs.iter().filter_map(|pair| {
            let then = verdict_of(document, pair.donor.as_str())?;
            let is = pair.verdict.spoken();
            (then != is).then(|| [pair.donor.to_string(), then, is.to_owned()])
        });
        of.collect::<Vec<_>>()
    };
    let stands = !entries.changed_since_issue();
    let mut issued: Vec<_> = entries.issued.iter().collect();
    let last = if stands { issued.pop() } else { None };
    if let Some(last) = last {
        report.revision = last.value.revision;
        report.issued_at = last.at.to_string();
        report.issued = format!("by {} to {}", last.by, last.value.to);
    }
    for old in issued {
        let to = told.iter().filter(|told| told.revision == old.value.revision);
        report.replaces.push(Replaced {
            revision: old.value.revision,
            at: old.at.to_string(),
            to: to.map(|told| told.to.to_string()).collect(),
            changed: changed(&old.value.interpretation),
        });
    }
}

fn cell(reading: &draft::Reading) -> String {
    let test = reading.test.map_or("", |test| test.spoken());
    let donor = reading.donor.as_ref().map(|donor| format!(" of {donor}")).unwrap_or_default();
    let phase = reading.phase.map_or("", |phase| phase.spoken());
    format!("{test}{donor} {phase}")
}

/// Everything that was taken back, with what stands in its place.
fn amendments(entries: &Entries) -> Vec<Amendment> {
    let mut found = Vec::new();
    let seen = |reading: &draft::Reading| {
        let grade = reading.agglutination.map_or("waits for the second reader", |of| of.word());
        let hemolysis = reading.hemolysis.map(|of| format!(", hemolysis {}", of.get()));
        format!("{grade}{}", hemolysis.unwrap_or_default())
    };
    for old in &entries.readings {
        let Some(taken) = &old.taken_back else { continue };
        let new = old.amended_to(&entries.readings);
        found.push(Amendment {
            what: cell(&old.value.reading),
            old: seen(&old.value.reading),
            new: new.map(|new| seen(&new.value.reading)).unwrap_or_default(),
            by: format!("{}, {}", taken.by, taken.at),
            reason: taken.reason.to_string(),
        });
    }
    let unit = |donor: &draft::Donor| {
        let number = donor.unit.as_ref().and_then(|unit| unit.number.as_ref());
        let id = donor.id.as_ref().map(ToString::to_string).unwrap_or_default();
        let number = number.map(|number| format!(", unit {number}")).unwrap_or_default();
        format!("{id}{number}")
    };
    for old in &entries.donors {
        let Some(taken) = &old.taken_back else { continue };
        let new = old.amended_to(&entries.donors);
        found.push(Amendment {
            what: "donor".to_owned(),
            old: unit(&old.value.donor),
            new: new.map(|new| unit(&new.value.donor)).unwrap_or_default(),
            by: format!("{}, {}", taken.by, taken.at),
            reason: taken.reason.to_string(),
        });
    }
    for old in &entries.samples {
        let Some(taken) = &old.taken_back else { continue };
        let name = |sample: &draft::Sample| {
            sample.id.as_ref().map(ToString::to_string).unwrap_or_default()
        };
        let new = old.amended_to(&entries.samples);
        found.push(Amendment {
            what: "sample".to_owned(),
            old: name(&old.value.sample),
            new: new.map(|new| name(&new.value.sample)).unwrap_or_default(),
            by: format!("{}, {}", taken.by, taken.at),
            reason: taken.reason.to_string(),
        });
    }
    found
}

/// The units that were given out and have not come back.
fn given(entries: &Entries) -> Vec<Given> {
    let back = |seq: u64| entries.returned.iter().any(|back| back.value.release == seq);
    let who =
        |by: &Text, at, to: &Text, vet: &Text| format!("{at} by {by} to {to}, decided by {vet}");
    let mut all = Vec::new();
    for release in entries.releases.iter().filter(|release| !back(release.seq)) {
        let of = &release.value;
        all.push(Given {
            donor: of.donor.to_string(),
            what: Gave::Released,
            unit: of.unit.to_string(),
            who: who(&release.by, release.at, &of.to, &of.veterinarian),
        });
    }
    for release in entries.emergency_releases.iter().filter(|release| !back(release.seq)) {
        let of = &release.value;
        all.push(Given {
            donor: of.donor.to_string(),
            what: Gave::InEmergency {
                reason: of.reason.to_string(),
                not_tested: of.not_tested.iter().map(ToString::to_string).collect(),
            },
            unit: of.unit.to_string(),
            who: who(&release.by, release.at, &of.to, &of.veterinarian),
        });
    }
    all
}

/// What is open in a journal, of the worksheets that were opened on or after a day. Times to come
/// are those of the clock of a place.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
/// # use night::*;
/// # use crossread_core::document::Date;
/// # use crossread_print::{handover, text};
/// # use jiff::tz::TimeZone;
/// // WS-1 was read and not issued.
/// let since = Date::new("2026-03-01").ok_or("no day")?;
/// let page = handover(&mut read(), "KT", time("07:00"), since, &TimeZone::UTC)?;
/// assert!(text(&page).contains("WS-1"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the journal cannot be read.
pub fn handover(
    journal: &mut Journal,
    by: &str,
    at: Time,
    since: Date,
    place: &TimeZone,
) -> Result<Document, JournalError> {
    let tasks = journal.open_tasks()?.into_iter().map(|open| {
        [
            open.seq.to_string(),
            open.since.to_string(),
            open.worksheet.to_string(),
            open.task.text.to_string(),
        ]
    });
    let tasks = tasks.collect();
    let running = journal.running()?.into_iter();
    let running = running.map(|of| [of.worksheet.to_string(), crate::running_said(&of, at, place)]);
    let unfinished = journal.open_worksheets(since)?.into_iter().map(|open| Unfinished {
        worksheet: open.worksheet.to_string(),
        recipient: open.recipient.map(|id| id.to_string()).unwrap_or_default(),
        opened: open.opened.to_string(),
        changed: open.changed.to_string(),
        missing: open
            .missing
            .into_iter()
            .map(|(donor, missing)| {
                let missing =
                    if missing.is_empty() { "not issued".to_owned() } else { missing.join(", ") };
                format!("{donor}: {missing}")
            })
            .collect(),
    });
    let handover = Handover {
        hospital: journal.of()?.to_string(),
        at: at.to_string(),
        by: by.to_owned(),
        running: running.collect(),
        tasks,
        unfinished: unfinished.collect(),
    };
    Ok(handover.document())
}
