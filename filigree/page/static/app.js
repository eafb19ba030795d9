// The page as a whole: what the maker does goes to the server, what comes back is shown.
import * as drawing from "./drawing.js";
import * as lists from "./lists.js";
import { get, say, send, upload } from "./talk.js";

const by = (id) => document.getElementById(id);
let piece = null;
let state = null;
let inHand = null;
let spots = [];
let preview = null;

function words(id) {
  const known = piece.fields.find((one) => one.id === id);
  const now = state.fields.find((one) => one.id === id);
  const why = now.how === "guessed" ? `guessed, ${now.sure} % sure` : now.how;
  return `Field ${id}: ${known.area} mm2, ${now.open ? "comes out" : "stays"} (${why}).`;
}

function take(id) {
  if (id === null) return;
  inHand = id;
  drawing.mark(id);
  lists.here(id);
  by("told").textContent = words(id);
}

async function shown(told) {
  if (!told || told.verdict === undefined) return;
  if (!piece || !state || told.serial !== state.serial) {
    piece = await get("piece");
    inHand = null;
    drawing.lay(piece);
    mark([]);
    palette(told.settings["inlay.colour"]);
  }
  state = told;
  preview = null;
  by("name").textContent = piece.name;
  document.title = `${piece.name}: filigree`;
  by("size").textContent = piece.size;
  by("verdict").textContent = state.verdict;
  by("wanted").textContent = state.wanted + (state.assumed ? " No thickness was given: 5-6 oz is assumed." : "");
  by("undo").disabled = !state.undo;
  by("redo").disabled = !state.redo;
  by("thickness").value = state.settings["face.thickness"];
  by("way").value = state.settings["cut.way"];
  offer("face", state.settings["face.colour"]);
  drawing.paint(state);
  lists.findings(state, (finding, k) => drawing.goTo(finding.at, k));
  lists.fields(piece, state, { pick, look: take });
  mending(state.mended);
  if (inHand !== null) take(inHand);
}

function mending(told) {
  drawing.added(told ? told.changes : [], state.face);
  lists.changes(told, { choosing: preview !== null, toggled: choosePlace, goTo: (entry) => drawing.goTo(entry.at) });
  by("accept").hidden = preview === null || (!preview.changes.length && !preview.left.length);
  by("refuse").hidden = preview === null;
  by("preview").hidden = preview !== null;
  by("unmend").hidden = preview !== null || !state.mended;
  const head = preview ? (told.changes.length ? "With the ticked changes" : "Mending would change nothing") : "Mended";
  by("mend-said").textContent = told ? `${head}: ${told.verdict}` : "";
}

const turn = () => state.turn;
const change = async (name, value) => shown(await send(name, () => ({ turn: turn(), ...value })));
const pick = (id, kind) => change("pick", { fields: [id], kind });
const field = (id) => state.fields.find((one) => one.id === id);

drawing.onField((id, at) => {
  const does = by("click").value;
  if (does === "points") return mark([...spots.slice(-1), at]);
  if (id === null) return;
  take(id);
  if (does === "toggle") pick(id, field(id).open ? "keep" : "open");
  else paintBehind(id);
}, (id, firmly) => {
  if (id === null || !state) return;
  if (firmly) take(id);
  else by("told").textContent = words(id);
});

function paintBehind(id) {
  if (id === null || !field(id).open) return say("Only what comes out has a colour behind it; open the field first.");
  change("colour", { fields: [id], colour: by("colour").value });
}

function mark(now) {
  spots = now;
  if (piece) drawing.points(spots);
  ["from", "to"].forEach((id, k) => { by(id).value = spots[k] ? spots[k].map((v) => v.toFixed(2)).join(", ") : ""; });
}

async function look(left, accept) {
  const told = await send("mend", () => ({ turn: turn(), left, accept }));
  if (!told) return;
  if (accept || !told.preview) return shown(told);
  preview = told.preview;
  mending(preview);
}
const place = ({ how, at }) => ({ how, at });
function choosePlace(entry, on) {
  const same = (other) => other.how === entry.how && other.at[0] === entry.at[0] && other.at[1] === entry.at[1];
  const left = preview.left.filter((other) => !same(other)).map(place);
  look(on ? left : [...left, place(entry)], false);
}
by("preview").addEventListener("click", () => look(state.mended ? state.mended.left.map(place) : [], false));
by("accept").addEventListener("click", () => look(preview.left.map(place), true));
by("refuse").addEventListener("click", () => {
  preview = null;
  mending(state.mended);
});
by("unmend").addEventListener("click", () => change("unmend", {}));

by("undo").addEventListener("click", () => change("move", { by: -1 }));
by("redo").addEventListener("click", () => change("move", { by: 1 }));
by("save").addEventListener("click", () => change("save", {}));
by("leather").addEventListener("submit", (event) => {
  event.preventDefault();
  change("settings", { settings: { "face.thickness": by("thickness").value, "cut.way": by("way").value } });
});
by("way").addEventListener("change", () => change("settings", { settings: { "cut.way": by("way").value } }));
by("thickness").addEventListener("change", () => change("settings", { settings: { "face.thickness": by("thickness").value } }));
by("face").addEventListener("change", () => change("settings", { settings: { "face.colour": by("face").value } }));
by("all").addEventListener("click", () => change("colour", { fields: [], colour: by("colour").value }));
by("one").addEventListener("click", () => (inHand === null ? say("Go to a field first.") : paintBehind(inHand)));

function palette(inlay) {
  for (const id of ["colour", "face"])
    by(id).replaceChildren(...Object.keys(piece.palette).map((name) => new Option(name, name)));
  offer("colour", inlay);
  swatch();
}
// A colour that is written as a figure stands in the list as well.
function offer(id, colour) {
  if (![...by(id).options].some((option) => option.value === colour)) by(id).prepend(new Option(colour, colour));
  by(id).value = colour;
}
function swatch() {
  by("swatch").style.background = piece.palette[by("colour").value] ?? by("colour").value;
}
by("colour").addEventListener("change", swatch);

by("scale").addEventListener("submit", (event) => {
  event.preventDefault();
  const [start, end] = ["from", "to"].map((id) => by(id).value.split(",").map(Number));
  const length = Number(by("length").value.replace(",", "."));
  if ([...start, ...end, length].some((v) => !Number.isFinite(v)) || start.length !== 2 || end.length !== 2 || !(length > 0))
    return say("Two points and their distance in mm are needed, like 10, 20 and 90, 20 and 80.");
  change("scale", { start, end, length });
});

by("closer").addEventListener("click", () => drawing.closer(1.25));
by("further").addEventListener("click", () => drawing.closer(0.8));
by("whole").addEventListener("click", () => drawing.showWhole());

async function bring(file) {
  if (!file) return;
  const size = { width: by("scan-width").value, marks: by("scan-marks").value };
  shown(await upload(() => `drawing?${new URLSearchParams({ turn: turn(), name: file.name, ...size })}`, file));
}
by("file").addEventListener("change", async () => {
  await bring(by("file").files[0]);
  by("file").value = "";
});
document.addEventListener("dragover", (event) => {
  event.preventDefault();
  document.body.classList.add("over");
});
document.addEventListener("dragleave", () => document.body.classList.remove("over"));
document.addEventListener("drop", (event) => {
  event.preventDefault();
  document.body.classList.remove("over");
  bring(event.dataTransfer.files[0]);
});

await shown(await get("state"));
document.body.dataset.ready = "yes";
