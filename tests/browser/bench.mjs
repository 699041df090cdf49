// Starts the server on a journal of its own, and a browser on it.
import { spawn } from "node:child_process";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const ROOT = new URL("../../", import.meta.url).pathname;
export const COMMAND = process.env.CROSSREAD ?? join(ROOT, "target/debug/crossread");
const BROWSERS = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
export const BROWSER = process.env.CHROMIUM ?? BROWSERS.find(existsSync);

// A place for a new journal.
export const place = () => join(mkdtempSync(join(tmpdir(), "crossread-browser-")), "night.journal");

// The running command and the address that it printed.
export async function serve(...args) {
  const began = performance.now();
  const child = spawn(COMMAND, ["serve", ...args], { stdio: ["ignore", "pipe", "pipe"] });
  let said = "", wrong = "";
  child.stderr.on("data", (piece) => { wrong += piece; });
  const address = await new Promise((done, failed) => {
    child.stdout.on("data", (piece) => {
      said += piece;
      const found = /Open:\s+(\S+)/.exec(said);
      if (found) done(found[1]);
    });
    child.on("exit", (status) => failed(new Error(`the server ended with ${status}: ${said}${wrong}`)));
  });
  return { child, address, startMs: performance.now() - began, end: () => end(child) };
}

const end = (child, signal = "SIGINT") => new Promise((done) => {
  if (child.exitCode !== null || child.signalCode !== null) return done();
  child.on("exit", done);
  child.kill(signal);
});

// Ends it at once, as a power cut does.
export const kill = (server) => end(server.child, "SIGKILL");

export const launch = () => chromium.launch({
  executablePath: BROWSER,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

// A page of somebody who said who they are.
export async function sit(browser, address, name, options = {}) {
  const context = await browser.newContext({
    viewport: { width: 1366, height: 768 }, locale: "en-US", ...options,
  });
  const page = await context.newPage();
  // What no page may do: fail in its script, or ask for anything from elsewhere.
  page.errors = [];
  page.on("pageerror", (error) => page.errors.push(error.message));
  page.on("console", (line) => line.type() === "error" && page.errors.push(line.text()));
  const host = new URL(address).host;
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.host !== host && url.protocol !== "data:") page.errors.push(`asked for ${url}`);
  });
  await page.goto(address);
  await page.waitForURL((url) => !url.search.includes("key="));
  if (name) {
    await page.goto(new URL("/who", address).href);
    await page.getByLabel("Name or initials").fill(name);
    await page.keyboard.press("Enter");
    await page.waitForURL((url) => url.pathname !== "/who");
  }
  return page;
}

// The text of a page as it is printed.
export async function printed(page, options = {}) {
  const file = join(mkdtempSync(join(tmpdir(), "crossread-printed-")), "page.pdf");
  writeFileSync(file, await page.pdf({ preferCSSPageSize: true, ...options }));
  return execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" });
}
