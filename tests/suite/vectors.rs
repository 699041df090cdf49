//! The worked vectors T1 to T70 of the contract, as worksheets with what must come of them.
//!
//! The table is plain JSON on both sides, so that it can be run on any program that keeps the
//! contract. Each vector starts from [`base`] and changes what its own line of the page changes.
//!
//! # The clock
//!
//! Minute 0 is 03:30 on 2026-03-01 at an offset of one hour. In a tube, room is read 20 minutes
//! before, antiglobulin 20 and 4 °C 40 minutes after the warm phase, which is minute 0; slides and
//! gel columns are read at minute 0 whatever the phase. Within a phase the tests are read one
//! minute apart in the order of the page. A second reader looks five minutes after the first, and
//! a recheck is made nine minutes after the first look. Samples are drawn two hours before the
//! first reading that stands.

use std::path::Path;

use jiff::ToSpan as _;
use jiff::civil::{DateTime, date};
use serde_json::{Value, json};

/// A worksheet and what must come of it.
#[derive(Debug, Clone)]
pub(crate) struct Vector {
    /// The number on the page.
    pub(crate) id: &'static str,
    /// What is done, in one line; with the number it names the vector.
    pub(crate) name: &'static str,
    pub(crate) worksheet: Value,
    pub(crate) protocol_id: &'static str,
    /// Donor and verdict, for every donor.
    pub(crate) verdicts: &'static [(&'static str, &'static str)],
    /// Findings of every pair, or of the panel.
    pub(crate) include: &'static [&'static str],
    /// Findings of no pair, nor of the panel.
    pub(crate) exclude: &'static [&'static str],
    /// The only pattern row that every pair agrees with.
    pub(crate) row: Option<u8>,
}

/// The species that have a protocol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Species {
    Dog,
    Cat,
    Horse,
}

impl Species {
    /// All three.
    pub(crate) const ALL: [Self; 3] = [Self::Dog, Self::Cat, Self::Horse];

    const fn word(self) -> &'static str {
        match self {
            Self::Dog => "dog",
            Self::Cat => "cat",
            Self::Horse => "horse",
        }
    }

    /// The protocol that ships for the species.
    pub(crate) const fn protocol_id(self) -> &'static str {
        match self {
            Self::Dog => "dog-routine",
            Self::Cat => "cat-routine",
            Self::Horse => "horse-routine",
        }
    }

    /// Types that match between any two animals of the base.
    fn types(self) -> Value {
        match self {
            Self::Dog => json!([{ "system": "DEA 1", "result": "negative" }]),
            Self::Cat => json!([{ "system": "AB", "result": "A" }]),
            Self::Horse => json!([
                { "system": "Aa", "result": "negative" },
                { "system": "Ca", "result": "negative" },
                { "system": "Qa", "result": "negative" },
            ]),
        }
    }
}

const RECIPIENT: &str = "R-1";
const DONORS: [&str; 3] = ["D-1", "D-2", "D-3"];
const TESTS: [&str; 6] =
    ["major", "minor", "recipient_auto", "donor_auto", "recipient_saline", "donor_saline"];

/// Minute 0 of a run.
fn start() -> DateTime {
    date(2026, 3, 1).at(3, 30, 0, 0)
}

/// A minute of the run, as a worksheet writes it.
fn at(minute: i64) -> Value {
    json!(format!("{}+01:00", start() + minute.minutes()))
}

/// A day so long before the run, as a worksheet writes it.
fn days_before(days: i64) -> Value {
    json!((start().date() - days.days()).to_string())
}

/// One look at one mixture, or at the same mixture of every donor.
#[derive(Debug, Clone)]
pub(crate) struct Look {
    test: &'static str,
    /// None is every donor of the worksheet.
    donor: Option<&'static str>,
    phase: Option<&'static str>,
    minute: Option<i64>,
    /// Everything else, as it will stand in the reading.
    fields: Value,
}

