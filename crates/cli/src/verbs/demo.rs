use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use crossread_core::document::Text;
use crossread_core::worksheet::draft;
use crossread_core::{Protocols, Worksheet, interpret};
use crossread_journal::{Journal, Location, Override, TakenOver, Writer};
use crossread_print::{Kept, Paper};

use crate::exit::{self, Failure};
use crate::text::{self, paragraph};
use crate::verbs::journal;

/// The worksheets of the invented hospital's night, each with what led to it.
const NIGHT: [(&str, &str); 5] = [
    (
        "Three donors side by side: which one?",
        include_str!("../../../../examples/three-donors-compared/worksheet.json"),
    ),
    (
        "A cat of type B, a donor of type A, and not one tube that reacts.",
        include_str!("../../../../examples/cat-type-mismatch/worksheet.json"),
    ),
    (
        "A horse whose tubes show stacks of cells, read again after saline replacement.",
        include_str!("../../../../examples/rouleaux-dispersed/worksheet.json"),
    ),
    (
        "Antiglobulin tubes, negative, and check cells that did not react.",
        include_str!("../../../../examples/check-cells-failed/worksheet.json"),
    ),
    (
        "Called away before the run was finished.",
        include_str!("../../../../examples/incomplete-night-shift/worksheet.json"),
    ),
];

pub(crate) fn run() -> Result<u8, Failure> {
    let mut out = BufWriter::new(anstream::stdout().lock());
    paragraph(
        &mut out,
        "",
        "",
        "A night at Brindlemoor Animal Hospital, which is invented like every animal, person and \
         unit in it. Each worksheet holds what one technician wrote down; below it stands what \
         follows for each donor.",
    )?;
    let protocols = Protocols::shipped();
    let (mut journal, folder) = empty()?;
    for (number, (what, document)) in (1..).zip(NIGHT) {
        writeln!(out, "\n{}", "-".repeat(text::WIDTH))?;
        paragraph(&mut out, &format!("{number}. "), "   ", what)?;
        writeln!(out)?;
        show(&mut out, document, protocols)?;
        record(&mut journal, &folder, document, protocols)?;
    }
    writeln!(out, "\n{}", "-".repeat(text::WIDTH))?;
    let verified = journal.verify(None)?;
    let kept = format!(
        "All of it was entered in a journal, {} entries, and the report of each worksheet was \
         written beside it: {}",
        verified.entries,
        folder.display()
    );
    paragraph(&mut out, "", "", &kept)?;
    paragraph(
        &mut out,
        "",
        "",
        "Look at it with `crossread journal list -j FILE`, `journal show`, `journal verify`.",
    )?;
    writeln!(out)?;
    paragraph(
        &mut out,
        "",
        "",
        "Your own worksheet: write it as the ones in the folder `examples` are, then run \
         `crossread interpret FILE`. If something in it is not as it should be, every fault is \
         listed with its place and a hint. `crossread explain WORD` explains any word above.",
    )?;
    out.flush()?;
    Ok(exit::RELEASABLE)
}

/// Whose night it is.
const HOSPITAL: &str = "Brindlemoor Animal Hospital";

/// A new journal of the invented hospital, in a folder of its own.
fn empty() -> Result<(Journal, PathBuf), Failure> {
    let folder = folder()?;
    let file = folder.join("night.journal");
    let journal = Journal::create(&Location::from(file.as_path()), HOSPITAL, &writer()?)?;
    Ok((journal, folder))
}

/// A journal with the whole night in it, and its folder.
pub(crate) fn night(protocols: &Protocols) -> Result<(Journal, PathBuf), Failure> {
    let (mut journal, folder) = empty()?;
    for (_, document) in NIGHT {
        record(&mut journal, &folder, document, protocols)?;
    }
    Ok((journal, folder))
}

/// A new folder among the temporary files.
fn folder() -> Result<PathBuf, Failure> {
    let folder = std::env::temp_dir().join(format!("crossread-demo-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|error| {
        Failure::new(exit::CANNOT_WRITE, format!("cannot make {}: {error}", folder.display()))
    })?;
    Ok(folder)
}

fn writer() -> Result<Writer, Failure> {
    Ok(Writer::new("the demo", journal::now()?))
}

/// Takes a worksheet over into the journal, issues what it comes to, and writes the report.
fn record(
    journal: &mut Journal,
    folder: &Path,
    document: &str,
    protocols: &Protocols,
) -> Result<(), Failure> {
    let broken = |faults: crossread_core::document::Faults| {
        Failure::new(exit::PROGRAM, format!("the demo is at fault: {faults}"))
    };
    let worksheet = draft::Worksheet::from_json(document.as_bytes()).map_err(broken)?;
    let warnings = match &worksheet.recipient {
        Some(recipient) => journal.warnings(recipient)?,
        None => Vec::new(),
    };
    let id = worksheet.id.clone();
    let taken_over = TakenOver {
        worksheet,
        acknowledged: warnings.iter().map(|of| Text::from(of.to_string().as_str())).collect(),
        // Some of the night's samples would be refused at the bench; that is what it shows.
        overridden: Some(Override {
            by: Text::from("the demo"),
            reason: Text::from("to show what follows"),
        }),
    };
    journal.take_over(&writer()?, &taken_over, protocols)?;
    let Some(id) = id else { return Ok(()) };
    journal.issue(&writer()?, &id, "Dr Vane")?;
    let page = crossread_print::html(&Kept::of(journal, &id)?.report(), Paper::A4);
    let file = folder.join(format!("report-{id}.html"));
    std::fs::write(&file, page).map_err(|error| {
        Failure::new(exit::CANNOT_WRITE, format!("cannot write {}: {error}", file.display()))
    })
}

fn show(out: &mut dyn Write, document: &str, protocols: &Protocols) -> Result<(), Failure> {
    let broken =
        |what: String| Failure::new(exit::PROGRAM, format!("the demo is at fault: {what}"));
    let worksheet = Worksheet::from_json(document.as_bytes(), protocols)
        .map_err(|faults| broken(faults.to_string()))?;
    let named = worksheet.protocol();
    let protocol = protocols
        .get(&named.id, &named.version)
        .ok_or_else(|| broken("its protocol does not ship".to_owned()))?;
    Ok(text::verdict::write(out, &worksheet, protocol, &interpret(&worksheet, protocol))?)
}
