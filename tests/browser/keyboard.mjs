// A person at the keyboard: nothing here clicks, and nothing is filled in but by typing.

// What the element in focus is called: its own label, or what stands on it.
const called = () => {
  const of = document.activeElement;
  if (!of || of === document.body) return "";
  const label = of.labels && of.labels[0];
  const text = of.getAttribute("aria-label") || (label ? label.textContent : of.textContent) || "";
  return text.replace(/\s+/g, " ").trim();
};

export class Keyboard {
  constructor(page) {
    this.page = page;
    this.keys = page.keyboard;
  }

  // Tabs on until something is in focus that is called so.
  async tabTo(name, most = 160) {
    const wanted = (text) => (name instanceof RegExp ? name.test(text) : text === name);
    const seen = [];
    for (let at = 0; at < most; at += 1) {
      await this.keys.press("Tab");
      const text = await this.page.evaluate(called);
      if (wanted(text)) return;
      seen.push(text);
    }
    throw new Error(`${most} tabs, and nothing is called ${name}: ${seen.slice(-40).join(" | ")}`);
  }

  // Writes into the next field of a name; a list is chosen from by the first letters.
  async write(label, text) {
    await this.tabTo(label);
    const kind = await this.page.evaluate(() => document.activeElement.type);
    if (kind === "text" || kind === "search") await this.keys.press("Control+A");
    await this.keys.type(text);
  }

  // Fills several fields, in the order in which they stand.
  async writeAll(fields) {
    for (const [label, text] of Object.entries(fields)) await this.write(label, text);
  }

  // Goes to a button or a link and presses it; waits for the page that follows.
  async follow(name) {
    await this.tabTo(name);
    await Promise.all([this.page.waitForEvent("load"), this.keys.press("Enter")]);
  }

  // Opens what is folded.
  async unfold(name) {
    await this.tabTo(name);
    await this.keys.press("Enter");
  }

  async tick(name) {
    await this.tabTo(name);
    await this.keys.press("Space");
  }

  line() {
    return this.page.textContent("#line");
  }

  // Presses keys in the marked cell, and waits until the page shows what they came to.
  async read(keys, shown) {
    for (const key of keys.split(" ")) await this.keys.press(key);
    await this.page.waitForFunction(
      (text) => document.getElementById("line").textContent.includes(text), shown, { timeout: 5000 });
  }

  // A date and a time as an American browser takes them.
  static moment(time) {
    const two = (number) => String(number).padStart(2, "0");
    const hours = time.getHours();
    return [
      two(time.getMonth() + 1) + two(time.getDate()) + time.getFullYear(),
      two(hours % 12 || 12) + two(time.getMinutes()) + (hours < 12 ? "AM" : "PM"),
    ];
  }

  async writeMoment(label, time) {
    const [day, clock] = Keyboard.moment(time);
    await this.tabTo(label);
    await this.keys.type(day);
    await this.keys.press("ArrowRight");
    await this.keys.type(clock);
  }

  async writeDate(label, time) {
    await this.tabTo(label);
    await this.keys.type(Keyboard.moment(time)[0]);
  }
}

export const hours = (number) => new Date(Date.now() + number * 3600e3);
