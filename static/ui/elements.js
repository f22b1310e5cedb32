// Owns how a script makes pieces of a page; knows nothing of what they say.

import { svg } from "./arm.js";

/** An element with its attributes and what stands inside it. */
export function element(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...inside);
  return made;
}

/** A sentence in a box of its own: a notice, or a problem. */
export function box(name, text) {
  return element("div", { class: name }, element("p", {}, text));
}

/** What is drawn only when looked at, by `draw`, below its summary; it is open where `before` was. */
export function folded(summary, draw, before) {
  const head = element("summary", {}, summary);
  const details = element("details", {}, head);
  const fill = () => { if (details.childElementCount === 1) details.append(draw()); };
  head.addEventListener("click", fill); // "toggle" may come after the next key, and would move the page under its focus
  details.open = before?.open ?? false;
  if (details.open) fill();
  return details;
}

/** A line of a drawing. */
export function path(name, d) {
  return svg("path", { class: name, d });
}
