use crate::protocol::PhaseRole;
use crate::reading::Outcome;
use crate::words::{Grade, Phase, State, Summary, Test};

/// A test over its deciding phases.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Summed {
    pub(crate) summary: Summary,
    /// A phase that must be read was not.
    pub(crate) gap: bool,
    /// A deciding phase is void.
    pub(crate) spoiled: bool,
    /// The greatest grade of record, and the first phase that has it.
    pub(crate) strongest: Option<(Grade, Phase)>,
    /// The greatest hemolysis that was written.
    pub(crate) hemolysis: Option<u32>,
}

impl Default for Summed {
    fn default() -> Self {
        Self {
            summary: Summary::NotRead,
            gap: true,
            spoiled: false,
            strongest: None,
            hemolysis: None,
        }
    }
}

/// The six tests of one donor, those of the recipient alone included, each over its deciding phases.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sums {
    pub(super) major: Summed,
    pub(super) minor: Summed,
    pub(super) recipient_auto: Summed,
    pub(super) donor_auto: Summed,
    pub(super) recipient_saline: Summed,
    pub(super) donor_saline: Summed,
}

impl Sums {
    pub(crate) fn of(&self, test: Test) -> Summed {
        match test {
            Test::Major => self.major,
            Test::Minor => self.minor,
            Test::RecipientAuto => self.recipient_auto,
            Test::DonorAuto => self.donor_auto,
            Test::RecipientSaline => self.recipient_saline,
            Test::DonorSaline => self.donor_saline,
        }
    }
}

/// Sums up one of the four tests that hold plasma.
pub(super) fn summed(phases: impl Iterator<Item = (Phase, PhaseRole, Outcome)>) -> Summed {
    let mut tally = Tally::default();
    let mut required_missing = false;
    // Of the phases of which one is enough: whether there are any, and whether one was read.
    let mut one_of = (false, false);
    for (phase, role, outcome) in phases {
        let unread = match outcome.state {
            State::Absent | State::Unread => true,
            State::Void | State::Negative | State::Doubtful | State::Reactive => false,
        };
        match role {
            PhaseRole::Required => required_missing |= unread,
            PhaseRole::OneOf => one_of = (true, one_of.1 || !unread),
            PhaseRole::Optional | PhaseRole::Informative => {}
        }
        tally.add(phase, outcome);
    }
    let gap = required_missing || one_of == (true, false);
    let summary = if tally.reactive {
        Summary::Reactive
    } else if tally.doubtful {
        Summary::Doubtful
    } else if tally.void {
        Summary::Void
    } else if gap {
        Summary::NotRead
    } else {
        Summary::Negative
    };
    tally.into_summed(summary, gap)
}

/// Sums up a saline control. It need not be read anywhere, so a negative counts wherever it is.
pub(super) fn saline(phases: impl Iterator<Item = (Phase, PhaseRole, Outcome)>) -> Summed {
    let mut tally = Tally::default();
    for (phase, _, outcome) in phases {
        tally.add(phase, outcome);
    }
    let summary = if tally.reactive {
        Summary::Reactive
    } else if tally.doubtful {
        Summary::Doubtful
    } else if tally.negative {
        Summary::Negative
    } else if tally.void {
        Summary::Void
    } else {
        Summary::NotRead
    };
    tally.into_summed(summary, false)
}

#[derive(Default)]
#[expect(clippy::struct_excessive_bools, reason = "which of the states were seen")]
struct Tally {
    reactive: bool,
    doubtful: bool,
    negative: bool,
    void: bool,
    strongest: Option<(Grade, Phase)>,
    hemolysis: Option<u32>,
}

impl Tally {
    fn add(&mut self, phase: Phase, outcome: Outcome) {
        match outcome.state {
            State::Reactive => self.reactive = true,
            State::Doubtful => self.doubtful = true,
            State::Negative => self.negative = true,
            State::Void => self.void = true,
            State::Absent | State::Unread => {}
        }
        if let Some(grade) = outcome.record
            && self.strongest.is_none_or(|(strongest, _)| grade > strongest)
        {
            self.strongest = Some((grade, phase));
        }
        self.hemolysis = self.hemolysis.max(outcome.hemolysis);
    }

    fn into_summed(self, summary: Summary, gap: bool) -> Summed {
        Summed {
            summary,
            gap,
            spoiled: self.void,
            strongest: self.strongest,
            hemolysis: self.hemolysis,
        }
    }
}
