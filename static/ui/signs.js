// Owns our own signs in what scripts draw; each is a symbol of icons/signs.svg.

import { svg } from "./arm.js";

// Joined with others this script has their address (webapp/scripts.py), alone its own.
const SIGNS = new URL(import.meta.url).pathname.replace(/^(\/static\/[^/]+\/).*/, "$1icons/signs.svg");

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
