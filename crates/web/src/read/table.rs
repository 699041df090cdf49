//! The table of a worksheet's mixtures: which rows and columns it has, and the order of reading.

use std::collections::BTreeSet;

use crossread_core::document::{Id, Text};
use crossread_core::prepare::rack;
use crossread_core::protocol::{HemolysisRule, PhaseRole, Protocol};
use crossread_core::words::{Method, Phase, Recheck, Test};
use crossread_core::{Interpretation, Worksheet};
use crossread_journal::{Cell, Entered, LookBegun, ReadingEntered, Sheet, View};

use super::keys::Rules;

/// Everything that the page of reading shows of a worksheet.
#[derive(Debug)]
pub(crate) struct Table {
    pub(crate) sheet: Sheet,
    pub(crate) view: View,
    pub(crate) protocol: Protocol,
    pub(crate) interpretation: Interpretation,
    /// What this person began and did not finish.
    pub(crate) own: Vec<LookBegun>,
    /// Who looks at the page.
    pub(crate) person: String,
    pub(crate) rows: Vec<(Test, Option<Id>)>,
    pub(crate) columns: Vec<(Phase, PhaseRole)>,
    /// Whether optional rows and columns are shown that are not used.
    pub(crate) all: bool,
}

/// A mixture at a phase, at its first look or after a treatment.
#[derive(Debug)]
pub(crate) struct Slot<'t> {
    pub(crate) of: Cell,
    /// The looks that stand or were taken back, in the order of their entry.
    pub(crate) readings: Vec<&'t Entered<ReadingEntered>>,
    /// What this person began there.
    pub(crate) own: Option<&'t LookBegun>,
    /// Who else began a look there.
    pub(crate) others: Vec<&'t Text>,
}

impl Slot<'_> {
    /// Whether a look stands.
    pub(crate) fn is_read(&self) -> bool {
        self.readings.iter().any(|reading| reading.stands())
    }
}

impl Table {
    pub(crate) fn worksheet(&self) -> &Worksheet {
        &self.view.worksheet
    }

    pub(crate) fn method(&self) -> Method {
        self.view.worksheet.method()
    }

    pub(crate) fn rules(&self) -> Rules {
        let rules = self.protocol.method(self.method());
        let hemolysis = rules
            .map_or(HemolysisRule::NotReadable, crossread_core::protocol::MethodRules::hemolysis);
        Rules { method: self.method(), hemolysis }
    }

    /// The rows: what the rules need for the products, what was read, and, if asked for, what the
    /// rules leave open.
    pub(crate) fn rows_of(
        view: &View,
        protocol: &Protocol,
        sheet: &Sheet,
        own: &[LookBegun],
        all: bool,
    ) -> Vec<(Test, Option<Id>)> {
        let donors = view.worksheet.donors();
        let named = |(test, donor): &(Test, Option<usize>)| {
            let donor = donor.and_then(|place| donors.get(place));
            (*test, donor.map(|donor| donor.animal.id.clone()))
        };
        let needed: Vec<_> = rack(&view.worksheet, protocol, false).iter().map(named).collect();
        let read = sheet.readings.iter().filter_map(|reading| cell(&reading.value.reading));
        let begun = own.iter().map(|look| look.of.clone());
        let others = sheet.looks.iter().map(|look| look.value.of.clone());
        let used: BTreeSet<_> =
            read.chain(begun).chain(others).map(|of| (of.test, of.donor)).collect();
        let mut rows: Vec<_> = rack(&view.worksheet, protocol, true).iter().map(named).collect();
        rows.retain(|row| all || needed.contains(row) || used.contains(row));
        // What nobody plans and somebody read stands at the end.
        rows.extend(used.into_iter().filter(|row| !rows.contains(row)).collect::<Vec<_>>());
        rows
    }

    /// The columns: the phases that must be read, those in use, and, if asked for, the others.
    pub(crate) fn columns_of(
        protocol: &Protocol,
        method: Method,
        sheet: &Sheet,
        all: bool,
    ) -> Vec<(Phase, PhaseRole)> {
        let rules = protocol.method(method);
        let is_used = |phase: Phase| {
            sheet.readings.iter().any(|reading| reading.value.reading.phase == Some(phase))
                || sheet.looks.iter().any(|look| look.value.of.phase == phase)
                || sheet.steps.iter().any(|step| step.value.phase == phase)
        };
        let role = |phase: &Phase| Some((*phase, rules?.role(*phase)?));
        let columns = Phase::ALL.iter().filter_map(role);
        columns
            .filter(|(phase, role)| {
                all || matches!(role, PhaseRole::Required | PhaseRole::OneOf) || is_used(*phase)
            })
            .collect()
    }

