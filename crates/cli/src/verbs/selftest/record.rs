//! A journal on this installation, in a temporary folder: kept, refused, released, verified, and
//! found out when a byte of it is changed.

use std::fs;
use std::path::Path;

use crossread_core::Protocols;
use crossread_core::document::{Id, List, Text, Time};
use crossread_core::worksheet::draft;
use crossread_journal::{
    ControlsNoted, DonorAdded, Event, Journal, JournalError, Known, Location, Opening, Override,
    ProtocolName, ReadingEntered, Refusal, Release, SampleAdded, SetupNoted, Writer,
};

use super::cases::Case;
use super::{Checks, Part};

/// The case whose unit is released, and the one whose unit is not.
const RELEASED: &str = "clean-run";
const REFUSED: &str = "major-2-plus";

pub(super) fn record(checks: &mut Checks, cases: &[Case]) {
    let found = tempfile::tempdir()
        .map_err(|error| format!("no temporary folder: {error}"))
        .and_then(|folder| steps(checks, cases, folder.path()));
    if let Err(why) = found {
        checks.add(Part::Record, "a journal in a temporary folder", Err(why));
    }
}

/// A worksheet of a case, taken apart, and when everything on it had been read.
struct Written {
    id: Id,
    sheet: draft::Worksheet,
    recipient: Id,
    donor: Id,
    unit: Id,
    after: Time,
}

fn written(cases: &[Case], name: &str) -> Result<Written, String> {
    let case = cases.iter().find(|case| case.name == name).ok_or("the case does not ship")?;
    let sheet =
        draft::Worksheet::from_json(case.worksheet.as_bytes()).map_err(|why| why.to_string())?;
    let parts = || {
        let donor = sheet.donors.as_ref()?.iter().next()?.1;
        let readings = sheet.readings.as_ref()?.iter();
        Some(Written {
            id: sheet.id.clone()?,
            recipient: sheet.recipient.as_ref()?.id.clone()?,
            donor: donor.id.clone()?,
            unit: donor.unit.as_ref()?.number.clone()?,
            after: readings.filter_map(|(_, of)| of.at).max_by_key(|at| at.instant())?,
            sheet: sheet.clone(),
        })
    };
    parts().ok_or_else(|| "the case lacks a unit".to_owned())
}

fn steps(checks: &mut Checks, cases: &[Case], folder: &Path) -> Result<(), String> {
    let (good, bad) = (written(cases, RELEASED)?, written(cases, REFUSED)?);
    let file = folder.join("selftest.journal");
    let place = Location::from(file.as_path());
    let said = |error: JournalError| error.to_string();
    let mut journal = Journal::create(&place, "the selftest", &writer(&good)).map_err(said)?;
    checks.add(Part::Record, "make a journal", Ok(()));
    for of in [&good, &bad] {
        let entered = enter(&mut journal, of);
        checks.add(Part::Record, format!("enter worksheet {}", of.id), entered);
    }
    let release = |of: &Written| Release {
        worksheet: of.id.clone(),
        donor: of.donor.clone(),
        to: Text::from("the selftest"),
        veterinarian: Text::from("Dr Vane"),
        typed_recipient: Text::from(last_four(&of.recipient).as_str()),
        typed_unit: Text::from(last_four(&of.unit).as_str()),
    };
    let refuses = |checks: &mut Checks,
                   journal: &mut Journal,
                   what: &str,
                   by: &Writer,
                   asked: &Release,
                   wanted: fn(&Refusal) -> bool| {
        let found = match journal.release(by, asked) {
            Err(JournalError::Refused(refusal)) if wanted(&refusal) => Ok(()),
            Err(error) => Err(format!("refused for another reason: {error}")),
            Ok(_) => Err("released".to_owned()),
        };
        checks.add(Part::Record, what, found);
    };
    let (by, asked) = (writer(&good), release(&good));
    refuses(checks, &mut journal, "refuse a release before an issue", &by, &asked, |why| {
        matches!(why, Refusal::NotIssued(_))
    });
    for of in [&good, &bad] {
        let issued = journal.issue(&writer(of), &of.id, "Dr Vane").map(drop).map_err(said);
        checks.add(Part::Record, format!("issue worksheet {}", of.id), issued);
        let segment = journal.check_segment(&writer(of), &of.id, &of.donor, &last_four(&of.unit));
        let found = match segment {
            Ok(checked) if checked.agrees => Ok(()),
            Ok(_) => Err("the number does not agree".to_owned()),
            Err(error) => Err(error.to_string()),
        };
        checks.add(Part::Record, format!("check the segment of unit {}", of.unit), found);
    }
    refuses(
        checks,
        &mut journal,
        "refuse to release an incompatible unit",
        &writer(&bad),
        &release(&bad),
        |why| matches!(why, Refusal::NotReleasable { .. }),
    );
    let mut mistyped = asked.clone();
    mistyped.typed_unit = Text::from("0000");
    refuses(checks, &mut journal, "refuse a mistyped unit number", &by, &mistyped, |why| {
        matches!(why, Refusal::TypedWrong(..))
    });
    let late = Time::new("2099-01-01T00:00:00Z").ok_or("no time")?;
    let late = Writer::new("the selftest", late);
    refuses(checks, &mut journal, "refuse a release after the validity", &late, &asked, |why| {
        matches!(why, Refusal::Expired { .. })
    });
    let released = journal.release(&by, &asked).map(drop).map_err(said);
    checks.add(Part::Record, "release a compatible unit", released);
    refuses(checks, &mut journal, "refuse to release it again", &by, &asked, |why| {
        matches!(why, Refusal::AlreadyReleased { .. })
    });
    let head = journal.head().map_err(said)?;
    drop(journal);
    checks.add(Part::Record, "open and verify it again", verified(&place, head).map(drop));
    checks.add(Part::Record, "find one changed byte", one_byte(&file, &place, head));
    Ok(())
}

