//! Local rules as data: thresholds and requirements, versioned, each with its source.
//!
//! No rule of the engine names a protocol, and no threshold stands in code.
//!
//! ```
//! use crossread_core::Protocols;
//! use crossread_core::document::Id;
//! use crossread_core::words::{Method, Phase, Product, Test};
//!
//! let name = |text| Id::new(text).ok_or("no name");
//! let dog = Protocols::shipped().get(&name("dog-routine")?, &name("1.0.0")?);
//! let dog = dog.ok_or("no such protocol")?;
//! let tube = dog.method(Method::Tube).ok_or("no rules for tubes")?;
//! assert_eq!(tube.deciding_phases().count(), 3);
//! assert_eq!(tube.incubation(Phase::Warm37c), Some((15, 60)));
//! assert!(tube.needs(Test::Major, Product::PackedCells));
//! // Every value says where it is from.
//! let rule = &dog.listed()?["reactive_from"];
//! assert_eq!((rule.spoken().as_str(), rule.source.as_str()), ("w", "choice"));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod check;
pub mod draft;
mod listed;
mod words;

use std::sync::OnceLock;

pub use listed::Listed;
pub use words::{
    Advice, CheckCellsMissing, HemolysisRule, NegativeTestRule, PhaseRole, Remark, TestRole,
    TypeRules,
};

use crate::document::{Digest, Faults, Hundredths, Id, read};
use crate::words::{Agglutination, Grade, Method, Phase, Product, Species, Storage, Test};

/// The format of a protocol document.
pub const FORMAT: &str = "crossread.protocol/1";

/// The documents of the protocols that ship, by file name.
pub const SHIPPED: [(&str, &str); 3] = [
    ("cat-routine.json", include_str!("../../protocols/cat-routine.json")),
    ("dog-routine.json", include_str!("../../protocols/dog-routine.json")),
    ("horse-routine.json", include_str!("../../protocols/horse-routine.json")),
];

/// A checked protocol.
#[derive(Clone, Debug, PartialEq)]
pub struct Protocol {
    document: draft::Protocol,
    text: String,
    digest: Digest,
    id: Id,
    version: Id,
    species: Vec<Species>,
    methods: [Option<MethodRules>; 3],
    pub(crate) rules: Rules,
}

impl Protocol {
    /// Checks a document and takes the protocol out of it.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocol, document::FaultCode};
    /// let text = include_str!("../../protocols/dog-routine.json");
    /// let own = text.replace("\"dog-routine\"", "\"dog-night\"");
    /// assert_eq!(Protocol::from_json(own.as_bytes())?.id().as_str(), "dog-night");
    /// let unsourced = own.replace("\"source\": \"cotter2019\"", "\"source\": \"cotter\"");
    /// let faults = Protocol::from_json(unsourced.as_bytes()).unwrap_err();
    /// assert!(faults.as_slice().iter().all(|fault| fault.code == FaultCode::UnknownSource));
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    ///
    /// # Errors
    /// All faults of the document at once, each with its place: of its form, as for a worksheet,
    /// and of its content: a range whose `lo` is above its `hi`; not `0` < `doubtful_from` ≤
    /// `reactive_from`; not `hemolysis_from` ≤ `hemolysis_reject_from`; no species; a method
    /// without a `required` or `one_of` phase, whose major is not required, or whose saline
    /// controls are; a source that is not listed.
    pub fn from_json(document: &[u8]) -> Result<Self, Faults> {
        let mut protocol = check::check(read(document)?, Digest::of(document))?;
        protocol.text = String::from_utf8_lossy(document).into_owned();
        Ok(protocol)
    }

    /// Its document as it was handed in, byte for byte.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The protocol as it is written, with sources and notes.
    pub fn document(&self) -> &draft::Protocol {
        &self.document
    }

    /// Its id.
    pub fn id(&self) -> &Id {
        &self.id
    }

    /// Its version.
    pub fn version(&self) -> &Id {
        &self.version
    }

    /// SHA-256 of its document as it was handed in.
    pub fn digest(&self) -> Digest {
        self.digest
    }

    /// The species of recipient that it is meant for.
    pub fn species(&self) -> &[Species] {
        &self.species
    }

    /// Whether plasma of this hemolysis, 0 to 4, is rejected.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// assert!(!dog.rejects_plasma(1));
    /// assert!(dog.rejects_plasma(4));
    /// ```
    pub fn rejects_plasma(&self, hemolysis: u32) -> bool {
        hemolysis >= self.rules.hemolysis_reject_from
    }

