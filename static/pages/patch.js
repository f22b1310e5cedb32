// Owns the landing patch: its picture, the touch on it and its keys; what a reading becomes is the visit's business.

import { svg } from "../ui/arm.js";
import { LANES, RAIN_LANES } from "../rules/constants.js";
import { halfUp } from "../rules/lengths.js";
import { linesOf, rainReadingAt, readingAt, scaleOf, stepped } from "../rules/scale.js";

const HOLD_MS = 350; // a longer press shows the figure above the thumb; a shorter one just records
const FIGURE_HEIGHT = 20; // pixels a line's figure needs above it
const READOUT_GAP = 36; // pixels between the thumb and the figure, which must not be under it

/**
 * Make `place` a landing patch. `onreading(reading)` hears each finished touch or Enter.
 * The returned draw(view) shows {meant, step, hidden, rain, at_once, marks: [{value, contact, label}], asks}.
 */
export function landingPatch(place, readout, onreading) {
  let view = null;
  let scale = null;
  let press = null;
  let keyed = null;

  const read = (event) => {
    const box = place.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top];
    if (y < 0) return null; // slid off the top edge: nothing is meant
    return view.rain ? rainReadingAt(scale, x, y) : readingAt(scale, x, y);
  };
  const show = (reading, event) => {
    readout.hidden = false;
    const [figure, ...lane] = reading ? spoken(reading).split(/ (?=\w+$)/) : ["let go"];
    readout.replaceChildren(figure, ...lane.map((word) => Object.assign(document.createElement("small"), { textContent: ` ${word}` })));
    const height = readout.offsetHeight;
    const top = Math.max(0, (event ? event.clientY : place.getBoundingClientRect().top) - height - READOUT_GAP);
    readout.style.transform = `translateY(${top}px)`;
  };
  const end = () => {
    clearTimeout(press?.timer);
    press = null;
    readout.hidden = true;
  };

  place.addEventListener("pointerdown", (event) => {
    if (press || !view || event.button > 0) return;
    place.setPointerCapture(event.pointerId);
    press = { id: event.pointerId, reading: read(event), held: view.at_once, last: event };
    if (press.held) show(press.reading, event);
    else press.timer = setTimeout(() => { press.held = true; show(press.reading, press.last); }, HOLD_MS);
  });
  place.addEventListener("pointermove", (event) => {
    if (press?.id !== event.pointerId) return;
    press.last = event;
    press.reading = read(event);
    if (press.held) show(press.reading, event);
  });
  place.addEventListener("pointerup", (event) => {
    if (press?.id !== event.pointerId) return;
    const reading = read(event);
    end();
    if (reading) onreading(reading);
  });
  place.addEventListener("pointercancel", (event) => { if (press?.id === event.pointerId) end(); });
  place.addEventListener("keydown", (event) => {
    const from = keyed ?? { contact: "clean", landed: "seen", value: Math.round(scale.meant / scale.step) * scale.step };
    const sideways = (by) => {
      const lane = LANES.indexOf(from.contact) + by;
      return { ...from, contact: LANES[Math.min(Math.max(lane, 0), LANES.length - 1)] };
    };
    const moved = {
      ArrowUp: () => stepped(scale, from, 1),
      ArrowDown: () => stepped(scale, from, -1),
      ArrowLeft: () => sideways(-1),
      ArrowRight: () => sideways(1),
    }[event.key];
    if (moved) {
      keyed = keyed ? moved() : from; // the first key only shows where the arrows start
      show(keyed);
    } else if (event.key === "Enter" && keyed) {
      const reading = keyed;
      forgetKeys();
      onreading(reading);
    } else if (event.key === "Escape") forgetKeys();
    else return;
    event.preventDefault();
  });
  const forgetKeys = () => { keyed = null; readout.hidden = true; };
  place.addEventListener("blur", () => { if (keyed) forgetKeys(); });

  const draw = (next) => {
    view = next;
    const { clientWidth: width, clientHeight: height } = place;
    if (!width || !height) return;
    scale = scaleOf({ meant: view.meant, step: view.step, width, height });
    place.replaceChildren(view.rain ? rainPicture(scale) : picture(scale, view));
  };
  new ResizeObserver(() => { if (view) draw(view); }).observe(place);
  return draw;
}

