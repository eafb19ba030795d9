// The drawing on the bench: inlay, face with its thickness, lines, fields to touch, weak places.
import * as view from "./view.js";

const NS = "http://www.w3.org/2000/svg";
const svg = document.getElementById("drawing");
const GRAIN = [[0.6, 0.9, 0.17], [2.3, 0.4, 0.12], [3.9, 1.3, 0.15], [1.5, 2.4, 0.13], [3.1, 2.9, 0.18], [0.4, 3.8, 0.12], [2.2, 4.3, 0.16], [4.3, 4.1, 0.11], [5.6, 0.7, 0.15], [6.4, 2.2, 0.13], [5.2, 3.1, 0.12], [6.0, 4.6, 0.17], [0.9, 5.7, 0.14], [2.9, 5.9, 0.12], [4.6, 5.6, 0.16], [6.5, 6.3, 0.12], [1.9, 1.3, 0.1], [4.9, 2.1, 0.1], [3.6, 6.6, 0.1]];
const MANY = 800; // fields above which neither grain nor shade is drawn, to stay quick
let fields = new Map();
let outline = "";
let land = null;
let shown = null;
let scale = null; // of the view: its share of the whole as a root, mm of a pixel, its share of the whole
let reached = null; // shape that Tab comes to
let painted = new Map();
let marks = new Map();

function make(name, values, into) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(values)) made.setAttribute(key, value);
  into.append(made);
  return made;
}

const layer = (id) => svg.querySelector(`#${id}`);

export function lay(piece) {
  svg.replaceChildren();
  fields = new Map();
  [shown, scale, painted, marks] = [null, null, new Map(), new Map()];
  outline = piece.outline;
  grain(make("defs", {}, svg));
  make("g", { id: "inlays", "aria-hidden": "true" }, svg);
  land = make("path", { class: piece.fields.length > MANY ? "land many" : "land", "fill-rule": "evenodd" }, svg);
  if (piece.fields.length <= MANY) make("path", { class: "grain", fill: "url(#grain)", "fill-rule": "evenodd" }, svg);
  make("path", { class: "lines", d: piece.lines }, svg);
  make("g", { id: "added", "aria-hidden": "true" }, svg);
  make("path", { class: "halo", id: "halo" }, svg);
  const touch = make("g", {}, svg);
  for (const field of piece.fields) {
    const shape = make("path", { class: "field", d: field.d, "fill-rule": "evenodd", role: "checkbox", "data-field": field.id, tabindex: "-1" }, touch);
    const size = Math.min(3, Math.max(1.1, 2 * field.room / (0.65 * String(field.id).length + 0.5)));
    const number = make("text", { class: "number", x: field.at[0], "aria-hidden": "true" }, svg);
    fields.set(field.id, { ...field, size, shape, number });
  }
  reached = fields.values().next().value?.shape;
  reached?.setAttribute("tabindex", "0");
  for (const id of ["gaps-there", "byhand", "weak", "points"]) make("g", { id, "aria-hidden": "true" }, svg);
  view.fit(piece.box);
}

