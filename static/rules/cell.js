// The reading of a cell's table and its trust: what the phone may work out of a number without signal.
// Knows nothing of pages, of storage or of the network; webapp/estimate/chance.py and trust.py hold the same rules.

import { CLOSE } from "./constants.js";
import { EARLY_BELOW_BALLS, EARLY_BELOW_VISITS, OLD_BELOW_BALLS, SETTLED_HALF_WIDTH_M, TWENTY } from "./more_constants.js";

/** The key of a club's and a swing's cell, as card_data.py's cell_key makes it. */
export function keyOf({ club_id, swing_deg }) {
  return `${club_id}:${swing_deg}`;
}

/**
 * Chances of coming down short of the window [frontM, backM] [m], inside it and beyond it; they add to 1.
 *
 * @param {{first: number, step_m: number, below: number[]}} table chance of carrying less than (first + i) steps
 * @returns {{short: number, inside: number, long: number}}
 */
export function chances(table, frontM, backM) {
  const short = below(table, frontM);
  const reached = below(table, backM);
  return { short, inside: reached - short, long: 1 - reached };
}

/** The same in whole percent adding to 100. */
export function percents(found) {
  return shares(found, 100);
}

/** The same in whole parts adding to `of`: the largest remainders are rounded up. */
function shares(found, of) {
  const parts = [found.short, found.inside, found.long].map((chance) => of * chance);
  const whole = parts.map((part) => Math.floor(part + CLOSE));
  const byRemainder = [0, 1, 2].sort((i, k) => whole[i] - parts[i] - (whole[k] - parts[k]));
  const missing = of - (whole[0] + whole[1] + whole[2]);
  for (const i of byRemainder.slice(0, missing)) whole[i] += 1;
  return { short: whole[0], inside: whole[1], long: whole[2] };
}

/**
 * How far a number may be trusted, by its balls, their visits, those struck of late, whether a carry was stated, and
 * half the width [m] of its range.
 */
export function trust(n, visits, recent, told, halfWidthM) {
  if (n === 0) return told ? "told" : "guess";
  if (n < EARLY_BELOW_BALLS || visits < EARLY_BELOW_VISITS) return "early";
  if (recent < OLD_BELOW_BALLS) return "old";
  return halfWidthM > SETTLED_HALF_WIDTH_M ? "early" : "settled";
}

function below(table, carryM) {
  const place = carryM / table.step_m - table.first;
  const last = table.below.length - 1;
  if (place < 0) return 0;
  if (place > last) return 1;
  const i = Math.min(Math.floor(place), last - 1);
  return table.below[i] + (place - i) * (table.below[i + 1] - table.below[i]);
}

/**
 * Twenty balls of a cell: how many end short, inside and long, and where each comes down [m], at the middles of twenty
 * equal shares of the forecast; a ball that the largest remainders put beyond an edge lies at that edge.
 */
export function twenty(table, frontM, backM) {
  const counts = shares(chances(table, frontM, backM), TWENTY);
  const carries = Array.from({ length: TWENTY }, (_, i) => {
    const [low, high] = i < counts.short ? [0, frontM] : i < counts.short + counts.inside ? [frontM, backM] : [backM, Infinity];
    return Math.min(Math.max(carryAt(table, (i + 0.5) / TWENTY), low), high);
  });
  return { ...counts, carries };
}

/** The carry [m] that this share of the balls falls short of, by straight lines between the steps of the table. */
function carryAt({ first, step_m, below: shares_below }, share) {
  const next = shares_below.findIndex((value) => value >= share);
  if (next === 0) return first * step_m;
  if (next < 0) return (first + shares_below.length - 1) * step_m;
  const [before, after] = [shares_below[next - 1], shares_below[next]];
  return (first + next - 1 + (share - before) / (after - before)) * step_m;
}
