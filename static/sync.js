// Owns when facts are sent and fetched; knows no page and not what a fact says.

import { newerFacts, Refusal, sendFacts, session } from "./api.js";
import { changes, due, isFresh, offerTaken, reached, settle, unsent } from "./outbox.js";
import { FRESH_MS, KEPT_MS } from "./rules/constants.js";

// Well under the server's 500 facts and 1 MB a request.
const BATCH = 200;
const PAGE = 500;
const FIRST_WAIT_MS = 5000;
const LONGEST_WAIT_MS = 300000;
const LONGEST_HELD_MS = 60000;
const BEHIND_MS = 900000; // a clock that a phone sets by itself is off by seconds
// The kinds of fact that pages of this phone replay; no other is brought down.
const REPLAYED = new Set(["bucket", "shot"]);

/**
 * Hears "state" with detail "ok", "away", or what needs the player: "clock_behind" or the code of a refusal ("no_book", ...),
 * "progress" with {done, of} while what other phones noted comes down, and "kept" when the pages are held.
 */
export const states = new EventTarget();

let book = "";
let pages = [];
let timer = 0;
let failures = 0;
let running = false;
let again = false;
let held_since = Infinity;
let everything = false;
let rest_due_at = Infinity;

/** Send this book's facts from now on; `kept` are the pages to hold for the day without signal. */
export function start(bookId, kept) {
  book = bookId;
  pages = kept;
  changes.addEventListener("change", () => plan());
  addEventListener("online", eager);
  // Shown: the signal may be back; hidden: it may be the last chance.
  addEventListener("visibilitychange", ({ target }) => (target.visibilityState === "hidden" ? gather() : eager()));
  eager();
}

/** Try now, whatever the back-off says; where nothing can be kept, and before `start`, there is no book to send. */
export function eager() {
  if (!book) return undefined;
  failures = 0;
  return run();
}

/** Try now, and keep every page anew: the visit may be over, or the phone goes into the pocket. */
export function gather() {
  everything = true;
  return eager();
}

async function run() {
  if (running) { again = true; return; }
  running = true;
  clearTimeout(timer);
  try {
    await alone(exchange);
    failures = 0;
  } catch (error) {
    failures += 1;
    tell("state", error instanceof Refusal ? error.code : "away");
  } finally {
    running = false;
  }
  if (again) { again = false; return run(); }
  return plan();
}

/**
 * One tab sends at a time; a tab that finds the lock held looks again later, as after a failure. What is sent twice is
 * kept once, so a lock that stays held, perhaps by a page that was left, stops nobody for longer than a minute.
 */
async function alone(work) {
  if (!navigator.locks || Date.now() - held_since > LONGEST_HELD_MS) return work();
  return navigator.locks.request("clockyard-send", { ifAvailable: true }, (lock) => {
    held_since = lock ? Infinity : Math.min(held_since, Date.now());
    if (!lock) throw new Error("another tab is sending");
    return Promise.race([work(), left()]);
  });
}

/** A page that is left gives the lock back: an engine may keep the page, and the lock with it, ready for "back". */
function left() {
  return new Promise((resolve, reject) => {
    addEventListener("pagehide", () => reject(new Error("this page was left")), { once: true });
  });
}

async function exchange() {
  const { fetched, sent } = await reached(book);
  const { csrf, cursor, safe_cursor, in_place, book: open, now } = await session(fetched, sent);
  if (typeof open !== "string") throw new Refusal(502);
  if (open !== book) throw new Refusal(409, { code: "other_book" });
  // Where what this phone fetched or sent last is not in its place, an older copy of the book was put back.
  if (!fetched || !in_place) await offerTaken(book);
  // Balls of a clock that runs ahead are as old as the server says; of one behind nobody knows that they are new.
  const newest = await merge(csrf, cursor, Date.parse(now) - Date.now() > BEHIND_MS ? "clock_behind" : "ok");
  await (await import("./pruning.js")).forget(book, safe_cursor);
  await keep(newest);
}

