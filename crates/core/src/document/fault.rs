use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

use schemars::JsonSchema;
use serde::Serialize;

use crate::words::word;

word! {
    /// What is wrong with a document, as a stable code word.
    FaultCode is "a fault code" {
        /// The document is over 64 MiB and was not read.
        DocumentTooLarge = "document-too-large",
        /// The document starts with a byte order mark.
        ByteOrderMark = "byte-order-mark",
        /// The bytes are not UTF-8.
        InvalidUtf8 = "invalid-utf8",
        /// The text is not JSON.
        NotJson = "not-json",
        /// `NaN`, `Infinity` or a number too large to hold.
        NotANumber = "not-a-number",
        /// A `\u` escape is half of a surrogate pair.
        LoneSurrogate = "lone-surrogate",
        /// There is text after the end of the document.
        TrailingText = "trailing-text",
        /// Values are nested more than 64 deep.
        NestingTooDeep = "nesting-too-deep",
        /// One object has the same key twice.
        DuplicateKey = "duplicate-key",
        /// `null` was written.
        NullValue = "null-value",
        /// The format has no field of this name here.
        UnknownField = "unknown-field",
        /// A required field is missing.
        MissingField = "missing-field",
        /// The value is of another type.
        WrongType = "wrong-type",
        /// The value is outside its range.
        OutOfRange = "out-of-range",
        /// The word is not one of those known here.
        UnknownWord = "unknown-word",
        /// A text that must not be empty is empty.
        EmptyText = "empty-text",
        /// Not a date of the calendar, `YYYY-MM-DD`.
        BadDate = "bad-date",
        /// Not a time with an offset, as RFC 3339 writes it.
        BadTime = "bad-time",
        /// The document is of another format, or of a version that is not known.
        UnknownFormat = "unknown-format",
        /// No protocol of this id and version is at hand.
        UnknownProtocol = "unknown-protocol",
        /// The protocol is not meant for the recipient's species.
        ProtocolSpecies = "protocol-species",
        /// The protocol does not have the method.
        ProtocolMethod = "protocol-method",
        /// A donor or sample names an animal that is not on the worksheet.
        UnknownAnimal = "unknown-animal",
        /// Two things of one kind have the same id.
        DuplicateId = "duplicate-id",
        /// A donor has the recipient's id.
        DonorIsRecipient = "donor-is-recipient",
        /// The test needs a donor, and none is named.
        DonorNeeded = "donor-needed",
        /// The test has no donor, and one is named.
        DonorNotAllowed = "donor-not-allowed",
        /// There is no donor.
        NoDonors = "no-donors",
        /// There are more than 24 donors.
        TooManyDonors = "too-many-donors",
        /// The protocol does not use the phase for the method.
        PhaseNotUsed = "phase-not-used",
        /// Hemolysis cannot be read with the method.
        HemolysisNotReadable = "hemolysis-not-readable",
        /// `dried` is for slides.
        DriedNotOnSlide = "dried-not-on-slide",
        /// A date of the last transfusion stands beside another answer than `yes`.
        TransfusionDateUnexplained = "transfusion-date-unexplained",
        /// A dilution without its parts of saline.
        SalinePartsNeeded = "saline-parts-needed",
        /// Parts of saline without a dilution.
        SalinePartsNotAllowed = "saline-parts-not-allowed",
        /// Check cells belong to the antiglobulin phase.
        CheckCellsNotAllowed = "check-cells-not-allowed",
        /// A saline control has no recheck.
        SalineControlRecheck = "saline-control-recheck",
        /// Something was seen on a mixture graded `0`.
        SeenOnGradeZero = "seen-on-grade-zero",
        /// A recheck without a first look at the same mixture and phase.
        RecheckWithoutFirstLook = "recheck-without-first-look",
        /// The blood group system does not have this result.
        ResultNotOfSystem = "result-not-of-system",
        /// A protocol names a source that it does not list.
        UnknownSource = "unknown-source",
        /// The values of a protocol contradict each other.
        ProtocolContradiction = "protocol-contradiction",
        /// The parts of an interpretation contradict each other.
        InterpretationContradiction = "interpretation-contradiction",
        /// So many faults that the rest is only counted.
        MoreFaults = "more-faults",
    }
}

