// What a program in JavaScript may rely on.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { createReadStream, existsSync, readFileSync, readdirSync } from "node:fs";
import test from "node:test";
import { fileURLToPath } from "node:url";

import { frees } from "../examples/gate.mjs";
import * as crossread from "../js/node.js";

const PROJECT = new URL("../../../", import.meta.url);
const { Faults, Rules, check, compare, explain, interpret, interpretMany, schema } = crossread;

function read(path) {
  return readFileSync(new URL(path, PROJECT), "utf8");
}

const cases = readdirSync(new URL("examples/", PROJECT))
  .filter((name) => existsSync(new URL(`examples/${name}/interpretation.json`, PROJECT)))
  .map((name) => ({
    name,
    worksheet: read(`examples/${name}/worksheet.json`),
    answer: read(`examples/${name}/interpretation.json`),
  }));
const clean = cases.find(({ name }) => name === "clean-run");
const dog = read("crates/core/protocols/dog-routine.json");

function refused(work) {
  let thrown;
  assert.throws(work, (why) => (thrown = why) instanceof Faults);
  return thrown;
}

test("every worked case has the committed answer", () => {
  assert.ok(cases.length >= 40);
  for (const { name, worksheet, answer } of cases) {
    assert.equal(`${interpret(worksheet, { indent: true })}\n`, answer, name);
    const line = interpret(new TextEncoder().encode(worksheet));
    assert.ok(!line.includes("\n"));
    assert.deepEqual(JSON.parse(line), JSON.parse(answer));
  }
});

test("faults are thrown all at once with their places", () => {
  const found = refused(() =>
    interpret('{"format": "crossread.worksheet/1", "id": 7}', { source: "night", line: 3 }),
  );
  const report = JSON.parse(found.report);
  assert.deepEqual([report.format, report.input, report.document], ["crossread.fault/1", "night", 3]);
  assert.deepEqual(found.faults, report.faults);
  assert.ok(found.faults.length > 3);
  assert.ok(found.faults.some((fault) => fault.pointer === "/id" && fault.column === 43));
  assert.match(found.message, /^1:43: /m);
});

test("what is no worksheet is refused", () => {
  const bad = ["", "{}", "[]", "null", "\0", new Uint8Array(), new Uint8Array([255, 254])];
  for (const document of [...bad, "7".repeat(100_000), "[".repeat(100_000)]) {
    refused(() => interpret(document));
  }
  const { faults } = refused(() => interpret(new Uint8Array(64 * 1024 * 1024 + 1).fill(32)));
  assert.deepEqual(faults.map(({ code }) => code), ["document-too-large"]);
});

test("what is no text is misuse", () => {
  for (const document of [undefined, null, 7, {}, ["{}"], new ArrayBuffer(2)]) {
    assert.throws(() => interpret(document), TypeError);
  }
  assert.throws(() => interpret('{"id": "\ud800"}'), TypeError);
  assert.throws(() => interpret(clean.worksheet, { rules: {} }), TypeError);
  for (const line of [0, -1, 1.5, NaN, 2 ** 32, "7"]) {
    assert.throws(() => interpret(clean.worksheet, { line }), RangeError);
  }
});

test("check tells what a document is", () => {
  assert.match(check(clean.worksheet), /^worksheet /);
  assert.match(check(clean.answer), /^interpretation of worksheet /);
  assert.match(check(dog), /^protocol dog-routine /);
  refused(() => check(dog, { kind: "worksheet" }));
  assert.throws(() => check(dog, { kind: "tax return" }), /kind is/);
});

test("local rules are used by those who have them", () => {
  const local = dog.replace('"version": "1.0.0"', '"version": "local"');
  const worksheet = clean.worksheet.replace('"version": "1.0.0"', '"version": "local"');
  const answer = JSON.parse(interpret(worksheet, { rules: new Rules(local) }));
  assert.equal(answer.protocol.version, "local");
  refused(() => interpret(worksheet));
  refused(() => interpret(worksheet, { rules: new Rules() }));
  const found = refused(() => new Rules(dog, "{}"));
  assert.equal(JSON.parse(found.report).input, "<protocol 2>");
});

