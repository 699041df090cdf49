//! What goes on paper: `sheet`, `labels`, `report`, `handover`.

use std::fs;
use std::io::Write as _;

use clap::{Args, ValueEnum};
use crossread_core::document::{Date, Id};
use crossread_core::{Interpretation, Protocol, Worksheet, interpret};
use crossread_journal::{Journal, Sheet as Entries};
use crossread_print::{
    Amendment, Document, Gave, Given, Handover, Paper, Replaced, Report, Sheet, Unfinished,
};

use crate::exit::{self, Failure};
use crate::verbs::journal::{date, id, now, opened};
use crate::{input, text};

/// Print a worksheet, filled or to be filled in.
#[derive(Debug, Args)]
pub(crate) struct OfWorksheet {
    /// A worksheet's file (`-` is the standard input), or its id in the journal.
    worksheet: String,
    /// The journal that it is in: a file, or the URL of a database.
    #[arg(short, long, value_name = "PLACE")]
    journal: Option<String>,
    /// Leave out what was read, to be filled in by hand.
    #[arg(long)]
    blank: bool,
    /// A local protocol that a worksheet's file may name; may be given several times.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
    #[command(flatten)]
    out: Out,
}

/// Print what is open, for the next shift.
#[derive(Debug, Args)]
pub(crate) struct OfShift {
    /// The journal: a file, or the URL of a database.
    #[arg(short, long, value_name = "PLACE")]
    journal: String,
    /// Who hands over.
    #[arg(long, value_name = "NAME")]
    by: String,
    /// Only worksheets that were opened on or after this day.
    #[arg(long, value_parser = date, default_value = "0001-01-01", hide_default_value = true)]
    since: Date,
    #[command(flatten)]
    out: Out,
}

