// Owns what is said of how many balls were struck today; it advises and never stops anybody. Not medical advice.
// Knows no page; webapp/practice/limits.py says the same.

import { REST_EVERY } from "./constants.js";

/** At the player's own limit, and at every twentieth ball, a sentence; noting goes on all the same. */
export function limitWords(struck_today, limit) {
  if (limit !== null && struck_today >= limit) {
    return `${struck_today} balls today, and your limit is ${limit}. Stopping here is fine; noting goes on.`;
  }
  return struck_today && !(struck_today % REST_EVERY) ? `${struck_today} balls today: take a rest.` : "";
}
