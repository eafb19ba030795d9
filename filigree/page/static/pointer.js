// Pointers on the drawing: a tap, a stroke, or moving the piece; two fingers always move and size it.
import { closer, place, shift } from "./view.js";

const svg = document.getElementById("drawing");
const SLIP = 6; // pixels that a tap may slip
const fingers = new Map();
let held = null;
let moved = false;
let stroking = false;

// does: { strokes() -> bool, tap(event, at), stroke(event, from, at), done(event, from, at), dropped() }
export function onPointer(does) {
  svg.addEventListener("contextmenu", (event) => event.preventDefault());
  svg.addEventListener("pointerdown", (event) => {
    if (fingers.size === 0) {
      moved = false;
      stroking = does.strokes() && event.button === 0 && !event.shiftKey;
      held = { at: place(event), x: event.clientX, y: event.clientY };
    } else if (stroking) {
      stroking = false;
      moved = true;
      does.dropped();
    }
    fingers.set(event.pointerId, event);
  });
  window.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    if (fingers.size === 2) size(before, event);
    else if (moved || Math.hypot(event.clientX - held.x, event.clientY - held.y) > SLIP) {
      moved = true;
      const now = place(event);
      if (stroking) does.stroke(event, held.at, now);
      else shift(held.at[0] - now[0], held.at[1] - now[1]);
    }
    fingers.set(event.pointerId, event);
  });
  window.addEventListener("pointerup", (event) => {
    if (!fingers.delete(event.pointerId) || fingers.size) return;
    if (moved && stroking) does.done(event, held.at, place(event));
    stroking = false;
  });
  window.addEventListener("pointercancel", (event) => {
    if (fingers.delete(event.pointerId) && stroking) does.dropped();
    stroking = false;
  });
  svg.addEventListener("click", (event) => {
    if (!moved) does.tap(event, place(event));
  });
}

function size(before, event) {
  const other = [...fingers.values()].find((f) => f.pointerId !== event.pointerId);
  const apart = (f) => Math.hypot(f.clientX - other.clientX, f.clientY - other.clientY);
  if (apart(before) > 0) closer(apart(event) / apart(before), place(other));
  moved = true;
}
