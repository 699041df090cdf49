//! A worksheet in the making, as the plain parts of the worksheet format.

use crossread_core::document::{Date, Hundredths, Id, List, Text, Time, Whole};
use crossread_core::protocol::draft as draft_protocol;
use crossread_core::words::{
    Agglutination, Answer, Anticoagulant, Complement, Grade, Hemolysis, Inspection, Method, Phase,
    Product, SampleRole, Species, Storage, System, Test, TypeResult,
};
use crossread_core::worksheet::{FORMAT, draft};
use crossread_core::{Protocol, Protocols, Worksheet};
use jiff::Timestamp;

/// Noon of the invented day on which every exercise is run, in seconds of the Unix clock:
/// 2026-05-04, 12:00 UTC.
const NOON: i64 = 1_777_896_000;

/// The time so many seconds after the run began, which is noon.
pub(crate) fn clock(seconds: i64) -> Option<Time> {
    let at = Timestamp::from_second(NOON.saturating_add(seconds)).ok()?;
    Time::new(&at.to_string())
}

/// The day so many days after that of the run.
pub(crate) fn day(days: i64) -> Option<Date> {
    Some(clock(days.saturating_mul(86_400))?.date())
}

/// A worksheet in the making.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Bench {
    pub(crate) id: String,
    pub(crate) protocol: draft::ProtocolRef,
    pub(crate) method: Method,
    pub(crate) recipient: draft::Recipient,
    pub(crate) donors: Vec<draft::Donor>,
    pub(crate) samples: Vec<draft::Sample>,
    pub(crate) setup: draft::Setup,
    pub(crate) controls: Option<draft::ReagentControls>,
    pub(crate) readings: Vec<draft::Reading>,
}

impl Bench {
    /// A run on which nothing is amiss and nothing is read yet. Animals never transfused, types
    /// given and matched, two fresh samples each, the suspension in the middle of its range.
    pub(crate) fn new(
        number: u32,
        species: Species,
        method: Method,
        donors: u32,
        protocol: &Protocol,
    ) -> Self {
        let recipient_id = format!("EX-R-{number}");
        let never = Some(Answer::Never);
        let recipient = draft::Recipient {
            id: Id::new(&recipient_id),
            species: Some(species),
            types: Some(matched(species)),
            history: Some(draft::RecipientHistory {
                transfused: never,
                pregnant: never,
                reaction: never,
                ..draft::RecipientHistory::default()
            }),
            ..draft::Recipient::default()
        };
        let mut bench = Self {
            id: format!("EXERCISE-{number}"),
            protocol: draft::ProtocolRef {
                id: Some(protocol.id().clone()),
                version: Some(protocol.version().clone()),
            },
            method,
            recipient,
            donors: Vec::new(),
            samples: Vec::new(),
            setup: setup(method, protocol),
            controls: None,
            readings: Vec::new(),
        };
        bench.sampled(&recipient_id);
        for donor in 1..=donors {
            let id = format!("EX-D-{number}-{donor}");
            bench.donors.push(draft::Donor {
                id: Id::new(&id),
                species: Some(species),
                product: Some(Product::PackedCells),
                types: Some(matched(species)),
                history: Some(draft::DonorHistory {
                    transfused: never,
                    pregnant: never,
                    reaction: never,
                    ..draft::DonorHistory::default()
                }),
                unit: Some(draft::Unit {
                    number: Id::new(&format!("EX-U-{number}-{donor}")),
                    expires_on: day(16),
                    inspection: Some(Inspection::Normal),
                }),
                ..draft::Donor::default()
            });
            bench.sampled(&id);
        }
        bench
    }

    /// Serum and, for the cells, EDTA blood of one animal, drawn two hours before the run.
    fn sampled(&mut self, of: &str) {
        let two_hours_before = clock(-7200);
        for (role, tube) in
            [(SampleRole::Plasma, Anticoagulant::Serum), (SampleRole::Cells, Anticoagulant::Edta)]
        {
            let number = self.samples.len().saturating_add(1);
            self.samples.push(draft::Sample {
                id: Id::new(&format!("EX-S-{number}")),
                of: Id::new(of),
                role: Some(role),
                tube: Some(tube),
                drawn_at: two_hours_before,
                stored: Some(Storage::Fridge),
                hemolysis: Hemolysis::new(0),
                lipemia: Whole::new(0),
                icterus: Whole::new(0),
                clots: Some(false),
                agglutinated: Some(false),
                label_id: Id::new(of),
                decision: None,
            });
        }
    }

