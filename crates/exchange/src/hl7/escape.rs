//! The characters that mean something in HL7, and how they are written when they do not.

/// The characters that part a message, as its first segment names them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Delimiters {
    pub(super) field: char,
    pub(super) component: char,
    pub(super) repetition: char,
    pub(super) escape: char,
    pub(super) subcomponent: char,
}

/// A text as it is written within a subcomponent: delimiters by their letters, control characters
/// in hexadecimal.
pub(super) fn escaped(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '|' => written.push_str("\\F\\"),
            '^' => written.push_str("\\S\\"),
            '&' => written.push_str("\\T\\"),
            '~' => written.push_str("\\R\\"),
            '\\' => written.push_str("\\E\\"),
            control if control.is_ascii_control() => {
                written.push_str(&format!("\\X{:02X}\\", u32::from(control)));
            }
            other => written.push(other),
        }
    }
    written
}

/// The text that was written, or what of it cannot be read. Formatting, other character sets and
/// local escapes are not known.
pub(super) fn unescaped(written: &str, delimiters: Delimiters) -> Result<String, String> {
    let mut text = String::with_capacity(written.len());
    let mut rest = written;
    while let Some((before, after)) = rest.split_once(delimiters.escape) {
        text.push_str(before);
        let Some((escape, after)) = after.split_once(delimiters.escape) else {
            return Err(format!("an escape without an end, `{}{after}`", delimiters.escape));
        };
        match escape {
            "F" => text.push(delimiters.field),
            "S" => text.push(delimiters.component),
            "T" => text.push(delimiters.subcomponent),
            "R" => text.push(delimiters.repetition),
            "E" => text.push(delimiters.escape),
            other => {
                let hex = other.strip_prefix('X').and_then(hexadecimal);
                text.push_str(&hex.ok_or_else(|| format!("the escape `{other}`"))?);
            }
        }
        rest = after;
    }
    text.push_str(rest);
    Ok(text)
}

fn hexadecimal(digits: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = digits;
    while !rest.is_empty() {
        let (pair, after) = rest.split_at_checked(2)?;
        if !pair.bytes().all(|digit| digit.is_ascii_hexdigit()) {
            return None;
        }
        bytes.push(u8::from_str_radix(pair, 16).ok()?);
        rest = after;
    }
    String::from_utf8(bytes).ok().filter(|text| !text.is_empty())
}

#[cfg(test)]
mod tests {
    use super::{Delimiters, escaped, unescaped};

    /// Those that the standard recommends.
    const USUAL: Delimiters =
        Delimiters { field: '|', component: '^', repetition: '~', escape: '\\', subcomponent: '&' };

    #[test]
    fn every_character_comes_back() {
        let all: String =
            ('\0'..='\u{2fff}').chain(['\u{fffd}', '\u{1f408}', '\u{10ffff}']).collect();
        let written = escaped(&all);
        assert!(!written.contains(['|', '^', '&', '~', '\r', '\n', '\0']));
        assert_eq!(unescaped(&written, USUAL).as_deref(), Ok(all.as_str()));
        for character in ('\0'..='\u{2fff}').map(String::from) {
            assert_eq!(unescaped(&escaped(&character), USUAL), Ok(character));
        }
    }

    #[test]
    fn each_delimiter_has_its_letter() {
        assert_eq!(escaped("a|b^c&d~e\\f\rg"), r"a\F\b\S\c\T\d\R\e\E\f\X0D\g");
        let other = Delimiters {
            field: '#',
            component: '@',
            repetition: '*',
            escape: '!',
            subcomponent: '%',
        };
        assert_eq!(unescaped("!F!!S!!T!!R!!E!|", other).as_deref(), Ok("#@%*!|"));
    }

    #[test]
    fn what_is_not_known_is_refused() {
        for written in [
            r"\H\loud\N\",
            r"\.br\",
            r"a\",
            r"\F",
            r"\X\",
            r"\X4\",
            r"\XFF\",
            r"\X+1\",
            r"\Z1\",
            r"\\",
            r"\f\",
        ] {
            assert!(unescaped(written, USUAL).is_err(), "{written}");
        }
    }
}
