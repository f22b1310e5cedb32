// Owns the card-only page: the lock is set and lifted here without the server, and the page shows the phone's own state.

import { eager } from "../sync.js";
import { isCardOnly } from "../ui/card_only.js";
import { liftCardOnly, setCardOnly } from "../ui/round_lock.js";

export function start() {
  const doing = { set: setCardOnly, lift: liftCardOnly };
  for (const form of document.querySelectorAll("form[data-do]")) {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      await doing[form.dataset.do]();
      show();
      eager();
    });
  }
  show();
}

/** Show this phone's own state, since a kept page may show another. */
function show() {
  const on = isCardOnly();
  for (const section of document.querySelectorAll("[data-lock]")) section.hidden = (section.dataset.lock === "on") !== on;
  for (const details of document.querySelectorAll("details")) details.open = false;
  if (!on) for (const since of document.querySelectorAll("[data-since]")) since.textContent = "";
}
