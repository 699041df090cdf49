// The package in a browser, with the headers of a strict page.

import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { createServer } from "node:http";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import test from "node:test";

const PROJECT = new URL("../../../", import.meta.url);
const CASE = "examples/three-donors-compared";
const KINDS = { js: "text/javascript", wasm: "application/wasm", json: "application/json" };

const PAGE = `<!doctype html><title>crossread</title><script type="module" src="/page.js"></script>`;
const SCRIPT = `const tell = (body) => fetch("/told", { method: "POST", body });
try {
  const { Faults, interpret } = await import("/crates/wasm/js/web.js");
  const worksheet = await (await fetch("/${CASE}/worksheet.json")).text();
  let refused = false;
  try { interpret("{}"); } catch (why) { refused = why instanceof Faults; }
  await tell(refused ? interpret(worksheet, { indent: true }) + "\\n" : "not refused");
} catch (why) {
  await tell(String(why));
}`;

const browser = ["chromium", "chromium-browser"].find(
  (name) => spawnSync(name, ["--version"]).status === 0,
);

test("in a browser", { skip: browser ? false : "not passed: there is no browser" }, async () => {
  let told;
  const heard = new Promise((hear) => (told = hear));
  const server = createServer(async (asked, answer) => {
    const path = asked.url.slice(1);
    answer.setHeader("Content-Security-Policy", "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'");
    answer.setHeader("Content-Type", KINDS[path.split(".").at(-1)] ?? "text/html");
    if (path === "") return answer.end(PAGE);
    if (path === "page.js") return answer.end(SCRIPT);
    if (path === "told") {
      told((await asked.toArray()).join(""));
      return answer.end();
    }
    try {
      answer.end(readFileSync(new URL(path, PROJECT)));
    } catch {
      answer.writeHead(404).end();
    }
  });
  await new Promise((ready) => server.listen(0, "127.0.0.1", ready));
  const profile = mkdtempSync(join(tmpdir(), "browser-"));
  const shown = spawn(
    browser,
    [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--remote-debugging-port=0",
      `--user-data-dir=${profile}`,
      `http://127.0.0.1:${server.address().port}/`,
    ],
    { stdio: "ignore" },
  );
  const late = setTimeout(() => told("nothing was told in a minute"), 60_000);
  try {
    assert.equal(await heard, readFileSync(new URL(`${CASE}/interpretation.json`, PROJECT), "utf8"));
  } finally {
    clearTimeout(late);
    shown.kill("SIGKILL");
    await once(shown, "exit");
    server.closeAllConnections();
    server.close();
    rmSync(profile, { recursive: true, force: true, maxRetries: 10 });
  }
});