/// One thing that is wrong with a document, with its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Fault {
    /// What is wrong, as a stable code word.
    pub code: FaultCode,
    /// JSON Pointer (RFC 6901) to the value; a missing field is pointed at where it should stand.
    /// Empty for the whole document.
    pub pointer: String,
    /// Line of the place, counted from 1.
    #[schemars(range(min = 1))]
    pub line: usize,
    /// Column of the place, counted from 1, in characters (Unicode scalar values), not bytes.
    #[schemars(range(min = 1))]
    pub column: usize,
    /// What was expected there.
    pub expected: String,
    /// What was found there, shortened if it is long.
    pub found: String,
    /// What may have been meant, or what to do.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(transform = super::not_null)]
    pub hint: Option<String>,
    /// Where the value stands, in bytes from the start of the document.
    #[serde(skip)]
    pub span: Range<usize>,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}: ", self.line, self.column, self.code)?;
        if !self.pointer.is_empty() {
            write!(f, "at {}: ", self.pointer)?;
        }
        write!(f, "expected {}, found {}", self.expected, self.found)?;
        self.hint.as_ref().map_or(Ok(()), |hint| write!(f, " ({hint})"))
    }
}

/// All faults of one document, in the order of their places. There is at least one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// More faults than this are only counted, so that memory stays bounded.
    pub const MOST: usize = 10_000;

    /// The faults, at least one.
    pub fn as_slice(&self) -> &[Fault] {
        &self.0
    }

    /// The faults within the part at `prefix`, with pointers from there, and those elsewhere as
    /// they are; none of the kind `but`. For a part that was put into a document in order to be
    /// checked, so that lines and columns mean nothing: they are 1.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocols, Worksheet, document::FaultCode};
    /// # let example = include_str!("../../../../examples/clean-run/worksheet.json");
    /// // Only the recipient was entered; it was put into a worksheet in order to be checked.
    /// # let document = example.replace("\"terrier mix\"", "7");
    /// let faults = Worksheet::from_json(document.as_bytes(), Protocols::shipped()).unwrap_err();
    /// assert_eq!(faults.as_slice()[0].pointer, "/recipient/breed");
    /// let of_recipient = faults.clone().of_part("/recipient", None).unwrap();
    /// assert_eq!(of_recipient.as_slice()[0].pointer, "/breed");
    /// assert_eq!(faults.of_part("/recipient", Some(FaultCode::WrongType)), None);
    /// ```
    pub fn of_part(self, prefix: &str, but: Option<FaultCode>) -> Option<Self> {
        let faults = self.0.into_iter().filter(|fault| Some(fault.code) != but);
        let faults: Vec<_> = faults
            .map(|mut fault| {
                let within = fault.pointer.strip_prefix(prefix);
                if let Some(within) = within.filter(|rest| rest.is_empty() || rest.starts_with('/'))
                {
                    fault.pointer = within.to_owned();
                }
                Fault { line: 1, column: 1, span: 0..0, ..fault }
            })
            .collect();
        (!faults.is_empty()).then_some(Self(faults))
    }

    pub(crate) fn one(fault: Fault) -> Self {
        Self(vec![fault])
    }

    /// A document that was refused without a fault. It stays refused.
    pub(crate) fn unexplained() -> Self {
        Self::one(Fault {
            code: FaultCode::NotJson,
            pointer: String::new(),
            line: 1,
            column: 1,
            expected: "a document that can be taken apart".to_owned(),
            found: "one that cannot, for a reason that was not recognized".to_owned(),
            hint: Some("please report this document as a mistake of crossread".to_owned()),
            span: 0..0,
        })
    }

    /// The one fault of a document whose grammar or bytes are at fault.
    pub(crate) fn of_text(text: &str, raw: Raw) -> Self {
        Self::placed(text, vec![raw])
    }

    /// Finds the line and column of each, and puts them in order.
    pub(crate) fn placed(text: &str, mut raw: Vec<Raw>) -> Self {
        raw.sort_by(|a, b| match a.span.start.cmp(&b.span.start) {
            Ordering::Equal => (&a.pointer, a.code).cmp(&(&b.pointer, b.code)),
            order @ (Ordering::Less | Ordering::Greater) => order,
        });
        raw.dedup();
        let mut places = Places { text, at: 0, line: 1, column: 1 };
        Self(
            raw.into_iter()
                .map(|raw| {
                    let (line, column) = places.of(raw.span.start);
                    Fault {
                        code: raw.code,
                        pointer: raw.pointer,
                        line,
                        column,
                        expected: raw.expected,
                        found: raw.found,
                        hint: raw.hint,
                        span: raw.span,
                    }
                })
                .collect(),
        )
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            fault.fmt(f)?;
        }
        Ok(())
    }
}

