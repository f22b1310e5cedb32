// Owns what is offered about the ball just struck or reopened, the most pressing thing only; knows no page.
// A button's `event` is the deed of rules/visit.js that it asks for.

import { OFFER_MS } from "./constants.js";
import { likelierM } from "./doubt.js";
import { whole } from "./lengths.js";
import { cellOf } from "./visit.js";
import { chosenWords, counted } from "./words.js";

const CHECKS = { longer: "longer", "as meant": "right", shorter: "shorter" };

/** The offer that holds, as {key, text, buttons: [{text, event}]}, or null; `seen` is what `look` of rules/visit.js gives. */
export function offerOf(data, choices, seen, reopened, unit) {
  const ball = reopened ?? seen.last;
  if (choices.undo && !reopened) {
    const text = `${counted(choices.undo.before.length, "ball")} changed`;
    return { key: "undo", text, buttons: [{ text: "undo", event: { type: "undo" } }] };
  }
  if (!ball || ball.body.aside) return null;
  const offer = splitOf(ball) ?? (reopened || seen.sinceLast < OFFER_MS ? slipOf(data, seen, ball, unit) : null) ?? (reopened ? null : questionOf(choices, seen, ball));
  return offer && { key: ball.root, ...offer, ...(reopened && { text: chosenWords(seen, reopened) }) };
}

/** The carry [m] that was probably meant by a ball, or null; the ball is kept as entered and gets a ring. */
export function likelierOf(data, bucket, { body, typed }, unit) {
  if (body.carry_m === null || body.coarse) return null;
  const { ln_m, ln_sd } = cellOf(data, body);
  if (ln_m === undefined) return null;
  const offset_m = bucket.body.bay_offset_m ?? 0; // the estimate knows carries from where the player stands
  const found = likelierM(body.carry_m + offset_m, body.contact, Boolean(typed), ln_m, ln_sd, unit);
  return found === null ? null : found - offset_m;
}

function splitOf({ root, touches }) {
  if (touches.length < 2) return null;
  return { text: "moved", buttons: [{ text: `${touches.length} balls`, event: { type: "split", root } }] };
}

function slipOf(data, { bucket }, ball, unit) {
  const carry_m = likelierOf(data, bucket, ball, unit);
  return carry_m === null ? null : { text: "far off", buttons: [{ text: `${whole(carry_m, unit)}?`, event: corrected(ball, { carry_m }) }] };
}

function questionOf(choices, { fresh, asks, checks, sinceLast }, last) {
  if (asks) return { text: "lost sight: touch the strike", buttons: [] };
  if (choices.direction && fresh && !last.body.direction && last.body.contact !== "shank") {
    return asked("direction:", ["left", "straight", "right"].map((word) => [word, { direction: word }]), last);
  }
  if (checks && sinceLast < OFFER_MS) return asked("that swing:", Object.entries(CHECKS).map(([word, swing_check]) => [word, { swing_check }]), last);
  return null;
}

function asked(text, answers, ball) {
  return { text, buttons: answers.map(([word, fields]) => ({ text: word, event: corrected(ball, fields) })) };
}

function corrected({ root }, fields) {
  return { type: "correct", root, fields };
}
