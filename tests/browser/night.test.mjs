// The first scenario: one technician at night, a bleeding dog, the second transfusion. From the
// empty journal to the printed report, by keyboard alone.
import assert from "node:assert/strict";
import { test } from "node:test";
import { launch, place, printed, serve, sit } from "./bench.mjs";
import { Keyboard, hours } from "./keyboard.mjs";

test("a night from the empty journal to the printed report", async () => {
  const server = await serve("--journal", place(), "--of", "Brindlemoor Animal Hospital");
  const browser = await launch();
  const page = await sit(browser, server.address, "KT");
  const hand = new Keyboard(page);
  try {
    assert.match(await page.textContent("main"), /No worksheet is open/);
    await hand.follow("New worksheet");
    // Had blood nine days ago elsewhere; the rest nobody knows.
    await hand.writeAll({ Number: "R-3107", Name: "Juniper", Species: "dog", "Weight, kg": "23.5",
      "Blood type: system": "DEA 1", "Blood type: result": "negative", "Ever transfused?": "yes" });
    await hand.writeDate("Last transfused on", hours(-9 * 24));
    await hand.writeAll({ "Asked for by": "Dr Vane", "What for, how soon": "bleeding, now" });
    await hand.follow("Open the worksheet");
    assert.match(page.url(), /\/worksheets\//);
    const sheet = new URL(page.url()).pathname;

    // Three units; the first one's form is open.
    const units = [["D-091", "U-5512"], ["D-092", "U-5513"], ["D-093", "U-5514"]];
    for (const [donor, unit] of units) {
      if (donor !== "D-091") await hand.unfold(/Add a donor/);
      await hand.writeAll({ "Donor number": donor, "What would be given": "packed", "Unit number": unit });
      await hand.writeDate("Unit expires on", hours(20 * 24));
      await hand.writeAll({ "Unit looks": "normal", "Blood type: system": "DEA 1",
        "Blood type: result": "negative" });
      await hand.follow("Record");
      assert.match(await page.textContent("main"), new RegExp(donor));
    }
    // Pink plasma: the grade is asked for, and goes with every verdict.
    await hand.writeAll({ "Number on the label": "R-3107", "Used for": "both", Tube: "EDTA" });
    await hand.writeMoment("Drawn at", hours(-1));
    await hand.writeAll({ "Kept in": "room", "Plasma red, 0 to 4": "1", "Plasma milky, 0 to 3": "0",
      "Plasma yellow, 0 to 3": "0", "Clots?": "no", "Cells clump in the tube?": "no" });
    await hand.follow("Record");
    assert.match(await page.textContent("#sample ~ ul"), /Plasma red, 0 to 4:\s*1/);
    // How the mixtures are made.
    await hand.unfold(/Fill in/);
    await hand.writeAll({ "Red cells in the suspension, %": "4", "Times washed": "3",
      "Plasma in one mixture, µL": "100", "Suspension in one mixture, µL": "50" });
    await hand.follow("Record");
    // The end of each unit's number again, at its segment.
    for (const [, unit] of units) {
      await hand.tabTo(/At the segment/);
      await page.keyboard.type(unit.slice(-4));
      await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    }
    assert.equal((await page.textContent("main")).match(/The segment agrees/g).length, 3);

    await hand.follow("Prepare");
    await hand.write("The recipient's plasma, µL", "300");
    await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    assert.match(await page.textContent("main"), /enough for 2 donors, not 3/);

    await hand.follow("Read");
    // The marked cell has the focus: keys act there, and controls come first.
    assert.equal(await page.evaluate(() => document.activeElement.dataset.cell), "recipient_auto|warm_37c|-|");
    await hand.read("h 0 0 Enter", "Written: recipient autocontrol at 37 °C: 0, hemolysis 0");
    await hand.read("h 0 2 Enter", "Written: D-091 major at 37 °C: 2+, hemolysis 0");
    await hand.read("h 0 0 Enter", "Written: D-092 major at 37 °C: 0, hemolysis 0");
    // Cells spread: not readable is one key, and no grade is invented.
    await hand.read("x h -", "Written: D-093 major at 37 °C: unreadable");
    assert.match(await page.textContent("#prompt"), /Everything on this page is read/);
    const words = await page.$$eval("#panel .verdict", (all) => all.map((p) => p.textContent.trim()));
    assert.deepEqual(words, ["COMPATIBLE WITH CAVEATS", "INVALID", "INCOMPATIBLE"]);
    const tiles = await page.$$eval("#panel .donor", (all) => all.map((p) => p.textContent));
    assert.deepEqual(tiles.map((tile) => tile.slice(0, 5)), ["D-092", "D-093", "D-091"]);
    assert.match(await page.textContent("#panel"), /Next:/);

    await hand.follow("Verdict, issue, release");
    await hand.write("Issue to (the veterinarian)", "Dr Vane");
    await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
    assert.match(await page.textContent("main"), /Revision 1 was issued/);
    await hand.tabTo("Print the report");
    const [report] = await Promise.all([page.context().waitForEvent("page"), page.keyboard.press("Enter")]);
    await report.waitForLoadState();
    const text = await printed(report);
    for (const item of ["R-3107", "Juniper", "D-092", "compatible with caveats", "incompatible", "invalid",
      "dog-routine", "1.0.0", "KT", "Dr Vane", "page 1 of 1", "serology only", "not tested", "revision 1"]) {
      assert.ok(text.toLowerCase().includes(item.toLowerCase()), `${item} in the report:\n${text}`);
    }
    assert.ok(!/\bsafe\b/i.test(text));
    await report.close();

    // Release of what may be given, and of nothing else.
    await hand.follow("Release the unit of D-091");
    await release(hand, page, "3107", "5512");
    assert.match(await page.textContent("main"), /D-091 is incompatible/);
    await page.keyboard.press("Alt+ArrowLeft");
    await page.goBack();
    await page.goto(new URL(sheet + "/verdict", server.address).href);
    await hand.follow("Release the unit of D-092");
    await release(hand, page, "3107", "5513");
    assert.match(await page.textContent("#given ~ div"), /unit U-5513 of D-092 to LM/);
    assert.deepEqual(page.errors, []);
  } finally {
    await browser.close();
    await server.end();
  }
});

async function release(hand, page, recipient, unit) {
  await hand.write(/of the animal's number/, recipient);
  await hand.write(/of the unit's number/, unit);
  await hand.write("Who receives the unit", "LM");
  await hand.write("The veterinarian who decided it", "Dr Vane");
  await hand.follow("Release");
}
