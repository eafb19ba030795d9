// Mending: shown first, then accepted place by place.
import * as drawing from "./drawing.js";
import { button, keeping, row, ticked } from "./rows.js";
import { now, send } from "./talk.js";

const by = (id) => document.getElementById(id);
const place = ({ how, at }) => ({ how, at });
let page = null;
let preview = null;

export function begin(the) {
  page = the;
  by("preview").addEventListener("click", () => look(page.state.mended ? page.state.mended.left.map(place) : [], false));
  by("accept").addEventListener("click", () => look(preview.left.map(place), true));
  by("refuse").addEventListener("click", () => show());
  by("unmend").addEventListener("click", () => page.change("unmend", {}));
}

async function look(left, accept) {
  const told = await send("mend", () => ({ turn: now(), left, accept }));
  if (!told) return;
  if (accept || !told.preview) return page.show(told);
  preview = told.preview;
  lay(preview);
}

function choosePlace(entry, on) {
  const same = (other) => other.how === entry.how && other.at[0] === entry.at[0] && other.at[1] === entry.at[1];
  const left = preview.left.filter((other) => !same(other)).map(place);
  look(on ? left : [...left, place(entry)], false);
}

export function show() {
  preview = null;
  lay(page.state.mended);
}

function lay(told) {
  drawing.added(told ? told.changes : [], page.state.face, preview !== null);
  list(told);
  by("accept").hidden = preview === null || (!preview.changes.length && !preview.left.length);
  by("refuse").hidden = preview === null;
  by("preview").hidden = preview !== null;
  by("unmend").hidden = preview !== null || !page.state.mended;
  const head = preview ? (told.changes.length ? "With the ticked changes" : "Mending would change nothing") : "Mended";
  by("mend-said").textContent = told ? `${head}: ${told.verdict}` : "";
}

function list(told) {
  const changes = by("changes");
  keeping(changes, () => {
    if (!told) return;
    if (told.listed) row(changes, told.listed);
    for (const [kind, entries] of [["change", told.changes], ["left", told.left]])
      entries.forEach((entry, k) => {
        const words = kind === "change" ? [entry.why, entry.widths].filter(Boolean).join(" ") : `Left as drawn at ${entry.at.map((v) => v.toFixed(1)).join(", ")} mm.`;
        const there = button("Show", () => drawing.goTo(entry.at));
        there.setAttribute("aria-label", `Show: ${words}`);
        if (preview === null) return void row(changes, words, there);
        const [label, box] = ticked(words, kind === "change", (on) => choosePlace(entry, on));
        box.dataset.key = `${kind}-${k}`;
        row(changes, label, there);
      });
    for (const words of told.unmended) row(changes, `Stays: ${words}`);
  });
}
