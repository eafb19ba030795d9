// The drawing: its fields, what becomes of each, the weak places; zoom, pan, keyboard.
const NS = "http://www.w3.org/2000/svg";
const svg = document.getElementById("drawing");
const MARGIN = 5;
let whole = [0, 0, 100, 100];
let view = whole;
let fields = new Map();
let act = () => {};
let tell = () => {};

function make(name, values, into) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(values)) made.setAttribute(key, value);
  into.append(made);
  return made;
}

export function onField(does, hover) {
  act = does;
  tell = hover;
}

export function lay(piece) {
  svg.replaceChildren();
  const [left, top, right, bottom] = piece.box;
  whole = [left - MARGIN, top - MARGIN, right - left + 2 * MARGIN, bottom - top + 2 * MARGIN];
  fields = new Map();
  const group = make("g", {}, svg);
  make("path", { class: "lines", d: piece.lines }, svg);
  make("path", { class: "outline", d: piece.outline }, svg);
  make("g", { id: "added", "aria-hidden": "true" }, svg);
  for (const field of piece.fields) {
    const shape = make("path", { class: "field", d: field.d, "fill-rule": "evenodd", role: "checkbox", "data-field": field.id, tabindex: "-1" }, group);
    const size = Math.min(3, Math.max(1.1, 2 * field.room / (0.65 * String(field.id).length + 0.5)));
    const number = make("text", { class: "number", x: field.at[0], "aria-hidden": "true" }, svg);
    fields.set(field.id, { ...field, size, shape, number });
  }
  fields.values().next().value?.shape.setAttribute("tabindex", "0");
  for (const id of ["weak", "points"]) make("g", { id, "aria-hidden": "true" }, svg);
  show(whole);
}

export function paint(state) {
  for (const field of state.fields) {
    const { shape, number, area } = fields.get(field.id);
    shape.setAttribute("fill", field.open && field.colour ? field.colour : state.face);
    shape.setAttribute("aria-checked", field.open);
    shape.setAttribute("aria-label", `Field ${field.id}, ${area} mm2, ${field.open ? "comes out" : "stays"}${field.doubtful ? ", doubtful" : ""}`);
    number.textContent = `${field.id}${field.doubtful ? "?" : ""}`;
    number.classList.toggle("doubtful", field.doubtful);
  }
  const weak = svg.querySelector("#weak");
  const here = weak.querySelector(".spot.here")?.dataset.spot;
  weak.replaceChildren();
  state.findings.forEach((finding, k) => {
    let [x, y] = finding.at;
    if (finding.ends) {
      const [[x1, y1], [x2, y2]] = finding.ends;
      make("line", { class: "under", x1, y1, x2, y2 }, weak);
      make("line", { class: "across", x1, y1, x2, y2 }, weak);
      x += 2.6;
      y -= 2.6;
    }
    const stop = finding.severity === "stop";
    const spot = make("g", { class: "mark", "data-x": x, "data-y": y }, weak);
    make("circle", { class: "spot", r: k < 9 ? 1.5 : 1.9, fill: stop ? "#000" : "#fff", "data-spot": k }, spot);
    make("text", { class: "spotted", y: 0.75, fill: stop ? "#fff" : "#000" }, spot).textContent = k + 1;
  });
  weak.querySelector(`[data-spot="${here}"]`)?.classList.add("here");
  show(view);
}

export function added(changes, face) {
  const group = svg.querySelector("#added");
  group.replaceChildren();
  for (const change of changes) make("path", { class: "added", d: change.d, fill: face, "fill-rule": "evenodd" }, group);
}

export function points(spots) {
  const group = svg.querySelector("#points");
  group.replaceChildren();
  for (const [x, y] of spots) make("path", { class: "point", d: `M${x - 2},${y}H${x + 2}M${x},${y - 2}V${y + 2}` }, group);
}

