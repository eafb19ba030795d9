// What to do: the findings, stops first, then cautions of one kind together.
import * as drawing from "./drawing.js";
import { button, keeping, row } from "./rows.js";

const list = document.getElementById("findings");
const opened = new Set();

export function show(page) {
  const groups = new Map();
  page.state.findings.forEach((finding, k) => {
    const key = `${finding.severity}: ${finding.group}`;
    groups.set(key, [...(groups.get(key) ?? []), [finding, k]]);
  });
  keeping(list, () => {
    if (!groups.size) list.append(Object.assign(document.createElement("p"), { textContent: "Nothing to mend." }));
    for (const [key, rows] of groups) group(key, rows, rows[0][0].severity === "stop" || groups.size === 1);
  });
}

function group(key, rows, first) {
  const [{ severity, group: name }] = rows[0];
  const fold = document.createElement("details");
  fold.className = severity;
  fold.open = first !== opened.has(key);
  fold.addEventListener("toggle", () => opened[fold.open !== first ? "add" : "delete"](key));
  const head = document.createElement("summary");
  const word = Object.assign(document.createElement("b"), { textContent: severity });
  head.append(word, ` ${name}: ${rows.length}`);
  head.dataset.key = key;
  const inner = document.createElement("ol");
  fold.append(head, inner);
  list.append(fold);
  if (fold.open) fill(inner, rows);
  else fold.addEventListener("toggle", () => fill(inner, rows), { once: true });
}

function fill(inner, rows) {
  for (const [finding, k] of rows) {
    const made = button(`${k + 1}. ${finding.say}`, () => {
      for (const other of list.querySelectorAll("[aria-current]")) other.removeAttribute("aria-current");
      made.setAttribute("aria-current", "true");
      drawing.goTo(finding.at, k);
    });
    made.dataset.key = `finding-${k}`;
    if (finding.why) made.title = finding.why;
    row(inner, made);
  }
}