/// All faults of one document, as a document of its own: `crossread.fault/1`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(title = "crossread fault report", deny_unknown_fields)]
#[non_exhaustive]
pub struct FaultReport<'f> {
    /// Always `crossread.fault/1`.
    #[schemars(extend("const" = "crossread.fault/1"))]
    format: &'static str,
    /// The file or stream that the document came from, as it was named.
    input: &'f str,
    /// The line of a stream with one document a line, counted from 1. Lines and columns of the
    /// faults count within the document.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(transform = super::not_null, range(min = 1))]
    document: Option<u64>,
    /// All faults, at least one, in the order of their places.
    #[schemars(length(min = 1))]
    faults: &'f [Fault],
}

impl<'f> FaultReport<'f> {
    /// Reports the faults of `input`, of its document number `document` if it is a stream.
    ///
    /// ```
    /// # use crossread_core::{document::FaultReport, worksheet::draft::Sample};
    /// let faults = Sample::from_json(b"[]").unwrap_err();
    /// let report = serde_json::to_value(FaultReport::new("night.jsonl", Some(3), &faults))?;
    /// assert_eq!(report["format"], "crossread.fault/1");
    /// assert_eq!((&report["input"], &report["document"]), (&"night.jsonl".into(), &3.into()));
    /// assert_eq!(report["faults"][0]["code"], "wrong-type");
    /// # Ok::<_, serde_json::Error>(())
    /// ```
    pub fn new(input: &'f str, document: Option<u64>, faults: &'f Faults) -> Self {
        Self { format: "crossread.fault/1", input, document, faults: faults.as_slice() }
    }
}

