use std::collections::BTreeMap;

use super::{
    Animal, Donor, FORMAT, MAX_DONORS, Owner, ProtocolRef, Reading, ReagentControls, Recipient,
    Sample, Setup, TypeOf, Worksheet, draft,
};
use crate::document::{Digest, FaultCode, Faults, Finds, Id, List, Read, Text, Whole};
use crate::protocol::{HemolysisRule, MethodRules, Protocol, Protocols};
use crate::words::{Agglutination, Answer, Grade, Method, Pattern, Phase, Recheck, Species, Test};

/// Checks what a document says against itself and its protocol.
///
/// What could not be read is already at fault and is not looked at again, so one mistake gives one
/// fault. Whatever was read is checked, so that all faults come at once.
pub(super) fn check(
    mut read: Read<'_, draft::Worksheet>,
    protocols: &Protocols,
) -> Result<Worksheet, Faults> {
    let document = std::mem::take(&mut read.parts);
    let worksheet = Check { finds: &mut read.finds }.worksheet(document, protocols);
    match (read.into_faults(), worksheet) {
        (Some(faults), _) => Err(faults),
        (None, Some(worksheet)) => Ok(worksheet),
        // A part is missing and nothing said so. That would be a mistake of this module; the
        // document stays refused.
        (None, None) => Err(Faults::unexplained()),
    }
}

struct Check<'f> {
    finds: &'f mut Finds,
}

/// What recipient and donors have in common, as written.
struct AnimalParts {
    id: Option<Id>,
    species: Option<Species>,
    name: Option<Text>,
    breed: Option<Text>,
    types: List<draft::BloodType>,
    history: draft::DonorHistory,
    decision: Option<draft::Decision>,
}

/// What the readings and samples are checked against.
struct Known<'w> {
    recipient: Option<&'w Id>,
    donors: BTreeMap<&'w str, usize>,
    method: Option<Method>,
    rules: Option<&'w MethodRules>,
}

