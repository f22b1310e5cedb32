// Owns the phone's one database and its upgrades; knows nothing of what a fact says or of the network.

const NAME = "clockyard";

// One function per version, run in order and never edited once landed; no step may delete a store with unsent rows.
const UPGRADES = [
  (db) => {
    db.createObjectStore("facts", { keyPath: "id" }).createIndex("book", "book");
    db.createObjectStore("meta");
  },
  // What a touch asks for is found without reading every row there is.
  (db, transaction) => {
    const facts = transaction.objectStore("facts");
    facts.createIndex("root", "root");
    facts.createIndex("made", ["book", "made_at"]);
    facts.createIndex("state", ["book", "state"]);
  },
];

let opening = null;
let away = false; // put away for "back"
let shown = Promise.resolve(); // pending while it is
const running = new Set();

// A phone under load takes a second; longer than this, another page holds on to what is needed here.
const LONGEST_OPEN_MS = 10_000;
const LONGEST_TRANSACTION_MS = 20_000;

/**
 * Why nothing can be kept now. `state` is "private": this browser keeps nothing for a page, as some private windows do;
 * "held": another page does not let go of the database; "older": a newer version than this page has it; "full".
 */
export class StorageFault extends Error {
  constructor(state, cause) {
    super(`${state}: ${cause?.message ?? "no answer in time"}`);
    this.state = state;
  }
}

/** Ask the browser not to throw away what is kept here when room gets short. */
export function askToStay() {
  return navigator.storage?.persist?.().catch(() => false);
}

/**
 * Run `work({facts, meta})` in one transaction; resolves with its result once the data are safely on disk. `work` may
 * run twice: a page that is put away gives its unfinished transactions up and does them again when it is shown again.
 */
export async function transact(mode, work) {
  for (;;) {
    await shown;
    const db = await opened();
    if (away) continue;
    try {
      return await attempt(db, mode, work);
    } catch (error) {
      if (!(error instanceof PutAway)) throw error;
    }
  }
}

function attempt(db, mode, work) {
  return new Promise((resolve, reject) => {
    // "strict" because a power cut loses relaxed transactions although they reported success.
    const transaction = db.transaction(["facts", "meta"], mode, { durability: "strict" });
    running.add(transaction);
    let result;
    const limit = setTimeout(() => {
      if (running.delete(transaction)) reject(new StorageFault("held"));
      abort(transaction);
    }, LONGEST_TRANSACTION_MS);
    transaction.oncomplete = () => { clearTimeout(limit); running.delete(transaction); resolve(result); };
    transaction.onabort = () => {
      clearTimeout(limit);
      reject(running.delete(transaction) ? told(transaction.error) : new PutAway());
    };
    const stores = { facts: transaction.objectStore("facts"), meta: transaction.objectStore("meta") };
    work(stores).then(
      (value) => { result = value; },
      (error) => { if (running.has(transaction)) reject(told(error)); abort(transaction); },
    );
  });
}

function told(error) {
  return error?.name === "QuotaExceededError" ? new StorageFault("full", error) : error ?? new Error("the write was given up");
}

class PutAway extends Error {}

// An engine may keep a page that was left, ready for "back", with its transaction open: WebKit then holds back every
// transaction of every later page until it lets that page go. So a page that is left gives its transactions up.
addEventListener("pagehide", () => {
  away = true;
  shown = new Promise((resolve) => {
    addEventListener("pageshow", () => { away = false; resolve(); }, { once: true });
  });
  for (const transaction of running) {
    running.delete(transaction);
    abort(transaction);
  }
});

/** The result of one IndexedDB request as a promise; awaiting it keeps its transaction alive. */
export function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** A small value kept under a name, such as the call in force; undefined when never kept. */
export function recall(name) {
  return transact("readonly", ({ meta }) => done(meta.get(name)));
}

export function remember(name, value) {
  return transact("readwrite", ({ meta }) => done(meta.put(value, name)));
}

function opened() {
  opening ??= open().catch((error) => {
    opening = null;
    throw error instanceof StorageFault ? error : new StorageFault("private", error);
  });
  return opening;
}

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, UPGRADES.length);
    let late = false;
    const limit = setTimeout(() => { late = true; reject(new StorageFault("held")); }, LONGEST_OPEN_MS);
    request.onupgradeneeded = (event) => {
      try {
        for (const upgrade of UPGRADES.slice(event.oldVersion)) upgrade(request.result, request.transaction);
      } catch (error) { // the browser gave the upgrade up
        clearTimeout(limit);
        abort(request.transaction);
        reject(error);
      }
    };
    request.onsuccess = () => {
      const db = request.result;
      clearTimeout(limit);
      if (late) { db.close(); return; }
      // Another tab with a newer version must be able to upgrade; this one opens again when it next needs to.
      db.onversionchange = () => { db.close(); opening = null; };
      db.onclose = () => { opening = null; };
      resolve(db);
    };
    request.onerror = () => {
      clearTimeout(limit);
      const { error } = request;
      const state = { VersionError: "older", QuotaExceededError: "full" }[error.name] ?? "private";
      reject(new StorageFault(state, error));
    };
  });
}

function abort(transaction) {
  try {
    transaction.abort();
  } catch {
    // It had ended already; the error that brought us here has been passed on.
  }
}
