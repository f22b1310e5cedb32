// Owns the end of a bucket as the phone shows it without signal: three sentences and a dot for each ball.

import { keyOf } from "../rules/cell.js";
import { whyNot } from "../rules/counts.js";
import { endWords } from "../rules/ending.js";
import { before, movedCells } from "../rules/moved.js";
import { namesOf } from "../rules/visit.js";

/** Fill the end of the bucket that `told` ({bucket, shots}) was; `rows` are the facts on this phone. */
export function drawEnd(end, data, rows, { bucket, shots }, unit) {
  const bodies = shots.map(({ body }) => body);
  const names = Object.fromEntries(bodies.map((body) => [keyOf(body), namesOf(data, body).named]));
  const { ball } = data.card;
  const changes = changesOf(data.card, rows, bodies.filter((body) => !whyNot(body, bucket.body, ball)), names);
  end.querySelector("#end-words").replaceChildren(...endWords(bodies, bucket.body, names, unit, changes, ball).map((text) => made("p", text)));
  end.querySelector("#end-dots").replaceChildren(...bodies.map((body) => {
    const dot = made("i", "");
    dot.className = body.aside ? "aside" : body.contact === "clean" ? "clean" : "other";
    return dot;
  }));
  end.hidden = false;
}

/** The numbers that the counted balls were struck for, before this visit's balls and after them. */
function changesOf(card, rows, counted, names) {
  const { moved } = movedCells(card, rows);
  const earlier = before(card);
  const struck = new Map();
  for (const key of counted.map(keyOf)) struck.set(key, (struck.get(key) ?? 0) + 1);
  return [...struck].filter(([key]) => moved[key]).map(([key, n]) => ({
    name: names[key], then_m: earlier[key].carry_m, then_trust: earlier[key].trust, now_m: moved[key].carry_m, now_trust: moved[key].trust, struck: n,
  }));
}

function made(tag, textContent) {
  return Object.assign(document.createElement(tag), { textContent });
}
