use std::collections::BTreeMap;
use std::ops::Range;

use super::cursor::{Cursor, Kind};
use super::walk::{push_index, push_key};

/// Where a value stands.
#[derive(Clone, Debug, Default)]
pub(crate) struct Place {
    pub(crate) span: Range<usize>,
    /// Whether there is a value; else the place is that of its nearest parent.
    pub(crate) exists: bool,
}

/// Finds where values stand, in one pass that enters only what leads to them.
///
/// A pointer to nothing gets the place where its nearest existing parent opens.
pub(crate) fn locate<'p>(
    text: &str,
    pointers: impl Iterator<Item = &'p str>,
) -> BTreeMap<String, Place> {
    let mut wanted: BTreeMap<String, Option<Range<usize>>> = BTreeMap::new();
    for pointer in pointers {
        let mut rest = pointer;
        while wanted.insert(rest.to_owned(), None).is_none() {
            let Some((parent, _)) = rest.rsplit_once('/') else {
                break;
            };
            rest = parent;
        }
    }
    let mut cursor = Cursor::new(text);
    enter(&mut cursor, &mut String::new(), &mut wanted);
    let place = |pointer: &str| {
        let mut rest = pointer;
        loop {
            if let Some(Some(range)) = wanted.get(rest) {
                return Place { span: range.clone(), exists: rest == pointer };
            }
            match rest.rsplit_once('/') {
                Some((parent, _)) => rest = parent,
                None => return Place::default(),
            }
        }
    };
    wanted.keys().map(|pointer| (pointer.clone(), place(pointer))).collect()
}

fn enter(
    cursor: &mut Cursor<'_>,
    at: &mut String,
    wanted: &mut BTreeMap<String, Option<Range<usize>>>,
) {
    let start = cursor.offset();
    let kind = cursor.kind();
    let within = {
        let mut inside = at.clone();
        inside.push('/');
        wanted.range(inside.clone()..).next().is_some_and(|(next, _)| next.starts_with(&inside))
    };
    let is_wanted = wanted.contains_key(at.as_str());
    let end = match kind {
        Kind::Object if within => {
            cursor.accept(b'{');
            while !cursor.accept(b'}') {
                let token = cursor.scalar();
                let key = cursor.decoded(token);
                cursor.accept(b':');
                let outside = at.len();
                push_key(at, &key);
                enter(cursor, at, wanted);
                at.truncate(outside);
                cursor.accept(b',');
            }
            start.saturating_add(1)
        }
        Kind::Array if within => {
            cursor.accept(b'[');
            let mut index = 0_usize;
            while !cursor.accept(b']') {
                let outside = at.len();
                push_index(at, index);
                enter(cursor, at, wanted);
                at.truncate(outside);
                cursor.accept(b',');
                index = index.saturating_add(1);
            }
            start.saturating_add(1)
        }
        Kind::Object | Kind::Array => {
            cursor.skip();
            start.saturating_add(1)
        }
        Kind::Text | Kind::Number | Kind::Bool | Kind::Null => cursor.scalar().end,
    };
    if is_wanted && let Some(place) = wanted.get_mut(at.as_str()) {
        place.get_or_insert(start..end);
    }
}
