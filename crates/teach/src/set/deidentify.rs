//! A real worksheet as an exercise, with everything taken out that says whose it was.
//!
//! Every id, name, unit, lot, sample and person gets a new word. Every date and time is moved by
//! the same number of days, so that ages and intervals, which verdicts rest on, stay as they are;
//! the time of day stays, without its offset from UTC. Breeds, weights and free text are left out.
//! Then two things are tried: that the engine comes to the same verdicts and findings, and that no
//! word or date that was taken out is left where a text or a date can stand.

use std::collections::{BTreeMap, BTreeSet};

use crossread_core::document::{Date, Hundredths, Id, List, Text, Time, Whole};
use crossread_core::words::{Effect, Verdict};
use crossread_core::worksheet::{Animal, Decision, Donor, Owner, Reading, Sample, draft};
use crossread_core::{Interpretation, Protocol, Protocols, Worksheet, interpret};
use jiff::{SignedDuration, Timestamp};

use super::ask::{Answer, Ask};
use super::check::Exercise;
use super::cover::{Coverage, never};
use super::item::{Item, Kind, Rules};
use super::make::{Made, Wanted, blank, exercise_run, finish};
use crate::chance::{Chance, Purpose};
use crate::fault::Faults;
use crate::simulate::Bench;

/// Why a worksheet cannot become an exercise.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotHide {
    /// There is no worksheet.
    #[error("no worksheet was named")]
    None,
    /// A local protocol's name may say whose it is.
    #[error(
        "worksheet {worksheet} was run by the local protocol {protocol}, whose name and text may say \
         whose it is: only protocols that ship can be named in an exercise"
    )]
    LocalProtocol {
        /// The number of the worksheet, from 1, as its id is to be hidden.
        worksheet: usize,
        /// The protocol.
        protocol: String,
    },
    /// The engine comes to something else than before.
    #[error(
        "worksheet {0} comes to other verdicts or findings once its dates are moved (its times have \
         several offsets from UTC, or run over a day); it cannot be made an exercise"
    )]
    Changed(usize),
    /// The worksheet that came of it was refused by the check.
    #[error("worksheet {0} is at fault once its words are replaced; please report this")]
    Refused(usize),
    /// A word that was to be taken out is still there.
    #[error("something that says whose it was is still in the set, at {at}; nothing was written")]
    StillThere {
        /// Where, without the word itself.
        at: String,
    },
    /// The set did not pass its own check.
    #[error("the set that was made is at fault; please report this: {0}")]
    Set(Faults),
}

