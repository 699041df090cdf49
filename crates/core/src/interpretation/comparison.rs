//! How two interpretations of one worksheet differ: which verdicts, and by which findings.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Issued, IssuedPair, draft};
use crate::document::{Id, List};
use crate::words::{Effect, Verdict};

/// How two interpretations of a worksheet differ. The versions of the engines are not compared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Comparison<'i> {
    /// Whether the hashes of the worksheets differ: not the same document was interpreted.
    pub worksheet_differs: bool,
    /// Whether id, version or hash of the protocols differ: not the same local rules.
    pub protocol_differs: bool,
    /// The donors of which anything differs, in the order of the old document; those that only the
    /// new one has come last.
    pub pairs: Vec<PairChange<'i>>,
    /// What is noticed otherwise of all donors together.
    pub panel: Vec<FindingChange<'i>>,
    /// What else differs: `recipient`, `method`, `order`, or `panel` if only its words do.
    pub other: Vec<&'static str>,
}

/// How the answers for one donor differ.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct PairChange<'i> {
    /// The donor's id.
    pub donor: &'i Id,
    /// The old verdict; null if the donor is only in the new one.
    pub old: Option<Verdict>,
    /// The new verdict; null if the donor is only in the old one.
    pub new: Option<Verdict>,
    /// The findings that only one has, or that have another effect, by name.
    pub findings: Vec<FindingChange<'i>>,
    /// The other fields that differ; `findings` if only their words or places do.
    pub other: Vec<&'static str>,
}

impl PairChange<'_> {
    /// Whether the verdict's word changed, or the donor is in one of the two only.
    ///
    /// ```standalone_crate
    /// # use crossread_core::interpretation::{Comparison, Issued};
    /// # let old = include_bytes!("../../../../examples/clean-run/interpretation.json");
    /// # let old = Issued::from_json(old)?;
    /// # let new = include_bytes!("../../../../examples/major-2-plus/interpretation.json");
    /// # let new = Issued::from_json(new)?;
    /// // Two donors, and each is in one of the two only.
    /// let comparison = Comparison::of(&old, &new);
    /// assert!(comparison.pairs.iter().all(|pair| pair.is_of_verdict()));
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    pub fn is_of_verdict(&self) -> bool {
        self.old != self.new
    }

    /// Whether the donor may be released now, by the verdict, and could not before.
    ///
    /// ```standalone_crate
    /// # use crossread_core::interpretation::{Comparison, Issued};
    /// # let clean = include_bytes!("../../../../examples/clean-run/interpretation.json");
    /// # let clean = Issued::from_json(clean)?;
    /// # let other = include_bytes!("../../../../examples/major-2-plus/interpretation.json");
    /// # let other = Issued::from_json(other)?;
    /// let comparison = Comparison::of(&other, &clean);
    /// let donor = comparison.pairs.iter().find(|pair| pair.donor.as_str() == "D-081");
    /// assert!(donor.is_some_and(|pair| pair.frees() && !pair.bars()));
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    pub fn frees(&self) -> bool {
        let releasable = |verdict: Option<Verdict>| verdict.is_some_and(Verdict::is_releasable);
        releasable(self.new) && !releasable(self.old)
    }

    /// Whether the donor could be released before, by the verdict, and may not now.
    ///
    /// ```standalone_crate
    /// # use crossread_core::interpretation::{Comparison, Issued};
    /// # let clean = include_bytes!("../../../../examples/clean-run/interpretation.json");
    /// # let clean = Issued::from_json(clean)?;
    /// # let other = include_bytes!("../../../../examples/major-2-plus/interpretation.json");
    /// # let other = Issued::from_json(other)?;
    /// // A donor that the new document does not have is not free any more.
    /// let comparison = Comparison::of(&clean, &other);
    /// let donor = comparison.pairs.iter().find(|pair| pair.donor.as_str() == "D-081");
    /// assert!(donor.is_some_and(|pair| pair.bars()));
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    pub fn bars(&self) -> bool {
        let releasable = |verdict: Option<Verdict>| verdict.is_some_and(Verdict::is_releasable);
        releasable(self.old) && !releasable(self.new)
    }
}

/// How one finding differs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct FindingChange<'i> {
    /// Its name.
    pub slug: &'i Id,
    /// The old effect; null if it was not noticed.
    pub old: Option<Effect>,
    /// The new effect; null if it is not noticed any more.
    pub new: Option<Effect>,
    /// Whether a verdict changed by it: its effect is the greatest of the old verdict or of the
    /// new one, and these differ.
    pub decides: bool,
}

impl<'i> Comparison<'i> {
    /// Compares two interpretations of one worksheet.
    ///
    /// ```standalone_crate
    /// # use crossread_core::interpretation::{Comparison, Issued};
    /// # let document = include_str!("../../../../examples/clean-run/interpretation.json");
    /// let old = Issued::from_json(document.as_bytes())?;
    /// assert!(Comparison::of(&old, &old).is_empty());
    /// // The same answer by other local rules.
    /// let other = document.replace("\"dog-routine\"", "\"dog-night\"");
    /// let new = Issued::from_json(other.as_bytes())?;
    /// let comparison = Comparison::of(&old, &new);
    /// assert!(comparison.protocol_differs && comparison.pairs.is_empty());
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    #[must_use]
    pub fn of(old: &'i Issued, new: &'i Issued) -> Self {
        let panel = findings(
            &slugs(old.document().panel.as_ref()),
            &slugs(new.document().panel.as_ref()),
            None,
        );
        let mut other = Vec::new();
        let mut differ = |differs: bool, what: &'static str| {
            if differs {
                other.push(what);
            }
        };
        differ(old.recipient() != new.recipient(), "recipient");
        differ(old.method() != new.method(), "method");
        differ(old.document().order != new.document().order, "order");
        differ(panel.is_empty() && old.document().panel != new.document().panel, "panel");
        Self {
            worksheet_differs: old.worksheet().sha256 != new.worksheet().sha256,
            protocol_differs: old.protocol() != new.protocol(),
            pairs: pairs(old.pairs(), new.pairs()),
            panel,
            other,
        }
    }

    /// Whether the two say the same of every donor, word for word, of the same worksheet and by the
    /// same rules.
    pub fn is_empty(&self) -> bool {
        !self.worksheet_differs
            && !self.protocol_differs
            && self.pairs.is_empty()
            && self.panel.is_empty()
            && self.other.is_empty()
    }
}

