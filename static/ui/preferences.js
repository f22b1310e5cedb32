// Owns the choices of this phone alone (units, thumb, mirrored, card_only, sun) and its clock; knows nothing of the book.

import { recall, remember } from "../db.js";
import { cookie, keepCookie } from "./cookies.js";

const COOKIE = "phone";

/** Hears "change" with the new preferences as detail. */
export const preferred = new EventTarget();

/** What this phone chose; names missing here follow the book. */
export function preferences() {
  return cookie(COOKIE);
}

/** Change some preferences, in force at once and without signal; the cookie tells the server at the next page. */
export async function prefer(changed) {
  const chosen = { ...preferences(), ...changed };
  keepCookie(COOKIE, chosen);
  preferred.dispatchEvent(new CustomEvent("change", { detail: chosen }));
  await remember(COOKIE, chosen).catch(() => {}); // the cookie is what counts, also where nothing else can be kept
}

/** Bring the cookie back where the browser has dropped it, and tell in it what clock this phone goes by. */
export async function restore() {
  const kept = await recall(COOKIE);
  const known = preferences();
  const ahead_min = -new Date().getTimezoneOffset();
  if (known.ahead_min === ahead_min) return;
  keepCookie(COOKIE, { ...(Object.keys(known).length ? known : kept), ahead_min });
  await remember("kept_since", Date.now()).catch(() => {}); // pages that were kept by another clock are of another day
}
