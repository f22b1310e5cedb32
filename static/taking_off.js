// Owns what is taken off this phone as a file: what nothing else is known to hold, what that names, how it is forgotten.

import { wedge } from "./bringing.js";
import { done, transact } from "./db.js";
import { inOrder, tellChange } from "./outbox.js";

// The fields by which a fact names others of its book; in a file what is named comes first.
const NAMED = ["bucket_id", "shot_id"];
const FIRST = ["club", "bucket", "shot"];

/** The rows of other books than `book` that a server took and that lie in no backup this phone knows of. */
export function inNoBackup(book) {
  return transact("readonly", async ({ facts, meta }) => {
    const taken = (await done(facts.getAll())).filter((row) => row.book !== book && row.state === "taken");
    const safe = new Map();
    for (const other of new Set(taken.map((row) => row.book))) safe.set(other, (await done(meta.get(`safe ${other}`))) ?? 0);
    return taken.filter((row) => !(row.seq && row.seq <= safe.get(row.book)));
  });
}

/** Rows and whatever else this phone knows of what they name, so that a file of them can be brought into any book. */
export function withNamed(rows) {
  return transact("readonly", async ({ facts, meta }) => {
    const found = new Map(rows.map((row) => [row.id, row]));
    for (const { body } of found.values()) { // also of those that are found on the way
      for (const root of NAMED.map((name) => body?.[name]).filter(Boolean)) {
        for (const row of await done(facts.index("root").getAll(root))) found.set(row.id, row);
      }
      const club = body?.club_id && (await done(meta.get(wedge(body.club_id))));
      if (club) found.set(club.id, club);
    }
    const place = ({ kind }) => (FIRST.indexOf(kind) + 1) || FIRST.length + 1;
    return inOrder([...found.values()]).sort((one, other) => place(one) - place(other));
  });
}

/** Forget these rows; if a book of theirs is ever open here again, all of it is fetched anew. */
export async function forgetRows(rows) {
  await transact("readwrite", async ({ facts, meta }) => {
    for (const { id, book } of rows) {
      await done(facts.delete(id));
      for (const name of ["reached", "sent"]) await done(meta.delete(`${name} ${book}`));
    }
  });
  tellChange();
}
