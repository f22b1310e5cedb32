// Owns the choices of this phone alone (units, thumb, mirrored, card_only, sun); knows nothing of the book.

import { recall, remember } from "../db.js";

const COOKIE = "phone";
const KEPT_S = 400 * 24 * 3600;

/** Hears "change" with the new preferences as detail. */
export const preferred = new EventTarget();

/** What this phone chose; names missing here follow the book. */
export function preferences() {
  const entry = document.cookie.split("; ").find((text) => text.startsWith(`${COOKIE}=`));
  try {
    return JSON.parse(decodeURIComponent(entry.slice(COOKIE.length + 1))) ?? {};
  } catch {
    return {};
  }
}

/** Change some preferences, in force at once and without signal; the cookie tells the server at the next page. */
export async function prefer(changed) {
  const chosen = { ...preferences(), ...changed };
  write(chosen);
  preferred.dispatchEvent(new CustomEvent("change", { detail: chosen }));
  await remember(COOKIE, chosen);
}

/** Bring the cookie back from the database where the browser has dropped it. */
export async function restore() {
  const kept = await recall(COOKIE);
  if (kept && !Object.keys(preferences()).length) write(kept);
}

function write(chosen) {
  const secure = location.protocol === "https:" ? "; Secure" : "";
  document.cookie = `${COOKIE}=${encodeURIComponent(JSON.stringify(chosen))}; Max-Age=${KEPT_S}; Path=/; SameSite=Lax${secure}`;
}
