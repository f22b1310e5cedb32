// Owns what is said where a page is not kept: that card only shuts it, or what else this phone has of the address.

import { isCardOnly, SHUT } from "../ui/card_only.js";
import { shutPage } from "../ui/round_lock.js";

export async function start() {
  const { pathname, search } = location;
  if (isCardOnly() && SHUT.test(pathname)) return shutPage(); // which the lock has let go of
  document.getElementById("of-visits").hidden = !/^\/visits(\/|$)/.test(pathname);
  const isKept = new URLSearchParams(search).has("ball") && (await caches.match(pathname, { ignoreVary: true }));
  const other = document.getElementById("of-ball");
  other.hidden = !isKept;
  other.querySelector("a").href = pathname;
}
