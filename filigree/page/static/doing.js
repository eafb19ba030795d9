// What a touch does just now: "toggle", "colour", "close", "bridge" or "scale".
export const does = () => document.querySelector("input[name=hand]:checked").value;
