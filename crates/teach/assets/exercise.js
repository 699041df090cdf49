"use strict";
// Practice without a server. The keys are in this file, encoded so that they are not read by chance.
(() => {
  const bytes = Uint8Array.from(atob(document.getElementById("keys").textContent.trim()), (c) => c.charCodeAt(0));
  const keys = JSON.parse(new TextDecoder().decode(bytes));
  const form = document.getElementById("exercise");
  const told = document.getElementById("told");
  const answers = document.getElementById("answers");
  const quoted = (text) => /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  const percent = (hundredths, items) => items ? (hundredths / items).toFixed(1) : "0.0";

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const student = document.getElementById("student").value.trim();
    if (!student) {
      told.textContent = "Write your name first: it stands beside each answer.";
      document.getElementById("student").focus();
      return;
    }
    let score = 0, critical = 0, empty = 0;
    const lines = ["item,student,answer"];
    for (const item of Object.keys(keys.items)) {
      const chosen = form.querySelector(`input[name="${item}"]:checked`);
      const said = document.getElementById(`said-${item}`);
      lines.push([item, student, chosen ? chosen.value : ""].map(quoted).join(","));
      if (!chosen) {
        empty += 1;
        said.textContent = "Not answered.";
        said.className = "said";
        continue;
      }
      const [points, fails, feedback] = keys.items[item][chosen.value];
      score += points;
      critical += fails ? 1 : 0;
      said.textContent = feedback;
      said.className = fails ? "said fails" : "said";
    }
    const items = Object.keys(keys.items).length;
    const share = percent(score, items);
    const passed = critical === 0 && score >= keys.pass * items;
    told.textContent = `${passed ? "Passed" : "Failed"}: ${share} %, ${critical} critical ` +
      `error${critical === 1 ? "" : "s"}, ${empty} not answered. ` +
      (critical ? "One critical error fails the set at any percentage." : "");
    told.focus();
    answers.value = lines.join("\r\n") + "\r\n";
    document.getElementById("taken").hidden = false;
  });
})();