    /// Whether two looks at one mixture fall on different sides of a cut-off, so that the mixture
    /// must be looked at a third time: one graded and one unreadable, grades of different classes
    /// (negative, doubtful, reactive), or hemolysis that counts in only one of them.
    ///
    /// ```
    /// # use crossread_core::words::Agglutination::{Graded, Unreadable};
    /// # use crossread_core::words::Grade;
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// // Both reactive: that they differ by a grade changes nothing.
    /// assert!(!dog.disagree((Graded(Grade::G1), Some(0)), (Graded(Grade::G2), Some(0))));
    /// assert!(dog.disagree((Graded(Grade::G0), Some(0)), (Graded(Grade::G1), Some(0))));
    /// assert!(dog.disagree((Graded(Grade::G0), Some(0)), (Graded(Grade::G0), Some(2))));
    /// assert!(dog.disagree((Graded(Grade::G0), Some(0)), (Unreadable, Some(0))));
    /// ```
    pub fn disagree(&self, one: Look, other: Look) -> bool {
        let class = |look: Look| look.0.grade().map(|grade| self.rules.class(grade));
        class(one) != class(other) || self.rules.is_lysis(one.1) != self.rules.is_lysis(other.1)
    }

    /// The rules of a method, if the protocol has it.
    ///
    /// ```
    /// # use crossread_core::words::{Method, Phase};
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let slide = dog.method(Method::Slide).unwrap();
    /// assert_eq!(slide.deciding_phases().collect::<Vec<_>>(), [Phase::Room]);
    /// ```
    pub fn method(&self, method: Method) -> Option<&MethodRules> {
        let [tube, slide, gel] = &self.methods;
        match method {
            Method::Tube => tube.as_ref(),
            Method::Slide => slide.as_ref(),
            Method::Gel => gel.as_ref(),
        }
    }
}

/// What one person saw of a mixture: how it clumps, and how red the fluid is, 0 to 4, if they
/// looked.
pub type Look = (Agglutination, Option<u32>);

/// The protocols at hand.
///
/// ```standalone_crate
/// use crossread_core::{Protocol, Protocols};
///
/// let text = include_str!("../../protocols/dog-routine.json");
/// let own = Protocol::from_json(text.replace("\"dog-routine\"", "\"dog-night\"").as_bytes())?;
/// let (id, version) = (own.id().clone(), own.version().clone());
/// let all = Protocols::shipped().clone().with(own);
/// assert_eq!(all.iter().count(), 4);
/// assert!(all.get(&id, &version).is_some());
/// # Ok::<_, crossread_core::document::Faults>(())
/// ```
#[derive(Clone, Debug)]
pub struct Protocols(Vec<Protocol>);

impl Protocols {
    /// The three protocols that ship: routine rules for dogs, cats and horses.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// let ids: Vec<_> = Protocols::shipped().iter().map(|one| one.id().as_str()).collect();
    /// assert_eq!(ids, ["cat-routine", "dog-routine", "horse-routine"]);
    /// ```
    pub fn shipped() -> &'static Self {
        static SET: OnceLock<Protocols> = OnceLock::new();
        SET.get_or_init(|| {
            // A shipped document that is at fault is left out here and fails a test.
            let documents = SHIPPED.iter();
            Self(
                documents
                    .filter_map(|(_, text)| Protocol::from_json(text.as_bytes()).ok())
                    .collect(),
            )
        })
    }

    /// These protocols; of two with the same id and version, the later one.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// // The same protocols twice are no more.
    /// let all = || Protocols::shipped().iter().cloned();
    /// assert_eq!(Protocols::new(all().chain(all())).iter().count(), 3);
    /// ```
    pub fn new(protocols: impl IntoIterator<Item = Protocol>) -> Self {
        protocols.into_iter().fold(Self(Vec::new()), Self::with)
    }

    /// One protocol more, in place of one with the same id and version.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocol, Protocols};
    /// let dog = include_str!("../../protocols/dog-routine.json");
    /// // Another text with the same id and version takes the other's place.
    /// let own = Protocol::from_json(dog.replace("\"value\": 300", "\"value\": 240").as_bytes())?;
    /// let all = Protocols::shipped().clone().with(own.clone());
    /// assert_eq!(all.iter().count(), 3);
    /// assert_eq!(all.get(own.id(), own.version()).map(|of| of.digest()), Some(own.digest()));
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    #[must_use]
    pub fn with(mut self, protocol: Protocol) -> Self {
        self.0.retain(|known| known.id != protocol.id || known.version != protocol.version);
        self.0.push(protocol);
        self
    }

    /// The protocol of this id and version.
    ///
    /// ```
    /// # use crossread_core::{Protocols, document::Id};
    /// let (cat, one, two) = (Id::new("cat-routine"), Id::new("1.0.0"), Id::new("2.0.0"));
    /// let (cat, one, two) = (cat.unwrap(), one.unwrap(), two.unwrap());
    /// assert!(Protocols::shipped().get(&cat, &one).is_some());
    /// assert!(Protocols::shipped().get(&cat, &two).is_none());
    /// ```
    pub fn get(&self, id: &Id, version: &Id) -> Option<&Protocol> {
        self.0.iter().find(|protocol| protocol.id == *id && protocol.version == *version)
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &Protocol> {
        self.0.iter()
    }
}

