// Compiled, not run: what the types promise, and what they must refuse.

import {
  type Interpretation,
  type Verdict,
  type Worksheet,
  Faults,
  Rules,
  interpret,
  interpretMany,
} from "../js/index.js";
import type { Protocol } from "../js/types/protocol.js";

const worksheet: Worksheet = {
  format: "crossread.worksheet/1",
  id: "WS-0001",
  protocol: { id: "dog-routine", version: "1.0.0" },
  method: "tube",
  recipient: { id: "R-3101", species: "dog" },
  donors: [{ id: "D-081", species: "dog", product: "packed_cells" }],
  samples: [],
  readings: [],
};
const text: string = interpret(JSON.stringify(worksheet), { rules: new Rules(), line: 1 });
const answer = JSON.parse(text) as Interpretation;
const many: Array<string | null> = interpretMany([text, null]);

/** Breaks when there is a new verdict, which then must be thought about. */
function may(verdict: Verdict): boolean {
  switch (verdict) {
    case "compatible":
    case "compatible_with_caveats":
      return true;
    case "incomplete":
    case "indeterminate":
    case "invalid":
    case "incompatible":
      return false;
    default: {
      const unknown: never = verdict;
      return unknown;
    }
  }
}

export const freed: boolean = answer.pairs.every((pair) => pair.releasable && may(pair.verdict));
export const count: number = many.length;
export const rule = (protocol: Protocol): string => protocol.reactive_from.note;

try {
  interpret(new Uint8Array());
} catch (why) {
  if (why instanceof Faults) console.error(why.faults.map((fault) => fault.pointer));
}

// @ts-expect-error a verdict is no text of one's own
export const wrong: Verdict = "fine";
// @ts-expect-error a document is text or bytes
interpret({});
// @ts-expect-error a method is one of three
export const method: Worksheet["method"] = "plate";
// @ts-expect-error an answer is not to be changed
answer.pairs[0].releasable = true;
