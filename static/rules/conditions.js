// The phone's rule for conditions: what a carry plays and flies today, from coefficients sent by the server.
// Knows nothing of pages, units of length on show or storage; webapp/conditions/condition_table.py holds the same rule.

import { KELVIN_AT_0_DEGC, LEAST_GAIN } from "./constants.js";

/** Whether every value lies where these sums hold. */
export function inRange(ranges, today, asked_m) {
  const within = (value, [low, high]) => value >= low && value <= high;
  const known = ["temperature_c", "altitude_m", "tail_mps", "target_up_m"];
  return known.every((name) => within(today[name], ranges[name])) && within(asked_m, ranges.carry_m);
}

/**
 * The carry of the card to play for a target [m].
 *
 * @param {object} data the page's table, ranges and cold_ball_degc
 * @param {number} target_m level distance to where the ball shall come down
 * @param {{temperature_c: number, altitude_m: number, tail_mps: number, wind_at: string, target_up_m: number}} today
 * @returns {{carry_m: number, low_m: number, high_m: number, at_least: boolean,
 *   parts: {cause: string, change_m: number}[]}|null} null where the phone has to wait for the server's solver
 */
export function plays(data, target_m, today) {
  return answer(playM, data, target_m, today);
}

/** What a carry of the card [m] becomes today; answers as `plays`. */
export function flies(data, card_m, today) {
  return answer(flyM, data, card_m, today);
}

function answer(scaledM, { table, ranges, cold_ball_degc }, asked_m, today) {
  if (!inRange(ranges, today, asked_m)) return null;
  const parts = [];
  let before_m = asked_m;
  for (const [cause, here] of oneByOne(table, today)) {
    const after_m = scaledM(table, asked_m, here);
    if (after_m === null || after_m > ranges.carry_m[1]) return null;
    parts.push({ cause, change_m: after_m - before_m });
    before_m = after_m;
  }
  const change_m = parts.reduce((sum, part) => sum + part.change_m, 0);
  const ends = [1 - table.range_share, 1 + table.range_share].map((share) => asked_m + share * change_m);
  return {
    carry_m: asked_m + change_m,
    low_m: Math.min(...ends),
    high_m: Math.max(...ends),
    at_least: table.home_temperature_c - today.temperature_c >= cold_ball_degc,
    parts,
  };
}

/** Home turned into today one cause at a time, so that the parts add up; causes that are as at home are left out. */
function oneByOne(table, today) {
  const home = {
    temperature_c: table.home_temperature_c,
    altitude_m: table.home_altitude_m,
    tail_mps: 0,
    wind_at: "forecast",
    target_up_m: 0,
  };
  const warm = { ...home, temperature_c: today.temperature_c };
  const high = { ...warm, altitude_m: today.altitude_m };
  const windy = { ...high, tail_mps: today.tail_mps, wind_at: today.wind_at };
  const steps = [
    ["temperature", warm, today.temperature_c !== home.temperature_c],
    ["altitude", high, today.altitude_m !== home.altitude_m],
    ["wind", windy, today.tail_mps !== 0],
    ["height", today, today.target_up_m !== 0],
  ];
  return steps.filter(([, , differs]) => differs);
}

/** The carry of the card to play, on a straight line between neighbouring numbers. */
function playM(table, target_m, today) {
  const known = table.numbers
    .map((number) => [number.card_m, numberM(table, number, today)])
    .filter(([, carry_m]) => carry_m !== null);
  for (let i = 0; i + 1 < known.length; i += 1) {
    const [[card_m, carry_m], [nextCard_m, nextCarry_m]] = [known[i], known[i + 1]];
    const step_m = nextCard_m - card_m;
    if (carry_m <= target_m && target_m <= nextCarry_m && nextCarry_m - carry_m >= LEAST_GAIN * step_m) {
      return card_m + (step_m * (target_m - carry_m)) / (nextCarry_m - carry_m);
    }
  }
  return null;
}

/** What a carry of the card becomes, on a straight line between neighbouring numbers. */
function flyM(table, card_m, today) {
  const at = table.numbers.findIndex(
    (number, i) => i + 1 < table.numbers.length && number.card_m <= card_m && card_m <= table.numbers[i + 1].card_m,
  );
  if (at < 0) return null;
  const [near, far] = [table.numbers[at], table.numbers[at + 1]];
  const [near_m, far_m] = [numberM(table, near, today), numberM(table, far, today)];
  if (near_m === null || far_m === null) return null;
  return near_m + ((far_m - near_m) * (card_m - near.card_m)) / (far.card_m - near.card_m);
}

/** What one number of the table carries [m]; null for a target steeper than is offered. */
function numberM(table, number, today) {
  if (Math.abs(today.target_up_m) > number.target_up_m_most) return null;
  const climb_m = today.altitude_m - table.home_altitude_m;
  const pressure = table.pressure.reduce((sum, a, power) => sum + a * climb_m ** (power + 1), 1);
  const warmth = (table.home_temperature_c + KELVIN_AT_0_DEGC) / (today.temperature_c + KELVIN_AT_0_DEGC);
  const excess = pressure * warmth - 1;
  const fitted = number.coefficients[today.wind_at];
  return table.terms.reduce(
    (sum, [i, j, k], at) => sum + fitted[at] * excess ** i * today.tail_mps ** j * today.target_up_m ** k,
    number.card_m,
  );
}