/// The rules of one method.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MethodRules {
    phases: [Option<PhaseRole>; 4],
    required: Vec<Test>,
    hemolysis: HemolysisRule,
    pub(crate) seconds: Option<(u32, u32)>,
    pub(crate) late_after_seconds: Option<u32>,
    pub(crate) cells_percent: Option<(Hundredths<100>, Hundredths<100>)>,
    pub(crate) washes_min: Option<u32>,
    incubation_min: [Option<(u32, u32)>; 4],
}

impl MethodRules {
    /// The rules of a method that the protocol does not have: no phase is used.
    pub(crate) const NONE: &'static Self = &Self {
        phases: [None; 4],
        required: Vec::new(),
        hemolysis: HemolysisRule::NotReadable,
        seconds: None,
        late_after_seconds: None,
        cells_percent: None,
        washes_min: None,
        incubation_min: [None; 4],
    };

    /// What a phase is for; `None` if the method does not use it.
    ///
    /// ```
    /// # use crossread_core::{protocol::PhaseRole, words::{Method, Phase}};
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// assert_eq!(dog.method(Method::Tube).unwrap().role(Phase::Warm37c), Some(PhaseRole::Required));
    /// assert_eq!(dog.method(Method::Slide).unwrap().role(Phase::Warm37c), None);
    /// ```
    pub fn role(&self, phase: Phase) -> Option<PhaseRole> {
        by_phase(&self.phases, phase)
    }

    /// The phases that decide, in the order in which they are read.
    ///
    /// ```
    /// # use crossread_core::words::{Method, Phase};
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let tube: Vec<_> = dog.method(Method::Tube).unwrap().deciding_phases().collect();
    /// assert_eq!(tube, [Phase::Room, Phase::Warm37c, Phase::Antiglobulin]);
    /// ```
    pub fn deciding_phases(&self) -> impl Iterator<Item = Phase> {
        let deciding = |phase: &&Phase| self.role(**phase).is_some_and(PhaseRole::is_deciding);
        Phase::ALL.iter().filter(deciding).copied()
    }

    /// Whether hemolysis must be looked for.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # use crossread_core::{protocol::HemolysisRule, words::Method};
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// assert_eq!(dog.method(Method::Tube).unwrap().hemolysis(), HemolysisRule::Required);
    /// assert_eq!(dog.method(Method::Slide).unwrap().hemolysis(), HemolysisRule::NotReadable);
    /// ```
    pub fn hemolysis(&self) -> HemolysisRule {
        self.hemolysis
    }

    /// Whether the protocol requires a test.
    ///
    /// ```
    /// # use crossread_core::words::{Method, Test};
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let tube = dog.method(Method::Tube).unwrap();
    /// assert!(tube.requires(Test::RecipientAuto));
    /// assert!(!tube.requires(Test::Minor));
    /// ```
    pub fn requires(&self, test: Test) -> bool {
        self.required.contains(&test)
    }

    /// Whether a test must be read before this product may be given.
    ///
    /// ```
    /// # use crossread_core::words::{Method, Product, Test};
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// // The protocol leaves the minor open; whole blood brings the donor's plasma.
    /// let tube = dog.method(Method::Tube).unwrap();
    /// assert!(!tube.needs(Test::Minor, Product::PackedCells));
    /// assert!(tube.needs(Test::Minor, Product::WholeBlood));
    /// ```
    pub fn needs(&self, test: Test, product: Product) -> bool {
        match product {
            Product::PackedCells => test == Test::Major || self.requires(test),
            Product::WashedCells => {
                let left_out = test == Test::Minor || test == Test::DonorAuto;
                test == Test::Major || (self.requires(test) && !left_out)
            }
            Product::WholeBlood => {
                let added = test == Test::Minor || test == Test::DonorAuto;
                test == Test::Major || self.requires(test) || added
            }
            Product::Plasma => test == Test::Minor || test == Test::DonorAuto,
        }
    }

    /// The seconds from mixing or from the spin in which a mixture is read, from and to; `None` if
    /// the protocol states no window.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # use crossread_core::words::Method;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// assert_eq!(dog.method(Method::Slide).unwrap().reading_window(), Some((60, 300)));
    /// assert_eq!(dog.method(Method::Tube).unwrap().reading_window(), None);
    /// ```
    pub fn reading_window(&self) -> Option<(u32, u32)> {
        self.seconds
    }

    /// The seconds from mixing or from the spin after which a first look is late; `None` if the
    /// protocol states none.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # use crossread_core::words::Method;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// assert_eq!(dog.method(Method::Tube).unwrap().late_after(), Some(300));
    /// assert_eq!(dog.method(Method::Slide).unwrap().late_after(), None);
    /// ```
    pub fn late_after(&self) -> Option<u32> {
        self.late_after_seconds
    }

    /// The minutes of incubation, from and to, at a phase. Antiglobulin without its own has those
    /// of 37 °C, as its minutes have.
    ///
    /// ```
    /// # use crossread_core::words::{Method, Phase};
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let tube = dog.method(Method::Tube).unwrap();
    /// assert_eq!(tube.incubation(Phase::Antiglobulin), Some((15, 60)));
    /// assert_eq!(tube.incubation(Phase::Room), None);
    /// ```
    pub fn incubation(&self, phase: Phase) -> Option<(u32, u32)> {
        let own = by_phase(&self.incubation_min, phase);
        match phase {
            Phase::Antiglobulin => own.or_else(|| by_phase(&self.incubation_min, Phase::Warm37c)),
            Phase::Room | Phase::Warm37c | Phase::Cold4c => own,
        }
    }
}

