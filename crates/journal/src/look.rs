//! Looks that are not finished yet, key by key, and the clocks they are read by.
//!
//! At a bench a look is entered in steps: hemolysis, the grade, perhaps the pattern. Each step is
//! kept as it is made, so that an interruption loses nothing; only a finished look is a reading.

use crossread_core::document::{Id, Whole};
use crossread_core::words::{Agglutination, Phase, Recheck, Test};
use crossread_core::worksheet::draft;

use crate::bench::probe;
use crate::books::{Books, Writer};
use crate::error::{JournalError, Refusal};
use crate::event::{Cell, LookBegun, ReadingEntered, SetupNoted, Step, StepDone};
use crate::journal::{Journal, Written};
use crate::sheet::{Entered, Sheet, cell};
use crate::terms::is_same_person;

impl Journal {
    /// Keeps a look that is not finished: everything seen so far in one mixture. It takes the place
    /// of what the writer began in the same mixture before; one in which nothing was seen takes it
    /// back.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::{Hemolysis, Phase, Test};
    /// let mut journal = opened();
    /// let of = Cell::new(Test::RecipientAuto, None, Phase::Warm37c);
    /// // The fluid first, then the cells: the bench page keeps each key.
    /// let begun = LookBegun { hemolysis: Hemolysis::new(0), ..LookBegun::new(of.clone()) };
    /// journal.begin_look(&kt("03:28"), &id("WS-1"), &begun)?;
    /// assert_eq!(journal.begun_looks("KT", &id("WS-1"))?, [begun]);
    /// // It takes itself back.
    /// journal.begin_look(&kt("03:29"), &id("WS-1"), &LookBegun::new(of))?;
    /// assert!(journal.begun_looks("KT", &id("WS-1"))?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the worksheet has no such mixture, what was seen is at fault, or it carries its own time
    /// or reader.
    pub fn begin_look(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        look: &LookBegun,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            books.with_sheet(worksheet, |books, sheet| books.check_look(sheet, look))?;
            let entry = books.append(writer, Some(worksheet), None, look.clone().into())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Enters a begun look as a reading, seen at the time of its last step and by who began it. The
    /// seconds since mixing or since the spin are those since the last such step of its mixture.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::{Agglutination, Grade, Hemolysis, Phase, Test};
    /// let mut journal = opened();
    /// let of = Cell::new(Test::RecipientAuto, None, Phase::Warm37c);
    /// let spun = StepDone { step: Step::Spun, phase: Phase::Warm37c, of: None };
    /// journal.step(&kt("03:27"), &id("WS-1"), &spun)?;
    /// let look = LookBegun {
    ///     hemolysis: Hemolysis::new(0),
    ///     agglutination: Some(Agglutination::Graded(Grade::G0)),
    ///     ..LookBegun::new(of.clone())
    /// };
    /// journal.begin_look(&kt("03:28"), &id("WS-1"), &look)?;
    /// // Entered two minutes later: it was seen when it was seen.
    /// let written = journal.finish_look(&kt("03:30"), &id("WS-1"), &of)?;
    /// let Event::ReadingEntered(entered) = journal.entry(written.seq)?.event else { panic!() };
    /// assert_eq!(entered.reading.at, Some(time("03:28")));
    /// assert_eq!(entered.reading.seconds.map(|seconds| seconds.get()), Some(60));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the writer began no look there, and as for [`Journal::enter`].
    pub fn finish_look(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        of: &Cell,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let (reading, seen) = books.with_sheet(worksheet, |_, sheet| {
                let begun = sheet.begun(of, writer.by.as_str());
                let begun = begun.ok_or_else(|| JournalError::unknown("begun look at", of))?;
                let mut reading = begun.value.reading();
                reading.at = Some(begun.at);
                reading.by = Some(begun.by.clone());
                reading.seconds = reading.seconds.or_else(|| sheet.seconds(of, begun));
                Ok((reading, Writer { by: begun.by.clone(), at: begun.at }))
            })?;
            let entered = ReadingEntered { reading, transcribed: false };
            books.enter_seen(writer, &seen, worksheet, None, entered.into())
        })
    }

    /// The looks that a person began on a worksheet and has not finished.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::{Hemolysis, Phase, Test};
    /// let mut journal = opened();
    /// let of = Cell::new(Test::RecipientAuto, None, Phase::Room);
    /// let look = LookBegun { hemolysis: Hemolysis::new(1), ..LookBegun::new(of) };
    /// journal.begin_look(&kt("03:10"), &id("WS-1"), &look)?;
    /// assert_eq!(journal.begun_looks("kt", &id("WS-1"))?, [look]);
    /// // Nobody is shown what another one saw.
    /// assert!(journal.begun_looks("LM", &id("WS-1"))?.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or the journal cannot be read.
    pub fn begun_looks(
        &mut self,
        by: &str,
        worksheet: &Id,
    ) -> Result<Vec<LookBegun>, JournalError> {
        self.read(|books| {
            books.with_sheet(worksheet, |_, sheet| {
                let own = sheet.looks.iter().filter(|begun| is_same_person(begun.by.as_str(), by));
                Ok(own.map(|begun| begun.value.clone()).collect())
            })
        })
    }

    /// Writes down a step that a clock runs from: incubation began, the tubes or columns were spun,
    /// the slide was mixed. When a phase is spun whose incubation began, its minutes are noted in
    /// the setup, whole minutes, not rounded up.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::Phase;
    /// let mut journal = opened();
    /// let step = |step| StepDone { step, phase: Phase::Warm37c, of: None };
    /// journal.step(&kt("02:55"), &id("WS-1"), &step(Step::IncubationStarted))?;
    /// journal.step(&kt("03:25"), &id("WS-1"), &step(Step::Spun))?;
    /// let setup = &journal.sheet(&id("WS-1"))?.setups[0].value.setup;
    /// let minutes = setup.incubation_min.clone().ok_or("none noted")?.warm_37c;
    /// assert_eq!(minutes.map(|minutes| minutes.get()), Some(30));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or the protocol does not use the phase.
    pub fn step(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        step: &StepDone,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let setup = books.with_sheet(worksheet, |books, sheet| {
                let method = sheet.opening().map(|opened| opened.value.method);
                let protocols = books.protocol_of(sheet)?;
                let used = |phase| {
                    let rules = protocols.iter().next().zip(method);
                    rules.and_then(|(protocol, method)| protocol.method(method)?.role(phase))
                };
                if used(step.phase).is_none() {
                    return Err(JournalError::unknown("phase", step.phase.word()));
                }
                Ok(sheet.incubated(step, writer))
            })?;
            let entry = books.append(writer, Some(worksheet), None, step.clone().into())?;
            if let Some(setup) = setup {
                books.enter(writer, worksheet, None, SetupNoted { setup }.into())?;
            }
            Ok(Written::new(entry.seq))
        })
    }
}

