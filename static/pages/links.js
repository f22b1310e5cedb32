// Owns the copy and share keys of coach links: only the phone that made a link knows its address.

import { recall, remember } from "../db.js";

export async function start() {
  const store = `links ${document.body.dataset.book}`;
  const kept = await withNew(store);
  for (const item of document.querySelectorAll("[data-made]")) {
    const address = kept[item.dataset.made];
    const shown = document.querySelector(`a[data-link="${item.dataset.made}"]`); // just made, at the top of the page
    if (address && shown) shown.parentElement.after(keysFor(address));
    else if (address) item.insertBefore(keysFor(address), item.querySelector("form"));
  }
}

/** The addresses by link, with the one just made and without those that are closed. */
async function withNew(store) {
  const kept = (await recall(store)) ?? {};
  const made = document.querySelector("a[data-link]");
  if (made) kept[made.dataset.link] = made.href;
  const open = new Set([...document.querySelectorAll("[data-made]")].map((item) => item.dataset.made));
  const still = Object.fromEntries(Object.entries(kept).filter(([id]) => open.has(id)));
  if (made || Object.keys(still).length < Object.keys(kept).length) await remember(store, still);
  return still;
}

function keysFor(address) {
  const row = Object.assign(document.createElement("p"), { className: "links" });
  const said = Object.assign(document.createElement("span"), { role: "status", className: "hint" });
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(address);
      said.textContent = "copied";
    } catch {
      said.textContent = address; // where the browser gives no clipboard it can be marked and copied by hand
    }
  };
  row.append(key("Copy", copy));
  if (navigator.share) row.append(key("Share", () => navigator.share({ url: address }).catch(() => {}))); // given up by the player
  row.append(said);
  return row;
}

function key(text, onclick) {
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
  button.addEventListener("click", onclick);
  return button;
}
