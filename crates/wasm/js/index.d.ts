// Checks and interprets veterinary crossmatches: text in, text out.
//
// A document is JSON as a string or as bytes of UTF-8; an answer is JSON as a string, the very text
// that the command `crossread` prints for the same document, without the line end.
//
// A value that you do not know means: do not release.

import type { Fault, FaultReport } from "./types/fault.js";
import type { Interpretation } from "./types/interpretation.js";
import type { Protocol } from "./types/protocol.js";
import type { Worksheet } from "./types/worksheet.js";

export type { Fault, FaultReport, Interpretation, Protocol, Worksheet };
export type { Answer, Effect, Finding, Verdict } from "./types/interpretation.js";

/** A document: JSON, as text or as bytes of UTF-8. */
export type Document = string | Uint8Array;

/** A document was refused; nothing was found out, and no unit is free by it. */
export class Faults extends Error {
  private constructor(report: string);
  /** All faults: a document of the format `crossread.fault/1`, a `FaultReport`. */
  readonly report: string;
  /** All faults, each with its place. */
  readonly faults: ReadonlyArray<Fault>;
}

/** The protocols that ship, and local ones besides; made once, used by many calls. */
export class Rules {
  /**
   * Each is a document of the format `crossread.protocol/1`; one with the same id and version as
   * another takes its place.
   *
   * @throws {Faults} if one is at fault.
   */
  constructor(...protocols: ReadonlyArray<Document>);
}

export interface Place {
  /** The name of the document in its faults; `<document>` if it has none. */
  readonly source?: string;
}

/**
 * What a worksheet comes to: an `Interpretation` as text.
 *
 * @throws {Faults} if it is at fault. Whatever else is thrown is no answer either.
 */
export function interpret(
  document: Document,
  options?: Place & {
    /** The protocols that it may name; those that ship, if left out. */
    readonly rules?: Rules;
    /** Its line in a stream, from 1. */
    readonly line?: number;
    /** On many lines, as the command's `--format json`. */
    readonly indent?: boolean;
  },
): string;

/**
 * The answer to each worksheet, in order. The answer to one at fault is its `FaultReport`, in which
 * no word `releasable` is; to `null` it is `null`. Neither frees a unit.
 */
export function interpretMany(
  worksheets: ReadonlyArray<Document | null | undefined>,
  options?: Place & { readonly rules?: Rules; readonly lines?: ReadonlyArray<number> },
): Array<string | null>;

/**
 * What a document is, in a few words; without `kind` what it is by itself.
 *
 * @throws {Faults} if it is at fault.
 */
export function check(
  document: Document,
  options?: Place & {
    readonly rules?: Rules;
    readonly kind?: "worksheet" | "protocol" | "interpretation";
    readonly indent?: boolean;
  },
): string;

/**
 * How two interpretations of one worksheet differ, as JSON; `null` if they say the same.
 *
 * @throws {Error} if one is no interpretation, or they are of two worksheets.
 */
export function compare(old: Document, now: Document): string | null;

/** One meaning of a word. */
export interface Meaning {
  readonly kind: "finding" | "word" | "fault" | "rule";
  readonly [field: string]: string | ReadonlyArray<string>;
}

/**
 * All meanings of a finding, a fault, a key of a protocol or a word of the trade.
 *
 * @throws {Error} if it has none, with what may have been meant.
 */
export function explain(word: string): Array<Meaning>;

/** The JSON Schema of a document. */
export function schema(name: "worksheet" | "interpretation" | "protocol" | "fault"): string;

/** The version of the engine. */
export function version(): string;
