use std::io::{BufWriter, Write};

use crossread_core::{Protocols, Worksheet, interpret};

use crate::exit::{self, Failure};
use crate::text::{self, paragraph};

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
    for (number, (what, document)) in (1..).zip(NIGHT) {
        writeln!(out, "\n{}", "-".repeat(text::WIDTH))?;
        paragraph(&mut out, &format!("{number}. "), "   ", what)?;
        writeln!(out)?;
        show(&mut out, document, protocols)?;
    }
    writeln!(out, "\n{}", "-".repeat(text::WIDTH))?;
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
