// Owns the boxes that take a file: one that is too large for the server is refused in words before it is sent.

import { tell } from "./typed.js";

const AROUND_BYTES = 2000; // what a form sends around its file

/** Look at every file that is chosen, also while this script was on its way; what a web server says of it is not ours. */
export function bindFiles(page) {
  for (const box of page.querySelectorAll("[data-most-mb]")) check(box);
  page.addEventListener("change", ({ target }) => { if (target.dataset?.mostMb) check(target); });
}

function check(box) {
  const most = Number(box.dataset.mostMb);
  const size = box.files[0]?.size ?? 0;
  const wrong = most && size + AROUND_BYTES > most * 1e6 ? `This file has ${Math.ceil(size / 1e5) / 10} MB, and at most ${most} MB can be brought.` : "";
  box.setCustomValidity(wrong);
  tell(box, wrong);
}
