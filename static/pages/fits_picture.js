// Owns the picture of what fits: the ground at true scale and twenty balls a shot; webapp/draw/ground.py draws the same.

import { fromM, halfUp, toM, whole } from "../rules/lengths.js";
import { svg } from "../ui/arm.js";
import { path } from "../ui/elements.js";

const WIDE = 344;
const EDGE = 8;
const DOT = 5;
const STEP = 11.4;
const GROUND_Y = 66;
const GROUND_HIGH = 88;
const LEAST_ROWS = 3;
const FIGURE_APART = 30;

/** Where carries [m] lie on the ground round a flag and a window; what lies beyond an end is drawn at it. */
export function axisOf(flag_m, { front_m, back_m }) {
  const low_m = Math.min(flag_m * 0.68, front_m * 0.95);
  const high_m = Math.max(flag_m * 1.3, back_m * 1.05);
  const x = (carry_m) => EDGE + Math.min(Math.max((carry_m - low_m) / (high_m - low_m), 0), 1) * (WIDE - 2 * EDGE);
  return { low_m, high_m, x };
}

/** How many `unit` lie between figures below the ground, so that none touches its neighbour. */
export function tickStep({ low_m, high_m }, unit) {
  const px_a_unit = (WIDE - 2 * EDGE) / fromM(high_m - low_m, unit);
  return [10, 20, 50].find((step) => step * px_a_unit >= FIGURE_APART) ?? 100;
}

/** The ground with its flag; trouble up to `front_m` and from `back_m` is hatched, where there is any. */
export function groundDrawing(axis, flag_m, { front_m, back_m }, unit) {
  const drawing = blank(GROUND_HIGH, "ground-drawing");
  if (front_m) drawing.append(...trouble(axis.x(axis.low_m), axis.x(front_m), `to ${whole(front_m, unit)}`, "end"));
  if (back_m) drawing.append(...trouble(axis.x(back_m), axis.x(axis.high_m), `past ${whole(back_m, unit)}`, "start"));
  drawing.append(path("turf", `M0 ${GROUND_Y}H${WIDE}`));
  const step = tickStep(axis, unit);
  const last = Math.floor(fromM(axis.high_m, unit) / step) * step;
  for (let at = Math.ceil(fromM(axis.low_m, unit) / step) * step; at <= last; at += step) {
    const x = axis.x(toM(at, unit));
    drawing.append(path("turf thin", `M${x} ${GROUND_Y}v5`), svg("text", { x, y: GROUND_Y + 19, "text-anchor": "middle" }, at));
  }
  drawing.append(path("flag", `M${axis.x(flag_m)} ${GROUND_Y}V8l20 8-20 8`));
  return drawing;
}

/** Twenty balls in columns: a filled one is in, a struck ring is out. */
export function ballsDrawing(axis, { carries, short, inside }, { front_m, back_m }) {
  const [left, right] = [axis.x(front_m), axis.x(back_m)];
  const first = Math.ceil(left / STEP); // the columns that stand inside the window
  const last = Math.max(first, Math.floor(right / STEP));
  const stacked = new Map();
  const balls = carries.map((carry_m, place) => {
    const near = halfUp(axis.x(carry_m) / STEP);
    const is_in = place >= short && place < short + inside;
    const column = is_in ? Math.min(Math.max(near, first), last) : place < short ? Math.min(near, first - 1) : Math.max(near, last + 1);
    stacked.set(column, (stacked.get(column) ?? 0) + 1);
    return { x: column * STEP, row: stacked.get(column), is_in };
  });
  const foot = Math.max(LEAST_ROWS, ...stacked.values()) * STEP + 4;
  const drawing = blank(foot + 1, "balls-drawing");
  drawing.append(svg("rect", { class: "window", x: left, y: 0, width: right - left, height: foot }), path("turf thin", `M0 ${foot}H${WIDE}`));
  for (const { x, row, is_in } of balls) drawing.append(ball(x, foot - 1 - (row - 0.5) * STEP, is_in));
  return drawing;
}

function ball(x, y, is_in) {
  if (is_in) return svg("circle", { class: "in", cx: x, cy: y, r: DOT });
  return path("out", `M${x - DOT + 1} ${y}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0M${x - 2.8} ${y + 2.8}l5.6 -5.6`);
}

function trouble(left, right, words, anchor) {
  const strokes = [];
  for (let x = left; x < right - 6; x += 10) strokes.push(`M${x} ${GROUND_Y}l12 -16`);
  const edge = anchor === "end" ? right : left;
  return [
    path("trouble", strokes.join("")),
    path("turf", `M${edge} ${GROUND_Y + 6}v-26`),
    svg("text", { x: edge + (anchor === "end" ? -3 : 3), y: GROUND_Y - 24, "text-anchor": anchor }, words),
  ];
}

function blank(high, name) {
  return svg("svg", { class: name, viewBox: `0 0 ${WIDE} ${high}`, "aria-hidden": "true" });
}
