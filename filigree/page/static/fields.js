// The numbered list of fields, doubtful ones first; list and picture answer to each other.
import { button, keeping, row, ticked } from "./rows.js";

const by = (id) => document.getElementById(id);
const MOST = 200; // rows that are laid out at once
let page = null;
let shown = null;
let unfolded = false;

const folded = by("sure-ones");

export function begin(the) {
  page = the;
  folded.addEventListener("toggle", () => page.state?.fields && show());
}

function field(list, known, now) {
  const why = now.rim ? "rim" : now.how === "guessed" ? `guessed, ${now.sure} % sure` : now.how;
  const [label, box] = ticked(`${known.id}: ${known.area} mm2, ${why}`, now.open, (on) => page.pick(known.id, on ? "open" : "keep"));
  box.dataset.key = `field-${known.id}`;
  box.addEventListener("focus", () => page.take(known.id));
  const made = row(list, label);
  made.dataset.row = known.id;
  if (now.doubtful) {
    const right = button("That is right", () => page.pick(known.id, now.open ? "open" : "keep"));
    right.setAttribute("aria-label", `Field ${known.id}: ${now.open ? "it comes out" : "it stays"}, that is right`);
    made.append(right);
  }
  if (now.how === "picked") {
    const back = button("As guessed", () => page.pick(known.id, "guess"));
    back.setAttribute("aria-label", `Field ${known.id} as guessed`);
    made.append(back);
  }
}

export function show() {
  if (page.state.fields === shown && folded.open === unfolded) return;
  [shown, unfolded] = [page.state.fields, folded.open];
  const doubtful = shown.filter((one) => one.doubtful).sort((a, b) => a.sure - b.sure || a.id - b.id);
  const sure = shown.filter((one) => !one.doubtful);
  for (const [list, rows] of [[by("doubtful"), doubtful], [by("sure"), folded.open ? sure : []]])
    keeping(list, () => fill(list, rows));
  by("doubtful-title").textContent = doubtful.length ? `To look at first: ${doubtful.length}` : "No doubtful field";
  by("sure-title").textContent = `The sure ones: ${sure.length}`;
}

function fill(list, rows, from = 0) {
  for (const now of rows.slice(from, from + MOST)) field(list, page.known(now.id), now);
  const left = rows.length - from - MOST;
  if (left <= 0) return;
  const more = row(list, button(`Show ${Math.min(left, MOST)} more of ${left}`, () => {
    more.remove();
    fill(list, rows, from + MOST);
    list.children[from + MOST].querySelector("input").focus();
  }));
}

export function here(id) {
  for (const one of document.querySelectorAll("[data-row]")) {
    const is = one.dataset.row === String(id);
    one.classList.toggle("here", is);
    if (is && one.offsetParent && !one.contains(document.activeElement)) one.scrollIntoView({ block: "nearest" });
  }
}
