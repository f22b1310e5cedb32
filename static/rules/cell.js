// The one-cell rule and the reading of a cell's table: what the phone may work out without signal.
// Knows nothing of pages, of storage or of the network; webapp/estimate/one_cell.py and chance.py hold the same rules.

import { CLOSE, EARLY_BELOW_BALLS, EARLY_BELOW_VISITS, MISHIT_DENSITY, OLD_BELOW_BALLS, SETTLED_HALF_WIDTH_M } from "./constants.js";

/**
 * A cell after the balls of its open buckets.
 *
 * @param {{m0: number, v0: number, s2: number, omega2: number, pi: Object<string, number>}} state the cell without
 *   those buckets: mean and variance of ln(typical carry [m]), variances of clean balls and of a day's shift, and
 *   the chance by contact that a ball was clean
 * @param {{carry_m: number|null, contact: string}[][]} buckets the balls of each open bucket in the order hit;
 *   one without a carry and a shank move nothing
 * @returns {{m: number, v: number, carry_m: number, weights: number[][]}}
 */
export function replay(state, buckets) {
  let m = state.m0;
  let v = state.v0;
  const weights = buckets.map((balls) => {
    const day = { m, v: v + state.omega2 };
    const bucketWeights = balls.map((ball) => hear(day, state, ball));
    const part = v / (v + state.omega2);
    m += part * (day.m - m);
    v = v * (1 - part) + part * part * day.v;
    return bucketWeights;
  });
  return { m, v, carry_m: Math.exp(m), weights };
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

// Moves the day's level by one ball and returns the chance that the ball was clean.
function hear(day, state, ball) {
  const chance = state.pi[ball.contact];
  if (!(ball.carry_m > 0) || chance === undefined) return 0;
  const r = Math.log(ball.carry_m) - day.m;
  const spread = day.v + state.s2;
  const clean = (chance * Math.exp((-r * r) / (2 * spread))) / Math.sqrt(2 * Math.PI * spread);
  const w = clean / (clean + (1 - chance) * mishitDensity(r));
  const k = (w * day.v) / (w * day.v + state.s2);
  day.m += k * r;
  day.v *= 1 - k;
  return w;
}

function mishitDensity(r) {
  return MISHIT_DENSITY.reduce(
    (sum, [share, mean, sd]) =>
      sum + (share * Math.exp(-0.5 * ((r - mean) / sd) ** 2)) / (sd * Math.sqrt(2 * Math.PI)),
    0,
  );
}

function below(table, carryM) {
  const place = carryM / table.step_m - table.first;
  const last = table.below.length - 1;
  if (place < 0) return 0;
  if (place > last) return 1;
  const i = Math.min(Math.floor(place), last - 1);
  return table.below[i] + (place - i) * (table.below[i + 1] - table.below[i]);
}
