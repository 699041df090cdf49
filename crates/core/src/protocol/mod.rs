//! Local rules as data: thresholds and requirements, versioned, each with its source.
//!
//! No rule of the engine names a protocol, and no threshold stands in code.

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
    pub fn rejects_plasma(&self, hemolysis: u32) -> bool {
        hemolysis >= self.rules.hemolysis_reject_from
    }

    /// Whether two looks at one mixture fall on different sides of a cut-off, so that the mixture
    /// must be looked at a third time: one graded and one unreadable, grades of different classes
    /// (negative, doubtful, reactive), or hemolysis that counts in only one of them.
    pub fn disagree(&self, one: Look, other: Look) -> bool {
        let class = |look: Look| look.0.grade().map(|grade| self.rules.class(grade));
        class(one) != class(other) || self.rules.is_lysis(one.1) != self.rules.is_lysis(other.1)
    }

    /// The rules of a method, if the protocol has it.
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
#[derive(Clone, Debug)]
pub struct Protocols(Vec<Protocol>);

impl Protocols {
    /// The three protocols that ship: routine rules for dogs, cats and horses.
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
    pub fn new(protocols: impl IntoIterator<Item = Protocol>) -> Self {
        protocols.into_iter().fold(Self(Vec::new()), Self::with)
    }

    /// One protocol more, in place of one with the same id and version.
    #[must_use]
    pub fn with(mut self, protocol: Protocol) -> Self {
        self.0.retain(|known| known.id != protocol.id || known.version != protocol.version);
        self.0.push(protocol);
        self
    }

    /// The protocol of this id and version.
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
    pub fn role(&self, phase: Phase) -> Option<PhaseRole> {
        by_phase(&self.phases, phase)
    }

    /// The phases that decide, in the order in which they are read.
    pub fn deciding_phases(&self) -> impl Iterator<Item = Phase> {
        let deciding = |phase: &&Phase| self.role(**phase).is_some_and(PhaseRole::is_deciding);
        Phase::ALL.iter().filter(deciding).copied()
    }

    /// Whether hemolysis must be looked for.
    pub fn hemolysis(&self) -> HemolysisRule {
        self.hemolysis
    }

    /// Whether the protocol requires a test.
    pub fn requires(&self, test: Test) -> bool {
        self.required.contains(&test)
    }

    /// Whether a test must be read before this product may be given.
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
    pub fn reading_window(&self) -> Option<(u32, u32)> {
        self.seconds
    }

    /// The seconds from mixing or from the spin after which a first look is late; `None` if the
    /// protocol states none.
    pub fn late_after(&self) -> Option<u32> {
        self.late_after_seconds
    }

    /// The minutes of incubation, from and to, at a phase. Antiglobulin without its own has those
    /// of 37 °C, as its minutes have.
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
