// Lines between two places: closing a gap, drawing a bridge, measuring. By pointer, or written in mm.
import { does } from "./doing.js";
import * as drawing from "./drawing.js";
import { say } from "./talk.js";
import { pixel } from "./view.js";

const by = (id) => document.getElementById(id);
const NEAR = 16; // pixels within which an end of a line is meant
const OFFERED = 60;
const FEW = 6; // gaps that are listed unfolded
let page = null;
let spots = [];

const written = (at, places = 2) => at.map((v) => v.toFixed(places)).join(", ");
const ends = () => [...by(does()).querySelectorAll("[data-end]")];

function read(text) {
  const numbers = text.split(/[,;\s]+/).filter(Boolean).map(Number);
  return numbers.length === 2 && numbers.every(Number.isFinite) ? numbers : null;
}

// When a gap is closed, an end of a line that is near is what was meant.
function meant(at) {
  if (does() !== "close") return at;
  const reach = NEAR * pixel();
  let best = at;
  let least = reach;
  for (const end of page.piece.ends) {
    const off = Math.hypot(end[0] - at[0], end[1] - at[1]);
    if (off < least) [best, least] = [end, off];
  }
  return best;
}

export function touched(at) {
  mark([...(spots.length === 2 ? [] : spots), meant(at)]);
  if (spots.length === 2) drew(...spots);
}

export function drawn(from, at) {
  drawing.points([meant(from)], meant(at));
}

export function drew(from, at) {
  mark([meant(from), meant(at)]);
  if (does() === "scale") by("length").focus();
  else submit();
}

export function forget() {
  mark([]);
  drawing.gaps(does() === "close" && page.piece ? page.piece.gaps : []);
}

function mark(now) {
  spots = now;
  if (page.piece) drawing.points(spots);
  if (page.piece && does() in SENDS) ends().forEach((box, k) => { box.value = spots[k] ? written(spots[k]) : ""; });
}

const SENDS = {
  close: () => ({}),
  bridge: () => ({ width: by("wide").value }),
  scale: () => ({ length: Number(by("length").value.replace(",", ".")) }),
};

async function submit() {
  const what = does();
  const [start, end] = ends().map((box) => read(box.value));
  if (!start || !end) return say("Two places are needed, in mm from the left and the top of the page, like 10, 20 and 90, 20.");
  const more = SENDS[what]();
  if (what === "scale" && !(more.length > 0)) return say("What lies between the two, in mm?");
  await page.change(what, { start, end, ...more });
  forget();
}

export function begin(the) {
  page = the;
  for (const what of Object.keys(SENDS))
    by(what).addEventListener("submit", (event) => {
      event.preventDefault();
      submit();
    });
}

function chip(list, words, label, does_) {
  const item = document.createElement("li");
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
  made.setAttribute("aria-label", label);
  made.addEventListener("click", does_);
  item.append(made);
  list.append(item);
  return made;
}

// Gaps that were found: each is named by its place, and shown on the drawing while it has the focus.
function found(gaps) {
  by("gaps").replaceChildren();
  by("gaps-found").hidden = !gaps.length;
  by("gaps-found").open = gaps.length <= FEW;
  by("gaps-found").firstChild.textContent = gaps.length > OFFERED ? `Gaps that were found: ${gaps.length}, the first ${OFFERED} of them here` : `Gaps that were found: ${gaps.length}`;
  for (const gap of gaps.slice(0, OFFERED)) {
    const where = written(gap.start, 0);
    const made = chip(by("gaps"), `${gap.width} mm at ${where}`, `Close the gap of ${gap.width} mm at ${where} mm`, () => page.change("close", { start: gap.start, end: gap.end }));
    made.addEventListener("focus", () => drawing.goTo(gap.start));
  }
}

export function show(the, fresh) {
  const { close, bridge, wide } = page.state.byhand;
  by("wide").placeholder = wide;
  if (fresh) found(page.piece.gaps);
  for (const [id, what, word, list] of [["lines", "close", "line", close], ["bridges", "bridge", "bridge", bridge]]) {
    by(id).replaceChildren();
    list.forEach((one, k) => chip(by(id), `Take ${word} ${k + 1} away`, `Take away ${word} ${k + 1} from ${written(one.start)} to ${written(one.end)} mm`, () => page.change("without", { what, number: k })));
  }
  if (fresh) forget();
}
