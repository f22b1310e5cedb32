// Owns the notices above a page: what waits or is missing, what the player has to do about it, and a copy as a file.

import { withNamed } from "../taking_off.js";
import { storageWords } from "./storage_words.js";

const NEEDS_PLAYER = {
  no_book: (n) => `Open your book again to send ${n}, unless it was deleted. Nothing is lost: all is kept on this phone.`,
  cut_off: () => "This phone was cut off from the book. What it holds is kept here and is not sent.",
  other_book: () => "Another book is open here now. What waits belongs to the former book and is kept on this phone.",
  book_deleted: () => "This book was deleted on the server. What this phone holds is kept here.",
  damaged_book: () => "This book’s file on the server is damaged. What this phone holds is kept here until it is mended.",
  clock_behind: () => `This phone’s clock says ${spoken(Date.now())}, and balls are filed under what it says. Set it right before the next ball.`,
  disk_full: () => "The server’s disk is full, so nothing more is copied for now. All is kept on this phone.",
};

/** Say what has to be said now, and nothing where there is nothing; `told` is what waiting.js knows. */
export function drawNotices(told) {
  const { rows, moving, balls, beside, reread, onread } = told;
  const lines = beside || !moving.length ? [] : [`${balls || moving.length} waiting, saved on this phone`];
  const trouble = troubles(told);
  const copy = rows.length && (lines.length || trouble.length) && button("save a copy", async () => saveCopy(await reread()));
  const mend = rows.length > moving.length && made("a", "mend", { href: "/refused", className: "button" });
  drawLines([...lines, ...fetching(told), ...trouble], [mend, copy]);
  drawLost(told, onread);
}

/** Nothing can be kept on this phone now; why, and what to do, said once. */
export function sayStorageFault(fault) {
  const place = part("storage");
  if (!place) return;
  place.replaceChildren(paragraph(storageWords(fault)));
  tidy();
}

function fetching({ progress }) {
  return progress ? [`Fetching the book: ${progress.done} of ${progress.of}. It can be used meanwhile.`] : [];
}

/** What the player has to know or do: a book that is not open here, or entries the server refused. */
function troubles({ rows, moving, state }) {
  const refused = rows.filter((row) => row.state === "refused");
  const needed = NEEDS_PLAYER[state]?.(moving.length === 1 ? "1 entry" : `${moving.length} entries`);
  const reasons = refused.map((row) => row.refusal?.message || "The server refused an entry; it is kept on this phone.");
  const shown = document.body.dataset.page === "refused" ? [] : new Set(reasons); // that page names each by itself
  return [needed, ...shown].filter(Boolean);
}

function drawLines(lines, buttons) {
  const place = part("waiting");
  const text = lines.join("\n");
  if (!place || place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...lines.map(paragraph), ...(text ? buttons.filter(Boolean) : []));
  tidy();
}

function drawLost({ missing }, onread) {
  const place = part("lost");
  if (!place || Boolean(missing) === Boolean(place.firstChild)) return;
  place.replaceChildren();
  if (missing) {
    const what = missing.n === 1 ? "1 entry" : `up to ${missing.n} entries`;
    place.append(
      paragraph(`The browser threw away what this phone kept. Missing: ${what} noted since ${spoken(missing.since)} and not copied yet. Everything else is on the server and is fetched again.`),
      button("I have read it", onread),
    );
  }
  tidy();
}

function spoken(moment) {
  return new Date(moment).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short", hourCycle: "h23" });
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

/** The rows, with the buckets and wedges that they name, as a file in the form in which a book is brought back. */
export async function saveCopy(rows) {
  const facts = (await withNamed(rows)).map(({ id, root, kind, made_at, body }) => ({ id, root, kind, made_at, body }));
  const told = { made_by: "clockyard", made_at: new Date().toISOString(), facts };
  const address = URL.createObjectURL(new Blob([JSON.stringify(told, null, 1)], { type: "application/json" }));
  const link = Object.assign(document.createElement("a"), { href: address, download: `not-copied-${told.made_at.slice(0, 10)}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

export function paragraph(text) {
  return made("p", text);
}

export function button(words, onclick) {
  return made("button", words, { type: "button", onclick });
}

function made(tag, textContent, more) {
  return Object.assign(document.createElement(tag), { textContent, ...more });
}
