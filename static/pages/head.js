// Owns the head of an open bucket: the line of truth, the call in large, and the line below it.

import { whole } from "../rules/lengths.js";
import { whyWords } from "../rules/plan.js";
import { countWords, truthOf } from "../rules/truth.js";
import { namesOf } from "../rules/visit.js";
import { chosenWords } from "../rules/words.js";
import { armDrawing } from "../ui/arm.js";
import { isCardOnly } from "../ui/card_only.js";

const MODES = { swing: "make the swing", distance: "hit the number" };

const part = (id) => document.getElementById(id);

/** Whether the next ball counts, as {text, ends} of rules/truth.js. */
export function truth({ data, choices }, { next, bucket, planned }) {
  return truthOf(next, bucket.body, choices, { card_only: isCardOnly(), ball: data.ball, done: planned.done });
}

export function otherMode(mode) {
  return mode === "swing" ? "distance" : "swing";
}

/** Draw the line of truth, or in its place `trouble`: what could not be saved; `limit` is said of how many balls were struck. */
export function drawTruth(visit, seen, trouble, limit) {
  const { text, ends } = truth(visit, seen);
  const said = trouble || text;
  part("count").textContent = countWords(seen.planned);
  part("truth").textContent = said;
  part("truth").setAttribute("aria-label", `${said}; touch to ${ends ? "end it" : MODES[otherMode(seen.next.mode)]}`);
  readAloud("limit", limit);
}

/** Draw the call that a touch speaks of now: the reopened or fresh ball's before the next; `told` was said just now. */
export function drawHead(visit, seen, reopened, told, unit) {
  const { data } = visit;
  const call = reopened ? visit.callOf(reopened.body) : seen.call;
  const { club, swing, named } = namesOf(data, call);
  const meant = whole(call.meant_carry_m, unit);
  const head = part("call");
  head.style.setProperty("--letters", Math.max(swing.length, 3));
  head.style.setProperty("--line", lineOf(swing));
  head.style.setProperty("--club-letters", club.length);
  head.style.setProperty("--club-line", lineOf(club));
  head.classList.toggle("named", club.length > 3);
  head.classList.toggle("by-distance", call.mode === "distance");
  head.querySelector(".club-name").textContent = club;
  head.querySelector(".arm-place").replaceChildren(armDrawing(call.swing_deg, data.mirrored));
  head.querySelector(".swing-name").textContent = swing;
  const number = head.querySelector(".meant-number");
  number.textContent = meant;
  number.dataset.m = call.meant_carry_m;
  number.hidden = visit.choices.hide_number && call.mode === "swing";
  const { warm_up } = visit.choices;
  const next = `${warm_up ? "then " : ""}${named}`;
  readAloud("called", `${next}${number.hidden ? "" : ` ${meant}`}, ${MODES[call.mode]}`);
  const why = planWords(seen.planned, call) || whyWords(call, seen.shots, visit.rows);
  const limit = part("limit").textContent.split(/[.:] /)[0];
  part("why").querySelector(".mode").textContent = reopened
    ? chosenWords(seen, reopened)
    : told || limit || `${warm_up ? next : MODES[call.mode]}${why ? ` · ${why}` : ""}`;
}

/** The letters of the longer line of a name that stands on two: the second begins at a word, seldom in the middle. */
function lineOf(name) {
  const words = name.split(/[ -]/);
  return Math.max(3, name.length * (words[1] ? 0.64 : 1), ...words.map((word) => word.length));
}

/** What is said of a bucket's plan below a call: that it waits, or which of it nobody can strike any more. */
function planWords({ of, done, gone }, call) {
  if (done) return gone ? `${gone} not struck: the wedge or swing is gone` : "";
  return of && !call.plan_ref ? "your own call, the plan waits" : "";
}

/** A screen reader reads what is written here, also where it is what stood there before. */
function readAloud(id, words) {
  if (part(id).textContent !== words) part(id).textContent = words;
}
