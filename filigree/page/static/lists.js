// The lists beside the drawing: what to do, the fields, the changes that mending makes.
const by = (id) => document.getElementById(id);

function row(list, ...parts) {
  const made = document.createElement("li");
  made.append(...parts);
  list.append(made);
  return made;
}

function ticked(words, on, does) {
  const label = document.createElement("label");
  const box = document.createElement("input");
  box.type = "checkbox";
  box.checked = on;
  box.addEventListener("change", () => does(box.checked));
  label.append(box, words);
  return [label, box];
}

function button(words, does) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.addEventListener("click", does);
  return made;
}

// Rebuilding a list keeps the keyboard where it was.
function keeping(list, build) {
  const key = list.contains(document.activeElement) ? document.activeElement.dataset.key : null;
  const top = list.scrollTop;
  list.replaceChildren();
  build();
  list.scrollTop = top;
  if (key) (list.querySelector(`[data-key="${key}"]`) ?? document.querySelector(`.fields [data-key="${key}"]`))?.focus();
}

export function findings(state, goTo) {
  const list = by("findings");
  keeping(list, () => {
    state.findings.forEach((finding, k) => {
      const made = button(`${k + 1}. ${finding.severity}: ${finding.say}`, () => {
        for (const other of list.querySelectorAll("button")) other.removeAttribute("aria-current");
        made.setAttribute("aria-current", "true");
        goTo(finding, k);
      });
      made.dataset.key = `finding-${k}`;
      row(list, made);
    });
    if (!state.findings.length) row(list, "Nothing to mend.");
  });
}

function field(list, known, now, does) {
  const why = now.rim ? "rim" : now.how === "guessed" ? `guessed, ${now.sure} % sure` : now.how;
  const [label, box] = ticked(`${known.id}: ${known.area} mm2, ${why}`, now.open, (on) => does.pick(known.id, on ? "open" : "keep"));
  box.dataset.key = `field-${known.id}`;
  box.addEventListener("focus", () => does.look(known.id));
  const made = row(list, label);
  made.dataset.row = known.id;
  if (now.how === "picked") {
    const back = button("As guessed", () => does.pick(known.id, "guess"));
    back.setAttribute("aria-label", `Field ${known.id} as guessed`);
    made.append(back);
  }
}

export function fields(piece, state, does) {
  const known = new Map(piece.fields.map((one) => [one.id, one]));
  const doubtful = state.fields.filter((one) => one.doubtful).sort((a, b) => a.sure - b.sure || a.id - b.id);
  const sure = state.fields.filter((one) => !one.doubtful);
  const lists = [[by("doubtful"), doubtful], [by("sure"), sure]];
  for (const [list, rows] of lists)
    keeping(list, () => rows.forEach((now) => field(list, known.get(now.id), now, does)));
  by("doubtful-title").textContent = doubtful.length ? `To look at first: ${doubtful.length}` : "No doubtful field";
  by("sure-title").textContent = `The sure ones: ${sure.length}`;
}

export function here(id) {
  for (const one of document.querySelectorAll("[data-row]")) {
    const is = one.dataset.row === String(id);
    one.classList.toggle("here", is);
    if (is && one.offsetParent && !one.contains(document.activeElement)) one.scrollIntoView({ block: "nearest" });
  }
}

export function changes(told, { choosing, toggled, goTo }) {
  const list = by("changes");
  keeping(list, () => {
    if (!told) return;
    for (const [kind, entries] of [["change", told.changes], ["left", told.left]])
      entries.forEach((entry, k) => {
        const words = kind === "change" ? [entry.why, entry.widths].filter(Boolean).join(" ") : `Left as drawn at ${entry.at.map((v) => v.toFixed(1)).join(", ")} mm.`;
        const place = button("Show", () => goTo(entry));
        place.setAttribute("aria-label", `Show: ${words}`);
        if (!choosing) return void row(list, words, place);
        const [label, box] = ticked(words, kind === "change", (on) => toggled(entry, on));
        box.dataset.key = `${kind}-${k}`;
        row(list, label, place);
      });
    for (const words of told.unmended) row(list, `Stays: ${words}`);
  });
}
