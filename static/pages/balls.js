// Owns the ball row: the last five balls as buttons, to touch and reopen or to drag off and set aside.

import { sign } from "../ui/signs.js";
import { whole } from "../rules/lengths.js";
import { isFresh } from "../rules/shot.js";

const SHOWN = 5;
const shown = new WeakMap();
// Pixels below the row at which a ball counts as dragged off it.
const DRAG_OFF = 24;

/** Draw the row; `isOdd(shot)` tells which get a ring, `act` hears {select(root)} and {setAside(root)}. */
export function drawBalls(row, shots, selected, unit, isOdd, act) {
  const first = Math.max(0, shots.length - SHOWN);
  if (unchanged(row, [unit, selected, shots.slice(first).map((shot) => [shot.root, shot.body, stateOf(shot), isOdd(shot)])])) return;
  const buttons = shots.slice(first).map((shot, place) => {
    const button = ballButton(shot, first + place + 1, unit, isOdd(shot));
    button.setAttribute("aria-pressed", String(shot.root === selected));
    button.dataset.root = shot.root;
    whenTouched(button, {
      ontap: () => act.select(shot.root),
      ondrop: (x, y) => { if (y > row.getBoundingClientRect().bottom + DRAG_OFF) act.setAside(shot.root); },
    });
    const item = document.createElement("li");
    item.append(button);
    return item;
  });
  const held = row.querySelector(":focus")?.dataset.root;
  row.replaceChildren(...buttons);
  if (held) row.querySelector(`[data-root="${held}"]`)?.focus({ preventScroll: true });
}

/** Whether a part already shows this content: it is then left alone, since a finger may be on one of its buttons. */
export function unchanged(element, content) {
  const key = JSON.stringify(content);
  const same = shown.get(element) === key;
  shown.set(element, key);
  return same;
}

/** One ball as a button: the sign of its strike, its figure, and a tick once it can no longer be moved. */
export function ballButton(shot, place, unit, odd) {
  const { body } = shot;
  const state = stateOf(shot);
  const value = valueOf(body, unit);
  const button = Object.assign(document.createElement("button"), { type: "button", className: `ball${odd ? " odd" : ""} ${state.name}` });
  // The sign before a figure is wider than a digit.
  button.style.setProperty("--letters", value.length + (body.coarse ? 0.8 : 0));
  button.append(sign(body.contact || "lost"), span("value", value), span("state", state.sign));
  button.setAttribute("aria-label", `ball ${place}: ${`${value} ${body.contact}`.trim()}, ${state.words}`);
  return button;
}

/** The figure of a ball, or a word where it has none. */
export function valueOf(body, unit) {
  if (body.carry_m !== null) return `${body.coarse ? "≈" : ""}${whole(body.carry_m, unit)}`;
  return { unseen: body.contact === "shank" ? "–" : "lost", under: "short", over: "over" }[body.landed] ?? "–";
}

/** A press on `element` that ends on it is a tap, one that ends elsewhere a drop; keys only tap. */
export function whenTouched(element, { ontap, ondrop }) {
  let start = null;
  element.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    start = event.pointerId;
    element.setPointerCapture(start);
  });
  element.addEventListener("pointerup", (event) => {
    if (event.pointerId !== start) return;
    start = null;
    const { left, right, top, bottom } = element.getBoundingClientRect();
    const { clientX: x, clientY: y } = event;
    if (x >= left && x <= right && y >= top && y <= bottom) ontap();
    else ondrop(x, y);
  });
  element.addEventListener("pointercancel", () => { start = null; });
  element.addEventListener("click", (event) => { if (event.detail === 0) ontap(); });
}

function stateOf(shot) {
  const { body, state, refusal } = shot;
  if (body.aside) return { name: "aside", sign: "", words: "set aside" };
  if (state === "refused") return { name: "refused", sign: "!", words: refusal?.message ?? "refused by the server" };
  if (isFresh(shot, Date.now())) return { name: "fresh", sign: "", words: "just noted" };
  return { name: "kept", sign: "✓", words: state === "taken" ? "copied" : "saved on this phone" };
}

function span(name, text) {
  return Object.assign(document.createElement("span"), { className: name, textContent: text });
}
