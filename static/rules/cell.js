// The reading of a cell's table and its trust: what the phone may work out of a number without signal.
// Knows nothing of pages, of storage or of the network; webapp/estimate/chance.py and trust.py hold the same rules.

import { CLOSE, EARLY_BELOW_BALLS, EARLY_BELOW_VISITS, OLD_BELOW_BALLS, SETTLED_HALF_WIDTH_M } from "./constants.js";

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

/** The same in whole percent adding to 100: the largest remainders are rounded up. */
export function percents(found) {
  const parts = [found.short, found.inside, found.long].map((chance) => 100 * chance);
  const whole = parts.map((part) => Math.floor(part + CLOSE));
  const byRemainder = [0, 1, 2].sort((i, k) => whole[i] - parts[i] - (whole[k] - parts[k]));
  const missing = 100 - (whole[0] + whole[1] + whole[2]);
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
