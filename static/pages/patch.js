// Owns the landing patch: the touch on it and its keys; ground.js draws it, rules/visit.js decides what a reading becomes.

import { laneAt, rainReadingAt, readingAt, scaleOf } from "../rules/scale.js";
import { groundPicture, landing, rainPicture, strikePicture } from "./ground.js";
import { firstKeyed, steppedTo } from "./patch_keys.js";

// A longer press shows the figure above the thumb; a shorter one just records.
const HOLD_MS = 350;
// Pixels between the thumb and the figure, which must not be under it.
const READOUT_GAP = 36;
// Steps right and up.
const ARROWS = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };

/**
 * Make `place` a landing patch. `onreading(reading)` hears each finished touch or Enter; a touch on a lane's name gives
 * {explains}. The returned draw(view) shows {meant, step, hidden, rain, asks, from, at_once, marks}; while `asks` is true a
 * touch names a lane and nothing else.
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
    if (view.asks) return { contact: laneAt(scale, x), landed: "unseen", value: null };
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
    if (!reading) return;
    onreading(reading); // first, since no fault of a picture may cost a ball
    if (reading.landed !== "unseen" && !reading.explains && !view.rain) place.firstChild.append(...landing(scale, reading));
  });
  place.addEventListener("pointercancel", (event) => { if (press?.id === event.pointerId) end(); });
  place.addEventListener("keydown", (event) => {
    const way = ARROWS[event.key];
    if (way || (event.key === "Enter" && !keyed)) {
      // The first key only shows where the arrows start.
      keyed = keyed ? steppedTo(view, scale, keyed, ...way) : firstKeyed(view, scale);
      show(keyed);
    } else if (event.key === "Enter") {
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
    if (keyed && next.asks !== view.asks) forgetKeys(); // they answered what is asked no more
    view = next;
    const { clientWidth: width, clientHeight: height } = place;
    if (!width || !height) return;
    scale = scaleOf({ meant: view.meant, step: view.step, width, height });
    const picture = view.asks ? strikePicture : view.rain ? rainPicture : groundPicture;
    place.replaceChildren(picture(scale, view));
  };
  new ResizeObserver(() => { if (view) draw(view); }).observe(place);
  return draw;
}

/** A reading as it is shown and read out: "54 clean", "way over bladed", "lost sight thin". */
export function spoken({ value, contact, landed, length, explains }) {
  if (explains) return explains;
  if (length) return `${length} ${contact}`;
  return `${{ over: "way over", under: "way short", unseen: "lost sight" }[landed] ?? value} ${contact}`;
}
