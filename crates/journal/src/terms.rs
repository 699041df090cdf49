//! What an entry is found by. The terms of an entry follow from the entry alone, so that an index
//! can be checked, and made anew, from the entries.

use std::borrow::Cow;

use crossread_core::document::{Digest, Id, Text};
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use crate::difference::{pairs, text_at};
use crate::entry::{Entry, Seq};
use crate::event::Event;

/// What a term is about.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantArray,
)]
#[strum(serialize_all = "snake_case")]
#[non_exhaustive]
pub enum Field {
    /// Entries of a worksheet, by its id.
    Worksheet,
    /// Where an animal is the recipient, by its id.
    Recipient,
    /// Where an animal is the donor, by its id.
    Donor,
    /// By a recipient's or donor's name, folded: the whole name, and each of its words.
    Name,
    /// Where a unit stands, by its number.
    Unit,
    /// What was opened, issued or released on a day, by the writer's date.
    Date,
    /// Issued interpretations with a verdict.
    Verdict,
    /// Readings by a person, folded.
    Reader,
    /// Everything that tells of an animal's past: openings, donations, transfusions, reactions,
    /// types, interpretations, releases.
    Animal,
    /// Recorded protocols, by the hash of the document.
    Protocol,
    /// Entries of a kind that is listed over all worksheets: tasks, their ends, releases.
    Listed,
    /// What an entry answers, by the other's place: a task that is closed, a release that came
    /// back.
    Answers,
}

impl Field {
    /// All fields.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// The name in the index.
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// What a value of this field is compared as: names and people without case and diacritics,
    /// ids and numbers character by character.
    ///
    /// ```
    /// # use crossread_journal::Field;
    /// assert_eq!(Field::Name.fold("JÜRGEN"), Field::Name.fold("jurgen"));
    /// assert_ne!(Field::Unit.fold("U-5512"), Field::Unit.fold("u-5512"));
    /// ```
    pub fn fold(self, value: &str) -> String {
        self.term(value.into()).into_owned()
    }

