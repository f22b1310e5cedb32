// Owns the one line of offers about the ball just struck: second ball, strike, direction, swing check, undo.

import { OFFER_MS } from "../rules/constants.js";
import { toM, whole } from "../rules/lengths.js";
import { unchanged } from "./balls.js";

/** The offer that holds now, as {key, text, buttons: [{text, act}]}, or null; the most pressing one only. */
export function offerOf(visit, unit) {
  const offer = pressing(visit, unit);
  return offer && { key: visit.shots.at(-1)?.root, ...offer };
}

function pressing(visit, unit) {
  const last = visit.shots.at(-1);
  if (visit.undoable) return { text: "moved", buttons: [{ text: "undo", act: () => visit.undo() }] };
  if (!last) return null;
  if (visit.moved && visit.fresh) return { text: "moved", buttons: [{ text: "second ball", act: () => visit.secondBall() }] };
  if (asksLane(last) && visit.fresh) return { text: "lost sight: touch the lane it felt like", buttons: [] };
  if (visit.sinceLast >= OFFER_MS) return null; // the row's older balls are under the strip and must come back
  return mirrorOffer(visit, last, unit) ?? questionOf(visit, last);
}

/** For an odd ball the carry with its digits swapped; the ball is kept as entered unless this is touched. */
export function mirrorOffer(visit, shot, unit) {
  const likelier = visit.likelier(shot, (length_m) => whole(length_m, unit), (length) => toM(length, unit));
  if (!likelier) return null;
  return { text: "far off", buttons: [{ text: `${likelier}?`, act: () => visit.correct(shot, { carry_m: toM(likelier, unit) }) }] };
}

function questionOf(visit, last) {
  if (visit.choices.direction && visit.fresh && !last.body.direction) return ask(visit, last, "direction", ["left", "straight", "right"]);
  return visit.asksCheck ? ask(visit, last, "swing_check", ["longer", "right", "shorter"], "that swing?") : null;
}

/** A ball lost from sight whose strike is not said yet: while it is fresh a touch names its lane alone. */
export function asksLane({ body }) {
  return body.landed === "unseen" && body.contact === "";
}

export function drawStrip(strip, offer, onacted) {
  if (unchanged(strip, offer && [offer.text, offer.key, offer.buttons.map(({ text }) => text)])) return;
  strip.hidden = !offer;
  if (!offer) {
    strip.replaceChildren();
    return;
  }
  const buttons = offer.buttons.map(({ text, act }) => {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
    button.addEventListener("click", () => onacted(act));
    return button;
  });
  strip.replaceChildren(Object.assign(document.createElement("span"), { textContent: offer.text }), ...buttons);
}

function ask(visit, shot, name, words, text = "") {
  return { text, buttons: words.map((word) => ({ text: word, act: () => visit.correct(shot, { [name]: word }) })) };
}
