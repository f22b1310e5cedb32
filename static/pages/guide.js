// Owns the guide of the first three balls of a first book: one line each, then never again.

import { recall, remember } from "../db.js";

const LINES = ["Up is longer.", "This lane is a clean strike.", "Lift to note it."];
const DONE = "guided";

/** Bind the guide; the returned draw(seen, hidden) shows the line of the next ball. */
export function bindGuide(guide, visit) {
  let wanted = Boolean(visit.data.first_task);
  recall(DONE).then((done) => { wanted &&= !done; }, () => {});
  const end = () => {
    wanted = false;
    guide.hidden = true;
    remember(DONE, true).catch(() => {}); // a phone that keeps nothing is told again
  };
  guide.querySelector("button").addEventListener("click", end);
  return ({ shots, moves }, hidden) => {
    if (!wanted) return;
    if (shots.length >= LINES.length) {
      end();
      return;
    }
    guide.hidden = hidden || moves !== null;
    guide.querySelector("span").textContent = LINES[shots.length];
  };
}
