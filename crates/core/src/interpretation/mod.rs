//! The answer: for each donor a verdict with its reasons, and the donors in order.
//!
//! ```standalone_crate
//! use crossread_core::{Protocols, Worksheet, interpret};
//!
//! # let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
//! # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
//! # let named = worksheet.protocol();
//! # let protocol = Protocols::shipped().get(&named.id, &named.version).ok_or("no such protocol")?;
//! // Three donors for one dog; the second one's cells reacted 3+.
//! let answer = interpret(&worksheet, protocol);
//! let verdicts: Vec<_> = answer.pairs.iter().map(|pair| pair.verdict.word()).collect();
//! assert_eq!(verdicts, ["compatible", "incompatible", "compatible"]);
//! assert_eq!(answer.pairs[1].findings[0].slug, "major-reactive");
//! assert!(answer.pairs[1].headline.starts_with("Do not give."));
//! let order: Vec<_> = answer.order.iter().map(|id| id.as_str()).collect();
//! assert_eq!(order, ["D-071", "D-073", "D-072"]);
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod comparison;
pub mod draft;
mod headline;
mod issued;
mod next_steps;
mod order;

pub use comparison::{Comparison, FindingChange, PairChange};
pub use issued::{Issued, IssuedPair};

use jiff::Timestamp;
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::{Digest, Id, Line as _, Pointer, on_one_line};
use crate::findings::{self, Finding, Pair, Panel};
use crate::protocol::{MethodRules, Protocol};
use crate::run::{Cause, Concluded, Rows, Run, Summed};
use crate::words::{
    Conclusion, Effect, Grade, Method, Phase, Product, State, Summary, Test, Verdict, word,
};
use crate::worksheet::Worksheet;

/// The format of an interpretation document.
pub const FORMAT: &str = "crossread.interpretation/1";

/// The version of the engine, stamped on every interpretation.
pub const ENGINE: &str = env!("CARGO_PKG_VERSION");

/// Interprets a checked worksheet.
///
/// This never fails, and the same worksheet, protocol and engine give the same bytes every time.
/// `protocol` is the one that the worksheet was checked against; under any other, every donor gets
/// the finding `protocol-differs`, which is invalid, because phases and tests were checked against
/// rules that do not hold here.
///
/// ```standalone_crate
/// # use crossread_core::{interpret, protocol::Protocols, worksheet::Worksheet};
/// # let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// # let protocols = Protocols::shipped();
/// let worksheet = Worksheet::from_json(document, protocols)?;
/// let named = worksheet.protocol();
/// let protocol = protocols.get(&named.id, &named.version).ok_or("no such protocol")?;
/// let interpretation = interpret(&worksheet, protocol);
/// assert!(interpretation.pairs[0].releasable);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn interpret(worksheet: &Worksheet, protocol: &Protocol) -> Interpretation {
    let protocol_differs = worksheet.protocol().digest != protocol.digest();
    let of_method = protocol.method(worksheet.method()).unwrap_or(MethodRules::NONE);
    let run = Run::of(worksheet, &protocol.rules, of_method);
    let pairs: Vec<_> = worksheet
        .donors()
        .iter()
        .enumerate()
        .map(|(number, donor)| Pair::of(&run, number, donor, protocol_differs))
        .collect();
    let answers: Vec<_> = pairs.iter().map(answer).collect();
    let panel = Panel::of(&pairs).map(|panel| findings::of_panel(&panel)).unwrap_or_default();
    let order = order::order(&pairs, &answers);
    Interpretation {
        format: FORMAT,
        engine: ENGINE,
        worksheet: OfWorksheet { id: worksheet.id().clone(), sha256: worksheet.digest() },
        protocol: OfProtocol {
            id: protocol.id().clone(),
            version: protocol.version().clone(),
            sha256: protocol.digest(),
        },
        recipient: worksheet.recipient().animal.id.clone(),
        method: worksheet.method(),
        pairs: answers,
        panel,
        order,
    }
}

on_one_line! {
    /// What a crossmatch came to.
    ///
    /// **A value you do not know means: do not release.** A verdict, effect or field that is added
    /// later is never one that frees a unit.
    #[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct Interpretation {
        /// Always `crossread.interpretation/1`.
        #[schemars(extend("const" = "crossread.interpretation/1"))]
        pub format: &'static str,
        /// The version of the engine.
        pub engine: &'static str,
        /// The worksheet.
        pub worksheet: OfWorksheet,
        /// The local rules.
        pub protocol: OfProtocol,
        /// The recipient's id.
        pub recipient: Id,
        /// Tube, slide or gel column.
        pub method: Method,
        /// One answer a donor, in the order of the worksheet.
        pub pairs: Vec<Answer>,
        /// What was noticed of all donors together.
        pub panel: Vec<Finding>,
        /// The donors' ids for comparison, never called a ranking of risk: by verdict, then least
        /// reactive first. None that must not be released stands above one that may.
        pub order: Vec<Id>,
    }
}

