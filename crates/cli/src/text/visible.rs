//! Characters that a terminal obeys or hides, made visible.

use std::borrow::Cow;
use std::fmt::Write as _;

/// The text with every character that a terminal obeys or does not show written as JSON would
/// escape it: `\u001b`. So no document can color, move or hide what stands around it.
pub(crate) fn visible(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    for character in text.chars() {
        push(&mut shown, character);
    }
    Cow::Owned(shown)
}

/// Adds one character, visibly.
pub(super) fn push(shown: &mut String, character: char) {
    if !is_hidden(character) {
        shown.push(character);
        return;
    }
    for unit in character.encode_utf16(&mut [0; 2]) {
        // Writing to a string cannot fail.
        let _ = write!(shown, "\\u{unit:04x}");
    }
}

/// Controls, which a terminal obeys; line and paragraph separators; and all that is not shown by
/// default, with the marks, embeddings, overrides and isolates of writing direction among it.
///
/// # Source
/// The property `Default_Ignorable_Code_Point` of the Unicode Character Database, and the
/// directional characters of Unicode Standard Annex 9, both from memory.
fn is_hidden(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{ad}'
                | '\u{34f}'
                | '\u{61c}'
                | '\u{115f}'..='\u{1160}'
                | '\u{17b4}'..='\u{17b5}'
                | '\u{180b}'..='\u{180f}'
                | '\u{200b}'..='\u{200f}'
                | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}'
                | '\u{3164}'
                | '\u{fe00}'..='\u{fe0f}'
                | '\u{feff}'
                | '\u{ffa0}'
                | '\u{fff0}'..='\u{fffb}'
                | '\u{1bca0}'..='\u{1bca3}'
                | '\u{1d173}'..='\u{1d17a}'
                | '\u{e0000}'..='\u{e0fff}'
        )
}

#[cfg(test)]
mod tests {
    use super::visible;

    #[test]
    fn what_a_terminal_obeys_is_shown() {
        assert_eq!(visible("\u{1b}[2Ja\rb\nc\td\u{7f}\u{9b}"), {
            r"\u001b[2Ja\u000db\u000ac\u0009d\u007f\u009b"
        });
        assert_eq!(visible("D-1\u{202e}elbitapmoc\u{2069}"), r"D-1\u202eelbitapmoc\u2069");
        assert_eq!(visible("a\u{200b}b\u{e0041}"), r"a\u200bb\udb40\udc41");
    }

    #[test]
    fn every_control_and_directional_character_is_shown() {
        let directional = "\u{61c}\u{200e}\u{200f}\u{202a}\u{202b}\u{202c}\u{202d}\u{202e}\u{2066}\u{2067}\u{2068}\u{2069}";
        let controls = (0..=0x9f).filter_map(char::from_u32).filter(|c| c.is_control());
        for character in controls.chain(directional.chars()) {
            let text = character.to_string();
            assert_eq!(visible(&text), format!("\\u{:04x}", u32::from(character)));
        }
    }

    #[test]
    fn what_is_written_in_any_language_stays() {
        for text in ["Łatka", "Bjo\u{308}rn", "37 °C, 50 µL", "狗 D-1", "كلب", "\\u001b", ""]
        {
            assert_eq!(visible(text), text);
        }
    }
}