/** Send what is due and bring down what other phones noted, page by page; gives the newest number in the book. */
async function merge(csrf, cursor, state) {
  const newest = await send(csrf, cursor);
  tell("state", state);
  // No page replays an older visit, so none is brought down; one that this phone noted stays here until it is safe.
  const since = new Date(Date.now() - KEPT_MS).toISOString();
  const wanted = ({ kind, made_at }) => REPLAYED.has(kind) && made_at > since;
  const { bring } = await import("./bringing.js");
  let { at, id } = (await reached(book)).fetched;
  for (let more = true; more;) {
    const page = await newerFacts(at - 1, PAGE);
    if (id && page.facts[0]?.id !== id) {
      await offerTaken(book); // an older copy was put back since this exchange began
      return merge(csrf, newest, state);
    }
    ({ more } = page);
    if (page.cursor > at) {
      // What has come can be used while the rest is on its way.
      at = page.cursor;
      ({ id } = page.facts.at(-1));
      await bring(book, page.facts, wanted, { at, id });
      tell("progress", { done: at, of: Math.max(at, newest) });
    } else if (more) throw new Refusal(502);
  }
  return at;
}

/** Send until nothing is due; gives the newest number in the book. A full phone, which cannot note what was taken, sends on. */
async function send(csrf, cursor) {
  let reached = cursor;
  let most = BATCH;
  const unnoted = new Set();
  const next = async () => (await due(book, most + unnoted.size)).filter(({ id }) => !unnoted.has(id));
  for (let rows = await next(); rows.length; rows = await next()) {
    try {
      reached = await hand(rows, csrf, unnoted);
    } catch (error) {
      if (error.status !== 413) throw error;
      if (rows.length === 1) await settle([], [{ id: rows[0].id, field: "", code: error.code, message: error.message }]);
      // Fewer at once may be taken.
      most = Math.max(1, Math.floor(rows.length / 2));
    }
  }
  if (unnoted.size) throw new Error("full");
  return reached;
}

async function hand(rows, csrf, unnoted) {
  const answer = await sendFacts(book, rows, csrf);
  const sent = new Set(rows.map((row) => row.id));
  const taken = answer.taken.filter((id) => sent.has(id));
  const refused = answer.refused.filter(({ id }) => sent.has(id));
  // An answer that names none of what was sent would send the same rows for ever.
  if (taken.length + refused.length === 0) throw new Refusal(502);
  try {
    await settle(taken, refused, answer.cursor);
  } catch (error) {
    if (error.state !== "full") throw error;
    for (const id of sent) unnoted.add(id);
  }
  return answer.cursor;
}

/** Keep the pages as of this number; those that may wait are fetched when the one timer goes off. */
async function keep(cursor) {
  if (!navigator.serviceWorker?.controller) return;
  const wanted = everything;
  everything = false;
  rest_due_at = await (await import("./keeping.js")).keepPages(book, pages, cursor, wanted);
  tell("kept");
}

/** Set the one timer: for the end of a fresh row, the next try while something waits, or pages that waited long enough. */
async function plan() {
  if (running) return;
  const rows = await unsent(book);
  const waits = rows
    .filter(({ state }) => state === "fresh" || state === "waiting")
    .map((row) => (isFresh(row) ? Math.min(row.fresh_until - Date.now(), FRESH_MS) : 0));
  if (rest_due_at < Infinity) waits.push(Math.max(0, rest_due_at - Date.now()));
  if (!waits.length || running) return;
  const back_off = failures ? Math.min(FIRST_WAIT_MS * 2 ** (failures - 1), LONGEST_WAIT_MS) : 0;
  clearTimeout(timer);
  timer = setTimeout(run, Math.max(Math.min(...waits), back_off));
}

function tell(what, detail) {
  states.dispatchEvent(new CustomEvent(what, { detail }));
}
