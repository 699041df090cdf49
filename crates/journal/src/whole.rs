//! Reading an entry in one pass.
//!
//! What a body holds depends on the kind, and in canonical form the kind stands after the body. So
//! the parts of the text are found first, and the body is read once, by its kind. A text that
//! cannot be taken apart this way is read in two passes.

use std::fmt;

use crossread_core::document::{Digest, Id, Text, Time};
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};

use crate::entry::{Entry, Envelope, Seq};
use crate::event::{Event, Issued, Kind};
use crate::frame::Frame;

/// How much of a body is kept.
pub(crate) trait Depth {
    /// Reads a body of the kind.
    fn read<'d, D: Deserializer<'d>>(kind: Kind, body: D) -> Result<Event, D::Error>;
}

/// All of it.
pub(crate) struct All;

impl Depth for All {
    fn read<'d, D: Deserializer<'d>>(kind: Kind, body: D) -> Result<Event, D::Error> {
        Event::read(kind, body)
    }
}

/// Of an interpretation only what the entry is found by. All of it is read all the same, so that
/// what cannot be read is found.
pub(crate) struct Terms;

impl Depth for Terms {
    fn read<'d, D: Deserializer<'d>>(kind: Kind, body: D) -> Result<Event, D::Error> {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Slim {
            revision: u32,
            to: Text,
            #[serde(default)]
            replaces: Option<Seq>,
            interpretation: Pruned,
        }
        if kind != Kind::Issued {
            return Event::read(kind, body);
        }
        let Slim { revision, to, replaces, interpretation } = Slim::deserialize(body)?;
        Ok(Event::Issued(Issued { revision, to, replaces, interpretation: interpretation.0 }))
    }
}

/// Reads an entry, its body as deep as asked for.
pub(crate) fn read<D: Depth>(text: &str) -> Result<Entry, serde_json::Error> {
    match Frame::of(text).and_then(within::<D>) {
        Some(entry) => Ok(entry),
        None => Envelope::read(text)?.open(),
    }
}

/// Reads the parts of an entry.
fn within<D: Depth>(frame: Frame<'_>) -> Option<Entry> {
    let mut body = serde_json::Deserializer::from_str(frame.body);
    let entry = Entry {
        seq: frame.seq,
        at: Time::new(frame.at)?,
        by: Text::from(frame.by),
        worksheet: match frame.worksheet {
            Some(id) => Some(Id::new(id)?),
            None => None,
        },
        replaces: frame.replaces,
        event: D::read(frame.kind.parse().ok()?, &mut body).ok()?,
        previous: Digest::new(frame.previous)?,
    };
    body.end().is_ok().then_some(entry)
}

/// Members of an interpretation, and of its parts, that an entry is found by.
const KEPT: [&str; 3] = ["recipient", "pairs", "verdict"];

/// Any value, without the members of its objects that are not kept.
struct Pruned(Value);

/// Any value, read as strictly as one that is kept.
struct Passed;

/// The name of a member, if it is kept.
struct Name(Option<&'static str>);

macro_rules! any {
    ($name:ident, $expected:literal, { $($visits:tt)* }) => {
        impl<'d> Deserialize<'d> for $name {
            fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
                struct Any;
                impl<'d> Visitor<'d> for Any {
                    type Value = $name;

                    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                        formatter.write_str($expected)
                    }

                    $($visits)*
                }
                deserializer.deserialize_any(Any)
            }
        }
    };
}

any!(Name, "a name", {
    fn visit_str<E>(self, v: &str) -> Result<Name, E> {
        Ok(Name(KEPT.into_iter().find(|kept| *kept == v)))
    }
});

any!(Passed, "any value", {
    fn visit_unit<E>(self) -> Result<Passed, E> {
        Ok(Passed)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Passed, E> {
        Ok(Passed)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Passed, E> {
        Ok(Passed)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Passed, E> {
        Ok(Passed)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Passed, E> {
        Ok(Passed)
    }

    fn visit_str<E>(self, _: &str) -> Result<Passed, E> {
        Ok(Passed)
    }

    fn visit_seq<A: SeqAccess<'d>>(self, mut seq: A) -> Result<Passed, A::Error> {
        while seq.next_element::<Passed>()?.is_some() {}
        Ok(Passed)
    }

    fn visit_map<A: MapAccess<'d>>(self, mut map: A) -> Result<Passed, A::Error> {
        while map.next_entry::<Passed, Passed>()?.is_some() {}
        Ok(Passed)
    }
});

any!(Pruned, "any value", {
    fn visit_unit<E>(self) -> Result<Pruned, E> {
        Ok(Pruned(Value::Null))
    }

    fn visit_bool<E>(self, v: bool) -> Result<Pruned, E> {
        Ok(Pruned(v.into()))
    }

    fn visit_u64<E>(self, v: u64) -> Result<Pruned, E> {
        Ok(Pruned(v.into()))
    }

    fn visit_i64<E>(self, v: i64) -> Result<Pruned, E> {
        Ok(Pruned(v.into()))
    }

    fn visit_f64<E>(self, v: f64) -> Result<Pruned, E> {
        Ok(Pruned(v.into()))
    }

    fn visit_str<E>(self, v: &str) -> Result<Pruned, E> {
        Ok(Pruned(v.into()))
    }

    fn visit_seq<A: SeqAccess<'d>>(self, mut seq: A) -> Result<Pruned, A::Error> {
        let mut list = Vec::new();
        while let Some(Pruned(element)) = seq.next_element()? {
            list.push(element);
        }
        Ok(Pruned(Value::Array(list)))
    }

    fn visit_map<A: MapAccess<'d>>(self, mut map: A) -> Result<Pruned, A::Error> {
        let mut kept = Map::new();
        while let Some(Name(name)) = map.next_key()? {
            if let Some(name) = name {
                kept.insert(name.to_owned(), map.next_value::<Pruned>()?.0);
            } else {
                map.next_value::<Passed>()?;
            }
        }
        Ok(Pruned(Value::Object(kept)))
    }
});