impl Check<'_> {
    fn add(&mut self, code: FaultCode, pointer: String, expected: impl Into<String>) {
        self.finds.content(code, pointer, expected, None);
    }

    fn hint(&mut self, code: FaultCode, pointer: String, expected: &str, hint: impl Into<String>) {
        self.finds.content(code, pointer, expected, Some(hint.into()));
    }

    fn worksheet(
        &mut self,
        document: draft::Worksheet,
        protocols: &Protocols,
    ) -> Option<Worksheet> {
        if document.format.as_ref().is_some_and(|format| format.as_str() != FORMAT) {
            self.add(FaultCode::UnknownFormat, "/format".to_owned(), format!("`{FORMAT}`"));
        }
        let protocol = self.protocol(&document, protocols);
        let species = document.recipient.as_ref().and_then(|recipient| recipient.species);
        let rules = protocol.and_then(|protocol| self.rules(protocol, species, document.method));
        if let Some(donors) = &document.donors {
            self.count(donors);
        }
        let recipient_id = document.recipient.as_ref().and_then(|recipient| recipient.id.as_ref());
        let known = Known {
            recipient: recipient_id,
            donors: self.donor_ids(document.donors.as_ref(), recipient_id),
            method: document.method,
            rules,
        };
        let samples = self.samples(document.samples.unwrap_or_default(), &known);
        let readings = document.readings.map(|readings| self.readings(readings, &known));
        let recipient = document.recipient.and_then(|recipient| self.recipient(recipient));
        let written = document.donors.as_ref().map_or(0, List::len);
        let donors: Vec<_> = document
            .donors
            .unwrap_or_default()
            .into_elements()
            .filter_map(|(index, donor)| self.donor(index, donor))
            .collect();
        if donors.len() != written {
            return None;
        }
        let protocol = protocol?;
        Some(Worksheet {
            id: document.id?,
            protocol: ProtocolRef {
                id: protocol.id().clone(),
                version: protocol.version().clone(),
                digest: protocol.digest(),
            },
            method: document.method?,
            recipient: recipient?,
            donors,
            samples: samples?,
            setup: setup(document.setup.unwrap_or_default()),
            controls: controls(document.reagent_controls.unwrap_or_default()),
            readings: readings??,
            remarks: document.remarks,
            digest: Digest::NONE,
        })
    }

    fn protocol<'p>(
        &mut self,
        document: &draft::Worksheet,
        protocols: &'p Protocols,
    ) -> Option<&'p Protocol> {
        let wanted = document.protocol.as_ref()?;
        let (id, version) = (wanted.id.as_ref()?, wanted.version.as_ref()?);
        let found = protocols.get(id, version);
        if found.is_none() {
            let known: Vec<_> = protocols
                .iter()
                .map(|known| format!("`{}` {}", known.id().as_str(), known.version().as_str()))
                .collect();
            self.finds.content(
                FaultCode::UnknownProtocol,
                "/protocol".to_owned(),
                format!("a protocol at hand: {}", known.join(", ")),
                Some("hand in a local protocol beside the worksheet".to_owned()),
            );
        }
        found
    }

    fn rules<'p>(
        &mut self,
        protocol: &'p Protocol,
        species: Option<Species>,
        method: Option<Method>,
    ) -> Option<&'p MethodRules> {
        if let Some(species) = species
            && !protocol.species().contains(&species)
        {
            let meant = protocol.species().iter().map(|species| format!("`{species}`"));
            self.hint(
                FaultCode::ProtocolSpecies,
                "/recipient/species".to_owned(),
                &format!(
                    "a species of protocol `{}`: {}",
                    protocol.id().as_str(),
                    meant.collect::<Vec<_>>().join(", ")
                ),
                "choose a protocol that is meant for this species",
            );
        }
        let method = method?;
        let rules = protocol.method(method);
        if rules.is_none() {
            self.add(
                FaultCode::ProtocolMethod,
                "/method".to_owned(),
                format!("a method of protocol `{}`", protocol.id().as_str()),
            );
        }
        rules
    }

    fn count(&mut self, donors: &List<draft::Donor>) {
        if donors.is_empty() {
            self.add(FaultCode::NoDonors, "/donors".to_owned(), "at least one donor");
        } else if donors.len() > MAX_DONORS {
            self.hint(
                FaultCode::TooManyDonors,
                "/donors".to_owned(),
                &format!("at most {MAX_DONORS} donors"),
                format!("{} are written; use a second worksheet", donors.len()),
            );
        }
    }

    /// The ids of the donors, each with the number of the first donor that has it.
    fn donor_ids<'d>(
        &mut self,
        donors: Option<&'d List<draft::Donor>>,
        recipient: Option<&Id>,
    ) -> BTreeMap<&'d str, usize> {
        let mut ids = BTreeMap::new();
        for (index, donor) in donors.iter().flat_map(|donors| donors.iter()) {
            let Some(id) = &donor.id else { continue };
            if recipient == Some(id) {
                self.add(
                    FaultCode::DonorIsRecipient,
                    format!("/donors/{index}/id"),
                    "another animal than the recipient",
                );
            }
            let first = *ids.entry(id.as_str()).or_insert(index);
            if first != index {
                self.add(
                    FaultCode::DuplicateId,
                    format!("/donors/{index}/id"),
                    format!("an id of its own: `/donors/{first}` has the same"),
                );
            }
        }
        ids
    }

    fn recipient(&mut self, recipient: draft::Recipient) -> Option<Recipient> {
        let history = recipient.history.unwrap_or_default();
        let parts = AnimalParts {
            id: recipient.id,
            species: recipient.species,
            name: recipient.name,
            breed: recipient.breed,
            types: recipient.types.unwrap_or_default(),
            history: draft::DonorHistory {
                transfused: history.transfused,
                last_transfused_on: history.last_transfused_on,
                pregnant: history.pregnant,
                reaction: history.reaction,
            },
            decision: recipient.decision,
        };
        Some(Recipient {
            animal: self.animal("/recipient", parts)?,
            weight_kg: recipient.weight_kg,
            conditions: elements(recipient.conditions.unwrap_or_default()),
            incompatible_with: elements(history.incompatible_with.unwrap_or_default()),
        })
    }

    fn donor(&mut self, index: usize, donor: draft::Donor) -> Option<Donor> {
        let parts = AnimalParts {
            id: donor.id,
            species: donor.species,
            name: donor.name,
            breed: donor.breed,
            types: donor.types.unwrap_or_default(),
            history: donor.history.unwrap_or_default(),
            decision: donor.decision,
        };
        let animal = self.animal(&format!("/donors/{index}"), parts)?;
        Some(Donor { animal, product: donor.product?, unit: donor.unit })
    }

    fn animal(&mut self, at: &str, animal: AnimalParts) -> Option<Animal> {
        let history = animal.history;
        if history.last_transfused_on.is_some()
            && history.transfused != Some(Answer::Yes)
            && !self.finds.has(&format!("{at}/history/transfused"))
        {
            self.hint(
                FaultCode::TransfusionDateUnexplained,
                format!("{at}/history/last_transfused_on"),
                "no date unless `transfused` is `yes`",
                "write `transfused`: `yes`, or take the date off",
            );
        }
        let written = animal.types;
        let mut types = Vec::with_capacity(written.len());
        for (index, of) in written.into_elements() {
            let (Some(system), Some(result)) = (of.system, of.result) else {
                continue;
            };
            if !system.results().contains(&result) {
                let known = system.results().iter().map(|result| format!("`{result}`"));
                self.add(
                    FaultCode::ResultNotOfSystem,
                    format!("{at}/types/{index}/result"),
                    format!("a result of {system}: {}", known.collect::<Vec<_>>().join(", ")),
                );
            }
            types.push(TypeOf { system, result, on: of.on });
        }
        Some(Animal {
            id: animal.id?,
            name: animal.name,
            species: animal.species?,
            breed: animal.breed,
            types,
            transfused: history.transfused.unwrap_or(Answer::Unknown),
            last_transfused_on: history.last_transfused_on,
            pregnant: history.pregnant.unwrap_or(Answer::Unknown),
            reaction: history.reaction.unwrap_or(Answer::Unknown),
            decision: animal.decision,
        })
    }

    fn samples(&mut self, samples: List<draft::Sample>, known: &Known<'_>) -> Option<Vec<Sample>> {
        let written = samples.len();
        let mut ids = BTreeMap::new();
        for (index, sample) in samples.iter() {
            let Some(id) = &sample.id else { continue };
            let first = *ids.entry(id.as_str()).or_insert(index);
            if first != index {
                self.add(
                    FaultCode::DuplicateId,
                    format!("/samples/{index}/id"),
                    format!("an id of its own: `/samples/{first}` has the same"),
                );
            }
        }
        let mut all = Vec::with_capacity(written);
        for (index, sample) in samples.into_elements() {
            let owner = sample.of.as_ref().and_then(|id| {
                if known.recipient == Some(id) {
                    return Some(Owner::Recipient);
                }
                self.animal_of(known, id, &|| format!("/samples/{index}/of")).map(Owner::Donor)
            });
            all.extend(sample_of(sample, owner));
        }
        (all.len() == written).then_some(all)
    }

    /// The donor of this id, or a fault. `at` is called only for a fault.
    fn animal_of(&mut self, known: &Known<'_>, id: &Id, at: &dyn Fn() -> String) -> Option<usize> {
        let donor = known.donors.get(id.as_str()).copied();
        if donor.is_none() {
            let hint =
                (known.recipient == Some(id)).then(|| "this is the recipient's id".to_owned());
            self.finds.content(
                FaultCode::UnknownAnimal,
                at(),
                "the id of an animal on this worksheet",
                hint,
            );
        }
        donor
    }

    fn readings(
        &mut self,
        readings: List<draft::Reading>,
        known: &Known<'_>,
    ) -> Option<Vec<Reading>> {
        let written = readings.len();
        let mut all = Vec::with_capacity(written);
        let mut first_looks = FirstLooks::default();
        for (index, reading) in readings.into_elements() {
            let donor = self.reading(index, &reading, known);
            if let (Some(test), Some(phase)) = (reading.test, reading.phase)
                && (donor.is_some() || !test.needs_donor())
            {
                first_looks.note(index, test, donor, phase, reading.after.is_some());
            }
            all.extend(reading_of(reading, donor));
        }
        for index in first_looks.missing() {
            self.hint(
                FaultCode::RecheckWithoutFirstLook,
                format!("/readings/{index}/after"),
                "a first look at the same mixture and phase on this worksheet",
                "write down the first look too; a retracted one counts",
            );
        }
        (all.len() == written).then_some(all)
    }

    /// Checks one reading and finds its donor.
    fn reading(
        &mut self,
        index: usize,
        reading: &draft::Reading,
        known: &Known<'_>,
    ) -> Option<usize> {
        let at = |field: &str| format!("/readings/{index}/{field}");
        let donor =
            reading.donor.as_ref().and_then(|id| self.animal_of(known, id, &|| at("donor")));
        if let Some(test) = reading.test {
            match (test.needs_donor(), &reading.donor) {
                (true, None) if !self.finds.has(&at("donor")) => self.add(
                    FaultCode::DonorNeeded,
                    at("donor"),
                    format!("the donor's id: a reading of `{test}` has one"),
                ),
                (false, Some(_)) => self.hint(
                    FaultCode::DonorNotAllowed,
                    at("donor"),
                    &format!("no donor: `{test}` holds nothing of a donor"),
                    "take the donor off, or name the test that was read",
                ),
                (true, _) | (false, None) => {}
            }
            if test.is_saline_control() && reading.after.is_some() {
                self.add(
                    FaultCode::SalineControlRecheck,
                    at("after"),
                    "a first look: a saline control has no recheck",
                );
            }
        }
        if let (Some(phase), Some(rules), Some(method)) = (reading.phase, known.rules, known.method)
            && rules.role(phase).is_none()
        {
            let used = Phase::ALL.iter().filter(|phase| rules.role(**phase).is_some());
            let used: Vec<_> = used.map(|phase| format!("`{phase}`")).collect();
            self.add(
                FaultCode::PhaseNotUsed,
                at("phase"),
                format!("a phase that the protocol uses for {method}: {}", used.join(", ")),
            );
        }
        if reading.hemolysis.is_some()
            && known.rules.is_some_and(|rules| rules.hemolysis() == HemolysisRule::NotReadable)
        {
            self.hint(
                FaultCode::HemolysisNotReadable,
                at("hemolysis"),
                "no hemolysis: it cannot be read with this method",
                "take it off; note what was seen under `remarks`",
            );
        }
        if reading.dried.is_some() && known.method.is_some_and(|method| method != Method::Slide) {
            self.add(FaultCode::DriedNotOnSlide, at("dried"), "`dried` only on a slide");
        }
        match (reading.after, reading.saline_parts) {
            (Some(Recheck::SalineDilution), None) if !self.finds.has(&at("saline_parts")) => {
                self.add(
                    FaultCode::SalinePartsNeeded,
                    at("saline_parts"),
                    "parts of saline to 1 part of the mixture",
                );
            }
            (None | Some(Recheck::SalineReplacement | Recheck::Wash), Some(_))
                if !self.finds.has(&at("after")) =>
            {
                self.add(
                    FaultCode::SalinePartsNotAllowed,
                    at("saline_parts"),
                    "`saline_parts` only after `saline_dilution`",
                );
            }
            (_, _) => {}
        }
        if reading.check_cells.is_some()
            && reading.phase.is_some_and(|phase| phase != Phase::Antiglobulin)
        {
            self.add(
                FaultCode::CheckCellsNotAllowed,
                at("check_cells"),
                "check cells only at `antiglobulin`",
            );
        }
        if reading.agglutination == Some(Agglutination::Graded(Grade::G0)) {
            let hint = "grade what is seen; stacks seen are a grade with pattern `stacks`";
            if reading.mixed_field == Some(true) {
                self.hint(
                    FaultCode::SeenOnGradeZero,
                    at("mixed_field"),
                    "no mixed field on grade `0`",
                    hint,
                );
            }
            if reading.pattern.is_some_and(|pattern| pattern != Pattern::Unsure) {
                self.hint(
                    FaultCode::SeenOnGradeZero,
                    at("pattern"),
                    "no pattern but `unsure` on grade `0`",
                    hint,
                );
            }
        }
        donor
    }
}

