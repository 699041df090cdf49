//! What can be written in the journal: one kind of event for each thing that happens at the bench.

use crossread_core::care::{Check, Sign};
use crossread_core::document::{Digest, Hundredths, Id, Text, Time, Whole};
use crossread_core::words::{
    Agglutination, Answer, Artefact, Grade, Hemolysis, Method, Pattern, Phase, Product, Test,
    Verdict,
};
use crossread_core::worksheet::draft;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize};

use crate::entry::Seq;

/// Declares the kinds of event: the word in the entry, and what its body holds.
macro_rules! events {
    ($($(#[$meta:meta])* $name:ident = $word:literal,)*) => {
        /// The kind of an entry.
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize,
            strum::EnumString, strum::IntoStaticStr, strum::VariantArray,
        )]
        #[non_exhaustive]
        pub enum Kind {
            $($(#[$meta])* #[serde(rename = $word)] #[strum(serialize = $word)] $name,)*
        }

        /// What was written, by kind.
        #[derive(Clone, Debug, PartialEq, Serialize)]
        #[serde(untagged)]
        #[non_exhaustive]
        #[expect(clippy::large_enum_variant, reason = "an event lives for one transaction")]
        pub enum Event {
            $($(#[$meta])* $name($name),)*
        }

        impl Kind {
            /// The schema of a body of the kind.
            pub(crate) fn body(self, generator: &mut SchemaGenerator) -> Schema {
                match self {
                    $(Self::$name => generator.subschema_for::<$name>(),)*
                }
            }
        }

        impl Event {
            /// Its kind.
            pub fn kind(&self) -> Kind {
                match self {
                    $(Self::$name(_) => Kind::$name,)*
                }
            }

            /// Reads a body of the kind.
            pub(crate) fn read<'d, D: Deserializer<'d>>(
                kind: Kind,
                body: D,
            ) -> Result<Self, D::Error> {
                match kind {
                    $(Kind::$name => $name::deserialize(body).map(Self::$name),)*
                }
            }
        }

        $(impl From<$name> for Event {
            fn from(body: $name) -> Self {
                Self::$name(body)
            }
        })*
    };
}

events! {
    /// The journal began.
    JournalOpened = "journal_opened",
    /// A protocol was used for the first time; its document is kept.
    ProtocolRecorded = "protocol_recorded",
    /// A worksheet was opened.
    WorksheetOpened = "worksheet_opened",
    /// A sample was added.
    SampleAdded = "sample_added",
    /// A possible donor was added.
    DonorAdded = "donor_added",
    /// How the mixtures were made.
    SetupNoted = "setup_noted",
    /// The reagents' own controls.
    ControlsNoted = "controls_noted",
    /// One look at one mixture.
    ReadingEntered = "reading",
    /// What was seen so far in a look that is not finished.
    LookBegun = "look_begun",
    /// A step was done that a clock runs from.
    StepDone = "step_done",
    /// An entry was taken back; it stays on the record.
    Retraction = "retraction",
    /// Free text.
    Note = "note",
    /// The end of a unit's number was typed again at the segment.
    SegmentChecked = "segment_checked",
    /// First readings were shown before the second reader had entered.
    Unblinded = "unblinded",
    /// An interpretation was issued.
    Issued = "interpretation_issued",
    /// An issued interpretation was given to a further person.
    Handed = "interpretation_handed",
    /// A unit was released.
    Released = "release",
    /// A unit was released before the crossmatch was completed.
    EmergencyReleased = "emergency_release",
    /// A released unit came back unused.
    Returned = "returned",
    /// A released unit was spiked.
    Started = "transfusion_started",
    /// What was seen while it ran.
    Observed = "observed",
    /// It has run in, or was stopped.
    Ended = "transfusion_ended",
    /// The PCV after it.
    OutcomeMeasured = "outcome",
    /// An animal was transfused.
    Transfused = "transfused",
    /// An animal reacted to a transfusion.
    Reacted = "reaction",
    /// An animal was typed outside a worksheet, or typed again.
    Typed = "typed",
    /// Identifiers of request, sample, unit and report were compared.
    ClericallyChecked = "clerical_check",
    /// Something is to be done.
    TaskRaised = "task_raised",
    /// It was done, or told.
    TaskClosed = "task_closed",
}

impl Kind {
    /// The word in an entry.
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// The format of a journal.
pub const FORMAT: &str = "crossread.journal/1";

/// The journal began.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct JournalOpened {
    /// Always `crossread.journal/1`.
    pub format: Text,
    /// Whose journal it is, such as the hospital's name.
    pub of: Text,
}

impl JournalOpened {
    pub(crate) fn new(of: Text) -> Self {
        Self { format: Text::from(FORMAT), of }
    }
}

/// A protocol was used for the first time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct ProtocolRecorded {
    /// Which protocol.
    pub protocol: ProtocolOf,
    /// Its document, byte for byte.
    pub document: Text,
}

/// A protocol, by the hash of its document.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct ProtocolOf {
    /// Its id.
    pub id: Id,
    /// Its version.
    pub version: Id,
    /// SHA-256 of its document.
    pub sha256: Digest,
}

/// A named person's decision to go on in spite of a refusal. It is printed, and it changes no verdict.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "a name and a reason is all there is to it")]
pub struct Override {
    /// Who decided it.
    pub by: Text,
    /// Why.
    pub reason: Text,
}

/// What was asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Request {
    /// The recipient's id as it stands on the request.
    pub recipient: Option<Id>,
    /// Who asked.
    pub by: Option<Text>,
    /// What for, and how soon.
    pub text: Option<Text>,
}

/// A worksheet was opened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct WorksheetOpened {
    /// The rules by which it is run.
    pub protocol: ProtocolOf,
    /// Tube, slide or gel column.
    pub method: Method,
    /// The recipient, as it was told.
    pub recipient: draft::Recipient,
    /// What the journal knew of the recipient; it is laid over what was told.
    #[serde(default, skip_serializing_if = "Known::is_empty")]
    pub known: Known,
    /// The warnings that were shown and taken note of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub acknowledged: Vec<Text>,
    /// What was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub request: Option<Request>,
    /// Whether every mixture is read by a second person who does not see the first one's values.
    #[serde(default, skip_serializing_if = "is_false")]
    pub second_reader: bool,
    /// The earlier worksheet whose pair is tested again after a reaction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retest_of: Option<Retest>,
    /// Why the recipient has only one identifier.
    #[serde(default, rename = "override", skip_serializing_if = "Option::is_none")]
    pub overridden: Option<Override>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
fn is_false(value: &bool) -> bool {
    !value
}

/// A pair that is tested again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Retest {
    /// The earlier worksheet.
    pub worksheet: Id,
    /// The donor on it.
    pub donor: Id,
    /// From before or from after the transfusion: the recipient's sample that is used now.
    pub sample: RetestSample,
}

