// What a touch does: it opens or keeps a field, colours, or draws a line between two places.
import * as colours from "./colours.js";
import { does } from "./doing.js";
import * as drawing from "./drawing.js";
import * as fields from "./fields.js";
import * as lines from "./lines.js";
import { onPointer } from "./pointer.js";
import { closer, showWhole } from "./view.js";

const svg = document.getElementById("drawing");
const told = document.getElementById("told");
const SAY = {
  toggle: "Touch a field to open or keep it. By keyboard: Tab into the drawing, arrow keys, Space.",
  colour: "Touch an opening, or brush over several; Shift and drag moves the piece. By keyboard: Space, or write the numbers.",
  close: "Draw from one end of the gap to the other, or touch both; or choose one of the gaps that were found.",
  bridge: "Draw across an opening, or touch both sides of it.",
  scale: "Touch two places whose distance you know, and write it.",
};
let page = null;
let inHand = null;

function take(id, words = page.words(id)) {
  inHand = id;
  drawing.mark(id);
  fields.here(id);
  told.textContent = words;
}

export function show(now, fresh) {
  if (fresh) inHand = null;
  if (inHand !== null) take(inHand);
  else drawing.mark(null);
}

function touched(id, at) {
  const what = does();
  if (what !== "toggle" && what !== "colour") return lines.touched(at);
  if (id === null) return;
  take(id);
  if (what === "toggle") page.toggle(id);
  else colours.behind([id]);
}

function changed() {
  for (const one of document.querySelectorAll("[data-hand]")) one.hidden = one.dataset.hand !== does();
  told.textContent = SAY[does()];
  svg.classList.toggle("colouring", does() === "colour");
  lines.forget();
}

export function begin(the) {
  page = the;
  page.take = take;
  document.getElementById("hand").addEventListener("change", changed);
  onPointer({
    strokes: () => does() !== "toggle",
    tap: (event, at) => touched(drawing.fieldOf(event.target), at),
    stroke: (event, from, at) => (does() === "colour" ? colours.brush(event) : lines.drawn(from, at)),
    done: (event, from, at) => (does() === "colour" ? colours.brushedOver() : lines.drew(from, at)),
    dropped: () => (does() === "colour" ? colours.dropBrush() : lines.forget()),
  });
  svg.addEventListener("pointerover", (event) => {
    const id = drawing.fieldOf(event.target);
    if (id !== null && page.state && event.pointerType === "mouse" && !event.buttons) told.textContent = page.words(id);
  });
  svg.addEventListener("focusin", (event) => {
    const id = drawing.fieldOf(event.target);
    if (id !== null && page.state) take(id);
  });
  svg.addEventListener("keydown", keyed);
}

function keyed(event) {
  const here = drawing.fieldOf(event.target);
  const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (by && here !== null) drawing.next(here, by).shape.focus();
  else if ((event.key === " " || event.key === "Enter") && here !== null) touched(here, drawing.known(here).at);
  else if (event.key === "Escape") lines.forget();
  else if (event.key === "+" || event.key === "=") closer(1.25, here === null ? undefined : drawing.known(here).at);
  else if (event.key === "-") closer(0.8);
  else if (event.key === "0") showWhole();
  else return;
  event.preventDefault();
}