    /// Everything that can be read, in the order of reading: phase by phase, first the first looks,
    /// the controls before the donors, then the rechecks, for which something is done in between.
    pub(crate) fn slots(&self) -> Vec<Slot<'_>> {
        let phases = self.columns.iter().map(|(phase, _)| *phase);
        let cells = phases.flat_map(|phase| {
            self.rows.iter().map(move |(test, donor)| Cell::new(*test, donor.clone(), phase))
        });
        let mut slots: Vec<_> = cells.flat_map(|of| self.slots_at(&of, None)).collect();
        let place = |phase| self.columns.iter().position(|(of, _)| *of == phase);
        // Stable: within a phase the rows keep their order.
        slots.sort_by_key(|slot| (place(slot.of.phase), slot.of.after.is_some()));
        slots
    }

    /// The slots of a mixture at a phase: its first look, and the rechecks that were read, begun, or
    /// are called for, or `asked` for.
    pub(crate) fn slots_at(&self, first: &Cell, asked: Option<Recheck>) -> Vec<Slot<'_>> {
        let mut slots = vec![self.slot(first.clone())];
        let called_for = self.recheck_of(first);
        for after in Recheck::ALL {
            let slot = self.slot(first.clone().after(Some(*after)));
            let is_open = !slot.readings.is_empty()
                || slot.own.is_some()
                || !slot.others.is_empty()
                || called_for == Some(*after)
                || asked == Some(*after);
            if is_open {
                slots.push(slot);
            }
        }
        slots
    }

    fn slot(&self, of: Cell) -> Slot<'_> {
        let at =
            |reading: &&Entered<ReadingEntered>| cell(&reading.value.reading).as_ref() == Some(&of);
        let readings = self.sheet.readings.iter().filter(at).collect();
        let own = self.own.iter().find(|look| look.of == of);
        let is_other = |by: &Text| by.as_str() != self.person;
        let looks = self.sheet.looks.iter().filter(|look| look.value.of == of);
        let others = looks.map(|look| &look.by).filter(|by| is_other(by)).collect();
        Slot { of, readings, own, others }
    }

    /// The recheck that a first look with stacks calls for.
    fn recheck_of(&self, first: &Cell) -> Option<Recheck> {
        let slot = self.slot(first.clone());
        let stacks = slot.readings.iter().filter(|reading| reading.stands()).any(|reading| {
            reading.value.reading.pattern.is_some_and(crossread_core::words::Pattern::has_stacks)
        });
        let recheck = match self.method() {
            Method::Tube => Recheck::SalineReplacement,
            Method::Slide => Recheck::SalineDilution,
            // A column cannot be rechecked: the mixture is read again in a tube.
            Method::Gel => return None,
        };
        stacks.then_some(recheck)
    }

    /// Whether a slot waits for this person.
    pub(crate) fn waits(&self, slot: &Slot<'_>) -> bool {
        if !self.sheet.is_blind() {
            return !slot.is_read();
        }
        let standing = slot.readings.iter().filter(|reading| reading.stands());
        let readers: BTreeSet<_> = standing
            .filter_map(|reading| reading.value.reading.by.as_ref())
            .map(Text::as_str)
            .collect();
        readers.len() < 2 && !readers.contains(self.person.as_str())
    }

    /// The mixture to read first when somebody comes to the page: where they stopped, or after what
    /// they read last, or the first that waits.
    pub(crate) fn first(&self) -> Option<Cell> {
        if let Some(begun) = self.own.last() {
            return Some(begun.of.clone());
        }
        let slots = self.slots();
        let last = self.sheet.readings.iter().rev().find(|reading| {
            reading.value.reading.by.as_ref().is_some_and(|by| by.as_str() == self.person)
        });
        let last = last.and_then(|reading| cell(&reading.value.reading));
        self.after(&slots, last.as_ref())
    }

    /// The next that waits after a mixture, from the beginning again after the last.
    pub(crate) fn after(&self, slots: &[Slot<'_>], of: Option<&Cell>) -> Option<Cell> {
        let place = of.and_then(|of| slots.iter().position(|slot| slot.of == *of));
        let start = place.map_or(0, |place| place.saturating_add(1));
        let (before, behind) = slots.split_at_checked(start).unwrap_or((slots, &[]));
        let mut round = behind.iter().chain(before);
        let next = round.find(|slot| self.waits(slot)).map(|slot| slot.of.clone());
        next.or_else(|| of.cloned()).or_else(|| slots.first().map(|slot| slot.of.clone()))
    }

    /// The autocontrols that are to be read before a mixture and were not.
    pub(crate) fn controls_before(&self, of: &Cell) -> Vec<Cell> {
        let first = match of.test {
            Test::Major | Test::Minor => [Test::RecipientAuto, Test::DonorAuto],
            Test::RecipientAuto | Test::DonorAuto | Test::RecipientSaline | Test::DonorSaline => {
                return Vec::new();
            }
        };
        let of_donor = |donor: &Option<Id>| donor.is_none() || *donor == of.donor;
        // What the rules leave open is not waited for.
        let donors = self.worksheet().donors();
        let needed = rack(self.worksheet(), &self.protocol, false).into_iter();
        let controls = needed
            .map(|(test, donor)| {
                (test, donor.and_then(|place| donors.get(place)).map(|of| of.animal.id.clone()))
            })
            .filter(|(test, donor)| first.contains(test) && of_donor(donor))
            .map(|(test, donor)| Cell::new(test, donor, of.phase));
        controls.filter(|control| !self.slot(control.clone()).is_read()).collect()
    }
}

/// The mixture that a reading is of.
pub(crate) fn cell(reading: &crossread_core::worksheet::draft::Reading) -> Option<Cell> {
    let of = Cell::new(reading.test?, reading.donor.clone(), reading.phase?);
    Some(of.after(reading.after))
}
