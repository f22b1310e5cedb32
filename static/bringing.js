// Owns how a piece of the server's book comes to this phone; knows nothing of HTTP and not what is wanted of it.

import { done, transact } from "./db.js";
import { tellChange } from "./outbox.js";

/** The name under which a wedge is kept beside the facts. */
export const wedge = (root) => `club ${root}`;

/**
 * A piece of the server's book up to its last fact, `{at, id}`: each row of this phone learns its number there, and
 * what the phone lacks and `wanted` is added. Wedges, which balls name, are kept beside the rows: no page replays them
 * and they are never offered to a server, but a file of balls that lacks them cannot be brought into a book.
 */
export async function bring(book, facts, wanted, last) {
  let news = false;
  await transact("readwrite", async (stores) => {
    for (const { seq, id, root, kind, made_at, body } of facts) {
      const row = await done(stores.facts.get(id));
      if (kind === "club" && body) await done(stores.meta.put({ id, root, kind, made_at, body }, wedge(root)));
      if (!row && !wanted({ kind, made_at })) continue;
      news ||= row?.seq !== seq; // a page that knows this number shows the fact no longer as news
      const come = { id, root, kind, made_at, body, book, state: "taken", fresh_until: 0, refusal: null };
      // What was refused here and came there another way, such as with a guardian's PIN, is what the server has.
      await done(stores.facts.put({ ...(row && row.state !== "refused" ? row : come), seq }));
    }
    await done(stores.meta.put(last, `reached ${book}`));
  });
  if (news) tellChange();
}