/// Which of the recipient's samples a re-test uses.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    JsonSchema,
    strum::EnumString,
    strum::IntoStaticStr,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "a sample is from before or from after")]
pub enum RetestSample {
    /// The sample of the earlier worksheet.
    BeforeTransfusion,
    /// A sample drawn after the reaction.
    AfterTransfusion,
}

/// What the journal knows of an animal. Nothing in it ever makes a verdict better.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Known {
    /// `yes` if an entry says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transfused: Option<Answer>,
    /// The latest day of a transfusion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_transfused_on: Option<crossread_core::document::Date>,
    /// `yes` if an entry says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reaction: Option<Answer>,
    /// Donors that were incompatible with this recipient.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub incompatible_with: Vec<Id>,
    /// Typing results that disagree with another.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub types: Vec<draft::BloodType>,
    /// The entries that say so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub from: Vec<Seq>,
}

impl Known {
    /// Whether nothing is known.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// A sample was added.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct SampleAdded {
    /// The sample.
    pub sample: draft::Sample,
    /// Why a sample is used that would be refused.
    #[serde(default, rename = "override", skip_serializing_if = "Option::is_none")]
    pub overridden: Option<Override>,
}

/// A possible donor was added.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct DonorAdded {
    /// The donor, as it was told.
    pub donor: draft::Donor,
    /// What the journal knew of it; it is laid over what was told.
    #[serde(default, skip_serializing_if = "Known::is_empty")]
    pub known: Known,
    /// Why a donor with one identifier is used.
    #[serde(default, rename = "override", skip_serializing_if = "Option::is_none")]
    pub overridden: Option<Override>,
}

