// Drawings: dropped on the page, chosen from this machine, or taken from the folder the page was opened on.
import { button, row } from "./rows.js";
import { get, now, say, upload } from "./talk.js";

const by = (id) => document.getElementById(id);
let page = null;
let last = null;

async function bring(file) {
  if (!file) return;
  last = file;
  const size = { width: by("scan-width").value, marks: by("scan-marks").value };
  const told = await upload(() => `drawing?${new URLSearchParams({ turn: now(), name: file.name, ...size })}`, file);
  if (!told) return;
  by("again").hidden = !told.wrong;
  if (told.wrong && file.type.startsWith("image/") && !file.type.includes("svg")) by("scan-width").focus();
  if (!told.wrong) by("scan-width").value = by("scan-marks").value = "";
  await page.show(told);
}

export function begin(the) {
  page = the;
  by("file").addEventListener("change", async () => {
    const [file] = by("file").files;
    await bring(file);
    by("file").value = "";
  });
  by("again").addEventListener("click", () => bring(last));
  for (const id of ["scan-width", "scan-marks"])
    by(id).addEventListener("keydown", (event) => {
      if (event.key === "Enter" && last && !by("again").hidden) bring(last);
    });
  document.addEventListener("dragover", (event) => {
    event.preventDefault();
    document.body.classList.add("over");
  });
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) document.body.classList.remove("over");
  });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    document.body.classList.remove("over");
    const { files } = event.dataTransfer;
    if (!files.length) return say("That was no file.");
    bring(files[0]);
  });
  show();
}

// What lies in the folder; work that was begun comes with what was done to it.
export async function show() {
  const { shelf = [] } = await get("shelf");
  by("shelf").replaceChildren();
  by("shelf-title").hidden = !shelf.length;
  for (const { name, inside, begun } of shelf) {
    const made = button(begun ? "Go on" : "Open", () => page.change("choose", { name, inside }));
    made.setAttribute("aria-label", `${begun ? "Go on with" : "Open"} ${name}`);
    row(by("shelf"), inside ? `${name} (in ${inside})` : name, made);
  }
}
