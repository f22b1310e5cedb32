// Owns the card-only lock on this phone: whether it is on, setting and lifting it, and what the phone then forgets.

import { remember } from "../db.js";
import { prefer, preferences } from "./preferences.js";

const SHUT = /^\/(fits|yardage|conditions)(\/|$)/;

export function isCardOnly() {
  return preferences().card_only === true;
}

/** Freeze the card for a round, from this moment on; works without signal. */
export async function setCardOnly() {
  await prefer({ card_only: true, card_since: new Date().toISOString() });
  await forgetShut();
  await remember("kept_since", Date.now());
}

/** Open everything again; the pages are kept anew with the next signal, since those kept were of the round. */
export async function liftCardOnly() {
  await prefer({ card_only: false, card_since: undefined });
  await remember("kept_since", Date.now());
}

/** Pages as kept may still link to what is shut. */
export function hideShut() {
  const links = [...document.links].filter((link) => link.origin === location.origin && SHUT.test(link.pathname));
  for (const link of links) link.hidden = isCardOnly();
}

/** Advice kept for the day without signal goes, so that its address is shut without signal too. */
export async function forgetShut() {
  for (const name of (await globalThis.caches?.keys()) ?? []) {
    if (!name.startsWith("pages-")) continue;
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      if (SHUT.test(new URL(request.url).pathname)) await cache.delete(request);
    }
  }
}

/** Put the plain refusal in place of a page that was kept before the lock was set. */
export function shutPage() {
  const words = document.createElement("p");
  words.textContent = "Card only is on for this phone: choosing a shot and sums for wind, slope and weather are shut until it is lifted. The card was made beforehand; the committee decides whether it may be used.";
  const heading = Object.assign(document.createElement("h1"), { textContent: "Card only is on" });
  const link = Object.assign(document.createElement("a"), { href: "/round", className: "button", textContent: "Card only" });
  document.querySelector("main").replaceChildren(heading, words, link);
  document.getElementById("page-data")?.remove();
}