/// How the mixtures were made. The last one counts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct SetupNoted {
    /// The setup.
    pub setup: draft::Setup,
}

/// The reagents' own controls. The last one counts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct ControlsNoted {
    /// The controls.
    pub controls: draft::ReagentControls,
}

/// One look at one mixture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct ReadingEntered {
    /// What was seen. Its `at` and `by` are those of the entry, unless it was transcribed.
    pub reading: draft::Reading,
    /// Whether it was taken over later from paper, so that it was seen at another time than it was
    /// entered.
    #[serde(default, skip_serializing_if = "is_false")]
    pub transcribed: bool,
}

/// What was seen so far in a look that is not finished. The last one of a person in a mixture counts;
/// one in which nothing was seen takes the one before back, and a reading ends it. Its time and its
/// reader are those of the entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct LookBegun {
    /// Which mixture.
    pub of: Cell,
    /// How red the fluid is, 0 to 4.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hemolysis: Option<Hemolysis>,
    /// How strongly the cells clump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub agglutination: Option<Agglutination>,
    /// The shape of what is clumped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pattern: Option<Pattern>,
    /// Two populations of cells, one clumped and one free.
    #[serde(default, skip_serializing_if = "is_false")]
    pub mixed_field: bool,
    /// Parts of saline to 1 part of the mixture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saline_parts: Option<Whole<1, { u32::MAX }>>,
    /// How strongly the check cells clumped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check_cells: Option<Grade>,
    /// Whether the edge of the slide had dried.
    #[serde(default, skip_serializing_if = "is_false")]
    pub dried: bool,
    /// What spoils the reading.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub artefacts: Vec<Artefact>,
}

impl LookBegun {
    /// A look in which nothing was seen yet.
    ///
    /// ```
    /// # use crossread_core::words::{Phase, Test};
    /// # use crossread_journal::{Cell, LookBegun};
    /// let look = LookBegun::new(Cell::new(Test::RecipientAuto, None, Phase::Room));
    /// assert!(look.is_empty());
    /// ```
    pub fn new(of: Cell) -> Self {
        Self {
            of,
            hemolysis: None,
            agglutination: None,
            pattern: None,
            mixed_field: false,
            saline_parts: None,
            check_cells: None,
            dried: false,
            artefacts: Vec::new(),
        }
    }

    /// Whether nothing was seen.
    pub fn is_empty(&self) -> bool {
        *self == Self::new(self.of.clone())
    }

    /// What was seen, as a reading without its time and its reader.
    ///
    /// ```
    /// # use crossread_core::words::{Hemolysis, Phase, Test};
    /// # use crossread_journal::{Cell, LookBegun};
    /// let of = Cell::new(Test::RecipientAuto, None, Phase::Room);
    /// let look = LookBegun { hemolysis: Hemolysis::new(1), ..LookBegun::new(of) };
    /// let reading = look.reading();
    /// assert_eq!((reading.test, reading.hemolysis), (Some(Test::RecipientAuto), Hemolysis::new(1)));
    /// assert_eq!((reading.at, reading.by), (None, None));
    /// ```
    pub fn reading(&self) -> draft::Reading {
        draft::Reading {
            test: Some(self.of.test),
            donor: self.of.donor.clone(),
            phase: Some(self.of.phase),
            after: self.of.after,
            hemolysis: self.hemolysis,
            agglutination: self.agglutination,
            pattern: self.pattern,
            mixed_field: self.mixed_field.then_some(true),
            saline_parts: self.saline_parts,
            check_cells: self.check_cells,
            dried: self.dried.then_some(true),
            artefacts: (!self.artefacts.is_empty())
                .then(|| self.artefacts.iter().copied().collect()),
            ..draft::Reading::default()
        }
    }
}

/// A step was done that a clock runs from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct StepDone {
    /// Which step.
    pub step: Step,
    /// At which phase.
    pub phase: Phase,
    /// Of which mixture; left out if it was done with all of the phase.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Cell>,
}

/// A step that a clock runs from.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantArray,
    JsonSchema,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[non_exhaustive]