impl Interpretation {
    /// Writes the document on one line behind what is in `out`, without a line end: the bytes of
    /// `serde_json::to_writer`, in about a quarter of the time.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocols, embed::judge};
    /// # let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
    /// let judged = judge(document, Protocols::shipped())?.map_err(|faults| faults.to_string())?;
    /// let mut out = Vec::new();
    /// judged.interpretation.write_line(&mut out)?;
    /// assert_eq!(out, serde_json::to_vec(&judged.interpretation)?);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// Those of `serde_json`, of which none is known.
    pub fn write_line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        /// Most answers take less for each donor, in bytes.
        const ROOM: usize = 8 * 1024;
        out.reserve(ROOM.saturating_mul(self.pairs.len()));
        self.line(out)
    }
}

on_one_line! {
    /// The worksheet that was interpreted.
    #[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct OfWorksheet {
        /// Its id.
        pub id: Id,
        /// The hash of its document.
        pub sha256: Digest,
    }
}

on_one_line! {
    /// The protocol by which a worksheet was interpreted.
    #[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct OfProtocol {
        /// Its id.
        pub id: Id,
        /// Its version.
        pub version: Id,
        /// The hash of its document.
        pub sha256: Digest,
    }
}

on_one_line! {
    /// The answer for one donor.
    #[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct Answer {
        /// The donor's id.
        pub donor: Id,
        /// What would be given.
        pub product: Product,
        /// The answer: the greatest effect among the findings.
        pub verdict: Verdict,
        /// Whether the verdict allows a release at all. Only `compatible` and
        /// `compatible_with_caveats` do.
        pub releasable: bool,
        /// Until when a release may rest on these samples, in UTC; null if the verdict allows none, or
        /// nobody wrote when the samples were drawn.
        #[schemars(with = "crate::document::UtcOrNull")]
        pub valid_until: Option<Timestamp>,
        /// The answer in a sentence or two.
        pub headline: String,
        /// Recipient plasma with donor cells.
        pub major: ConcludedTest,
        /// Donor plasma with recipient cells.
        pub minor: ConcludedTest,
        /// Recipient plasma with recipient cells.
        pub recipient_auto: SummedTest,
        /// Donor plasma with donor cells.
        pub donor_auto: SummedTest,
        /// The numbers of the patterns, 0 to 15, that agree with what is known.
        pub rows: Vec<u8>,
        /// The simplest explanations of those patterns: of each alternative, the causes together.
        pub explanations: Vec<&'static [Cause]>,
        /// The tests and phases that were not read, and `hemolysis` if nobody looked for it.
        pub not_tested: Vec<Untested>,
        /// What each mixture at each phase came to.
        pub readings_of_record: Vec<OfRecord>,
        /// Everything that was noticed, the greatest effect first, then by slug.
        pub findings: Vec<Finding>,
        /// What to do, the most pressing first.
        pub next_steps: Vec<&'static str>,
    }
}

on_one_line! {
    /// A major or minor, with its conclusion.
    #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct ConcludedTest {
        /// What it came to beside its controls.
        pub conclusion: Conclusion,
        /// What it came to over its deciding phases.
        pub summary: Summary,
        /// The greatest grade of record.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null)]
        pub strongest: Option<Grade>,
        /// The first deciding phase that has this grade.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null)]
        pub phase: Option<Phase>,
        /// The greatest hemolysis over the deciding phases, 0 to 4.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null, range(max = 4))]
        pub hemolysis: Option<u32>,
    }
}

on_one_line! {
    /// An autocontrol.
    #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct SummedTest {
        /// What it came to over its deciding phases.
        pub summary: Summary,
        /// The greatest grade of record.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null)]
        pub strongest: Option<Grade>,
        /// The first deciding phase that has this grade.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null)]
        pub phase: Option<Phase>,
        /// The greatest hemolysis over the deciding phases, 0 to 4.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null, range(max = 4))]
        pub hemolysis: Option<u32>,
    }
}

on_one_line! {
    /// What one mixture at one phase came to.
    #[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct OfRecord {
        /// Which mixture.
        pub test: Test,
        /// At which step.
        pub phase: Phase,
        /// The grade of record; left out if no look gave one.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null)]
        pub grade: Option<Grade>,
        /// The greatest hemolysis that was written, 0 to 4; left out if nobody looked.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(transform = crate::document::not_null, range(max = 4))]
        pub hemolysis: Option<u32>,
        /// What it came to.
        pub state: State,
        /// The readings that it comes from.
        pub from: Vec<Pointer>,
    }
}

