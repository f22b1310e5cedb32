// Owns what is said of conditions, word for word as webapp/conditions/words.py says it; knows no page.

import { CLOSE, UNIT_NAMES } from "./constants.js";
import { AIR_MATTERS_M, ALTITUDE_M, CONDITION_RANGES, MEASURED_M, SPEED_BESIDE, SPEED_MPS, SPEED_NAMES, TEMPERATURE_NAMES } from "./more_constants.js";
import { fromM, halfUp, whole } from "./lengths.js";
import { temperature } from "./readings.js";

const COLDER = { plays: "more", flies: "less" };

/** A range in whole units, such as "62–64". */
export function rangeWords({ low_m, high_m }, unit) {
  const [low, high] = [whole(low_m, unit), whole(high_m, unit)];
  return low === high ? `${low}` : `${low}–${high}`;
}

/** What `asked_m` becomes and why, or why not; `verb` is "plays" or "flies", `home` holds temperature_c and altitude_m. */
export function sentence(asked_m, answer, home, today, unit, verb) {
  if (answer.refused) return refusal(asked_m, answer, today, unit);
  const range = rangeWords(answer, unit).replace("–", " to ");
  const asked = `${length(asked_m, unit)} ${verb} ${range}${answer.at_least ? ` or ${COLDER[verb]}` : ""}`;
  if (!answer.parts.length) return `${asked}: nothing differs from where the card was made.`;
  const reasons = answer.parts.map((part) => reason(part, home, today, unit)).join(", ");
  return `${asked}: ${reasons}${answer.at_least ? "; a cold ball, not counted here, costs more" : ""}.`;
}

/** What else to know of a carry that short or that long; "" where nothing is. */
export function note(asked_m, unit) {
  if (asked_m < AIR_MATTERS_M) return `Under ${length(AIR_MATTERS_M, unit)} air and wind hardly matter; height does.`;
  if (asked_m > MEASURED_M) return `Over ${length(MEASURED_M, unit)} how much the ball spins is guessed, not measured: trust it less.`;
  return "";
}

/** Sentences on every value of a day, and of a carry asked for (null: none), that cannot be worked with. */
export function doubts(today, asked_m, unit, temperature_unit, altitude_unit) {
  const { carry_m, ...ranges } = CONDITION_RANGES;
  const found = Object.entries({
    temperature_c: ["A temperature", (degc, digits) => `${told(temperature.fromStored(degc, temperature_unit), digits)} ${TEMPERATURE_NAMES[temperature_unit]}`],
    altitude_m: ["An altitude", (altitude_m, digits) => `${told(altitude_m / ALTITUDE_M[altitude_unit], digits)} ${altitude_unit}`],
    tail_mps: ["A wind", (tail_mps, digits) => wind(tail_mps, unit, digits)],
    target_up_m: ["A target height", (up_m, digits) => `${told(fromM(up_m, unit), digits)} ${UNIT_NAMES[unit]}`],
  }).filter(([name]) => !within(today[name], ranges[name])).map(([name, [what, shown]]) => {
    if (!Number.isFinite(today[name])) return `${what} has to be a number; your carries are unchanged.`;
    const [low, high] = ranges[name].map((end) => shown(end, 0));
    return `${what} of ${shown(today[name], 2)} is outside ${low} to ${high}, where these sums hold; your carries are unchanged.`;
  });
  if (asked_m === null || within(asked_m, carry_m)) return found;
  const [shortest, longest] = carry_m.map((edge_m) => length(edge_m, unit));
  return [...found, `These sums hold from ${shortest} to ${longest}; your carries are unchanged.`];
}

/** At most so many digits after the point: a value just beyond a range must not read like its end, a whole one. */
function told(value, digits) {
  return (value + CLOSE).toLocaleString("en", { maximumFractionDigits: digits });
}

function within(value, [low, high]) {
  return value >= low && value <= high;
}

function wind(tail_mps, unit, digits) {
  const speedUnit = SPEED_BESIDE[unit];
  return `${told(Math.abs(tail_mps) / SPEED_MPS[speedUnit], digits)} ${SPEED_NAMES[speedUnit]} ${tail_mps < 0 ? "against" : "behind"}`;
}

function refusal(asked_m, { refused, reach_m, open_m }, today, unit) {
  const asked = length(asked_m, unit);
  return {
    "no card": "No carry is given: there is no number on the card yet.",
    long: `No carry is given: your longest number flies ${length(reach_m, unit)} today, ${asked} is beyond it.`,
    short: `No carry is given: ${asked} is shorter than these sums go.`,
    steep: `Cannot get there: none of your launches comes down at ${asked} on a target ${length(today.target_up_m, unit)} up. It takes a higher shot; no carry is given.`,
    "no gain": `No carry is given: into this wind a longer swing hardly flies further near ${asked}.`,
    wide: `No carry is given: what this wind does at ${asked} depends too much on how high and with how much spin the ball starts; ${length(open_m, unit)} lie between a low and a high one.`,
  }[refused];
}

function reason({ cause, change_m }, home, today, unit) {
  const words = {
    temperature: today.temperature_c < home.temperature_c ? "colder air" : "warmer air",
    altitude: today.altitude_m > home.altitude_m ? "more altitude" : "less altitude",
    wind: today.tail_mps < 0 ? "wind against" : "wind behind",
    height: today.target_up_m > 0 ? "the target up" : "the target down",
  };
  const size = halfUp(Math.abs(fromM(change_m, unit)));
  return `${words[cause]} ${change_m >= 0 ? "adds" : "takes off"} ${size || "under 1"}`;
}

function length(length_m, unit) {
  return `${whole(length_m, unit)} ${UNIT_NAMES[unit]}`;
}
