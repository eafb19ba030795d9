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
import { get, now, say, send } from "./talk.js";

const by = (id) => document.getElementById(id);
const page = { piece: null, state: null };

page.change = async (name, value) => page.show(await send(name, () => ({ turn: now(), ...value })));
page.pick = (id, kind) => page.change("pick", { fields: [id], kind });
page.field = (id) => page.state.fields.find((one) => one.id === id);
page.words = (id) => {
  const known = page.piece.fields.find((one) => one.id === id);
  const now = page.field(id);
  const why = now.how === "guessed" ? `guessed, ${now.sure} % sure` : now.how;
  return `Field ${id}: ${known.area} mm2, ${now.open ? "comes out" : "stays"} (${why}).`;
};

page.show = async (told) => {
  if (!told || told.turn === undefined) return;
  document.body.classList.toggle("empty", Boolean(told.empty));
  if (told.empty) {
    page.state = told;
    await shelf.show();
    return;
  }
  const fresh = !page.piece || !page.state || told.serial !== page.state.serial;
  if (fresh) {
    page.piece = await get("piece");
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
  for (const part of [hand, colours, lines, settings, findings, fields, mending]) part.show(page, fresh);
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