macro_rules! looks {
    ($($(#[$doc:meta])* $test:ident,)*) => {
        $(
            $(#[$doc])*
            pub(crate) fn $test(grade: &str) -> Look {
                Look::new(stringify!($test), grade)
            }
        )*
    };
}

looks! {
    /// A look at recipient plasma with donor cells.
    major,
    /// A look at donor plasma with recipient cells.
    minor,
    /// A look at the recipient's plasma with its own cells.
    recipient_auto,
    /// A look at the donor's plasma with its own cells.
    donor_auto,
    /// A look at the recipient's cells in saline.
    recipient_saline,
    /// A look at the donor's cells in saline.
    donor_saline,
}

impl Look {
    fn new(test: &'static str, grade: &str) -> Self {
        Self {
            test,
            donor: None,
            phase: None,
            minute: None,
            fields: json!({ "agglutination": grade, "hemolysis": 0, "by": "KT" }),
        }
    }

    fn with(mut self, field: &str, value: Value) -> Self {
        self.fields[field] = value;
        self
    }

    fn without(mut self, field: &str) -> Self {
        self.fields.as_object_mut().expect("an object").remove(field);
        self
    }

    pub(crate) fn of(mut self, donor: &'static str) -> Self {
        self.donor = Some(donor);
        self
    }

    pub(crate) fn at_phase(mut self, phase: &'static str) -> Self {
        self.phase = Some(phase);
        self
    }

    pub(crate) fn room(self) -> Self {
        self.at_phase("room")
    }

    pub(crate) fn antiglobulin(self) -> Self {
        self.at_phase("antiglobulin")
    }

    pub(crate) fn cold(self) -> Self {
        self.at_phase("cold_4c")
    }

    pub(crate) fn at_minute(mut self, minute: i64) -> Self {
        self.minute = Some(minute);
        self
    }

    pub(crate) fn stacks(self) -> Self {
        self.with("pattern", json!("stacks"))
    }

    pub(crate) fn clumps(self) -> Self {
        self.with("pattern", json!("clumps"))
    }

    pub(crate) fn hemolysis(self, seen: i64) -> Self {
        self.with("hemolysis", json!(seen))
    }

    pub(crate) fn hemolysis_left_out(self) -> Self {
        self.without("hemolysis")
    }

    pub(crate) fn mixed_field(self) -> Self {
        self.with("mixed_field", json!(true))
    }

    pub(crate) fn check_cells(self, grade: &str) -> Self {
        self.with("check_cells", json!(grade))
    }

    pub(crate) fn artefact(self, artefact: &str) -> Self {
        self.with("artefacts", json!([artefact]))
    }

    pub(crate) fn seconds(self, seconds: i64) -> Self {
        self.with("seconds", json!(seconds))
    }

    pub(crate) fn dried(self) -> Self {
        self.with("dried", json!(true))
    }

    /// Makes it a recheck after saline replacement.
    pub(crate) fn after_replacement(self) -> Self {
        self.with("after", json!("saline_replacement"))
    }

    /// Makes it a recheck in so many parts of saline to one of the mixture.
    pub(crate) fn after_dilution(self, parts: i64) -> Self {
        self.with("after", json!("saline_dilution")).with("saline_parts", json!(parts))
    }

    pub(crate) fn second_reader(self) -> Self {
        self.with("by", json!("MO"))
    }

    /// Strikes it out.
    pub(crate) fn retracted(self) -> Self {
        let how = json!({ "at": at(120), "by": "KT", "reason": "wrong tube" });
        self.with("retracted", how)
    }

    /// How long after its phase begins this look is taken, by the clock of this module.
    fn delay(&self) -> i64 {
        let place = TESTS.iter().position(|&test| test == self.test).expect("a test");
        let kind = if self.fields.get("after").is_some() {
            9
        } else if self.fields["by"] == "MO" {
            5
        } else {
            0
        };
        i64::try_from(place).expect("a small number") + kind
    }
}

/// When samples are drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Drawn {
    /// So many minutes before the first reading.
    BeforeFirst(i64),
    /// So many minutes before the last reading of a major.
    BeforeLastMajor(i64),
    /// The time is left out.
    Unwritten,
}

/// A worksheet in the making.
#[derive(Debug, Clone)]
pub(crate) struct Base {
    species: Species,
    method: &'static str,
    looks: Vec<Look>,
    recipient: Value,
    donors: Vec<Value>,
    /// Fields of every sample but for whose it is and when it was drawn.
    sample: Value,
    recipient_sample: Value,
    recipient_sample_drawn: Drawn,
    recipient_sample_recorded: bool,
    setup: Value,
    reagent_controls: Option<Value>,
}

/// A worksheet in a tube on which nothing is amiss.
pub(crate) fn base(species: Species) -> Base {
    let history = json!({ "transfused": "never", "pregnant": "never", "reaction": "never" });
    let animal = json!({
        "species": species.word(), "types": species.types(), "history": history
    });
    let mut recipient = animal.clone();
    recipient["id"] = json!(RECIPIENT);
    let mut donor = animal;
    donor["id"] = json!(DONORS[0]);
    donor["product"] = json!("packed_cells");
    Base {
        species,
        method: "tube",
        looks: vec![major("0"), minor("0"), recipient_auto("0"), donor_auto("0")],
        recipient,
        donors: vec![donor],
        sample: json!({
            "tube": "serum", "role": "plasma", "stored": "fridge", "hemolysis": 0
        }),
        recipient_sample: json!({}),
        recipient_sample_drawn: Drawn::BeforeFirst(120),
        recipient_sample_recorded: true,
        setup: json!({ "complement": "fresh_serum" }),
        reagent_controls: None,
    }
}

/// A dog in a tube, where most vectors start.
fn dog() -> Base {
    base(Species::Dog)
}

fn cat() -> Base {
    base(Species::Cat)
}

fn horse() -> Base {
    base(Species::Horse)
}

impl Base {
    /// The protocol that the worksheet names.
    pub(crate) const fn protocol_id(&self) -> &'static str {
        self.species.protocol_id()
    }

    /// The same four tests on slides, read at 120 s.
    pub(crate) fn slide(mut self) -> Self {
        self.method = "slide";
        self
    }

    /// The same four tests in gel, at antiglobulin, the phase that most columns have.
    pub(crate) fn gel(mut self) -> Self {
        self.method = "gel";
        self
    }

    /// The phase that a look is at unless it says otherwise.
    fn usual_phase(&self) -> &'static str {
        match self.method {
            "slide" => "room",
            "gel" => "antiglobulin",
            _ => "warm_37c",
        }
    }

    fn phase_of(&self, look: &Look) -> &'static str {
        look.phase.unwrap_or_else(|| self.usual_phase())
    }

    /// Puts a look in the place of all those at the same mixture and phase.
    pub(crate) fn read(mut self, look: Look) -> Self {
        let place = (look.test, self.phase_of(&look));
        let others = self.looks.clone();
        self.looks = others
            .into_iter()
            .filter(|other| {
                let apart = look.donor.is_some() && other.donor != look.donor;
                (other.test, self.phase_of(other)) != place || apart
            })
            .collect();
        self.looks.push(look);
        self
    }

    /// Adds a look beside those that are there: a recheck, or another reader's.
    pub(crate) fn then(mut self, look: Look) -> Self {
        self.looks.push(look);
        self
    }

    /// Takes every look at a test away.
    pub(crate) fn not_read(mut self, test: &str) -> Self {
        self.looks.retain(|look| look.test != test);
        self
    }

    /// As many donors as there are majors, each with its own.
    pub(crate) fn majors(self, grades: &[&str]) -> Self {
        let mut base = self.not_read("major");
        for (&donor, &grade) in DONORS.iter().zip(grades) {
            base.looks.push(major(grade).of(donor));
            if donor != DONORS[0] {
                let mut animal = base.donors[0].clone();
                animal["id"] = json!(donor);
                base.donors.push(animal);
            }
        }
        base
    }

    pub(crate) fn product(mut self, product: &str) -> Self {
        self.donors[0]["product"] = json!(product);
        self
    }

    /// One blood type for each of the two.
    pub(crate) fn typed(mut self, system: &str, recipient: &str, donor: &str) -> Self {
        self.recipient["types"] = json!([{ "system": system, "result": recipient }]);
        self.donors[0]["types"] = json!([{ "system": system, "result": donor }]);
        self
    }

    /// Nobody is typed.
    pub(crate) fn untyped(mut self) -> Self {
        self.recipient["types"] = json!([]);
        self.donors[0]["types"] = json!([]);
        self
    }

    pub(crate) fn transfused_days_ago(mut self, days: i64) -> Self {
        self.recipient["history"]["transfused"] = json!("yes");
        self.recipient["history"]["last_transfused_on"] = days_before(days);
        self
    }

    pub(crate) fn earlier_incompatible_with(mut self, donor: &str) -> Self {
        self.recipient["history"]["incompatible_with"] = json!([donor]);
        self
    }

    pub(crate) fn unit_inspected(mut self, inspection: &str) -> Self {
        self.donors[0]["unit"] = json!({ "number": "U-1", "inspection": inspection });
        self
    }

    /// All samples in another tube.
    pub(crate) fn samples_in(mut self, tube: &str) -> Self {
        self.sample["tube"] = json!(tube);
        self
    }

    pub(crate) fn recipient_sample_hemolysis(mut self, seen: i64) -> Self {
        self.recipient_sample["hemolysis"] = json!(seen);
        self
    }

    pub(crate) fn recipient_sample_drawn(mut self, drawn: Drawn) -> Self {
        self.recipient_sample_drawn = drawn;
        self
    }

    pub(crate) fn recipient_sample_not_recorded(mut self) -> Self {
        self.recipient_sample_recorded = false;
        self
    }

    pub(crate) fn complement(mut self, complement: &str) -> Self {
        self.setup["complement"] = json!(complement);
        self
    }

    pub(crate) fn incubated(mut self, minutes: i64) -> Self {
        self.setup["incubation_min"] = json!({ "warm_37c": minutes });
        self
    }

    pub(crate) fn positive_control(mut self, expected: &str, read: &str) -> Self {
        self.reagent_controls = Some(json!({ "positive": { "expected": expected, "read": read } }));
        self
    }

    /// The minute at which a look is taken, by the clock of this module.
    fn minute(&self, look: &Look) -> i64 {
        let phase = match (self.method, self.phase_of(look)) {
            ("tube", "room") => -20,
            ("tube", "antiglobulin") => 20,
            ("tube", "cold_4c") => 40,
            _ => 0,
        };
        look.minute.unwrap_or_else(|| phase + look.delay())
    }

    fn donor_ids(&self) -> Vec<Value> {
        self.donors.iter().map(|donor| donor["id"].clone()).collect()
    }

    /// The readings that a look stands for: one for each donor it is about.
    fn readings(&self, look: &Look) -> Vec<Value> {
        let mut reading = look.fields.clone();
        reading["test"] = json!(look.test);
        reading["phase"] = json!(self.phase_of(look));
        reading["at"] = at(self.minute(look));
        if self.method == "slide" {
            // Slides have no hemolysis to read, and the base reads them at 120 s.
            reading.as_object_mut().expect("an object").remove("hemolysis");
            if reading.get("seconds").is_none() {
                reading["seconds"] = json!(120);
            }
        }
        if ["recipient_auto", "recipient_saline"].contains(&look.test) {
            return vec![reading];
        }
        let donors = look.donor.map_or_else(|| self.donor_ids(), |id| vec![json!(id)]);
        donors
            .into_iter()
            .map(|id| {
                let mut reading = reading.clone();
                reading["donor"] = id;
                reading
            })
            .collect()
    }

    /// The sample of one animal.
    fn sample_of(&self, id: &Value, drawn: Drawn) -> Value {
        let mut sample = self.sample.clone();
        sample["id"] = json!(format!("S-{}", id.as_str().expect("an id")));
        sample["of"] = id.clone();
        let minutes = |test: Option<&str>| -> Vec<i64> {
            self.looks
                .iter()
                .filter(|look| look.fields.get("retracted").is_none())
                .filter(|look| test.is_none_or(|test| look.test == test))
                .map(|look| self.minute(look))
                .collect()
        };
        let minute = match drawn {
            Drawn::BeforeFirst(before) => {
                minutes(None).into_iter().min().map(|first| first - before)
            }
            Drawn::BeforeLastMajor(before) => {
                minutes(Some("major")).into_iter().max().map(|last| last - before)
            }
            Drawn::Unwritten => None,
        };
        if let Some(minute) = minute {
            sample["drawn_at"] = at(minute);
        }
        sample
    }

    /// The worksheet.
    pub(crate) fn worksheet(&self) -> Value {
        let mut samples = Vec::new();
        if self.recipient_sample_recorded {
            let mut sample = self.sample_of(&self.recipient["id"], self.recipient_sample_drawn);
            for (field, value) in self.recipient_sample.as_object().expect("an object") {
                sample[field] = value.clone();
            }
            samples.push(sample);
        }
        samples
            .extend(self.donor_ids().iter().map(|id| self.sample_of(id, Drawn::BeforeFirst(120))));
        let readings: Vec<Value> = self.looks.iter().flat_map(|look| self.readings(look)).collect();
        let mut worksheet = json!({
            "format": "crossread.worksheet/1",
            "id": "WS-1",
            "protocol": { "id": self.protocol_id(), "version": "1.0.0" },
            "method": self.method,
            "recipient": self.recipient,
            "donors": self.donors,
            "samples": samples,
            "setup": self.setup,
            "readings": readings,
        });
        if let Some(controls) = &self.reagent_controls {
            worksheet["reagent_controls"] = controls.clone();
        }
        worksheet
    }

    /// The vector of which this is the worksheet.
    fn gives(
        self,
        id: &'static str,
        name: &'static str,
        verdicts: &'static [(&'static str, &'static str)],
    ) -> Vector {
        Vector {
            id,
            name,
            worksheet: self.worksheet(),
            protocol_id: self.protocol_id(),
            verdicts,
            include: &[],
            exclude: &[],
            row: None,
        }
    }
}

