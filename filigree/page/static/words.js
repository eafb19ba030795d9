// Words of the trade that stand on the page: each says what it means while it is pointed at or in focus.
const row = document.getElementById("terms");
let shown = "";

function term([word, means], k) {
  const [termed, name, meaning] = ["termed", "term", "meaning"].map((kind) => Object.assign(document.createElement("span"), { className: kind }));
  name.textContent = word;
  name.tabIndex = 0;
  name.setAttribute("aria-describedby", `means-${k}`);
  meaning.textContent = means;
  meaning.id = `means-${k}`;
  meaning.setAttribute("role", "tooltip");
  termed.append(name, meaning);
  return termed;
}

export function show({ state: { terms } }) {
  const now = JSON.stringify(terms);
  if (now === shown) return;
  shown = now;
  const parts = terms.flatMap((one, k) => [k ? ", " : "", term(one, k)]);
  row.replaceChildren("Words of the trade: ", ...parts, ".");
}
