// Owns the end of a bucket as the phone shows it without signal: three sentences and a dot for each ball.

import { endWords } from "../rules/ending.js";

/** Fill the end of the bucket that `told` ({bucket, shots}) was. */
export function drawEnd(end, data, { bucket, shots }, unit) {
  const bodies = shots.map(({ body }) => body);
  const names = Object.fromEntries(data.clubs.flatMap((club) => data.swings.map((swing) => [`${club.id}:${swing.swing_deg}`, `${club.name} ${swing.name}`])));
  end.querySelector("#end-words").replaceChildren(...endWords(bodies, bucket.body, names, unit).map((text) => made("p", text)));
  end.querySelector("#end-dots").replaceChildren(...bodies.map((body) => {
    const dot = made("i", "");
    dot.className = body.aside ? "aside" : body.contact === "clean" ? "clean" : "other";
    return dot;
  }));
  end.hidden = false;
}

function made(tag, textContent) {
  return Object.assign(document.createElement(tag), { textContent });
}