fn by_phase<T: Copy>(each: &[Option<T>; 4], phase: Phase) -> Option<T> {
    let [room, warm_37c, antiglobulin, cold_4c] = *each;
    match phase {
        Phase::Room => room,
        Phase::Warm37c => warm_37c,
        Phase::Antiglobulin => antiglobulin,
        Phase::Cold4c => cold_4c,
    }
}

/// The thresholds that hold for every method, as the engine uses them.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::struct_field_names, reason = "the names are those of the protocol format")]
pub(crate) struct Rules {
    pub(crate) reactive_from: Grade,
    pub(crate) doubtful_from: Grade,
    pub(crate) hemolysis_from: u32,
    pub(crate) hemolysis_reject_from: u32,
    pub(crate) auto_margin_half_steps: u32,
    pub(crate) negative_test_with_reactive_auto: NegativeTestRule,
    pub(crate) dispersal_up_to: Grade,
    pub(crate) saline_parts: (u32, u32),
    pub(crate) check_cells_min: Grade,
    pub(crate) check_cells_missing: CheckCellsMissing,
    pub(crate) control_tolerance_half_steps: u32,
    pub(crate) weak_up_to: Grade,
    pub(crate) exposed_hours: StorageHours,
    pub(crate) naive_hours: StorageHours,
    pub(crate) run_max_hours: u32,
    pub(crate) recent_transfusion_days: u32,
    pub(crate) lipemia_from: u32,
    pub(crate) icterus_from: u32,
    pub(crate) plasma_ratio_min: u32,
    pub(crate) panel_min_donors: u32,
    pub(crate) pregnancy_sensitises: bool,
    pub(crate) anticoagulant_lysis: Remark,
    pub(crate) lysis_must_be_testable: bool,
    pub(crate) type_rules: TypeRules,
    pub(crate) minor_with_packed_cells: MinorEffects,
}

/// Hours until a sample is too old, by where it was kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct StorageHours {
    pub(crate) room: u32,
    pub(crate) fridge: u32,
}

impl StorageHours {
    /// The hours for a place; the shorter ones if nobody wrote where the sample was.
    pub(crate) fn at(self, stored: Option<Storage>) -> u32 {
        match stored {
            Some(Storage::Room) => self.room,
            Some(Storage::Fridge) => self.fridge,
            None => self.room.min(self.fridge),
        }
    }
}

/// What the minor does to a verdict for packed cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct MinorEffects {
    pub(crate) reactive: Remark,
    pub(crate) unresolved: Remark,
    pub(crate) void: Remark,
    pub(crate) not_read: Remark,
}
