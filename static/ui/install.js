// Owns the one hint that the app can stand on the home screen; knows nothing of the book.

import { recall, remember } from "../db.js";

/** Show the hint in front of `place`, once in the life of this phone, and never in the installed app. */
export async function hintOnce(place) {
  if (matchMedia("(display-mode: standalone)").matches || (await recall("install_hint"))) return;
  await remember("install_hint", true);
  const line = document.createElement("p");
  line.className = "notice first-step";
  line.dataset.install = "";
  const words = "To open it without signal: “add to home screen” in the browser’s menu.";
  line.append(Object.assign(document.createElement("span"), { textContent: words }), button("not now", () => line.remove()));
  place.before(line);
  addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault(); // the browser's own banner would come at a moment of its choosing
    line.append(button("put it there", () => { event.prompt(); line.remove(); }));
  }, { once: true });
}

function button(words, ontap) {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
  made.addEventListener("click", ontap);
  return made;
}
