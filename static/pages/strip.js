// Owns the one line of offers about the ball just struck, as buttons; what is offered is decided in rules/offers.js.

import { unchanged } from "./balls.js";

export function drawStrip(strip, offer, ondeed) {
  if (unchanged(strip, offer && [offer.text, offer.key, offer.buttons.map(({ text }) => text)])) return;
  strip.hidden = !offer;
  if (!offer) {
    strip.replaceChildren();
    return;
  }
  const buttons = offer.buttons.map(({ text, event }) => {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
    button.addEventListener("click", () => ondeed(event));
    return button;
  });
  strip.replaceChildren(Object.assign(document.createElement("span"), { textContent: offer.text }), ...buttons);
}
