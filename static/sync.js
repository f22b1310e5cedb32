// Owns when facts are sent; knows no page and not what a fact says.

import { keepPage, Refusal, sendFacts, session } from "./api.js";
import { recall, remember } from "./db.js";
import { changes, due, rowsOf, settle } from "./outbox.js";

const BATCH = 200; // well under the server's 500 facts and 1 MB a request
const FIRST_WAIT_MS = 5000;
const LONGEST_WAIT_MS = 300000;

/** Hears "state" with detail "ok", "away", or the code of a refusal that needs the player ("no_book", "other_book", ...). */
export const states = new EventTarget();

let book = "";
let pages = [];
let timer = 0;
let failures = 0;
let running = false;
let again = false;

/** Send this book's facts from now on; `kept` are the pages to hold for the day without signal. */
export function start(bookId, kept) {
  book = bookId;
  pages = kept;
  changes.addEventListener("change", () => plan());
  addEventListener("online", eager);
  addEventListener("visibilitychange", eager); // shown: the signal may be back; hidden: it may be the last chance
  eager();
}

/** Try now, whatever the back-off says. */
export function eager() {
  failures = 0;
  return run();
}

async function run() {
  if (running) { again = true; return; }
  running = true;
  clearTimeout(timer);
  try {
    await alone(send);
    failures = 0;
  } catch (error) {
    failures += 1;
    tell(error instanceof Refusal && error.status < 500 ? error.code : "away");
  } finally {
    running = false;
  }
  if (again) { again = false; return run(); }
  return plan();
}

/** One tab sends at a time; a tab that finds the lock held looks again later, as after a failure. */
async function alone(work) {
  if (!navigator.locks) return work();
  return navigator.locks.request("clockyard-send", { ifAvailable: true }, (lock) => {
    if (!lock) throw new Error("another tab is sending");
    return work();
  });
}

async function send() {
  const { csrf, cursor, book: open } = await session();
  if (open !== book) throw new Refusal(409, { code: "other_book" });
  let reached = cursor;
  for (let rows = await due(book, BATCH); rows.length; rows = await due(book, BATCH)) {
    const answer = await sendFacts(book, rows, csrf);
    const sent = new Set(rows.map((row) => row.id));
    const taken = answer.taken.filter((id) => sent.has(id));
    const refused = answer.refused.filter(({ id }) => sent.has(id));
    // An answer that names none of what was sent would send the same rows for ever.
    if (taken.length + refused.length === 0) throw new Refusal(502);
    await settle(taken, refused);
    reached = answer.cursor;
  }
  tell("ok");
  await keep(reached);
}

/** Kept pages are fetched anew when the book has changed since they were kept. */
async function keep(cursor) {
  // This script's address holds the version: after an update the pages must name the new version's files.
  const mark = `${book} ${cursor} ${pages.join(" ")} ${import.meta.url}`;
  if (!navigator.serviceWorker?.controller || (await recall("kept")) === mark) return;
  for (const page of pages) await keepPage(page);
  await remember("kept", mark);
}

/** Set the one timer: for the end of a fresh row, or for the next try while something waits. */
async function plan() {
  if (running) return;
  const rows = await rowsOf(book);
  const fresh = rows.filter((row) => row.state === "fresh").map((row) => row.fresh_until - Date.now());
  const waiting = rows.some((row) => row.state === "waiting");
  const waits = [...fresh.map((wait) => Math.max(wait, 0)), ...(waiting ? [0] : [])];
  if (!waits.length || running) return;
  const back_off = failures ? Math.min(FIRST_WAIT_MS * 2 ** (failures - 1), LONGEST_WAIT_MS) : 0;
  clearTimeout(timer);
  timer = setTimeout(run, Math.max(Math.min(...waits), back_off));
}

function tell(state) {
  states.dispatchEvent(new CustomEvent("state", { detail: state }));
}
