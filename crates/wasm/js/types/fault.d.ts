// Made from schemas/fault.json by `cargo regenerate`.
// A value that you do not know means: do not release.

/** All faults of one document, as a document of its own: `crossread.fault/1`. */
export interface FaultReport {
  /** The line of a stream with one document a line, counted from 1. Lines and columns of the
   * faults count within the document. */
  readonly document?: number;
  /** All faults, at least one, in the order of their places. */
  readonly faults: ReadonlyArray<Fault>;
  /** Always `crossread.fault/1`. */
  readonly format: "crossread.fault/1";
  /** The file or stream that the document came from, as it was named. */
  readonly input: string;
}

/** One thing that is wrong with a document, with its place. */
export interface Fault {
  /** What is wrong, as a stable code word. */
  readonly code: FaultCode;
  /** Column of the place, counted from 1, in characters (Unicode scalar values), not bytes. */
  readonly column: number;
  /** What was expected there. */
  readonly expected: string;
  /** What was found there, shortened if it is long. */
  readonly found: string;
  /** What may have been meant, or what to do. */
  readonly hint?: string;
  /** Line of the place, counted from 1. */
  readonly line: number;
  /** JSON Pointer (RFC 6901) to the value; a missing field is pointed at where it should stand.
   * Empty for the whole document. */
  readonly pointer: string;
}

/** What is wrong with a document, as a stable code word. */
export type FaultCode =
  /** The document is over 64 MiB and was not read. */
  | "document-too-large"
  /** The document starts with a byte order mark. */
  | "byte-order-mark"
  /** The bytes are not UTF-8. */
  | "invalid-utf8"
  /** The text is not JSON. */
  | "not-json"
  /** `NaN`, `Infinity` or a number too large to hold. */
  | "not-a-number"
  /** A `\u` escape is half of a surrogate pair. */
  | "lone-surrogate"
  /** There is text after the end of the document. */
  | "trailing-text"
  /** Values are nested more than 64 deep. */
  | "nesting-too-deep"
  /** One object has the same key twice. */
  | "duplicate-key"
  /** `null` was written. */
  | "null-value"
  /** The format has no field of this name here. */
  | "unknown-field"
  /** A required field is missing. */
  | "missing-field"
  /** The value is of another type. */
  | "wrong-type"
  /** The value is outside its range. */
  | "out-of-range"
  /** The word is not one of those known here. */
  | "unknown-word"
  /** A text that must not be empty is empty. */
  | "empty-text"
  /** Not a date of the calendar, `YYYY-MM-DD`. */
  | "bad-date"
  /** Not a time with an offset, as RFC 3339 writes it. */
  | "bad-time"
  /** The document is of another format, or of a version that is not known. */
  | "unknown-format"
  /** No protocol of this id and version is at hand. */
  | "unknown-protocol"
  /** The protocol is not meant for the recipient's species. */
  | "protocol-species"
  /** The protocol does not have the method. */
  | "protocol-method"
  /** A donor or sample names an animal that is not on the worksheet. */
  | "unknown-animal"
  /** Two things of one kind have the same id. */
  | "duplicate-id"
  /** A donor has the recipient's id. */
  | "donor-is-recipient"
  /** The test needs a donor, and none is named. */
  | "donor-needed"
  /** The test has no donor, and one is named. */
  | "donor-not-allowed"
  /** There is no donor. */
  | "no-donors"
  /** There are more than 24 donors. */
  | "too-many-donors"
  /** The protocol does not use the phase for the method. */
  | "phase-not-used"
  /** Hemolysis cannot be read with the method. */
  | "hemolysis-not-readable"
  /** `dried` is for slides. */
  | "dried-not-on-slide"
  /** A date of the last transfusion stands beside another answer than `yes`. */
  | "transfusion-date-unexplained"
  /** A dilution without its parts of saline. */
  | "saline-parts-needed"
  /** Parts of saline without a dilution. */
  | "saline-parts-not-allowed"
  /** Check cells belong to the antiglobulin phase. */
  | "check-cells-not-allowed"
  /** A saline control has no recheck. */
  | "saline-control-recheck"
  /** Something was seen on a mixture graded `0`. */
  | "seen-on-grade-zero"
  /** A recheck without a first look at the same mixture and phase. */
  | "recheck-without-first-look"
  /** The blood group system does not have this result. */
  | "result-not-of-system"
  /** A protocol names a source that it does not list. */
  | "unknown-source"
  /** The values of a protocol contradict each other. */
  | "protocol-contradiction"
  /** The parts of an interpretation contradict each other. */
  | "interpretation-contradiction"
  /** So many faults that the rest is only counted. */
  | "more-faults";
