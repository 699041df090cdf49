//! An interpretation as it is written in a document, not yet checked against itself: for reading
//! back what this engine, or an earlier one, has issued.
//!
//! ```standalone_crate
//! use crossread_core::interpretation::Issued;
//!
//! # let document = include_bytes!("../../../../examples/clean-run/interpretation.json");
//! let issued = Issued::from_json(document)?;
//! let whole = issued.document();
//! assert_eq!(whole.recipient.as_ref().map(|id| id.as_str()), Some("R-3101"));
//! # Ok::<_, crossread_core::document::Faults>(())
//! ```

use crate::document::{Digest, Id, List, Text, UtcOrNull, Whole, document};
use crate::run::Cause;
use crate::words::{
    Conclusion, Effect, Grade, Hemolysis, Method, Phase, Product, State, Summary, Test, Verdict,
};

use super::Untested;

document! {
    /// What a crossmatch came to.
    Interpretation {
        required {
            /// Always `crossread.interpretation/1`.
            format: Text,
            /// The version of the engine.
            engine: Id,
            /// The worksheet.
            worksheet: OfWorksheet,
            /// The local rules.
            protocol: OfProtocol,
            /// The recipient's id.
            recipient: Id,
            /// Tube, slide or gel column.
            method: Method,
            /// One answer a donor.
            pairs: List<Answer>,
            /// What was noticed of all donors together.
            panel: List<Finding>,
            /// The donors' ids for comparison.
            order: List<Id>,
        }
        optional {}
    }
}

document! {
    /// The worksheet that was interpreted.
    OfWorksheet {
        required {
            /// Its id.
            id: Id,
            /// The hash of its document.
            sha256: Digest,
        }
        optional {}
    }
}

document! {
    /// The protocol by which a worksheet was interpreted.
    OfProtocol {
        required {
            /// Its id.
            id: Id,
            /// Its version.
            version: Id,
            /// The hash of its document.
            sha256: Digest,
        }
        optional {}
    }
}

document! {
    /// The answer for one donor.
    Answer {
        required {
            /// The donor's id.
            donor: Id,
            /// What would be given.
            product: Product,
            /// The answer.
            verdict: Verdict,
            /// Whether the verdict allows a release at all.
            releasable: bool,
            /// Until when a release may rest on these samples, in UTC, or null.
            valid_until: UtcOrNull,
            /// The answer in a sentence or two.
            headline: Text,
            /// Recipient plasma with donor cells.
            major: ConcludedTest,
            /// Donor plasma with recipient cells.
            minor: ConcludedTest,
            /// Recipient plasma with recipient cells.
            recipient_auto: SummedTest,
            /// Donor plasma with donor cells.
            donor_auto: SummedTest,
            /// The numbers of the patterns, 0 to 15, that agree with what is known.
            rows: List<Whole<0, 15>>,
            /// The simplest explanations of those patterns.
            explanations: List<List<Cause>>,
            /// The tests and phases that were not read, and `hemolysis` if nobody looked for it.
            not_tested: List<Untested>,
            /// What each mixture at each phase came to.
            readings_of_record: List<OfRecord>,
            /// Everything that was noticed.
            findings: List<Finding>,
            /// What to do, the most pressing first.
            next_steps: List<Text>,
        }
        optional {}
    }
}

document! {
    /// A major or minor, with its conclusion.
    ConcludedTest {
        required {
            /// What it came to beside its controls.
            conclusion: Conclusion,
            /// What it came to over its deciding phases.
            summary: Summary,
        }
        optional {
            /// The greatest grade of record.
            strongest: Grade,
            /// The first deciding phase that has this grade.
            phase: Phase,
            /// The greatest hemolysis over the deciding phases, 0 to 4.
            hemolysis: Hemolysis,
        }
    }
}

document! {
    /// An autocontrol.
    SummedTest {
        required {
            /// What it came to over its deciding phases.
            summary: Summary,
        }
        optional {
            /// The greatest grade of record.
            strongest: Grade,
            /// The first deciding phase that has this grade.
            phase: Phase,
            /// The greatest hemolysis over the deciding phases, 0 to 4.
            hemolysis: Hemolysis,
        }
    }
}

document! {
    /// What one mixture at one phase came to.
    OfRecord {
        required {
            /// Which mixture.
            test: Test,
            /// At which step.
            phase: Phase,
            /// What it came to.
            state: State,
            /// The readings that it comes from, as JSON Pointers into the worksheet.
            from: List<Text>,
        }
        optional {
            /// The grade of record.
            grade: Grade,
            /// The greatest hemolysis that was written, 0 to 4.
            hemolysis: Hemolysis,
        }
    }
}

document! {
    /// One thing that was noticed. Its name may be one that this engine does not know.
    Finding {
        required {
            /// Its name, stable over versions.
            slug: Id,
            /// What it does to the verdict.
            effect: Effect,
            /// What was noticed.
            title: Text,
            /// What it means.
            text: Text,
            /// What to do.
            next_step: Text,
            /// What of the worksheet shows it, as JSON Pointers.
            rests_on: List<Text>,
            /// Published sources, or "common practice".
            sources: List<Text>,
        }
        optional {}
    }
}
