//! What was written down for one crossmatch: the checked [`Worksheet`] and how a document becomes
//! one, or a list of all its faults.
//!
//! ```standalone_crate
//! use crossread_core::{Protocols, Worksheet};
//! use crossread_core::words::{Phase, Test};
//!
//! let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
//! let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
//! assert_eq!(worksheet.donors().len(), 3);
//! // Readings and samples name their animals by their place.
//! let major = worksheet.readings().iter().find(|of| of.test == Test::Major).ok_or("no major")?;
//! assert_eq!((major.donor, major.phase), (Some(0), Phase::Warm37c));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod check;
pub mod draft;

pub use draft::{BloodType, Decision, Lot, Retracted, Unit};

use crate::document::{Digest, Faults, Hundredths, Id, Text, Time, Whole, read};
use crate::protocol::Protocols;
use crate::words::{
    Agglutination, Answer, Anticoagulant, Artefact, Complement, Condition, Grade, Method, Pattern,
    Phase, Product, Recheck, SampleRole, Species, Storage, System, Test, TypeResult,
};

/// The format of a worksheet document.
pub const FORMAT: &str = "crossread.worksheet/1";

/// Most donors on one worksheet.
pub const MAX_DONORS: usize = 24;

/// A worksheet that was checked against its protocol. Only the check makes one, so that what has
/// not been checked cannot be interpreted.
///
/// ```compile_fail
/// let unchecked = crossread_core::worksheet::Worksheet { id: "WS-1".into() };
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Worksheet {
    id: Id,
    protocol: ProtocolRef,
    method: Method,
    recipient: Recipient,
    donors: Vec<Donor>,
    samples: Vec<Sample>,
    setup: Setup,
    controls: ReagentControls,
    readings: Vec<Reading>,
    remarks: Option<Text>,
    digest: Digest,
}

impl Worksheet {
    /// Checks a document and takes the worksheet out of it.
    ///
    /// `protocols` must hold the protocol that the document names: phases, tests and species are
    /// checked against it.
    ///
    /// # Errors
    /// All faults of the document at once, each with its place, if there is any: nothing is
    /// corrected and nothing is guessed. A document is at fault if it is over 64 MiB, is not JSON
    /// in UTF-8, has a value nested over 64 deep, or breaks any rule of the worksheet format.
    ///
    /// ```
    /// # use crossread_core::{protocol::Protocols, worksheet::Worksheet};
    /// let faults = Worksheet::from_json(b"{}", Protocols::shipped()).unwrap_err();
    /// assert_eq!(faults.as_slice().len(), 7);
    /// assert_eq!(faults.as_slice()[0].pointer, "/donors");
    /// ```
    pub fn from_json(document: &[u8], protocols: &Protocols) -> Result<Self, Faults> {
        let mut worksheet = Self::from_json_unhashed(document, protocols)?;
        worksheet.digest = Digest::of(document);
        Ok(worksheet)
    }

    /// Checks a document without hashing it, for measuring one without the other.
    #[doc(hidden)]
    pub fn from_json_unhashed(document: &[u8], protocols: &Protocols) -> Result<Self, Faults> {
        check::check(read::<draft::Worksheet>(document)?, protocols)
    }

    /// The worksheet's own id.
    pub fn id(&self) -> &Id {
        &self.id
    }

    /// The protocol that it names and was checked against.
    pub fn protocol(&self) -> &ProtocolRef {
        &self.protocol
    }

    /// Tube, slide or gel column.
    pub fn method(&self) -> Method {
        self.method
    }

    /// The animal that needs blood.
    pub fn recipient(&self) -> &Recipient {
        &self.recipient
    }

    /// The possible donors, at least one and at most 24, in the order of the document.
    pub fn donors(&self) -> &[Donor] {
        &self.donors
    }

    /// The blood samples, in the order of the document.
    pub fn samples(&self) -> &[Sample] {
        &self.samples
    }

    /// How the mixtures were made.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// The reagents' own controls.
    pub fn controls(&self) -> &ReagentControls {
        &self.controls
    }

    /// Every look at every mixture, in the order of the document.
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// Free text, never interpreted.
    pub fn remarks(&self) -> Option<&Text> {
        self.remarks.as_ref()
    }

    /// SHA-256 of the document as it was handed in.
    pub fn digest(&self) -> Digest {
        self.digest
    }
}

/// The protocol that a worksheet was checked against.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct ProtocolRef {
    /// Its id.
    pub id: Id,
    /// Its version.
    pub version: Id,
    /// SHA-256 of its document.
    pub digest: Digest,
}

/// What is known of an animal, recipient or donor.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Animal {
    /// Unique among the animals of the worksheet.
    pub id: Id,
    /// What the animal is called.
    pub name: Option<Text>,
    /// The species.
    pub species: Species,
    /// The breed.
    pub breed: Option<Text>,
    /// Blood typing results.
    pub types: Vec<TypeOf>,
    /// Ever transfused; `unknown` if nobody answered.
    pub transfused: Answer,
    /// The day of the last transfusion.
    pub last_transfused_on: Option<crate::document::Date>,
    /// Ever pregnant; `unknown` if nobody answered.
    pub pregnant: Answer,
    /// Ever a reaction to a transfusion; `unknown` if nobody answered.
    pub reaction: Answer,
    /// Who decided to go on with it in spite of a refusal, and why.
    pub decision: Option<Decision>,
}

