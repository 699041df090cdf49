//! What goes on paper, from the page.

use crossread_core::document::{Date, Id};
use crossread_print::{Kept, Paper, handover as handed_over, html, zone_of};
use jiff::tz::TimeZone;

use crate::answer::{Answer, Problem};
use crate::ask::Ask;

/// The paper that was asked for; A4 unless said otherwise.
pub(crate) fn size(ask: &Ask<'_>) -> Paper {
    if ask.query.get("size") == "letter" { Paper::Letter } else { Paper::A4 }
}

/// A sheet of a worksheet.
pub(crate) fn page(ask: &Ask<'_>, id: &Id, which: &str) -> Result<Answer, Problem> {
    let kept = Kept::of(&mut ask.bench.journal(), id)?;
    let document = match which {
        "sheet" => kept.sheet(false),
        "blank" => kept.sheet(true),
        "report" => kept.report(),
        "labels" => kept.labels().ok_or_else(|| {
            Problem::Told("an id is too long for a scannable code (2331 bytes)".to_owned())
        })?,
        _ => return Err(Problem::NoPage),
    };
    Ok(Answer::Paper(html(&document, size(ask))))
}

/// What is open, for the next shift.
pub(crate) fn handover(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let writer = ask.writer()?;
    let since = Date::new("0001-01-01").ok_or(Problem::NoPage)?;
    let zone = zone_of(writer.at, TimeZone::system());
    let mut journal = ask.bench.journal();
    let document = handed_over(&mut journal, writer.by.as_str(), writer.at, since, &zone)?;
    Ok(Answer::Paper(html(&document, size(ask))))
}