impl Vector {
    fn including(mut self, slugs: &'static [&'static str]) -> Self {
        self.include = slugs;
        self
    }

    fn excluding(mut self, slugs: &'static [&'static str]) -> Self {
        self.exclude = slugs;
        self
    }

    fn in_row(mut self, row: u8) -> Self {
        self.row = Some(row);
        self
    }
}

/// The worksheet with recipient and donor in each other's place: what was plasma of the one with
/// cells of the other is so still, and only the names of the tests change.
pub(crate) fn swapped(worksheet: &Value) -> Value {
    let mut swapped = worksheet.clone();
    let mut recipient = worksheet["donors"][0].clone();
    let fields = recipient.as_object_mut().expect("an animal");
    let product = fields.remove("product").expect("a product");
    let unit = fields.remove("unit");
    let mut donor = worksheet["recipient"].clone();
    donor["product"] = product;
    if let Some(unit) = unit {
        donor["unit"] = unit;
    }
    for reading in swapped["readings"].as_array_mut().expect("readings") {
        let test = match reading["test"].as_str().expect("a test") {
            "major" => "minor",
            "minor" => "major",
            "recipient_auto" => "donor_auto",
            "donor_auto" => "recipient_auto",
            "recipient_saline" => "donor_saline",
            _ => "recipient_saline",
        };
        reading["test"] = json!(test);
        if test.starts_with("recipient") {
            reading.as_object_mut().expect("a reading").remove("donor");
        } else {
            reading["donor"] = donor["id"].clone();
        }
    }
    swapped["recipient"] = recipient;
    swapped["donors"] = json!([donor]);
    swapped
}