    fn term(self, value: Cow<'_, str>) -> Cow<'_, str> {
        let bare = self.bare(value);
        // Most values are short and plain, and stand as they are.
        let is_plain = bare.len() <= LONGEST && bare.bytes().all(|byte| byte > ESCAPE);
        if is_plain { bare } else { Cow::Owned(key(&bare)) }
    }

    /// What the beginning of a value is compared as; no more than its first 512 bytes are.
    pub(crate) fn fold_beginning(self, value: &str) -> String {
        let (head, _) = split(&escaped(&self.bare(value.into())));
        head
    }

    fn bare(self, value: Cow<'_, str>) -> Cow<'_, str> {
        match self {
            Self::Name | Self::Reader => Cow::Owned(folded(&value)),
            Self::Worksheet
            | Self::Recipient
            | Self::Donor
            | Self::Unit
            | Self::Date
            | Self::Verdict
            | Self::Animal
            | Self::Protocol
            | Self::Listed
            | Self::Answers => value,
        }
    }
}

/// A text without case and diacritics: compatibility decomposition without marks, in lowercase of
/// the uppercase, so that `ß` is `ss`; each character by itself, so that the beginning of a text is
/// the beginning of its fold.
pub(crate) fn folded(text: &str) -> String {
    if text.is_ascii() { text.to_ascii_lowercase() } else { fold_any(text) }
}

fn fold_any(text: &str) -> String {
    let lower: String = bare(text).chars().flat_map(char::to_lowercase).collect();
    // The capital `ẞ` has no other uppercase, so it is made small first.
    let upper: String = lower.chars().flat_map(char::to_uppercase).collect();
    let lower: String = upper.chars().flat_map(char::to_lowercase).collect();
    bare(&lower)
}

/// A text in compatibility decomposition without its marks.
fn bare(text: &str) -> String {
    text.nfkd().filter(|c| !is_combining_mark(*c)).collect()
}

/// Whether two names mean one person: they differ in case, diacritics, spaces and signs at most.
pub(crate) fn is_same_person(one: &str, other: &str) -> bool {
    person(one) == person(other)
}

/// What a person's name is compared as.
pub(crate) fn person(name: &str) -> String {
    folded(name).chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Longest term that is kept whole, in bytes. A database limits the length of what it indexes.
const LONGEST: usize = 512;

/// A value as it stands in the index: of a long one its beginning and the hash of the whole.
fn key(value: &str) -> String {
    let (mut head, is_whole) = split(&escaped(value));
    if !is_whole {
        head.push('#');
        head.push_str(&Digest::of(value.as_bytes()).to_string());
    }
    head
}

/// It stands before what is written in place of itself, and of the character that ends a text for
/// some databases.
const ESCAPE: u8 = 1;

/// A value without the character that ends a text for some databases.
fn escaped(value: &str) -> String {
    let mut text = String::with_capacity(value.len());
    for c in value.chars() {
        match c {
            '\0' => text.push_str("\u{1}0"),
            '\u{1}' => text.push_str("\u{1}1"),
            c => text.push(c),
        }
    }
    text
}

/// The beginning of a value, and whether that is all of it.
fn split(value: &str) -> (String, bool) {
    let at = value.floor_char_boundary(LONGEST);
    let head = value.get(..at).unwrap_or(value);
    (head.to_owned(), head.len() == value.len())
}

/// The terms of one entry, each once.
struct Terms<'e, 'c> {
    seen: Vec<(Field, Cow<'e, str>)>,
    each: &'c mut dyn FnMut(Field, &str),
}

impl<'e> Terms<'e, '_> {
    fn add(&mut self, field: Field, value: impl Into<Cow<'e, str>>) {
        let value = field.term(value.into());
        if !value.is_empty() && !self.seen.iter().any(|(f, v)| *f == field && *v == value) {
            (self.each)(field, &value);
            self.seen.push((field, value));
        }
    }

    fn id(&mut self, field: Field, id: Option<&'e Id>) {
        if let Some(id) = id {
            self.add(field, id.as_str());
        }
    }

    /// The whole name and each of its words.
    fn name(&mut self, name: Option<&'e Text>) {
        if let Some(name) = name {
            self.add(Field::Name, name.as_str());
            // Folded first: a mark that stands by itself is no end of a word.
            for word in folded(name.as_str()).split(|c: char| !c.is_alphanumeric()) {
                self.add(Field::Name, word.to_owned());
            }
        }
    }
}

/// Calls `each` with every term of an entry, each once.
pub(crate) fn terms(entry: &Entry, each: &mut dyn FnMut(Field, &str)) {
    let mut all = Terms { seen: Vec::new(), each };
    all.id(Field::Worksheet, entry.worksheet.as_ref());
    match &entry.event {
        Event::ReadingEntered(entered) => {
            let by = entered.reading.by.as_ref().unwrap_or(&entry.by);
            all.add(Field::Reader, by.as_str());
        }
        Event::WorksheetOpened(opened) => {
            let recipient = &opened.recipient;
            all.id(Field::Recipient, recipient.id.as_ref());
            all.id(Field::Animal, recipient.id.as_ref());
            all.name(recipient.name.as_ref());
            all.add(Field::Date, entry.at.date().to_string());
        }
        Event::DonorAdded(added) => {
            let donor = &added.donor;
            all.id(Field::Donor, donor.id.as_ref());
            all.id(Field::Animal, donor.id.as_ref());
            all.name(donor.name.as_ref());
            if let Some(unit) = &donor.unit {
                all.id(Field::Unit, unit.number.as_ref());
            }
        }
        Event::Issued(issued) => {
            let of = &issued.interpretation;
            all.add(Field::Date, entry.at.date().to_string());
            all.add(Field::Animal, text_at(of, "/recipient"));
            for pair in pairs(of) {
                all.add(Field::Verdict, text_at(pair, "/verdict"));
            }
        }
        Event::Released(released) => {
            all.add(Field::Date, entry.at.date().to_string());
            all.add(Field::Animal, released.recipient.as_str());
            all.add(Field::Animal, released.donor.as_str());
            all.add(Field::Unit, released.unit.as_str());
            all.add(Field::Listed, entry.event.kind().word());
        }
        Event::EmergencyReleased(released) => {
            all.add(Field::Date, entry.at.date().to_string());
            all.add(Field::Animal, released.recipient.as_str());
            all.add(Field::Animal, released.donor.as_str());
            all.add(Field::Unit, released.unit.as_str());
            all.add(Field::Listed, entry.event.kind().word());
        }
        Event::Returned(returned) => all.add(Field::Answers, returned.release.to_string()),
        Event::Transfused(transfused) => {
            all.add(Field::Animal, transfused.animal.as_str());
            all.id(Field::Donor, transfused.donor.as_ref());
            all.id(Field::Unit, transfused.unit.as_ref());
        }
        Event::Reacted(reacted) => {
            all.add(Field::Animal, reacted.animal.as_str());
            all.id(Field::Donor, reacted.donor.as_ref());
            all.id(Field::Unit, reacted.unit.as_ref());
        }
        Event::Typed(typed) => all.add(Field::Animal, typed.animal.as_str()),
        Event::ProtocolRecorded(recorded) => {
            all.add(Field::Protocol, recorded.protocol.sha256.to_string());
        }
        Event::Started(_) | Event::TaskRaised(_) => {
            all.add(Field::Listed, entry.event.kind().word());
        }
        Event::TaskClosed(closed) => all.add(Field::Answers, closed.task.to_string()),
        Event::Retraction(retraction) => all.add(Field::Answers, retraction.of.to_string()),
        Event::JournalOpened(_)
        | Event::SampleAdded(_)
        | Event::SetupNoted(_)
        | Event::ControlsNoted(_)
        | Event::LookBegun(_)
        | Event::Observed(_)
        | Event::Ended(_)
        | Event::OutcomeMeasured(_)
        | Event::StepDone(_)
        | Event::Note(_)
        | Event::SegmentChecked(_)
        | Event::Unblinded(_)
        | Event::Handed(_)
        | Event::ClericallyChecked(_) => {}
    }
}

/// A term of an entry, as it stands in the index.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Term {
    pub(crate) field: Field,
    pub(crate) value: String,
    pub(crate) seq: Seq,
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::{Field, LONGEST, fold_any, folded, is_same_person, key};

    #[test]
    fn names_are_compared_without_case_and_diacritics() {
        for (name, asked) in [
            ("M\u{fc}nchen", "MUNCHEN"),
            ("Mu\u{308}nchen", "munchen"),
            ("stra\u{df}e", "STRASSE"),
            ("\u{1e9e}", "ss"),
            ("\u{130}zmir", "izmir"),
            ("\u{fb01}n", "FIN"),
            ("\u{ff2b}\u{ff34}", "kt"),
            ("\u{39f}\u{394}\u{39f}\u{3a3}", "\u{3bf}\u{3b4}\u{3bf}\u{3c2}"),
        ] {
            assert_eq!(folded(name), folded(asked), "{name} {asked}");
            assert_eq!(Field::Name.fold(name), Field::Reader.fold(asked));
        }
    }

    /// Plain names are folded without looking into Unicode, and come to the same.
    #[test]
    fn plain_names_are_folded_as_any_other() {
        let plain: String = ('\0'..='\u{7f}').collect();
        assert_eq!(folded(&plain), fold_any(&plain));
    }

    #[test]
    fn different_names_stay_different() {
        for (one, other) in [("O1", "01"), ("Juniper", "Junipers"), ("I", "l"), ("", "a")] {
            assert_ne!(folded(one), folded(other), "{one} {other}");
        }
    }

    #[test]
    fn numbers_are_compared_character_by_character() {
        for field in Field::ALL {
            let is_name = matches!(field, Field::Name | Field::Reader);
            assert_eq!(field.fold("u-\u{d6}1") == field.fold("U-O1"), is_name, "{field:?}");
            assert_ne!(field.fold("O1"), field.fold("01"), "{field:?}");
        }
    }

    #[test]
    fn one_person_is_one_under_any_spelling() {
        for same in ["KT", "kt", " K.T. ", "K T", "\u{200b}KT", "K\u{301}T", "\u{ff2b}\u{ff34}"] {
            assert!(is_same_person("KT", same), "{same}");
        }
        for other in ["KTM", "TK", "K", ""] {
            assert!(!is_same_person("KT", other), "{other}");
        }
    }

    #[test]
    fn a_long_value_is_kept_short_and_told_apart() {
        let long = "9".repeat(LONGEST);
        assert_eq!(key(&long), long);
        for value in [long.as_str(), &format!("{long}1"), "U-5512", "a\u{0}", "\u{1}", "\u{fc}", ""]
        {
            assert_eq!(Field::Unit.fold(value), key(value));
        }
        let (one, other) = (key(&format!("{long}1")), key(&format!("{long}2")));
        assert_ne!(one, other);
        assert!(one.len() < 600 && one.starts_with(&long));
        let wide = "\u{fc}".repeat(LONGEST);
        assert!(key(&wide).starts_with(&"\u{fc}".repeat(LONGEST.checked_div(2).unwrap())));
    }

    proptest! {
        #[test]
        fn folding_twice_is_folding_once(name in any::<String>()) {
            prop_assert_eq!(folded(&folded(&name)), folded(&name));
        }

        #[test]
        fn the_beginning_of_a_number_is_the_beginning_of_its_term(
            beginning in "\\PC{0,600}", end in "\\PC{0,300}",
        ) {
            let whole = Field::Unit.fold(&format!("{beginning}{end}"));
            prop_assert!(whole.starts_with(&Field::Unit.fold_beginning(&beginning)));
        }

        #[test]
        fn no_term_ends_a_text_and_two_values_are_two(
            one in "[a\u{0}\u{1}01]{0,6}", other in "[a\u{0}\u{1}01]{0,6}",
        ) {
            prop_assert!(!key(&one).contains('\0'));
            prop_assert_eq!(key(&one) == key(&other), one == other);
        }
    }
}
