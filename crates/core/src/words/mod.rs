//! The vocabulary of a crossmatch: one file a word, each with its spellings in a document.
//!
//! Every word is a closed list on purpose. A new grade, phase or verdict must break the build of
//! whoever decides by it, instead of falling into a catch-all arm.
//!
//! ```
//! use crossread_core::words::{Grade, Product, Test, Verdict};
//!
//! let grade: Grade = "2+".parse()?;
//! assert_eq!((grade, grade.word(), grade.to_string()), (Grade::G2, "2+", "2+".to_owned()));
//! assert!("2 plus".parse::<Grade>().is_err());
//! // In the order of the list: a stronger reaction is the greater one.
//! assert!(Grade::Micro < Grade::W && Grade::ALL.last() == Some(&Grade::G4));
//! assert_eq!(Product::Plasma.deciding_tests(), [Test::Minor]);
//! assert!(!Verdict::Incomplete.is_releasable());
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

/// Declares a closed list of words: the type, its spellings, its order, its place in the schema.
macro_rules! word {
    (
        $(#[$meta:meta])*
        $name:ident is $human:literal {
            $($(#[$variant_meta:meta])* $variant:ident = $word:literal,)+
        }
    ) => {
        $(#[$meta])*
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash,
            schemars::JsonSchema, strum::Display, strum::EnumString, strum::IntoStaticStr,
            strum::VariantArray, strum::VariantNames,
        )]
        #[expect(clippy::exhaustive_enums, reason = "a new word must break whoever decides by it")]
        pub enum $name {
            $(
                $(#[$variant_meta])*
                #[strum(serialize = $word)]
                #[schemars(rename = $word)]
                $variant,
            )+
        }

        impl $name {
            /// Every word of the list, in its order.
            pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

            /// The spelling in a document.
            pub fn word(self) -> &'static str {
                self.into()
            }
        }

        impl crate::document::Leaf for $name {
            const EXPECTED: &'static str = $human;
            const WORDS: &'static [&'static str] = <Self as strum::VariantNames>::VARIANTS;

            fn from_text(text: &str) -> Result<Self, crate::document::Wrong> {
                text.parse().or_else(|_: strum::ParseError| {
                    Err(crate::document::Wrong::unknown_word(text, Self::WORDS))
                })
            }
        }

        crate::document::text_leaf!($name);

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.word())
            }
        }

        impl crate::document::Line for $name {
            fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
                // A word of the list needs no escape; a test writes every one.
                let word: &str = match self {
                    $(Self::$variant => concat!("\"", $word, "\""),)+
                };
                out.extend_from_slice(word.as_bytes());
                Ok(())
            }
        }
    };
}
pub(crate) use word;

mod animal;
mod artefact;
mod blood_type;
mod conclusion;
mod effect;
mod grade;
mod hemolysis;
mod method;
mod pattern;
mod phase;
mod product;
mod recheck;
mod sample;
mod state;
mod summary;
mod test;
mod unit;
mod verdict;

pub use animal::{Answer, Condition, Species};
pub use artefact::{Artefact, Spoils};
pub use blood_type::{System, TypeResult};
pub use conclusion::Conclusion;
pub use effect::Effect;
pub use grade::{Agglutination, Grade};
pub use hemolysis::Hemolysis;
pub use method::{Complement, Method};
pub use pattern::Pattern;
pub use phase::Phase;
pub use product::Product;
pub use recheck::Recheck;
pub use sample::{Anticoagulant, SampleRole, Storage};
pub use state::State;
pub use summary::Summary;
pub use test::Test;
pub use unit::Inspection;
pub use verdict::Verdict;