/// The protocol that ships under an id.
pub(crate) fn protocol(id: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../crates/core/protocols")
        .join(format!("{id}.json"));
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|fault| panic!("cannot read {}: {fault}", path.display()));
    serde_json::from_str(&text).expect("a protocol is JSON")
}

const COMPATIBLE: &[(&str, &str)] = &[("D-1", "compatible")];
const CAVEATS: &[(&str, &str)] = &[("D-1", "compatible_with_caveats")];
const INCOMPLETE: &[(&str, &str)] = &[("D-1", "incomplete")];
const INDETERMINATE: &[(&str, &str)] = &[("D-1", "indeterminate")];
const INVALID: &[(&str, &str)] = &[("D-1", "invalid")];
const INCOMPATIBLE: &[(&str, &str)] = &[("D-1", "incompatible")];

/// T4, from which T5 goes on: major and recipient autocontrol react alike.
fn both_three_plus() -> Base {
    dog().read(major("3+")).read(recipient_auto("3+")).read(recipient_saline("0"))
}

/// T6, from which T7, T63 and T64 go on: stacks in major and recipient autocontrol, both gone
/// after saline replacement.
fn horse_with_rouleaux() -> Base {
    horse()
        .read(major("1+").stacks())
        .then(major("0").after_replacement())
        .read(recipient_auto("1+").stacks())
        .then(recipient_auto("0").after_replacement())
}

