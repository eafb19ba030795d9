// Guides: the pages of `filigree help`, shown over the bench.
import { button, row } from "./rows.js";
import { get, say } from "./talk.js";

const by = (id) => document.getElementById(id);

export async function begin() {
  by("guide-close").addEventListener("click", () => by("guide").close());
  for (const { name, says } of await get("guides")) {
    const made = button(says.replace(/\.$/, ""), () => open(name));
    made.dataset.guide = name;
    row(by("guides"), made);
  }
}

async function open(name) {
  const told = await get(`guide?topic=${encodeURIComponent(name)}`);
  if (!told.text) return say(told.wrong ?? "That guide is not there.");
  const blocks = told.text.trim().split(/\n{2,}/);
  const title = /^#+ (.*)/.exec(blocks[0]);
  by("guide-title").textContent = title ? title[1] : name;
  by("guide-text").replaceChildren(...blocks.slice(title ? 1 : 0).flatMap(block));
  by("guide").showModal();
  by("guide").scrollTop = 0;
  by("guide-title").focus();
}

function made(name, ...parts) {
  const one = document.createElement(name);
  one.append(...parts);
  return one;
}

// Words of a line: `code`, **strong**.
function inline(text) {
  return text.split(/(`[^`]+`|\*\*[^*]+\*\*)/).filter(Boolean).map((part) => {
    if (part.startsWith("`")) return made("code", part.slice(1, -1));
    if (part.startsWith("**")) return made("strong", part.slice(2, -2));
    return part;
  });
}

function block(text) {
  const lines = text.split("\n");
  const head = /^(#+) (.*)/.exec(lines[0]);
  if (head) return [made("h3", ...inline(head[2])), ...(lines.length > 1 ? block(lines.slice(1).join("\n")) : [])];
  if (lines[0].startsWith("```")) return [made("pre", lines.filter((line) => !line.startsWith("```")).join("\n"))];
  if (lines[0].startsWith("|")) return [table(lines)];
  if (/^([-*]|\d+\.) /.test(lines[0])) return [items(lines)];
  if (/^ {4}/.test(lines[0])) return [made("pre", lines.map((line) => line.slice(4)).join("\n"))];
  const list = lines.findIndex((line) => /^([-*]|\d+\.) /.test(line));
  if (list > 0) return [...block(lines.slice(0, list).join("\n")), items(lines.slice(list))];
  return [made("p", ...inline(lines.join(" ")))];
}

function items(lines) {
  const texts = [];
  for (const line of lines) {
    const found = /^(?:[-*]|\d+\.) (.*)/.exec(line);
    if (found) texts.push(found[1]);
    else texts[texts.length - 1] += ` ${line.trim()}`;
  }
  return made(/^\d/.test(lines[0]) ? "ol" : "ul", ...texts.map((text) => made("li", ...inline(text))));
}

function table(lines) {
  const cells = (line) => line.replace(/^\||\|$/g, "").split("|").map((cell) => cell.trim());
  const rows = lines.filter((line) => !/^\|[\s:|-]+\|$/.test(line)).map(cells);
  const line = (name) => (values) => made("tr", ...values.map((value) => made(name, ...inline(value))));
  return made("table", made("thead", line("th")(rows[0])), made("tbody", ...rows.slice(1).map(line("td"))));
}