pub enum Step {
    /// The mixtures were put to incubate.
    IncubationStarted,
    /// They were spun; the reading window of tubes and columns runs from here.
    Spun,
    /// Plasma and cells were mixed on the slide; its reading window runs from here.
    Mixed,
}

/// An entry was taken back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Retraction {
    /// The entry that is taken back.
    pub of: Seq,
    /// Why.
    pub reason: Text,
    /// When and by whom it was taken back on a worksheet that was written elsewhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub told: Option<draft::Retracted>,
}

/// Free text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "a text is all there is to it")]
pub struct Note {
    /// The text.
    pub text: Text,
}

/// The end of a unit's number was typed again at the segment.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct SegmentChecked {
    /// The donor whose unit it is.
    pub donor: Id,
    /// What was typed.
    pub typed: Text,
    /// Whether it is the end of the unit's number.
    pub agrees: bool,
}

/// First readings were shown before the second reader had entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "a reason is all there is to it")]
pub struct Unblinded {
    /// Why.
    pub reason: Text,
}

/// An interpretation was issued.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Issued {
    /// From 1, one more each time.
    pub revision: u32,
    /// Who got it.
    pub to: Text,
    /// The entry of the revision that it replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<Seq>,
    /// The whole interpretation, with protocol, engine and hashes.
    pub interpretation: serde_json::Value,
}

/// An issued interpretation was given to a further person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Handed {
    /// The entry of the revision.
    pub issued: Seq,
    /// Who got it.
    pub to: Text,
}

/// A unit was released.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Released {
    /// The recipient.
    pub recipient: Id,
    /// The donor.
    pub donor: Id,
    /// The number of the unit.
    pub unit: Id,
    /// What is given.
    pub product: Product,
    /// Who received it.
    pub to: Text,
    /// The veterinarian who decided to give it.
    pub veterinarian: Text,
    /// The entry of the interpretation that it rests on.
    pub issued: Seq,
    /// Its revision.
    pub revision: u32,
    /// Its verdict.
    pub verdict: Verdict,
    /// Until when it could be released.
    pub valid_until: Text,
    /// The last characters of the recipient's id as they were typed again.
    pub typed_recipient: Text,
    /// The last characters of the unit's number as they were typed again.
    pub typed_unit: Text,
}

/// A unit was released before the crossmatch was completed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct EmergencyReleased {
    /// Always `CROSSMATCH NOT COMPLETED`.
    pub headline: Text,
    /// The recipient.
    pub recipient: Id,
    /// The donor.
    pub donor: Id,
    /// The number of the unit.
    pub unit: Id,
    /// What is given.
    pub product: Product,
    /// Who received it.
    pub to: Text,
    /// The veterinarian who decided it.
    pub veterinarian: Text,
    /// Why it cannot wait.
    pub reason: Text,
    /// What was not tested or not concluded.
    pub not_tested: Vec<Text>,
    /// The last characters of the recipient's id as they were typed again.
    pub typed_recipient: Text,
    /// The last characters of the unit's number as they were typed again.
    pub typed_unit: Text,
}

/// A released unit came back unused.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Returned {
    /// The entry of the release.
    pub release: Seq,
    /// Why, and in what state.
    pub reason: Text,
}

/// A released unit was spiked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Started {
    /// The entry of the release.
    pub release: Seq,
    /// What the veterinarian ordered, mL.
    pub ml: Hundredths<200_000>,
    /// Minutes for which it is to run, all portions together.
    pub minutes: u32,
    /// The checks, each with its answer.
    pub checks: Vec<Checked>,
    /// What was measured before; the temperature is always among it.
    pub baseline: Observation,
    /// The last characters of the recipient's id as they were typed again.
    pub typed_recipient: Text,
    /// The last characters of the unit's number as they were typed again.
    pub typed_unit: Text,
}

/// A check before spiking, with its answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "a check and its answer is all there is to it")]
pub struct Checked {
    /// The check.
    pub check: Check,
    /// Whether it was answered yes.
    pub yes: bool,
}

/// What was measured and seen of an animal at one time.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Observation {
    /// Temperature, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<Hundredths<45>>,
    /// Heart beats a minute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heart: Option<Whole<0, 500>>,
    /// Breaths a minute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub breaths: Option<Whole<0, 400>>,
    /// PCV, percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pcv: Option<Hundredths<80>>,
    /// How much has run in, mL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ml: Option<Hundredths<200_000>>,
    /// Gums, behavior, anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<Text>,
    /// Signs of a reaction.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signs: Vec<Sign>,
}

