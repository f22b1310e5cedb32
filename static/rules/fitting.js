// What fits a carry: the card's numbers ranked by their chance of landing in a window, from tables the server sent.
// Knows nothing of pages, storage or the network; webapp/fits/fitting.py holds the same rules, and shared cases both.

import { chances, percents } from "./cell.js";
import { CLOSE, LONGEST_CARRY_M } from "./constants.js";
import { FEWEST_IN, GUARDS_M } from "./more_constants.js";

/**
 * The question behind a flag [m], the roll after landing [m] and trouble [m]; a side without trouble ends at the margin.
 *
 * @param {{flag_m: number, roll_m?: number, front_m?: number|null, back_m?: number|null, must_carry?: boolean}} asked
 * @param {{share: number, least_m: number}} margin what the player calls "in"
 * @returns {{carry_m: number, front_m: number, back_m: number, clear_m: number|null, must_carry: boolean}}
 * @throws {Error} with a plain sentence where the parts cannot be true together
 */
export function question({ flag_m, roll_m = 0, front_m = null, back_m = null, must_carry = false }, margin) {
  const given = [flag_m, roll_m, front_m, back_m].filter((value) => value !== null);
  if (!given.every(Number.isFinite)) throw new Error("A distance must be a plain number.");
  const carry_m = flag_m - roll_m;
  if (!(carry_m > 0 && carry_m <= LONGEST_CARRY_M)) {
    throw new Error("The ball would have to land at your feet or out of reach: check the distance and the roll.");
  }
  if (front_m !== null && back_m !== null && front_m > back_m) {
    throw new Error("The trouble in front lies behind the trouble at the back: check the two.");
  }
  if (front_m !== null && front_m > carry_m + CLOSE) {
    throw new Error("The ball would land short of the trouble in front: check the distance and the roll.");
  }
  if (back_m !== null && back_m < carry_m - CLOSE) {
    throw new Error("The ball would land past the trouble at the back: check the distance and the roll.");
  }
  const wide_m = Math.max(margin.share * carry_m, margin.least_m);
  const guards = (end_m) => end_m !== null && Math.abs(carry_m - end_m) <= GUARDS_M + CLOSE;
  return {
    carry_m,
    front_m: guards(front_m) ? front_m : Math.max(carry_m - wide_m, 0),
    back_m: guards(back_m) ? back_m : carry_m + wide_m,
    clear_m: front_m,
    must_carry,
  };
}

/**
 * The candidates by their chance inside the window, then by the smaller worse side; `ranked` is empty when nothing
 * fits, and then `closest` is the number nearest to the carry and `missing_m` what it lacks, below 0 where it is long.
 */
export function answer(asked, candidates) {
  const nothing = { ranked: [], closest: null, missing_m: 0 };
  if (!candidates.length) return nothing;
  const ranked = candidates.map((candidate) => choiceOf(candidate, asked)).sort(byChance);
  if (ranked.some((one) => lands(one, asked))) return { ...nothing, ranked };
  const closest = ranked.reduce((near, one) => (off(one, asked) < off(near, asked) ? one : near));
  return { ...nothing, closest, missing_m: asked.carry_m - closest.candidate.carry_m };
}

/** What `answer` puts first, or calls the closest, without the others and without per cent: asked of many distances. */
export function best(asked, candidates) {
  let [first, near, fits] = [null, null, false];
  for (const candidate of candidates) {
    const one = landing(candidate, asked);
    fits ||= lands(one, asked);
    if (!first || byChance(one, first) < 0) first = one;
    const nearer = near ? off(one, asked) - off(near, asked) : -1;
    if (nearer < 0 || (nearer === 0 && byChance(one, near) < 0)) near = one;
  }
  return fits ? first : near;
}

function choiceOf(candidate, asked) {
  const found = landing(candidate, asked);
  return { ...found, percents: percents(found) };
}

function landing(candidate, asked) {
  const { short, inside, long } = chances(candidate.table, asked.front_m, asked.back_m);
  const clears = !asked.must_carry || asked.clear_m === null || candidate.nine_in_ten_carry_m >= asked.clear_m;
  return { candidate, clears, short, inside, long };
}

function lands({ candidate, inside }, asked) {
  return inside >= FEWEST_IN || (asked.front_m <= candidate.carry_m && candidate.carry_m <= asked.back_m);
}

function off({ candidate }, asked) {
  return Math.abs(candidate.carry_m - asked.carry_m);
}

function byChance(one, other) {
  if (one.clears !== other.clears) return one.clears ? -1 : 1;
  return other.inside - one.inside || Math.max(one.short, one.long) - Math.max(other.short, other.long);
}
