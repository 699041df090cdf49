// Every screen: the accessibility audit, the size of what is pressed, narrow and zoomed windows,
// forced colors, reduced motion, no script, paper in grey.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import AxeBuilder from "@axe-core/playwright";
import { launch, place, printed, serve, sit } from "./bench.mjs";
import { Clerk } from "./fill.mjs";

let server, browser, clerk, screens;
const of = (path) => new URL(path, server.address).href;

before(async () => {
  server = await serve("--journal", place(), "--of", "Brindlemoor Animal Hospital");
  browser = await launch();
  clerk = await new Clerk(server.address).enter("KT");
  await clerk.open("WS-1", 3);
  await clerk.post("/worksheets/WS-1/add/setup", { cells_percent: "4", washes: "3", plasma_ul: "100", cells_ul: "50" });
  await clerk.post("/worksheets/WS-1/step", { step: "spun|warm_37c", cell: "" });
  await clerk.keys("WS-1", "recipient_auto|warm_37c|-|", "h0 0 enter");
  await clerk.keys("WS-1", "major|warm_37c|-|D-1", "h0 0 enter");
  await clerk.keys("WS-1", "major|warm_37c|-|D-2", "h0 2 pattern:stacks enter");
  await clerk.keys("WS-1", "major|warm_37c|-|D-3", "h1");
  await clerk.keys("WS-1", "major|warm_37c|-|D-3", "x enter");
  await clerk.post("/worksheets/WS-1/issue", { to: "Dr Vane" });
  await clerk.post("/worksheets/WS-1/segment", { donor: "D-1", typed: "5511" });
  await clerk.post("/worksheets/WS-1/release/D-1",
    { typed_recipient: "3107", typed_unit: "5511", to: "LM", veterinarian: "Dr Vane" });
  await clerk.keys("WS-1", "major|warm_37c|-|D-2", "h0 1");
  const verdict = await (await clerk.get("/worksheets/WS-1/verdict")).text();
  const unit = /\/worksheets\/WS-1\/transfusion\/\d+/.exec(verdict)[0];
  const plan = "?weight=20&pcv_now=15&pcv_target=25&product_pcv=60&volume=300&drops_per_ml=20";
  screens = ["/", "/who", "/start", "/search?q=KT", "/grades", "/explain/rouleaux-dispersed", "/animals/R-3107",
    "/worksheets/WS-1", "/worksheets/WS-1/plan?plasma=300", "/worksheets/WS-1/read", "/worksheets/WS-1/read?all=yes",
    "/worksheets/WS-1/verdict", "/worksheets/WS-1/entries", "/worksheets/WS-1/entries/14",
    "/worksheets/WS-1/release/D-2", unit + plan, "/units/D-1", "/none"];
});

after(async () => {
  await browser.close();
  await server.end();
});

test("the audit finds nothing on any screen", async () => {
  const page = await sit(browser, server.address, "KT");
  for (const path of screens) {
    await page.goto(of(path));
    const found = await new AxeBuilder({ page })
      .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]).analyze();
    const said = found.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).join("\n")}`);
    assert.deepEqual(said, [], path);
  }
  page.errors = page.errors.filter((error) => !/404/.test(error));
  assert.deepEqual(page.errors, []);
});

// What is pressed is 44 px at least, 80 px on the pad; a link within a sentence is as high as its line.
test("what is pressed is large enough for a glove", async () => {
  const page = await sit(browser, server.address, "KT");
  for (const path of screens) {
    await page.goto(of(path));
    const small = await page.evaluate(() => {
      for (const details of document.querySelectorAll("details")) details.open = true;
      const inText = (a) => a.tagName === "A" && !a.matches(".button, .slot, .title, nav a, .tile a, .who a")
        && getComputedStyle(a).display === "inline";
      const all = [...document.querySelectorAll("button, a, input:not([type=hidden]), select, summary")];
      return all.filter((of) => of.getClientRects().length && !inText(of) && !of.matches(".skip")).flatMap((of) => {
        const held = of.matches("input[type=checkbox], input[type=radio]") ? of.closest("label") : of;
        const box = held.getBoundingClientRect(), least = of.matches("#pad .key") ? 80 : 44;
        const narrow = of.matches("#pad .key, button, .button") ? box.width < least : box.width < 24;
        return box.height + 0.5 < least || narrow ? [`${of.outerHTML.slice(0, 90)} ${box.width}x${box.height}`] : [];
      });
    });
    assert.deepEqual(small, [], path);
  }
});

for (const [name, options] of [
  ["320 px wide", { viewport: { width: 320, height: 640 } }],
  ["at 200 % zoom", { viewport: { width: 683, height: 384 }, deviceScaleFactor: 2 }],
]) {
  test(`nothing runs out of the page ${name}`, async () => {
    const page = await sit(browser, server.address, "KT", options);
    for (const path of screens) {
      await page.goto(of(path));
      const over = await page.evaluate(() => {
        const wide = document.documentElement.clientWidth;
        const out = [...document.querySelectorAll("main *, header *")].filter((of) =>
          of.getBoundingClientRect().right > wide + 1 && !of.closest(".wide"));
        return [document.documentElement.scrollWidth > wide, out.map((of) => of.outerHTML.slice(0, 80)).slice(0, 5)];
      });
      assert.deepEqual(over, [false, []], path);
    }
  });
}

test("forced colors and reduced motion leave everything to be seen", async () => {
  const page = await sit(browser, server.address, "KT", { forcedColors: "active", reducedMotion: "reduce" });
  await page.goto(of("/worksheets/WS-1/read"));
  const seen = await page.evaluate(() => {
    const marked = getComputedStyle(document.querySelector("a.slot[aria-current]"));
    const shapes = [...document.querySelectorAll(".tile .shape")].map((shape) => shape.getBoundingClientRect().width);
    return { outline: marked.outlineStyle, border: marked.borderTopStyle, shapes, moves: marked.transitionDuration };
  });
  assert.ok(seen.outline !== "none" || seen.border !== "none", JSON.stringify(seen));
  assert.ok(seen.shapes.length >= 3 && seen.shapes.every((width) => width > 10), JSON.stringify(seen));
  assert.equal(seen.moves, "0s");
});

test("no color alone: every verdict has its word and a shape of its own", async () => {
  const page = await sit(browser, server.address, "KT");
  await page.goto(of("/worksheets/WS-1/verdict"));
  const tiles = await page.$$eval(".tile .verdict", (all) =>
    all.map((p) => [p.textContent.trim(), p.querySelector("svg").innerHTML.replace(/\s+/g, " ")]));
  const byWord = new Map(tiles), shapes = new Set(byWord.values());
  assert.ok(byWord.size >= 2);
  assert.equal(shapes.size, byWord.size, JSON.stringify(tiles));
});

test("without the script a reading is entered by the pad's buttons", async () => {
  const page = await sit(browser, server.address, "KT", { javaScriptEnabled: false });
  await page.goto(of("/worksheets/WS-1/read?cell=" + encodeURIComponent("minor|warm_37c|-|D-1") + "&all=yes"));
  for (const key of ["h0", "1", "s", "enter"]) {
    await page.click(`#pad button[value="${key}"] >> nth=0`);
  }
  await page.goto(of("/worksheets/WS-1/entries"));
  assert.match(await page.textContent("main"), /D-1 minor at 37 °C: 1\+s, hemolysis 0/);
});

