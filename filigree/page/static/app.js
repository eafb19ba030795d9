// The page as a whole: what comes back from the server is shown by each part.
import * as colours from "./colours.js";
import * as drawing from "./drawing.js";
import * as fields from "./fields.js";
import * as findings from "./findings.js";
import * as guides from "./guides.js";
import * as hand from "./hand.js";
import * as lines from "./lines.js";
import * as mending from "./mending.js";
import * as settings from "./settings.js";
import * as shelf from "./shelf.js";
import * as words from "./words.js";
import { get, grown, now, say, send, underway } from "./talk.js";

const by = (id) => document.getElementById(id);
const page = { piece: null, state: null, place: new Map() }; // place: of each field in the lists of both

// A value that hangs on what is shown is a function, called when its turn has come: quick clicks are all heard.
page.change = async (name, value) => page.show(await send(name, () => ({ turn: now(), ...(typeof value === "function" ? value() : value) })));
page.pick = (id, kind) => page.change("pick", { fields: [id], kind });

// Fields touched while an answer is awaited go together with the next one; a field touched twice stays as it is.
const waiting = new Set();
let sending = null;
page.toggle = (id) => {
  waiting[waiting.has(id) ? "delete" : "add"](id);
  drawing.waiting(waiting);
  sending ??= together().finally(() => { sending = null; });
};

async function together() {
  while (waiting.size)
    for (const kind of ["keep", "open"])
      await page.show(await send("pick", () => {
        for (const id of waiting) if (!page.field(id)) waiting.delete(id); // of a drawing that is gone
        const fields = [...waiting].filter((id) => page.field(id).open === (kind === "keep"));
        for (const id of fields) waiting.delete(id);
        return fields.length ? { turn: now(), fields, kind } : null;
      }));
  drawing.waiting(waiting);
}

page.field = (id) => page.state.fields[page.place.get(id)];
page.known = (id) => page.piece.fields[page.place.get(id)];
page.words = (id) => {
  const known = page.known(id);
  const now = page.field(id);
  const why = now.how === "guessed" ? `guessed, ${now.sure} % sure` : now.how;
  return `Field ${id}: ${known.area} mm2, ${now.open ? "comes out" : "stays"} (${why}).`;
};

page.show = async (answer) => {
  if (!answer || answer.turn === undefined) return;
  const told = grown(page.state, answer) ?? (await get("state"));
  document.body.classList.toggle("empty", Boolean(told.empty));
  if (told.empty) {
    page.state = told;
    await shelf.show();
    return;
  }
  const fresh = !page.piece || !page.state || told.serial !== page.state.serial;
  if (fresh) {
    page.piece = await get("piece");
    page.place = new Map(page.piece.fields.map((one, k) => [one.id, k]));
    drawing.lay(page.piece);
  }
  page.state = told;
  by("name").textContent = page.piece.name;
  document.title = `${page.piece.name}: filigree`;
  by("size").textContent = page.piece.size;
  by("verdict").textContent = told.verdict;
  by("verdict").className = told.holds ? "holds" : "stops";
  by("wanted").textContent = told.wanted + (told.assumed ? " No thickness was given: 5-6 oz is assumed." : "");
  by("undo").disabled = !told.undo;
  by("redo").disabled = !told.redo;
  drawing.paint(told);
  for (const part of [hand, colours, lines, settings, findings, words, fields, mending]) part.show(page, fresh);
  document.body.dataset.turn = told.turn;
};

for (const part of [hand, colours, lines, settings, fields, mending, shelf, guides]) part.begin(page);
by("undo").addEventListener("click", () => page.change("move", { by: -1 }));
by("redo").addEventListener("click", () => page.change("move", { by: 1 }));
by("save").addEventListener("click", () => page.change("save", {}));
by("anew").addEventListener("click", async () => {
  await page.change("anew", {});
  say("Picks, colours, lines and mending are gone; Undo brings them back.");
});

await page.show(await get("state"));
document.body.dataset.ready = "yes";
if (await underway()) await page.show(await get("state"));