impl Animal {
    /// The results in one blood group system, in the order of the document.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocols, Worksheet, words::{System, TypeResult}};
    /// # let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
    /// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
    /// let clover = &worksheet.recipient().animal;
    /// assert_eq!(clover.results(System::Dea1).collect::<Vec<_>>(), [TypeResult::Positive]);
    /// assert_eq!(clover.results(System::Dal).count(), 0);
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    pub fn results(&self, system: System) -> impl Iterator<Item = TypeResult> {
        self.types.iter().filter(move |of| of.system == system).map(|of| of.result)
    }
}

/// One blood typing result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct TypeOf {
    /// The blood group system.
    pub system: System,
    /// The result, one of those that the system knows.
    pub result: TypeResult,
    /// The day of the typing.
    pub on: Option<crate::document::Date>,
}

/// The animal that needs blood.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Recipient {
    /// What is known of it.
    pub animal: Animal,
    /// Body weight in kg, in hundredths.
    pub weight_kg: Option<Hundredths<2000>>,
    /// What is known of its illness.
    pub conditions: Vec<Condition>,
    /// Ids of donors that were incompatible before.
    pub incompatible_with: Vec<Id>,
}

/// One possible donor.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Donor {
    /// What is known of it.
    pub animal: Animal,
    /// What would be given.
    pub product: Product,
    /// The unit of blood, if there is one already.
    pub unit: Option<Unit>,
}

/// Whose sample it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(clippy::exhaustive_enums, reason = "an animal is the recipient or a donor")]
pub enum Owner {
    /// The recipient.
    Recipient,
    /// The donor of this number.
    Donor(usize),
}

/// One blood sample.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Sample {
    /// Unique among the samples of the worksheet.
    pub id: Id,
    /// The animal that it was drawn from.
    pub of: Owner,
    /// What of it is used.
    pub role: SampleRole,
    /// The tube it was drawn into.
    pub tube: Option<Anticoagulant>,
    /// When it was drawn.
    pub drawn_at: Option<Time>,
    /// Where it was kept.
    pub stored: Option<Storage>,
    /// How red the plasma is, 0 to 4.
    pub hemolysis: Option<u32>,
    /// How milky the plasma is, 0 to 3.
    pub lipemia: Option<u32>,
    /// How yellow the plasma is, 0 to 3.
    pub icterus: Option<u32>,
    /// Whether there are clots.
    pub clots: Option<bool>,
    /// Whether the cells clump in the sample itself.
    pub agglutinated: Option<bool>,
    /// The animal id that stands on the label.
    pub label_id: Option<Id>,
    /// Whether the label names another animal than the sample's.
    pub mislabeled: bool,
    /// Who decided to go on with it in spite of a refusal, and why.
    pub decision: Option<Decision>,
}

/// How the mixtures were made.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Setup {
    /// Red cells in the suspension, percent by volume, in hundredths.
    pub cells_percent: Option<Hundredths<100>>,
    /// How often the cells were washed.
    pub washes: Option<u32>,
    /// Plasma in one mixture, in µL.
    pub plasma_ul: Option<u32>,
    /// Cell suspension in one mixture, in µL.
    pub cells_ul: Option<u32>,
    /// Minutes of incubation at each phase.
    pub incubation_min: draft::Incubation,
    /// Whether complement could act; `None` counts as `none`.
    pub complement: Option<Complement>,
    /// The lots of what was used.
    pub lots: Vec<Lot>,
}

impl Setup {
    /// Minutes of incubation that count for a phase: antiglobulin without its own has that of 37 °C.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocols, Worksheet, words::Phase};
    /// # let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
    /// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
    /// // The worksheet says 5 min at room temperature, 20 min at 37 °C, and nothing of antiglobulin.
    /// assert_eq!(worksheet.setup().incubation(Phase::Antiglobulin), Some(20));
    /// assert_eq!(worksheet.setup().incubation(Phase::Cold4c), None);
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    pub fn incubation(&self, phase: Phase) -> Option<u32> {
        let minutes = &self.incubation_min;
        match phase {
            Phase::Room => minutes.room,
            Phase::Warm37c => minutes.warm_37c,
            Phase::Antiglobulin => minutes.antiglobulin.or(minutes.warm_37c),
            Phase::Cold4c => minutes.cold_4c,
        }
        .map(Whole::get)
    }
}

/// The reagents' own controls.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct ReagentControls {
    /// The grade that the positive control should have, and what was seen.
    pub positive: Option<(Grade, Agglutination)>,
    /// What was seen of the negative control.
    pub negative: Option<Agglutination>,
}

/// One look at one tube, slide or gel column.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Reading {
    /// Which mixture.
    pub test: Test,
    /// The donor's number, for the tests that have one.
    pub donor: Option<usize>,
    /// At which step.
    pub phase: Phase,
    /// What was done before this look; `None` for a first look.
    pub after: Option<Recheck>,
    /// Parts of saline to 1 part of the mixture, for a dilution.
    pub saline_parts: Option<u32>,
    /// How strongly the cells clump.
    pub agglutination: Agglutination,
    /// How red the fluid is, 0 to 4; `None` if nobody looked.
    pub hemolysis: Option<u32>,
    /// The shape of what is clumped.
    pub pattern: Option<Pattern>,
    /// Two populations of cells, one clumped and one free.
    pub mixed_field: bool,
    /// How strongly the check cells clumped.
    pub check_cells: Option<Grade>,
    /// Seconds since mixing (slide) or since the spin (tube, gel).
    pub seconds: Option<u32>,
    /// Whether the edge of the slide had dried.
    pub dried: bool,
    /// What spoils the reading.
    pub artefacts: Vec<Artefact>,
    /// When it was seen.
    pub at: Time,
    /// Who saw it.
    pub by: Option<Text>,
    /// Taken back, by whom and why.
    pub retracted: Option<Retracted>,
}
