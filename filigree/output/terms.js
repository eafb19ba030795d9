"use strict";
// Words of the trade: Escape puts a meaning away until its word is left; none runs off the window.
{
  const shown = () => document.querySelectorAll(".termed:is(:hover, :focus-within)");
  const within = () => {
    for (const termed of shown()) {
      const meaning = termed.querySelector(".meaning");
      meaning.style.removeProperty("--aside");
      const { left, right } = meaning.getBoundingClientRect();
      const over = right - document.documentElement.clientWidth + 8;
      if (over > 0) meaning.style.setProperty("--aside", `${-Math.min(over, left - 8)}px`);
    }
  };
  addEventListener("keydown", (event) => {
    if (event.key === "Escape") for (const termed of shown()) termed.classList.add("away");
  });
  for (const kind of ["pointerover", "focusin"]) addEventListener(kind, within);
  for (const kind of ["pointerout", "focusout"])
    addEventListener(kind, (event) => {
      const termed = event.target.closest?.(".termed.away");
      if (termed && !termed.contains(event.relatedTarget)) termed.classList.remove("away");
    });
}