// A soft grain: a few pores, repeated.
function grain(defs) {
  const tile = make("pattern", { id: "grain", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(17)" }, defs);
  for (const [cx, cy, r] of GRAIN) make("ellipse", { cx, cy, rx: r, ry: r * 0.6 }, tile);
}

// Only what differs from what was painted last is touched: rows that are the same are the same object.
export function paint(state) {
  const last = shown;
  shown = state;
  const face = last?.face !== state.face;
  if (face || last.fields !== state.fields || last.byhand.leather !== state.byhand.leather) {
    for (const row of state.fields) if (face || painted.get(row.id) !== row) field(row, state.face);
    inlays(state);
  }
  if (last?.findings !== state.findings) weak(state.findings);
  const hand = layer("byhand");
  hand.replaceChildren();
  for (const { start, end } of state.byhand.close) make("path", { class: "by-hand", d: `M${start}L${end}` }, hand);
}

function field(row, face) {
  const { shape, number, area } = fields.get(row.id);
  shape.setAttribute("fill", row.open && row.colour ? row.colour : face);
  shape.setAttribute("aria-checked", row.open);
  shape.setAttribute("aria-label", `Field ${row.id}, ${area} mm2, ${row.open ? "comes out" : "stays"}${row.doubtful ? ", doubtful" : ""}`);
  number.textContent = `${row.id}${row.doubtful ? "?" : ""}`;
  number.classList.toggle("doubtful", row.doubtful);
  painted.set(row.id, row);
  if (scale) readable(fields.get(row.id));
}

function inlays(state) {
  const behind = new Map();
  const open = [];
  for (const row of state.fields) {
    const { d } = fields.get(row.id);
    if (row.open === Boolean(outline)) open.push(d);
    const colour = row.open && row.colour ? row.colour : state.face;
    if (row.open) behind.set(colour, [...(behind.get(colour) ?? []), d]);
  }
  const group = layer("inlays");
  group.replaceChildren();
  for (const [fill, parts] of behind) make("path", { d: parts.join(""), fill, "fill-rule": "evenodd" }, group);
  for (const one of svg.querySelectorAll(".land, .grain")) one.setAttribute("d", outline + open.join("") + state.byhand.leather);
  land.setAttribute("fill", state.face);
}

function weak(findings) {
  const group = layer("weak");
  const here = group.querySelector(".here");
  const before = marks;
  marks = new Map();
  findings.forEach((finding, k) => {
    const spot = before.get(finding) ?? markOf(finding);
    before.delete(finding);
    marks.set(finding, spot);
    if (spot.dataset.spot === String(k)) return;
    spot.dataset.spot = k;
    spot.lastChild.firstChild.setAttribute("r", k < 9 ? 1.5 : 1.9);
    spot.lastChild.lastChild.textContent = k + 1;
  });
  for (const gone of before.values()) gone.remove();
  const fresh = [...marks.values()].filter((spot) => !spot.isConnected);
  group.append(...fresh);
  if (scale) fresh.forEach((spot) => legible(spot.lastChild));
  if (here && !here.isConnected) here.classList.remove("here");
  crowd();
}

function markOf(finding) {
  const [x, y] = finding.at;
  const spot = document.createElementNS(NS, "g");
  spot.setAttribute("class", `mark ${finding.severity}`);
  if (finding.ends) {
    const [[x1, y1], [x2, y2]] = finding.ends;
    make("line", { class: "under", x1, y1, x2, y2 }, spot);
    make("line", { class: "across", x1, y1, x2, y2 }, spot);
  }
  const tag = make("g", { class: "tag", "data-x": x, "data-y": y, "data-off": finding.ends ? 1.9 : 0 }, spot);
  make("circle", {}, tag);
  make("text", { y: 0.75 }, tag);
  return spot;
}

// Numbers and marks keep a size that can be read, and stay away while there is no room for them.
function readable({ number, size, at }) {
  const high = size * scale.share;
  number.setAttribute("font-size", high);
  number.setAttribute("y", at[1] + high * 0.36);
  number.classList.toggle("tiny", high / scale.pixel < 7 && !number.classList.contains("doubtful"));
}

function legible(tag) {
  const { x, y, off } = tag.dataset;
  const tall = Math.min(Math.max(scale.share, 7 * scale.pixel), 16 * scale.pixel);
  tag.setAttribute("transform", `translate(${x},${y}) scale(${tall}) translate(${off},${-off})`);
}

function crowd() {
  const findings = shown?.findings ?? [];
  svg.classList.toggle("far", scale?.whole > 0.6 && findings.length > 12);
  svg.classList.toggle("crowded", findings.filter((one) => one.severity === "stop").length > 20);
}

view.onView((box, whole) => {
  const now = { share: Math.sqrt(box[2] / whole[2]), pixel: view.pixel(), whole: box[2] / whole[2] };
  const same = scale && now.share === scale.share && now.pixel === scale.pixel;
  scale = now;
  crowd();
  if (same) return;
  for (const one of fields.values()) readable(one);
  for (const tag of svg.querySelectorAll(".tag")) legible(tag);
});

export function added(changes, face, preview) {
  const group = layer("added");
  group.replaceChildren();
  for (const change of changes) make("path", { class: preview ? "added preview" : "added", d: change.d, fill: face, "fill-rule": "evenodd" }, group);
}

export function brushed(ids, fill) {
  svg.querySelector(".brushed")?.remove();
  if (ids.size) make("path", { class: "brushed", d: [...ids].map((id) => fields.get(id).d).join(""), fill, "fill-rule": "evenodd" }, layer("inlays"));
}

export function points(spots, over = null) {
  const group = layer("points");
  group?.replaceChildren();
  const r = 5 * view.pixel();
  const all = over ? [...spots, over] : spots;
  if (all.length > 1) for (const kind of ["under", "drawn"]) make("path", { class: kind, d: `M${all[0]}L${all[1]}` }, group);
  for (const [x, y] of all) for (const kind of ["under", "drawn"]) make("path", { class: kind, d: `M${x - r},${y}H${x + r}M${x},${y - r}V${y + r}` }, group);
}

export function gaps(list) {
  const group = layer("gaps-there");
  group.replaceChildren();
  for (const { start, end } of list) for (const kind of ["under", "gap"]) make("path", { class: kind, d: `M${start}L${end}` }, group);
}

// Fields that wait for their answer are dashed; with very many fields each such stroke would lay all of them anew.
export function waiting(ids) {
  if (fields.size > MANY) return;
  for (const shape of svg.querySelectorAll(".field.waiting")) if (!ids.has(Number(shape.dataset.field))) shape.classList.remove("waiting");
  for (const id of ids) fields.get(id)?.shape.classList.add("waiting");
}

// One field is in hand, and is where Tab comes into the drawing; no others are touched, as there may be thousands.
export function mark(id) {
  const now = fields.get(id)?.shape ?? fields.values().next().value?.shape;
  if (now !== reached) {
    reached?.classList.remove("here");
    reached?.setAttribute("tabindex", "-1");
    now?.setAttribute("tabindex", "0");
    reached = now;
  }
  now?.classList.toggle("here", fields.has(id));
  const halo = layer("halo");
  const d = fields.get(id)?.d ?? "";
  if (halo && halo.getAttribute("d") !== d) halo.setAttribute("d", d);
}

export function goTo(at, spot) {
  for (const one of svg.querySelectorAll(".mark")) one.classList.toggle("here", one.dataset.spot === String(spot));
  view.goTo(at);
}

export function fieldOf(target) {
  const id = Number(target?.dataset?.field);
  return fields.has(id) ? id : null;
}

export const known = (id) => fields.get(id);

// The field `by` places after this one, in order of their numbers.
export function next(id, by) {
  const ids = [...fields.keys()];
  return fields.get(ids[(ids.indexOf(id) + by + ids.length) % ids.length]);
}
