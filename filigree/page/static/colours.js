// Colours behind the openings: for one, for several brushed over or named by number, or for all.
import * as drawing from "./drawing.js";
import { say } from "./talk.js";

const by = (id) => document.getElementById(id);
let page = null;
let brushed = new Set();

const chosen = () => document.querySelector("input[name=colour]:checked").value;
const shade = () => page.piece.palette[chosen()] ?? chosen();

export function behind(ids) {
  const open = ids.filter((id) => page.field(id)?.open);
  if (!open.length) return say("Only what comes out has a colour behind it; open the field first.");
  page.change("colour", { fields: open, colour: chosen() });
}

export function brush(event) {
  const id = drawing.fieldOf(document.elementFromPoint(event.clientX, event.clientY));
  if (id === null || brushed.has(id) || !page.field(id).open) return;
  brushed.add(id);
  drawing.brushed(brushed, shade());
}

export function brushedOver() {
  const ids = [...brushed];
  brushed = new Set();
  if (ids.length) behind(ids);
}

export function dropBrush() {
  brushed = new Set();
  drawing.brushed(brushed, "");
}

// Numbers as written: "3, 5-9"; null when they are none.
export function numbersIn(text) {
  const out = [];
  for (const word of text.split(/[,\s]+/).filter(Boolean)) {
    const found = /^(\d{1,6})(?:-(\d{1,6}))?$/.exec(word);
    if (!found) return null;
    const [first, last] = [Number(found[1]), Number(found[2] ?? found[1])];
    for (let id = first; id <= Math.min(last, first + 9999); id += 1) out.push(id);
  }
  return out.length ? out : null;
}

export function begin(the) {
  page = the;
  by("paint").addEventListener("submit", (event) => {
    event.preventDefault();
    const numbers = numbersIn(by("numbers").value);
    if (!numbers) return say("Write the numbers of the openings, like 3, 5-9.");
    behind(numbers);
  });
  by("all").addEventListener("click", () => page.change("colour", { fields: [], colour: chosen() }));
  by("face").addEventListener("change", () => page.change("settings", { settings: { "face.colour": by("face").value } }));
}

export function show(the, fresh) {
  if (fresh) palette(page.state.settings["inlay.colour"]);
  const face = page.state.settings["face.colour"];
  if (![...by("face").options].some((option) => option.value === face)) by("face").prepend(new Option(face, face));
  by("face").value = face;
}

function palette(inlay) {
  const names = Object.keys(page.piece.palette);
  by("face").replaceChildren(...names.map((name) => new Option(name, name)));
  const list = by("swatches");
  for (const old of list.querySelectorAll("label")) old.remove();
  for (const name of names.includes(inlay) ? names : [inlay, ...names]) {
    const label = document.createElement("label");
    label.title = name;
    const box = Object.assign(document.createElement("input"), { type: "radio", name: "colour", value: name, checked: name === inlay });
    box.setAttribute("aria-label", name);
    box.style.backgroundColor = page.piece.palette[name] ?? name;
    label.append(box);
    list.append(label);
  }
}
