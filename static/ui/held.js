// Owns the trace by which a phone can tell that its browser threw away what it kept; knows nothing of what a fact says.

import { recall, remember } from "../db.js";
import { cookie, keepCookie } from "./cookies.js";

const COOKIE = "held"; // cookies outlive the database when a browser makes room

/** What the browser threw away uncopied, as {n, since}, or null; asked once, before anything new is noted. */
export async function lost(book) {
  const born = await recall("born");
  const trace = cookie(COOKIE);
  if (born === undefined) await remember("born", new Date().toISOString());
  return trace.n > 0 && trace.book === book && trace.born !== born ? { n: trace.n, since: trace.since } : null;
}

/** Leave the trace of what is not copied yet: how many entries, and when the first of them was made. */
export async function trace(book, unsent) {
  const born = await recall("born");
  const now = { book, born, n: unsent.length, since: unsent[0]?.made_at };
  const before = cookie(COOKIE);
  if (before.born !== born && before.n > 0) return; // what was lost stays said until the player has read it
  if (before.n !== now.n || before.since !== now.since) keepCookie(COOKIE, now.n ? now : null);
}

/** The player has read what is missing. */
export function forget() {
  keepCookie(COOKIE, null);
}
