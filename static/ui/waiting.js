// Owns the words about what is saved, waiting, copied, refused or missing; knows nothing of when things are sent.

import { changes, rowsOf, strays } from "../outbox.js";
import { states } from "../sync.js";
import { forget, lost, trace } from "./held.js";
import { storageWords } from "./storage_words.js";

const NEEDS_PLAYER = {
  no_book: (n) => `Open your book again to send ${n}. Nothing is lost: all is kept on this phone.`,
  cut_off: () => "This phone was cut off from the book. What it holds is kept here and is not sent.",
  other_book: () => "Another book is open here now. What waits belongs to the former book and is kept on this phone.",
  book_deleted: () => "This book was deleted on the server. What this phone holds is kept here.",
  damaged_book: () => "This book’s file on the server is damaged. What this phone holds is kept here until it is mended.",
  disk_full: () => "The server’s disk is full, so nothing more is copied for now. All is kept on this phone.",
};
const LONG_FETCH = 1000; // entries; fewer are there before a line about them could be read

const LIFTED_MS = 60; // the click that follows a lift has found its button by then

let pressed = false;
let stale = false;
let state = "ok";
let progress = null;
let missing = null;

/** Keep the page's words true: "saved on this phone 3" beside the patch, "3 waiting" in the notices elsewhere, "copied". */
export async function showWaiting(book) {
  const places = [...document.querySelectorAll("[data-waiting]")];
  missing = await lost(book);
  const notTaken = async () => (await rowsOf(book)).filter((row) => row.state !== "taken");
  const draw = async () => {
    // A line that comes or goes moves the page, and must not move it under a finger.
    stale = pressed;
    if (pressed) return;
    const unsent = await notTaken();
    if (pressed) { stale = true; return; }
    const moving = unsent.filter((row) => row.state !== "refused");
    const balls = new Set(moving.filter((row) => row.kind === "shot").map((row) => row.root)).size;
    const saved = moving.length ? `saved on this phone ${balls || ""}`.trim() : "copied";
    for (const place of places) place.textContent = saved;
    const lines = places.length || !moving.length ? [] : [`${balls || moving.length} waiting, saved on this phone`];
    drawNotices([...lines, ...fetching(), ...troubles(unsent)], [
      unsent.length > moving.length && made("a", "mend", { href: "/refused", className: "button" }),
      unsent.length && (lines.length || troubles(unsent).length) && button("save a copy", async () => saveCopy(await notTaken())),
    ]);
    drawLost(book, draw);
    await trace(book, unsent);
  };
  changes.addEventListener("change", draw);
  states.addEventListener("state", (event) => { state = event.detail; draw(); });
  states.addEventListener("progress", (event) => { progress = event.detail; draw(); });
  addEventListener("pointerdown", () => { pressed = true; }, { capture: true });
  for (const end of ["pointerup", "pointercancel"]) {
    addEventListener(end, () => { pressed = false; if (stale) setTimeout(draw, LIFTED_MS); }, { capture: true });
  }
  await draw();
  await showStrays(book);
}

/** What waits here for another book, on whatever page: it can be taken off the phone as a file. */
export async function showStrays(book) {
  const rows = await strays(book);
  if (!rows.length) return;
  const whose = book && " of another book";
  const words = rows.length === 1 ? `1 entry${whose} waits` : `${rows.length} entries${whose} wait`;
  document.getElementById("notices")?.append(
    paragraph(`${words} on this phone and will be sent once that book is open here again. `),
    button("save a copy of these", () => saveCopy(rows)),
  );
}

/** Nothing can be kept on this phone now; why, and what to do, said once. */
export function sayStorageFault(fault) {
  const place = part("storage");
  if (!place) return;
  place.replaceChildren(paragraph(storageWords(fault)));
  tidy();
}

function fetching() {
  const busy = progress?.of >= LONG_FETCH && progress.done < progress.of;
  return busy ? [`Fetching the book: ${progress.done} of ${progress.of}. It can be used meanwhile.`] : [];
}

/** What the player has to know or do: a book that is not open here, or entries the server refused. */
function troubles(rows) {
  const unsent = rows.filter((row) => row.state === "waiting").length;
  const refused = rows.filter((row) => row.state === "refused");
  const needed = NEEDS_PLAYER[state]?.(unsent === 1 ? "1 entry" : `${unsent} entries`);
  const reasons = refused.map((row) => row.refusal?.message || "The server refused an entry; it is kept on this phone.");
  const shown = document.body.dataset.page === "refused" ? [] : new Set(reasons); // that page names each by itself
  return [needed, ...shown].filter(Boolean);
}

function drawNotices(lines, buttons) {
  const place = part("waiting");
  const text = lines.join("\n");
  if (!place || place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...lines.map(paragraph), ...(text ? buttons.filter(Boolean) : []));
  tidy();
}

function drawLost(book, redraw) {
  const place = part("lost");
  if (!place || Boolean(missing) === Boolean(place.firstChild)) return;
  place.replaceChildren();
  if (missing) {
    const since = new Date(missing.since).toLocaleString([], { dateStyle: "medium", timeStyle: "short", hourCycle: "h23" });
    const what = missing.n === 1 ? "1 entry" : `up to ${missing.n} entries`;
    place.append(
      paragraph(`The browser threw away what this phone kept. Missing: ${what} noted since ${since} and not copied yet. Everything else is on the server and is fetched again.`),
      button("I have read it", () => { missing = null; forget(); redraw(); }),
    );
  }
  tidy();
}

/** One part of the notices; none where the page has no notices. */
function part(name) {
  const notices = document.getElementById("notices");
  const found = notices?.querySelector(`[data-part-of-notices="${name}"]`);
  if (found || !notices) return found;
  const place = document.createElement("div");
  place.dataset.partOfNotices = name;
  notices.append(place);
  return place;
}

/** Notices without words take no room. */
function tidy() {
  const notices = document.getElementById("notices");
  notices.hidden = !notices.textContent;
}

/** The rows as a file in the form in which a book is brought back. */
export function saveCopy(rows) {
  const facts = rows.map(({ id, root, kind, made_at, body }) => ({ id, root, kind, made_at, body }));
  const told = { made_by: "clockyard", made_at: new Date().toISOString(), facts };
  const address = URL.createObjectURL(new Blob([JSON.stringify(told, null, 1)], { type: "application/json" }));
  const link = Object.assign(document.createElement("a"), { href: address, download: `not-copied-${told.made_at.slice(0, 10)}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

function paragraph(text) {
  return made("p", text);
}

function button(words, onclick) {
  return made("button", words, { type: "button", onclick });
}

function made(tag, textContent, more) {
  return Object.assign(document.createElement(tag), { textContent, ...more });
}
