// Owns which pages this phone keeps for the day without signal, and which of them are fetched anew now; knows no fact.

import { pagesToKeep, Refusal } from "./api.js";
import { recall, remember } from "./db.js";

const GATHER_MS = 300000;

// What card only shuts is asked for again once the lock, the day or the program is another.
let shut = { since: "", pages: [] };
// The page in view and the card are fetched as it opens; balls noted after that are replayed on the phone.
let opening = true;

/**
 * Keep `pages` of a book as of its fact number `cursor`, in one answer; the one in view comes first, then the card. What
 * is kept may wait five minutes for more facts, unless `everything` is wanted now; these two do not as a page opens.
 * Gives the moment until which what lacks facts, or did not come, may wait [ms]; Infinity where none does.
 */
export async function keepPages(book, pages, cursor, everything) {
  const since = await stands(book);
  const mark = `${cursor} ${since}`;
  const cache = await caches.open(`pages-${book}`);
  const lacking = [];
  const outdated = []; // of another day, lock or version, or never kept: these do not wait
  const first = [location.pathname, "/card"].filter((page) => pages.includes(page));
  for (const page of new Set([...first, ...pages])) {
    if (shut.since === since && shut.pages.includes(page)) continue;
    const kept = (await cache.match(page, { ignoreVary: true }))?.headers.get("X-Kept-For");
    if (kept === mark) continue;
    lacking.push(page);
    if (!kept?.endsWith(` ${since}`)) outdated.push(page);
  }
  const now = Date.now();
  const gathered_at = Math.min((await recall("gathered_at")) ?? 0, now); // the clock may have been set back
  const all = everything || outdated.length > 0 || now - gathered_at >= GATHER_MS;
  const wanted = all ? lacking : lacking.filter((page) => opening && first.includes(page));
  if (wanted.length) {
    if (!(await fetchAndKeep(book, wanted, mark, since, cache))) {
      return (await stands(book)) === since ? now + GATHER_MS : now; // midnight came meanwhile, or a lock: at once
    }
    if (all) await remember("gathered_at", now);
  }
  opening = false;
  return wanted.length === lacking.length ? Infinity : gathered_at + GATHER_MS;
}

/** Let the pages of a book go that is open here no longer. */
export function forget(book) {
  return forgetThose((name) => name === `pages-${book}`);
}

/** Let the pages of every book but this go. */
export function forgetOthers(book) {
  return forgetThose((name) => name !== `pages-${book}`);
}

async function forgetThose(which) {
  for (const name of (await globalThis.caches?.keys()) ?? []) {
    if (name.startsWith("pages-") && which(name)) await caches.delete(name);
  }
}

/** Whatever a kept page hangs on beside the book's facts; this script's address holds the program's version. */
async function stands(book) {
  return [book, new Date().toDateString(), await recall("kept_since"), import.meta.url].join(" ");
}

/** Whether an answer came and was kept; one that is no answer, or comes after the lock was set, leaves all as it was. */
async function fetchAndKeep(book, wanted, mark, since, cache) {
  let answer;
  try {
    answer = await pagesToKeep(new URLSearchParams(wanted.map((page) => ["of", page])));
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
  const whole = answer.book === book && Array.isArray(answer.pages) && Array.isArray(answer.shut);
  if (!whole || (await stands(book)) !== since) return false;
  shut = { since, pages: answer.shut };
  for (const page of answer.shut) await cache.delete(page);
  for (const { address, own, tag, html } of answer.pages) {
    const headers = headersOf(answer.headers, book, mark, tag);
    // "The last visit" is also kept under the address that the page itself is opened by.
    for (const at of own ? [address, own] : [address]) await cache.put(at, new Response(html, { headers }));
  }
  return true;
}

/** The headers of the answer that brought a page, above all those that say what it may load, turned to the page. */
function headersOf(brought, book, mark, tag) {
  const headers = new Headers(brought);
  for (const name of ["Content-Encoding", "Content-Length"]) headers.delete(name);
  headers.set("Content-Type", "text/html; charset=utf-8");
  headers.set("X-Book", book);
  headers.set("X-Kept-For", mark);
  if (tag) headers.set("ETag", tag);
  return headers;
}
