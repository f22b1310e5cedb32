// Owns the facts on this phone and how far each has got: fresh, waiting, taken, refused; knows nothing of HTTP.

import { done, transact } from "./db.js";
import { fold, madeAt, newFact } from "./shot.js";

export const FRESH_MS = 4000; // nobody hits two wedges in four seconds, so a second touch is a correction

/** Hears "change" after every change of the rows. */
export const changes = new EventTarget();

/** Save new facts of a book; resolves with their rows at the moment they are safe on this phone. */
export function add(book, facts, fresh_until = 0) {
  return changing(async (stores) => {
    const rows = [];
    for (const fact of facts) rows.push(await put(stores, book, fact, fresh_until));
    return rows;
  });
}

/**
 * Change what is shown of some roots, `[{root, kind, body}]`, all or none of them.
 * A row that no server has seen yet (fresh or refused) is rewritten; otherwise a correction is added.
 */
export function revise(book, changed, fresh_until = 0) {
  return changing(async (stores) => {
    const own = await ofBook(stores, book);
    const rows = [];
    for (const { root, kind, body } of changed) {
      const shown = fold(own.filter((row) => row.root === root)).get(root);
      const unseen = shown && (shown.state === "refused" || (shown.state === "fresh" && shown.fresh_until > Date.now()));
      if (unseen) {
        const row = { ...shown, body, state: fresh_until ? "fresh" : "waiting", fresh_until, refusal: null };
        await done(stores.facts.put(row));
        rows.push(row);
      } else {
        rows.push(await put(stores, book, newFact(kind, body, root), fresh_until));
      }
    }
    return rows;
  });
}

/** Every row of a book on this phone, in the order made. */
export function rowsOf(book) {
  return transact("readonly", (stores) => ofBook(stores, book));
}

/** The next rows to send, oldest first; a row whose four seconds are over stops being movable in this very step. */
export function due(book, most) {
  return transact("readwrite", async (stores) => {
    const ready = [];
    for (const row of await ofBook(stores, book)) {
      if (row.state === "fresh" && row.fresh_until <= Date.now()) {
        row.state = "waiting";
        await done(stores.facts.put(row));
      }
      if (row.state === "waiting" && ready.length < most) ready.push(row);
    }
    return ready;
  });
}

/** What one answer of the server said: ids it has, and facts it refused with its reason. */
export function settle(taken, refused) {
  const why = new Map(refused.map((refusal) => [refusal.id, refusal]));
  return changing(async (stores) => {
    for (const id of [...taken, ...why.keys()]) {
      const row = await done(stores.facts.get(id));
      if (row) await done(stores.facts.put({ ...row, state: why.has(id) ? "refused" : "taken", refusal: why.get(id) ?? null }));
    }
  });
}

/** Offer the refused rows to the server once more, as they stand. */
export function sendAgain(book) {
  return changing(async (stores) => {
    for (const row of await ofBook(stores, book)) {
      if (row.state === "refused") await done(stores.facts.put({ ...row, state: "waiting", refusal: null }));
    }
  });
}

/** Forget rows the server has; anything it has not named stays whatever is asked. */
export function prune(ids) {
  return changing(async (stores) => {
    for (const id of ids) {
      const row = await done(stores.facts.get(id));
      if (row?.state === "taken") await done(stores.facts.delete(id));
    }
  });
}

async function put(stores, book, fact, fresh_until) {
  const made_at = madeAt(Date.now(), await done(stores.meta.get("last_made_at")));
  const row = { ...fact, book, made_at, state: fresh_until ? "fresh" : "waiting", fresh_until, refusal: null };
  await done(stores.meta.put(made_at, "last_made_at"));
  await done(stores.facts.put(row));
  return row;
}

async function ofBook(stores, book) {
  const rows = await done(stores.facts.index("book").getAll(book));
  return rows.sort((one, other) => (one.made_at < other.made_at ? -1 : 1));
}

async function changing(work) {
  const result = await transact("readwrite", work);
  changes.dispatchEvent(new Event("change"));
  return result;
}
