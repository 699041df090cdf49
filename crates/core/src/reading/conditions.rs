use crate::protocol::{MethodRules, Rules};
use crate::reading::Class;
use crate::words::{Method, Phase};
use crate::worksheet::{Owner, Worksheet};

/// What holds for every mixture of a run, or for every mixture of an animal: the protocol, how the
/// mixtures were made, how the reagents' controls came out, what the samples look like.
#[derive(Debug)]
pub(crate) struct Conditions<'w> {
    pub(crate) method: Method,
    pub(crate) rules: &'w Rules,
    pub(crate) of_method: &'w MethodRules,
    pub(crate) positive_control_failed: bool,
    pub(crate) negative_control_reactive: bool,
    pub(crate) suspension_too_heavy: bool,
    incubation: [Incubation; 4],
    recipient: Samples,
    donors: Vec<Samples>,
}

/// How the incubation of a phase stands to the protocol.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Incubation {
    #[default]
    AsAsked,
    Short,
    Long,
}

/// What the samples of one animal are like.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Samples {
    /// The greatest hemolysis of its plasma samples, 0 if nobody looked.
    pub(crate) plasma_hemolysis: u32,
    /// A label names another animal.
    pub(crate) mislabeled: bool,
}

impl<'w> Conditions<'w> {
    pub(crate) fn of(
        worksheet: &'w Worksheet,
        rules: &'w Rules,
        of_method: &'w MethodRules,
    ) -> Self {
        let controls = worksheet.controls();
        let setup = worksheet.setup();
        let mut recipient = Samples::default();
        let mut donors = vec![Samples::default(); worksheet.donors().len()];
        for sample in worksheet.samples() {
            let of = match sample.of {
                Owner::Recipient => Some(&mut recipient),
                Owner::Donor(donor) => donors.get_mut(donor),
            };
            if let Some(of) = of {
                of.mislabeled |= sample.mislabeled;
                if sample.role.gives_plasma() {
                    let hemolysis = sample.hemolysis.unwrap_or_default();
                    of.plasma_hemolysis = of.plasma_hemolysis.max(hemolysis);
                }
            }
        }
        let incubation = |phase| {
            let minutes = setup.incubation(phase);
            match (minutes, of_method.incubation(phase)) {
                (Some(minutes), Some((lo, _))) if minutes < lo => Incubation::Short,
                (Some(minutes), Some((_, hi))) if minutes > hi => Incubation::Long,
                (Some(_) | None, Some(_) | None) => Incubation::AsAsked,
            }
        };
        Self {
            method: worksheet.method(),
            rules,
            of_method,
            positive_control_failed: controls.positive.is_some_and(|(expected, read)| {
                read.grade().is_none_or(|read| {
                    let missing = expected.half_steps().saturating_sub(read.half_steps());
                    rules.class(read) != Class::Reactive
                        || u32::from(missing) > rules.control_tolerance_half_steps
                })
            }),
            negative_control_reactive: controls.negative.is_some_and(|read| {
                read.grade().is_none_or(|read| rules.class(read) != Class::Negative)
            }),
            suspension_too_heavy: setup
                .cells_percent
                .zip(of_method.cells_percent)
                .is_some_and(|(percent, (_, hi))| percent > hi),
            incubation: [
                incubation(Phase::Room),
                incubation(Phase::Warm37c),
                incubation(Phase::Antiglobulin),
                incubation(Phase::Cold4c),
            ],
            recipient,
            donors,
        }
    }

    pub(crate) fn incubation(&self, phase: Phase) -> Incubation {
        let [room, warm_37c, antiglobulin, cold_4c] = self.incubation;
        match phase {
            Phase::Room => room,
            Phase::Warm37c => warm_37c,
            Phase::Antiglobulin => antiglobulin,
            Phase::Cold4c => cold_4c,
        }
    }

    pub(crate) fn samples(&self, owner: Owner) -> Samples {
        match owner {
            Owner::Recipient => self.recipient,
            Owner::Donor(donor) => self.donors.get(donor).copied().unwrap_or_default(),
        }
    }

    /// Whether a slide was read outside the seconds that the protocol allows.
    pub(crate) fn outside_seconds(&self, seconds: Option<u32>) -> bool {
        self.too_early(seconds) || self.too_late(seconds)
    }

    pub(crate) fn too_early(&self, seconds: Option<u32>) -> bool {
        self.slide_seconds(seconds).is_some_and(|(seconds, (lo, _))| seconds < lo)
    }

    pub(crate) fn too_late(&self, seconds: Option<u32>) -> bool {
        self.slide_seconds(seconds).is_some_and(|(seconds, (_, hi))| seconds > hi)
    }

    fn slide_seconds(&self, seconds: Option<u32>) -> Option<(u32, (u32, u32))> {
        match self.method {
            Method::Slide => seconds.zip(self.of_method.seconds),
            Method::Tube | Method::Gel => None,
        }
    }
}
