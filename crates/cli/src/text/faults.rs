//! Faults as a good compiler tells them: where, the line itself, what was expected, a hint.

use std::io::{self, Write};

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use crossread_core::document::{Fault, Faults};
use textwrap::core::display_width;

use super::{line, paragraph};

/// Most columns of the document that are shown before a place, so that a document written on one
/// long line stays readable, and each of its faults costs the same.
const BEFORE: usize = 24;

/// Most columns that are shown of the place itself with what follows it.
const FROM: usize = 40;

/// Most characters of a pointer that are shown; JSON gives it whole.
const POINTER: usize = 60;

/// Writes all faults of a document, and how many there are.
pub(crate) fn write(
    out: &mut dyn Write,
    name: &str,
    document: &[u8],
    faults: &Faults,
) -> io::Result<()> {
    each(out, name, 1, document, faults)?;
    let count = faults.as_slice().len();
    let plural = if count == 1 { "" } else { "s" };
    line(out, &format!("{name}: {count} fault{plural}"))
}

/// Writes all faults of a document whose first line is this line of a file.
pub(crate) fn each(
    out: &mut dyn Write,
    name: &str,
    first_line: u64,
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
    let before = usize::try_from(first_line).unwrap_or(usize::MAX).saturating_sub(1);
    for fault in faults.as_slice() {
        one(out, name, before.saturating_add(fault.line), text, fault)?;
        writeln!(out)?;
    }
    Ok(())
}

fn one(
    out: &mut dyn Write,
    name: &str,
    line_number: usize,
    text: &str,
    fault: &Fault,
) -> io::Result<()> {
    let at = if fault.pointer.is_empty() {
        String::new()
    } else {
        format!(" at {}", end_of(&fault.pointer, POINTER))
    };
    line(out, &format!("{name}:{line_number}:{}: {}{at}", fault.column, fault.code))?;
    let window = Window::around(text, fault);
    if !window.shown.trim().is_empty() {
        let snippet = Snippet::source(&window.shown)
            .line_start(line_number)
            .annotation(AnnotationKind::Primary.span(window.marked));
        let report = [Level::ERROR.no_name().primary_title("").element(snippet)];
        let drawn = Renderer::plain().render(&report);
        // The renderer's own head names a column within the piece shown, which is not the place.
        for row in drawn.lines().skip_while(|row| !row.trim_start().starts_with('|')).skip(1) {
            line(out, &format!("  {}", row.trim_end()))?;
        }
    }
    paragraph(out, "  expected ", "           ", &fault.expected)?;
    paragraph(out, "  found    ", "           ", &fault.found)?;
    if let Some(hint) = &fault.hint {
        paragraph(out, "  hint     ", "           ", hint)?;
    }
    line(out, &format!("  more     crossread explain {}", fault.code))
}

/// A piece of one line around a place, and the place in it.
struct Window {
    shown: String,
    marked: std::ops::Range<usize>,
}

impl Window {
    /// Looks at no more of the text than it shows.
    fn around(text: &str, fault: &Fault) -> Self {
        let (before, from) = text.split_at_checked(fault.span.start).unwrap_or((text, ""));
        let length = fault.span.end.saturating_sub(fault.span.start);
        let (mut earlier, more_before) = fitting(before.chars().rev(), BEFORE);
        let (later, more_after) = fitting(from.chars(), FROM);
        earlier.reverse();
        let dots = |more| if more { "…" } else { "" };
        let mut shown = format!("{}{}", dots(more_before), earlier.concat());
        let start = shown.len();
        let mut end = start;
        for ((offset, _), piece) in from.char_indices().zip(&later) {
            shown.push_str(piece);
            if offset < length {
                end = shown.len();
            }
        }
        shown.push_str(dots(more_after));
        Self { shown, marked: start..end }
    }
}

/// The characters up to the end of the line as they are shown, as long as they fit into so many
/// columns, and whether there are more.
fn fitting(characters: impl Iterator<Item = char>, columns: usize) -> (Vec<String>, bool) {
    let (mut pieces, mut width) = (Vec::new(), 0_usize);
    for character in characters.take_while(|c| !matches!(c, '\n' | '\r')) {
        let mut piece = String::new();
        match character {
            // Between the parts of a document a tab is as good as a space.
            '\t' => piece.push(' '),
            other => super::visible::push(&mut piece, other),
        }
        width = width.saturating_add(display_width(&piece));
        if width > columns {
            return (pieces, true);
        }
        pieces.push(piece);
    }
    (pieces, false)
}

/// The end of a text, which says the most of a pointer.
fn end_of(text: &str, most: usize) -> String {
    match text.char_indices().rev().nth(most) {
        None => text.to_owned(),
        Some((cut, character)) => {
            let from = cut.saturating_add(character.len_utf8());
            format!("…{}", text.get(from..).unwrap_or_default())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::end_of;

    #[test]
    fn the_end_of_a_pointer_is_shown() {
        assert_eq!(end_of("/donors/0", 9), "/donors/0");
        assert_eq!(end_of("/donors/0", 8), "…donors/0");
        assert_eq!(end_of("/µµµ", 2), "…µµ");
        assert_eq!(end_of("", 2), "");
    }
}
