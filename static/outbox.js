// Owns the facts on this phone and how far each has got: fresh, waiting, taken, refused; knows nothing of HTTP.

import { done, transact } from "./db.js";
import { fold, isFresh as isFreshAt, madeAt, uuid7 } from "./rules/shot.js";

/** Hears "change" after every change of the rows, also of those that another tab made. */
export const changes = new EventTarget();

const tabs = globalThis.BroadcastChannel ? new BroadcastChannel("clockyard-rows") : null;
if (tabs) tabs.onmessage = () => changes.dispatchEvent(new Event("change"));

/** The name under which the choices in force are kept beside the facts. */
export const CHOICES = "choices";

/** A new fact without its time, which it gets when it is saved; `root` is missing for a first fact. */
export function newFact(kind, body, root) {
  const id = uuid7(Date.now(), crypto.getRandomValues(new Uint8Array(16)));
  return { id, root: root ?? id, kind, made_at: null, body };
}

/**
 * What one deed writes, all or none of it: new facts (made later than `after`, if told), changed roots (as `revise`
 * takes them, each with its own fresh_until) and the choices in force. Resolves with the rows once they are safe here.
 * A correction's `made_of` is the moment of the version that the phone showed then.
 */
export function save(book, { added, changed, choices }) {
  return changing(async (stores) => {
    const rows = await revised(stores, book, changed);
    for (const { kind, body, after, fresh_until, ...beside } of added) {
      const last = rows.at(-1)?.made_at;
      rows.push(await put(stores, book, { ...newFact(kind, body), ...beside }, fresh_until, last > after ? last : after));
    }
    stores.meta.put(choices, CHOICES); // a write that fails fails the transaction, so nobody waits for each
    return rows;
  });
}

/** Save new facts of a book; resolves with their rows at the moment they are safe on this phone. */
export function add(book, facts, fresh_until = 0) {
  return changing(async (stores) => {
    const rows = [];
    for (const fact of facts) rows.push(await put(stores, book, fact, fresh_until));
    return rows;
  });
}

/**
 * Change what is shown of some roots, `[{root, kind, body, after}]`, all or none of them; `after` is the made_at of
 * the fact that was shown, `id` the very row where not the shown one is meant. A row that no server has seen yet (fresh
 * or refused) is rewritten; otherwise a correction is added, made later than what it corrects even where that came from
 * a phone whose clock runs ahead.
 */
export function revise(book, changed) {
  return changing((stores) => revised(stores, book, changed));
}

/** Every row of a book on this phone, in the order made. */
export function rowsOf(book) {
  return transact("readonly", (stores) => ofBook(stores, book));
}

/** The rows that no server has taken yet, in the order made. */
export function unsent(book) {
  return transact("readonly", (stores) => unsentOf(stores, book));
}

/** The rows made at or after a moment and all that are unsent, in the order made. */
export function rowsSince(book, moment) {
  return transact("readonly", async (stores) => {
    const late = await done(stores.facts.index("made").getAll(IDBKeyRange.bound([book, moment], [book, []])));
    const here = new Set(late.map(({ id }) => id));
    return inOrder([...late, ...(await unsentOf(stores, book)).filter(({ id }) => !here.has(id))]);
  });
}

/** What waits here for other books than this one, in the order made: it is sent once its own book is open again. */
export function strays(book) {
  return transact("readonly", async (stores) => {
    const rows = await done(stores.facts.getAll());
    return inOrder(rows.filter((row) => row.book !== book && row.state !== "taken"));
  });
}

/** Whether a row can still be moved now. */
export function isFresh(row) {
  return isFreshAt(row, Date.now());
}

/** The next rows to send, oldest first. Nothing is written before they are sent, so that a full phone can send too. */
export async function due(book, most) {
  const ready = (row) => row.state === "waiting" || (row.state === "fresh" && !isFresh(row));
  return (await unsent(book)).filter(ready).slice(0, most);
}

/**
 * What one answer of the server said: ids it has, the last of them kept in mind, and facts it refused with its reason.
 * `cursor`, the newest number of the book, stands for a fact's own number until that is heard: it is never less.
 */
export function settle(taken, refused, cursor) {
  return changing(async (stores) => {
    for (const id of taken) {
      const row = await done(stores.facts.get(id));
      if (row) await done(stores.facts.put({ ...row, state: "taken", seq: row.seq ?? cursor, refusal: null }));
      if (row) await done(stores.meta.put(id, `sent ${row.book}`));
      if (row?.kind === "bucket") await offerBallsOf(stores, row);
    }
    for (const refusal of refused) {
      const row = await done(stores.facts.get(refusal.id));
      if (row && refusal.code === "id_reused") await asCorrection(stores, row);
      else if (row) await done(stores.facts.put({ ...row, state: "refused", refusal }));
    }
  });
}

