//! A second program for the rules that lead from a worksheet to a verdict.
//!
//! The rules are fixed on paper ("the page" in these comments): words, protocol keys, how a
//! reading becomes a state, how states become a conclusion, and the table of findings with their
//! effects. This program was written from that page alone. It shares no type, no constant and no
//! line with the engine, and it is laid out differently: a flat list of groups, and a table
//! wherever the page has a table. Where the two programs differ, one of them has read the page
//! wrongly, or the page can be read in two ways.
//!
//! It is meant to be compared with the page line by line: [`words`] are its lists of words,
//! [`rules`] the protocol, [`groups`] how one reading becomes a state, [`conclusions`] the test
//! over its phases and beside its controls, [`findings`] the findings and the order of donors. It
//! is quick enough to run a million times: read sheets and rules once, then call [`answer`].
//!
//! Worksheets and protocols are taken to be well-formed; anything else panics.
//!
//! # Where the page leaves something open
//!
//! - Reasons of the trust table are raised for every group that is not absent, as far as the row
//!   applies: a row that asks for F or for the grade of record does not apply where there is none.
//! - Hemolysis is judged for every group that is not absent, an unreadable one included; rechecks
//!   only where there is an F.
//! - A slug with a row in the table of findings is raised by that row alone; any other reason is
//!   a note, from whatever phase of the six tests it comes.
//! - Where antiglobulin has no incubation of its own, it takes that of `warm_37c`, and so it does
//!   with the protocol's range.
//! - `saline-control-void` takes a first look as not Negative if it is so by grade or by
//!   hemolysis.
//! - `sample-too-old` and `sample-drawn-after-reading` look at the plasma samples of the deciding
//!   plasma owners, as the rows before and after them do.

pub(crate) mod conclusions;
pub(crate) mod findings;
pub(crate) mod groups;
#[cfg(test)]
pub(crate) mod near_misses;
pub(crate) mod rules;
pub(crate) mod sheet;
pub(crate) mod words;

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use self::findings::Pair;
use self::groups::Bench;
pub(crate) use self::rules::Rules;
pub(crate) use self::sheet::Sheet;
use self::words::{Effect, State, Test, VERDICTS};

/// What the page says about a worksheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Answer {
    /// In the worksheet's order of donors.
    pub(crate) pairs: Vec<PairAnswer>,
    pub(crate) panel: BTreeSet<String>,
    pub(crate) order: Vec<String>,
}

/// What the page says about one donor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct PairAnswer {
    pub(crate) donor: String,
    pub(crate) verdict: String,
    /// The conclusion for the major.
    pub(crate) major: String,
    /// The conclusion for the minor.
    pub(crate) minor: String,
    /// Major, minor, recipient auto, donor auto, recipient saline, donor saline.
    pub(crate) summaries: [String; 6],
    /// By test and phase, without those that are absent.
    pub(crate) states: BTreeMap<(String, String), String>,
    /// The grade of record by test and phase, where there is one.
    pub(crate) grades: BTreeMap<(String, String), String>,
    pub(crate) rows: Vec<u8>,
    /// Slug and effect.
    pub(crate) findings: BTreeMap<String, String>,
    pub(crate) valid_until: Option<String>,
    /// Grade and phase by test, over the deciding phases.
    pub(crate) strongest: BTreeMap<String, (String, String)>,
}

/// Reads both documents and answers.
pub(crate) fn reference(worksheet: &Value, protocol: &Value) -> Answer {
    answer(&Sheet::from_json(worksheet), &Rules::from_json(protocol))
}

/// Answers a worksheet by its rules.
pub(crate) fn answer(sheet: &Sheet, rules: &Rules) -> Answer {
    let bench = Bench::lay_out(sheet, rules);
    let pairs: Vec<Pair<'_>> =
        (0..sheet.donors.len()).map(|place| Pair::of(&bench, place)).collect();
    let findings: Vec<BTreeMap<&str, Effect>> = pairs.iter().map(Pair::findings).collect();
    let effects: Vec<Effect> = findings.iter().map(greatest).collect();

    let mut order: Vec<usize> = (0..pairs.len()).collect();
    order.sort_by_key(|&place| (effects[place], findings::rank(&pairs[place])));

    Answer {
        panel: findings::panel(rules, &pairs).into_iter().map(str::to_owned).collect(),
        order: order.into_iter().map(|place| pairs[place].donor.animal.id.clone()).collect(),
        pairs: pairs
            .iter()
            .zip(findings)
            .zip(effects)
            .map(|((pair, findings), effect)| write_down(pair, &findings, effect))
            .collect(),
    }
}

fn greatest(findings: &BTreeMap<&str, Effect>) -> Effect {
    findings.values().copied().max().unwrap_or(Effect::Note)
}

fn write_down(pair: &Pair<'_>, findings: &BTreeMap<&str, Effect>, effect: Effect) -> PairAnswer {
    let owned = str::to_owned;
    let verdict = VERDICTS.iter().find(|row| row.0 == effect).expect("every effect is there").1;
    let groups = || Test::ALL.iter().flat_map(|&test| pair.bench.groups_of(test, pair.place));
    let [major, minor, recipient_auto, donor_auto, _, _] = pair.summaries;
    PairAnswer {
        donor: pair.donor.animal.id.clone(),
        verdict: owned(verdict),
        major: owned(pair.major.word()),
        minor: owned(pair.minor.word()),
        summaries: pair.summaries.map(|summary| owned(summary.word())),
        states: groups()
            .filter(|group| group.state != State::Absent)
            .map(|group| {
                ((owned(group.test.word()), owned(group.phase.word())), owned(group.state.word()))
            })
            .collect(),
        grades: groups()
            .filter_map(|group| {
                let grade = group.grade_of_record?;
                Some(((owned(group.test.word()), owned(group.phase.word())), owned(grade.word())))
            })
            .collect(),
        rows: conclusions::rows([major, minor, recipient_auto, donor_auto]),
        findings: findings
            .iter()
            .map(|(slug, effect)| (owned(slug), owned(effect.word())))
            .collect(),
        valid_until: pair.valid_until().filter(|_| effect <= Effect::Caveat),
        strongest: Test::ALL
            .iter()
            .filter_map(|&test| {
                let (grade, phase) = pair.bench.strongest(test, pair.place)?;
                Some((owned(test.word()), (owned(grade.word()), owned(phase.word()))))
            })
            .collect(),
    }
}