word! {
    /// Something that was not tested.
    Untested is "something not tested" {
        /// Recipient plasma with donor cells.
        Major = "major",
        /// Donor plasma with recipient cells.
        Minor = "minor",
        /// Recipient plasma with recipient cells.
        RecipientAuto = "recipient_auto",
        /// Donor plasma with donor cells.
        DonorAuto = "donor_auto",
        /// The phase at room temperature.
        Room = "room",
        /// The phase at 37 °C.
        Warm37c = "warm_37c",
        /// The antiglobulin phase.
        Antiglobulin = "antiglobulin",
        /// The phase at 4 °C.
        Cold4c = "cold_4c",
        /// Hemolysis.
        Hemolysis = "hemolysis",
    }
}

impl Untested {
    /// The name in a sentence.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::Minor => "minor",
            Self::RecipientAuto => "recipient autocontrol",
            Self::DonorAuto => "donor autocontrol",
            Self::Room => "room temperature",
            Self::Warm37c => "37 °C",
            Self::Antiglobulin => "antiglobulin",
            Self::Cold4c => "4 °C",
            Self::Hemolysis => "hemolysis",
        }
    }
}

fn answer(pair: &Pair<'_>) -> Answer {
    let findings = findings::of_pair(pair);
    let greatest = findings.iter().map(|finding| finding.effect).max();
    let verdict = Verdict::from(greatest.unwrap_or(Effect::Note));
    let rows = Rows::of(pair.four());
    Answer {
        donor: pair.donor().animal.id.clone(),
        product: pair.product(),
        verdict,
        releasable: verdict.is_releasable(),
        valid_until: verdict.is_releasable().then(|| valid_until(pair)).flatten(),
        headline: headline::headline(pair, verdict, &findings),
        major: concluded(pair.major, pair.summed(Test::Major)),
        minor: concluded(pair.minor, pair.summed(Test::Minor)),
        recipient_auto: summed(pair.summed(Test::RecipientAuto)),
        donor_auto: summed(pair.summed(Test::DonorAuto)),
        rows: rows.numbers().collect(),
        explanations: rows.explanations(),
        not_tested: not_tested(pair),
        readings_of_record: readings_of_record(pair),
        next_steps: next_steps::next_steps(pair, verdict, &findings),
        findings,
    }
}

/// The earliest moment at which one of the deciding plasma samples gets too old.
fn valid_until(pair: &Pair<'_>) -> Option<Timestamp> {
    pair.deciding_plasma().filter_map(|(_, sample)| pair.usable_until(sample)).min()
}

fn concluded(concluded: Concluded, summed: Summed) -> ConcludedTest {
    ConcludedTest {
        conclusion: concluded.conclusion,
        summary: summed.summary,
        strongest: summed.strongest.map(|(grade, _)| grade),
        phase: summed.strongest.map(|(_, phase)| phase),
        hemolysis: summed.hemolysis,
    }
}

fn summed(summed: Summed) -> SummedTest {
    SummedTest {
        summary: summed.summary,
        strongest: summed.strongest.map(|(grade, _)| grade),
        phase: summed.strongest.map(|(_, phase)| phase),
        hemolysis: summed.hemolysis,
    }
}

fn not_tested(pair: &Pair<'_>) -> Vec<Untested> {
    let tests = [
        (Test::Major, Untested::Major),
        (Test::Minor, Untested::Minor),
        (Test::RecipientAuto, Untested::RecipientAuto),
        (Test::DonorAuto, Untested::DonorAuto),
    ];
    let mut missing: Vec<_> = tests
        .into_iter()
        .filter(|(test, _)| pair.summed(*test).summary == Summary::NotRead)
        .map(|(_, untested)| untested)
        .collect();
    for phase in pair.run.deciding_phases() {
        // A look that gave no grade did not test anything.
        let read = |test| pair.outcome(test, phase).first.is_some();
        if !pair.deciding_tests().any(read) {
            missing.push(match phase {
                Phase::Room => Untested::Room,
                Phase::Warm37c => Untested::Warm37c,
                Phase::Antiglobulin => Untested::Antiglobulin,
                Phase::Cold4c => Untested::Cold4c,
            });
        }
    }
    if pair.deciding_tests().all(|test| pair.summed(test).hemolysis.is_none()) {
        missing.push(Untested::Hemolysis);
    }
    missing
}

fn readings_of_record(pair: &Pair<'_>) -> Vec<OfRecord> {
    let mut all = Vec::with_capacity(12);
    for test in Test::ALL {
        for phase in pair.run.phases() {
            let outcome = pair.outcome(*test, phase);
            if outcome.state != State::Absent {
                all.push(OfRecord {
                    test: *test,
                    phase,
                    grade: outcome.record,
                    hemolysis: outcome.hemolysis,
                    state: outcome.state,
                    from: pair.readings(*test, phase).map(|(at, _)| at).collect(),
                });
            }
        }
    }
    all
}
