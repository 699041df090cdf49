//! Tests and their autocontrols were read further apart than one run allows.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "readings-far-apart",
    title: "tests and controls read too far apart",
    text: "The tests that decide and their autocontrols were read further apart than the protocol \
           allows for one run. Plasma, cells and temperature change in that time, so a control \
           read hours away is no control for the test. The readings may each be right; they cannot \
           be compared.",
    next_step: "Repeat the tests and their autocontrols together in one run, and read them one \
                after the other. Hold the unit until then.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let tests = Test::FOUR
        .into_iter()
        .filter(|test| pair.is_deciding(*test) || pair.is_plasma_auto_of_deciding(*test));
    let looks = || {
        tests
            .clone()
            .flat_map(|test| pair.deciding(test).map(move |(phase, _)| (test, phase)))
            .flat_map(|(test, phase)| pair.first_looks(test, phase))
    };
    let (first_at, first) = looks().min_by_key(|(_, look)| look.at.instant())?;
    let (last_at, last) = looks().max_by_key(|(_, look)| look.at.instant())?;
    (last.at.instant() > first.at.plus_hours(pair.rules().run_max_hours))
        .then(|| Raised::new(Effect::Indeterminate, [first_at, last_at]))
}
