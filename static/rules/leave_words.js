// What to leave, in the words a player reads; webapp/fits/leave_words.py says the same, and shared cases hold both.
// Knows nothing of pages.

import { CLOSE } from "./constants.js";
import { ALIKE, MOST_PEAKS, MOST_VALLEYS } from "./more_constants.js";
import { atFlag, byChance, inReach, layUp, standingOf } from "./leave.js";
import { fromM, halfUp, whole } from "./lengths.js";

/**
 * "61 and 85 are best for you; 66 to 69 are worst."; "" without any distance. Nothing is the player's own that rests on no
 * ball, and a card without any says so first.
 */
export function bestWords(found, candidates, unit) {
  if (!found.distances.length) return "";
  if (candidates.some(({ n }) => n)) return standOutWords(found, " without a ball", unit);
  return `No ball yet. ${standOutWords(found, "", unit)}`;
}

function standOutWords(found, without, unit) {
  const { distances } = found;
  const [low, high] = [distances[0], distances.at(-1)].map(({ left_m }) => whole(left_m, unit));
  if (low === high) return `${low} is all there is.`;
  if (isFlat(found)) return `From ${low} to ${high} every distance is much the same.`;
  if (!found.peaks.length) return `From ${low} to ${high} no distance stands out.`;
  const named = (isHit) => namedPeaks(found).filter(({ best }) => isHit === best.n > 0).map(({ left_m }) => `${whole(left_m, unit)}`);
  const best = joined(named(true), "is best for you", "are best for you");
  const stand = joined(named(false), `stands out${without}`, `stand out${without}`);
  const worst = joined(worstM(found).map(([low_m, high_m]) => stretch(low_m, high_m, unit)), "is worst", "are worst");
  return `${[best, stand, worst].filter(Boolean).join("; ")}.`;
}

/** "From the best, 75 to 85 balls in 100 land in; from the worst, 52 to 54."; "" without any distance. */
export function chancesWords(found) {
  if (!found.distances.length) return "";
  if (isFlat(found)) return `${fromTo(found.distances)} balls in 100 land in.`;
  if (!found.peaks.length) return `At best ${byChance(found)[0].in_100} balls in 100 land in.`;
  const [{ clears }] = byChance(found); // what trouble shuts is no matter of chance
  const here = namedValleys(found).map(({ at }) => at).filter((at) => at.clears === clears);
  const there = `From the best, ${fromTo(namedPeaks(found))} balls in 100 land in`;
  return here.length ? `${there}; from the worst, ${fromTo(here)}.` : `${there}.`;
}

/** The stretches [m] that the sentence calls worst, in their order. */
export function worstM(found) {
  return found.peaks.length ? namedValleys(found).map(({ low_m, high_m }) => [low_m, high_m]) : [];
}

/** "Leave 61: hit 179 now.", first of all the shot that reaches; why not, where no number is that short. */
export function answerWords(found, candidates, flag_m, unit) {
  if (!found.distances.length) {
    const shortest_m = candidates.length ? Math.min(...candidates.map(({ carry_m }) => carry_m)) : 0;
    return `No number of your card is that short: the shortest carries ${whole(shortest_m, unit)}.`;
  }
  const [flag, here, best] = [whole(flag_m, unit), inReach(found, flag_m, unit), layUp(found, flag_m, unit)];
  const reach = here ? `${flag} is in reach: ${here.best.club} ${here.best.swing}, ${here.in_100} balls in 100 land in.` : "";
  if (!best) return reach;
  const left = whole(best.left_m, unit);
  return `${reach ? `${reach} Or leave` : "Leave"} ${left}: hit ${flag - left} now.`;
}

/** What to know of trouble in front: its missing end, whether a number carries it, a lay-up short of it; or "". */
export function troubleWords(found, ahead, unit) {
  if (!found.distances.length) return "";
  return [mustWords(found, ahead, unit), shortWords(layUp(found, ahead.flag_m, unit), ahead, unit)].filter(Boolean).join(" ");
}

function mustWords(found, { flag_m, must_carry = false, front_m = null }, unit) {
  if (!must_carry) return "";
  if (front_m === null) return "To carry the trouble in front, say how far it reaches: “trouble in front to” is empty.";
  if (!found.distances.some(({ clears }) => clears)) return "From no distance a number carries the trouble in front nine times in ten.";
  return atFlag(found, flag_m, unit)?.clears === false ? "From here no number carries the trouble in front nine times in ten." : "";
}

/** A ball that lays up is short of where the trouble ends: whether it lands in it is not known. */
function shortWords(left, { flag_m, front_m = null }, unit) {
  if (!left || front_m === null) return "";
  const now = whole(flag_m, unit) - whole(left.left_m, unit);
  if (now >= fromM(front_m, unit) - CLOSE) return "";
  return `${now} is short of where the trouble ends: look whether it begins well beyond ${now}.`;
}

/** "75 of 100". */
export function inWords({ in_100 }) {
  return `${in_100} of 100`;
}

/** "3.9 off on average". */
export function missWords({ miss_m }, unit) {
  return `${(halfUp(fromM(miss_m, unit) * 10) / 10).toFixed(1)} off on average`;
}

function isFlat({ distances }) {
  const standing = distances.map(standingOf);
  return Math.max(...standing) - Math.min(...standing) < ALIKE;
}

function namedPeaks(found) {
  return byChance(found).slice(0, MOST_PEAKS).sort((one, other) => one.left_m - other.left_m);
}

/** The deepest, where they lie well below whatever is called best. */
function namedValleys(found) {
  const below = Math.min(...namedPeaks(found).map(standingOf)) - ALIKE;
  const deepest = found.valleys.filter(({ at }) => standingOf(at) < below).sort((one, other) => standingOf(one.at) - standingOf(other.at));
  return deepest.slice(0, MOST_VALLEYS).sort((one, other) => one.at.left_m - other.at.left_m);
}

function fromTo(distances) {
  const chances = distances.map(({ in_100 }) => in_100);
  const [low, high] = [Math.min(...chances), Math.max(...chances)];
  return low < high ? `${low} to ${high}` : `${low}`;
}

function stretch(low_m, high_m, unit) {
  const [low, high] = [whole(low_m, unit), whole(high_m, unit)];
  return low < high ? `${low} to ${high}` : `${low}`;
}

/** "61 is best for you", "61 and 85 are best for you", "66 to 69 are worst"; "" for no name. */
function joined(names, one, several) {
  if (!names.length) return "";
  const [others, last] = [names.slice(0, -1), names.at(-1)];
  const is_alone = !others.length && !last.includes(" to ");
  return `${others.join(", ")}${others.length ? " and " : ""}${last} ${is_alone ? one : several}`;
}
