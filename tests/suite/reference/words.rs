//! The closed lists of words of the contract, each in the order the page gives it.
//!
//! Nothing here is shared with the engine: a word that the two spell or order differently is
//! exactly what this second program is meant to bring to light.

/// Makes an enum out of a list of words, with the way from the word and back.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($variant:ident = $word:literal,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(crate) enum $name { $($variant,)* }

        impl $name {
            /// Every word, in the page's order.
            pub(crate) const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The word as documents write it.
            pub(crate) const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            /// The value behind a word; the documents given here are well-formed.
            pub(crate) fn read(word: &str) -> Self {
                *Self::ALL
                    .iter()
                    .find(|known| known.word() == word)
                    .unwrap_or_else(|| panic!("no {} is written `{word}`", stringify!($name)))
            }
        }
    };
}

words! {
    /// One kind of mixture.
    Test {
        Major = "major",
        Minor = "minor",
        RecipientAuto = "recipient_auto",
        DonorAuto = "donor_auto",
        RecipientSaline = "recipient_saline",
        DonorSaline = "donor_saline",
    }
}

words! {
    /// At which step a mixture is read, in the order in which the strongest grade is looked for.
    Phase {
        Room = "room",
        Warm37c = "warm_37c",
        Antiglobulin = "antiglobulin",
        Cold4c = "cold_4c",
    }
}

words! {
    /// How the mixtures are made and read.
    Method { Tube = "tube", Slide = "slide", Gel = "gel", }
}

words! {
    /// What the donor's blood was made into.
    Product {
        PackedCells = "packed_cells",
        WashedCells = "washed_cells",
        WholeBlood = "whole_blood",
        Plasma = "plasma",
    }
}

words! {
    /// What was done to a mixture before it was looked at again.
    After {
        SalineReplacement = "saline_replacement",
        SalineDilution = "saline_dilution",
        Wash = "wash",
    }
}

words! {
    /// How the cells lie together.
    Pattern { Clumps = "clumps", Stacks = "stacks", Both = "both", Unsure = "unsure", }
}

words! {
    /// What went wrong with one reading.
    Artefact {
        Bubble = "bubble",
        DriedColumn = "dried_column",
        InterruptedSpin = "interrupted_spin",
        Streak = "streak",
        Spread = "spread",
        WrongOrder = "wrong_order",
        Fibrin = "fibrin",
        Overloaded = "overloaded",
        HardSpin = "hard_spin",
        ShakenHard = "shaken_hard",
    }
}

words! {
    /// What a sample holds.
    Role { Plasma = "plasma", Cells = "cells", Both = "both", }
}

words! {
    /// What a sample was drawn into.
    SampleTube {
        Serum = "serum",
        Edta = "edta",
        Citrate = "citrate",
        Heparin = "heparin",
        Cpda = "cpda",
    }
}

words! {
    /// Where a sample was kept.
    Stored { Room = "room", Fridge = "fridge", }
}

words! {
    /// Where the complement in a mixture comes from.
    Complement { None = "none", FreshSerum = "fresh_serum", Added = "added", }
}

words! {
    /// An answer to a question about an animal's past.
    Said { Never = "never", Yes = "yes", Unknown = "unknown", }
}

words! {
    /// What the unit looked like.
    Inspection {
        Normal = "normal",
        Hemolyzed = "hemolyzed",
        Discolored = "discolored",
        Clotted = "clotted",
        NotInspected = "not_inspected",
    }
}

words! {
    /// What a protocol wants of a phase.
    PhaseRole {
        Required = "required",
        OneOf = "one_of",
        Optional = "optional",
        Informative = "informative",
    }
}

words! {
    /// What a protocol wants of hemolysis in one method.
    HemolysisRule { Required = "required", Optional = "optional", NotReadable = "not_readable", }
}

words! {
    /// What a negative test is worth while the plasma's own autocontrol reacts.
    NegativeWithAuto {
        Caveat = "caveat",
        Unresolved = "unresolved",
        CaveatIfSalineControlReactive = "caveat_if_saline_control_reactive",
    }
}

words! {
    /// What a negative antiglobulin tube without check cells is worth.
    CheckCellsMissing { Caveat = "caveat", Void = "void", }
}

words! {
    /// Which blood types are compared.
    TypeRules { Dog = "dog", Cat = "cat", Horse = "horse", None = "none", }
}

words! {
    /// What a finding does to the verdict, least first.
    Effect {
        Note = "note",
        Caveat = "caveat",
        Incomplete = "incomplete",
        Indeterminate = "indeterminate",
        Invalid = "invalid",
        Incompatible = "incompatible",
    }
}