/** How far this phone knows the book: {at, id} of the last fact fetched, and the id of the last one sent. */
export function reached(book) {
  return transact("readonly", async ({ meta }) => ({
    fetched: await done(meta.get(`reached ${book}`)), sent: await done(meta.get(`sent ${book}`)),
  }));
}

/** Offer the refused rows to the server once more, as they stand. */
export function offerRefused(book) {
  return changing((stores) => offer(stores, book, "refused"));
}

/** Offer everything to the server once more: the book there is not the one that this phone knew. */
export function offerTaken(book) {
  return changing(async (stores) => {
    await offer(stores, book, "taken");
    await done(stores.meta.delete(`sent ${book}`));
    await done(stores.meta.put({ at: 0 }, `reached ${book}`));
  });
}

async function revised(stores, book, changed) {
  const rows = [];
  for (const { root, kind, body, after = "", id, fresh_until = 0, touches } of changed) {
    const versions = await done(stores.facts.index("root").getAll(root));
    const shown = fold(id ? versions.filter((row) => row.id === id) : versions).get(root);
    const unseen = shown && (shown.state === "refused" || isFresh(shown)) && shown.made_at >= after;
    const beside = touches ? { touches } : {};
    if (unseen) {
      const row = { ...shown, ...beside, body, state: fresh_until ? "fresh" : "waiting", fresh_until, refusal: null };
      stores.facts.put(row);
      rows.push(row);
    } else {
      const floor = shown && shown.made_at > after ? shown.made_at : after;
      rows.push(await put(stores, book, { ...newFact(kind, body, root), ...beside, made_of: after }, fresh_until, floor));
    }
  }
  return rows;
}

/** What another phone or a form said was made of the version before it, as far as this phone knows. */
async function offer(stores, book, state) {
  const before = new Map();
  for (const row of inOrder(await inState(stores, book, state))) {
    const { root, made_at, made_of = before.get(root) } = row;
    before.set(root, made_at);
    await done(stores.facts.put({ ...row, made_of, state: "waiting", seq: null, refusal: null }));
  }
}

/** Balls that were refused because their bucket was not there yet can go now that it is. */
async function offerBallsOf(stores, bucket) {
  for (const row of await inState(stores, bucket.book, "refused")) {
    const barred = row.refusal?.code === "unknown_bucket";
    if (barred && row.body?.bucket_id === bucket.root) await done(stores.facts.put({ ...row, state: "waiting", refusal: null }));
  }
}

/**
 * The server has this id with other content: a refused row was mended here while an old copy of its request was still
 * on the way. What stands here then corrects what got there.
 */
async function asCorrection(stores, row) {
  const { id } = newFact(row.kind, row.body, row.root);
  await done(stores.facts.delete(row.id));
  await done(stores.facts.put({ ...row, id, made_at: madeAt(0, row.made_at), state: "waiting", refusal: null }));
}

async function put(stores, book, fact, fresh_until, floor = "") {
  const own = madeAt(Date.now(), await done(stores.meta.get("last_made_at")));
  const made_at = own > floor ? own : madeAt(0, floor); // another phone's clock must not become this phone's
  const row = { ...fact, book, made_at, state: fresh_until ? "fresh" : "waiting", fresh_until, refusal: null };
  stores.meta.put(own, "last_made_at");
  stores.facts.put(row);
  return row;
}

/** Every row of a book inside a transaction, in the order made. */
export async function ofBook(stores, book) {
  return inOrder(await done(stores.facts.index("book").getAll(book)));
}

function inState(stores, book, state) {
  return done(stores.facts.index("state").getAll([book, state]));
}

async function unsentOf(stores, book) {
  const found = await Promise.all(["fresh", "waiting", "refused"].map((state) => inState(stores, book, state)));
  return inOrder(found.flat());
}

export function inOrder(rows) {
  return rows.sort((one, other) => (one.made_at < other.made_at ? -1 : 1));
}

async function changing(work) {
  const result = await transact("readwrite", work);
  tellChange();
  return result;
}

export function tellChange() {
  changes.dispatchEvent(new Event("change"));
  tabs?.postMessage("change");
}