/// T11, from which T55 goes on: the recipient's plasma reacts with its own cells alone.
fn own_cells_only() -> Base {
    dog().read(recipient_auto("3+")).read(recipient_saline("0"))
}

/// T27 as whole blood.
fn minor_two_plus() -> Base {
    dog().read(minor("2+")).product("whole_blood")
}

/// So many days, in minutes.
const fn days(days: i64) -> i64 {
    days * 24 * 60
}

/// So many hours, in minutes.
const fn hours(hours: i64) -> i64 {
    hours * 60
}

/// T1 and T2, for each of the three species.
fn of_every_species() -> Vec<Vector> {
    let plain = Species::ALL.into_iter().map(|species| {
        base(species)
            .gives("T1", "nothing is amiss", COMPATIBLE)
            .including(&["serology-only", "no-antiglobulin-phase"])
    });
    let anticoagulated = Species::ALL.into_iter().map(|species| {
        let base = base(species).samples_in("edta").complement("none");
        let name = "plasma from EDTA and no complement";
        match species {
            Species::Dog | Species::Cat => {
                base.gives("T2", name, COMPATIBLE).including(&["plasma-anticoagulated"])
            }
            Species::Horse => base
                .gives("T2", name, CAVEATS)
                .including(&["plasma-anticoagulated", "lysis-not-testable"]),
        }
    });
    plain.chain(anticoagulated).collect()
}

