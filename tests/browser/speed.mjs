// How fast the page is: prints, and asserts no time. Run it on a release build:
//   CROSSREAD=target/release/crossread node tests/browser/speed.mjs
import { launch, place, serve, sit } from "./bench.mjs";
import { Clerk } from "./fill.mjs";

const sorted = (all) => [...all].sort((a, b) => a - b);
const at = (all, share) => sorted(all)[Math.min(all.length - 1, Math.floor(all.length * share))];
const show = (what, all) =>
  console.log(`${what}: median ${at(all, 0.5).toFixed(1)} ms, p99 ${at(all, 0.99).toFixed(1)} ms, `
    + `most ${Math.max(...all).toFixed(1)} ms, n ${all.length}`);

const starts = [];
for (let round = 0; round < 5; round += 1) {
  const server = await serve("--journal", place());
  starts.push(server.startMs);
  await server.end();
}
show("server start to its address", starts);

const server = await serve("--journal", place());
const browser = await launch();
const clerk = await new Clerk(server.address).enter("KT");
await clerk.open("WS-1", 8);
const page = await sit(browser, server.address, "KT");
const read = new URL("/worksheets/WS-1/read?all=yes", server.address).href;
await page.goto(read);

// From the key to the frame after the page shows what it came to.
await page.evaluate(() => {
  window.took = [];
  const line = document.getElementById("line");
  let pressed = 0;
  document.addEventListener("keydown", () => { pressed = performance.now(); }, true);
  new MutationObserver(() => {
    const from = pressed;
    requestAnimationFrame(() => window.took.push(performance.now() - from));
  }).observe(line, { childList: true, characterData: true, subtree: true });
});
const keys = 500;
for (let number = 0; number < keys; number += 1) {
  const count = await page.evaluate(() => window.took.length);
  // A look that is written down, key by key: hemolysis, grade, Enter.
  const key = ["h", "0", String(number % 5), "Enter"][number % 4];
  await page.keyboard.press(key);
  await page.waitForFunction((count) => window.took.length > count, count, { timeout: 3000 }).catch(() => {});
}
show(`a key to what it came to, ${keys} keys, 8 donors, durable writes`, await page.evaluate(() => window.took));

const loads = {};
for (const path of ["/", "/start", "/search?q=KT", "/grades", "/worksheets/WS-1", "/worksheets/WS-1/plan",
  "/worksheets/WS-1/read?all=yes", "/worksheets/WS-1/verdict", "/worksheets/WS-1/entries",
  "/worksheets/WS-1/paper/report"]) {
  const times = [];
  let size = 0;
  for (let round = 0; round < 5; round += 1) {
    const began = performance.now();
    const text = await (await clerk.get(path)).text();
    times.push(performance.now() - began);
    size = Buffer.byteLength(text);
  }
  loads[path] = `${at(times, 0.5).toFixed(1)} ms, ${(size / 1000).toFixed(1)} kB`;
}
console.table(loads);
await browser.close();
await server.end();
