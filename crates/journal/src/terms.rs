//! What an entry is found by. The terms of an entry follow from the entry alone, so that an index
//! can be checked, and made anew, from the entries.

use std::borrow::Cow;

use crossread_core::document::{Digest, Id};
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
    pub fn fold(self, value: &str) -> String {
        match self {
            Self::Name | Self::Reader => key(&folded(value)).into_owned(),
            Self::Worksheet
            | Self::Recipient
            | Self::Donor
            | Self::Unit
            | Self::Date
            | Self::Verdict
            | Self::Animal
            | Self::Protocol
            | Self::Listed
            | Self::Answers => key(value).into_owned(),
        }
    }
}

/// Longest value that an index holds, in bytes.
const LONGEST: usize = 512;

/// A value as the index of either store can hold it: without NUL, and of a very long one its
/// beginning and its hash.
pub(crate) fn key(value: &str) -> Cow<'_, str> {
    if value.len() <= LONGEST && !value.contains('\0') {
        return Cow::Borrowed(value);
    }
    let without = value.replace('\0', "\u{fffd}");
    if without.len() <= LONGEST {
        return Cow::Owned(without);
    }
    let hash = Digest::of(value.as_bytes()).to_string();
    let room = LONGEST.saturating_sub(hash.len()).saturating_sub(1);
    let cut = without.floor_char_boundary(room);
    Cow::Owned(format!("{} {hash}", without.get(..cut).unwrap_or_default()))
}

/// A text without case and diacritics: compatibility decomposition without marks, in lowercase of
/// the uppercase, so that `ß` is `ss`.
pub(crate) fn folded(text: &str) -> String {
    let bare: String = text.nfkd().filter(|c| !is_combining_mark(*c)).collect();
    bare.to_uppercase().to_lowercase()
}

/// Calls `each` with every term of an entry, each once.
pub(crate) fn terms(entry: &Entry, each: &mut dyn FnMut(Field, &str)) {
    let mut seen: Vec<(Field, String)> = Vec::new();
    let mut term = |field: Field, value: &str| {
        let value = field.fold(value);
        if !value.is_empty() && !seen.iter().any(|(f, v)| *f == field && *v == value) {
            each(field, &value);
            seen.push((field, value));
        }
    };
    if let Some(worksheet) = &entry.worksheet {
        term(Field::Worksheet, worksheet.as_str());
    }
    let id = |id: &Option<Id>| id.as_ref().map(|id| id.as_str().to_owned()).unwrap_or_default();
    match &entry.event {
        Event::ReadingEntered(entered) => {
            let by = entered.reading.by.as_ref().unwrap_or(&entry.by);
            term(Field::Reader, by.as_str());
        }
        Event::WorksheetOpened(opened) => {
            let recipient = &opened.recipient;
            term(Field::Recipient, &id(&recipient.id));
            term(Field::Animal, &id(&recipient.id));
            name(recipient.name.as_ref().map(crossread_core::document::Text::as_str), &mut term);
            term(Field::Date, &entry.at.date().to_string());
        }
        Event::DonorAdded(added) => {
            let donor = &added.donor;
            term(Field::Donor, &id(&donor.id));
            term(Field::Animal, &id(&donor.id));
            name(donor.name.as_ref().map(crossread_core::document::Text::as_str), &mut term);
            if let Some(unit) = &donor.unit {
                term(Field::Unit, &id(&unit.number));
            }
        }
        Event::Issued(issued) => {
            let of = &issued.interpretation;
            term(Field::Date, &entry.at.date().to_string());
            term(Field::Animal, text_at(of, "/recipient"));
            for pair in pairs(of) {
                term(Field::Verdict, text_at(pair, "/verdict"));
            }
        }
        Event::Released(released) => {
            term(Field::Date, &entry.at.date().to_string());
            term(Field::Animal, released.recipient.as_str());
            term(Field::Animal, released.donor.as_str());
            term(Field::Unit, released.unit.as_str());
            term(Field::Listed, entry.event.kind().word());
        }
        Event::EmergencyReleased(released) => {
            term(Field::Date, &entry.at.date().to_string());
            term(Field::Animal, released.recipient.as_str());
            term(Field::Animal, released.donor.as_str());
            term(Field::Unit, released.unit.as_str());
            term(Field::Listed, entry.event.kind().word());
        }
        Event::Returned(returned) => term(Field::Answers, &returned.release.to_string()),
        Event::Transfused(transfused) => {
            term(Field::Animal, transfused.animal.as_str());
            term(Field::Donor, &id(&transfused.donor));
            term(Field::Unit, &id(&transfused.unit));
        }
        Event::Reacted(reacted) => {
            term(Field::Animal, reacted.animal.as_str());
            term(Field::Donor, &id(&reacted.donor));
            term(Field::Unit, &id(&reacted.unit));
        }
        Event::Typed(typed) => term(Field::Animal, typed.animal.as_str()),
        Event::ProtocolRecorded(recorded) => {
            term(Field::Protocol, &recorded.protocol.sha256.to_string());
        }
        Event::TaskRaised(_) => term(Field::Listed, entry.event.kind().word()),
        Event::TaskClosed(closed) => term(Field::Answers, &closed.task.to_string()),
        Event::Retraction(retraction) => term(Field::Answers, &retraction.of.to_string()),
        Event::JournalOpened(_)
        | Event::SampleAdded(_)
        | Event::SetupNoted(_)
        | Event::ControlsNoted(_)
        | Event::Note(_)
        | Event::SegmentChecked(_)
        | Event::Unblinded(_)
        | Event::Handed(_)
        | Event::ClericallyChecked(_) => {}
    }
}

/// The whole name and each of its words.
fn name(name: Option<&str>, term: &mut impl FnMut(Field, &str)) {
    if let Some(name) = name {
        term(Field::Name, name);
        for word in name.split(|c: char| !c.is_alphanumeric()) {
            term(Field::Name, word);
        }
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
    use super::{Field, LONGEST, key};

    /// F53: names without case and diacritics, numbers exactly.
    #[test]
    fn f53_folding() {
        for (name, other) in [
            ("MUNCHEN", "München"),
            ("strasse", "STRAßE"),
            ("cafe\u{301}", "CAFÉ"),
            ("ﬁn", "FIN"),
            ("Ω", "ω"),
        ] {
            assert_eq!(Field::Name.fold(name), Field::Name.fold(other));
        }
        for (number, other) in [("O1", "01"), ("u-1", "U-1"), ("1", "１")] {
            assert_ne!(Field::Unit.fold(number), Field::Unit.fold(other));
        }
    }

    #[test]
    fn an_index_holds_every_value_and_tells_them_apart() {
        let long = "é".repeat(600);
        let kept = key(&long);
        assert!(kept.len() <= LONGEST && kept.starts_with("éé"));
        assert_eq!(key(&kept), kept);
        assert_ne!(key(&format!("{long}1")), kept);
        assert_eq!(key(&"a".repeat(LONGEST)).len(), LONGEST);
        assert!(!key("a\0b").contains('\0'));
    }
}