/// The class of a grade, and what hemolysis says: the readable part of a state, in the order in
/// which one outweighs the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Shade {
    /// Nothing to see.
    Negative,
    /// Something that cannot be told apart.
    Doubtful,
    /// A reaction.
    Reactive,
}

words! {
    /// What one mixture is worth at one phase.
    State {
        Absent = "absent",
        Unread = "unread",
        Void = "void",
        Negative = "negative",
        Doubtful = "doubtful",
        Reactive = "reactive",
    }
}

words! {
    /// What one test comes to over its deciding phases.
    Summary {
        Negative = "negative",
        NotRead = "not_read",
        Void = "void",
        Doubtful = "doubtful",
        Reactive = "reactive",
    }
}

words! {
    /// What a major or a minor comes to beside its controls.
    Conclusion {
        Nonreactive = "nonreactive",
        NotRead = "not_read",
        Void = "void",
        Unresolved = "unresolved",
        ReactiveCells = "reactive_cells",
        Reactive = "reactive",
    }
}

/// The verdict that each effect gives when it is the greatest of a pair.
pub(crate) const VERDICTS: &[(Effect, &str)] = &[
    (Effect::Note, "compatible"),
    (Effect::Caveat, "compatible_with_caveats"),
    (Effect::Incomplete, "incomplete"),
    (Effect::Indeterminate, "indeterminate"),
    (Effect::Invalid, "invalid"),
    (Effect::Incompatible, "incompatible"),
];

/// Artefacts after which neither result can be trusted.
pub(crate) const SPOILS_BOTH: &[Artefact] = &[
    Artefact::Bubble,
    Artefact::DriedColumn,
    Artefact::InterruptedSpin,
    Artefact::Streak,
    Artefact::Spread,
    Artefact::WrongOrder,
];

/// Artefacts after which a positive cannot be trusted.
pub(crate) const SPOILS_POSITIVE: &[Artefact] = &[Artefact::Fibrin];

/// Artefacts after which a negative cannot be trusted.
pub(crate) const SPOILS_NEGATIVE: &[Artefact] =
    &[Artefact::Overloaded, Artefact::HardSpin, Artefact::ShakenHard];

/// The grades in order, each with its main grade in half steps.
pub(crate) const GRADES: &[(&str, i64)] = &[
    ("0", 0),
    ("rough", 1),
    ("micro", 1),
    ("w", 1),
    ("1+w", 2),
    ("1+", 2),
    ("1+s", 2),
    ("2+w", 4),
    ("2+", 4),
    ("2+s", 4),
    ("3+", 6),
    ("3+s", 6),
    ("4+", 8),
];

/// A grade: its place in [`GRADES`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Grade(pub(crate) usize);

impl Grade {
    /// No agglutination.
    pub(crate) const ZERO: Self = Self(0);

    /// The grade behind a word, or nothing for `unreadable`.
    pub(crate) fn read(word: &str) -> Option<Self> {
        if word == "unreadable" {
            return None;
        }
        let place = GRADES.iter().position(|&(known, _)| known == word);
        Some(Self(place.unwrap_or_else(|| panic!("no grade is written `{word}`"))))
    }

    /// The grade as documents write it.
    pub(crate) fn word(self) -> &'static str {
        GRADES[self.0].0
    }

    /// The main grade in half steps, for comparing two tubes.
    pub(crate) fn half_steps(self) -> i64 {
        GRADES[self.0].1
    }
}

/// Who gave a part of a mixture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Owner {
    /// The animal that is to be transfused.
    Recipient,
    /// The animal that gave the unit.
    Donor,
}

/// The tests with the owner of the plasma (none where saline stands in its place) and of the
/// cells.
pub(crate) const MIXTURES: &[(Test, Option<Owner>, Owner)] = &[
    (Test::Major, Some(Owner::Recipient), Owner::Donor),
    (Test::Minor, Some(Owner::Donor), Owner::Recipient),
    (Test::RecipientAuto, Some(Owner::Recipient), Owner::Recipient),
    (Test::DonorAuto, Some(Owner::Donor), Owner::Donor),
    (Test::RecipientSaline, None, Owner::Recipient),
    (Test::DonorSaline, None, Owner::Donor),
];

/// The two tests that are judged, each with PA, CA, PS and CS.
pub(crate) const CONTROLS: &[(Test, [Test; 4])] = &[
    (Test::Major, [Test::RecipientAuto, Test::DonorAuto, Test::RecipientSaline, Test::DonorSaline]),
    (Test::Minor, [Test::DonorAuto, Test::RecipientAuto, Test::DonorSaline, Test::RecipientSaline]),
];

