// Owns where a carry lies on the landing patch and which carry a touch means; pure numbers, in the unit on show.

import { BAND_PX, LANES, LEAST_GAP_PX, OUTER_STRETCH, RAIN_LANES, RAIN_SHARE, SCALE_ABOVE, SCALE_BELOW, STEPS } from "./constants.js";

/** The step of an entry by how the carry is judged. */
export function stepOf(judged_by) {
  return STEPS[judged_by];
}

/** The patch's scale for a meant carry (in the unit on show) on a picture of `width` x `height` pixels. */
export function scaleOf({ meant, step, width, height }) {
  const low = Math.max(0, meant - Math.max(SCALE_BELOW * meant, 2 * step));
  const rise = Math.max(SCALE_ABOVE * meant, 2 * step);
  const top = BAND_PX;
  const bottom = height - BAND_PX;
  const thick = top + ((bottom - top) * rise) / (rise + meant - low);
  const high = (lane) => meant + rise * (isOuter(lane) ? OUTER_STRETCH : 1);
  const yOf = (value, lane) => (value <= meant
    ? thick + ((bottom - thick) * (meant - value)) / (meant - low)
    : thick - ((thick - top) * (value - meant)) / (high(lane) - meant));
  const valueAt = (y, lane) => (y >= thick
    ? meant - ((y - thick) * (meant - low)) / (bottom - thick)
    : meant + ((thick - y) * (high(lane) - meant)) / (thick - top));
  return { meant, step, width, height, low, high, top, bottom, thick, yOf, valueAt };
}

/** What a point means: the lane, and a carry in whole steps, or "under" / "over" beyond the scale. */
export function readingAt(scale, x, y) {
  const place = Math.floor((x / scale.width) * LANES.length);
  const contact = LANES[Math.min(Math.max(place, 0), LANES.length - 1)];
  if (y < scale.top) return { contact, landed: "over", value: null };
  if (y > scale.bottom) return { contact, landed: "under", value: null };
  return { contact, landed: "seen", value: snapped(scale.valueAt(y, contact), scale.step) };
}

/** On the rain patch only a third of the height and of the width count: [share of the meant carry, lane]. */
export function rainReadingAt({ meant, width, height }, x, y) {
  const third = (length, at) => Math.min(Math.max(Math.floor((at / length) * 3), 0), 2);
  const length = ["long", "in", "short"][third(height, y)];
  return { contact: RAIN_LANES[third(width, x)], landed: "seen", length, value: meant * RAIN_SHARE[length] };
}

/** A value moved by whole steps, for the arrow keys; beyond the scale it becomes "under" or "over". */
export function stepped(scale, reading, steps) {
  if (reading.landed === "over") return steps < 0 ? { ...reading, landed: "seen", value: lastWithin(scale, reading.contact) } : reading;
  if (reading.landed === "under") return steps > 0 ? { ...reading, landed: "seen", value: snapped(scale.low, scale.step) + scale.step } : reading;
  const value = reading.value + steps * scale.step;
  if (value > scale.high(reading.contact)) return { ...reading, landed: "over", value: null };
  if (value <= scale.low) return { ...reading, landed: "under", value: null };
  return { ...reading, value };
}

/** The lines of a lane above the thick one, and the shared ones below: multiples of 5, or of 10 where 5 is too close. */
export function linesOf(scale) {
  const below = multiples(scale.low, scale.meant, spacing((scale.bottom - scale.thick) / (scale.meant - scale.low)));
  const above = (lane) => {
    const high = scale.high(lane);
    return multiples(scale.meant, high, spacing((scale.thick - scale.top) / (high - scale.meant)));
  };
  return { below, inner: above("clean"), outer: above("fat") };
}

function isOuter(lane) {
  return lane === "fat" || lane === "bladed";
}

function snapped(value, step) {
  return Math.round(value / step) * step;
}

function lastWithin(scale, lane) {
  return Math.floor(scale.high(lane) / scale.step) * scale.step;
}

function spacing(pixels_per_unit) {
  return [5, 10, 20, 50].find((gap) => gap * pixels_per_unit >= LEAST_GAP_PX) ?? 100;
}

function multiples(from, to, gap) {
  const values = [];
  for (let value = Math.ceil(from / gap) * gap; value <= to; value += gap) values.push(value);
  return values;
}