    /// A first look at a mixture, a minute after the last one; to be pushed.
    pub(crate) fn look(
        &self,
        test: Test,
        donor: Option<usize>,
        phase: Phase,
        grade: Grade,
        hemolysis: Option<u32>,
    ) -> draft::Reading {
        let seconds = match self.method {
            Method::Tube => 60,
            Method::Slide => 120,
            Method::Gel => 240,
        };
        let looks = i64::try_from(self.readings.len()).unwrap_or_default();
        draft::Reading {
            test: Some(test),
            phase: Some(phase),
            agglutination: Some(Agglutination::Graded(grade)),
            at: clock(looks.saturating_mul(60)),
            donor: donor.and_then(|donor| self.donors.get(donor)?.id.clone()),
            hemolysis: hemolysis.and_then(Hemolysis::new),
            seconds: Whole::new(seconds),
            by: Some(Text::from("reader A")),
            ..draft::Reading::default()
        }
    }

    /// The worksheet.
    pub(crate) fn draft(&self) -> draft::Worksheet {
        let list = |all: &[draft::Sample]| all.iter().cloned().collect::<List<_>>();
        draft::Worksheet {
            format: Some(Text::from(FORMAT)),
            id: Id::new(&self.id),
            protocol: Some(self.protocol.clone()),
            method: Some(self.method),
            recipient: Some(self.recipient.clone()),
            donors: Some(self.donors.iter().cloned().collect()),
            readings: Some(self.readings.iter().cloned().collect()),
            samples: (!self.samples.is_empty()).then(|| list(&self.samples)),
            setup: Some(self.setup.clone()),
            reagent_controls: self.controls.clone(),
            remarks: None,
        }
    }

    /// The worksheet, checked as any other; `None` if the check refuses it.
    pub(crate) fn checked(&self, protocols: &Protocols) -> Option<Worksheet> {
        let document = serde_json::to_vec(&self.draft()).ok()?;
        Worksheet::from_json(&document, protocols).ok()
    }
}

/// Types of one animal that match those of any other of these benches.
fn matched(species: Species) -> List<draft::BloodType> {
    let typed = |system, result| draft::BloodType {
        system: Some(system),
        result: Some(result),
        ..draft::BloodType::default()
    };
    let negative = |system| typed(system, TypeResult::Negative);
    match species {
        Species::Dog => [negative(System::Dea1)].into_iter().collect(),
        Species::Cat => [typed(System::Ab, TypeResult::A)].into_iter().collect(),
        Species::Horse => [System::Aa, System::Ca, System::Qa].map(negative).into_iter().collect(),
        Species::Donkey
        | Species::Cattle
        | Species::Sheep
        | Species::Goat
        | Species::Camelid
        | Species::Pig
        | Species::Ferret
        | Species::Rabbit
        | Species::Bird => List::default(),
    }
}

/// A setup that the protocol has nothing against: each value in the middle of its range.
fn setup(method: Method, protocol: &Protocol) -> draft::Setup {
    let methods = protocol.document().methods.as_ref();
    let rules = methods.and_then(|methods| match method {
        Method::Tube => methods.tube.as_ref(),
        Method::Slide => methods.slide.as_ref(),
        Method::Gel => methods.gel.as_ref(),
    });
    let range = rules.and_then(|rules| rules.cells_percent.as_ref()?.value.as_ref());
    let cells = range
        .and_then(|range| Hundredths::new(range.lo?.hundredths().midpoint(range.hi?.hundredths())));
    let washes = rules.and_then(|rules| rules.washes_min.as_ref()?.value);
    let minutes = rules.and_then(|rules| rules.incubation_min.as_ref()?.value.clone());
    let least =
        |range: Option<draft_protocol::Range<Whole<0, 1440>>>| range.and_then(|range| range.lo);
    let incubation = minutes.map(|minutes| draft::Incubation {
        room: least(minutes.room),
        warm_37c: least(minutes.warm_37c),
        antiglobulin: least(minutes.antiglobulin),
        cold_4c: least(minutes.cold_4c),
    });
    draft::Setup {
        cells_percent: cells,
        washes,
        plasma_ul: Whole::new(100),
        cells_ul: Whole::new(50),
        incubation_min: incubation,
        complement: Some(Complement::FreshSerum),
        lots: None,
    }
}