fn writer(of: &Written) -> Writer {
    Writer::new("the selftest", of.after)
}

fn last_four(id: &Id) -> String {
    let characters: Vec<char> = id.as_str().chars().collect();
    characters.into_iter().rev().take(crossread_journal::TYPED_AGAIN).rev().collect()
}

/// Enters everything on a worksheet, one after the other.
fn enter(journal: &mut Journal, of: &Written) -> Result<(), String> {
    let said = |error: JournalError| error.to_string();
    let by = writer(of);
    let overridden =
        Some(Override { by: Text::from("the selftest"), reason: Text::from("a worked case") });
    let sheet = &of.sheet;
    let (Some(protocol), Some(method), Some(recipient)) =
        (&sheet.protocol, sheet.method, &sheet.recipient)
    else {
        return Err("the worksheet lacks a part".to_owned());
    };
    let (Some(id), Some(version)) = (protocol.id.clone(), protocol.version.clone()) else {
        return Err("the worksheet names no protocol".to_owned());
    };
    let warnings = journal.warnings(recipient).map_err(said)?;
    let opening = Opening {
        worksheet: of.id.clone(),
        protocol: ProtocolName { id, version },
        method,
        recipient: recipient.clone(),
        request: None,
        acknowledged: warnings.iter().map(|of| Text::from(of.to_string().as_str())).collect(),
        second_reader: false,
        overridden: overridden.clone(),
    };
    journal.open_worksheet(&by, &opening, Protocols::shipped()).map_err(said)?;
    let mut events: Vec<Event> = Vec::new();
    for (_, donor) in sheet.donors.iter().flat_map(List::iter) {
        let (donor, known) = (donor.clone(), Known::default());
        events.push(DonorAdded { donor, known, overridden: overridden.clone() }.into());
    }
    for (_, sample) in sheet.samples.iter().flat_map(List::iter) {
        let sample = sample.clone();
        events.push(SampleAdded { sample, overridden: overridden.clone() }.into());
    }
    events.extend(sheet.setup.clone().map(|setup| SetupNoted { setup }.into()));
    events.extend(sheet.reagent_controls.clone().map(|controls| ControlsNoted { controls }.into()));
    for (_, reading) in sheet.readings.iter().flat_map(List::iter) {
        events.push(ReadingEntered { reading: reading.clone(), transcribed: true }.into());
    }
    for event in events {
        journal.enter(&by, &of.id, event).map_err(said)?;
    }
    Ok(())
}

fn verified(place: &Location, head: crossread_journal::Head) -> Result<u64, String> {
    let mut journal = Journal::open(place).map_err(|error| error.to_string())?;
    let verified = journal.verify(Some(head)).map_err(|error| error.to_string())?;
    match verified.first_bad {
        Some(bad) => Err(format!("entry {} is not as it was written: {}", bad.seq, bad.what)),
        None if !verified.store.is_empty() => Err(verified.store.join("; ")),
        None => Ok(verified.entries),
    }
}

/// A name in an entry, changed by one bit in the file.
fn one_byte(file: &Path, place: &Location, head: crossread_journal::Head) -> Result<(), String> {
    let said = |error: std::io::Error| error.to_string();
    let mut bytes = fs::read(file).map_err(said)?;
    let name = b"Dr Vane";
    let at = bytes.windows(name.len()).position(|window| window == name);
    let byte = at.and_then(|at| bytes.get_mut(at)).ok_or("the name is not in the file")?;
    *byte ^= 1;
    fs::write(file, bytes).map_err(said)?;
    // Only a place counts: a journal that cannot be read at all has noticed nothing.
    let mut journal = Journal::open(place).map_err(|error| error.to_string())?;
    let verified = journal.verify(Some(head)).map_err(|error| error.to_string())?;
    verified.first_bad.map(|_| ()).ok_or_else(|| "it was not noticed".to_owned())
}
