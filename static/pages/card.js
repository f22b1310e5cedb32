// Owns the card without signal: balls struck since the page was made move its numbers as far as they can tell.

import { bindDial } from "./dial.js";
import { changes, rowsOf } from "../outbox.js";
import { hintOnce } from "../ui/install.js";
import { howMany, restsOn, trustOf } from "../rules/card_words.js";
import { whole } from "../rules/lengths.js";
import { movedCells } from "../rules/moved.js";
import { counted } from "../rules/words.js";
import { isCardOnly } from "../ui/card_only.js";
import { sayWhen } from "../ui/since.js";

export function start(data) {
  bindDial(document);
  sayWhen(data.as_of);
  const redraw = () => redrawFrom(data).catch(() => {}); // the numbers of the page stand where the phone's cannot be read
  changes.addEventListener("change", redraw);
  const end = document.querySelector(".along");
  if (end) hintOnce(end).catch(() => {}); // a phone that keeps nothing cannot remember that it was told
  return redraw();
}

async function redrawFrom(data) {
  if (isCardOnly()) return; // for a round the card stands as it was made
  const rows = await rowsOf(data.book);
  const { moved, waiting, since } = movedCells(data, rows);
  for (const [key, cell] of Object.entries(moved)) show(key, cell);
  for (const element of document.querySelectorAll("[data-cell]")) element.toggleAttribute("data-stale", waiting.includes(element.dataset.cell));
  say(waiting.length, since);
}

function show(key, cell) {
  const { carry_m, trust, half_width_m, visits } = cell;
  const { unit } = document.body.dataset;
  for (const element of document.querySelectorAll(`[data-cell="${CSS.escape(key)}"]`)) {
    element.dataset.trust = trust;
    const parts = { trust: trustOf(cell), n: howMany(cell), visits, rests: restsOn(cell), half: whole(half_width_m, unit) };
    for (const [name, text] of Object.entries(parts)) {
      for (const part of element.querySelectorAll(`[data-part="${name}"]`)) part.textContent = text;
    }
    // The range of the number before would be told beside the number now, and may not even hold it.
    for (const part of element.querySelectorAll('[data-part="range"]')) part.hidden = true;
    for (const part of element.querySelectorAll('[data-part="carry"]')) {
      part.dataset.m = carry_m;
      part.textContent = whole(carry_m, unit);
    }
  }
}

function say(waiting, since) {
  for (const words of document.querySelectorAll("[data-before-balls]")) words.hidden = since > 0;
  const line = document.querySelector("[data-moved]");
  if (!line) return;
  const sentences = [];
  if (since) sentences.push(`${counted(since, "ball")} since then moved the dial and the table; the yard pole keeps its places.`);
  if (waiting) sentences.push("A ball of an older visit was changed: its numbers are waiting for the server.");
  line.textContent = sentences.join(" ");
  line.hidden = !sentences.length;
}
