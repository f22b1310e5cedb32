// Owns the notice of what this phone holds of other books than the open one: a file of it, and forgetting it afterwards.

import { forgetRows, inNoBackup } from "../taking_off.js";
import { button, paragraph, saveCopy } from "./notices.js";

/**
 * What waits here for another book than `book`, and where the server knows no book of this phone what it took and may
 * have lost. A page that names no book can tell neither whether that book is open here nor, but for the one that says
 * so, whether it was deleted.
 */
export async function sayStrays(waiting, book) {
  const taken = document.querySelector("[data-code=no_book]") ? await inNoBackup(book) : [];
  const rows = [...waiting, ...taken];
  const notices = document.getElementById("notices");
  if (!rows.length || !notices) return;
  const place = document.createElement("div");
  place.id = "strays";
  place.role = "status";
  notices.after(place);
  const lines = [waiting.length && waitingWords(waiting.length, book), taken.length && takenWords(taken.length)];
  const offer = (...more) => place.replaceChildren(...lines.filter(Boolean).map(paragraph), ...more);
  const save = button("save a copy of these", async () => {
    await saveCopy(rows);
    offer(save, forget);
  });
  const forget = button("forget these", () => {
    const question = `Forget ${rows.length === 1 ? "this entry" : `these ${rows.length} entries`}? Then only the saved copy holds them: look first whether it is there.`;
    place.replaceChildren(paragraph(question), button("yes, forget", gone), button("keep", () => offer(save, forget)));
  });
  const gone = async () => {
    await forgetRows(rows);
    place.remove();
  };
  offer(save);
}

function waitingWords(n, book) {
  const whose = book && " of another book";
  const [words, sent] = n === 1
    ? [`1 entry${whose} waits`, "It is sent with signal while its"]
    : [`${n} entries${whose} wait`, "They are sent with signal while their"];
  const gone = document.querySelector('[data-code="book_deleted"]');
  const then = gone ? "; what is of the deleted book will not be sent" : `. ${sent} book is open here, unless this was deleted`;
  return `${words} on this phone${then}.`;
}

function takenWords(n) {
  const them = n === 1 ? ["1 entry that was", "is", "it lies"] : [`${n} entries that were`, "are", "they lie"];
  return `${them[0]} copied ${them[1]} on this phone too, and ${them[2]} in no backup that it knows of.`;
}
