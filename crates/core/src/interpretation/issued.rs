//! An interpretation read back from its document, and checked against itself.

use std::collections::BTreeSet;

use super::{ENGINE, FORMAT, OfProtocol, OfWorksheet, draft};
use crate::document::{FaultCode, Faults, Finds, Id, List, Read, read};
use crate::findings::{self, STANDING};
use crate::words::{Effect, Method, Product, Verdict};
use crate::worksheet::MAX_DONORS;

/// An interpretation that this engine, or an earlier one, has issued.
///
/// Only the check makes one, so a verdict that its findings do not bear out, or a `releasable` that
/// the verdict's word does not, is never read. What may be released is asked of the verdict alone.
///
/// It holds what the document says, checked against itself and not against the worksheet. That a
/// finding was taken out while another of its effect stayed, or that a conclusion, a sentence or a
/// time was changed, it cannot see: whoever needs to know that interprets the worksheet again, or
/// keeps the document's hash.
#[derive(Clone, Debug, PartialEq)]
pub struct Issued {
    engine: Id,
    worksheet: OfWorksheet,
    protocol: OfProtocol,
    recipient: Id,
    method: Method,
    pairs: Vec<IssuedPair>,
    document: draft::Interpretation,
}

/// The answer for one donor, as it was issued.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct IssuedPair {
    /// The donor's id.
    pub donor: Id,
    /// What would be given.
    pub product: Product,
    /// The answer.
    pub verdict: Verdict,
    /// What was noticed, in the order of the document: the name of each finding and its effect.
    pub findings: Vec<(Id, Effect)>,
    /// All of it.
    pub answer: draft::Answer,
}

impl Issued {
    /// Reads an interpretation back.
    ///
    /// # Errors
    /// All faults of the document at once, each with its place. A document is at fault if a field
    /// or word is not one of `crossread.interpretation/1`, if a verdict is not the greatest effect
    /// of its findings, if `releasable`, `valid_until` or `order` contradict the verdicts, if the
    /// finding `serology-only` is missing, which every answer has, or if a finding has an effect
    /// that it never has in this version of the engine and the document is of this version.
    ///
    /// ```standalone_crate
    /// # use crossread_core::interpretation::Issued;
    /// # use crossread_core::words::Verdict;
    /// # let document = include_bytes!("../../../../examples/clean-run/interpretation.json");
    /// let issued = Issued::from_json(document)?;
    /// assert_eq!(issued.pairs()[0].verdict, Verdict::Compatible);
    /// # Ok::<_, crossread_core::document::Faults>(())
    /// ```
    pub fn from_json(document: &[u8]) -> Result<Self, Faults> {
        check(read::<draft::Interpretation>(document)?)
    }

    /// The version of the engine that made it.
    pub fn engine(&self) -> &Id {
        &self.engine
    }

    /// The worksheet that was interpreted.
    pub fn worksheet(&self) -> &OfWorksheet {
        &self.worksheet
    }

    /// The protocol by which it was interpreted.
    pub fn protocol(&self) -> &OfProtocol {
        &self.protocol
    }

    /// The recipient's id.
    pub fn recipient(&self) -> &Id {
        &self.recipient
    }

    /// Tube, slide or gel column.
    pub fn method(&self) -> Method {
        self.method
    }

    /// One answer a donor, in the order of the document.
    pub fn pairs(&self) -> &[IssuedPair] {
        &self.pairs
    }

    /// The whole document.
    pub fn document(&self) -> &draft::Interpretation {
        &self.document
    }
}

fn check(mut read: Read<'_, draft::Interpretation>) -> Result<Issued, Faults> {
    let document = std::mem::take(&mut read.parts);
    let pairs = contents(&document, &mut read.finds);
    match (read.into_faults(), issued(document, pairs)) {
        (Some(faults), _) => Err(faults),
        (None, Some(issued)) => Ok(issued),
        // A part is missing and nothing said so; the document stays refused.
        (None, None) => Err(Faults::unexplained()),
    }
}

fn issued(document: draft::Interpretation, pairs: Option<Vec<IssuedPair>>) -> Option<Issued> {
    let (worksheet, protocol) = (document.worksheet.clone()?, document.protocol.clone()?);
    Some(Issued {
        engine: document.engine.clone()?,
        worksheet: OfWorksheet { id: worksheet.id?, sha256: worksheet.sha256? },
        protocol: OfProtocol {
            id: protocol.id?,
            version: protocol.version?,
            sha256: protocol.sha256?,
        },
        recipient: document.recipient.clone()?,
        method: document.method?,
        pairs: pairs?,
        document,
    })
}