/// A test, its donor if it has one, and a phase.
type Mixture = (Test, Option<usize>, Phase);

/// Which mixtures had a first look, and which readings are rechecks of a mixture.
#[derive(Default)]
struct FirstLooks {
    looked: Vec<Mixture>,
    rechecks: Vec<(usize, Mixture)>,
}

impl FirstLooks {
    fn note(
        &mut self,
        index: usize,
        test: Test,
        donor: Option<usize>,
        phase: Phase,
        is_recheck: bool,
    ) {
        let mixture = (test, donor, phase);
        if is_recheck {
            self.rechecks.push((index, mixture));
        } else {
            self.looked.push(mixture);
        }
    }

    /// The rechecks of mixtures that nobody looked at first.
    fn missing(mut self) -> Vec<usize> {
        if self.rechecks.is_empty() {
            return Vec::new();
        }
        self.looked.sort_unstable();
        self.rechecks.retain(|(_, mixture)| self.looked.binary_search(mixture).is_err());
        self.rechecks.into_iter().map(|(index, _)| index).collect()
    }
}

fn elements<T>(list: List<T>) -> Vec<T> {
    list.into_elements().map(|(_, element)| element).collect()
}

fn sample_of(sample: draft::Sample, owner: Option<Owner>) -> Option<Sample> {
    let mislabeled =
        sample.label_id.as_ref().is_some_and(|label| sample.of.as_ref() != Some(label));
    Some(Sample {
        id: sample.id?,
        of: owner?,
        role: sample.role?,
        tube: sample.tube,
        drawn_at: sample.drawn_at,
        stored: sample.stored,
        hemolysis: sample.hemolysis.map(Whole::get),
        lipemia: sample.lipemia.map(Whole::get),
        icterus: sample.icterus.map(Whole::get),
        clots: sample.clots,
        agglutinated: sample.agglutinated,
        label_id: sample.label_id,
        mislabeled,
        decision: sample.decision,
    })
}

