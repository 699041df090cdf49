//! Text for people, 80 columns wide.

use textwrap::{Options, WordSplitter};

/// Writes a paragraph; its first line begins with `first`, every other with `rest`.
pub(crate) fn paragraph(out: &mut String, first: &str, rest: &str, text: &str) {
    let options = Options::new(80)
        .initial_indent(first)
        .subsequent_indent(rest)
        .word_splitter(WordSplitter::NoHyphenation);
    out.push_str(&textwrap::fill(text, options));
    out.push('\n');
}
