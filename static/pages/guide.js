// Owns the guide of the first three balls of a first book: a ghost thumb and one line each, then never again.

import { recall, remember } from "../db.js";
import { scaleOf, xOf, yOf } from "../rules/scale.js";

const STEPS = [["up", "Up is longer."], ["lane", "This lane is a clean strike."], ["lift", "Lift to note it."]];
const DONE = "guided";

/** Bind the guide; the draw(seen, hidden) it gives shows the line of the next ball, and the thumb on the ground. */
export async function bindGuide(guide, ghost) {
  let wanted = !(await recall(DONE).catch(() => false));
  const end = () => {
    wanted = false;
    guide.hidden = true;
    ghost.hidden = true;
    remember(DONE, true).catch(() => {}); // a phone that keeps nothing is told again
  };
  guide.querySelector("button").addEventListener("click", end);
  return ({ shots, moves, asks }, hidden) => {
    if (!wanted) return;
    if (shots.length >= STEPS.length) {
      end();
      return;
    }
    const [step, line] = STEPS[shots.length];
    guide.hidden = hidden || moves !== null || asks !== null;
    guide.querySelector("span").textContent = line;
    ghost.hidden = guide.hidden;
    ghost.dataset.step = step;
    // On the thick line of the clean lane, where a ball as meant is touched.
    const { clientWidth: width, clientHeight: height } = ghost;
    const scale = scaleOf({ meant: 100, step: 1, width, height });
    ghost.firstElementChild.style.translate = `${xOf(scale, "clean")}px ${yOf(scale, scale.meant)}px`;
  };
}
