//! A journal of many nights: a few worksheets are entered through the journal itself, exported, and
//! written again and again with other animals, units and days, as the lines of one long export.

use std::io::{BufRead, Read};

use crossread_core::document::{Digest, Id, Time};
use crossread_core::protocol::Protocols;
use crossread_core::worksheet::draft;
use crossread_journal::{DonorAdded, Journal, Known, ReadingEntered, SampleAdded, Writer};

/// Entries of one worksheet.
pub(super) const ENTRIES: usize = 10;
/// Worksheets of one recipient.
pub(super) const EACH: usize = 5;

pub(super) fn worksheet(number: usize) -> String {
    format!("WS-{number:06}")
}

pub(super) fn recipient(number: usize) -> String {
    format!("R-{:05}", number / EACH)
}

pub(super) fn unit(number: usize) -> String {
    format!("U-{number:06}")
}

fn donor(number: usize) -> String {
    format!("D-{:04}", number % 2_000)
}

/// A day of ten years, by the worksheet's number.
fn day(number: usize, of: usize) -> String {
    let day = number * 3_360 / of;
    format!("{}-{:02}-{:02}", 2026 + day / 336, 1 + day / 28 % 12, 1 + day % 28)
}

/// What differs between one worksheet and the next.
#[derive(Clone, Copy)]
enum Piece {
    Worksheet,
    Recipient,
    Donor,
    Unit,
    Day,
}

/// The text of an entry up to `previous`, between it and `seq`, and after it, in pieces.
type Template = [Vec<(String, Option<Piece>)>; 3];

/// The first entries of a journal as they stand, and a few worksheets as templates.
pub(super) struct Night {
    first: Vec<String>,
    worksheets: Vec<Vec<Template>>,
}

pub(super) fn writer(clock: &str) -> Writer {
    Writer::new("KT", Time::new(&format!("2026-03-01T{clock}+01:00")).unwrap())
}

pub(super) fn id(text: &str) -> Id {
    Id::new(text).unwrap()
}

/// A reading in short: test, donor or `-`, phase, grade.
pub(super) fn reading(short: &str, at: &str) -> ReadingEntered {
    let parts: Vec<&str> = short.split_whitespace().collect();
    let (test, donor, phase, grade) = (parts[0], parts[1], parts[2], parts[3]);
    let donor = if donor == "-" { String::new() } else { format!(r#""donor":"{donor}","#) };
    let pattern = if grade == "0" { "" } else { r#""pattern":"clumps","# };
    let document = format!(
        r#"{{"test":"{test}",{donor}"phase":"{phase}","agglutination":"{grade}","hemolysis":0,
             {pattern}"at":"2026-03-01T{at}+01:00","by":"KT"}}"#
    );
    let reading = draft::Reading::from_json(document.as_bytes()).unwrap();
    ReadingEntered { reading, transcribed: false }
}

/// Opens a worksheet with a donor and a sample.
pub(super) fn open(journal: &mut Journal, worksheet: &str, animals: [&str; 3]) {
    let [recipient, donor, unit] = animals;
    let opening = format!(
        r#"{{ "worksheet": "{worksheet}", "protocol": {{ "id": "dog-routine", "version": "1.0.0" }},
              "method": "tube", "recipient": {{ "id": "{recipient}", "name": "Juniper",
                "species": "dog", "breed": "mixed",
                "types": [ {{ "system": "DEA 1", "result": "negative" }} ],
                "history": {{ "transfused": "never", "pregnant": "unknown",
                  "reaction": "never" }} }} }}"#
    );
    let opening = serde_json::from_str(&opening).unwrap();
    journal.open_worksheet(&writer("02:41:00"), &opening, Protocols::shipped()).unwrap();
    let donor = format!(
        r#"{{ "id": "{donor}", "species": "dog", "product": "packed_cells",
              "types": [ {{ "system": "DEA 1", "result": "negative" }} ],
              "history": {{ "transfused": "never", "pregnant": "never", "reaction": "never" }},
              "unit": {{ "number": "{unit}", "expires_on": "2026-03-20",
                "inspection": "normal" }} }}"#
    );
    let donor = draft::Donor::from_json(donor.as_bytes()).unwrap();
    let added = DonorAdded { donor, known: Known::default(), overridden: None };
    journal.enter(&writer("02:42:00"), &id(worksheet), added).unwrap();
    let sample = format!(
        r#"{{ "id": "S-1", "of": "{recipient}", "role": "both", "tube": "edta",
              "stored": "fridge", "drawn_at": "2026-03-01T01:10:00+01:00", "hemolysis": 0,
              "lipemia": 0, "icterus": 0, "label_id": "{recipient}" }}"#
    );
    let sample = draft::Sample::from_json(sample.as_bytes()).unwrap();
    let added = SampleAdded { sample, overridden: None };
    journal.enter(&writer("02:43:00"), &id(worksheet), added).unwrap();
}