/// Every vector, in the page's order.
pub(crate) fn vectors() -> Vec<Vector> {
    let mut vectors = of_every_species();
    vectors.extend([
        dog()
            .read(major("2+"))
            .gives("T3", "the major alone reacts", INCOMPATIBLE)
            .including(&["major-reactive"])
            .in_row(1),
        both_three_plus()
            .gives("T4", "the autocontrol reacts as strongly as the major", INDETERMINATE)
            .including(&["major-unresolved", "autocontrol-explains"])
            .in_row(6),
        both_three_plus()
            .then(major("0").after_replacement())
            .then(recipient_auto("0").after_replacement())
            .gives("T5", "T4, and saline takes away clumps too strong for rouleaux", INDETERMINATE)
            .including(&["dispersal-implausible"]),
        horse_with_rouleaux()
            .gives("T6", "saline takes stacks away in major and autocontrol", CAVEATS)
            .including(&["rouleaux-dispersed"]),
        horse()
            .read(major("1+").stacks())
            .then(major("1+").after_replacement())
            .read(recipient_auto("1+").stacks())
            .then(recipient_auto("0").after_replacement())
            .gives("T7", "T6, but the major stays in saline", INCOMPATIBLE)
            .including(&["major-reactive", "rouleaux-dispersed"]),
        dog()
            .read(major("2+"))
            .then(major("2+").after_replacement())
            .read(recipient_auto("2+"))
            .then(recipient_auto("2+").after_replacement())
            .read(recipient_saline("0"))
            .gives("T8", "major and autocontrol both stay in saline", INDETERMINATE)
            .including(&["autocontrol-explains"])
            .in_row(6),
        dog()
            .read(major("4+"))
            .read(recipient_auto("1+"))
            .then(recipient_auto("1+").after_replacement())
            .gives("T9", "the major is far stronger than the autocontrol", INCOMPATIBLE)
            .including(&["major-reactive"]),
        dog()
            .read(recipient_auto("3+"))
            .read(recipient_saline("3+"))
            .read(minor("3+"))
            .gives("T10", "the recipient's cells clump in whatever they are put", CAVEATS)
            .including(&["recipient-autocontrol-reactive", "minor-unresolved"])
            .in_row(7),
        own_cells_only()
            .gives("T11", "the autocontrol alone reacts, and not in saline", INDETERMINATE)
            .including(&["major-unresolved"])
            .in_row(3),
        dog()
            .read(major("2+"))
            .read(donor_auto("2+"))
            .gives("T12", "major and donor autocontrol react", INCOMPATIBLE)
            .including(&["donor-cells-reactive"])
            .excluding(&["major-reactive"])
            .in_row(8),
        dog()
            .read(major("0").hemolysis(3))
            .gives("T13", "the major hemolyzes without clumping", INCOMPATIBLE)
            .including(&["major-reactive"]),
        dog()
            .read(major("0").hemolysis(2))
            .read(recipient_auto("0").hemolysis(2))
            .recipient_sample_hemolysis(2)
            .gives("T14", "the tubes are as red as the plasma was", INDETERMINATE)
            .including(&["hemolysis-masked"]),
        dog()
            .recipient_sample_hemolysis(4)
            .gives("T15", "the recipient's sample is red through and through", INVALID)
            .including(&["sample-rejected"]),
        dog()
            .read(major("0").antiglobulin().check_cells("0"))
            .gives("T16", "a negative major at antiglobulin fails its check cells", INVALID)
            .including(&["check-cells-failed"]),
        dog()
            .read(major("2+").room())
            .read(major("0").antiglobulin().check_cells("0"))
            .read(recipient_auto("0").room())
            .read(recipient_auto("0").antiglobulin().check_cells("2+"))
            .gives("T17", "the major reacts at room, and fails its check cells later", INCOMPATIBLE)
            .including(&["major-reactive"]),
        dog()
            .read(recipient_saline("1+"))
            .read(donor_saline("1+"))
            .gives("T18", "cells of both animals clump in saline", INVALID)
            .including(&["saline-controls-reactive"]),
        horse()
            .read(major("1+"))
            .read(minor("1+"))
            .read(recipient_auto("1+"))
            .read(donor_auto("1+"))
            .read(recipient_saline("0"))
            .read(donor_saline("0"))
            .gives("T19", "everything but the saline controls reacts", INDETERMINATE)
            .including(&["major-unresolved"])
            .in_row(15),
        cat()
            .slide()
            .read(major("1+").seconds(420).dried())
            .gives("T20", "the major's slide is read late and dry", INVALID)
            .including(&["slide-dried"]),
        cat()
            .slide()
            .read(major("micro"))
            .gives("T21", "the major's slide shows clumps under the microscope only", INDETERMINATE)
            .including(&["major-unresolved"]),
        cat()
            .typed("AB", "B", "A")
            .gives("T22", "type B is to get type A, and nothing reacts", INCOMPATIBLE)
            .including(&["cat-type-mismatch", "cat-type-contradiction"]),
        dog()
            .majors(&["2+", "2+", "2+"])
            .read(recipient_auto("2+"))
            .gives(
                "T23",
                "the recipient's plasma reacts with three donors and with itself",
                &[("D-1", "indeterminate"), ("D-2", "indeterminate"), ("D-3", "indeterminate")],
            )
            .including(&["every-donor-with-autocontrol"]),
        dog()
            .majors(&["4+", "0", "0"])
            .gives(
                "T24",
                "one of three donors reacts",
                &[("D-1", "incompatible"), ("D-2", "compatible"), ("D-3", "compatible")],
            )
            .including(&["one-donor-reactive"]),
        dog()
            .read(major("4+").mixed_field())
            .gives("T25", "the major reacts with part of the cells", INCOMPATIBLE)
            .including(&["mixed-field-major"]),
        dog()
            .read(recipient_auto("2+").mixed_field())
            .read(recipient_saline("0"))
            .transfused_days_ago(10)
            .gives("T26", "transfused cells may be what the autocontrol shows", INDETERMINATE)
            .including(&["mixed-field-autocontrol", "transfused-recently"]),
        minor_two_plus()
            .gives("T27", "whole blood whose plasma reacts", INCOMPATIBLE)
            .including(&["minor-reactive"]),
        minor_two_plus()
            .product("packed_cells")
            .gives("T27", "packed cells whose plasma reacts", CAVEATS)
            .including(&["minor-reactive"]),
        dog().product("plasma").not_read("major").gives("T28", "plasma needs no major", COMPATIBLE),
        Vector {
            worksheet: swapped(&minor_two_plus().product("packed_cells").worksheet()),
            ..minor_two_plus().gives(
                "T29",
                "T27 with the animals in each other's place: the minor is the major now",
                &[("R-1", "incompatible")],
            )
        }
        .including(&["major-reactive"]),
        dog()
            .not_read("recipient_auto")
            .gives("T30", "nobody looked at the autocontrol", INCOMPLETE)
            .including(&["recipient-autocontrol-not-read"]),
        dog()
            .positive_control("2+", "0")
            .gives("T31", "the positive reagent control did not react", INVALID)
            .including(&["positive-control-failed"]),
        dog()
            .read(major("2+").cold())
            .read(recipient_auto("2+").cold())
            .gives("T32", "major and autocontrol react in the cold only", CAVEATS)
            .including(&["informative-phase-reactive"]),
        dog()
            .typed("DEA 1", "negative", "positive")
            .gives("T33", "DEA 1 negative is to get DEA 1 positive", CAVEATS)
            .including(&["dog-dea1-mismatch"]),
        dog()
            .read(major("2+"))
            .not_read("recipient_auto")
            .gives("T34", "the major reacts, and there is no autocontrol to compare", INDETERMINATE)
            .including(&["autocontrol-missing"]),
        dog()
            .read(major("0").hemolysis_left_out())
            .gives("T35", "nobody looked for hemolysis in the major", INCOMPLETE)
            .including(&["hemolysis-not-read"]),
        dog()
            .read(major("unreadable"))
            .gives("T36", "the major cannot be read", INVALID)
            .including(&["reading-unreadable"]),
        cat()
            .untyped()
            .gives("T37", "cats of unknown type", INCOMPLETE)
            .including(&["cat-type-unknown"]),
        dog()
            .earlier_incompatible_with("D-1")
            .gives("T38", "this donor was incompatible before and is not now", INDETERMINATE)
            .including(&["earlier-incompatible"]),
        dog()
            .read(major("4+").room().stacks().hemolysis_left_out())
            .gives("T39", "stacks at room that nobody put saline to", INDETERMINATE)
            .including(&["rouleaux-not-rechecked"]),
        dog()
            .then(major("4+").after_replacement())
            .gives("T40", "the major reacts on recheck only", INCOMPATIBLE)
            .including(&["recheck-stronger"]),
        dog()
            .read(recipient_auto("4+"))
            .then(recipient_auto("0").after_replacement())
            .gives("T41", "saline takes away an autocontrol too strong for it", INDETERMINATE)
            .including(&["dispersal-implausible"]),
        dog()
            .then(major("unreadable").second_reader())
            .gives("T42", "one reader sees nothing, another cannot tell", INDETERMINATE)
            .including(&["readers-disagree"]),
        dog()
            .slide()
            .read(minor("unreadable"))
            .gives("T43", "the minor's slide, which is needed, cannot be read", INVALID)
            .including(&["minor-void"]),
        dog()
            .product("plasma")
            .read(donor_auto("2+").artefact("fibrin"))
            .gives("T44", "fibrin in the autocontrol behind a plasma's minor", INVALID)
            .including(&["donor-autocontrol-void"]),
        dog()
            .recipient_sample_drawn(Drawn::Unwritten)
            .gives("T45", "nobody wrote when the recipient's sample was drawn", INCOMPLETE)
            .including(&["sample-age-unknown"]),
        dog()
            .recipient_sample_drawn(Drawn::BeforeFirst(-hours(1)))
            .gives("T46", "the sample was drawn after it was tested", INDETERMINATE)
            .including(&["sample-drawn-after-reading"]),
        dog()
            .not_read("recipient_auto")
            .read(recipient_auto("micro").room())
            .gives(
                "T47",
                "the autocontrol was read at room only, and reacts a little",
                INDETERMINATE,
            )
            .including(&["recipient-autocontrol-not-read"]),
        dog()
            .gel()
            .not_read("major")
            .not_read("recipient_auto")
            .read(major("0").room())
            .read(recipient_auto("0").room())
            .gives("T48", "columns read at room only", CAVEATS)
            .including(&["only-room-read"]),
        dog().gel().not_read("recipient_auto").gives(
            "T49",
            "a column for the major and none for the autocontrol",
            INCOMPLETE,
        ),
        dog()
            .transfused_days_ago(40)
            .recipient_sample_drawn(Drawn::BeforeLastMajor(hours(73)))
            .gives("T50", "a transfused recipient's sample an hour past its time", INVALID)
            .including(&["sample-too-old"]),
        dog()
            .transfused_days_ago(40)
            .recipient_sample_drawn(Drawn::BeforeLastMajor(hours(72) - 1))
            .gives("T51", "the same sample a minute before its time", COMPATIBLE)
            .including(&["earlier-transfusion"]),
        dog()
            .incubated(10)
            .gives("T52", "taken out of the warmth too soon", INVALID)
            .including(&["incubation-short"]),
        dog()
            .then(major("4+").after_dilution(3))
            .gives(
                "T53",
                "the major reacts in too little saline to disperse anything",
                INCOMPATIBLE,
            )
            .including(&["recheck-stronger"]),
        dog()
            .then(major("4+").after_replacement().artefact("bubble"))
            .gives("T54", "a strong recheck with a bubble over a negative major", INDETERMINATE)
            .including(&["recheck-not-counted"]),
        own_cells_only()
            .read(recipient_saline("w"))
            .gives("T55", "T11, and saline explains a little of it", INDETERMINATE)
            .including(&["major-unresolved"]),
        dog()
            .read(recipient_saline("4+").stacks())
            .read(donor_saline("4+").stacks())
            .gives("T56", "stacks in both saline controls", INVALID)
            .including(&["saline-controls-reactive"]),
        dog()
            .read(major("4+").retracted())
            .then(major("0").second_reader())
            .gives("T57", "a strong major struck out, and a negative one kept", CAVEATS)
            .including(&["reading-retracted"]),
        dog()
            .unit_inspected("hemolyzed")
            .gives("T58", "the unit itself is hemolyzed", INCOMPATIBLE)
            .including(&["unit-unfit"]),
        dog()
            .slide()
            .gives("T59", "four negative slides", CAVEATS)
            .including(&["only-room-read", "hemolysis-not-assessed"]),
        dog().gel().not_read("minor").not_read("donor_auto").gives(
            "T60",
            "two negative columns at antiglobulin",
            COMPATIBLE,
        ),
        cat()
            .then(minor("unreadable").second_reader())
            .gives("T61", "two readers differ over a minor that cats need", INDETERMINATE)
            .including(&["readers-disagree"]),
        dog()
            .read(recipient_auto("2+s"))
            .read(recipient_saline("w"))
            .gives("T62", "saline falls just short of explaining the autocontrol", INDETERMINATE)
            .including(&["major-unresolved"]),
        horse_with_rouleaux()
            .then(major("1+").after_replacement().artefact("bubble"))
            .gives("T63", "T6, and a recheck with a bubble speaks against it", INDETERMINATE)
            .including(&["recheck-not-counted"]),
        horse_with_rouleaux()
            .then(major("1+").after_dilution(20))
            .gives("T64", "T6, and the major stays even in a lot of saline", INCOMPATIBLE)
            .including(&["major-reactive"]),
        dog()
            .read(major("2+").clumps())
            .then(major("0").after_replacement())
            .read(recipient_auto("micro"))
            .then(recipient_auto("0").after_replacement())
            .gives("T65", "saline takes away more than the autocontrol had", INDETERMINATE)
            .including(&["dispersal-unexplained"]),
        dog()
            .recipient_sample_not_recorded()
            .gives("T66", "nobody wrote down the recipient's sample", INCOMPLETE)
            .including(&["sample-not-recorded"]),
        dog()
            .read(major("0").room().retracted())
            .then(major("4+").room().after_replacement())
            .gives("T67", "a recheck whose first look was struck out", INVALID)
            .including(&["major-void"]),
        dog()
            .read(major("2+").clumps())
            .then(major("0").after_replacement())
            .read(recipient_auto("2+"))
            .then(recipient_auto("2+").after_replacement())
            .read(recipient_saline("2+"))
            .gives("T68", "the major disperses, and its autocontrol does not", INDETERMINATE)
            .including(&["dispersal-unexplained"]),
        dog()
            .transfused_days_ago(1)
            .recipient_sample_drawn(Drawn::BeforeFirst(days(2)))
            .gives("T69", "the sample is older than the last transfusion", INVALID)
            .including(&["sample-before-transfusion"]),
        dog()
            .read(recipient_auto("0").at_minute(-hours(9)))
            .gives("T70", "the autocontrol is from the shift before", INDETERMINATE)
            .including(&["readings-far-apart"]),
    ]);
    vectors
}

