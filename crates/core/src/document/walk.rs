use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::ops::Range;

use super::cursor::{Cursor, Kind};
use super::fault::{FaultCode, Finds, Raw};
use super::hint::nearest;
use super::leaf::{Leaf, Wrong};

/// Values nested deeper than this are refused.
const DEEPEST: usize = 64;

/// Longest piece of a document that is shown in a fault, in characters.
const SHOWN: usize = 60;

/// A part of a document that the walk can take, gathering what is wrong with it.
pub(crate) trait Part: Sized {
    /// Whether `null` is one of its values, and not a value that is missing.
    const NULL: bool = false;

    /// Takes the value at the walk's place, or reports why not. Always steps over the value.
    fn take(walk: &mut Walk<'_>) -> Option<Self>;
}

/// One pass over a document whose grammar is good, gathering every fault of its form.
#[derive(Debug)]
pub(crate) struct Walk<'t> {
    cursor: Cursor<'t>,
    pointer: String,
    depth: usize,
    finds: Finds,
}

impl<'t> Walk<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        Self {
            cursor: Cursor::new(text),
            pointer: String::new(),
            depth: 0,
            finds: Finds::default(),
        }
    }

    pub(crate) fn into_finds(self) -> Finds {
        self.finds
    }

    /// Takes the fields of an object. `take` is called for each known field whose value is not
    /// null, or that may be null, and must step over the value.
    pub(crate) fn object(
        &mut self,
        required: &[&'static str],
        optional: &[&'static str],
        nullable: &[(&'static str, bool)],
        mut take: impl FnMut(&mut Self, &str),
    ) -> Option<()> {
        let open = self.open(Kind::Object)?;
        let mut seen = BTreeSet::new();
        while !self.cursor.accept(b'}') {
            let token = self.cursor.scalar();
            let key = self.cursor.decoded(token.clone());
            self.cursor.accept(b':');
            let outside = self.push(&key);
            let known = required.iter().chain(optional).any(|field| *field == key);
            if !seen.insert(key.clone()) {
                self.fault(FaultCode::DuplicateKey, token, "each key once".into(), None);
            } else if !known {
                let fields: Vec<_> = required.iter().chain(optional).copied().collect();
                let expected = format!("one of the fields {}", list(&fields));
                let hint = nearest(&key, &fields).map(|field| format!("did you mean `{field}`?"));
                self.fault(FaultCode::UnknownField, token, expected, hint);
            }
            let may_be_null = nullable.iter().any(|(field, null)| *null && *field == key);
            if known && (may_be_null || self.not_null()) {
                take(self, &key);
            } else {
                self.skip();
            }
            self.pointer.truncate(outside);
            self.cursor.accept(b',');
        }
        self.depth = self.depth.saturating_sub(1);
        for field in required.iter().filter(|field| !seen.contains(**field)) {
            let outside = self.push(field);
            let place = open..open.saturating_add(1);
            self.finds.add(Raw {
                code: FaultCode::MissingField,
                pointer: self.pointer.clone(),
                span: place,
                expected: format!("the field `{field}`"),
                found: "nothing".to_owned(),
                hint: None,
            });
            self.pointer.truncate(outside);
        }
        Some(())
    }

    /// Takes an object whose keys are free, each with its value. `take` must step over the value.
    pub(crate) fn map(&mut self, mut take: impl FnMut(&mut Self, &str)) -> Option<()> {
        self.open(Kind::Object)?;
        let mut seen = BTreeSet::new();
        while !self.cursor.accept(b'}') {
            let token = self.cursor.scalar();
            let key = self.cursor.decoded(token.clone());
            self.cursor.accept(b':');
            let outside = self.push(&key);
            if !seen.insert(key.clone()) {
                self.fault(FaultCode::DuplicateKey, token, "each key once".into(), None);
            }
            if self.not_null() {
                take(self, &key);
            } else {
                self.skip();
            }
            self.pointer.truncate(outside);
            self.cursor.accept(b',');
        }
        self.depth = self.depth.saturating_sub(1);
        Some(())
    }

    /// Takes the elements of a list; an element that cannot be taken keeps its place as `None`.
    pub(crate) fn list<T: Part>(&mut self) -> Option<Vec<Option<T>>> {
        self.open(Kind::Array)?;
        let mut elements = Vec::new();
        while !self.cursor.accept(b']') {
            let outside = self.push_index(elements.len());
            if self.not_null() {
                elements.push(T::take(self));
            } else {
                self.skip();
                elements.push(None);
            }
            self.pointer.truncate(outside);
            self.cursor.accept(b',');
        }
        self.depth = self.depth.saturating_sub(1);
        Some(elements)
    }

    /// Takes a single value.
    pub(crate) fn leaf<T: Leaf>(&mut self) -> Option<T> {
        let kind = self.cursor.kind();
        let span = match kind {
            Kind::Object | Kind::Array => {
                let start = self.cursor.offset();
                self.skip();
                start..start.saturating_add(1)
            }
            Kind::Text | Kind::Number | Kind::Bool | Kind::Null => self.cursor.scalar(),
        };
        let value = match kind {
            Kind::Text => T::from_text(&self.cursor.decoded(span.clone())),
            Kind::Number => T::from_number(self.cursor.slice(span.clone())),
            Kind::Bool => T::from_bool(self.cursor.slice(span.clone()) == "true"),
            Kind::Object | Kind::Array | Kind::Null => Err(Wrong::type_of()),
        };
        value
            .map_err(|wrong| {
                let expected = wrong.expected.map_or_else(
                    || match T::WORDS {
                        [] => T::EXPECTED.to_owned(),
                        words => format!("{}: one of {}", T::EXPECTED, list(words)),
                    },
                    Cow::into_owned,
                );
                let hint = wrong.hint.map(Cow::into_owned);
                self.fault(wrong.code, span, expected, hint);
            })
            .ok()
    }

    /// Steps over a null, if one stands there.
    pub(crate) fn accept_null(&mut self) -> bool {
        let null = self.cursor.kind() == Kind::Null;
        if null {
            self.skip();
        }
        null
    }

    /// Steps over a value without a look, but for how deep it nests.
    pub(crate) fn skip(&mut self) {
        let (span, deepest) = self.cursor.skip();
        if self.depth.saturating_add(deepest) > DEEPEST {
            let place = span.start..span.start.saturating_add(1);
            let expected = format!("values nested at most {DEEPEST} deep");
            self.fault(FaultCode::NestingTooDeep, place, expected, None);
        }
    }

    /// Steps into an object or list; if something else stands there, reports it and steps over it.
    fn open(&mut self, wanted: Kind) -> Option<usize> {
        let start = self.cursor.offset();
        if self.cursor.kind() == wanted {
            self.depth = self.depth.saturating_add(1);
            self.cursor.accept(if wanted == Kind::Object { b'{' } else { b'[' });
            return Some(start);
        }
        let span = match self.cursor.kind() {
            Kind::Object | Kind::Array => {
                self.skip();
                start..start.saturating_add(1)
            }
            Kind::Text | Kind::Number | Kind::Bool | Kind::Null => self.cursor.scalar(),
        };
        self.fault(FaultCode::WrongType, span, wanted.spoken().to_owned(), None);
        None
    }

    /// Reports a null. The value is left for the caller to step over.
    fn not_null(&mut self) -> bool {
        if self.cursor.kind() != Kind::Null {
            return true;
        }
        let start = self.cursor.offset();
        let hint = "leave the field out if nothing is known".to_owned();
        let span = start..start.saturating_add(4);
        self.fault(FaultCode::NullValue, span, "a value".to_owned(), Some(hint));
        false
    }

    fn fault(
        &mut self,
        code: FaultCode,
        span: Range<usize>,
        expected: String,
        hint: Option<String>,
    ) {
        let found = found(self.cursor.text(), &span);
        let pointer = self.pointer.clone();
        self.finds.add(Raw { code, pointer, span, expected, found, hint });
    }

    fn push(&mut self, key: &str) -> usize {
        let outside = self.pointer.len();
        push_key(&mut self.pointer, key);
        outside
    }

    fn push_index(&mut self, index: usize) -> usize {
        let outside = self.pointer.len();
        push_index(&mut self.pointer, index);
        outside
    }
}

/// Adds a key to a JSON Pointer.
///
/// # Source
/// Bryan, Zyp and Nottingham, 2013, JavaScript Object Notation (JSON) Pointer, RFC 6901 section 3.
pub(crate) fn push_key(pointer: &mut String, key: &str) {
    pointer.push('/');
    for character in key.chars() {
        match character {
            '~' => pointer.push_str("~0"),
            '/' => pointer.push_str("~1"),
            other => pointer.push(other),
        }
    }
}

pub(crate) fn push_index(pointer: &mut String, index: usize) {
    // Writing to a string cannot fail.
    let _ = write!(pointer, "/{index}");
}

/// What stands at a place, in backticks, shortened.
pub(crate) fn found(text: &str, span: &Range<usize>) -> String {
    let piece = text.get(span.clone()).unwrap_or_default();
    match piece {
        "" => "the end of the document".to_owned(),
        "{" => "an object".to_owned(),
        "[" => "a list".to_owned(),
        _ => {
            let short: String = piece.chars().take(SHOWN).collect();
            let dots = if short.len() < piece.len() { "…" } else { "" };
            format!("`{short}{dots}`")
        }
    }
}

/// Words for a message, each in backticks.
pub(crate) fn list(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}
