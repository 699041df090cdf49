//! Faults as a good compiler tells them: where, the line itself, what was expected, a hint.

use std::io::{self, Write};

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use crossread_core::document::{Fault, Faults};

use super::paragraph;

/// Most bytes of the document that are shown on each side of a place, so that a document written on
/// one long line stays readable.
const AROUND: usize = 28;

/// Writes all faults of a document.
pub(crate) fn write(
    out: &mut dyn Write,
    name: &str,
    document: &[u8],
    faults: &Faults,
) -> io::Result<()> {
    // A document that is no UTF-8 is shown as far as it is.
    let text = match str::from_utf8(document) {
        Ok(text) => text,
        Err(error) => {
            let good = document.get(..error.valid_up_to()).unwrap_or_default();
            str::from_utf8(good).unwrap_or_default()
        }
    };
    for fault in faults.as_slice() {
        one(out, name, text, fault)?;
        writeln!(out)?;
    }
    let count = faults.as_slice().len();
    let plural = if count == 1 { "" } else { "s" };
    writeln!(out, "{name}: {count} fault{plural}")
}

fn one(out: &mut dyn Write, name: &str, text: &str, fault: &Fault) -> io::Result<()> {
    let place = format!("{name}:{}:{}", fault.line, fault.column);
    let title = if fault.pointer.is_empty() {
        format!("{place}: {}", fault.code)
    } else {
        format!("{place}: {} at {}", fault.code, fault.pointer)
    };
    let start = fault.span.start.min(text.len());
    let end = fault.span.end.clamp(start, text.len());
    let line_start = text
        .get(..start)
        .and_then(|before| before.rfind('\n'))
        .map_or(0, |at| at.saturating_add(1));
    let line_end = text
        .get(start..)
        .and_then(|after| after.find('\n'))
        .map_or(text.len(), |at| start.saturating_add(at));
    let from = boundary_before(text, start.saturating_sub(AROUND).max(line_start));
    let to = boundary_after(text, end.saturating_add(AROUND).min(line_end));
    let shown = text.get(from..to).unwrap_or_default();
    writeln!(out, "{title}")?;
    if !shown.trim().is_empty() {
        let inside = start.saturating_sub(from)..end.min(to).max(start).saturating_sub(from);
        let snippet = Snippet::source(shown)
            .line_start(fault.line)
            .annotation(AnnotationKind::Primary.span(inside));
        let report = [Level::ERROR.no_name().primary_title("").element(snippet)];
        let drawn = Renderer::plain().render(&report);
        // The renderer's own head names a column within the piece shown, which is not the place.
        for line in drawn.lines().skip_while(|line| !line.trim_start().starts_with('|')).skip(1) {
            writeln!(out, "  {}", line.trim_end())?;
        }
    }
    paragraph(out, "  expected ", "           ", &fault.expected)?;
    paragraph(out, "  found    ", "           ", &fault.found)?;
    if let Some(hint) = &fault.hint {
        paragraph(out, "  hint     ", "           ", hint)?;
    }
    writeln!(out, "  more     crossread explain {}", fault.code)
}

fn boundary_before(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at = at.saturating_sub(1);
    }
    at
}

fn boundary_after(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at = at.saturating_add(1);
    }
    at
}
