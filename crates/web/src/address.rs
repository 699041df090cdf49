//! Addresses of pages.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// What stands in a path as it is.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.').remove(b'~');

/// The address of a page, by its parts.
pub(crate) fn of<'p>(parts: impl IntoIterator<Item = &'p str>) -> String {
    let mut address = String::new();
    for part in parts {
        address.push('/');
        // A browser takes these two for a step up or none.
        let plain = part.replace('.', if matches!(part, "." | "..") { "%2E" } else { "." });
        if plain == part {
            address.extend(utf8_percent_encode(part, PLAIN));
        } else {
            address.push_str(&plain);
        }
    }
    if address.is_empty() { "/".to_owned() } else { address }
}

/// A page of a worksheet.
pub(crate) fn sheet(worksheet: &str, page: &str) -> String {
    if page.is_empty() {
        of(["worksheets", worksheet])
    } else {
        of(["worksheets", worksheet, page])
    }
}

/// A value in the part of an address that follows its path.
pub(crate) fn value(text: &str) -> String {
    utf8_percent_encode(text, PLAIN).to_string()
}

#[cfg(test)]
mod tests {
    use super::of;

    #[test]
    fn parts_with_any_character_stay_one_part() {
        assert_eq!(of([]), "/");
        assert_eq!(of(["a", "D/1 \u{e9}?#"]), "/a/D%2F1%20%C3%A9%3F%23");
        assert_eq!(of(["worksheets", ".."]), "/worksheets/%2E%2E");
    }
}
