// Owns how a fact gets its id and time and which fact of a root is shown; knows no database, page or network.

import { FRESH_MS } from "./constants.js";

/** The later of now and one millisecond after `last`, so that a clock set back never reorders one phone's facts. */
export function madeAt(now, last) {
  const after = last ? Date.parse(last) + 1 : 0;
  return new Date(Math.max(now, after)).toISOString();
}

/** What is shown: per root the fact made last, then the larger id; a void hides its root for good. */
export function fold(facts) {
  const shown = new Map();
  for (const fact of facts) {
    const best = shown.get(fact.root);
    if (!best || later(fact, best)) shown.set(fact.root, fact);
  }
  for (const [root, fact] of shown) if (fact.body === null) shown.delete(root);
  return shown;
}

/** Whether a row can still be moved; a clock that was set back does not keep it so for longer than its four seconds. */
export function isFresh({ state, fresh_until }, now) {
  return state === "fresh" && fresh_until > now && fresh_until - now <= FRESH_MS;
}

/** A UUID of version 7 (RFC 9562): 48 bits of time [ms], then 16 bytes of chance cut to fit, so that ids sort as made. */
export function uuid7(now, chance) {
  const bytes = [...chance];
  for (let place = 0; place < 6; place += 1) bytes[place] = Math.floor(now / 2 ** (8 * (5 - place))) % 256;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = bytes.map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function later(fact, best) {
  if ((fact.body === null) !== (best.body === null)) return fact.body === null;
  return fact.made_at === best.made_at ? fact.id > best.id : fact.made_at > best.made_at;
}