/// A set of real worksheets, with everything taken out that says whose they were.
///
/// The wishes give the set's id, title, seed, scale and scores; kinds are its first one, which is
/// [`Kind::Run`] or [`Kind::Text`].
///
/// ```standalone_crate
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_core::Worksheet;
/// # use crossread_teach::set::deidentified;
/// # let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
/// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
/// # let dog = dog.ok_or("no such protocol")?;
/// // Pascoe and the three donors.
/// let made = deidentified(&[(&worksheet, dog)], &wanted(Kind::Text, 1), Protocols::shipped())?;
/// let set = made.exercise.set().to_json();
/// assert!(!set.contains("Pascoe") && !set.contains("R-3113") && !set.contains("WS-0144"));
/// assert!(made.exercise.set().items.iter().any(|item| item.key == "incompatible"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If anything cannot be taken out, or the run would come to something else.
pub fn deidentified(
    worksheets: &[(&Worksheet, &Protocol)],
    wanted: &Wanted,
    protocols: &Protocols,
) -> Result<Made, CannotHide> {
    if worksheets.is_empty() {
        return Err(CannotHide::None);
    }
    let kind = match wanted.kinds.first() {
        Some(Kind::Run) => Kind::Run,
        Some(Kind::Text | Kind::Picture) | None => Kind::Text,
    };
    let mut set = blank(wanted);
    let mut taken_out = TakenOut::default();
    let mut interpreted = BTreeMap::new();
    for (place, (worksheet, protocol)) in worksheets.iter().enumerate() {
        let number = place.saturating_add(1);
        let shipped = Protocols::shipped().iter().any(|one| one.digest() == protocol.digest());
        if !shipped {
            let protocol = format!("{} {}", protocol.id(), protocol.version());
            return Err(CannotHide::LocalProtocol { worksheet: number, protocol });
        }
        let case = u32::try_from(number).unwrap_or(u32::MAX);
        let mut hiding = Hiding::new(worksheet, case);
        let bench = hiding.bench(worksheet, protocol).ok_or(CannotHide::Refused(number))?;
        let made = exercise_run(format!("r{number:03}"), case, &bench, protocols);
        let (run, hidden) = made.ok_or(CannotHide::Refused(number))?;
        let before = interpret(worksheet, protocol);
        if comes_to(&before) != comes_to(&hidden.interpretation) {
            return Err(CannotHide::Changed(number));
        }
        for pair in &hidden.interpretation.pairs {
            let rules = Rules::of(protocol);
            set.items.extend(asked(
                &run.id,
                kind,
                &rules,
                pair,
                wanted,
                case,
                &hidden.interpretation,
            ));
        }
        interpreted.insert(run.id.clone(), hidden);
        set.runs.push(run);
        taken_out.words.append(&mut hiding.taken_out.words);
        taken_out.dates.append(&mut hiding.taken_out.dates);
    }
    finish(&mut set, &interpreted);
    look_for(&set.to_json(), &taken_out)?;
    let exercise = Exercise::of(set, protocols).map_err(CannotHide::Set)?;
    let coverage = Coverage::of(&exercise, &never);
    Ok(Made { exercise, coverage })
}

/// The two items about one donor: what decides, if anything does, and the verdict.
fn asked(
    run: &str,
    kind: Kind,
    rules: &Rules,
    pair: &crossread_core::interpretation::Answer,
    wanted: &Wanted,
    case: u32,
    whole: &Interpretation,
) -> [Item; 2] {
    let mut chance = Chance::new(wanted.seed, case, Purpose::Distractors);
    let there: Vec<_> =
        pair.findings.iter().chain(&whole.panel).map(|finding| finding.slug).collect();
    let decides = |effect: Effect| effect > Effect::Note && Verdict::from(effect) == pair.verdict;
    let key = pair.findings.iter().find(|finding| decides(finding.effect)).map(|found| found.slug);
    let mut choices: Vec<_> = crossread_core::findings::CATALOGUE
        .iter()
        .map(|meta| meta.slug)
        .filter(|slug| !there.contains(slug))
        .collect();
    chance.shuffle(&mut choices);
    choices.truncate(4);
    choices.extend(key);
    chance.shuffle(&mut choices);
    let mut choices: Vec<String> = choices.into_iter().map(ToOwned::to_owned).collect();
    choices.push(Answer::Nothing.word());
    let item = |ask: Ask, key: String, choices: Vec<String>| Item {
        id: String::new(),
        kind,
        ask,
        rules: rules.clone(),
        shown: None,
        run: Some(run.to_owned()),
        donor: Some(pair.donor.to_string()),
        key,
        choices,
        drawings: Vec::new(),
        experts: Vec::new(),
    };
    let verdicts = Ask::Verdict.answers(wanted.scale).iter().map(Answer::word).collect();
    let key = key.map_or_else(|| Answer::Nothing.word(), ToOwned::to_owned);
    [
        item(Ask::Finding, key, choices),
        item(Ask::Verdict, Answer::Verdict(pair.verdict).word(), verdicts),
    ]
}

