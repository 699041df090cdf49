//! What people read: at most 80 columns, understandable without color.

pub(crate) mod faults;
pub(crate) mod verdict;

use std::io::{self, Write};

use textwrap::Options;

/// The width of everything that is printed for people.
pub(crate) const WIDTH: usize = 80;

/// Writes a paragraph, the first line after `first`, the others after `rest`.
pub(crate) fn paragraph(
    out: &mut dyn Write,
    first: &str,
    rest: &str,
    text: &str,
) -> io::Result<()> {
    let options = Options::new(WIDTH).initial_indent(first).subsequent_indent(rest);
    writeln!(out, "{}", textwrap::fill(text, options))
}
