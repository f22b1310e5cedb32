// Owns the words about what is saved, waiting, copied or refused; knows nothing of when things are sent.

import { changes, rowsOf, sendAgain } from "../outbox.js";
import { states } from "../sync.js";

const NEEDS_PLAYER = {
  no_book: (n) => `Open your book again to send ${n}. Nothing is lost: all is kept on this phone.`,
  cut_off: () => "This phone was cut off from the book. What it holds is kept here and is not sent.",
  other_book: () => "Another book is open here now. What waits belongs to the former book and is kept on this phone.",
  book_deleted: () => "This book was deleted on the server. What this phone holds is kept here.",
};

let state = "ok";

/** Keep the page's words true: "saved on this phone 3" beside the patch, "3 waiting" in the notices elsewhere, "copied". */
export function showWaiting(book) {
  const places = [...document.querySelectorAll("[data-waiting]")];
  const notices = document.getElementById("notices");
  const draw = async () => {
    const rows = await rowsOf(book);
    const unsent = rows.filter((row) => row.state === "fresh" || row.state === "waiting");
    const balls = new Set(unsent.filter((row) => row.kind === "shot").map((row) => row.root)).size;
    for (const place of places) place.textContent = unsent.length ? `saved on this phone ${balls || ""}`.trim() : "copied";
    const lines = places.length || !unsent.length ? [] : [`${balls || unsent.length} waiting, saved on this phone`];
    drawNotices(notices, book, [...lines, ...troubles(rows)], rows.some((row) => row.state === "refused"));
  };
  changes.addEventListener("change", draw);
  states.addEventListener("state", (event) => { state = event.detail; draw(); });
  return draw();
}

/** What the player has to know or do: a book that is not open here, or entries the server refused. */
function troubles(rows) {
  const unsent = rows.filter((row) => row.state === "waiting").length;
  const refused = rows.filter((row) => row.state === "refused");
  const needed = NEEDS_PLAYER[state]?.(unsent === 1 ? "1 entry" : `${unsent} entries`);
  const reasons = refused.map((row) => row.refusal?.message || "The server refused an entry; it is kept on this phone.");
  return [needed, ...new Set(reasons)].filter(Boolean);
}

function drawNotices(notices, book, lines, refused) {
  const text = lines.join("\n");
  if (!notices || notices.dataset.shown === text) return;
  notices.dataset.shown = text;
  notices.replaceChildren(...lines.map((line) => Object.assign(document.createElement("p"), { textContent: line })));
  if (!refused) return;
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: "send again" });
  button.addEventListener("click", () => sendAgain(book));
  notices.append(button);
}
