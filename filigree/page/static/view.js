// The view of the drawing: nearer, farther, moved; in mm of the drawing.
const svg = document.getElementById("drawing");
const MARGIN = 5;
const NEAREST = 40;
let whole = [0, 0, 100, 100];
let view = whole;
let told = () => {};

export function onView(does) {
  told = does;
}

// Lay a box in view, as large as the bench allows.
export function fit([left, top, right, bottom]) {
  whole = [left - MARGIN, top - MARGIN, right - left + 2 * MARGIN, bottom - top + 2 * MARGIN];
  show(whole);
}

export function show(next) {
  const wide = Math.min(Math.max(next[2], whole[2] / NEAREST), whole[2] * 1.5);
  view = [next[0], next[1], wide, wide * whole[3] / whole[2]];
  svg.setAttribute("viewBox", view.join(" "));
  told(view, whole);
}

export function again() {
  told(view, whole);
}

export function showWhole() {
  show(whole);
}

export function goTo([x, y]) {
  const wide = Math.min(whole[2], Math.max(60, whole[2] / 8));
  show([x - wide / 2, y - wide * whole[3] / whole[2] / 2, wide, 0]);
}

export function closer(by, [x, y] = [view[0] + view[2] / 2, view[1] + view[3] / 2]) {
  const wide = Math.min(Math.max(view[2] / by, whole[2] / NEAREST), whole[2] * 1.5);
  const share = wide / view[2];
  show([x - (x - view[0]) * share, y - (y - view[1]) * share, wide, 0]);
}

export function shift(dx, dy) {
  show([view[0] + dx, view[1] + dy, view[2], 0]);
}

// Where a pointer is, mm.
export function place(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x, at.y];
}

// How many mm a pixel of the screen is.
export function pixel() {
  return 1 / svg.getScreenCTM().a;
}

svg.addEventListener("wheel", (event) => {
  event.preventDefault();
  closer(event.deltaY < 0 ? 1.2 : 1 / 1.2, place(event));
}, { passive: false });
document.getElementById("closer").addEventListener("click", () => closer(1.25));
document.getElementById("further").addEventListener("click", () => closer(0.8));
document.getElementById("whole").addEventListener("click", showWhole);
