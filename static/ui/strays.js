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

/** Where the server refused a page its book is not open here; where it was not heard nothing is known of that. */
function waitingWords(n, book) {
  const whose = book ? " of another book" : "";
  const [are, they, their] = n === 1 ? [`1 entry${whose} is`, "it is", "its"] : [`${n} entries${whose} are`, "they are", "their"];
  const refused = document.querySelector("[data-code]")?.dataset.code;
  const says = {
    deleted: "; what is of the deleted book will not be sent.",
    other: `. Open that book here again and ${they} sent, unless it was deleted.`,
    shut: `. Open the book here again and ${they} sent.`,
    unheard: `. With signal ${they} sent, if ${their} book is open on this phone and was not deleted.`,
  };
  const which = refused === "book_deleted" ? "deleted" : (book && "other") || (refused && "shut") || "unheard";
  return `${are} only on this phone${says[which]}`;
}

function takenWords(n) {
  const them = n === 1 ? ["1 entry that was", "is", "it lies"] : [`${n} entries that were`, "are", "they lie"];
  return `${them[0]} copied ${them[1]} on this phone too, and ${them[2]} in no backup that it knows of.`;
}