impl Test {
    /// The four tests that hold plasma.
    pub(crate) const FOUR: [Self; 4] =
        [Self::Major, Self::Minor, Self::RecipientAuto, Self::DonorAuto];

    /// Whose plasma is in the mixture.
    pub(crate) fn plasma(self) -> Option<Owner> {
        self.row().1
    }

    /// Whose cells are in the mixture.
    pub(crate) fn cells(self) -> Owner {
        self.row().2
    }

    fn row(self) -> &'static (Self, Option<Owner>, Owner) {
        MIXTURES.iter().find(|row| row.0 == self).expect("every test stands in MIXTURES")
    }

    fn controls(self) -> Option<&'static [Self; 4]> {
        CONTROLS.iter().find(|row| row.0 == self).map(|row| &row.1)
    }

    /// PA of a major or minor; the other tests are compared with none.
    pub(crate) fn plasma_auto(self) -> Option<Self> {
        self.controls().map(|controls| controls[0])
    }

    /// CA of a major or minor.
    pub(crate) fn cell_auto(self) -> Option<Self> {
        self.controls().map(|controls| controls[1])
    }

    /// PS of a major or minor.
    pub(crate) fn plasma_saline(self) -> Option<Self> {
        self.controls().map(|controls| controls[2])
    }

    /// CS of a major or minor.
    pub(crate) fn cell_saline(self) -> Option<Self> {
        self.controls().map(|controls| controls[3])
    }

    /// Plasma and cells of one animal.
    pub(crate) fn is_autocontrol(self) -> bool {
        [Self::RecipientAuto, Self::DonorAuto].contains(&self)
    }

    /// Saline in the place of plasma.
    pub(crate) fn is_saline_control(self) -> bool {
        self.plasma().is_none()
    }

    /// Whether a reading of this test names a donor.
    pub(crate) fn names_donor(self) -> bool {
        self.plasma() == Some(Owner::Donor) || self.cells() == Owner::Donor
    }
}

impl From<Shade> for State {
    fn from(shade: Shade) -> Self {
        match shade {
            Shade::Negative => Self::Negative,
            Shade::Doubtful => Self::Doubtful,
            Shade::Reactive => Self::Reactive,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{
        After, Artefact, CONTROLS, CheckCellsMissing, Complement, Conclusion, Effect, GRADES,
        Grade, HemolysisRule, Inspection, MIXTURES, Method, NegativeWithAuto, Owner, Pattern,
        Phase, PhaseRole, Product, Role, Said, SampleTube, State, Stored, Summary, Test, TypeRules,
        VERDICTS,
    };

    /// Two values spelled alike would be read as the first of them.
    #[test]
    fn every_word_is_read_back() {
        macro_rules! check {
            ($($name:ident)*) => {
                $(for &value in $name::ALL { assert_eq!($name::read(value.word()), value); })*
            };
        }
        check! {
            After Artefact CheckCellsMissing Complement Conclusion Effect HemolysisRule Inspection
            Method NegativeWithAuto Pattern Phase PhaseRole Product Role Said SampleTube State
            Stored Summary Test TypeRules
        }
        assert!(VERDICTS.iter().map(|row| row.0).eq(Effect::ALL.iter().copied()));
    }

    #[test]
    fn every_grade_is_read_back_and_main_grades_never_fall() {
        for (place, &(word, half_steps)) in GRADES.iter().enumerate() {
            assert_eq!(Grade::read(word), Some(Grade(place)));
            assert_eq!(Grade(place).word(), word);
            let before = place.checked_sub(1).map_or(0, |before| GRADES[before].1);
            assert!(half_steps >= before, "{word}");
        }
        assert_eq!(GRADES.len(), 13);
        assert_eq!(Grade::read("unreadable"), None);
    }

    /// The controls of a test follow from who gave its plasma and its cells.
    #[test]
    fn controls_are_those_of_the_owners() {
        let find = |plasma: Option<Owner>, cells: Owner| {
            MIXTURES.iter().find(|row| row.1 == plasma && row.2 == cells).unwrap().0
        };
        for &(test, controls) in CONTROLS {
            let plasma = test.plasma().unwrap();
            let cells = test.cells();
            let of_owners = [
                find(Some(plasma), plasma),
                find(Some(cells), cells),
                find(None, plasma),
                find(None, cells),
            ];
            assert_eq!(controls, of_owners, "{}", test.word());
        }
    }
}
