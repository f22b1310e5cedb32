// Owns the three sentences of a bucket's end, from its own balls, and why one is not open any more; knows no page.
// The visit's page says more with signal.

import { keyOf } from "./cell.js";
import { cardOf, whyNot } from "./counts.js";
import { whole } from "./lengths.js";
import { counted } from "./words.js";

/**
 * How many counted, how they were struck, and which number of the card of `ball` moved; where none is known, where the
 * clean balls of the busiest cell ended. `names` names a cell, `changes` are as `movedWords` takes them.
 */
export function endWords(shots, bucket, names, unit, changes, ball) {
  const kept = shots.filter((shot) => !shot.aside);
  const counting = kept.filter((shot) => !whyNot(shot, bucket, bucket.ball));
  const last = movedWords(changes, unit) || carries(counting, names, unit);
  return [howMany(shots.length, counting.length, cardOf(bucket.ball, ball)), strikes(kept), last].filter(Boolean);
}

/**
 * The number that changed most, else the most struck that did not; "" where nothing was struck. A change is
 * {name, then_m, then_trust, now_m, now_trust, struck}; webapp/practice/visit_words.py says the same.
 */
export function movedWords(changes, unit) {
  if (!changes.length) return "";
  const steps = ({ then_m, now_m }) => Math.abs(whole(now_m, unit) - whole(then_m, unit));
  const size = (one) => [Number(steps(one) > 0 || one.then_trust !== one.now_trust), steps(one), one.struck];
  const larger = (one, other) => size(one).map((part, at) => part - size(other)[at]).find((part) => part) > 0;
  const most = changes.reduce((best, one) => (larger(one, best) ? one : best));
  const { name, then_m, then_trust, now_m, now_trust } = most;
  if (!size(most)[0]) return `${name} is ${whole(now_m, unit)}, ${now_trust}, with this visit or without.`;
  return `${name} is now ${whole(now_m, unit)}, ${now_trust} (without this visit ${whole(then_m, unit)}, ${then_trust}).`;
}

/** Why a bucket that was open is not any more; `body` is what it says by now, nothing once it was taken back. */
export function closedWords(body) {
  if (!body) return "The bucket was taken back, and its balls with it.";
  if (body.aside) return "The bucket was set aside: its balls are kept, not counted. Its visit can count it again.";
  if (body.ended_at) return "The bucket has ended.";
  return "Six hours went by without a ball: the bucket is closed, its balls are kept.";
}

function howMany(n, counting, card) {
  if (!n) return "No ball was noted.";
  const balls = counted(n, "ball");
  if (counting === n) return `${balls} noted, and ${n === 1 ? "it counts" : "all count"} for the ${card}.`;
  return counting ? `${balls} noted, ${counting} of them ${counting === 1 ? "counts" : "count"} for the ${card}.` : `${balls} noted; none counts for the ${card}.`;
}

function strikes(shots) {
  const said = shots.filter(({ contact }) => contact);
  const clean = said.filter(({ contact }) => contact === "clean").length;
  return said.length ? `${clean} of ${said.length} ${clean === 1 || said.length === 1 ? "was" : "were"} struck clean.` : "";
}

function carries(shots, names, unit) {
  const cells = new Map();
  for (const shot of shots) {
    if (shot.landed !== "seen" || shot.contact !== "clean") continue;
    const key = keyOf(shot);
    cells.set(key, [...(cells.get(key) ?? []), shot.carry_m]);
  }
  const [key, most] = [...cells].reduce((best, one) => (one[1].length > best[1].length ? one : best), ["", []]);
  if (!most.length) return "";
  const [low, high] = [whole(Math.min(...most), unit), whole(Math.max(...most), unit)];
  const where = low === high ? `carried ${low}` : `carried ${low} to ${high}`;
  return `Clean balls of your ${names[key]} ${where}.`;
}
