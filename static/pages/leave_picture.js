// Owns the picture of what to leave: one line over the ground; webapp/draw/leave_line.py draws the same.

import { fromM, toM, whole } from "../rules/lengths.js";
import { svg } from "../ui/arm.js";
import { path } from "../ui/elements.js";
import { tickStep } from "./fits_picture.js";

const WIDE = 344;
const EDGE = 8;
const GROUND_Y = 138;
const HIGH = 160;
const TALL = 108;
const LEAST_HATCH = 10;
const SIDE = 0.07; // of the ground, at its far end, is left for the names of the shares

/** The line with its peaks, the worst stretches hatched, a flag where to leave it. */
export function leaveLine({ distances, peaks }, worst, chosen_m, unit) {
  const drawing = svg("svg", { class: "ground-drawing leave-line", viewBox: `0 0 ${WIDE} ${HIGH}`, "aria-hidden": "true" });
  const low_m = distances[0].left_m - toM(1, unit);
  const last_m = distances.at(-1).left_m;
  const high_m = last_m + toM(1, unit) + SIDE * (last_m - distances[0].left_m);
  const x = (left_m) => EDGE + ((left_m - low_m) / (high_m - low_m)) * (WIDE - 2 * EDGE);
  drawing.append(...share(0.5), ...share(1));
  for (const [from_m, to_m] of worst) drawing.append(hatched(x(from_m), x(to_m)));
  drawing.append(path("turf", `M0 ${GROUND_Y}H${WIDE}`), ...ticks(x, distances, tickStep({ low_m, high_m }, unit), unit));
  if (chosen_m !== null) drawing.append(path("flag", `M${x(chosen_m)} ${GROUND_Y}V4l16 7-16 7`));
  drawing.append(...line(x, distances));
  for (const one of peaks) drawing.append(...peak(x(one.left_m), y(one.chance), whole(one.left_m, unit)));
  return drawing;
}

function y(chance) {
  return GROUND_Y - TALL * chance;
}

function share(chance) {
  const name = svg("text", { class: "share-name", x: WIDE, y: y(chance) - 3, "text-anchor": "end" }, Math.round(100 * chance));
  return [path("share", `M0 ${y(chance)}H${WIDE}`), name];
}

/** Pieces of one kind each: whole, or dashed from and to every distance whose best shot is a guess. */
function line(x, distances) {
  const pieces = [];
  for (const [i, point] of distances.slice(1).entries()) {
    const dashed = distances[i].guess || point.guess;
    if (pieces.at(-1)?.dashed !== dashed) pieces.push({ dashed, places: [distances[i]] });
    pieces.at(-1).places.push(point);
  }
  const way = (places) => places.map(({ left_m, chance }) => `${x(left_m)} ${y(chance)}`).join("L");
  return pieces.map(({ dashed, places }) => path(dashed ? "chance guessed" : "chance", `M${way(places)}`));
}

function peak(x, top, name) {
  return [
    svg("circle", { class: "peak", cx: x, cy: top, r: 4.5 }),
    svg("text", { class: "peak-name", x, y: top - 9, "text-anchor": "middle" }, name),
  ];
}

function hatched(left, right) {
  const half = Math.max(right - left, LEAST_HATCH) / 2;
  const from = (left + right) / 2 - half;
  let strokes = "";
  for (let i = 0; i <= Math.floor((2 * half) / 5); i += 1) strokes += `M${from + 5 * i} ${GROUND_Y}l7 -14`;
  return path("trouble", strokes);
}

function ticks(x, distances, step, unit) {
  const found = [];
  const last = Math.round(fromM(distances.at(-1).left_m, unit));
  for (let at = Math.ceil(Math.round(fromM(distances[0].left_m, unit)) / step) * step; at <= last; at += step) {
    const place = x(toM(at, unit));
    found.push(path("turf thin", `M${place} ${GROUND_Y}v5`), svg("text", { x: place, y: GROUND_Y + 19, "text-anchor": "middle" }, at));
  }
  return found;
}
