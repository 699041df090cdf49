//! What people read: at most 80 columns, understandable without color, nothing hidden.
//!
//! Whatever comes from a document, a file's name or the command line is written through [`line()`]
//! or [`paragraph`] only, which show what a terminal would obey or hide.

pub(crate) mod evidence;
pub(crate) mod faults;
pub(crate) mod verdict;
mod visible;

use std::io::{self, Write};

use anstyle::Style;
use textwrap::{Options, WordSeparator, WordSplitter};

use visible::visible;

/// The width of everything that is printed for people.
pub(crate) const WIDTH: usize = 80;

/// Writes one line, however long.
pub(crate) fn line(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "{}", visible(text))
}

/// Writes a paragraph, the first line after `first`, the others after `rest`.
pub(crate) fn paragraph(
    out: &mut dyn Write,
    first: &str,
    rest: &str,
    text: &str,
) -> io::Result<()> {
    styled(out, Style::new(), first, rest, text)
}

/// Writes a paragraph in a style.
pub(crate) fn styled(
    out: &mut dyn Write,
    style: Style,
    first: &str,
    rest: &str,
    text: &str,
) -> io::Result<()> {
    let (first, rest) = (visible(first), visible(rest));
    // A slug or a path is one word: it can be copied whole.
    let options = Options::new(WIDTH)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .initial_indent(&first)
        .subsequent_indent(&rest);
    for line in textwrap::wrap(&visible(text), options) {
        writeln!(out, "{style}{line}{style:#}")?;
    }
    Ok(())
}
