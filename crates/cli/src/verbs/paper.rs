//! What goes on paper: `sheet`, `labels`, `report`, `handover`.

use std::fs;
use std::io::Write as _;

use clap::{Args, ValueEnum};
use crossread_core::document::Date;
use crossread_core::{Protocol, Worksheet, interpret};
use crossread_print::{Document, Kept, Paper, Report, Sheet, handover as handed_over, zone_of};
use jiff::tz::TimeZone;

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
pub(crate) struct Out {
    /// The file to write; left out, the standard output. A file that is there is replaced only when
    /// the new one is complete.
    #[arg(short = 'o', long = "out", value_name = "FILE")]
    file: Option<String>,
    #[command(flatten)]
    page: Page,
}

/// How a page is written.
#[derive(Debug, Default, Args)]
pub(crate) struct Page {
    /// How it is written.
    #[arg(long = "as", value_enum, default_value_t = How::Html)]
    how: How,
    /// The paper.
    #[arg(long, value_enum, default_value_t = Size::A4)]
    paper: Size,
    /// A font file for a PDF, for letters that the fonts that ship do not have; may be given
    /// several times.
    #[arg(long, value_name = "FILE")]
    font: Vec<String>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum How {
    #[default]
    /// One HTML file, to be printed by a browser.
    Html,
    /// Plain text, 80 columns wide.
    Text,
    /// PDF; only where the command was built with it.
    Pdf,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Size {
    #[default]
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 inches.
    Letter,
}

impl Page {
    /// Whether nothing was asked of it.
    pub(crate) fn is_as_usual(&self) -> bool {
        (self.how, self.paper) == (How::default(), Size::default()) && self.font.is_empty()
    }
}

impl Out {
    /// Writes a document in the way asked for.
    pub(crate) fn write(&self, document: &Document) -> Result<u8, Failure> {
        self.page.write(document, self.file.as_deref())
    }

    /// Writes what is one HTML file and nothing else.
    pub(crate) fn write_page(&self, page: &str) -> Result<u8, Failure> {
        if self.page.how != How::Html {
            return Err(Failure::misuse("this has drawings in it and is written as HTML only"));
        }
        write_bytes(page.as_bytes(), self.file.as_deref())
    }

    /// Writes what is plain text and nothing else.
    pub(crate) fn write_text(&self, written: &str) -> Result<u8, Failure> {
        write_bytes(written.as_bytes(), self.file.as_deref())
    }
}

impl Page {
    /// Writes a page to a file, or to the standard output.
    pub(crate) fn write(&self, document: &Document, file: Option<&str>) -> Result<u8, Failure> {
        let paper = match self.paper {
            Size::A4 => Paper::A4,
            Size::Letter => Paper::Letter,
        };
        let bytes = match self.how {
            How::Html => crossread_print::html(document, paper).into_bytes(),
            How::Text => crossread_print::text(document).into_bytes(),
            How::Pdf => self.pdf(document, paper)?,
        };
        write_bytes(&bytes, file)
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

/// Writes a file; `-` and none are the standard output.
pub(crate) fn write_bytes(bytes: &[u8], file: Option<&str>) -> Result<u8, Failure> {
    let Some(file) = file.filter(|file| *file != "-") else {
        let mut out = std::io::stdout().lock();
        out.write_all(bytes)?;
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

/// Where a worksheet lies.
enum Source {
    InFile { worksheet: Box<Worksheet>, protocol: Box<Protocol> },
    Kept(Box<Kept>),
}

impl OfWorksheet {
    fn source(&self) -> Result<Source, Failure> {
        match &self.journal {
            Some(place) => {
                let id = id(&self.worksheet).map_err(Failure::misuse)?;
                Ok(Source::Kept(Box::new(Kept::of(&mut opened(place)?, &id)?)))
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
        Ok(Source::InFile { worksheet: Box::new(worksheet), protocol: Box::new(protocol) })
    }
}

pub(crate) fn sheet(asked: &OfWorksheet) -> Result<u8, Failure> {
    let document = match asked.source()? {
        Source::Kept(kept) => kept.sheet(asked.blank),
        Source::InFile { worksheet, protocol } if asked.blank => {
            Sheet::blank(&worksheet, &protocol).document()
        }
        Source::InFile { worksheet, protocol } => Sheet::filled(&worksheet, &protocol).document(),
    };
    asked.out.write(&document)
}

pub(crate) fn labels(asked: &OfWorksheet) -> Result<u8, Failure> {
    let labels = match asked.source()? {
        Source::Kept(kept) => kept.labels(),
        Source::InFile { worksheet, protocol } => crossread_print::labels(&worksheet, &protocol),
    };
    let labels = labels.ok_or_else(|| {
        Failure::new(exit::MALFORMED, "an id is too long for a scannable code (2331 bytes)")
    })?;
    asked.out.write(&labels)
}

pub(crate) fn report(asked: &OfWorksheet) -> Result<u8, Failure> {
    let document = match asked.source()? {
        Source::Kept(kept) => kept.report(),
        Source::InFile { worksheet, protocol } => {
            Report::new(&worksheet, &interpret(&worksheet, &protocol)).document()
        }
    };
    asked.out.write(&document)
}

pub(crate) fn handover(asked: &OfShift) -> Result<u8, Failure> {
    let mut journal = opened(&asked.journal)?;
    let now = now()?;
    let zone = zone_of(now, TimeZone::system());
    asked.out.write(&handed_over(&mut journal, &asked.by, now, asked.since, &zone)?)
}
