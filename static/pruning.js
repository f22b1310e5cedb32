// Owns what this phone may forget of a book and how much of it is safe; knows nothing of what a fact says or of HTTP.

import { done, transact } from "./db.js";
import { ofBook, tellChange } from "./outbox.js";
import { KEPT_MS } from "./rules/constants.js";

const KEPT_WITHOUT_A_COPY = 5000;
const EVERY_MS = 3_600_000;

let last = { to: null, at: 0 };

/** Forget what may be forgotten. Every row is looked at, so once a page, once an hour, and when more has become safe. */
export async function forget(book, safe_cursor) {
  const now = Date.now();
  if (safe_cursor === last.to && now - last.at < EVERY_MS) return;
  await prune(book, safe_cursor, new Date(now - KEPT_MS).toISOString(), KEPT_WITHOUT_A_COPY);
  last = { to: safe_cursor, at: now };
}

/**
 * Forget what the server has, is older than `before` and lies in a copy of the book, that is up to number `safe_cursor`;
 * where there is no copy the last `most` facts stay. What is touched by something younger stays with its whole bucket.
 */
export async function prune(book, safe_cursor, before, most) {
  const pruning = async (stores) => {
    const rows = await ofBook(stores, book);
    const live = new Set(rows.filter((row) => row.made_at >= before || row.state !== "taken").map(bucketOf));
    const numbered = rows.filter((row) => row.seq && row.state === "taken").sort((one, other) => one.seq - other.seq);
    const safe = safe_cursor ? numbered.filter((row) => row.seq <= safe_cursor) : numbered.slice(0, -most);
    const old = safe.filter((row) => !live.has(bucketOf(row)));
    for (const row of old) await done(stores.facts.delete(row.id));
    const told = await done(stores.meta.get(`safe ${book}`));
    if (told !== safe_cursor) await done(stores.meta.put(safe_cursor, `safe ${book}`));
    return old.length;
  };
  if (await transact("readwrite", pruning)) tellChange();
}

/** How many rows of a book are only here, how many the server has, and how many of those lie in a copy of its book. */
export function held(book) {
  return transact("readonly", async (stores) => {
    const rows = await ofBook(stores, book);
    const safe_cursor = (await done(stores.meta.get(`safe ${book}`))) ?? 0;
    const copied = rows.filter((row) => row.state === "taken");
    const safe = copied.filter((row) => row.seq && row.seq <= safe_cursor);
    return { only_here: rows.length - copied.length, copied: copied.length, safe: safe.length };
  });
}

function bucketOf(row) {
  return row.body?.bucket_id ?? row.root;
}
