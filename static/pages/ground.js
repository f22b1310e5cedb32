// Owns the picture of the ground: lanes, lines, the thick line, balls; patch.js reads the touches on it.

import { FRESH_MS, LANES, RAIN_LANES } from "../rules/constants.js";
import { halfUp } from "../rules/lengths.js";
import { laneAt, linesOf, rainPlace, xOf, yOf } from "../rules/scale.js";
import { svg } from "../ui/arm.js";
import { signAddress } from "../ui/signs.js";

// A line's figure needs this much room.
const FIGURE_PX = 20;
// Half the height of the tag that holds the thick line's figure.
const TAG_PX = 12;
const DOT_PX = 6;
const RING_PX = 19;
const SIGN_PX = 28;
// The numbered balls of a group are smaller, so that several stand side by side.
const GROUP_PX = 13;
const DRAIN_MS = 125;
// Half the room of a number.
const LABEL_PX = 7;

/** The ground at a scale; `view` holds {hidden, marks}, a mark {value, contact, landed, label, settled, left}. */
export function groundPicture(scale, view) {
  const { width, height, names, top, bend, bottom, left } = scale;
  const lane_width = (width - left) / LANES.length;
  const drawing = blank(width, height);
  LANES.forEach((lane, place) => {
    drawing.append(svg("rect", { x: left + place * lane_width, y: names, width: lane_width, height: height - names, class: "lane" }));
  });
  const thick = yOf(scale, scale.meant);
  const { main, beyond } = linesOf(scale);
  drawing.append(...stripes(main, scale));
  LANES.forEach((lane, place) => {
    const x = left + place * lane_width;
    if (place) drawing.append(edge(x, names, x, height));
    drawing.append(svg("rect", { x, y: 0, width: lane_width, height: names, class: "names" }), ...strike(lane, x + lane_width / 2, names - 5));
  });
  const middle = left + (width - left) / 2;
  drawing.append(
    svg("text", { x: middle, y: (names + top) / 2 + 5, class: "beyond" }, "way over"),
    svg("text", { x: middle, y: (bottom + height) / 2 + 5, class: "beyond" }, "way short"),
  );
  let below = height;
  for (const value of [...main, ...beyond]) {
    const y = yOf(scale, value);
    drawing.append(svg("line", { x1: left, x2: width, y1: y, y2: y, class: "reach" }));
    // Above the bend lines may lie close; a figure is left out only where it would touch the one below or the tag.
    if (below - y < FIGURE_PX || (!view.hidden && Math.abs(y - thick) < FIGURE_PX)) continue;
    drawing.append(svg("text", { x: left - 2, y: y + 6, class: "figure" }, value));
    below = y;
  }
  // Left of the lanes a figure may stand at the height of an edge.
  for (const [x1, y] of [[0, names], [left, top], [left, bottom]]) drawing.append(svg("line", { x1, x2: width, y1: y, y2: y, class: "edge" }));
  drawing.append(svg("path", { d: zigzag(left, width, bend), class: "bend" }));
  if (!view.hidden) {
    drawing.append(
      svg("line", { x1: left, x2: width, y1: thick, y2: thick, class: "meant" }),
      svg("path", { d: `M0 ${thick - TAG_PX}H${left + 2}l7 ${TAG_PX}-7 ${TAG_PX}H0z`, class: "meant-tag" }),
      svg("text", { x: left / 2 + 4, y: thick + 7, class: "figure meant-figure" }, halfUp(scale.meant)),
    );
  }
  for (const [mark, x, y] of placed(scale, view.marks)) drawing.append(...ballAt(mark, x, y));
  return drawing;
}

/** A ball that has just been touched, before it is saved; the next picture holds it or leaves it out. */
export function landing(scale, mark) {
  return placed(scale, [mark]).flatMap(([, x, y]) => ballAt(mark, x, y));
}

/** Where the strike of a ball lost from sight is touched: five lanes and nothing else. */
export function strikePicture({ width, height, left }) {
  const drawing = blank(width, height);
  const lane_width = (width - left) / LANES.length;
  LANES.forEach((lane, place) => {
    const x = place ? left + place * lane_width : 0;
    drawing.append(svg("rect", { x, y: 0, width: left + (place + 1) * lane_width - x, height, class: place % 2 ? "lane shade" : "lane" }));
    if (place) drawing.append(edge(x, 0, x, height));
    drawing.append(...strike(lane, left + (place + 0.5) * lane_width, height / 2));
  });
  drawing.append(svg("text", { x: width / 2, y: height / 2 - 60, class: "asked" }, "touch the strike"));
  return drawing;
}

