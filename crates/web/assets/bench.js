// Keys, clocks, and what others enter meanwhile. Every page works without this file; with it, keys
// act in the marked cell, and nothing on the page is older than two seconds.
"use strict";

(() => {
  const parts = ["prompt", "line", "told", "clocks", "grid", "pad", "panel"];
  const byId = (id) => document.getElementById(id);
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));

  // The clock in the corner, and how long until each due time.
  const left = (ms) => {
    const s = Math.round(Math.abs(ms) / 1000);
    const h = Math.floor(s / 3600), m = Math.floor((s % 3600) / 60);
    return (h ? h + " h " : "") + (h || m ? m + " min " : "") + (s % 60) + " s";
  };
  const tick = () => {
    const now = Date.now();
    const clock = byId("now");
    if (clock) clock.textContent = new Date(now).toTimeString().slice(0, 8);
    for (const due of document.querySelectorAll("time.due")) {
      const ms = Number(due.dataset.due) - now;
      const base = due.dataset.base || (due.dataset.base = due.textContent);
      const text = base + (ms > 0 ? " (in " + left(ms) + ")" : " (" + left(ms) + " ago)");
      if (due.textContent !== text) due.textContent = text;
      due.parentElement.classList.toggle("over", ms <= 0);
    }
  };
  tick();
  setInterval(tick, 1000);

  // What is typed again is read off the bag and the animal, not pasted.
  for (const again of document.querySelectorAll("input.again")) {
    again.addEventListener("paste", (event) => event.preventDefault());
  }

  const bench = byId("bench");
  if (!bench) return;

  const same = (cell) => [...document.querySelectorAll("a.slot")].find((a) => a.dataset.cell === cell);
  const rove = () => {
    for (const slot of document.querySelectorAll("a.slot")) {
      slot.tabIndex = slot.dataset.cell === bench.dataset.cell ? 0 : -1;
    }
  };

  // Puts a new drawing of the page in place of the old one, part by part.
  const show = (html) => {
    const fresh = new DOMParser().parseFromString(html, "text/html").getElementById("bench");
    if (!fresh) return false;
    const active = document.activeElement;
    const inGrid = active && active.closest("#grid");
    const inPad = active && active.closest("#pad") && active.value;
    for (const id of parts) {
      const old = byId(id), now = fresh.querySelector("#" + id);
      if (old && now && old.dataset.drawn !== now.innerHTML) {
        old.dataset.drawn = now.innerHTML;
        const open = [...old.querySelectorAll("details[open] > summary")].map((s) => s.textContent);
        old.innerHTML = now.innerHTML;
        for (const summary of old.querySelectorAll("details > summary")) {
          if (open.includes(summary.textContent)) summary.parentElement.open = true;
        }
      }
    }
    bench.dataset.last = fresh.dataset.last;
    bench.dataset.cell = fresh.dataset.cell;
    rove();
    tick();
    const why = byId("first-why");
    if (why) why.focus();
    else if (inGrid) focusCell();
    else if (inPad) {
      const again = [...document.querySelectorAll("#pad button")].find((b) => b.value === inPad);
      (again || same(bench.dataset.cell) || document.body).focus();
    }
    return true;
  };
  const focusCell = () => {
    const slot = same(bench.dataset.cell);
    if (slot) slot.focus({ preventScroll: false });
  };

  const alarm = (text) => {
    const p = document.createElement("p");
    p.className = "problem";
    p.textContent = text;
    byId("told").replaceChildren(p);
  };

  // Keys wait in line: the next is sent when the one before is on the record.
  let queue = [], busy = false, held = false;
  const send = (fields) => {
    if (held) return;
    queue.push(fields);
    if (!busy) work();
  };
  const work = async () => {
    busy = true;
    while (queue.length && !held) {
      const fields = queue[0];
      const body = new URLSearchParams({ form_token: bench.dataset.token, cell: bench.dataset.cell, ...fields.values });
      try {
        const answer = await fetch(fields.to || bench.dataset.read, {
          method: "POST", body, headers: { "x-crossread": "1" },
        });
        const html = await answer.text();
        queue.shift();
        if (answer.ok && show(html)) continue;
        hold(new DOMParser().parseFromString(html, "text/html").body.textContent.trim()
          || "Not recorded: the server refused. Reload the page.");
      } catch {
        hold("NOT RECORDED: the server does not answer. The last key, and any after it, are not on the record. "
          + "Start it again, open its new address, and go on from the cell that is marked.");
      }
    }
    busy = false;
  };
  const hold = (text) => {
    held = true;
    queue = [];
    byId("line").textContent = "";
    alarm(text);
    document.body.classList.add("held");
  };
  const all = () => {
    const field = document.querySelector("#pad input[name=all]");
    return field ? { all: field.value } : {};
  };
  const key = (name, more) => send({ values: { key: name, ...all(), ...more } });

  let prefix = false, last = { key: "", at: 0 };
  bench.addEventListener("keydown", (event) => {
    const slot = event.target.closest && event.target.closest("a.slot");
    if (!slot || event.ctrlKey || event.metaKey || event.altKey) return;
    const pressed = event.key;
    let name = null;
    if (prefix) {
      prefix = false;
      if (/^[0-4]$/.test(pressed)) name = "h" + pressed;
      else if (pressed === "-") name = "h-";
      else { byId("line").textContent = "Hemolysis: 0 to 4, or - if nobody looked"; event.preventDefault(); return; }
    } else if (/^[0-4wmsxpufdt]$/.test(pressed)) name = pressed;
    else if (pressed === "h") {
      prefix = true;
      byId("line").textContent = "Hemolysis: 0 to 4?";
      event.preventDefault();
      return;
    } else if (pressed === "Enter") name = "enter";
    else if (pressed === "ArrowDown" || pressed === "ArrowRight") name = "down";
    else if (pressed === "ArrowUp" || pressed === "ArrowLeft") name = "up";
    if (!name) return;
    event.preventDefault();
    // A key that is held down, or bounces under a wet glove, counts once.
    const now = performance.now();
    const again = event.repeat && !name.startsWith("down") && !name.startsWith("up");
    if (again) return;
    last = { key: name, at: now };
    key(name);
  });

  bench.addEventListener("click", (event) => {
    const slot = event.target.closest("a.slot");
    if (!slot) return;
    event.preventDefault();
    if (slot.dataset.cell === bench.dataset.cell) { slot.focus(); return; }
    slot.focus();
    key("go", { target: slot.dataset.cell });
  });

  let tapped = { value: "", at: 0 };
  bench.addEventListener("submit", (event) => {
    const form = event.target, button = event.submitter;
    const values = Object.fromEntries(new FormData(form));
    delete values.form_token;
    if (button && button.name) values[button.name] = button.value;
    event.preventDefault();
    // The same button within 300 ms is a bounce of a wet glove.
    const now = performance.now();
    if (button && tapped.value === button.value && now - tapped.at < 300) return;
    tapped = { value: button ? button.value : "", at: now };
    if (form.id === "pad") values.cell = bench.dataset.cell;
    send({ values, to: form.getAttribute("action") });
    if (form.id !== "pad" && form.id !== "clocks") focusCell();
  });

  // What others enter, in this browser or another.
  const follow = async () => {
    for (;;) {
      await pause(1500);
      if (busy || held || queue.length) continue;
      const at = new URLSearchParams({ seen: bench.dataset.last, cell: bench.dataset.cell, ...all() });
      try {
        const answer = await fetch(bench.dataset.read + "/since?" + at, { headers: { "x-crossread": "1" } });
        if (busy || queue.length || prefix) continue;
        if (answer.status === 200) {
          const line = byId("line").textContent;
          const html = await answer.text();
          if (!busy && !queue.length) { show(html); if (line) byId("line").textContent = line; }
        }
        document.body.classList.remove("away");
      } catch {
        document.body.classList.add("away");
      }
    }
  };

  rove();
  focusCell();
  follow();
})();