/// The pairs, if all of them could be taken; whatever is wrong with them is added to the finds.
fn contents(document: &draft::Interpretation, finds: &mut Finds) -> Option<Vec<IssuedPair>> {
    if document.format.as_ref().is_some_and(|format| format.as_str() != FORMAT) {
        let pointer = "/format".to_owned();
        finds.content(FaultCode::UnknownFormat, pointer, format!("`{FORMAT}`"), None);
    }
    let answers = document.pairs.as_ref()?;
    if answers.is_empty() {
        finds.content(FaultCode::NoDonors, "/pairs".to_owned(), "at least one answer", None);
    } else if answers.len() > MAX_DONORS {
        let expected = format!("at most {MAX_DONORS} donors");
        finds.content(FaultCode::TooManyDonors, "/pairs".to_owned(), expected, None);
    }
    let same_engine = document.engine.as_ref().is_some_and(|engine| engine.as_str() == ENGINE);
    let (mut donors, mut pairs) = (BTreeSet::new(), Vec::new());
    for (number, answer) in answers.iter() {
        let at = |field: &str| format!("/pairs/{number}/{field}");
        if let Some(donor) = &answer.donor
            && !donors.insert(donor)
        {
            finds.content(FaultCode::DuplicateId, at("donor"), "one answer a donor", None);
        }
        verdict(answer, &at, finds);
        let list = format!("/pairs/{number}/findings");
        standing(answer.findings.as_ref(), &list, finds);
        if same_engine {
            effects(answer.findings.as_ref(), &list, finds);
        }
        pairs.push(pair(answer));
    }
    let whole = pairs.len() == answers.len();
    if whole && let Some(order) = &document.order {
        in_order(order, answers, &donors, finds);
    }
    if same_engine {
        effects(document.panel.as_ref(), "/panel", finds);
    }
    let pairs: Option<Vec<_>> = pairs.into_iter().collect();
    pairs.filter(|_| whole)
}

/// The order names every donor once, and none that must not be released above one that may.
fn in_order(
    order: &List<Id>,
    answers: &List<draft::Answer>,
    donors: &BTreeSet<&Id>,
    finds: &mut Finds,
) {
    let mut contradicts = |pointer: String, expected: &str| {
        finds.content(FaultCode::InterpretationContradiction, pointer, expected, None);
    };
    let named: BTreeSet<_> = order.iter().map(|(_, id)| id).collect();
    if named != *donors || named.len() != order.len() {
        contradicts("/order".to_owned(), "the id of every donor once");
    }
    let releasable: BTreeSet<_> = answers
        .iter()
        .filter(|(_, answer)| answer.verdict.is_some_and(Verdict::is_releasable))
        .filter_map(|(_, answer)| answer.donor.as_ref())
        .collect();
    let after = order.iter().skip_while(|(_, id)| releasable.contains(id));
    if let Some((number, _)) = after.skip(1).find(|(_, id)| releasable.contains(id)) {
        let expected = "no donor that may be released after one that must not";
        contradicts(format!("/order/{number}"), expected);
    }
}

/// Every answer says what serology cannot tell, whatever else was noticed.
fn standing(findings: Option<&List<draft::Finding>>, list: &str, finds: &mut Finds) {
    // A finding that could not be read may have been it; that is a fault already.
    let Some(findings) = findings.filter(|of| of.iter().count() == of.len()) else { return };
    let is = |finding: &draft::Finding| finding.slug.as_ref().map(Id::as_str) == Some(STANDING);
    if !findings.iter().any(|(_, finding)| finding.slug.is_none() || is(finding)) {
        let code = FaultCode::InterpretationContradiction;
        finds.content(code, list.to_owned(), format!("the finding `{STANDING}` among them"), None);
    }
}

/// What this engine can notice has one of the effects that it can have.
fn effects(noticed: Option<&List<draft::Finding>>, list: &str, finds: &mut Finds) {
    for (number, finding) in noticed.into_iter().flat_map(List::iter) {
        let (Some(slug), Some(effect)) = (&finding.slug, finding.effect) else { continue };
        if let Some(meta) =
            findings::find(slug.as_str()).filter(|meta| !meta.effects.contains(&effect))
        {
            let words: Vec<_> = meta.effects.iter().map(|effect| effect.word()).collect();
            let expected = format!("`{}`, as `{slug}` has it", words.join("` or `"));
            let code = FaultCode::InterpretationContradiction;
            finds.content(code, format!("{list}/{number}/effect"), expected, None);
        }
    }
}

fn pair(answer: &draft::Answer) -> Option<IssuedPair> {
    let findings = answer.findings.as_ref()?;
    let findings: Option<Vec<_>> =
        findings.iter().map(|(_, of)| Some((of.slug.clone()?, of.effect?))).collect();
    Some(IssuedPair {
        donor: answer.donor.clone()?,
        product: answer.product?,
        verdict: answer.verdict?,
        findings: findings?,
        answer: answer.clone(),
    })
}

/// The verdict is the greatest effect, and what may be released follows from its word.
fn verdict(answer: &draft::Answer, at: &dyn Fn(&str) -> String, finds: &mut Finds) {
    let mut contradicts = |field: &str, expected: String| {
        finds.content(FaultCode::InterpretationContradiction, at(field), expected, None);
    };
    let Some(verdict) = answer.verdict else { return };
    // With an effect that could not be read, the greatest is not known; that is a fault already.
    let effects: Option<Vec<Effect>> = answer
        .findings
        .as_ref()
        .filter(|findings| findings.iter().count() == findings.len())
        .and_then(|findings| findings.iter().map(|(_, finding)| finding.effect).collect());
    match effects.map(|effects| effects.into_iter().max()) {
        None => {}
        // The engine always says at least what serology cannot tell.
        Some(None) => contradicts("findings", "at least one finding".to_owned()),
        Some(Some(greatest)) if Verdict::from(greatest) == verdict => {}
        Some(Some(greatest)) => contradicts(
            "verdict",
            format!("`{}`, the greatest effect of its findings", Verdict::from(greatest)),
        ),
    }
    let releasable = verdict.is_releasable();
    if answer.releasable.is_some_and(|written| written != releasable) {
        contradicts("releasable", format!("`{releasable}`, because it is {}", verdict.spoken()));
    }
    if !releasable && answer.valid_until.is_some_and(|until| until.instant().is_some()) {
        contradicts("valid_until", format!("`null`, because it is {}", verdict.spoken()));
    }
}