/** The rain patch, nine large fields, and the last ball in its own, below the words as far as there is room. */
export function rainPicture({ width, height, meant }, { marks }) {
  const drawing = blank(width, height);
  // A little more than half of the ball with its ring stays above the foot of the field.
  const ballY = (row) => ((row + 0.5) * height) / 3 + Math.min(44, height / 6 - 22.5);
  ["long", "in", "short"].forEach((length, row) => RAIN_LANES.forEach((lane, column) => {
    const [x, y] = [(column * width) / 3, (row * height) / 3];
    drawing.append(
      svg("rect", { x, y, width: width / 3, height: height / 3, class: (row + column) % 2 ? "lane shade" : "lane" }),
      svg("text", { x: x + width / 6, y: ballY(row) - 46, class: "lane-name" }, length),
      svg("text", { x: x + width / 6, y: ballY(row) - 26, class: "rain-lane" }, column === 1 ? lane : `${lane} side`),
    );
  }));
  for (const third of [1, 2]) {
    const [x, y] = [(third * width) / 3, (third * height) / 3];
    drawing.append(edge(x, 0, x, height), edge(0, y, width, y));
  }
  for (const mark of marks.filter(({ settled }) => !settled)) {
    const field = rainPlace(meant, mark);
    if (field) drawing.append(...ballAt(mark, ((field.column + 0.5) * width) / 3, ballY(field.row)));
  }
  return drawing;
}

/** A dotted edge between two lanes, which tells them apart where no colour does. */
function edge(x1, y1, x2, y2) {
  return svg("line", { x1, y1, x2, y2, class: "between-lanes" });
}

/** A lane's drawing of the club at the ball above its name. */
function strike(lane, x, y) {
  return [
    svg("use", { href: signAddress(lane), x: x - SIGN_PX / 2, y: y - 41, width: SIGN_PX, height: SIGN_PX, class: "sign" }),
    svg("text", { x, y, class: "lane-name" }, lane),
  ];
}

/** Each mark with its place; one that would cover another steps aside in its lane, a numbered one at last up or down. */
function placed(scale, marks) {
  const { names, top, bottom, height, left, width } = scale;
  const taken = [];
  return marks.map((mark) => {
    const contact = LANES.includes(mark.contact) ? mark.contact : laneAt(scale, width / 2);
    const height_px = { over: (names + top) / 2, under: (height + bottom) / 2 }[mark.landed] ?? yOf(scale, mark.value);
    const [radius, apart] = sizeOf(mark);
    const room = Math.max((width - left) / LANES.length / 2 - radius, 0);
    const middle = xOf(scale, contact);
    const steps = [0, 1, -1, 2, -2].map((step) => step * apart).filter((step) => Math.abs(step) <= room + 1);
    const places = (mark.label ? [0, apart, -apart] : [0]).flatMap((down) => steps.map((aside) => [middle + aside, height_px + down]));
    const free = ([x, y]) => taken.every(([other_x, other_y]) => Math.hypot(x - other_x, y - other_y) >= apart - 1);
    const [x, y] = places.find(free) ?? places[0];
    taken.push([x, y]);
    return [mark, x, y];
  });
}

/** The radius of a mark, and how far another must keep from it so that both can be read [px]. */
function sizeOf({ settled, label }) {
  if (settled) return [DOT_PX, 2 * DOT_PX];
  return label ? [GROUP_PX, GROUP_PX + LABEL_PX] : [RING_PX, 2 * RING_PX];
}

/** A settled ball is a dot; the one that can still be moved tells its carry, and its edge drains in the time left [ms]. */
function ballAt({ settled, label, value, left }, x, y) {
  if (settled) return [svg("circle", { cx: x, cy: y, r: DOT_PX, class: "settled" })];
  const r = label ? GROUP_PX : RING_PX;
  const ball = svg("g", { class: label ? "mark numbered" : "mark" });
  const ring = svg("circle", { cx: x, cy: y, r, class: "ring", pathLength: 100 });
  ball.append(svg("circle", { cx: x, cy: y, r }), ring);
  if (left !== undefined) {
    ball.style.setProperty("--left", `${left}ms`);
    ball.style.setProperty("--fresh", `${FRESH_MS}ms`);
    ball.classList.add("draining");
    drain(ring, Date.now() + left);
  }
  const words = label || (value === null ? "" : halfUp(value));
  if (words !== "") ball.append(svg("text", { x, y: y + (label ? 5 : 7), class: "mark-label" }, words));
  return [ball];
}

/** Empty the edge of a ball in steps until it can be moved no longer: an animation draws sixty pictures a second for it. */
function drain(ring, ends_at) {
  const left = Math.max(ends_at - Date.now(), 0);
  ring.style.strokeDashoffset = 100 * (1 - left / FRESH_MS);
  if (left) setTimeout(() => { if (ring.isConnected) drain(ring, ends_at); }, DRAIN_MS);
}

/** Mown stripes: every second stretch between two lines. */
function stripes(lines, scale) {
  const { left, width, bottom } = scale;
  const gap = lines.length > 1 ? lines[1] - lines[0] : 0;
  const mown = lines.filter((value) => gap && Math.round(value / gap) % 2 === 0);
  return mown.map((value) => {
    const foot = Math.min(yOf(scale, value - gap), bottom);
    return svg("rect", { x: left, y: yOf(scale, value), width: width - left, height: Math.max(foot - yOf(scale, value), 0), class: "mown" });
  });
}

function zigzag(from, to, y) {
  const steps = Math.floor((to - from) / 12);
  return `M${from} ${y}${Array.from({ length: steps }, (_, i) => ` l6 ${i % 2 ? 3 : -3} l6 ${i % 2 ? -3 : 3}`).join("")}`;
}

function blank(width, height) {
  return svg("svg", { viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true" });
}