// Few looks and many, and the longest name: one page of either paper, nothing left out.
test("each transfusion sheet is one page", async () => {
  const page = await sit(browser, server.address, "KT");
  const unit = screens.find((path) => path.includes("/transfusion/")).split("?")[0];
  const plan = "weight=20&pcv_now=15&pcv_target=25&product_pcv=60&volume=300&drops_per_ml=20";
  for (const [more, last] of [["", "+192"], ["&slowly=yes&part=1", "+255"], ["&slowly=yes&part=2", "+480"]]) {
    for (const size of ["a4", "letter"]) {
      await page.goto(of(`${unit}/sheet?${plan}${more}&size=${size}`));
      const text = await printed(page);
      assert.match(text, /page 1 of 1/, `${more} on ${size}`);
      assert.ok(text.includes(last) && text.includes("stop first"), `${last} on ${size}`);
    }
  }
});

// A unit that runs, and what follows a reaction, are screens like any other.
test("a running unit and a reaction pass the audit", async () => {
  const page = await sit(browser, server.address, "KT");
  const unit = screens.find((path) => path.includes("/transfusion/"));
  const checks = ["release", "identity", "inspected", "not_too_warm", "filter", "own_line", "no_calcium", "baseline"];
  const plan = Object.fromEntries(new URLSearchParams(unit.split("?")[1]));
  await clerk.post(unit, {
    do: "start", ...plan, ...Object.fromEntries(checks.map((check) => [check, "yes"])),
    temperature_c: "38.5", typed_recipient: "3107", typed_unit: "5511",
  });
  const audit = async () => {
    await page.goto(of(unit));
    const found = await new AxeBuilder({ page })
      .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]).analyze();
    assert.deepEqual(found.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).join("\n")}`), []);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(wide <= 0, `${wide} px too wide`);
    return page.textContent("main");
  };
  assert.match(await audit(), /What is seen now/);
  const started = await page.getAttribute("input[name=started]", "value");
  await clerk.post(unit, { do: "react", started, text: "vomited" });
  const text = await audit();
  for (const part of ["Identifiers compared", "The pair tested again", "What the veterinarian makes of it"]) {
    assert.ok(text.includes(part), part);
  }
});

test("the report is printed whole, in grey too", async () => {
  const page = await sit(browser, server.address, "KT");
  await page.goto(of("/worksheets/WS-1/paper/report"));
  await page.addStyleTag({ content: "html { filter: grayscale(1); }" }).catch(() => {});
  const text = await printed(page, { printBackground: false });
  for (const word of ["COMPATIBLE", "D-1", "D-2", "D-3", "U-5511", "page 1 of"]) assert.ok(text.includes(word), word);
});

// F14: eight donors on one page of either paper, blank and filled; what was not read says NT.
test("F14: the worksheet of eight donors is one page", async () => {
  const own = await serve("--journal", place(), "--of", "Brindlemoor Animal Hospital");
  try {
    await (await new Clerk(own.address).enter("KT")).open("WS-8", 8);
    const page = await sit(browser, own.address, "KT");
    for (const what of ["blank", "sheet"]) {
      for (const size of ["a4", "letter"]) {
        await page.goto(new URL(`/worksheets/WS-8/paper/${what}?size=${size}`, own.address).href);
        const text = await printed(page);
        assert.match(text, /page 1 of 1/, `${what} on ${size}`);
        for (let donor = 1; donor <= 8; donor += 1) {
          assert.ok(text.includes(`D-${donor}`), `D-${donor} on ${what} on ${size}`);
        }
        // The blank one names the word once, in its legend.
        const empty = text.match(/\bNT\b/g) ?? [];
        assert.ok(what === "sheet" ? empty.length > 16 : empty.length === 1, `${empty.length} NT on ${what}`);
      }
    }
  } finally {
    await own.end();
  }
});
