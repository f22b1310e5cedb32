// Owns whether the card-only lock of this phone is on and which links it shuts; round_lock.js sets and lifts it.

import { preferences } from "./preferences.js";

export const SHUT = /^\/(fits|yardage|conditions)(\/|$)/;

export function isCardOnly() {
  return preferences().card_only === true;
}

/** Pages as kept may still link to what is shut. */
export function hideShut() {
  const links = [...document.links].filter((link) => link.origin === location.origin && SHUT.test(link.pathname));
  for (const link of links) link.hidden = isCardOnly();
}