fn reading_of(reading: draft::Reading, donor: Option<usize>) -> Option<Reading> {
    Some(Reading {
        test: reading.test?,
        donor,
        phase: reading.phase?,
        after: reading.after,
        saline_parts: reading.saline_parts.map(Whole::get),
        agglutination: reading.agglutination?,
        hemolysis: reading.hemolysis.map(Whole::get),
        pattern: reading.pattern,
        mixed_field: reading.mixed_field.unwrap_or(false),
        check_cells: reading.check_cells,
        seconds: reading.seconds.map(Whole::get),
        dried: reading.dried.unwrap_or(false),
        artefacts: elements(reading.artefacts.unwrap_or_default()),
        at: reading.at?,
        by: reading.by,
        retracted: reading.retracted,
    })
}

fn setup(setup: draft::Setup) -> Setup {
    Setup {
        cells_percent: setup.cells_percent,
        washes: setup.washes.map(Whole::get),
        plasma_ul: setup.plasma_ul.map(Whole::get),
        cells_ul: setup.cells_ul.map(Whole::get),
        incubation_min: setup.incubation_min.unwrap_or_default(),
        complement: setup.complement,
        lots: elements(setup.lots.unwrap_or_default()),
    }
}

fn controls(controls: draft::ReagentControls) -> ReagentControls {
    ReagentControls {
        positive: controls.positive.and_then(|positive| Some((positive.expected?, positive.read?))),
        negative: controls.negative.and_then(|negative| negative.read),
    }
}
