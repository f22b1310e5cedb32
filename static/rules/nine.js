// Owns when the next-visit nine may be struck; knows no page and no clock. The same rule in Python:
// webapp/practice/plans.py, held together by tests/vectors/nine/.

import { NINE_AFTER_MS } from "./more_constants.js";

/** The moment from which it may be struck [ms], or 0 when it may be now; times are milliseconds, null without a ball. */
export function nineOpensAt(last_struck_ms, now_ms) {
  if (last_struck_ms === null || now_ms - last_struck_ms >= NINE_AFTER_MS) return 0;
  return last_struck_ms + NINE_AFTER_MS;
}
