// Fills a journal over HTTP, as the forms of the pages do, for tests that begin later.

// A browser without a window: it keeps the session's cookies and sends forms.
export class Clerk {
  constructor(address) {
    this.origin = new URL(address).origin;
    this.address = address;
    this.cookies = [];
  }

  async enter(name) {
    await this.get(this.address.slice(this.origin.length));
    const page = await (await this.get("/who")).text();
    this.token = /name="form_token" value="([^"]+)"/.exec(page)[1];
    await this.post("/who", { name, to: "/" });
    return this;
  }

  async get(path) {
    return this.keep(await fetch(this.origin + path, { headers: { cookie: this.cookies.join("; ") } }));
  }

  async post(path, fields, expected = 303) {
    const answer = await fetch(this.origin + path, {
      method: "POST", redirect: "manual",
      body: new URLSearchParams({ form_token: this.token, ...fields }),
      headers: { cookie: this.cookies.join("; "), origin: this.origin },
    });
    this.keep(answer);
    if (answer.status !== expected) {
      const text = (await answer.text()).replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
      throw new Error(`${path}: ${answer.status} ${text.slice(0, 900)}`);
    }
    return answer;
  }

  keep(answer) {
    for (const cookie of answer.headers.getSetCookie()) this.cookies.push(cookie.split(";")[0]);
    return answer;
  }

  // A worksheet of a dog with so many donors, each with a unit, and its sample.
  async open(worksheet, donors, more = {}) {
    await this.post("/start", {
      worksheet, id: "R-3107", name: "Juniper", species: "dog", method: "tube", weight_kg: "23.5",
      "types/0/system": "DEA 1", "types/0/result": "negative", "history/transfused": "never",
      "history/pregnant": "never", "history/reaction": "never", ...more,
    });
    for (let number = 1; number <= donors; number += 1) {
      await this.post(`/worksheets/${worksheet}/add/donor`, {
        id: `D-${number}`, name: "Marigold", species: "dog", product: "packed_cells",
        "types/0/system": "DEA 1", "types/0/result": "negative", "unit/number": `U-55${10 + number}`,
        "unit/expires_on": day(20), "unit/inspection": "normal",
      });
    }
    await this.post(`/worksheets/${worksheet}/add/sample`, {
      id: "S-1", of: "R-3107", label_id: "R-3107", role: "both", tube: "serum", drawn_at: at(-1),
      stored: "fridge", hemolysis: "0", lipemia: "0", icterus: "0", clots: "no", agglutinated: "no",
    });
  }

  async keys(worksheet, cell, keys) {
    for (const key of keys.split(" ")) await this.post(`/worksheets/${worksheet}/read`, { cell, key });
  }
}

export const day = (days) => new Date(Date.now() + days * 86400e3).toISOString().slice(0, 10);
export const at = (hours) => new Date(Date.now() + hours * 3600e3).toISOString();
