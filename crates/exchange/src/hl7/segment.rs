//! A message taken apart into segments, fields and their parts.

use super::escape::{Delimiters, unescaped};
use crate::wrong::Wrongs;

/// One field: repetitions of components of subcomponents, each a text.
type Parts = Vec<Vec<Vec<String>>>;

/// One segment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Segment {
    pub(super) name: String,
    /// The fields; the first has the number 1, and in MSH it is the field delimiter.
    fields: Vec<Parts>,
}

impl Segment {
    /// A component of a field, both counted from 1, as the standard does; empty if it is not there.
    /// With more repetitions or subcomponents than one it has none.
    pub(super) fn component(&self, field: usize, component: usize) -> &str {
        let one = |parts: &Parts| parts.len() == 1;
        let parts = field.checked_sub(1).and_then(|place| self.fields.get(place));
        parts
            .filter(|parts| one(parts))
            .and_then(|parts| parts.first()?.get(component.checked_sub(1)?))
            .filter(|subcomponents| subcomponents.len() == 1)
            .and_then(|subcomponents| subcomponents.first())
            .map_or("", String::as_str)
    }

    /// A subcomponent, all counted from 1.
    pub(super) fn subcomponent(&self, field: usize, component: usize, sub: usize) -> &str {
        let parts = field.checked_sub(1).and_then(|place| self.fields.get(place));
        parts
            .and_then(|parts| {
                parts.first()?.get(component.checked_sub(1)?)?.get(sub.checked_sub(1)?)
            })
            .map_or("", String::as_str)
    }

    /// The numbers of the fields that differ.
    pub(super) fn differing(&self, other: &Self) -> Vec<usize> {
        let most = self.fields.len().max(other.fields.len());
        (0..most)
            .filter(|place| whole(self.fields.get(*place)) != whole(other.fields.get(*place)))
            .map(|place| place.saturating_add(1))
            .collect()
    }

    /// A field as it would be shown.
    pub(super) fn shown(&self, field: usize) -> String {
        let parts = field.checked_sub(1).and_then(|place| self.fields.get(place));
        let shown = parts.map(|parts| {
            let repetition = |of: &Vec<Vec<String>>| -> String {
                of.iter().map(|component| component.join("&")).collect::<Vec<_>>().join("^")
            };
            parts.iter().map(repetition).collect::<Vec<_>>().join("~")
        });
        shown
            .filter(|text| !text.is_empty())
            .map_or_else(|| "nothing".to_owned(), |t| format!("`{t}`"))
    }
}

/// A field without empty parts at the end, which mean nothing.
fn whole(parts: Option<&Parts>) -> Parts {
    let mut parts = parts.cloned().unwrap_or_default();
    for components in &mut parts {
        for subcomponents in components.iter_mut() {
            trim(subcomponents, String::is_empty);
        }
        trim(components, Vec::is_empty);
    }
    trim(&mut parts, Vec::is_empty);
    parts
}

fn trim<T>(parts: &mut Vec<T>, is_empty: impl Fn(&T) -> bool) {
    while parts.last().is_some_and(&is_empty) {
        parts.pop();
    }
}

/// Takes a message apart. Segments end with a carriage return, as the standard says, or with a line
/// feed or both, as files do.
pub(super) fn segments(text: &str, wrongs: &mut Wrongs) -> Vec<Segment> {
    let Some(delimiters) = delimiters(text) else {
        let start: String = text.chars().take(9).collect();
        wrongs.add("segment 1, MSH-2", "`MSH` and five different delimiters", format!("`{start}`"));
        return Vec::new();
    };
    let lines = text.split(['\r', '\n']).filter(|line| !line.is_empty());
    lines
        .enumerate()
        .map(|(number, line)| {
            let mut fields = line.split(delimiters.field);
            let name = fields.next().unwrap_or_default().to_owned();
            let place = format!("segment {}, {name}", number.saturating_add(1));
            let mut taken: Vec<Parts> = Vec::new();
            if name == "MSH" {
                let first = |text: &str| vec![vec![vec![text.to_owned()]]];
                taken.push(first(&delimiters.field.to_string()));
                // The delimiters themselves.
                taken.push(first(fields.next().unwrap_or_default()));
            }
            for field in fields {
                let place = format!("{place}-{}", taken.len().saturating_add(1));
                taken.push(parts(field, delimiters, &place, wrongs));
            }
            Segment { name, fields: taken }
        })
        .collect()
}

fn parts(field: &str, delimiters: Delimiters, place: &str, wrongs: &mut Wrongs) -> Parts {
    let mut text = |written: &str| {
        unescaped(written, delimiters).unwrap_or_else(|why| {
            wrongs.add(place, "text with the escapes F, S, T, R, E and X", why);
            String::new()
        })
    };
    field
        .split(delimiters.repetition)
        .map(|repetition| {
            repetition
                .split(delimiters.component)
                .map(|component| component.split(delimiters.subcomponent).map(&mut text).collect())
                .collect()
        })
        .collect()
}

fn delimiters(text: &str) -> Option<Delimiters> {
    let mut rest = text.strip_prefix("MSH")?.chars();
    let mut next = || rest.next().filter(char::is_ascii_punctuation);
    let (field, component, repetition, escape, subcomponent) =
        (next()?, next()?, next()?, next()?, next()?);
    let all = [field, component, repetition, escape, subcomponent];
    let different = all
        .iter()
        .enumerate()
        .all(|(place, one)| !all.iter().skip(place.saturating_add(1)).any(|c| c == one));
    let ended = rest.next() == Some(field);
    (different && ended).then_some(Delimiters {
        field,
        component,
        repetition,
        escape,
        subcomponent,
    })
}
