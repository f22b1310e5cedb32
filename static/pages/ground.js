// Owns the picture of the ground: lanes, lines, the thick line, balls; the touch on it is patch.js's business.

import { LANES, RAIN_LANES } from "../rules/constants.js";
import { halfUp } from "../rules/lengths.js";
import { laneAt, linesOf, rainPlace, xOf, yOf } from "../rules/scale.js";
import { svg } from "../ui/arm.js";

const FIGURE_PX = 20; // a line's figure needs this much room
const DOT_PX = 6;
const RING_PX = 15;
const SIDESTEP_PX = 17; // balls at one place stand side by side, so that each can be read

/** The ground at a scale; `view` holds {hidden, marks}, a mark {value, contact, landed, label, settled, left}. */
export function groundPicture(scale, view) {
  const { width, height, names, top, bend, bottom, left } = scale;
  const lane_width = (width - left) / LANES.length;
  const drawing = blank(width, height);
  LANES.forEach((lane, place) => {
    const x = left + place * lane_width;
    drawing.append(
      svg("rect", { x, y: names, width: lane_width, height: height - names, class: place % 2 ? "lane shade" : "lane" }),
      svg("rect", { x, y: 0, width: lane_width, height: names, class: "names" }),
      svg("text", { x: x + lane_width / 2, y: names / 2 + 6, class: "lane-name" }, lane),
    );
  });
  const middle = left + (width - left) / 2;
  drawing.append(
    svg("text", { x: middle, y: (names + top) / 2 + 5, class: "beyond" }, "way over"),
    svg("text", { x: middle, y: (bottom + height) / 2 + 5, class: "beyond" }, "way short"),
  );
  const thick = yOf(scale, scale.meant);
  const { main, beyond } = linesOf(scale);
  for (const value of [...main, ...beyond]) {
    const y = yOf(scale, value);
    drawing.append(svg("line", { x1: left, x2: width, y1: y, y2: y, class: "reach" }));
    // The thick line's own figure is larger and pushes its neighbours' away.
    const clear = view.hidden || Math.abs(y - thick) > FIGURE_PX;
    if (clear) drawing.append(svg("text", { x: left - 4, y: y + 5, class: "figure" }, value));
  }
  for (const y of [names, top, bottom]) drawing.append(svg("line", { x1: 0, x2: width, y1: y, y2: y, class: "edge" }));
  drawing.append(svg("path", { d: zigzag(left, width, bend), class: "bend" }));
  if (!view.hidden) {
    drawing.append(
      svg("line", { x1: left, x2: width, y1: thick, y2: thick, class: "meant" }),
      svg("text", { x: left - 4, y: thick + 7, class: "figure meant-figure" }, halfUp(scale.meant)),
    );
  }
  for (const [mark, x, y] of placed(scale, view.marks)) drawing.append(...ballAt(mark, x, y));
  return drawing;
}

/** The question which strike a ball lost from sight was: five lanes and nothing else. */
export function strikePicture({ width, height, left }) {
  const drawing = blank(width, height);
  const lane_width = (width - left) / LANES.length;
  LANES.forEach((lane, place) => {
    const x = place ? left + place * lane_width : 0;
    drawing.append(
      svg("rect", { x, y: 0, width: left + (place + 1) * lane_width - x, height, class: place % 2 ? "lane shade" : "lane" }),
      svg("text", { x: left + (place + 0.5) * lane_width, y: height / 2, class: "lane-name" }, lane),
    );
  });
  drawing.append(svg("text", { x: width / 2, y: height / 2 - 40, class: "asked" }, "lost sight: which strike?"));
  return drawing;
}

/** The rain patch, nine large fields, and the last ball in its own. */
export function rainPicture({ width, height, meant }, { marks }) {
  const drawing = blank(width, height);
  ["long", "in", "short"].forEach((length, row) => RAIN_LANES.forEach((lane, column) => {
    const [x, y] = [(column * width) / 3, (row * height) / 3];
    drawing.append(
      svg("rect", { x, y, width: width / 3, height: height / 3, class: (row + column) % 2 ? "lane shade" : "lane" }),
      svg("text", { x: x + width / 6, y: y + height / 6 - 4, class: "lane-name" }, length),
      svg("text", { x: x + width / 6, y: y + height / 6 + 20, class: "rain-lane" }, column === 1 ? lane : `${lane} side`),
    );
  }));
  for (const mark of marks.filter(({ settled }) => !settled)) {
    const field = rainPlace(meant, mark);
    if (field) drawing.append(...ballAt(mark, ((field.column + 0.5) * width) / 3, ((field.row + 0.5) * height) / 3 + 44));
  }
  return drawing;
}

/** Each mark with its place; one that would cover another steps aside within its lane. */
function placed(scale, marks) {
  const { names, top, bottom, height, left, width } = scale;
  const taken = [];
  return marks.map((mark) => {
    const contact = LANES.includes(mark.contact) ? mark.contact : laneAt(scale, width / 2);
    const y = { over: (names + top) / 2, under: (height + bottom) / 2 }[mark.landed] ?? yOf(scale, mark.value);
    const room = (width - left) / LANES.length / 2 - RING_PX;
    const middle = xOf(scale, contact);
    const steps = [0, 1, -1, 2, -2].map((step) => step * (mark.settled ? SIDESTEP_PX / 2 : SIDESTEP_PX)).filter((step) => Math.abs(step) <= room + 1);
    const near = (step) => taken.some(([x, other]) => Math.hypot(x - middle - step, other - y) < (mark.settled ? 2 * DOT_PX : 2 * RING_PX));
    const x = middle + (steps.find((step) => !near(step)) ?? 0);
    if (!mark.settled || steps.length) taken.push([x, y]);
    return [mark, x, y];
  });
}

function ballAt({ settled, label, left }, x, y) {
  if (settled) return [svg("circle", { cx: x, cy: y, r: DOT_PX, class: "settled" })];
  const ring = svg("circle", { cx: x, cy: y, r: RING_PX, class: "mark", pathLength: 100 });
  if (left !== undefined) ring.style.setProperty("--left", `${left}ms`);
  ring.classList.toggle("draining", left !== undefined);
  return label ? [ring, svg("text", { x, y: y + 6, class: "mark-label" }, label)] : [ring];
}

function zigzag(from, to, y) {
  const steps = Math.floor((to - from) / 12);
  return `M${from} ${y}${Array.from({ length: steps }, (_, i) => ` l6 ${i % 2 ? 3 : -3} l6 ${i % 2 ? -3 : 3}`).join("")}`;
}

function blank(width, height) {
  return svg("svg", { viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true" });
}