/// The verdict and the findings of each donor, in their order, and the findings of all together.
type ComesTo = (Vec<(Verdict, Vec<(&'static str, Effect)>)>, Vec<&'static str>);

fn comes_to(interpretation: &Interpretation) -> ComesTo {
    let of_pair = |pair: &crossread_core::interpretation::Answer| {
        let found = pair.findings.iter().map(|finding| (finding.slug, finding.effect));
        (pair.verdict, found.collect())
    };
    let pairs = interpretation.pairs.iter().map(of_pair).collect();
    (pairs, interpretation.panel.iter().map(|finding| finding.slug).collect())
}

/// The fields whose values are words of a closed list, numbers or hashes: a dog called Major does
/// not make the test `major` a name.
const CLOSED: [&str; 36] = [
    "after",
    "agglutination",
    "artefacts",
    "ask",
    "assumptions",
    "check_cells",
    "choices",
    "complement",
    "conditions",
    "drawings",
    "expected",
    "format",
    "generator",
    "inspection",
    "key",
    "kind",
    "method",
    "pattern",
    "phase",
    "pregnant",
    "product",
    "protocol",
    "reaction",
    "read",
    "result",
    "role",
    "rules",
    "scale",
    "scheme",
    "seed",
    "species",
    "stored",
    "system",
    "test",
    "transfused",
    "watermark",
];

/// The fields that hold a date or a time.
const TIMES: [&str; 5] = ["at", "drawn_at", "expires_on", "last_transfused_on", "on"];

/// Looks for what was taken out: for words in every text that is free, in capitals or not, and for
/// dates in every date.
fn look_for(document: &str, out: &TakenOut) -> Result<(), CannotHide> {
    // What cannot be read back cannot be looked through.
    let read: serde_json::Value = serde_json::from_str(document)
        .map_err(|_error: serde_json::Error| CannotHide::StillThere { at: String::new() })?;
    let mut found = None;
    walk(&read, "", "", &mut |at, field, text| {
        let words = if TIMES.contains(&field) { &out.dates } else { &out.words };
        if words.iter().any(|word| holds(text, word)) {
            found.get_or_insert_with(|| at.to_owned());
        }
    });
    found.map_or(Ok(()), |at| Err(CannotHide::StillThere { at }))
}

/// Every free text of a document, with its place and its field.
fn walk(value: &serde_json::Value, at: &str, field: &str, each: &mut dyn FnMut(&str, &str, &str)) {
    match value {
        serde_json::Value::String(text) => each(at, field, text),
        serde_json::Value::Array(all) => {
            for (number, one) in all.iter().enumerate() {
                walk(one, &format!("{at}/{number}"), field, each);
            }
        }
        serde_json::Value::Object(fields) => {
            for (name, one) in fields.iter().filter(|(name, _)| !CLOSED.contains(&name.as_str())) {
                walk(one, &format!("{at}/{name}"), name, each);
            }
        }
        serde_json::Value::Null | serde_json::Value::Bool(_) | serde_json::Value::Number(_) => {}
    }
}

/// Whether a text holds a word, not within a longer word.
fn holds(text: &str, word: &str) -> bool {
    let (text, word) = (text.to_lowercase(), word.to_lowercase());
    text.match_indices(&word).any(|(offset, _)| {
        let before = text.get(..offset).and_then(|before| before.chars().next_back());
        let end = offset.saturating_add(word.len());
        let after = text.get(end..).and_then(|after| after.chars().next());
        let apart = |beside: Option<char>| beside.is_none_or(|beside| !beside.is_alphanumeric());
        apart(before) && apart(after)
    })
}

/// Everything that must not be left.
#[derive(Default)]
struct TakenOut {
    words: BTreeSet<String>,
    dates: BTreeSet<String>,
}

/// What is being taken out of one worksheet.
struct Hiding {
    case: u32,
    /// The new word of each that was there.
    animals: BTreeMap<String, String>,
    people: BTreeMap<String, String>,
    samples: BTreeMap<String, String>,
    taken_out: TakenOut,
    /// By how many days dates are moved.
    days: i64,
    /// Whether one could not be.
    failed: bool,
}

impl Hiding {
    fn new(worksheet: &Worksheet, case: u32) -> Self {
        let mut hiding = Self {
            case,
            animals: BTreeMap::new(),
            people: BTreeMap::new(),
            samples: BTreeMap::new(),
            taken_out: TakenOut::default(),
            days: 0,
            failed: false,
        };
        hiding.out(worksheet.id().as_str());
        hiding.out_text(worksheet.remarks());
        let recipient = worksheet.recipient().animal.id.as_str();
        hiding.animals.insert(recipient.to_owned(), format!("EXR{case}"));
        hiding.out(recipient);
        for (number, donor) in (1_u32..).zip(worksheet.donors()) {
            let id = donor.animal.id.as_str();
            hiding.animals.insert(id.to_owned(), format!("EXD{case}x{number}"));
            hiding.out(id);
        }
        hiding.days = days_away(&dates(worksheet));
        for date in dates(worksheet) {
            hiding.taken_out.dates.insert(date.to_string());
        }
        hiding
    }

    fn out(&mut self, word: &str) {
        if !word.trim().is_empty() {
            self.taken_out.words.insert(word.trim().to_owned());
        }
    }

    fn out_text(&mut self, text: Option<&Text>) {
        if let Some(text) = text {
            self.out(text.as_str());
        }
    }

    /// The new word for an animal, which may be on the worksheet or not.
    fn animal(&mut self, id: &Id) -> Option<Id> {
        self.out(id.as_str());
        let more = self.animals.len();
        let new = self.animals.entry(id.as_str().to_owned());
        Id::new(new.or_insert_with(|| format!("EXA{}x{more}", self.case)))
    }

    fn person(&mut self, name: &Text) -> Text {
        self.out(name.as_str());
        let more = self.people.len().saturating_add(1);
        let new = self.people.entry(name.as_str().to_owned());
        Text::from(new.or_insert_with(|| format!("EXP{more}")).as_str())
    }

    /// The day, moved; that it cannot be is remembered.
    fn date(&mut self, date: Option<Date>) -> Option<Date> {
        let date = date?;
        let moved = moved(date, self.days);
        self.failed |= moved.is_none();
        moved
    }

    /// The time as the clock showed it, moved by whole days, and taken for UTC.
    fn time(&mut self, time: Option<Time>) -> Option<Time> {
        let time = time?;
        let shown = SignedDuration::from_secs(i64::from(time.offset().seconds()));
        let by = days(self.days).and_then(|days| days.checked_add(shown));
        let moved = by.and_then(|by| time.instant().checked_add(by).ok());
        let moved = moved.and_then(|moved: Timestamp| Time::new(&moved.to_string()));
        self.failed |= moved.is_none();
        moved
    }

    /// The worksheet with new words. `None` if a date cannot be moved.
    fn bench(&mut self, worksheet: &Worksheet, protocol: &Protocol) -> Option<Bench> {
        let bench = Bench {
            id: format!("EXERCISE-{}", self.case),
            protocol: draft::ProtocolRef {
                id: Some(protocol.id().clone()),
                version: Some(protocol.version().clone()),
            },
            method: worksheet.method(),
            recipient: self.recipient(worksheet),
            donors: (1_u32..)
                .zip(worksheet.donors())
                .map(|(number, donor)| self.donor(number, donor))
                .collect(),
            samples: worksheet
                .samples()
                .iter()
                .map(|sample| self.sample(sample, worksheet))
                .collect(),
            setup: self.setup(worksheet),
            controls: controls(worksheet),
            readings: worksheet
                .readings()
                .iter()
                .map(|reading| self.reading(reading, worksheet))
                .collect(),
        };
        (!self.failed).then_some(bench)
    }

    fn types(&mut self, animal: &Animal) -> List<draft::BloodType> {
        let typed = animal.types.iter().map(|of| draft::BloodType {
            system: Some(of.system),
            result: Some(of.result),
            on: self.date(of.on),
        });
        typed.collect()
    }

    /// That somebody decided, without what they wrote.
    fn decision(&mut self, decision: Option<&Decision>) -> Option<Decision> {
        let decision = decision?;
        self.out_text(decision.reason.as_ref());
        Some(Decision {
            by: decision.by.as_ref().map(|by| self.person(by)),
            reason: Some(Text::from("reason left out")),
        })
    }

    /// Takes out the name and the breed of an animal.
    fn known(&mut self, animal: &Animal) {
        self.out_text(animal.name.as_ref());
        self.out_text(animal.breed.as_ref());
    }

    fn recipient(&mut self, worksheet: &Worksheet) -> draft::Recipient {
        let recipient = worksheet.recipient();
        let animal = &recipient.animal;
        self.known(animal);
        let incompatible = recipient.incompatible_with.iter();
        draft::Recipient {
            id: self.animal(&animal.id),
            species: Some(animal.species),
            types: Some(self.types(animal)),
            history: Some(draft::RecipientHistory {
                transfused: Some(animal.transfused),
                last_transfused_on: self.date(animal.last_transfused_on),
                pregnant: Some(animal.pregnant),
                reaction: Some(animal.reaction),
                incompatible_with: Some(incompatible.filter_map(|id| self.animal(id)).collect()),
            }),
            conditions: Some(recipient.conditions.iter().copied().collect()),
            decision: self.decision(animal.decision.as_ref()),
            ..draft::Recipient::default()
        }
    }

    fn donor(&mut self, number: u32, donor: &Donor) -> draft::Donor {
        let animal = &donor.animal;
        self.known(animal);
        let unit = donor.unit.as_ref().map(|unit| {
            if let Some(number) = &unit.number {
                self.out(number.as_str());
            }
            draft::Unit {
                number: Id::new(&format!("EXU{}x{number}", self.case)),
                expires_on: self.date(unit.expires_on),
                inspection: unit.inspection,
            }
        });
        draft::Donor {
            id: self.animal(&animal.id),
            species: Some(animal.species),
            product: Some(donor.product),
            types: Some(self.types(animal)),
            history: Some(draft::DonorHistory {
                transfused: Some(animal.transfused),
                last_transfused_on: self.date(animal.last_transfused_on),
                pregnant: Some(animal.pregnant),
                reaction: Some(animal.reaction),
            }),
            unit,
            decision: self.decision(animal.decision.as_ref()),
            ..draft::Donor::default()
        }
    }

    fn sample(&mut self, sample: &Sample, worksheet: &Worksheet) -> draft::Sample {
        self.out(sample.id.as_str());
        let more = self.samples.len().saturating_add(1);
        let id = self.samples.entry(sample.id.as_str().to_owned());
        let id = Id::new(id.or_insert_with(|| format!("EXS{more}")));
        let of = match sample.of {
            Owner::Recipient => Some(&worksheet.recipient().animal.id),
            Owner::Donor(donor) => worksheet.donors().get(donor).map(|donor| &donor.animal.id),
        };
        draft::Sample {
            id,
            of: of.and_then(|of| self.animal(of)),
            role: Some(sample.role),
            tube: sample.tube,
            drawn_at: self.time(sample.drawn_at),
            stored: sample.stored,
            hemolysis: sample.hemolysis.and_then(Whole::new),
            lipemia: sample.lipemia.and_then(Whole::new),
            icterus: sample.icterus.and_then(Whole::new),
            clots: sample.clots,
            agglutinated: sample.agglutinated,
            label_id: sample.label_id.as_ref().and_then(|label| self.animal(label)),
            decision: self.decision(sample.decision.as_ref()),
        }
    }

    fn setup(&mut self, worksheet: &Worksheet) -> draft::Setup {
        let setup = worksheet.setup();
        let mut lots = Vec::new();
        for (number, lot) in (1_u32..).zip(&setup.lots) {
            self.out_text(lot.number.as_ref());
            lots.push(draft::Lot {
                what: Some(Text::from(format!("reagent {number}").as_str())),
                number: lot.number.as_ref().map(|_| Text::from(format!("EXL{number}").as_str())),
                expires_on: self.date(lot.expires_on),
            });
        }
        let cells = setup.cells_percent;
        draft::Setup {
            cells_percent: cells.and_then(|cells| Hundredths::new(cells.hundredths())),
            washes: setup.washes.and_then(Whole::new),
            plasma_ul: setup.plasma_ul.and_then(Whole::new),
            cells_ul: setup.cells_ul.and_then(Whole::new),
            incubation_min: Some(setup.incubation_min.clone()),
            complement: setup.complement,
            lots: (!lots.is_empty()).then(|| lots.into_iter().collect()),
        }
    }

    fn reading(&mut self, reading: &Reading, worksheet: &Worksheet) -> draft::Reading {
        let donor = reading.donor.and_then(|donor| worksheet.donors().get(donor));
        let retracted = reading.retracted.as_ref().map(|retracted| {
            self.out_text(retracted.reason.as_ref());
            draft::Retracted {
                at: self.time(retracted.at),
                by: retracted.by.as_ref().map(|by| self.person(by)),
                reason: Some(Text::from("reason left out")),
            }
        });
        draft::Reading {
            test: Some(reading.test),
            phase: Some(reading.phase),
            agglutination: Some(reading.agglutination),
            at: self.time(Some(reading.at)),
            donor: donor.and_then(|donor| self.animal(&donor.animal.id)),
            after: reading.after,
            saline_parts: reading.saline_parts.and_then(Whole::new),
            hemolysis: reading.hemolysis.and_then(Whole::new),
            pattern: reading.pattern,
            mixed_field: Some(reading.mixed_field),
            check_cells: reading.check_cells,
            seconds: reading.seconds.and_then(Whole::new),
            dried: reading.dried.then_some(true),
            artefacts: Some(reading.artefacts.iter().copied().collect()),
            by: reading.by.as_ref().map(|by| self.person(by)),
            retracted,
        }
    }
}

fn controls(worksheet: &Worksheet) -> Option<draft::ReagentControls> {
    let controls = worksheet.controls();
    let positive = controls.positive.map(|(expected, read)| draft::PositiveControl {
        expected: Some(expected),
        read: Some(read),
    });
    let negative = controls.negative.map(|read| draft::NegativeControl { read: Some(read) });
    let any = positive.is_some() || negative.is_some();
    any.then_some(draft::ReagentControls { positive, negative })
}

/// Every date of a worksheet, those of its times as they were written among them.
fn dates(worksheet: &Worksheet) -> BTreeSet<Date> {
    let donors = worksheet.donors().iter();
    let animals = std::iter::once(&worksheet.recipient().animal);
    let animals = animals.chain(donors.clone().map(|donor| &donor.animal));
    let mut all = BTreeSet::new();
    for animal in animals {
        all.extend(animal.last_transfused_on);
        all.extend(animal.types.iter().filter_map(|of| of.on));
    }
    all.extend(donors.filter_map(|donor| donor.unit.as_ref()?.expires_on));
    all.extend(worksheet.samples().iter().filter_map(|sample| Some(sample.drawn_at?.date())));
    all.extend(worksheet.setup().lots.iter().filter_map(|lot| lot.expires_on));
    for reading in worksheet.readings() {
        all.insert(reading.at.date());
        all.extend(reading.retracted.as_ref().and_then(|taken| Some(taken.at?.date())));
    }
    all
}

fn days(count: i64) -> Option<SignedDuration> {
    Some(SignedDuration::from_hours(count.checked_mul(24)?))
}

fn moved(date: Date, by: i64) -> Option<Date> {
    let noon = Time::new(&format!("{date}T12:00:00Z"))?;
    let moved = noon.instant().checked_add(days(by)?).ok()?;
    Some(Time::new(&moved.to_string())?.date())
}

/// By how many days dates are moved: so that the last one falls on an invented day, and none on a
/// day that was there.
fn days_away(dates: &BTreeSet<Date>) -> i64 {
    let Some(last) = dates.last() else { return 0 };
    let invented =
        (0_i64..50).filter_map(|more| moved(Date::new("2001-05-04")?, more.saturating_mul(97)));
    let mut ways = invented.map(|day| day.days_since(*last));
    let is_away = |days: &i64| {
        *days != 0
            && dates.iter().all(|date| moved(*date, *days).is_none_or(|new| !dates.contains(&new)))
    };
    ways.find(is_away).unwrap_or(1)
}
