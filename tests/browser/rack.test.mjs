// The second scenario: a cat whose whole rack reacts, a type that disagrees, stacks of cells, a
// second reader, and a number that was wrong after the report was out. By keyboard alone.
import assert from "node:assert/strict";
import { test } from "node:test";
import { launch, place, printed, serve, sit } from "./bench.mjs";
import { Keyboard, hours } from "./keyboard.mjs";

const CAT = { Number: "C-2041", Name: "Sorrel", Species: "cat" };

test("a cat from the disagreeing type to the amended report", async () => {
  const server = await serve("--journal", place(), "--of", "Brindlemoor Animal Hospital");
  const browser = await launch();
  const page = await sit(browser, server.address, "KT");
  const hand = new Keyboard(page);
  const other = await sit(browser, server.address, "LM");
  const second = new Keyboard(other);
  // Everything that the second reader's browser is sent.
  let sent = "";
  other.on("response", async (answer) => {
    if (answer.request().resourceType() !== "script") sent += await answer.text().catch(() => "");
  });
  try {
    // Two years ago it was typed A; now it is B.
    await hand.follow("New worksheet");
    await hand.writeAll({ ...CAT, "Blood type: system": "AB", "Blood type: result": "A" });
    await hand.writeDate("Typed on", hours(-730 * 24));
    await hand.follow("Open the worksheet");
    await hand.follow("New worksheet");
    await hand.writeAll({ ...CAT, "Blood type: system": "AB", "Blood type: result": "B",
      "Ever transfused?": "never", Worksheet: "WS-2" });
    await hand.tick(/second person/);
    await hand.follow("Open the worksheet");
    // The stop comes first, and is taken note of by name.
    assert.match(await page.textContent("main"), /STOP: C-2041 was AB A .*possible wrong blood in tube/);
    await hand.tick(/STOP: C-2041/);
    await hand.follow(/I have taken note/);
    assert.match(page.url(), /WS-2$/);

    const units = [["C-301", "U-7001"], ["C-302", "U-7002"]];
    for (const [donor, unit] of units) {
      if (donor !== "C-301") await hand.unfold(/Add a donor/);
      await hand.writeAll({ "Donor number": donor, "What would be given": "packed", "Unit number": unit });
      await hand.writeDate("Unit expires on", hours(20 * 24));
      await hand.writeAll({ "Unit looks": "normal", "Blood type: system": "AB", "Blood type: result": "B" });
      await hand.follow("Record");
    }
    await hand.follow("Read");
    const slots = await page.$$eval("a.slot", (all) => all.map((a) => a.dataset.cell));
    assert.equal(slots[0].split("|")[0], "recipient_auto", "controls first");

    // The first reader: everything clumps, in stacks.
    const cells = slots.filter((cell) => cell.includes("|-|"));
    for (const _ of cells) await hand.read("h 0 3 p p Enter", "Written");
    // What was seen is sealed, also for who wrote it.
    assert.match(await page.textContent("#grid"), /sealed/);
    assert.ok(!/3\+/.test(await page.textContent("#grid")));

    // The second reader finds every cell empty and is led through the same order.
    const at = new URL("/worksheets/WS-2/read", server.address).href;
    await other.goto(at);
    const seen = () => /3\+, hemolysis|>3\+<\/b>|3\+ …|: 3\+/.test(sent);
    assert.ok(!seen(), "nothing of the first reader's was sent");
    for (const _ of cells) await second.read("h 0 3 p p Enter", "Written");
    // Now both are shown, and the recheck stands open beside each first look.
    const open = (number) => document.querySelectorAll("a.slot[data-cell*=saline_replacement]").length === number;
    await page.waitForFunction(open, cells.length, { timeout: 6000 });
    assert.match(await page.textContent("#grid"), /3\+/);
    const rechecks = await page.$$eval("a.slot", (all) =>
      all.map((a) => a.dataset.cell).filter((cell) => cell.includes("saline_replacement")));
    assert.match(await page.textContent("#panel"), /Cat blood types do not match/);
    assert.ok(!/[^N]COMPATIBLE/.test(await page.textContent("#panel .tiles")), "none is called compatible");

    // After saline replacement: the control and the first major are clear, the last one is not.
    for (const one of [hand, second]) {
      if (one === second) await other.goto(at);
      else await page.goto(at);
      for (const [number] of rechecks.entries()) {
        const last = number === rechecks.length - 1;
        await one.read(last ? "h 0 1 Enter" : "h 0 0 Enter", "Written");
      }
    }
    assert.match(await page.textContent("#prompt"), /read/);

    // Issue, then a typo is found in a unit's number.
    await page.goto(new URL("/worksheets/WS-2/verdict", server.address).href);
    const before = await page.$$eval(".tile .verdict", (all) => all.map((p) => p.textContent.trim()));
    assert.ok(!before.includes("COMPATIBLE"), "while types disagree nothing is plainly compatible");
    await hand.write("Issue to (the veterinarian)", "Dr Vane");
    await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    await hand.follow("Animals");
    await hand.tabTo("Correct");
    await hand.tabTo("Correct");
    await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    await hand.write("Unit number", "U-7010");
    await hand.write("Why", "two digits were swapped");
    await hand.follow("Put this in its place");
    assert.match(await page.textContent("main"), /taken back/);
    await hand.follow("Verdict");
    assert.match(await page.textContent("main"), /Something was entered since: issue it again/);
    await hand.write("Issue to (the veterinarian)", "Dr Vane");
    await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    assert.match(await page.textContent("main"), /Revision 2 was issued/);
    await hand.tabTo("Print the report");
    const [report] = await Promise.all([page.context().waitForEvent("page"), page.keyboard.press("Enter")]);
    await report.waitForLoadState();
    const text = (await printed(report)).replace(/\s+/g, " ");
    for (const item of ["revision 2", "U-7001", "U-7010", "two digits were swapped", "Replaces r1"]) {
      assert.ok(text.includes(item), `${item} in the report:\n${text}`);
    }
    assert.deepEqual([...page.errors, ...other.errors], []);
  } finally {
    await browser.close();
    await server.end();
  }
});
