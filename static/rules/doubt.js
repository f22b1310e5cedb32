// Owns whether an entered carry looks like a slip and which number was probably meant; an entry is kept as entered.
// Knows no ring and no page; webapp/estimate/doubt.py holds the same rule.

import { FITS_WITHIN_SDS, MOST_TENS, RINGED_BEYOND_SDS } from "./constants.js";
import { toM, whole } from "./lengths.js";

/**
 * The carry [m] that was probably meant by an entry of `carry_m` [m], or null; `m` and `sd` are mean and standard
 * deviation of ln(carry [m]) of the cell's next clean ball. A typed number may be one slip away, a touched one whole
 * tens, never a step of the scale.
 */
export function likelierM(carry_m, contact, typed, m, sd, unit) {
  const limit = RINGED_BEYOND_SDS[contact];
  const off = (other_m) => Math.abs(Math.log(other_m) - m);
  if (limit === undefined || !(carry_m > 0) || off(carry_m) <= limit * sd) return null;
  const entered = whole(carry_m, unit);
  const numbers = [...(typed ? oneSlipFrom(entered) : wholeTensFrom(entered))].sort((one, other) => one - other);
  const fitting = numbers.map((number) => toM(number, unit)).filter((other_m) => off(other_m) <= FITS_WITHIN_SDS * sd);
  return fitting.reduce((best, other_m) => (best === null || off(other_m) < off(best) ? other_m : best), null);
}

function oneSlipFrom(entered) {
  const digits = String(entered);
  const slips = new Set();
  for (let i = 0; i <= digits.length; i += 1) {
    if (i + 1 < digits.length) slips.add(digits.slice(0, i) + digits[i + 1] + digits[i] + digits.slice(i + 2));
    if (i < digits.length && digits.length > 1) slips.add(digits.slice(0, i) + digits.slice(i + 1));
    for (const digit of "0123456789") slips.add(digits.slice(0, i) + digit + digits.slice(i));
  }
  return new Set([...slips].map(Number).filter((number) => number > 0 && number !== entered));
}

function wholeTensFrom(entered) {
  const others = new Set();
  for (let n = 1; n <= MOST_TENS; n += 1) for (const other of [entered - 10 * n, entered + 10 * n]) if (other > 0) others.add(other);
  return others;
}
