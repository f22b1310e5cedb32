// Owns what "More" says of this phone: how far its entries have got, and whether it works without signal.

import { changes } from "../outbox.js";
import { held } from "../pruning.js";
import { states } from "../sync.js";

/** Fill the two lines and keep them true; a page without them is left as it is. */
export async function showReadiness(book) {
  const [counts, ready] = ["[data-held]", "[data-ready]"].map((name) => document.querySelector(name));
  if (!counts) return;
  const draw = async () => {
    const { only_here, copied, safe } = await held(book);
    // Both counts are of what this phone still keeps: an older book lies on the server alone.
    counts.textContent = `Entries that it holds: ${only_here} only here, ${copied} on the server too, ${safe} of them safe in a backup`;
    ready.textContent = `Ready without signal: ${(await isReady()) ? "yes" : "no, open this page once more with signal"}`;
  };
  changes.addEventListener("change", draw);
  states.addEventListener("kept", draw);
  navigator.serviceWorker?.addEventListener("message", draw); // the worker has fetched a program that was missing
  await draw();
}

/** Whether a worker stands that holds the program and the page of the open bucket. */
async function isReady() {
  if (!navigator.serviceWorker?.controller) return false;
  const needed = [import.meta.url, "/bucket"].map((address) => caches.match(address, { ignoreVary: true }));
  return (await Promise.all(needed)).every(Boolean);
}