impl Books<'_> {
    /// Whether a look can be what was seen so far of a reading.
    fn check_look(&mut self, sheet: &Sheet, look: &LookBegun) -> Result<(), JournalError> {
        if let Some(donor) = &look.of.donor
            && sheet.is_locked(donor)
        {
            return Err(Refusal::Locked(donor.clone()).into());
        }
        // What is still to be seen is taken as seen, so that only what was seen is at fault.
        let mut whole = look.reading();
        whole.agglutination.get_or_insert(Agglutination::Unreadable);
        whole.at = sheet.opening().map(|opened| opened.at);
        if whole.after == Some(Recheck::SalineDilution) && whole.saline_parts.is_none() {
            whole.saline_parts = Whole::new(1);
        }
        let mut readings = Vec::new();
        if whole.after.is_some() {
            let first = draft::Reading { after: None, saline_parts: None, ..whole.clone() };
            readings.push(first);
        }
        let part = format!("/readings/{}", readings.len());
        readings.push(whole);
        let mut probe = probe(sheet);
        probe.readings = Some(readings.into_iter().collect());
        self.is_good(sheet, &probe, &part)
    }
}

impl Sheet {
    /// The look that a person began in a mixture and has not finished.
    pub(crate) fn begun(&self, of: &Cell, by: &str) -> Option<&Entered<LookBegun>> {
        self.looks
            .iter()
            .find(|begun| begun.value.of == *of && is_same_person(begun.by.as_str(), by))
    }

    /// Takes a begun look out of those that are not finished.
    pub(crate) fn end_look(&mut self, of: &Cell, by: &str) {
        self.looks.retain(|begun| begun.value.of != *of || !is_same_person(begun.by.as_str(), by));
    }

