// Owns what keys choose on the landing patch: where they start, and where a step leads; patch.js hears the keys.

import { LANES } from "../rules/constants.js";
import { rainPlace, rainReadingAt, stepped } from "../rules/scale.js";

/** The reading that the first key shows: as far as known that of the reopened ball, `from`, else a clean ball as meant. */
export function firstKeyed({ asks, rain, from }, scale) {
  if (asks) return { contact: "clean", landed: "unseen", value: null };
  if (rain) {
    const { column, row } = (from && rainPlace(scale.meant, from)) ?? { column: 1, row: 1 };
    return fieldOf(scale, column, row);
  }
  const contact = LANES.includes(from?.contact) ? from.contact : "clean";
  if (["over", "under"].includes(from?.landed)) return { contact, landed: from.landed, value: null };
  return { contact, landed: "seen", value: Math.round((from?.value ?? scale.meant) / scale.step) * scale.step };
}

/** The reading that lies so many steps to the right and up from another, at most that at the edge. */
export function steppedTo({ asks, rain }, scale, reading, right, up) {
  if (rain && !asks) {
    const { column, row } = rainPlace(scale.meant, reading);
    return fieldOf(scale, column + right, row - up);
  }
  const lane = Math.min(Math.max(LANES.indexOf(reading.contact) + right, 0), LANES.length - 1);
  return { ...(up && !asks ? stepped(scale, reading, up) : reading), contact: LANES[lane] };
}

function fieldOf(scale, column, row) {
  return rainReadingAt(scale, ((column + 0.5) * scale.width) / 3, ((row + 0.5) * scale.height) / 3);
}
