//! What the comparison of two files came to: counts by verdict and by finding.

use std::collections::BTreeMap;

use crossread_core::interpretation::{Comparison, FindingChange, Issued};
use crossread_core::words::{Effect, Verdict};
use serde::Serialize;

use super::{Told, Which};

/// Counts over both files.
#[derive(Debug, Default, Serialize)]
pub(super) struct Summary {
    /// Whether the comparison stopped before the end of the files.
    pub(super) stopped: bool,
    pub(super) old: String,
    pub(super) new: String,
    /// Worksheets that both files answer.
    pub(super) worksheets: u64,
    /// Donors of these, counted in the old file.
    pub(super) donors: u64,
    /// Worksheets of which nothing differs.
    pub(super) alike: u64,
    /// Worksheets whose documents were not the same.
    pub(super) worksheet_differs: u64,
    /// Worksheets that were interpreted by other rules.
    pub(super) protocol_differs: u64,
    /// Donors whose verdict differs.
    pub(super) verdicts_changed: u64,
    /// Donors that could not be released before and may be now, by the verdict; also those of
    /// worksheets that were at fault, or are only in the new file.
    pub(super) now_releasable: u64,
    /// Donors that could be released before and may not be now; also those of worksheets that are
    /// at fault now, or only in the old file.
    pub(super) no_longer_releasable: u64,
    /// Donors with the same verdict by other findings.
    pub(super) findings_changed: u64,
    /// Donors with the same verdict and findings, of which something else differs.
    pub(super) otherwise_changed: u64,
    /// Worksheets with faults in both files, the same.
    pub(super) at_fault_in_both: u64,
    /// Worksheets that have other faults, or faults in one file only.
    pub(super) turned: u64,
    /// Entries that only the old file has.
    pub(super) only_old: u64,
    /// Entries that only the new file has.
    pub(super) only_new: u64,
    /// Lines that are no interpretations.
    pub(super) unreadable: u64,
    /// How often each change of a verdict was met.
    pub(super) verdicts: Vec<OfVerdicts>,
    /// How often each finding changed, by its name.
    pub(super) findings: BTreeMap<String, OfFinding>,
}

/// How often one verdict became another.
#[derive(Debug, Serialize)]
pub(super) struct OfVerdicts {
    pub(super) old: Option<Verdict>,
    pub(super) new: Option<Verdict>,
    pub(super) donors: u64,
}

/// How often a finding changed.
#[derive(Debug, Default, Serialize)]
pub(super) struct OfFinding {
    pub(super) added: u64,
    pub(super) removed: u64,
    pub(super) effect_changed: u64,
    /// Of these, how often a verdict changed by it.
    pub(super) decided: u64,
}

fn count(number: &mut u64) {
    *number = number.saturating_add(1);
}

impl Summary {
    pub(super) fn new(names: [&str; 2]) -> Self {
        let [old, new] = names.map(str::to_owned);
        Self { old, new, ..Self::default() }
    }

    /// Counts a worksheet that both files answer.
    pub(super) fn compared(&mut self, comparison: &Comparison<'_>, old: &Issued) {
        count(&mut self.worksheets);
        let donors = u64::try_from(old.pairs().len()).unwrap_or(u64::MAX);
        self.donors = self.donors.saturating_add(donors);
        if comparison.is_empty() {
            count(&mut self.alike);
        }
        if comparison.worksheet_differs {
            count(&mut self.worksheet_differs);
        }
        if comparison.protocol_differs {
            count(&mut self.protocol_differs);
        }
        for pair in &comparison.pairs {
            if pair.is_of_verdict() {
                count(&mut self.verdicts_changed);
                self.of_verdicts(pair.old, pair.new);
            } else if pair.findings.is_empty() {
                count(&mut self.otherwise_changed);
            } else {
                count(&mut self.findings_changed);
            }
            if pair.frees() {
                count(&mut self.now_releasable);
            }
            if pair.bars() {
                count(&mut self.no_longer_releasable);
            }
            self.of_findings(&pair.findings);
        }
        self.of_findings(&comparison.panel);
    }

    fn of_verdicts(&mut self, old: Option<Verdict>, new: Option<Verdict>) {
        let known = self.verdicts.iter_mut().find(|of| (of.old, of.new) == (old, new));
        if let Some(known) = known {
            count(&mut known.donors);
        } else {
            self.verdicts.push(OfVerdicts { old, new, donors: 1 });
            self.verdicts.sort_by_key(|of| (of.old, of.new));
        }
    }

    fn of_findings(&mut self, changes: &[FindingChange<'_>]) {
        for change in changes {
            let of = self.findings.entry(change.slug.as_str().to_owned()).or_default();
            count(match (change.old, change.new) {
                (None::<Effect>, _) => &mut of.added,
                (Some(_), None) => &mut of.removed,
                (Some(_), Some(_)) => &mut of.effect_changed,
            });
            if change.decides {
                count(&mut of.decided);
            }
        }
    }

    pub(super) fn at_fault_in_both(&mut self) {
        count(&mut self.at_fault_in_both);
    }

    /// Counts what is told and was not compared.
    pub(super) fn told(&mut self, told: &Told<'_>) {
        match told {
            Told::Unreadable { .. } => count(&mut self.unreadable),
            Told::Changed { .. } => {}
            Told::Turned { old, new, .. } => {
                count(&mut self.turned);
                self.released(old.releasable(), new.releasable());
            }
            Told::Only { which: Which::Old, has, .. } => {
                count(&mut self.only_old);
                self.released(has.releasable(), 0);
            }
            Told::Only { which: Which::New, has, .. } => {
                count(&mut self.only_new);
                self.released(0, has.releasable());
            }
        }
    }

    /// Counts donors of a worksheet that were releasable in the one only, or are in the other.
    fn released(&mut self, old: u64, new: u64) {
        self.no_longer_releasable = self.no_longer_releasable.saturating_add(old);
        self.now_releasable = self.now_releasable.saturating_add(new);
    }

    /// Whether anything differs.
    pub(super) fn changed(&self) -> bool {
        let others = [self.turned, self.only_old, self.only_new];
        self.alike != self.worksheets || others.iter().any(|number| *number > 0)
    }

    /// Whether there were lines that could not be compared.
    pub(super) fn unreadable(&self) -> bool {
        self.unreadable > 0
    }
}
