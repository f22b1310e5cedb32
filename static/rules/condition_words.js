// What is said of conditions, word for word as webapp/conditions/today.py says it; knows no page.

import { UNIT_NAMES } from "./constants.js";
import { fromM, halfUp, whole } from "./lengths.js";

const COLDER = { plays: "more", flies: "less" };

/** A range in whole units, such as "62–64". */
export function rangeWords({ low_m, high_m }, unit) {
  const [low, high] = [whole(low_m, unit), whole(high_m, unit)];
  return low === high ? `${low}` : `${low}–${high}`;
}

/** What `asked_m` becomes and why; `verb` is "plays" or "flies", `home` holds temperature_c and altitude_m. */
export function sentence(asked_m, answer, home, today, unit, verb) {
  const range = rangeWords(answer, unit).replace("–", " to ");
  const asked = `${whole(asked_m, unit)} ${UNIT_NAMES[unit]} ${verb} ${range}${answer.at_least ? ` or ${COLDER[verb]}` : ""}`;
  if (!answer.parts.length) return `${asked}: nothing differs from where the card was made.`;
  const reasons = answer.parts.map((part) => reason(part, home, today, unit)).join(", ");
  return `${asked}: ${reasons}${answer.at_least ? "; a cold ball, not counted here, costs more" : ""}.`;
}

/** What else to know of a carry that short or that long; "" where nothing is. */
export function note(asked_m, { air_matters_m, measured_m }, unit) {
  const length = (length_m) => `${whole(length_m, unit)} ${UNIT_NAMES[unit]}`;
  if (asked_m < air_matters_m) return `Under ${length(air_matters_m)} air and wind hardly matter; height does.`;
  if (asked_m > measured_m) return `Over ${length(measured_m)} the ball spins beyond what was measured: trust it less.`;
  return "";
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