/// What was seen while a unit ran.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Observed {
    /// The entry of the start.
    pub started: Seq,
    /// What was seen.
    pub seen: Observation,
}

/// A unit has run in, or was stopped.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Ended {
    /// The entry of the start.
    pub started: Seq,
    /// How much had run in, mL, if that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ml: Option<Hundredths<200_000>>,
    /// Whether it was stopped before the end.
    pub stopped: bool,
    /// Why it was stopped, or what else is to be said.
    pub text: Text,
}

/// The PCV after a transfusion.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct OutcomeMeasured {
    /// The entry of the start.
    pub started: Seq,
    /// When it was measured, in hours after the end, by the protocol's list.
    pub hours: u32,
    /// The PCV, percent.
    pub pcv: Hundredths<80>,
}

/// An animal was transfused.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Transfused {
    /// The animal.
    pub animal: Id,
    /// When it began.
    pub at: Time,
    /// What was given.
    pub product: Product,
    /// The donor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub donor: Option<Id>,
    /// The number of the unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<Id>,
    /// Where, by whom, or what else is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<Text>,
}

/// An animal reacted to a transfusion.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Reacted {
    /// The animal.
    pub animal: Id,
    /// When it was noticed.
    pub at: Time,
    /// What was seen.
    pub text: Text,
    /// The donor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub donor: Option<Id>,
    /// The number of the unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<Id>,
}

/// An animal was typed outside a worksheet, or typed again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Typed {
    /// The animal.
    pub animal: Id,
    /// The result.
    #[serde(rename = "type")]
    pub result: draft::BloodType,
    /// The new sample that was typed, if this settles a disagreement of earlier results.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settled_by: Option<Text>,
}

/// Identifiers of request, sample, unit and report were compared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct ClericallyChecked {
    /// The donor whose unit it is.
    pub donor: Id,
    /// Every identifier that was compared.
    pub compared: Vec<Compared>,
}

/// One identifier, as it stands in the record and as it was read off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Compared {
    /// Where it was read off.
    pub place: Place,
    /// What it is.
    pub what: Text,
    /// As the record has it; left out if the record has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recorded: Option<Text>,
    /// As it was read off.
    pub read: Text,
    /// Whether both are the same, character by character.
    pub agrees: bool,
}

/// Where an identifier was read off.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    JsonSchema,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantArray,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[non_exhaustive]
pub enum Place {
    /// The request.
    Request,
    /// The sample's label.
    Sample,
    /// The unit.
    Unit,
    /// The report.
    Report,
}

/// Something is to be done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct TaskRaised {
    /// What kind of thing.
    pub task: Task,
    /// What is to be done, in a sentence.
    pub text: Text,
    /// The entry that it is about.
    pub about: Seq,
    /// The donor that it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub donor: Option<Id>,
    /// Who is to be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tell: Option<Text>,
    /// The mixture that it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cell: Option<Cell>,
}

/// A mixture at a phase.
#[derive(
    Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Cell {
    /// Which mixture.
    pub test: Test,
    /// Of which donor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub donor: Option<Id>,
    /// At which phase.
    pub phase: Phase,
    /// After which treatment; left out for a first look.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<crossread_core::words::Recheck>,
}

/// A kind of task.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    JsonSchema,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantArray,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[non_exhaustive]
pub enum Task {
    /// Tell someone that an interpretation they were given has changed.
    TellOfAmendment,
    /// Finish the crossmatch of a unit that was released before.
    FinishCrossmatch,
    /// Inform the veterinarian of a unit that left and has not come back, and that would not be
    /// released by what is known now.
    InformVeterinarian,
    /// Draw a new sample and type again, because results disagree.
    TypeAgain,
    /// Look at a mixture a third time, because two readers disagree.
    ThirdLook,
    /// Stop the unit and call the veterinarian, because of what was seen while it ran.
    StopAndCall,
}

/// A task was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct TaskClosed {
    /// The entry that raised it.
    pub task: Seq,
    /// What was done or who was told.
    pub text: Text,
}
