// Owns setting and lifting the card-only lock of this phone, what the phone then forgets, and what stands in its place.

import { remember } from "../db.js";
import { SHUT } from "./card_only.js";
import { prefer } from "./preferences.js";

/** Freeze the card for a round, from this moment on; works without signal, and on a phone that is full. */
export async function setCardOnly() {
  await prefer({ card_only: true, card_since: new Date().toISOString() });
  await renewKept(); // first: pages that are on their way are then not kept
  await forgetShut();
}

/** Open everything again; the pages are kept anew with the next signal, since those kept were of the round. */
export async function liftCardOnly() {
  await prefer({ card_only: false, card_since: undefined });
  await renewKept();
}

/** What was kept until now is of another state of the lock. A phone that can write nothing keeps no page either. */
async function renewKept() {
  await remember("kept_since", Date.now()).catch(() => {});
}

/** Advice kept for the day without signal goes, so that its address is shut without signal too. */
async function forgetShut() {
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
