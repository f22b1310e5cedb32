// Owns what a kept page does not know yet, by the facts on this phone, and how many balls that count are among it.
// Knows no page.

import { whyNot } from "./counts.js";
import { fold } from "./shot.js";

/** Whether a fact is news to a page: its book got it after the page's `cursor`, or has not numbered it yet. */
export function isNew({ state, seq }, cursor) {
  return state !== "taken" || !(seq <= cursor);
}

/** How many balls that count for a kind of ball are news to a page; `rows` are the facts on this phone, `shown` folded. */
export function ballsSince({ cursor, ball }, rows, shown = fold(rows)) {
  const counts = ({ body }) => {
    const bucket = shown.get(body.bucket_id);
    return bucket && !whyNot(body, bucket.body, ball);
  };
  const first = (row) => row.kind === "shot" && row.id === row.root && isNew(row, cursor);
  return rows.filter((row) => first(row) && shown.has(row.root) && counts(shown.get(row.root))).length;
}
