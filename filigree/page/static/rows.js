// Rows and buttons of the lists beside the drawing.
export function row(list, ...parts) {
  const made = document.createElement("li");
  made.append(...parts.map((part) => (typeof part === "string" ? Object.assign(document.createElement("span"), { textContent: part }) : part)));
  list.append(made);
  return made;
}

export function ticked(words, on, does) {
  const label = document.createElement("label");
  const box = Object.assign(document.createElement("input"), { type: "checkbox", checked: on });
  box.addEventListener("change", () => does(box.checked));
  label.append(box, words);
  return [label, box];
}

export function button(words, does) {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
  made.addEventListener("click", does);
  return made;
}

// Rebuilding a list keeps the keyboard where it was.
export function keeping(list, build) {
  const key = list.contains(document.activeElement) ? document.activeElement.dataset.key : null;
  const top = list.scrollTop;
  list.replaceChildren();
  build();
  list.scrollTop = top;
  if (key) (list.querySelector(`[data-key="${key}"]`) ?? document.querySelector(`.rows [data-key="${key}"]`))?.focus();
}
