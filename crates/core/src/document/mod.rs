//! How a JSON document is read: typed and fast when it is good, with all its faults when not; and
//! how an answer is written.
//!
//! A good document is parsed once, straight into its parts. Only when that fails, or a check of
//! its content finds something, is it walked again to collect every fault with its place. Nothing
//! is corrected and nothing is guessed.
//!
//! The walk is our own, because it needs constant memory on a 64 MiB document,
//! keeps keys that stand twice, and knows where every value stands; the grammar itself is judged by
//! `serde_json` before the walk starts.
//!
//! ```
//! use crossread_core::document::{FaultCode, Time};
//! use crossread_core::worksheet::draft::Reading;
//!
//! let written = br#"{ "test": "major", "donor": "D-081", "phase": "warm_37c",
//!                     "agglutination": "2++", "at": "2026-03-13 20:41" }"#;
//! let faults = Reading::from_json(written).unwrap_err();
//! let [grade, time] = faults.as_slice() else { panic!("two faults, not {faults}") };
//! assert_eq!((grade.code, grade.line), (FaultCode::UnknownWord, 2));
//! assert_eq!(grade.pointer, "/agglutination");
//! assert_eq!(grade.hint.as_deref(), Some("did you mean `2+`?"));
//! assert_eq!(time.code, FaultCode::BadTime);
//! assert!(Time::new("2026-03-13T20:41:00+01:00").is_some());
//! ```

mod cursor;
mod digest;
mod fault;
mod format;
mod hint;
mod leaf;
mod line;
mod list;
mod locate;
mod number;
mod read;
mod schema;
mod time;
mod walk;

pub use digest::Digest;
pub use fault::{Fault, FaultCode, FaultReport, Faults, Pointer};
pub use format::format_of;
pub use leaf::{Id, Text};
pub use list::List;
pub use number::{Decimals, Hundredths, Thousandths, Whole};
pub use time::{Date, Time, UtcOrNull};

pub(crate) use fault::Finds;
pub(crate) use leaf::{Leaf, Wrong, text_leaf};
pub(crate) use line::{Line, on_one_line};
pub(crate) use read::{Read, read};
pub(crate) use schema::not_null;
pub(crate) use walk::{Part, Walk};

/// Declares one JSON object of a document: its fields once, for the typed parse, for the walk that
/// collects faults, for writing, and for the schema.
///
/// Every field is an `Option` here. That a required field is present is checked by both parses;
/// the check that follows turns the parts into types that cannot lack them.
macro_rules! document {
    (
        $(#[$meta:meta])*
        $name:ident $(<$of:ident>)? {
            required { $($(#[$rmeta:meta])* $rfield:ident: $rtype:ty,)* }
            optional { $($(#[$ometa:meta])* $ofield:ident: $otype:ty,)* }
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Debug, Default, PartialEq, serde::Serialize, schemars::JsonSchema)]
        #[schemars(deny_unknown_fields)]
        #[expect(clippy::exhaustive_structs, reason = "the fields are those of the published format")]
        pub struct $name $(<$of>)? {
            $(
                $(#[$rmeta])*
                #[schemars(required)]
                pub $rfield: Option<$rtype>,
            )*
            $(
                $(#[$ometa])*
                #[serde(skip_serializing_if = "Option::is_none")]
                #[schemars(transform = crate::document::not_null)]
                pub $ofield: Option<$otype>,
            )*
        }

        // Not derived: a derived struct is also read from a list, by position.
        impl<'d $(, $of: serde::Deserialize<'d>)?> serde::Deserialize<'d> for $name $(<$of>)? {
            fn deserialize<D: serde::Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
                #[derive(serde::Deserialize)]
                #[serde(field_identifier)]
                #[expect(non_camel_case_types, reason = "the variants are the names of the fields")]
                enum Field { $($rfield,)* $($ofield,)* }

                struct Fields $(<$of>(std::marker::PhantomData<$of>))?;
                impl<'d $(, $of: serde::Deserialize<'d>)?> serde::de::Visitor<'d>
                    for Fields $(<$of>)?
                {
                    type Value = $name $(<$of>)?;
                    fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                        formatter.write_str("an object")
                    }
                    fn visit_map<A: serde::de::MapAccess<'d>>(
                        self,
                        mut map: A,
                    ) -> Result<Self::Value, A::Error> {
                        use serde::de::Error as _;
                        let mut part = $name { $($rfield: None,)* $($ofield: None,)* };
                        while let Some(field) = map.next_key()? {
                            match field {
                                $(Field::$rfield => {
                                    if part.$rfield.replace(map.next_value()?).is_some() {
                                        return Err(A::Error::duplicate_field(stringify!($rfield)));
                                    }
                                })*
                                $(Field::$ofield => {
                                    if part.$ofield.replace(map.next_value()?).is_some() {
                                        return Err(A::Error::duplicate_field(stringify!($ofield)));
                                    }
                                })*
                            }
                        }
                        $(if part.$rfield.is_none() {
                            return Err(A::Error::missing_field(stringify!($rfield)));
                        })*
                        Ok(part)
                    }
                }
                deserializer.deserialize_map(Fields $((std::marker::PhantomData::<$of>))?)
            }
        }

        impl $(<$of: crate::document::Part>)? crate::document::Part for $name $(<$of>)? {
            fn take(walk: &mut crate::document::Walk<'_>) -> Option<Self> {
                const REQUIRED: &[&str] = &[$(stringify!($rfield),)*];
                const OPTIONAL: &[&str] = &[$(stringify!($ofield),)*];
                let nullable: &[(&str, bool)] = &[
                    $((stringify!($rfield), <$rtype as crate::document::Part>::NULL),)*
                    $((stringify!($ofield), <$otype as crate::document::Part>::NULL),)*
                ];
                let mut part = $name { $($rfield: None,)* $($ofield: None,)* };
                walk.object(REQUIRED, OPTIONAL, nullable, |walk, field| {
                    $(if field == stringify!($rfield) {
                        part.$rfield = crate::document::Part::take(walk);
                        return;
                    })*
                    $(if field == stringify!($ofield) {
                        part.$ofield = crate::document::Part::take(walk);
                        return;
                    })*
                    walk.skip();
                })?;
                Some(part)
            }
        }
    };
}
pub(crate) use document;