test("many are answered in order, and nothing frees nobody", () => {
  const sheets = cases.map(({ worksheet }) => worksheet);
  const [first, none, faulty, ...rest] = interpretMany([sheets[0], null, "{}", ...sheets]);
  assert.equal(first, interpret(sheets[0]));
  assert.equal(none, null);
  assert.equal(JSON.parse(faulty).format, "crossread.fault/1");
  assert.ok(!faulty.includes("releasable"));
  assert.deepEqual(rest, sheets.map((sheet) => interpret(sheet)));
  assert.throws(() => interpretMany(["{}", "{}"], { lines: [7] }), RangeError);
});

test("two answers are compared and findings named", () => {
  const rules = JSON.parse(dog);
  rules.version = "stricter";
  for (const exposure of ["exposed", "naive"]) {
    rules.sample_max_hours[exposure].value = { room: 1, fridge: 1 };
  }
  const worksheet = JSON.parse(clean.worksheet);
  const old = interpret(clean.worksheet);
  assert.equal(compare(old, old), null);
  worksheet.protocol.version = "stricter";
  const now = interpret(JSON.stringify(worksheet), { rules: new Rules(JSON.stringify(rules)) });
  const [pair] = JSON.parse(compare(old, now)).pairs;
  assert.deepEqual([pair.old, pair.new], ["compatible", "invalid"]);
  const deciding = pair.findings.filter(({ decides }) => decides).map(({ slug }) => slug);
  assert.deepEqual(deciding, ["sample-too-old"]);
  assert.throws(() => compare("{}", now), /the old document is no interpretation/);
});

test("words and schemas", () => {
  const [meaning] = explain("rouleaux-dispersed");
  assert.equal(meaning.kind, "finding");
  assert.throws(() => explain("rouleaux-disperse"), /did you mean rouleaux-dispersed/);
  assert.equal(schema("fault"), read("schemas/fault.json"));
  assert.throws(() => schema("nonesuch"), RangeError);
  assert.equal(crossread.version(), JSON.parse(clean.answer).engine);
  assert.equal(crossread.version(), JSON.parse(read("crates/wasm/js/package.json")).version);
});

test("the gate opens for a releasable donor only", () => {
  let opened = 0;
  for (const { name, worksheet, answer } of cases) {
    for (const { donor, releasable } of JSON.parse(answer).pairs) {
      assert.equal(frees(worksheet, donor), releasable, name);
      opened += Number(releasable);
    }
  }
  assert.ok(opened > 5);
  const gate = fileURLToPath(new URL("../examples/gate.mjs", import.meta.url));
  const opens = (path, donor) =>
    spawnSync(process.execPath, [gate, fileURLToPath(new URL(path, PROJECT)), donor]).status === 0;
  assert.ok(opens("examples/clean-run/worksheet.json", "D-081"));
  assert.ok(!opens("examples/clean-run/worksheet.json", "D-999"));
  assert.ok(!opens("examples/clean-run/interpretation.json", "D-081"));
  assert.ok(!opens("examples/no-such-file", "D-081"));
  assert.notEqual(spawnSync(process.execPath, [gate]).status, 0);
});

const folder = process.env.CROSSREAD_DOCUMENTS;
for (const [stream, least] of [["worksheets", 20_000], ["spoilt", 1_000]]) {
  const skip = folder ? false : "not passed: CROSSREAD_DOCUMENTS names no folder";
  test(`the text is that of the command: ${stream}`, { skip }, async () => {
    const protocols = readdirSync(`${folder}/protocols`).map((name) =>
      readFileSync(`${folder}/protocols/${name}`),
    );
    const rules = new Rules(...protocols);
    // Only a line feed ends a line; readline would end one at others too.
    const lines = async function* (file) {
      let rest = Buffer.alloc(0);
      for await (const chunk of createReadStream(file)) {
        rest = rest.length ? Buffer.concat([rest, chunk]) : chunk;
        for (let end; (end = rest.indexOf(10)) >= 0; rest = rest.subarray(end + 1)) {
          yield rest.subarray(0, end);
        }
      }
      assert.equal(rest.length, 0);
    };
    const wanted = lines(`${folder}/${stream}.answers.ndjson`);
    let line = 0;
    for await (const sheet of lines(`${folder}/${stream}.ndjson`)) {
      line += 1;
      const [text] = interpretMany([sheet], { rules, source: "<stdin>", lines: [line] });
      const { value } = await wanted.next();
      assert.ok(value && Buffer.from(text).equals(value), `line ${line}`);
    }
    assert.ok((await wanted.next()).done);
    assert.ok(line >= least);
  });
}
