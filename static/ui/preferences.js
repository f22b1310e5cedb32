// Owns the choices of this phone alone (units, thumb, mirrored, card_only, sun); knows nothing of the book.

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

/** Bring the cookie back from the database where the browser has dropped it. */
export async function restore() {
  const kept = await recall(COOKIE);
  if (kept && !Object.keys(preferences()).length) keepCookie(COOKIE, kept);
}
