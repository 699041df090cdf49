// Two hundred readings by script, none misplaced; the server killed in the middle; two browsers.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { test } from "node:test";
import { COMMAND, kill, launch, place, serve, sit } from "./bench.mjs";
import { Clerk } from "./fill.mjs";

// The same numbers every time: a linear congruential generator (Numerical Recipes, 2nd ed., p. 284).
const numbers = (seed) => () => (seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0) >>> 8;
const GRADES = { 0: "0", 1: "1+", 2: "2+", 3: "3+", 4: "4+", w: "w", m: "micro" };

// What the journal holds, in the order of its entries.
function readings(file) {
  const lines = execFileSync(COMMAND, ["journal", "export", "-j", file], { encoding: "utf8" });
  const entries = lines.trim().split("\n").map((line) => JSON.parse(line).entry);
  return entries.filter((entry) => entry.kind === "reading").map((entry) => entry.body.reading);
}

const cellOf = (reading) =>
  [reading.test, reading.phase, reading.after ?? "-", reading.donor ?? ""].join("|");

// Presses keys in the marked cell, one after the other, and waits for what the page shows of each.
async function press(page, keys, shown) {
  for (const key of keys) await page.keyboard.press(key);
  await page.waitForFunction(
    (text) => document.getElementById("line").textContent.startsWith(text), shown, { timeout: 8000 });
}

test("two hundred readings, none misplaced, none lost, none doubled", async () => {
  const file = place();
  const server = await serve("--journal", file);
  const browser = await launch();
  try {
    const clerk = await new Clerk(server.address).enter("KT");
    await clerk.open("WS-1", 8);
    const page = await sit(browser, server.address, "KT");
    await page.goto(new URL("/worksheets/WS-1/read?all=yes", server.address).href);
    const next = numbers(20260301), expected = [];
    const marked = () => page.evaluate(() => document.getElementById("bench").dataset.cell);
    let cell = await marked();
    for (let number = 0; number < 200; number += 1) {
      const red = next() % 5, keys = Object.keys(GRADES), grade = keys[next() % keys.length];
      await press(page, ["h", String(red), grade, "Enter"], "Written");
      expected.push({ cell, red, grade: GRADES[grade] });
      const was = cell;
      // After the last cell that waits, the mark stays: then on by the arrow, as a person goes round.
      cell = await marked();
      if (cell === was) {
        await page.keyboard.press("ArrowDown");
        await page.waitForFunction((of) => document.getElementById("bench").dataset.cell !== of, was)
          .catch(() => {});
        cell = await marked();
        if (cell === was) {
          await page.click("a.slot >> nth=0");
          await page.waitForFunction((of) => document.getElementById("bench").dataset.cell !== of, was);
          cell = await marked();
        }
      }
    }
    const kept = readings(file).map((of) => ({ cell: cellOf(of), red: of.hemolysis, grade: of.agglutination }));
    assert.deepEqual(kept, expected);
    assert.deepEqual(page.errors, []);
  } finally {
    await browser.close();
    await server.end();
  }
});

test("killed at any key, at most the key that was not shown is missing", async () => {
  const file = place();
  let server = await serve("--journal", file);
  const browser = await launch();
  try {
    await (await new Clerk(server.address).enter("KT")).open("WS-1", 8);
    const next = numbers(7);
    let finished = 0;
    for (let round = 0; round < 20; round += 1) {
      const page = await sit(browser, server.address, "KT");
      await page.goto(new URL("/worksheets/WS-1/read?all=yes", server.address).href);
      const cell = await page.evaluate(() => document.getElementById("bench").dataset.cell);
      // So many keys are shown; one more is pressed while the server dies.
      const keys = ["h0", "2", "enter"].slice(0, 1 + (next() % 3));
      let shown = "";
      for (const key of keys) {
        const strokes = key === "h0" ? ["h", "0"] : [key === "enter" ? "Enter" : key];
        const wanted = { h0: "hemolysis 0 …", 2: "2+", enter: "Written" }[key];
        await page.waitForFunction(() => document.querySelector("#grid a[aria-current]"));
        for (const stroke of strokes) await page.keyboard.press(stroke);
        await page.waitForFunction(
          (text) => document.getElementById("line").textContent.includes(text), wanted, { timeout: 8000 });
        shown = await page.textContent("#line");
      }
      await Promise.all([page.keyboard.press("3"), kill(server)]);
      // The page says so, and takes no more keys.
      await page.keyboard.press("4");
      await page.waitForFunction(() => /NOT RECORDED/.test(document.getElementById("told").textContent), null,
        { timeout: 8000 });
      server = await serve("--journal", file);
      const clerk = await new Clerk(server.address).enter("KT");
      const after = await (await clerk.get("/worksheets/WS-1/read?all=yes")).text();
      if (shown.startsWith("Written")) {
        finished += 1;
        assert.equal(readings(file).length, finished, shown);
      } else {
        assert.equal(readings(file).length, finished);
        // The look that was begun is there, and the page leads back to its cell.
        assert.ok(after.includes(`data-cell="${cell.replaceAll("&", "&amp;")}"`));
        const seen = /class="now">([^<]*)/.exec(after);
        assert.ok(seen, `begun: ${shown}`);
        for (const part of shown.replace(/^[^:]*: /, "").replace(/ …$/, "").split(", ")) {
          const kept = seen[1].includes(part) || (/^[0-4]\+$/.test(part) && /[0-4]\+/.test(seen[1]));
          assert.ok(kept, `${part} of "${shown}" in "${seen[1]}"`);
        }
        await clerk.keys("WS-1", cell, "u");
      }
      await page.context().close();
    }
  } finally {
    await browser.close();
    await server.end();
  }
});

test("two browsers on one worksheet see each other's readings", async () => {
  const file = place();
  const server = await serve("--journal", file);
  const browser = await launch();
  try {
    await (await new Clerk(server.address).enter("KT")).open("WS-1", 2);
    const at = new URL("/worksheets/WS-1/read", server.address).href;
    const [one, other] = [await sit(browser, server.address, "KT"), await sit(browser, server.address, "LM")];
    for (const page of [one, other]) await page.goto(at);
    await press(one, ["h", "0", "0", "Enter"], "Written");
    await other.waitForFunction(() => /0, hemolysis 0/.test(document.getElementById("grid").textContent), null,
      { timeout: 4000 });
    // Both in one cell: two readings.
    for (const page of [one, other]) await page.goto(`${at}?cell=${encodeURIComponent("major|warm_37c|-|D-1")}`);
    await one.keyboard.press("h");
    await one.keyboard.press("0");
    await other.waitForFunction(() => /KT is reading/.test(document.getElementById("grid").textContent), null,
      { timeout: 4000 });
    await press(other, ["h", "0", "2", "Enter"], "Written");
    await press(one, ["3", "Enter"], "Written");
    const kept = readings(file).filter((of) => of.test === "major");
    assert.deepEqual(kept.map((of) => [of.by, of.agglutination]), [["LM", "2+"], ["KT", "3+"]]);
    await one.waitForFunction(() => {
      const text = document.getElementById("grid").textContent;
      return text.includes("2+, hemolysis 0") && text.includes("3+, hemolysis 0");
    }, null, { timeout: 4000 });
    // Keys outside the table do nothing.
    const before = readings(file).length;
    await one.keyboard.press("Tab");
    await one.evaluate(() => document.querySelector("header a").focus());
    await one.keyboard.type("h04u");
    assert.equal(readings(file).length, before);
    assert.deepEqual([...one.errors, ...other.errors], []);
  } finally {
    await browser.close();
    await server.end();
  }
});