/// A JSON Pointer, kept as numbers until it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Pointer {
    /// One reading.
    Reading(usize),
    /// The recipient.
    Recipient,
    /// A field of the recipient's history.
    RecipientHistory(&'static str),
    /// One typing result of the recipient.
    RecipientType(usize),
    /// One donor.
    Donor(usize),
    /// A field of a donor's history.
    DonorHistory(usize, &'static str),
    /// One typing result of a donor.
    DonorType(usize, usize),
    /// A field of a donor, such as its unit.
    DonorField(usize, &'static str),
    /// One sample.
    Sample(usize),
    /// A field of the setup.
    Setup(&'static str),
    /// One lot of the setup.
    Lot(usize),
    /// A reagent control.
    Control(&'static str),
    /// The protocol named by the worksheet.
    Protocol,
}

/// A piece of the text of a pointer.
#[derive(Clone, Copy, Debug)]
pub(super) enum Piece {
    Text(&'static str),
    Number(usize),
}

impl Pointer {
    /// The text of the pointer, in pieces.
    pub(super) fn pieces(self) -> [Piece; 4] {
        use Piece::{Number, Text};
        const NONE: Piece = Text("");
        match self {
            Self::Reading(reading) => [Text("/readings/"), Number(reading), NONE, NONE],
            Self::Recipient => [Text("/recipient"), NONE, NONE, NONE],
            Self::RecipientHistory(field) => [Text("/recipient/history/"), Text(field), NONE, NONE],
            Self::RecipientType(index) => [Text("/recipient/types/"), Number(index), NONE, NONE],
            Self::Donor(donor) => [Text("/donors/"), Number(donor), NONE, NONE],
            Self::DonorHistory(donor, field) => {
                [Text("/donors/"), Number(donor), Text("/history/"), Text(field)]
            }
            Self::DonorType(donor, index) => {
                [Text("/donors/"), Number(donor), Text("/types/"), Number(index)]
            }
            Self::DonorField(donor, field) => {
                [Text("/donors/"), Number(donor), Text("/"), Text(field)]
            }
            Self::Sample(sample) => [Text("/samples/"), Number(sample), NONE, NONE],
            Self::Setup(field) => [Text("/setup/"), Text(field), NONE, NONE],
            Self::Lot(lot) => [Text("/setup/lots/"), Number(lot), NONE, NONE],
            Self::Control(control) => [Text("/reagent_controls/"), Text(control), NONE, NONE],
            Self::Protocol => [Text("/protocol"), NONE, NONE, NONE],
        }
    }
}

impl fmt::Display for Pointer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.pieces().into_iter().try_for_each(|piece| match piece {
            Piece::Text(text) => f.write_str(text),
            Piece::Number(number) => write!(f, "{number}"),
        })
    }
}

impl Serialize for Pointer {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Pointer {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        std::borrow::Cow::Borrowed("Pointer")
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "format": "json-pointer",
            "description": "JSON Pointer (RFC 6901) into the worksheet."
        })
    }
}

/// A fault whose line and column are not yet known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Raw {
    pub(crate) code: FaultCode,
    pub(crate) pointer: String,
    pub(crate) span: Range<usize>,
    pub(crate) expected: String,
    pub(crate) found: String,
    pub(crate) hint: Option<String>,
}

/// Where faults are gathered; past [`Faults::MOST`] they are only counted.
#[derive(Debug, Default)]
pub(crate) struct Finds {
    pub(crate) raw: Vec<Raw>,
    pub(crate) more: usize,
    pointers: BTreeSet<String>,
}

impl Finds {
    pub(crate) fn add(&mut self, raw: Raw) {
        if self.raw.len() < Faults::MOST {
            self.pointers.insert(raw.pointer.clone());
            self.raw.push(raw);
        } else {
            self.more = self.more.saturating_add(1);
        }
    }

    /// Adds a fault found in the content; its place is looked up later.
    pub(crate) fn content(
        &mut self,
        code: FaultCode,
        pointer: String,
        expected: impl Into<String>,
        hint: Option<String>,
    ) {
        self.add(Raw {
            code,
            pointer,
            span: usize::MAX..usize::MAX,
            expected: expected.into(),
            found: String::new(),
            hint,
        });
    }

    /// Whether something is already known to be wrong at this very place.
    pub(crate) fn has(&self, pointer: &str) -> bool {
        self.pointers.contains(pointer)
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.raw.is_empty()
    }
}

/// Turns rising byte offsets into lines and columns in one pass over the text.
struct Places<'t> {
    text: &'t str,
    at: usize,
    line: usize,
    column: usize,
}

impl Places<'_> {
    fn of(&mut self, offset: usize) -> (usize, usize) {
        let between = self.text.get(self.at..offset).unwrap_or_default();
        for character in between.chars() {
            if character == '\n' {
                self.line = self.line.saturating_add(1);
                self.column = 1;
            } else {
                self.column = self.column.saturating_add(1);
            }
        }
        self.at = self.at.saturating_add(between.len());
        (self.line, self.column)
    }
}
