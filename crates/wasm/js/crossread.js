// What a program in JavaScript sees; the engine behind it is WebAssembly. Types: index.d.ts.

import * as engine from "./engine/crossread.js";

const UNNAMED = "<document>";

export class Faults extends Error {
  constructor(report) {
    const { faults } = JSON.parse(report);
    const said = faults.map(
      (fault) =>
        `${fault.line}:${fault.column}: ${fault.code}: expected ${fault.expected}, found ${fault.found}`,
    );
    super(said.join("\n"));
    this.name = "Faults";
    this.report = report;
    this.faults = faults;
  }
}

function bytes(document) {
  if (document instanceof Uint8Array) return document;
  if (typeof document !== "string") {
    throw new TypeError("a document is a string or a Uint8Array");
  }
  // Half a character would be turned into another one, unsaid.
  if (!document.isWellFormed()) throw new TypeError("a document has half a character in it");
  return new TextEncoder().encode(document);
}

/** Does the work; a text that is thrown is a report of faults. */
function told(work) {
  try {
    return work();
  } catch (thrown) {
    throw typeof thrown === "string" ? new Faults(thrown) : thrown;
  }
}

function lineOf(line) {
  if (line === undefined) return 0;
  if (!Number.isInteger(line) || line < 1 || line > 0xffff_ffff) {
    throw new RangeError("a line is a whole number from 1 to 4294967295");
  }
  return line;
}

export class Rules {
  #engine;

  constructor(...protocols) {
    this.#engine = new engine.Engine();
    protocols.forEach((document, number) => {
      told(() => this.#engine.add(bytes(document), `<protocol ${number + 1}>`));
    });
  }

  static of(rules) {
    if (rules === undefined) return (shipped ??= new Rules()).#engine;
    if (!(rules instanceof Rules)) throw new TypeError("rules are of the class Rules");
    return rules.#engine;
  }
}

let shipped;

export function interpret(document, { rules, source = UNNAMED, line, indent = false } = {}) {
  const given = bytes(document);
  return told(() => Rules.of(rules).interpret(given, source, lineOf(line), indent));
}

export function interpretMany(worksheets, { rules, source = UNNAMED, lines } = {}) {
  if (lines !== undefined && lines.length !== worksheets.length) {
    throw new RangeError("there are not as many lines as worksheets");
  }
  return Array.from(worksheets, (document, place) => {
    if (document === null || document === undefined) return null;
    try {
      return interpret(document, { rules, source, line: lines?.[place] });
    } catch (thrown) {
      if (thrown instanceof Faults) return thrown.report;
      throw thrown;
    }
  });
}

export function check(document, { rules, kind, source = UNNAMED, indent = false } = {}) {
  const given = bytes(document);
  return told(() => Rules.of(rules).check(given, kind, source, indent));
}

export function compare(old, now) {
  return engine.compare(bytes(old), bytes(now)) ?? null;
}

export function explain(word) {
  return JSON.parse(engine.explain(word));
}

export function schema(name) {
  const text = engine.schema(name);
  if (text === undefined) throw new RangeError(`no schema is called ${name}`);
  return text;
}

export function version() {
  return engine.version();
}
