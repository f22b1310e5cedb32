// Owns what this phone and the server know together of homework: what was accepted, and which of its places are struck.
// Knows the rows of this phone, and no page.

import { left, ofNine, placesStruck } from "../rules/homework.js";
import { fold } from "../rules/shot.js";
import { isNew } from "../rules/since.js";

/** Every homework, the latest first: what a page's data knows, and what `rows` of this phone say since. */
export function accepted({ homework: known, cursor, left_bag = [] }, rows) {
  const allowed = rows.filter(({ refusal }) => refusal?.code !== "guardian"); // a guardian has not accepted it yet
  const shown = [...fold(allowed).values()];
  const buckets = shown.filter(({ kind }) => kind === "bucket").map(({ root, body }) => ({ id: root, ...body }));
  const shots = shown.filter(({ kind }) => kind === "shot").map(({ body }) => body);
  const heirs = Object.fromEntries(left_bag.map(({ id, heir }) => [id, heir]));
  const all = new Map(known.map((one) => [one.id, one]));
  // A page that knows this phone's word may know a later one: homework is set aside on the server alone.
  const here = shown.filter((row) => row.kind === "homework" && (isNew(row, cursor) || !all.has(row.root)));
  for (const { root, made_at, body } of here) {
    const before = all.get(root);
    all.set(root, { struck: [], accepted_at: made_at, ...before, id: root, aside: false, nine_by: "", focus: "", ...body });
  }
  const counted = [...all.values()].map((one) => {
    const struck = [...new Set([...one.struck, ...placesStruck(one, buckets, shots, heirs)])];
    const words = left(one.plan, struck);
    return { ...one, struck, left: ofNine(words, false), nine_left: ofNine(words, true), open: !one.aside && words.length > 0 };
  });
  return counted.sort((one, other) => (one.accepted_at < other.accepted_at ? 1 : -1));
}

/** The homework that practice offers: the latest that is open, with balls left and not set aside; null without one. */
export function offered(data, rows) {
  return accepted(data, rows).find(({ open }) => open) ?? null;
}
