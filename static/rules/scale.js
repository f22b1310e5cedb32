// Owns where a carry lies on the landing patch and which carry a touch means; pure numbers, in the unit on show.

import {
  BEYOND_PX, GUTTER_PX, LANES, LEAST_GAP_PX, NAMES_PX, RAIN_LANES, RAIN_SHARE, SCALE_ABOVE, SCALE_BELOW, SCALE_FAR, SCALE_MAIN,
  STEPS,
} from "./constants.js";

/** The step of an entry by how the carry is judged. */
export function stepOf(judged_by) {
  return STEPS[judged_by];
}

/**
 * The patch's scale for a meant carry (in the unit on show) on a picture of `width` x `height` pixels.
 *
 * From `bottom` (carry `low`) to `bend` (carry `high`) it is even; from there to `top` (carry `far`) it is compressed.
 * `left` is where the lanes begin and `names` where the band of their names ends.
 */
export function scaleOf({ meant, step, width, height }) {
  const low = Math.max(0, meant - Math.max(SCALE_BELOW * meant, 2 * step));
  const high = meant + Math.max(SCALE_ABOVE * meant, 2 * step);
  const far = Math.max(SCALE_FAR * meant, high + 2 * step);
  const top = NAMES_PX + BEYOND_PX;
  const bottom = height - BEYOND_PX;
  const bend = bottom - SCALE_MAIN * (bottom - top);
  return { meant, step, width, height, low, high, far, names: NAMES_PX, top, bend, bottom, left: GUTTER_PX };
}

/** The height [px from the top] of a carry; beyond the scale it is that of the nearer end. */
export function yOf({ low, high, far, top, bend, bottom }, value) {
  const y = value <= high
    ? bottom - ((bottom - bend) * (value - low)) / (high - low)
    : bend - ((bend - top) * (value - high)) / (far - high);
  return Math.min(Math.max(y, top), bottom);
}

/** The middle of a lane [px from the left]. */
export function xOf({ left, width }, contact) {
  return left + ((LANES.indexOf(contact) + 0.5) * (width - left)) / LANES.length;
}

/** The lane at a place; left of the lanes it is the first. */
export function laneAt({ left, width }, x) {
  const place = Math.floor(((x - left) / (width - left)) * LANES.length);
  return LANES[Math.min(Math.max(place, 0), LANES.length - 1)];
}

/** What a point means: a name to explain, or the lane and a carry in whole steps, "under" or "over" beyond the scale. */
export function readingAt(scale, x, y) {
  const contact = laneAt(scale, x);
  if (y < scale.names) return { explains: contact };
  if (y < scale.top) return { contact, landed: "over", value: null };
  if (y > scale.bottom) return { contact, landed: "under", value: null };
  return { contact, landed: "seen", value: Math.max(snapped(valueAt(scale, y), scale.step), scale.step) };
}

/** On the rain patch only a third of the height and of the width count: [share of the meant carry, lane]. */
export function rainReadingAt({ meant, width, height }, x, y) {
  const third = (length, at) => Math.min(Math.max(Math.floor((at / length) * 3), 0), 2);
  const length = ["long", "in", "short"][third(height, y)];
  return { contact: RAIN_LANES[third(width, x)], landed: "seen", length, value: meant * RAIN_SHARE[length] };
}

/** The field of the rain patch in which a ball lies, as {row, column} from the top left, or null for one without any. */
export function rainPlace(meant, { value, contact }) {
  const column = RAIN_LANES.indexOf(contact);
  if (value === null || column < 0) return null;
  const off = (length) => Math.abs(value - meant * RAIN_SHARE[length]);
  const rows = ["long", "in", "short"];
  return { row: rows.indexOf(rows.reduce((best, one) => (off(one) < off(best) ? one : best))), column };
}

/** A value moved by whole steps, for the arrow keys; beyond the scale it becomes "under" or "over". */
export function stepped(scale, reading, steps) {
  const seen = (value) => ({ ...reading, landed: "seen", value });
  const { step, low, far } = scale;
  if (reading.landed === "over") return steps < 0 ? seen(Math.floor(far / step) * step) : reading;
  if (reading.landed === "under") return steps > 0 ? seen(Math.floor(low / step) * step + step) : reading;
  const value = reading.value + steps * step;
  if (value > far) return { ...reading, landed: "over", value: null };
  if (value <= low) return { ...reading, landed: "under", value: null };
  return seen(value);
}

/** The lines: multiples of 5 below the bend, of 10 where 5 is too close, and sparser ones above it. */
export function linesOf({ low, high, far, top, bend, bottom }) {
  const main = multiples(low, high, spacing((bottom - bend) / (high - low)));
  const beyond = multiples(high, far, spacing((bend - top) / (far - high))).filter((value) => value > high);
  return { main, beyond };
}

function valueAt({ low, high, far, top, bend, bottom }, y) {
  return y >= bend
    ? low + ((bottom - y) * (high - low)) / (bottom - bend)
    : high + ((bend - y) * (far - high)) / (bend - top);
}

function snapped(value, step) {
  return Math.round(value / step) * step;
}

function spacing(pixels_per_unit) {
  return [5, 10, 20, 50].find((gap) => gap * pixels_per_unit >= LEAST_GAP_PX) ?? 100;
}

function multiples(from, to, gap) {
  const values = [];
  for (let value = Math.ceil(from / gap) * gap; value <= to; value += gap) values.push(value);
  return values;
}
