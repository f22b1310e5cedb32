// Owns our own signs in what scripts draw; each is a symbol of icons/signs.svg.

import { svg } from "./arm.js";

// What this script travels in lies beside icons/ (webapp/scripts.py).
const SIGNS = new URL("icons/signs.svg", import.meta.url).pathname;

/** The address of a sign's symbol, for a drawing that sets it among others. */
export function signAddress(name) {
  return `${SIGNS}#${name}`;
}

/** An SVG of the sign `name`, hidden from screen readers because words always stand beside it. */
export function sign(name) {
  const drawing = svg("svg", { class: "sign", "aria-hidden": "true" });
  drawing.append(svg("use", { href: signAddress(name) }));
  return drawing;
}