impl Night {
    /// Enters the worksheets in an empty journal: one in four reacts.
    pub(super) fn new(journal: &mut Journal) -> Self {
        let names = |number: usize| {
            let number = number * EACH;
            (worksheet(number), recipient(number), donor(number), unit(number))
        };
        for number in 0..4 {
            let (worksheet, recipient, donor, unit) = names(number);
            open(journal, &worksheet, [&recipient, &donor, &unit]);
            let grade = if number == 3 { "2+" } else { "0" };
            for (clock, short) in [
                ("03:28:10", "recipient_auto - warm_37c 0".to_owned()),
                ("03:28:40", format!("donor_auto {donor} warm_37c 0")),
                ("03:29:10", format!("major {donor} warm_37c {grade}")),
                ("03:29:40", format!("minor {donor} warm_37c 0")),
                ("03:58:10", "recipient_auto - room 0".to_owned()),
                ("03:59:10", format!("major {donor} room {grade}")),
            ] {
                let reading = reading(&short, clock);
                journal.enter(&writer(clock), &id(&worksheet), reading).unwrap();
            }
            journal.issue(&writer("04:02:00"), &id(&worksheet), "Dr Vane").unwrap();
        }
        let mut export = Vec::new();
        journal.export(&mut export).unwrap();
        let export = String::from_utf8(export).unwrap();
        let texts: Vec<&str> = export
            .lines()
            .map(|line| {
                let (text, _) = line.rsplit_once(r#","sha256":""#).unwrap();
                text.strip_prefix(r#"{"entry":"#).unwrap()
            })
            .collect();
        let (first, rest) = texts.split_at(2);
        assert_eq!(rest.len(), 4 * ENTRIES);
        let worksheets = rest.chunks(ENTRIES).enumerate().map(|(number, texts)| {
            let (worksheet, recipient, donor, unit) = names(number);
            let changing = [
                (worksheet, Piece::Worksheet),
                (recipient, Piece::Recipient),
                (donor, Piece::Donor),
                (unit, Piece::Unit),
                ("2026-03-01".to_owned(), Piece::Day),
            ];
            texts.iter().map(|text| template(text, &changing)).collect()
        });
        Self {
            first: first.iter().map(|text| (*text).to_owned()).collect(),
            worksheets: worksheets.collect(),
        }
    }
}

/// Takes an entry's text apart.
fn template(text: &str, changing: &[(String, Piece)]) -> Template {
    let (before, rest) = text.rsplit_once(r#""previous":""#).unwrap();
    let (_, after) = rest.split_at(64);
    let (between, rest) = after.split_once(r#""seq":"#).unwrap();
    let parts = [
        format!(r#"{before}"previous":""#),
        format!(r#"{between}"seq":"#),
        rest.trim_start_matches(|c: char| c.is_ascii_digit()).to_owned(),
    ];
    parts.map(|part| {
        let mut pieces = Vec::new();
        let mut rest = part.as_str();
        loop {
            let next = changing
                .iter()
                .filter_map(|(name, piece)| Some((rest.find(name)?, name.len(), *piece)))
                .min_by_key(|(at, ..)| *at);
            let Some((at, len, piece)) = next else { break };
            let (fixed, found) = rest.split_at(at);
            pieces.push((fixed.to_owned(), Some(piece)));
            rest = found.split_at(len).1;
        }
        pieces.push((rest.to_owned(), None));
        pieces
    })
}

/// The lines of an export with so many worksheets.
pub(super) struct Lines<'n> {
    night: &'n Night,
    of: usize,
    written: usize,
    previous: String,
    line: Vec<u8>,
    taken: usize,
}

impl<'n> Lines<'n> {
    pub(super) fn new(night: &'n Night, of: usize) -> Self {
        let (previous, line) = (String::new(), Vec::new());
        Self { night, of, written: 0, previous, line, taken: 0 }
    }

    /// Writes the next line, or nothing at the end.
    fn next_line(&mut self) {
        self.line.clear();
        self.taken = 0;
        let text = if let Some(text) = self.night.first.get(self.written) {
            text.clone()
        } else {
            let number = (self.written - self.night.first.len()) / ENTRIES;
            if number >= self.of {
                return;
            }
            let entry = (self.written - self.night.first.len()) % ENTRIES;
            // The same for all worksheets of a recipient, which is never two animals.
            let worksheets = &self.night.worksheets;
            let [before, between, after] = &worksheets[number / EACH % worksheets.len()][entry];
            let mut text = String::with_capacity(8_192);
            let put = |text: &mut String, pieces: &[(String, Option<Piece>)]| {
                for (fixed, piece) in pieces {
                    text.push_str(fixed);
                    match piece {
                        Some(Piece::Worksheet) => text.push_str(&worksheet(number)),
                        Some(Piece::Recipient) => text.push_str(&recipient(number)),
                        Some(Piece::Donor) => text.push_str(&donor(number)),
                        Some(Piece::Unit) => text.push_str(&unit(number)),
                        Some(Piece::Day) => text.push_str(&day(number, self.of)),
                        None => {}
                    }
                }
            };
            put(&mut text, before);
            text.push_str(&self.previous);
            put(&mut text, between);
            text.push_str(&(self.written + 1).to_string());
            put(&mut text, after);
            text
        };
        self.written += 1;
        self.previous = Digest::of(text.as_bytes()).to_string();
        self.line.extend_from_slice(br#"{"entry":"#);
        self.line.extend_from_slice(text.as_bytes());
        self.line.extend_from_slice(br#","sha256":""#);
        self.line.extend_from_slice(self.previous.as_bytes());
        self.line.extend_from_slice(b"\"}\n");
    }
}

impl Read for Lines<'_> {
    fn read(&mut self, buf: &mut [u8]) -> std::io::Result<usize> {
        let read = self.fill_buf()?.read(buf)?;
        self.consume(read);
        Ok(read)
    }
}

impl BufRead for Lines<'_> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        if self.taken >= self.line.len() {
            self.next_line();
        }
        Ok(&self.line[self.taken..])
    }

    fn consume(&mut self, amount: usize) {
        self.taken += amount;
    }
}