#[derive(Debug, Args)]
struct Out {
    /// How it is written.
    #[arg(long = "as", value_enum, default_value_t = How::Html)]
    how: How,
    /// The paper.
    #[arg(long, value_enum, default_value_t = Size::A4)]
    paper: Size,
    /// The file to write; left out, the standard output. A file that is there is replaced only when
    /// the new one is complete.
    #[arg(short = 'o', long = "out", value_name = "FILE")]
    file: Option<String>,
    /// A font file for a PDF, for letters that the fonts that ship do not have; may be given
    /// several times.
    #[arg(long, value_name = "FILE")]
    font: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum How {
    /// One HTML file, to be printed by a browser.
    Html,
    /// Plain text, 80 columns wide.
    Text,
    /// PDF; only where the command was built with it.
    Pdf,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Size {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 inches.
    Letter,
}

impl Out {
    fn write(&self, document: &Document) -> Result<u8, Failure> {
        let paper = match self.paper {
            Size::A4 => Paper::A4,
            Size::Letter => Paper::Letter,
        };
        let bytes = match self.how {
            How::Html => crossread_print::html(document, paper).into_bytes(),
            How::Text => crossread_print::text(document).into_bytes(),
            How::Pdf => self.pdf(document, paper)?,
        };
        let Some(file) = &self.file else {
            let mut out = std::io::stdout().lock();
            out.write_all(&bytes)?;
            out.flush()?;
            return Ok(exit::RELEASABLE);
        };
        // Beside it first, so that a page is never half there.
        let beside = format!("{file}.part");
        let written = fs::write(&beside, bytes).and_then(|()| fs::rename(&beside, file));
        written.map_err(|error| {
            Failure::new(exit::CANNOT_WRITE, format!("cannot write {file}: {error}"))
        })?;
        Ok(exit::RELEASABLE)
    }

    #[cfg(feature = "pdf")]
    fn pdf(&self, document: &Document, paper: Paper) -> Result<Vec<u8>, Failure> {
        let mut fonts = crossread_print::Fonts::default();
        for file in &self.font {
            let none = || Failure::new(exit::MALFORMED, format!("{file} is no font"));
            fonts = fonts.with(input::document(file)?).ok_or_else(none)?;
        }
        crossread_print::pdf(document, paper, &fonts)
            .map_err(|error| Failure::new(exit::CANNOT_WRITE, error.to_string()))
    }

    #[cfg(not(feature = "pdf"))]
    #[expect(clippy::unused_self, reason = "it is, where the command has PDF")]
    fn pdf(&self, _: &Document, _: Paper) -> Result<Vec<u8>, Failure> {
        Err(Failure::misuse(
            "this command was built without PDF: print the HTML page from a browser, or build with \
             `--features pdf`",
        ))
    }
}

/// A worksheet with what is known of it from the journal, if it comes from one.
struct Source {
    worksheet: Worksheet,
    protocol: Protocol,
    interpretation: Interpretation,
    kept: Option<Kept>,
}

struct Kept {
    hospital: String,
    entries: Entries,
    readings: Vec<u64>,
    record: String,
}

impl OfWorksheet {
    fn source(&self) -> Result<Source, Failure> {
        match &self.journal {
            Some(place) => {
                from_journal(&mut opened(place)?, &id(&self.worksheet).map_err(Failure::misuse)?)
            }
            None => self.in_file(),
        }
    }

    fn in_file(&self) -> Result<Source, Failure> {
        let document = input::document(&self.worksheet)?;
        let protocols = input::protocols(&self.protocol)?;
        let worksheet = Worksheet::from_json(&document, &protocols).map_err(|faults| {
            let name = input::name(&self.worksheet);
            let told =
                text::faults::write(&mut anstream::stderr().lock(), name, &document, &faults);
            let message = "a worksheet at fault is not printed";
            told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
        })?;
        let named = worksheet.protocol();
        let protocol = protocols.get(&named.id, &named.version).cloned();
        let protocol =
            protocol.ok_or_else(|| Failure::new(exit::PROGRAM, "the protocol is gone"))?;
        let interpretation = interpret(&worksheet, &protocol);
        Ok(Source { worksheet, protocol, interpretation, kept: None })
    }
}

fn from_journal(journal: &mut Journal, worksheet: &Id) -> Result<Source, Failure> {
    let view = journal.view(worksheet)?;
    let shown = journal.show(worksheet, None)?;
    let head = journal.head()?;
    let kept = Kept {
        hospital: journal.of()?.to_string(),
        entries: journal.sheet(worksheet)?,
        readings: view.readings,
        record: format!("entry {}, SHA-256 {}", head.seq, head.sha256),
    };
    Ok(Source {
        worksheet: view.worksheet,
        protocol: shown.protocol,
        interpretation: shown.today,
        kept: Some(kept),
    })
}

pub(crate) fn sheet(asked: &OfWorksheet) -> Result<u8, Failure> {
    let source = asked.source()?;
    let mut sheet = if asked.blank {
        Sheet::blank(&source.worksheet, &source.protocol)
    } else {
        Sheet::filled(&source.worksheet, &source.protocol)
    };
    if let Some(kept) = &source.kept {
        sheet.hospital = Some(kept.hospital.clone());
        let request = kept.entries.opening().and_then(|opened| opened.value.request.clone());
        sheet.request = request.map(|request| {
            let parts = [request.by, request.text];
            parts.into_iter().flatten().map(|text| text.to_string()).collect::<Vec<_>>().join(", ")
        });
        sheet.transcribed = transcribed(kept);
    }
    asked.out.write(&sheet.document())
}

/// When and by whom each transcribed reading was entered, by its place in the worksheet.
fn transcribed(kept: &Kept) -> Vec<(usize, String)> {
    let all = kept.readings.iter().enumerate().filter_map(|(place, seq)| {
        let entered = kept.entries.readings.iter().find(|reading| reading.seq == *seq)?;
        let from_paper = entered.value.transcribed && entered.replaces.is_none();
        from_paper.then(|| (place, format!("{} by {}", entered.at, entered.by)))
    });
    all.collect()
}

pub(crate) fn labels(asked: &OfWorksheet) -> Result<u8, Failure> {
    let source = asked.source()?;
    let labels = crossread_print::labels(&source.worksheet, &source.protocol);
    let labels = labels.ok_or_else(|| {
        Failure::new(exit::MALFORMED, "an id is too long for a scannable code (2331 bytes)")
    })?;
    asked.out.write(&labels)
}

pub(crate) fn report(asked: &OfWorksheet) -> Result<u8, Failure> {
    asked.out.write(&reported(&asked.source()?))
}

/// The report of a worksheet in a journal, as an HTML page.
pub(crate) fn report_of(journal: &mut Journal, worksheet: &Id) -> Result<String, Failure> {
    let source = from_journal(journal, worksheet)?;
    Ok(crossread_print::html(&reported(&source), Paper::A4))
}

fn reported(source: &Source) -> Document {
    let mut report = Report::new(&source.worksheet, &source.interpretation);
    if let Some(kept) = &source.kept {
        report.hospital = Some(kept.hospital.clone());
        report.record = Some(kept.record.clone());
        issue(&mut report, &kept.entries, &source.interpretation);
        report.amendments = amendments(&kept.entries);
        report.overrides = overrides(&kept.entries);
        report.transcribed = kept
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
        report.given = given(&kept.entries);
    }
    report.document()
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

fn cell(reading: &crossread_core::worksheet::draft::Reading) -> String {
    let test = reading.test.map_or("", |test| test.spoken());
    let donor = reading.donor.as_ref().map(|donor| format!(" of {donor}")).unwrap_or_default();
    let phase = reading.phase.map_or("", |phase| phase.spoken());
    format!("{test}{donor} {phase}")
}

/// Everything that was taken back, with what stands in its place.
fn amendments(entries: &Entries) -> Vec<Amendment> {
    let mut found = Vec::new();
    let seen = |reading: &crossread_core::worksheet::draft::Reading| {
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
    let unit = |donor: &crossread_core::worksheet::draft::Donor| {
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
        let name = |sample: &crossread_core::worksheet::draft::Sample| {
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

/// The decisions of named people to go on in spite of a refusal.
fn overrides(entries: &Entries) -> Vec<String> {
    let mut found = Vec::new();
    let mut add = |what: String, decided: Option<&crossread_journal::Override>| {
        found.extend(decided.map(|of| format!("{}: {what}, because: {}", of.by, of.reason)));
    };
    if let Some(opened) = entries.opening() {
        add("recipient".to_owned(), opened.value.overridden.as_ref());
    }
    for sample in entries.samples.iter().filter(|sample| sample.stands()) {
        let name = sample.value.sample.id.as_ref().map(ToString::to_string).unwrap_or_default();
        add(format!("sample {name}"), sample.value.overridden.as_ref());
    }
    for donor in entries.donors() {
        let name = donor.value.donor.id.as_ref().map(ToString::to_string).unwrap_or_default();
        add(format!("donor {name}"), donor.value.overridden.as_ref());
    }
    found
}

/// The units that were given out and have not come back.
fn given(entries: &Entries) -> Vec<Given> {
    let back = |seq: u64| entries.returned.iter().any(|back| back.value.release == seq);
    let who = |by: &crossread_core::document::Text,
               at,
               to: &crossread_core::document::Text,
               vet: &crossread_core::document::Text| {
        format!("{at} by {by} to {to}, decided by {vet}")
    };
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

pub(crate) fn handover(asked: &OfShift) -> Result<u8, Failure> {
    let mut journal = opened(&asked.journal)?;
    let tasks = journal.open_tasks()?.into_iter().map(|open| {
        [
            open.seq.to_string(),
            open.since.to_string(),
            open.worksheet.to_string(),
            open.task.text.to_string(),
        ]
    });
    let tasks = tasks.collect();
    let unfinished = journal.open_worksheets(asked.since)?.into_iter().map(|open| Unfinished {
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
        at: now()?.to_string(),
        by: asked.by.clone(),
        tasks,
        unfinished: unfinished.collect(),
    };
    asked.out.write(&handover.document())
}
