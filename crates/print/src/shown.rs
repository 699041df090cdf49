//! Text that people wrote, made fit for paper: nothing in it may hide or move what stands beside it.

use std::fmt::Write as _;

use unicode_bidi::{BidiClass, bidi_class};
use unicode_properties::{GeneralCategory, UnicodeGeneralCategory as _};

/// A text as it is printed.
///
/// Characters that no one can see (control, format and private characters, line breaks) appear as
/// `‹U+202E›`. A text with right-to-left letters is put between isolates (Unicode Standard Annex
/// #9, Unicode Bidirectional Algorithm, section 2.4), so that it cannot turn round the numbers
/// that follow it.
pub(crate) fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rightward = false;
    for character in text.chars() {
        if is_hidden(character) {
            // Writing to a string cannot fail.
            write!(out, "‹U+{:04X}›", u32::from(character)).unwrap_or_default();
        } else {
            rightward |= matches!(bidi_class(character), BidiClass::R | BidiClass::AL);
            out.push(character);
        }
    }
    if rightward { format!("\u{2068}{out}\u{2069}") } else { out }
}

fn is_hidden(character: char) -> bool {
    #[expect(clippy::wildcard_enum_match_arm, reason = "the list of categories is Unicode's")]
    match character.general_category() {
        GeneralCategory::Control
        | GeneralCategory::Format
        | GeneralCategory::LineSeparator
        | GeneralCategory::ParagraphSeparator
        | GeneralCategory::PrivateUse => true,
        _ => is_blank_letter(character),
    }
}

/// The letters and marks that print nothing: fillers and grapheme joiner (default ignorable code
/// points of the Unicode Character Database that are no format characters), and the odd spaces.
fn is_blank_letter(character: char) -> bool {
    matches!(
        character,
        '\u{034F}'
            | '\u{115F}'..='\u{1160}'
            | '\u{17B4}'..='\u{17B5}'
            | '\u{2000}'..='\u{200A}'
            | '\u{3164}'
            | '\u{FFA0}'
    )
}

#[cfg(test)]
mod tests {
    use super::shown;

    #[test]
    fn names_of_all_scripts_stay_as_they_are() {
        for name in ["Pascoe", "München", "Мурзик", "茶太郎", "검둥이", "O’Malley №1", "a\u{301}"]
        {
            assert_eq!(shown(name), name);
        }
    }

    #[test]
    fn what_cannot_be_seen_is_written_out() {
        assert_eq!(shown("Wick\u{202E}et"), "Wick‹U+202E›et");
        assert_eq!(shown("a\nb\tc\u{0}"), "a‹U+000A›b‹U+0009›c‹U+0000›");
        assert_eq!(shown("D\u{200B}1\u{AD}2\u{FEFF}"), "D‹U+200B›1‹U+00AD›2‹U+FEFF›");
        assert_eq!(shown("\u{E000}\u{E0041}\u{3164}"), "‹U+E000›‹U+E0041›‹U+3164›");
    }

    #[test]
    fn right_to_left_names_are_kept_apart() {
        assert_eq!(shown("שלג"), "\u{2068}שלג\u{2069}");
    }
}
