use std::borrow::Cow;
use std::ops::Range;

/// A place in a JSON text whose grammar has been found good, moving forward value by value.
#[derive(Clone, Debug)]
pub(crate) struct Cursor<'t> {
    text: &'t str,
    at: usize,
}

/// What kind of value stands at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Object,
    Array,
    Text,
    Number,
    Bool,
    Null,
}

impl Kind {
    pub(crate) fn spoken(self) -> &'static str {
        match self {
            Self::Object => "an object",
            Self::Array => "a list",
            Self::Text => "text",
            Self::Number => "a number",
            Self::Bool => "true or false",
            Self::Null => "null",
        }
    }
}

impl<'t> Cursor<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        Self { text, at: 0 }
    }

    pub(crate) fn text(&self) -> &'t str {
        self.text
    }

    /// The offset of the next byte that is not white space.
    pub(crate) fn offset(&mut self) -> usize {
        while matches!(self.byte(), b' ' | b'\t' | b'\n' | b'\r') {
            self.step();
        }
        self.at
    }

    pub(crate) fn kind(&mut self) -> Kind {
        self.offset();
        match self.byte() {
            b'{' => Kind::Object,
            b'[' => Kind::Array,
            b'"' => Kind::Text,
            b't' | b'f' => Kind::Bool,
            b'n' => Kind::Null,
            _ => Kind::Number,
        }
    }

    /// Steps over `mark` if it is the next byte that is not white space.
    pub(crate) fn accept(&mut self, mark: u8) -> bool {
        self.offset();
        let found = self.byte() == mark;
        if found {
            self.step();
        }
        found
    }

    /// Steps over a text, a number, a boolean or null, and tells where it stood.
    pub(crate) fn scalar(&mut self) -> Range<usize> {
        let start = self.offset();
        if self.byte() == b'"' {
            self.step();
            while !matches!(self.byte(), b'"' | 0) {
                if self.byte() == b'\\' {
                    self.step();
                }
                self.step();
            }
            self.step();
        } else {
            while !matches!(self.byte(), b',' | b']' | b'}' | b' ' | b'\t' | b'\n' | b'\r' | 0) {
                self.step();
            }
        }
        start..self.at
    }

    /// Steps over the next value whole, and tells where it stood and how deep it nests.
    pub(crate) fn skip(&mut self) -> (Range<usize>, usize) {
        let start = self.offset();
        let (mut depth, mut deepest) = (0_usize, 0_usize);
        loop {
            match self.kind() {
                Kind::Object | Kind::Array => {
                    self.step();
                    depth = depth.saturating_add(1);
                    deepest = deepest.max(depth);
                }
                Kind::Text | Kind::Number | Kind::Bool | Kind::Null => {
                    self.scalar();
                }
            }
            // After a value come closing marks, then perhaps a comma or colon and another value.
            while depth > 0 && (self.accept(b'}') || self.accept(b']')) {
                depth = depth.saturating_sub(1);
            }
            if depth == 0 || self.at >= self.text.len() {
                return (start..self.at, deepest);
            }
            let _ = self.accept(b',') || self.accept(b':');
        }
    }

    pub(crate) fn slice(&self, range: Range<usize>) -> &'t str {
        self.text.get(range).unwrap_or_default()
    }

    /// The text that a token in quotes stands for.
    pub(crate) fn decoded(&self, token: Range<usize>) -> Cow<'t, str> {
        let quoted = self.slice(token);
        if quoted.contains('\\') {
            // The grammar was found good, so this gives the text; if not, the raw token is shown.
            serde_json::from_str(quoted).map_or(Cow::Borrowed(quoted), Cow::Owned)
        } else {
            Cow::Borrowed(quoted.trim_matches('"'))
        }
    }

    fn byte(&self) -> u8 {
        self.text.as_bytes().get(self.at).copied().unwrap_or(0)
    }

    fn step(&mut self) {
        self.at = self.at.saturating_add(1).min(self.text.len());
    }
}

#[cfg(test)]
mod tests {
    use super::{Cursor, Kind};

    #[test]
    fn skips_a_value_whole() {
        let mut cursor = Cursor::new(r#" { "a" : [1, {"b\"]": null}, "x"], "c": {} } , 7"#);
        assert_eq!(cursor.kind(), Kind::Object);
        let (range, depth) = cursor.skip();
        assert_eq!(cursor.slice(range), r#"{ "a" : [1, {"b\"]": null}, "x"], "c": {} }"#);
        assert_eq!(depth, 3);
        assert!(cursor.accept(b','));
        assert_eq!(cursor.kind(), Kind::Number);
        let range = cursor.scalar();
        assert_eq!(cursor.slice(range), "7");
    }

    #[test]
    fn decodes_escapes() {
        let mut cursor = Cursor::new(r#""a\u00b5\"""#);
        let token = cursor.scalar();
        assert_eq!(cursor.decoded(token), "aµ\"");
    }

    #[test]
    fn an_empty_list_in_a_list_ends_where_it_should() {
        let mut cursor = Cursor::new("[[],[]]x");
        assert_eq!(cursor.skip().0, 0..7);
    }
}
