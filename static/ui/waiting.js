// Owns the word beside the balls of how far they have got, and when notices.js has something to say; knows nothing of
// when things are sent.

import { changes, strays, unsent } from "../outbox.js";
import { states } from "../sync.js";
import { forget, lost, trace } from "./held.js";

const LONG_FETCH = 1000; // entries; fewer are there before a line about them could be read
const LIFTED_MS = 60; // the click that follows a lift has found its button by then

let pressed = false;
let stale = false;
let state = "ok";
let progress = null;
let missing = null;
let notices = null;

/** Keep the page's words true: "saved on this phone 3" beside the patch, "3 waiting" in the notices elsewhere, "copied". */
export async function showWaiting(book) {
  const places = [...document.querySelectorAll("[data-waiting]")];
  missing = await lost(book);
  const draw = async () => {
    // A line that comes or goes moves the page, and must not move it under a finger.
    stale = pressed;
    if (pressed) return;
    const rows = await unsent(book);
    if (pressed) { stale = true; return; }
    const moving = rows.filter((row) => row.state !== "refused");
    const balls = new Set(moving.filter((row) => row.kind === "shot").map((row) => row.root)).size;
    const saved = moving.length ? `saved on this phone ${balls || ""}`.trim() : "copied";
    for (const place of places.filter(({ textContent }) => textContent !== saved)) place.textContent = saved;
    const busy = progress?.of >= LONG_FETCH && progress.done < progress.of;
    const beside = places.length > 0;
    const quiet = ["ok", "away"].includes(state) && moving.length === rows.length && !missing && !busy && (beside || !moving.length);
    if (!quiet) notices ??= await import("./notices.js");
    notices?.drawNotices({ rows, moving, balls, beside, state, missing, progress: busy ? progress : null, reread: () => unsent(book), onread });
    await trace(book, rows);
  };
  const onread = () => { missing = null; forget(); draw(); };
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

/** What waits here for another book, on whatever page; where the server knows no book of this phone, what it took too. */
export async function showStrays(book) {
  const rows = await strays(book);
  if (rows.length || document.querySelector("[data-code=no_book]")) (await import("./strays.js")).sayStrays(rows, book);
}