fn pairs<'i>(old: &'i [IssuedPair], new: &'i [IssuedPair]) -> Vec<PairChange<'i>> {
    let now: BTreeMap<_, _> = new.iter().map(|pair| (&pair.donor, pair)).collect();
    let before: BTreeMap<_, _> = old.iter().map(|pair| (&pair.donor, pair)).collect();
    let of_old = old.iter().map(|pair| (&pair.donor, Some(pair), now.get(&pair.donor).copied()));
    let only_new = new.iter().filter(|pair| !before.contains_key(&pair.donor));
    of_old
        .chain(only_new.map(|pair| (&pair.donor, None, Some(pair))))
        .map(|(donor, old, new)| changed(donor, old, new))
        .filter(|change| {
            change.is_of_verdict() || !change.findings.is_empty() || !change.other.is_empty()
        })
        .collect()
}

fn changed<'i>(
    donor: &'i Id,
    old: Option<&'i IssuedPair>,
    new: Option<&'i IssuedPair>,
) -> PairChange<'i> {
    let verdicts = (old.map(|pair| pair.verdict), new.map(|pair| pair.verdict));
    let all = |pair: Option<&'i IssuedPair>| -> Vec<(&'i Id, Effect)> {
        pair.map_or_else(Vec::new, |pair| {
            pair.findings.iter().map(|(slug, effect)| (slug, *effect)).collect()
        })
    };
    let findings = findings(&all(old), &all(new), (verdicts.0 != verdicts.1).then_some(verdicts));
    let other = match (old, new) {
        (Some(old), Some(new)) => fields(&old.answer, &new.answer, findings.is_empty()),
        (None, _) | (_, None) => Vec::new(),
    };
    PairChange { donor, old: verdicts.0, new: verdicts.1, findings, other }
}

fn slugs(findings: Option<&List<draft::Finding>>) -> Vec<(&Id, Effect)> {
    let all = findings.into_iter().flat_map(List::iter);
    all.filter_map(|(_, finding)| Some((finding.slug.as_ref()?, finding.effect?))).collect()
}

/// The findings that differ, by name. `verdicts` are those that changed, if any did.
fn findings<'i>(
    old: &[(&'i Id, Effect)],
    new: &[(&'i Id, Effect)],
    verdicts: Option<(Option<Verdict>, Option<Verdict>)>,
) -> Vec<FindingChange<'i>> {
    let mut all: BTreeMap<&'i Id, (Option<Effect>, Option<Effect>)> = BTreeMap::new();
    for (slug, effect) in old {
        let entry = all.entry(slug).or_default();
        entry.0 = entry.0.max(Some(*effect));
    }
    for (slug, effect) in new {
        let entry = all.entry(slug).or_default();
        entry.1 = entry.1.max(Some(*effect));
    }
    let gives = |effect: Option<Effect>, verdict: Option<Verdict>| {
        effect.is_some_and(|effect| Some(Verdict::from(effect)) == verdict)
    };
    all.into_iter()
        .filter(|(_, (old, new))| old != new)
        .map(|(slug, (old, new))| {
            let decides =
                verdicts.is_some_and(|verdicts| gives(old, verdicts.0) || gives(new, verdicts.1));
            FindingChange { slug, old, new, decides }
        })
        .collect()
}

/// The fields of two answers that differ, but for donor, verdict and what follows from it.
fn fields(old: &draft::Answer, new: &draft::Answer, same_findings: bool) -> Vec<&'static str> {
    // Taken apart, so that a field that is added is not forgotten here.
    let draft::Answer {
        donor: _,
        product,
        verdict: _,
        releasable: _,
        valid_until,
        headline,
        major,
        minor,
        recipient_auto,
        donor_auto,
        rows,
        explanations,
        not_tested,
        readings_of_record,
        findings,
        next_steps,
    } = old;
    let all = [
        (*product != new.product, "product"),
        (*valid_until != new.valid_until, "valid_until"),
        (*headline != new.headline, "headline"),
        (*major != new.major, "major"),
        (*minor != new.minor, "minor"),
        (*recipient_auto != new.recipient_auto, "recipient_auto"),
        (*donor_auto != new.donor_auto, "donor_auto"),
        (*rows != new.rows, "rows"),
        (*explanations != new.explanations, "explanations"),
        (*not_tested != new.not_tested, "not_tested"),
        (*readings_of_record != new.readings_of_record, "readings_of_record"),
        (same_findings && *findings != new.findings, "findings"),
        (*next_steps != new.next_steps, "next_steps"),
    ];
    all.into_iter().filter(|(differs, _)| *differs).map(|(_, field)| field).collect()
}