    /// Refuses while a look that bears on a donor, or on any of them, is not finished.
    pub(crate) fn all_looks_finished(&self, donor: Option<&Id>) -> Result<(), Refusal> {
        let bears = |begun: &&Entered<LookBegun>| {
            let of = begun.value.of.donor.as_ref();
            donor.is_none() || of.is_none() || of == donor
        };
        let Some(begun) = self.looks.iter().find(bears) else { return Ok(()) };
        let (seq, by, of) = (begun.seq, begun.by.to_string(), begun.value.of.to_string());
        Err(Refusal::LookBegun { seq, by, of })
    }

    /// The last step of these that a mixture's clock runs from, at or before a look at it.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::{Phase, Test};
    /// let mut journal = opened();
    /// let spun = StepDone { step: Step::Spun, phase: Phase::Warm37c, of: None };
    /// journal.step(&kt("03:27"), &id("WS-1"), &spun)?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// let auto = Cell::new(Test::RecipientAuto, None, Phase::Warm37c);
    /// let before = |at| sheet.step_before(&auto, &[Step::Spun], time(at)).map(|step| step.at);
    /// assert_eq!(before("03:28"), Some(time("03:27")));
    /// assert_eq!(before("03:20"), None);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn step_before(
        &self,
        of: &Cell,
        steps: &[Step],
        before: crossread_core::document::Time,
    ) -> Option<&Entered<StepDone>> {
        let covers = |done: &StepDone| {
            steps.contains(&done.step)
                && done.phase == of.phase
                && done.of.as_ref().is_none_or(|one| one.test == of.test && one.donor == of.donor)
        };
        self.steps
            .iter()
            .filter(|done| covers(&done.value) && done.at.instant() <= before.instant())
            .max_by_key(|done| done.at.instant())
    }

    /// The whole seconds from the spin or the mixing of a mixture to a look at it.
    fn seconds(&self, of: &Cell, begun: &Entered<LookBegun>) -> Option<Whole<0, 86_400>> {
        let from = self.step_before(of, &[Step::Spun, Step::Mixed], begun.at)?;
        if of.after.is_some() {
            // A recheck has a spin of its own: one that was done after the first look.
            let first = Cell { after: None, ..of.clone() };
            let first = self
                .readings
                .iter()
                .filter(|reading| cell(&reading.value.reading).as_ref() == Some(&first))
                .filter_map(|reading| reading.value.reading.at)
                .map(crossread_core::document::Time::instant)
                .min();
            if first.is_none_or(|first| from.at.instant() < first) {
                return None;
            }
        }
        let seconds = begun.at.instant().duration_since(from.at.instant()).as_secs();
        Whole::new(u32::try_from(seconds).ok()?)
    }

    /// The setup with the minutes for which a phase was incubated, if a step ends its incubation.
    fn incubated(&self, step: &StepDone, writer: &Writer) -> Option<draft::Setup> {
        let ends = match step.step {
            Step::Spun | Step::Mixed => step.of.is_none(),
            Step::IncubationStarted => false,
        };
        let any = Cell::new(Test::RecipientAuto, None, step.phase);
        let from = self.step_before(&any, &[Step::IncubationStarted], writer.at)?;
        let ended = self.step_before(&any, &[Step::Spun, Step::Mixed], writer.at);
        if !ends || ended.is_some_and(|ended| ended.at.instant() >= from.at.instant()) {
            return None;
        }
        let seconds = writer.at.instant().duration_since(from.at.instant()).as_secs();
        let minutes = u32::try_from(seconds.checked_div(60)?).ok().and_then(Whole::new)?;
        let noted = self.setups.iter().rev().find(|setup| setup.stands());
        let mut setup = noted.map(|noted| noted.value.setup.clone()).unwrap_or_default();
        let incubation = setup.incubation_min.get_or_insert_default();
        match step.phase {
            Phase::Room => incubation.room = Some(minutes),
            Phase::Warm37c => incubation.warm_37c = Some(minutes),
            Phase::Antiglobulin => incubation.antiglobulin = Some(minutes),
            Phase::Cold4c => incubation.cold_4c = Some(minutes),
        }
        Some(setup)
    }
}