/// Three donors whose majors all react, up to these grades.
pub(crate) fn three_majors(grades: [&str; 3]) -> Value {
    dog().majors(&grades).worksheet()
}

#[cfg(test)]
mod tests {
    use super::{protocol, swapped, vectors};
    use crate::reference::reference;
    use std::collections::BTreeSet;

    #[test]
    fn the_reference_gives_what_the_page_gives() {
        let mut faults: Vec<String> = Vec::new();
        for vector in vectors() {
            let answer = reference(&vector.worksheet, &protocol(vector.protocol_id));
            let mut fault = |what: String| {
                faults.push(format!(
                    "{} ({}), {}: {what}",
                    vector.id, vector.protocol_id, vector.name
                ));
            };
            let verdicts: Vec<(&str, &str)> = answer
                .pairs
                .iter()
                .map(|pair| (pair.donor.as_str(), pair.verdict.as_str()))
                .collect();
            if verdicts != vector.verdicts {
                fault(format!("{verdicts:?} is not {:?}", vector.verdicts));
            }
            for pair in &answer.pairs {
                let raised =
                    |slug: &str| pair.findings.contains_key(slug) || answer.panel.contains(slug);
                for slug in vector.include.iter().filter(|&&slug| !raised(slug)) {
                    fault(format!("{} lacks {slug}: {:?}", pair.donor, pair.findings));
                }
                for slug in vector.exclude.iter().filter(|&&slug| raised(slug)) {
                    fault(format!("{} has {slug}", pair.donor));
                }
                if vector.row.is_some_and(|row| pair.rows != [row]) {
                    fault(format!("{} agrees with rows {:?}", pair.donor, pair.rows));
                }
            }
        }
        assert!(faults.is_empty(), "\n{}", faults.join("\n"));
    }

    #[test]
    fn every_number_of_the_page_has_a_vector_and_no_two_are_alike() {
        let vectors = vectors();
        let ids: BTreeSet<&str> = vectors.iter().map(|vector| vector.id).collect();
        let expected: BTreeSet<String> = (1..=70).map(|number| format!("T{number}")).collect();
        assert!(
            ids.iter().copied().eq(expected.iter().map(String::as_str).collect::<BTreeSet<_>>())
        );
        let sheets: BTreeSet<String> =
            vectors.iter().map(|vector| vector.worksheet.to_string()).collect();
        assert_eq!(sheets.len(), vectors.len());
    }

    #[test]
    fn swapping_twice_gives_the_same_worksheet() {
        for vector in vectors().iter().filter(|vector| vector.verdicts.len() == 1) {
            assert_eq!(swapped(&swapped(&vector.worksheet)), vector.worksheet, "{}", vector.name);
        }
    }
}
