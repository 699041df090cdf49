//! Texts as every format can hold them.

use super::refused::TextFault;

/// Longest text, in characters. Longer ones are a mistake of whoever made the question.
const LONGEST: usize = 100_000;
/// Longest id or name, in characters: the shortest limit of the learning systems (Moodle's
/// `idnumber`, from memory).
const LONGEST_NAME: usize = 100;
/// Longest title, in characters: Moodle's names hold 255 (from memory), and a number may follow.
const LONGEST_TITLE: usize = 200;
/// Longest name or description of a picture, in characters.
const LONGEST_LINE: usize = 2_000;

/// A text of several lines: no white space at its ends, `\n` between lines.
pub(super) fn paragraph(text: &str) -> Result<String, TextFault> {
    let text = text.trim().replace("\r\n", "\n");
    bounded(&text, LONGEST)?;
    only(&text, |c| matches!(c, '\n' | '\t'))?;
    Ok(text)
}

/// A text of one line.
pub(super) fn line(text: &str) -> Result<String, TextFault> {
    one_line(text, LONGEST_LINE)
}

/// The title of a set.
pub(super) fn title(text: &str) -> Result<String, TextFault> {
    one_line(text, LONGEST_TITLE)
}

/// An id.
pub(super) fn name(text: &str) -> Result<String, TextFault> {
    one_line(text, LONGEST_NAME)
}

fn one_line(text: &str, most: usize) -> Result<String, TextFault> {
    let text = text.trim();
    bounded(text, most)?;
    only(text, |_| false)?;
    Ok(text.to_owned())
}

fn bounded(text: &str, most: usize) -> Result<(), TextFault> {
    match text.chars().count() {
        0 => Err(TextFault::Empty),
        found if found > most => Err(TextFault::TooLong { most, found }),
        _ => Ok(()),
    }
}

/// XML 1.0 cannot hold control characters but tab and line end, nor U+FFFE and U+FFFF.
fn only(text: &str, allowed: impl Fn(char) -> bool) -> Result<(), TextFault> {
    let refused =
        |&c: &char| !allowed(c) && (c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}'));
    text.chars().find(refused).map_or(Ok(()), |found| Err(TextFault::Character { found }))
}

#[cfg(test)]
mod tests {
    use super::{TextFault, name, paragraph};

    #[test]
    fn ends_are_cut_and_lines_end_alike() {
        assert_eq!(paragraph(" a\r\nb \u{3000}"), Ok("a\nb".to_owned()));
        assert_eq!(name("\tq1\n"), Ok("q1".to_owned()));
    }

    #[test]
    fn what_xml_cannot_hold_is_refused() {
        for found in (0..=0x10_ffff_u32).filter_map(char::from_u32) {
            let text = format!("a{found}b");
            let held = match found {
                '\t' | '\n' => true,
                '\u{fffe}' | '\u{ffff}' => false,
                _ => !found.is_control(),
            };
            let expected =
                if held { Ok(text.clone()) } else { Err(TextFault::Character { found }) };
            assert_eq!(paragraph(&text), expected);
        }
    }

    #[test]
    fn nothing_and_too_much_are_refused() {
        assert_eq!(paragraph(" \n"), Err(TextFault::Empty));
        let long = "x".repeat(101);
        assert_eq!(name(&long), Err(TextFault::TooLong { most: 100, found: 101 }));
        assert_eq!(name(&"x".repeat(100)), Ok("x".repeat(100)));
    }
}