/** A reading as it is shown and read out: "54 clean", "way over bladed". */
export function spoken({ value, contact, landed, length }) {
  if (length) return `${length} ${contact}`;
  return `${{ over: "way over", under: "way short" }[landed] ?? value} ${contact}`;
}

function picture(scale, view) {
  const { width, height, top, bottom, thick, meant, yOf } = scale;
  const drawing = blank(width, height);
  const lane_width = width / LANES.length;
  LANES.forEach((lane, place) => {
    const x = place * lane_width;
    drawing.append(
      svg("rect", { x, y: 0, width: lane_width, height, class: place % 2 ? "lane shade" : "lane" }),
      svg("text", { x: x + lane_width / 2, y: top - 9, class: "lane-name" }, lane),
      svg("text", { x: x + lane_width / 2, y: 19, class: "beyond" }, "way over"),
      svg("text", { x: x + lane_width / 2, y: height - 17, class: "beyond" }, "way short"),
    );
  });
  const line = (value, lane, from, to) => {
    const y = yOf(value, lane);
    drawing.append(svg("line", { x1: from, x2: to, y1: y, y2: y, class: "reach" }));
    // The thick line's own figure stands above it and is larger than the others.
    const clear = y - FIGURE_HEIGHT > top && (view.hidden || y - thick > FIGURE_HEIGHT || thick - y > 1.6 * FIGURE_HEIGHT);
    if (clear) drawing.append(svg("text", { x: from + 5, y: y - 4, class: "figure" }, value));
  };
  const { below, inner, outer } = linesOf(scale);
  below.forEach((value) => line(value, "clean", 0, width));
  inner.forEach((value) => line(value, "clean", lane_width, 4 * lane_width));
  outer.forEach((value) => { line(value, "fat", 0, lane_width); line(value, "bladed", 4 * lane_width, width); });
  drawing.append(
    svg("line", { x1: 0, x2: width, y1: top, y2: top, class: "edge" }),
    svg("line", { x1: 0, x2: width, y1: bottom, y2: bottom, class: "edge" }),
  );
  if (!view.hidden) {
    drawing.append(
      svg("line", { x1: 0, x2: width, y1: thick, y2: thick, class: "meant" }),
      svg("text", { x: 5, y: thick - 7, class: "figure meant-figure" }, halfUp(meant)),
    );
  }
  for (const mark of view.marks) drawing.append(...markOf(scale, mark, lane_width));
  return drawing;
}

function markOf({ height, top, bottom, yOf }, { value, contact, landed, label }, lane_width) {
  const x = (Math.max(LANES.indexOf(contact), 0) + 0.5) * lane_width;
  const within = (y) => Math.min(Math.max(y, top), bottom);
  const y = { over: top / 2, under: (height + bottom) / 2 }[landed] ?? within(yOf(value, contact));
  const ring = svg("circle", { cx: x, cy: y, r: 15, class: "mark" });
  return label ? [ring, svg("text", { x, y: y + 6, class: "mark-label" }, label)] : [ring];
}

function rainPicture({ width, height }) {
  const drawing = blank(width, height);
  ["long", "in", "short"].forEach((length, row) => RAIN_LANES.forEach((lane, column) => {
    const [x, y] = [(column * width) / 3, (row * height) / 3];
    drawing.append(
      svg("rect", { x, y, width: width / 3, height: height / 3, class: (row + column) % 2 ? "lane shade" : "lane" }),
      svg("text", { x: x + width / 6, y: y + height / 6 - 4, class: "lane-name" }, length),
      svg("text", { x: x + width / 6, y: y + height / 6 + 20, class: "rain-lane" }, column === 1 ? lane : `${lane} side`),
    );
  }));
  return drawing;
}

function blank(width, height) {
  return svg("svg", { viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true" });
}
