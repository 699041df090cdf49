//! What came from outside, as a message shows it.

/// More characters than this are cut.
const MOST: usize = 60;

/// The text in backticks, with everything that a terminal would obey or hide spelled out.
pub(super) fn shown(text: &str) -> String {
    let mut shown = String::from("`");
    let mut rest = text.chars();
    for c in rest.by_ref().take(MOST) {
        if plain(c) { shown.push(c) } else { shown.extend(c.escape_unicode()) }
    }
    if rest.next().is_some() {
        shown.push('…');
    }
    shown.push('`');
    shown
}

/// Not a control, nor one of those that change the order of what is read or cannot be seen.
fn plain(c: char) -> bool {
    !c.is_control()
        && !matches!(
            c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e0fff}'
        )
}

#[cfg(test)]
mod tests {
    use super::shown;

    #[test]
    fn nothing_is_obeyed_or_hidden() {
        assert_eq!(shown("3+"), "`3+`");
        assert_eq!(shown("a\u{1b}[2J\u{202e}b"), r"`a\u{1b}[2J\u{202e}b`");
        assert_eq!(shown(&"x".repeat(61)), format!("`{}…`", "x".repeat(60)));
    }
}
