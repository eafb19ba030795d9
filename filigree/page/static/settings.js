// Leather, cut, edge and gaps: a change is sent as soon as it is made.
const by = (id) => document.getElementById(id);
const KEYS = { thickness: "face.thickness", way: "cut.way", rim: "sheet.rim", gap: "limits.gap" };
let page = null;
let sent = null; // Enter tells of a change twice: as one, and as a form that is sent

function changed(...ids) {
  const settings = Object.fromEntries(ids.filter((id) => by(id).value !== page.state.settings[KEYS[id]]).map((id) => [KEYS[id], by(id).value]));
  const words = JSON.stringify(settings);
  if (words === "{}" || words === sent) return;
  sent = words;
  page.change("settings", { settings }).finally(() => { sent = null; });
}

export function begin(the) {
  page = the;
  for (const [form, ids] of [["leather", ["thickness", "way"]], ["edge", ["rim"]]])
    by(form).addEventListener("submit", (event) => {
      event.preventDefault();
      changed(...ids);
    });
  for (const id of Object.keys(KEYS)) by(id).addEventListener("change", () => changed(id));
}

export function show() {
  for (const [id, key] of Object.entries(KEYS)) by(id).value = page.state.settings[key];
}
