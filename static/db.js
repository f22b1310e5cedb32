// Owns the phone's one database and its upgrades; knows nothing of what a fact says or of the network.

const NAME = "clockyard";

// One function per version, run in order and never edited once landed; no step may delete a store with unsent rows.
const UPGRADES = [
  (db) => {
    db.createObjectStore("facts", { keyPath: "id" }).createIndex("book", "book");
    db.createObjectStore("meta");
  },
];

let opening = null;

/** This browser keeps nothing for a page, as some private windows do. */
export class KeepsNothing extends Error {}

/** Ask the browser not to throw away what is kept here when room gets short. */
export function askToStay() {
  return navigator.storage?.persist?.().catch(() => false);
}

/** Run `work({facts, meta})` in one transaction; resolves with its result once the data are safely on disk. */
export async function transact(mode, work) {
  const db = await opened();
  return new Promise((resolve, reject) => {
    // "strict" because a power cut loses relaxed transactions although they reported success.
    const transaction = db.transaction(["facts", "meta"], mode, { durability: "strict" });
    let result;
    transaction.oncomplete = () => resolve(result);
    transaction.onabort = () => reject(transaction.error ?? new Error("the write was given up"));
    const stores = { facts: transaction.objectStore("facts"), meta: transaction.objectStore("meta") };
    work(stores).then(
      (value) => { result = value; },
      (error) => { reject(error); abort(transaction); },
    );
  });
}

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
    throw new KeepsNothing(error.message);
  });
  return opening;
}

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, UPGRADES.length);
    request.onupgradeneeded = (event) => {
      for (const upgrade of UPGRADES.slice(event.oldVersion)) upgrade(request.result);
    };
    request.onsuccess = () => {
      const db = request.result;
      // Another tab with a newer version must be able to upgrade; this one opens again when it next needs to.
      db.onversionchange = () => { db.close(); opening = null; };
      db.onclose = () => { opening = null; };
      resolve(db);
    };
    request.onerror = () => reject(request.error);
  });
}

function abort(transaction) {
  try {
    transaction.abort();
  } catch {
    // It had ended already; the error that brought us here has been passed on.
  }
}
