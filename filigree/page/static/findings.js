// What to do: the findings, stops first, then cautions of one kind together.
import * as drawing from "./drawing.js";
import { button, keeping, row } from "./rows.js";

const list = document.getElementById("findings");
const opened = new Set();
const MOST = 60; // rows of one kind that are laid out at once
let shown = null;

export function show(page) {
  if (page.state.findings === shown) return;
  shown = page.state.findings;
  const groups = new Map();
  shown.forEach((finding, k) => {
    const key = `${finding.severity}: ${finding.group}`;
    if (!groups.has(key)) groups.set(key, []);
    groups.get(key).push([finding, k]);
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

function fill(inner, rows, from = 0) {
  for (const [finding, k] of rows.slice(from, from + MOST)) {
    const made = button(`${k + 1}. ${finding.say}`, () => {
      for (const other of list.querySelectorAll("[aria-current]")) other.removeAttribute("aria-current");
      made.setAttribute("aria-current", "true");
      drawing.goTo(finding.at, k);
    });
    made.dataset.key = `finding-${k}`;
    if (finding.why) made.title = finding.why;
    row(inner, made);
  }  const left = rows.length - from - MOST;
  if (left <= 0) return;
  const more = row(inner, button(`Show ${Math.min(left, MOST)} more of ${left}`, () => {
    more.remove();
    fill(inner, rows, from + MOST);
    inner.children[from + MOST].firstChild.focus();
  }));
}
