// What to leave: for every whole yard or metre the best shot, its chance to land in and its miss on average.
// Knows nothing of pages, storage or the network; webapp/fits/leave.py holds the same rules, and shared cases both.

import { percents } from "./cell.js";
import { CLOSE, LENGTH_M, LONGEST_CARRY_M } from "./constants.js";
import { AS_LOW, FEWEST_IN, LAY_UP_TIMES, LEAST_LAY_UP_M, MOST_PEAKS } from "./more_constants.js";
import { answer, best, question } from "./fitting.js";
import { fromM, toM, whole } from "./lengths.js";

/**
 * Every whole `unit` from the shortest to the longest number, or what of it may be left of `ahead`; with it also those
 * up or down to the flag where something fits it, or the longest number leaves less than a shot to it.
 *
 * @param {object[]} candidates the card's numbers with their tables
 * @param {{flag_m: number, roll_m?: number, front_m?: number|null, back_m?: number|null, must_carry?: boolean}|null} ahead
 * @returns {{distances: object[], peaks: object[], valleys: {at: object, low_m: number, high_m: number}[]}}
 * @throws {Error} with a plain sentence where the parts of `ahead` cannot be true together
 */
export function leave(candidates, margin, unit, ahead = null) {
  const asked = ahead && question(ahead, margin);
  const distances = withinReach(candidates, unit, ahead, asked).map((left_m) => distance(left_m, candidates, margin, ahead));
  const standing = distances.map(standingOf);
  const reach = distances.map(({ carry_m }) => Math.max(1, Math.floor(wideAt(margin, carry_m) / LENGTH_M[unit])));
  const middle = median(standing);
  const peaks = tops(standing, reach).filter((at) => standing[at] > middle && distances[at].chance >= FEWEST_IN);
  const valleys = tops(standing.map((one) => -one), reach).filter((at) => standing[at] < middle);
  const stretches = valleys.map((at) => valley(distances, at, Math.min(standing[at] + AS_LOW, middle)));
  return { distances, peaks: peaks.map((at) => distances[at]), valleys: stretches };
}

/** What to leave, the likeliest first: the peaks, or the best distance where there is none. */
export function byChance({ distances, peaks }) {
  const ranked = [...(peaks.length ? peaks : distances)].sort((one, other) => standingOf(other) - standingOf(one));
  return peaks.length ? ranked : ranked.slice(0, 1);
}

/** The flag's own distance, where it is among those that were asked about; or null. */
export function atFlag({ distances }, flag_m, unit) {
  const last = distances.at(-1);
  return before(flag_m, unit) === whole(last.left_m, unit) ? last : null;
}

/** The same, unless trouble shuts it and not the best. */
export function inReach(found, flag_m, unit) {
  const here = atFlag(found, flag_m, unit);
  return here && here.clears >= bestOf(found, flag_m, unit).clears ? here : null;
}

/** The likeliest distance to leave; null where the flag is in reach and to lay up is not worth its ball. */
export function layUp(found, flag_m, unit) {
  const [best, here] = [bestOf(found, flag_m, unit), inReach(found, flag_m, unit)];
  return here && best.chance <= LAY_UP_TIMES * here.chance ? null : best;
}

/** What the answer and the sentence name: the flag's own distance in reach or what to leave, then the likeliest. */
export function listed(found, flag_m, unit) {
  const likeliest = byChance(found).slice(0, MOST_PEAKS);
  if (flag_m === null || !found.distances.length) return likeliest;
  const first = inReach(found, flag_m, unit) ?? bestOf(found, flag_m, unit);
  return [first, ...likeliest.filter(({ left_m }) => left_m !== first.left_m)];
}

/** The likeliest of the flag's own distance and those a shot away from it. */
function bestOf(found, flag_m, unit) {
  const here = atFlag(found, flag_m, unit);
  const likeliest = byChance(found);
  return here ? likeliest.find(({ left_m }) => left_m === here.left_m || isShot(flag_m - left_m)) ?? here : likeliest[0];
}

function isShot(hit_m) {
  return hit_m >= LEAST_LAY_UP_M - CLOSE;
}

/** What distances are set against each other by: the chance, those that clear before those that do not. */
export function standingOf({ chance, clears }) {
  return clears ? chance : chance - 1;
}

/** How far [m] a ball comes down from `meant_m` on average: the area under the chances up to there, and over them beyond. */
export function missM({ first, step_m, below }, meant_m) {
  const place = meant_m / step_m - first;
  const last = below.length - 1;
  let upto = Math.max(place - last, 0);
  let all = 0;
  for (let i = 0; i < last; i += 1) {
    const part = Math.min(Math.max(place - i, 0), 1);
    upto += part * (below[i] + (part * (below[i + 1] - below[i])) / 2);
    all += (below[i] + below[i + 1]) / 2;
  }
  return (2 * upto + last - place - all) * step_m;
}

/** The last whole `unit` up to a flag: its own distance. */
function before(flag_m, unit) {
  return Math.floor(fromM(flag_m, unit) + CLOSE);
}

function withinReach(candidates, unit, ahead, asked) {
  if (!candidates.length) return [];
  const roll_m = ahead?.roll_m ?? 0;
  const most_m = ahead?.flag_m ?? Infinity;
  const ends = candidates.map(({ carry_m }) => whole(carry_m + roll_m, unit));
  const beyond_m = most_m - toM(Math.max(...ends), unit);
  const is_beside = beyond_m >= 0 && !isShot(beyond_m);
  if (asked && (answer(asked, candidates).ranked.length || is_beside)) ends.push(before(most_m, unit));
  const [low, high] = [Math.max(1, Math.min(...ends)), Math.max(...ends)];
  const every = Array.from({ length: Math.max(0, high - low + 1) }, (_, i) => toM(low + i, unit));
  return every.filter((left_m) => roll_m < left_m && left_m <= most_m && left_m - roll_m <= LONGEST_CARRY_M);
}

/** Flag, trouble and roll stay where they are; the ball has come nearer to them. */
function distance(left_m, candidates, margin, ahead) {
  const end = (end_m) => (ahead === null || (end_m ?? null) === null ? null : left_m - ahead.flag_m + end_m);
  const near = { flag_m: left_m, roll_m: ahead?.roll_m ?? 0, front_m: end(ahead?.front_m), back_m: end(ahead?.back_m), must_carry: ahead?.must_carry ?? false };
  const asked = question(near, margin);
  const found = best(asked, candidates);
  const { candidate, inside: chance, clears } = found;
  const { carry_m } = asked;
  const in_100 = percents(found).inside;
  return { left_m, carry_m, best: candidate, chance, in_100, miss_m: missM(candidate.table, carry_m), clears, guess: candidate.trust === "guess" };
}

function wideAt(margin, carry_m) {
  return Math.max(margin.share * carry_m, margin.least_m);
}

/** Where nothing as far off as the margin is higher; of equals the first. */
function tops(values, reach) {
  return [...values.keys()].filter((at) => {
    const before = values.slice(Math.max(0, at - reach[at]), at);
    const after = values.slice(at + 1, at + reach[at] + 1);
    return before.every((other) => other < values[at]) && after.every((other) => other <= values[at]);
  });
}

/** A distance that the card answers worse than those round it, and the stretch that is no better. */
function valley(distances, at, below) {
  let [low, high] = [at, at];
  while (low > 0 && standingOf(distances[low - 1]) < below) low -= 1;
  while (high < distances.length - 1 && standingOf(distances[high + 1]) < below) high += 1;
  return { at: distances[at], low_m: distances[low].left_m, high_m: distances[high].left_m };
}

function median(values) {
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}