#[cfg(test)]
mod tests {
    use crossread_core::document::Digest;

    use super::{All, Terms, read};
    use crate::entry::{Entry, Envelope};
    use crate::event::Kind;

    const ISSUED: &str = "interpretation_issued";

    fn text(by: &str, kind: &str, body: &str) -> String {
        let (by, previous) = (serde_json::to_string(by).unwrap(), Digest::NONE);
        format!(
            r#"{{"at":"2026-03-01T03:28:10+01:00","body":{body},"by":{by},"kind":"{kind}","previous":"{previous}","seq":7,"worksheet":"WS-1"}}"#
        )
    }

    fn issued(interpretation: &str) -> String {
        text(
            "KT",
            ISSUED,
            &format!(r#"{{"interpretation":{interpretation},"revision":1,"to":"LM"}}"#),
        )
    }

    fn terms(entry: &Entry) -> Vec<(&'static str, String)> {
        let mut found = Vec::new();
        crate::terms::terms(entry, &mut |field, value| {
            found.push((field.word(), value.to_owned()));
        });
        found
    }

    /// One pass and two passes come to the same, and so do the terms.
    fn agree(text: &str) {
        let two = Envelope::read(text).and_then(Envelope::open);
        let (one, pruned) = (read::<All>(text), read::<Terms>(text));
        assert_eq!(one.as_ref().ok(), two.as_ref().ok(), "{text}");
        assert_eq!(pruned.as_ref().ok().map(terms), two.as_ref().ok().map(terms), "{text}");
    }

    #[test]
    fn nothing_that_is_written_is_taken_for_the_kind() {
        let note = r#"{"text":"x"}"#;
        for by in ["KT", r#"x","kind":"reading"#, r#"\","kind":"reading"#, "\\", "\"", ""] {
            let text = text(by, "note", note);
            let entry = read::<All>(&text).unwrap();
            assert_eq!((entry.event.kind(), entry.by.as_str()), (Kind::Note, by), "{text}");
            agree(&text);
        }
    }

    #[test]
    fn any_interpretation_is_found_by_the_same_terms() {
        let deep = format!("{}1{}", "[".repeat(120), "]".repeat(120));
        let deeper = format!("{}1{}", "[".repeat(124), "]".repeat(124));
        let deepest = format!("{}1{}", "[".repeat(130), "]".repeat(130));
        for interpretation in [
            r#"{"recipient":"R-1","pairs":[{"donor":"D-1","verdict":"compatible"},{"verdict":"invalid"}]}"#,
            r#"{"recipient":"R-1","recipient":"R-2","pairs":[],"pairs":[{"verdict":"a","verdict":"b"}]}"#,
            r#"{"recipient":{"recipient":"R-1"},"pairs":{"verdict":"compatible"}}"#,
            r#"{"recipient":7,"pairs":[7,null,[{"verdict":"x"}],{"verdict":[1]},{"verdict":"y"}]}"#,
            r#"{"x":{"recipient":"R-1","pairs":[{"verdict":"z"}]},"verdict":"q"}"#,
            r#"[{"recipient":"R-1"}]"#,
            r#""text""#,
            "null",
            "1e400",
            r#"{"x":1e400}"#,
            r#"{"x":"\ud800"}"#,
            r#"{"\ud800":1}"#,
            r#"{"x":-0.5e-7,"y":18446744073709551615,"z":[true,false,-3]}"#,
            &deep,
            &deeper,
            &deepest,
        ] {
            agree(&issued(interpretation));
        }
    }

    #[test]
    fn what_is_not_an_entry_is_refused_as_before() {
        let good = text("KT", "note", r#"{"text":"x"}"#);
        assert!(read::<All>(&good).is_ok());
        for bad in [
            good.replace(r#""kind":"note""#, r#""kind":"reading""#),
            good.replace(r#""kind":"note""#, r#""kind":"nothing""#),
            good.replace(r#""seq":7"#, r#""seq":7,"seq":7"#),
            good.replace(r#""seq":7"#, r#""seq":7,"more":7"#),
            good.replace(r#""seq":7,"#, ""),
            good.replace(r#""kind":"note","#, ""),
            format!("{good}x"),
            format!("{good}{good}"),
            String::new(),
        ] {
            assert!(read::<All>(&bad).is_err(), "{bad}");
            agree(&bad);
        }
        // In another order it is no canonical text, and it is read all the same.
        let other = good.replace(r#""kind":"note","#, "").replacen('{', r#"{"kind":"note","#, 1);
        assert_eq!(read::<All>(&other).unwrap(), read::<All>(&good).unwrap());
        let null = good.replace(r#","worksheet":"WS-1""#, r#","worksheet":null,"replaces":null"#);
        agree(&null);
    }
}
