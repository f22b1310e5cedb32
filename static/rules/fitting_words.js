// What fits a carry, in the words a player reads; webapp/fits/fitting_words.py says the same, and shared cases hold both.
// Knows nothing of pages.

import { CLOSE } from "./constants.js";
import { fromM, halfUp, whole } from "./lengths.js";

/** "Carry 66, in from 58 to 70", "Land 58 for a flag at 62, in from 52 to 63". */
export function askedWords(asked, flag_m, unit) {
  const [carry, flag] = [whole(asked.carry_m, unit), whole(flag_m, unit)];
  const land = carry === flag ? `Carry ${carry}` : `Land ${carry} for a flag at ${flag}`;
  return `${land}, in from ${whole(asked.front_m, unit)} to ${whole(asked.back_m, unit)}`;
}

/** "short 11 / in 85 / long 4". */
export function chanceWords({ percents }) {
  return `short ${percents.short} / in ${percents.inside} / long ${percents.long}`;
}

/** The nine-in-ten carry, against trouble in front where there is any; it is never rounded up to clear it. */
export function nineWords(candidate, asked, unit) {
  const nine = fromM(candidate.nine_in_ten_carry_m, unit);
  const roughly = candidate.rough ? "roughly " : "";
  if (asked.clear_m === null) return `Nine in ten carry ${roughly}${Math.floor(nine + CLOSE)}`;
  const front = fromM(asked.clear_m, unit);
  const rounded = halfUp(nine * 10) / 10;
  const clear = `clear of the trouble to ${whole(asked.clear_m, unit)}`;
  if (nine >= front - CLOSE) return `Nine in ten carry ${roughly}${rounded.toFixed(1)}: ${clear}`;
  const told = rounded < front ? rounded : Math.floor(nine * 10) / 10;
  return `Nine in ten carry ${roughly}${told.toFixed(1)}: not ${front - nine < 1 ? "quite " : ""}${clear}`;
}

/** "carries 61, settled". */
export function restsWords(candidate, unit) {
  return `carries ${whole(candidate.carry_m, unit)}, ${candidate.trust}`;
}

/** "Nine in ten carry 57.9: not quite clear of the trouble to 58. Twin of 51 10:30." */
export function moreWords(candidate, asked, unit) {
  const others = candidate.twins.slice(0, -1).join(", ");
  const twins = [others, ...candidate.twins.slice(-1)].filter(Boolean).join(" and ");
  const nine = `${nineWords(candidate, asked, unit)}.`;
  return twins ? `${nine} Twin of ${twins}.` : nine;
}

/** "Nothing fits 135. Closest is 46 full: it carries 112, 23 short." */
export function nothingWords({ closest }, asked, unit) {
  if (!closest) return "";
  const { club, swing, carry_m } = closest.candidate;
  const [carry, wanted] = [whole(carry_m, unit), whole(asked.carry_m, unit)];
  const off = wanted > carry ? `${wanted - carry} short` : carry > wanted ? `${carry - wanted} long` : "on the number";
  return `Nothing fits ${wanted}. Closest is ${club} ${swing}: it carries ${carry}, ${off}.`;
}

/** Said where trouble must be carried and its end is not known, or no number clears it nine times in ten; else "". */
export function mustWords({ ranked }, asked, unit) {
  if (!asked.must_carry || !ranked.length) return "";
  if (asked.clear_m === null) return "To carry the trouble in front, say how far it reaches: “trouble in front to” is empty.";
  const nine = (choice) => choice.candidate.nine_in_ten_carry_m;
  const safest = ranked.reduce((best, one) => (nine(one) > nine(best) ? one : best));
  if (nine(safest) >= asked.clear_m) return "";
  const { club, swing } = safest.candidate;
  return `No number carries ${whole(asked.clear_m, unit)} nine times in ten. The safest is ${club} ${swing}.`;
}
