"use strict";
const svg = document.querySelector("svg");
const told = document.getElementById("told");
const whole = svg.getAttribute("viewBox").split(" ").map(Number);
let view = [...whole];
for (const part of document.querySelectorAll(".live")) part.hidden = false;

function show(next) {
  const wide = Math.min(Math.max(next[2], whole[2] / 40), whole[2] * 1.5);
  const high = wide * whole[3] / whole[2];
  view = [next[0] + (next[2] - wide) / 2, next[1] + (next[3] - high) / 2, wide, high];
  svg.setAttribute("viewBox", view.join(" "));
  size();
}
const marks = [...svg.querySelectorAll(".tag")].map((tag) => [tag, tag.getAttribute("transform")]);
const numbers = [...svg.querySelectorAll("#layer-numbers text")].map((text) =>
  [text, ...["font-size", "y", "stroke-width"].map((name) => Number(text.getAttribute(name)))]);
// Marks and numbers grow less than the piece; while the whole of it is in view, many of them are but dots.
function size() {
  const share = Math.sqrt(view[2] / whole[2]);
  svg.classList.toggle("far", view[2] > whole[2] * 0.6 && marks.length > 12);
  for (const [tag, at] of marks) tag.setAttribute("transform", `${at} scale(${share})`);
  for (const [text, high, y, edge] of numbers) {
    text.setAttribute("font-size", high * share);
    text.setAttribute("stroke-width", edge * share);
    text.setAttribute("y", y - 0.36 * high * (1 - share));
  }
}
function place(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x, at.y];
}
function closer(by, [x, y] = [view[0] + view[2] / 2, view[1] + view[3] / 2]) {
  const wide = Math.min(Math.max(view[2] / by, whole[2] / 40), whole[2] * 1.5);
  const share = wide / view[2];
  show([x - (x - view[0]) * share, y - (y - view[1]) * share, wide, view[3] * share]);
}
svg.addEventListener("wheel", (event) => {
  event.preventDefault();
  closer(event.deltaY < 0 ? 1.2 : 1 / 1.2, place(event));
}, { passive: false });

const fingers = new Map();
let held = null;
svg.addEventListener("pointerdown", (event) => {
  fingers.set(event.pointerId, event);
  held = place(event);
});
svg.addEventListener("pointermove", (event) => {
  if (!fingers.has(event.pointerId)) return;
  const before = fingers.get(event.pointerId);
  if (fingers.size === 2) {
    const other = [...fingers.values()].find((f) => f.pointerId !== event.pointerId);
    const apart = (f) => Math.hypot(f.clientX - other.clientX, f.clientY - other.clientY);
    if (apart(before) > 0) closer(apart(event) / apart(before), place(other));
  } else if (Math.hypot(event.movementX, event.movementY) > 0) {
    const now = place(event);
    show([view[0] + held[0] - now[0], view[1] + held[1] - now[1], view[2], view[3]]);
  }
  fingers.set(event.pointerId, event);
});
for (const kind of ["pointerup", "pointercancel", "pointerleave"])
  svg.addEventListener(kind, (event) => fingers.delete(event.pointerId));

const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
svg.addEventListener("keydown", (event) => {
  if (event.key === "+" || event.key === "=") closer(1.25);
  else if (event.key === "-") closer(0.8);
  else if (event.key === "0") show(whole);
  else if (event.key in step && event.target === svg) {
    const [x, y] = step[event.key];
    show([view[0] + x * view[2] / 8, view[1] + y * view[3] / 8, view[2], view[3]]);
  } else if (event.key in step) {
    const next = event.key === "ArrowRight" || event.key === "ArrowDown" ? 1 : -1;
    const here = openings.indexOf(event.target);
    openings[(here + next + openings.length) % openings.length].focus();
  } else return;
  event.preventDefault();
});

const openings = [...document.querySelectorAll(".opening")];
openings.forEach((opening, k) => {
  opening.setAttribute("tabindex", k ? "-1" : "0");
  const tell = () => { told.textContent = opening.getAttribute("aria-label"); };
  opening.addEventListener("pointerenter", tell);
  opening.addEventListener("focus", () => {
    for (const other of openings) other.setAttribute("tabindex", other === opening ? "0" : "-1");
    tell();
  });
});

for (const button of document.querySelectorAll("[data-finding]")) {
  button.addEventListener("click", () => {
    const [x, y] = button.dataset.at.split(",").map(Number);
    const wide = Math.min(whole[2], Math.max(60, whole[2] / 8));
    const high = wide * whole[3] / whole[2];
    show([x - wide / 2, y - high / 2, wide, high]);
    for (const other of document.querySelectorAll("[aria-current]")) other.removeAttribute("aria-current");
    button.setAttribute("aria-current", "true");
    for (const mark of svg.querySelectorAll(".here")) mark.classList.remove("here");
    document.getElementById(`finding-${button.dataset.finding}`).classList.add("here");
    told.textContent = button.textContent;
  });
}
for (const box of document.querySelectorAll("[data-layer]"))
  box.addEventListener("change", () => {
    document.getElementById(`layer-${box.dataset.layer}`).style.display = box.checked ? "" : "none";
  });
for (const well of document.querySelectorAll("[data-colour]"))
  well.addEventListener("input", () => svg.style.setProperty(well.dataset.colour, well.value));
document.getElementById("closer").addEventListener("click", () => closer(1.25));
document.getElementById("further").addEventListener("click", () => closer(0.8));
document.getElementById("whole").addEventListener("click", () => show(whole));
addEventListener("beforeprint", () => {
  show(whole);
  svg.classList.remove("far");
  for (const fold of document.querySelectorAll("details")) fold.open = true;
});
size();