export function mark(id) {
  for (const field of fields.values()) {
    field.shape.classList.toggle("here", field.id === id);
    field.shape.setAttribute("tabindex", field.id === id ? "0" : "-1");
  }
  if (!fields.has(id)) fields.values().next().value?.shape.setAttribute("tabindex", "0");
}

export function goTo([x, y], spot) {
  const wide = Math.min(whole[2], Math.max(60, whole[2] / 8));
  show([x - wide / 2, y - wide * whole[3] / whole[2] / 2, wide, 0]);
  for (const circle of svg.querySelectorAll(".spot")) circle.classList.toggle("here", circle.dataset.spot === String(spot));
}

export function goToField(id) {
  goTo(fields.get(id).at);
}

function show(next) {
  const wide = Math.min(Math.max(next[2], whole[2] / 40), whole[2] * 1.5);
  view = [next[0], next[1], wide, wide * whole[3] / whole[2]];
  svg.setAttribute("viewBox", view.join(" "));
  const share = Math.sqrt(wide / whole[2]);
  for (const { number, size, at } of fields.values()) {
    number.setAttribute("font-size", size * share);
    number.setAttribute("stroke-width", size * share * 0.2);
    number.setAttribute("y", at[1] + size * share * 0.36);
  }
  for (const spot of svg.querySelectorAll(".mark")) spot.setAttribute("transform", `translate(${spot.dataset.x},${spot.dataset.y}) scale(${share})`);
}

function place(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x, at.y];
}

export function closer(by, [x, y] = [view[0] + view[2] / 2, view[1] + view[3] / 2]) {
  const wide = Math.min(Math.max(view[2] / by, whole[2] / 40), whole[2] * 1.5);
  const share = wide / view[2];
  show([x - (x - view[0]) * share, y - (y - view[1]) * share, wide, 0]);
}

export function showWhole() {
  show(whole);
}

svg.addEventListener("wheel", (event) => {
  event.preventDefault();
  closer(event.deltaY < 0 ? 1.2 : 1 / 1.2, place(event));
}, { passive: false });

const fingers = new Map();
let held = null;
let moved = false;
svg.addEventListener("pointerdown", (event) => {
  if (fingers.size === 0) moved = false;
  fingers.set(event.pointerId, event);
  held = { at: place(event), x: event.clientX, y: event.clientY };
});
window.addEventListener("pointermove", (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) return;
  if (fingers.size === 2) {
    const other = [...fingers.values()].find((f) => f.pointerId !== event.pointerId);
    const apart = (f) => Math.hypot(f.clientX - other.clientX, f.clientY - other.clientY);
    if (apart(before) > 0) closer(apart(event) / apart(before), place(other));
    moved = true;
  } else if (moved || Math.hypot(event.clientX - held.x, event.clientY - held.y) > 6) {
    moved = true;
    const now = place(event);
    show([view[0] + held.at[0] - now[0], view[1] + held.at[1] - now[1], view[2], 0]);
  }
  fingers.set(event.pointerId, event);
});
for (const kind of ["pointerup", "pointercancel"]) window.addEventListener(kind, (event) => fingers.delete(event.pointerId));

function fieldOf(event) {
  const id = Number(event.target.dataset?.field);
  return fields.has(id) ? id : null;
}
svg.addEventListener("click", (event) => {
  if (!moved) act(fieldOf(event), place(event));
});
svg.addEventListener("pointerover", (event) => tell(fieldOf(event), false));
svg.addEventListener("focusin", (event) => tell(fieldOf(event), true));
svg.addEventListener("keydown", (event) => {
  const here = fieldOf(event);
  const ids = [...fields.keys()];
  const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (by && here !== null) fields.get(ids[(ids.indexOf(here) + by + ids.length) % ids.length]).shape.focus();
  else if ((event.key === " " || event.key === "Enter") && here !== null) act(here, fields.get(here).at);
  else if (event.key === "+" || event.key === "=") closer(1.25, here === null ? undefined : fields.get(here).at);
  else if (event.key === "-") closer(0.8);
  else if (event.key === "0") showWhole();
  else return;
  event.preventDefault();
});
